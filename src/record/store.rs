//! The open record: one connection that writes, one that reads, and commits that posters share.
//!
//! A commit waits for the disk, and a disk takes one wait for many events as easily as for one. So whoever finds others
//! waiting behind them leaves their act in the open transaction, and the last of them commits for all. Each act lies in a
//! savepoint of its own: one that fails takes nothing of the others with it. Nobody is answered before the commit.

use std::{
    fmt,
    panic::{AssertUnwindSafe, catch_unwind, resume_unwind},
    path::{Path, PathBuf},
    sync::{
        Arc, Condvar, Mutex, MutexGuard, OnceLock, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
    time::Duration,
};

use rusqlite::{Connection, OpenFlags, Savepoint, Transaction};

use super::{OpenTrouble, RecordError, open, schema};

/// How long an act waits for another program's before it gives up.
const PATIENCE: Duration = Duration::from_secs(5);

/// The shop's job record. It may be shared between threads, and one file between programs.
pub struct Record {
    /// For reading alone, so that a reader sees nothing that is not on disk yet; none for a record in memory, where there
    /// is no disk to wait for. Closed before the writer, which folds the log into the file on its way out.
    reader: Option<Mutex<Connection>>,
    writer: Mutex<Writer>,
    /// How many acts want the writer.
    waiting: AtomicUsize,
    /// Told when a shared transaction has ended.
    ended: Condvar,
    /// None for a record that lives in memory.
    place: Option<PathBuf>,
    patience: Duration,
}

struct Writer {
    conn: Connection,
    /// How the open transaction will end, for all who have a part in it.
    open: Option<Arc<End>>,
}

/// How a shared transaction ended, once it has.
type End = OnceLock<Result<(), RecordError>>;

impl Record {
    /// Opens the record at that path, or makes a new one where no file is. The folder must be there.
    pub fn open(path: &Path) -> Result<Self, OpenTrouble> {
        Self::open_within(path, PATIENCE)
    }

    /// As [`Self::open`], waiting that long for another program here and in every act.
    pub fn open_within(path: &Path, patience: Duration) -> Result<Self, OpenTrouble> {
        let writer = open::open(path, patience)?;
        let reader = reader(path, patience).map_err(|error| open::trouble(path, error))?;
        Ok(Self::over(writer, Some(reader), Some(path.to_path_buf()), patience))
    }

    /// A new record that lasts as long as this value.
    pub fn in_memory() -> Result<Self, RecordError> {
        let mut conn = Connection::open_in_memory()?;
        conn.pragma_update(None, "foreign_keys", true)?;
        schema::MIGRATIONS.to_latest(&mut conn).map_err(|error| RecordError::Other { detail: error.to_string() })?;
        Ok(Self::over(conn, None, None, PATIENCE))
    }

    fn over(conn: Connection, reader: Option<Connection>, place: Option<PathBuf>, patience: Duration) -> Self {
        Self {
            reader: reader.map(Mutex::new),
            writer: Mutex::new(Writer { conn, open: None }),
            waiting: AtomicUsize::new(0),
            ended: Condvar::new(),
            place,
            patience,
        }
    }

    fn lock(&self) -> MutexGuard<'_, Writer> {
        held(&self.writer)
    }

    /// Runs an act: either all of it is on disk when this returns, or none of it ever is.
    pub(super) fn write<T>(
        &self,
        act: impl FnOnce(&Savepoint<'_>) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        self.waiting.fetch_add(1, Ordering::Relaxed);
        let mut writer = self.lock();
        self.waiting.fetch_sub(1, Ordering::Relaxed);
        let end = writer.join()?;
        // A panic must not leave the others waiting.
        let done = catch_unwind(AssertUnwindSafe(|| writer.run(act)));
        match &done {
            Ok(Err(error)) if writer.was_undone() => writer.end(Err(error.clone())),
            _ if self.waiting.load(Ordering::Relaxed) == 0 => writer.commit(),
            // Someone is behind who will.
            _ => {}
        }
        self.ended.notify_all();
        let pending = |_: &mut Writer| end.get().is_none();
        drop(self.ended.wait_while(writer, pending).unwrap_or_else(PoisonError::into_inner));
        match (done, end.get()) {
            (Err(panic), _) => resume_unwind(panic),
            (Ok(Ok(_)), Some(Err(error))) => Err(error.clone()),
            (Ok(done), _) => done,
        }
    }

    /// The writer with no transaction open, to read from where there is no other connection.
    fn settled(&self) -> MutexGuard<'_, Writer> {
        let mut writer = self.lock();
        writer.commit();
        self.ended.notify_all();
        writer
    }

    /// Runs a few queries that see one state of the record.
    pub(super) fn read<T>(
        &self,
        ask: impl FnOnce(&Transaction<'_>) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        match &self.reader {
            Some(reader) => ask(&held(reader).transaction()?),
            None => ask(&self.settled().conn.transaction()?),
        }
    }

    /// Runs a long look at one state of the record on a connection of its own, so that posting goes on meanwhile.
    pub(super) fn snapshot<T, E: From<RecordError>>(
        &self,
        look: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let Some(place) = &self.place else { return look(&self.settled().conn) };
        let conn = reader(place, self.patience).map_err(RecordError::from)?;
        let tx = conn.unchecked_transaction().map_err(RecordError::from)?;
        look(&tx)
    }
}

impl Writer {
    /// Opens a transaction, or takes part in the one that is open.
    fn join(&mut self) -> Result<Arc<End>, RecordError> {
        if let Some(end) = &self.open {
            return Ok(Arc::clone(end));
        }
        self.conn.execute_batch("BEGIN IMMEDIATE")?;
        Ok(Arc::clone(self.open.insert(Arc::default())))
    }

    fn run<T>(&mut self, act: impl FnOnce(&Savepoint<'_>) -> Result<T, RecordError>) -> Result<T, RecordError> {
        let part = self.conn.savepoint()?;
        let done = act(&part)?;
        part.commit()?;
        Ok(done)
    }

    /// Whether SQLite has undone the whole open transaction, as it may when the disk is full or fails.
    fn was_undone(&self) -> bool {
        self.open.is_some() && self.conn.is_autocommit()
    }

    /// Puts the open transaction on disk, if there is one.
    fn commit(&mut self) {
        if self.open.is_some() {
            let outcome = self.conn.execute_batch("COMMIT").map_err(RecordError::from);
            self.end(outcome);
        }
    }

    /// Ends the open transaction so, for all who have a part in it.
    fn end(&mut self, outcome: Result<(), RecordError>) {
        if outcome.is_err() && !self.conn.is_autocommit() {
            // Where even this fails no later act can begin, and each says so.
            let _ = self.conn.execute_batch("ROLLBACK");
        }
        if let Some(end) = self.open.take() {
            // Nobody else sets it: it was open until now.
            let _ = end.set(outcome);
        }
    }
}

/// A thread that panicked while it held a connection left it fit for use.
fn held<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A connection that changes nothing.
fn reader(place: &Path, patience: Duration) -> Result<Connection, rusqlite::Error> {
    let conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    conn.busy_timeout(patience)?;
    Ok(conn)
}

impl fmt::Debug for Record {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Record").field("place", &self.place).finish_non_exhaustive()
    }
}
#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::{fs, thread};

    use jiff::Timestamp;

    use super::*;
    use crate::record::{Actor, Job, JobFilter, JobId, Measured, Role, jobs};

    fn open_job(record: &Record, note: &str) -> Result<Job, RecordError> {
        let lead = Actor { person: "lead".into(), role: Role::Lead, front: "terminal".into(), channel: "bench".into() };
        record.open_job(&lead, None, "skerry-v8", "Skerry V8", Some(note), Timestamp::UNIX_EPOCH)
    }

    /// Has acts wait for the writer until all of them do, then lets them go; what each came to, a panic as none.
    fn all_at_once<T: Send>(record: &Record, acts: Vec<Box<dyn FnOnce() -> T + Send + '_>>) -> Vec<Option<T>> {
        thread::scope(|threads| {
            let (writer, many) = (record.lock(), acts.len());
            let acts: Vec<_> = acts.into_iter().map(|act| threads.spawn(act)).collect();
            while record.waiting.load(Ordering::Relaxed) < many {
                thread::yield_now();
            }
            drop(writer);
            acts.into_iter().map(|act| act.join().ok()).collect()
        })
    }

    /// How many commits a log holds: a frame that ends one bears the size of the file after it.
    fn commits(place: &Path) -> usize {
        let log = fs::read(place.with_extension("sqlite-wal")).unwrap();
        log[32..].chunks_exact(24 + 4096).filter(|frame| frame[4..8] != [0; 4]).count()
    }

    #[test]
    fn who_waits_together_is_committed_together() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("record.sqlite");
        let record = Record::open(&place).unwrap();
        open_job(&record, "first").unwrap();
        let before = commits(&place);
        let acts = (0..8).map(|_| Box::new(|| open_job(&record, "at once").unwrap().id.0) as Box<_>).collect();
        let mut ids: Vec<_> = all_at_once(&record, acts).into_iter().map(Option::unwrap).collect();
        ids.sort_unstable();
        assert_eq!(ids, (2..10).collect::<Vec<i64>>());
        assert_eq!(commits(&place), before + 1);
        // Alone, each is its own.
        open_job(&record, "alone").unwrap();
        open_job(&record, "alone").unwrap();
        assert_eq!(commits(&place), before + 3);
    }

    #[test]
    fn one_that_fails_takes_no_other_with_it() {
        let folder = tempfile::tempdir().unwrap();
        let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        let unfit = RecordError::Unfit { field: "job", rule: "is written, then thought better of" };
        let half_done = |tx: &Savepoint<'_>| -> Result<Job, RecordError> {
            tx.execute("INSERT INTO current_job VALUES ('tech-1', 'bench', 1)", [])?;
            Err(RecordError::Unfit { field: "job", rule: "is written, then thought better of" })
        };
        open_job(&record, "first").unwrap();
        let acts = (0..9)
            .map(|n| -> Box<dyn FnOnce() -> _ + Send> {
                let record = &record;
                match n % 3 {
                    0 => Box::new(move || open_job(record, "whole")),
                    1 => Box::new(move || record.write(half_done)),
                    _ => Box::new(move || record.write(|_| panic!("as a fault of ours would"))),
                }
            })
            .collect();
        for (n, came_to) in all_at_once(&record, acts).into_iter().enumerate() {
            match n % 3 {
                0 => assert!(matches!(came_to, Some(Ok(_))), "{came_to:?}"),
                1 => assert_eq!(came_to, Some(Err(unfit.clone()))),
                _ => assert_eq!(came_to, None),
            }
        }
        assert_eq!(record.jobs(JobFilter::All).unwrap().len(), 4);
        assert_eq!(record.current("tech-1", "bench"), Ok(None));
        assert_eq!(record.verify().unwrap().fault, None);
    }

    /// A commit that fails is told to each, and a reader never sees what it held.
    #[test]
    fn a_commit_that_fails_fails_for_all_who_are_in_it() {
        let folder = tempfile::tempdir().unwrap();
        let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        open_job(&record, "first").unwrap();
        // A foreign key that is looked at only in the commit stands in for a disk that fails there.
        let no_such_job = |tx: &Savepoint<'_>| -> Result<Job, RecordError> {
            tx.execute_batch("PRAGMA defer_foreign_keys = 1; INSERT INTO current_job VALUES ('tech-1', 'bench', 99)")?;
            jobs::load(tx, JobId(1))
        };
        let acts = (0..4)
            .map(|n| -> Box<dyn FnOnce() -> _ + Send> {
                let record = &record;
                if n == 2 {
                    Box::new(move || record.write(no_such_job))
                } else {
                    Box::new(move || open_job(record, "with it"))
                }
            })
            .collect();
        for came_to in all_at_once(&record, acts) {
            assert!(matches!(came_to, Some(Err(RecordError::Other { .. }))), "{came_to:?}");
        }
        assert_eq!(record.jobs(JobFilter::All).unwrap().len(), 1);
        open_job(&record, "after").unwrap();
        assert_eq!(record.verify().unwrap().events, 2);
    }

    /// SQLite's page limit stands in for a disk without room.
    #[test]
    fn a_full_disk_is_told_and_leaves_nothing_half_written() {
        let record = Record::in_memory().unwrap();
        let note = "x".repeat(9_000);
        let open = || open_job(&record, &note);
        let room = |pages: i64| record.lock().conn.pragma_update(None, "max_page_count", pages).unwrap();
        room(40);
        let mut jobs = 0;
        let refused = loop {
            match open() {
                Ok(_) => jobs += 1,
                Err(error) => break error,
            }
        };
        assert_eq!(refused, RecordError::DiskFull);
        assert_eq!(record.jobs(JobFilter::All).unwrap().len(), jobs);
        let chain = record.verify().unwrap();
        assert_eq!((chain.events, chain.fault), (jobs as u64, None));
        room(1000);
        open().unwrap();
        assert_eq!(record.verify().unwrap().events, jobs as u64 + 1);
    }

    /// Wherever the room runs out among the readings of one act.
    #[test]
    fn a_full_disk_takes_all_readings_of_an_act_or_none() {
        let lead = Actor { person: "lead".into(), role: Role::Lead, front: "terminal".into(), channel: "bench".into() };
        for pages in 40..48 {
            let record = Record::in_memory().unwrap();
            let job = open_job(&record, "first").unwrap().id;
            record.lock().conn.pragma_update(None, "max_page_count", pages).unwrap();
            let rows = |act: usize| -> Vec<_> { (0..5).map(|row| measured(job, &format!("{act}-{row}"))).collect() };
            let mut acts = 0;
            let refused = loop {
                match record.post_all(&lead, &format!("act-{acts}"), rows(acts), Timestamp::UNIX_EPOCH) {
                    Ok(posted) => acts += posted.len() / 5,
                    Err(error) => break error,
                }
            };
            assert_eq!(refused, RecordError::DiskFull);
            assert_eq!(record.readings(job).unwrap().len(), acts * 5, "{pages} pages");
            assert_eq!(record.verify().unwrap().fault, None);
        }
    }

    fn measured(job: JobId, position: &str) -> Measured {
        Measured {
            job,
            check: "main-journal".into(),
            position: position.into(),
            raw: vec![0.0622],
            typed: "2.4495".into(),
            unit: "in".into(),
            dimension: crate::quantity::Dimension::Length,
            temperature: None,
            instrument: None,
            gauge: None,
            note: Some("x".repeat(900)),
            taken: None,
            photo: None,
            measures: Vec::new(),
            verdict: crate::maths::judge::Verdict::NoLimit,
            page_revision: String::new(),
        }
    }

    #[test]
    fn a_panic_in_an_act_leaves_the_record_usable() {
        let record = Record::in_memory().unwrap();
        let panicked = std::thread::scope(|threads| {
            let act = || {
                record.write(|tx| -> Result<(), RecordError> {
                    tx.execute("DELETE FROM current_job", [])?;
                    panic!("as a fault of ours would")
                })
            };
            threads.spawn(act).join()
        });
        assert!(panicked.is_err());
        assert_eq!(record.write(|_| Ok(7)), Ok(7));
    }
}
