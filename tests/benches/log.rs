//! A reading posted for good, beside a bare SQLite commit of the same text on the same disk: one tech, eight at once, and
//! sixty-four.

use std::cell::Cell;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Barrier, Mutex, MutexGuard, PoisonError};
use std::thread;

use anyhow::{Context as _, Result, anyhow, ensure};
use gudgeon::desk::{Asker, Desk, Front, Outcome, Settings};
use gudgeon::library::{Library, Shelf};
use gudgeon::record::{Actor, JobFilter, Measured, Record, Role};
use jiff::Timestamp;
use rusqlite::Connection;

use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};

/// How many techs at once, and what each posts in a round.
const CROWDS: [(usize, usize); 3] = [(1, 20), (8, 5), (64, 2)];
/// All the techs there are, each with a job of their own.
const CROWD: usize = 64;
/// Main journals of the demo engine that the readings go round.
const MAINS: usize = 5;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    // Beside the build and not in the system's folder, which may lie in memory.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let file = |name: &str| folder.path().join(name);
    let desk = DeskPosts::open(Record::open(&file("desk.sqlite"))?, CROWD)?;
    // Opened a second time, as another program would: this sees what is in the file.
    let written = Record::open(&file("desk.sqlite"))?;
    let measured = posted(&written, CROWD)?;
    let record = RecordPosts::open(Record::open(&file("record.sqlite"))?, &measured)?;
    let bare = BarePosts::open(durable(&file("bare.sqlite"))?, &measured)?;

    let part = Effort { time: effort.time / 4, ..effort };
    for crowd in CROWDS {
        compare(part, sheet, (&desk, &record, &bare), crowd, "on disk")?;
    }

    // The same where a commit costs nothing: what the disk's own time hides.
    let desk_in_memory = DeskPosts::open(Record::in_memory()?, CROWD)?;
    let record_in_memory = RecordPosts::open(Record::in_memory()?, &measured)?;
    let bare_in_memory = BarePosts::open(Connection::open_in_memory()?, &measured)?;
    let in_memory = (&desk_in_memory, &record_in_memory, &bare_in_memory);
    compare(part, sheet, in_memory, (1, 20), "no disk")?;

    // What was acknowledged must be there, or the speed was bought.
    count(&written, desk.posts.load(Ordering::Relaxed))?;
    count(&record.record, record.posts.load(Ordering::Relaxed))?;
    bare.check()?;
    sheet.note(format!(
        "log: write-ahead log, synchronous = FULL, {} bytes a reading; ours shares commits, bare SQLite makes one each behind \
         a lock; a latency in a crowd holds the wait for the others. Every post was found on disk afterwards.",
        bare.texts.iter().map(String::len).max().unwrap_or(0),
    ));
    Ok(())
}

/// The three ways side by side, for that many posters with so many posts each in a round.
fn compare(
    effort: Effort,
    sheet: &mut Sheet,
    (desk, record, bare): (&DeskPosts, &RecordPosts<'_>, &BarePosts),
    (posters, each): (usize, usize),
    place: &str,
) -> Result<()> {
    let names = ["log: desk", "log: record", "SQLite"].map(|way| format!("{way}, {posters} at once, {place}"));
    let paces: [Cell<Pace>; 3] = Default::default();
    let series = side_by_side(
        effort,
        vec![
            Subject::new(&*names[0], || at_once(&paces[0], posters, each, |poster, n| desk.post(poster, n))),
            Subject::new(&*names[1], || at_once(&paces[1], posters, each, |poster, n| record.post(poster, n))),
            Subject::new(&*names[2], || at_once(&paces[2], posters, each, |poster, n| bare.post(poster, n))),
        ],
    )?;
    let [desk, record, bare] = series.as_slice() else { return Err(anyhow!("three subjects, three series")) };
    sheet.compare(Unit::Seconds, desk, bare);
    sheet.compare(Unit::Seconds, record, bare);
    let told = names
        .iter()
        .zip(&paces)
        .map(|(name, pace)| format!("{} {:.0}", name.trim_start_matches("log: "), pace.get().a_second()));
    sheet.note(format!("log: posts a second, all together: {}.", told.collect::<Vec<_>>().join("; ")));
    Ok(())
}

/// Posts, and the seconds from the first to the last of each round.
#[derive(Debug, Clone, Copy, Default)]
struct Pace {
    posts: usize,
    seconds: f64,
}

impl Pace {
    fn a_second(self) -> f64 {
        self.posts as f64 / self.seconds
    }
}

/// That many posters, started together; every post's seconds.
fn at_once(
    pace: &Cell<Pace>,
    posters: usize,
    each: usize,
    post: impl Fn(usize, usize) -> Result<()> + Sync,
) -> Result<Vec<f64>> {
    // The one who counts starts with them.
    let together = Barrier::new(posters + 1);
    let (together, post) = (&together, &post);
    let work = move |poster| {
        together.wait();
        let posts = (0..each).map(|n| {
            let (seconds, done) = timed(|| post(poster, n));
            done.map(|()| seconds)
        });
        posts.collect::<Result<Vec<f64>>>()
    };
    thread::scope(|scope| {
        let threads: Vec<_> = (0..posters).map(|poster| scope.spawn(move || work(poster))).collect();
        let (seconds, done) = timed(|| {
            together.wait();
            let mut out = Vec::with_capacity(posters * each);
            for thread in threads {
                out.extend(thread.join().map_err(|_| anyhow!("a poster panicked"))??);
            }
            Ok(out)
        });
        let before = pace.get();
        pace.set(Pace { posts: before.posts + posters * each, seconds: before.seconds + seconds });
        done
    })
}

fn person(poster: usize) -> String {
    format!("tech-{}", poster + 1)
}

/// Lines to the desk, as a front sends them.
struct DeskPosts {
    desk: Desk,
    posts: AtomicU64,
}

impl DeskPosts {
    fn open(record: Record, techs: usize) -> Result<Self> {
        let people = (0..techs).map(|poster| (person(poster), Role::Tech)).collect();
        let settings = Settings { people, ..Settings::default() };
        let desk = Desk::new(settings, Shelf::fixed(Library::embedded()), record);
        let this = Self { desk, posts: AtomicU64::new(0) };
        for poster in 0..techs {
            this.say(poster, &format!("job open skerry-v8 Job of {}", person(poster)))?;
            for n in 0..MAINS {
                this.post(poster, n)?;
            }
        }
        Ok(this)
    }

    fn say(&self, poster: usize, line: &str) -> Result<()> {
        match self.desk.answer(&Asker::new(person(poster), Front::Terminal), line, Timestamp::now()) {
            Outcome::Reply(_) => Ok(()),
            other => Err(anyhow!("“{line}”: {other:?}")),
        }
    }

    fn post(&self, poster: usize, n: usize) -> Result<()> {
        let main = n % MAINS + 1;
        self.say(poster, &format!("log main-journal {main} 2.4497in 2.4496in 2.4497in 2.4496in job={}", poster + 1))?;
        self.posts.fetch_add(1, Ordering::Relaxed);
        Ok(())
    }
}

/// What the desk made of its first lines, poster by poster: what the others then write.
fn posted(record: &Record, techs: usize) -> Result<Vec<Measured>> {
    let mut out = Vec::new();
    for job in record.jobs(JobFilter::All)?.iter().rev() {
        out.extend(record.readings(job.id)?.into_iter().map(|entry| entry.reading.measured));
    }
    ensure!(out.len() == techs * MAINS, "the desk wrote {} readings", out.len());
    Ok(out)
}

/// What the desk makes of a few lines, for whoever needs readings as they are written.
pub fn readings_of_the_desk() -> Result<Vec<Measured>> {
    let folder = tempfile::tempdir()?;
    let place = folder.path().join("desk.sqlite");
    let _desk = DeskPosts::open(Record::open(&place)?, 1)?;
    posted(&Record::open(&place)?, 1)
}

/// Readings handed to the record, already judged.
struct RecordPosts<'a> {
    record: Record,
    measured: &'a [Measured],
    posts: AtomicU64,
}

impl<'a> RecordPosts<'a> {
    fn open(record: Record, measured: &'a [Measured]) -> Result<Self> {
        for poster in 0..CROWD {
            record.open_job(&actor(poster), None, "skerry-v8", &person(poster), None, Timestamp::now())?;
        }
        Ok(Self { record, measured, posts: AtomicU64::new(0) })
    }

    fn post(&self, poster: usize, n: usize) -> Result<()> {
        let measured = self.measured.get(poster * MAINS + n % MAINS).context("no such reading")?;
        let key = format!("post-{}", self.posts.fetch_add(1, Ordering::Relaxed));
        let posted = self.record.post(&actor(poster), &key, measured.clone(), Timestamp::now())?;
        ensure!(!posted.was_retry, "{key} was taken for a retry");
        Ok(())
    }
}

pub fn actor(poster: usize) -> Actor {
    Actor { person: person(poster), role: Role::Tech, front: "terminal".into(), channel: "terminal".into() }
}

/// The chain holds the jobs and every post, unbroken.
fn count(record: &Record, posts: u64) -> Result<()> {
    let chain = record.verify()?;
    ensure!(chain.fault.is_none(), "the chain is broken: {:?}", chain.fault);
    ensure!(chain.events == posts + CROWD as u64, "{} events on disk for {posts} posts", chain.events);
    Ok(())
}

/// A connection whose commits are on disk when they return.
fn durable(file: &Path) -> Result<Connection> {
    let conn = Connection::open(file)?;
    let mode: String = conn.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))?;
    ensure!(mode == "wal", "the disk allows no write-ahead log");
    conn.pragma_update(None, "synchronous", "FULL")?;
    Ok(conn)
}

/// The least that keeps the promise: one row of the same text, one commit. One connection behind a lock, for SQLite has
/// one writer, and its own waiting sleeps longer than a lock does.
struct BarePosts {
    conn: Mutex<Connection>,
    texts: Vec<String>,
    posts: AtomicU64,
}

impl BarePosts {
    fn open(conn: Connection, measured: &[Measured]) -> Result<Self> {
        conn.execute_batch("CREATE TABLE reading (id INTEGER PRIMARY KEY, person TEXT, at TEXT, payload TEXT)")?;
        let texts = measured.iter().map(serde_json::to_string).collect::<Result<_, _>>()?;
        Ok(Self { conn: Mutex::new(conn), texts, posts: AtomicU64::new(0) })
    }

    fn post(&self, poster: usize, n: usize) -> Result<()> {
        let text = self.texts.get(poster * MAINS + n % MAINS).context("no such reading")?;
        let (person, now) = (person(poster), Timestamp::now().to_string());
        self.lock()
            .prepare_cached("INSERT INTO reading (person, at, payload) VALUES (?, ?, ?)")?
            .execute((person, now, text))?;
        self.posts.fetch_add(1, Ordering::Relaxed);
        Ok(())
    }

    fn lock(&self) -> MutexGuard<'_, Connection> {
        self.conn.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn check(&self) -> Result<()> {
        let rows: i64 = self.lock().query_row("SELECT count(*) FROM reading", [], |row| row.get(0))?;
        let posts = self.posts.load(Ordering::Relaxed);
        ensure!(u64::try_from(rows) == Ok(posts), "{rows} rows on disk for {posts} posts");
        Ok(())
    }
}
