//! What the machine can do to a record: no rights, no room, someone else's lock. Each is told, and nothing is half written.
//!
//! Some faults need a process of their own (another user, a size limit, a second program): the test starts this test
//! program again for one of the `child_` tests below, which do nothing unless asked by the environment.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::{
    env, fs,
    io::{BufRead, BufReader, Write},
    os::unix::{
        fs::{MetadataExt, PermissionsExt},
        process::CommandExt,
    },
    path::{Path, PathBuf},
    process::{Command, Stdio},
    thread,
    time::Duration,
};

use gudgeon::{
    desk::{Asker, Front, Outcome, Settings},
    maths::judge::Verdict,
    record::{Decision, JobId, OpenTrouble, Record, RecordError, Role, SafekeepingError, quietly},
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{actor, at, ids, journal, lead, open_job, post, tech};
use crate::talks;

pub const PLACE: &str = "RECORD_TEST_PLACE";
const SHORT: Duration = Duration::from_millis(50);

pub fn place_from_parent() -> Option<PathBuf> {
    env::var_os(PLACE).map(PathBuf::from)
}

/// The arguments that run one test of that module alone.
pub fn only(module: &str, test: &str) -> [String; 4] {
    let (_crate, module) = module.split_once("::").unwrap();
    [format!("{module}::{test}"), "--exact".into(), "--ignored".into(), "--nocapture".into()]
}

fn started() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    post(&record, &tech(), "k-1", journal(open_job(&record).id, "1", Verdict::Within));
    (folder, place)
}

/// Runs a program that was only just copied: a process that another test forks meanwhile holds the copy's descriptor until
/// its own exec, and so long the system calls the file busy.
fn once_free(child: &mut Command) -> std::process::Output {
    for _ in 0..500 {
        match child.output() {
            Err(error) if error.kind() == std::io::ErrorKind::ExecutableFileBusy => {
                thread::sleep(Duration::from_millis(10));
            }
            outcome => return outcome.unwrap(),
        }
    }
    panic!("the copied program stayed busy for five seconds");
}

/// Runs a child test as a user who is not root and does not own the folder.
fn as_a_stranger(test: &str, place: &Path) {
    let folder = TempDir::new().unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let program = folder.path().join("child");
    fs::copy(env::current_exe().unwrap(), &program).unwrap();
    let mut child = Command::new(&program);
    child.args(only(module_path!(), test)).env(PLACE, place).current_dir("/");
    if fs::metadata(&program).unwrap().uid() == 0 {
        child.gid(65534).uid(65534);
    }
    let output = once_free(&mut child);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.contains("1 passed"), "{said}{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
#[ignore = "run by the tests of read-only places"]
fn child_is_told_it_cannot_write() {
    let Some(place) = place_from_parent() else { return };
    let trouble = Record::open_within(&place, SHORT).expect_err("this place cannot be written");
    assert_eq!(trouble, OpenTrouble::NotWritable { place });
    assert!(trouble.to_string().contains("give this user the right"), "{trouble}");
}

#[test]
fn a_read_only_folder_is_told_and_stays_as_it_is() {
    let (folder, place) = started();
    let before = fs::read(&place).unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).unwrap();
    fs::set_permissions(&place, fs::Permissions::from_mode(0o666)).unwrap();
    as_a_stranger("child_is_told_it_cannot_write", &place);
    as_a_stranger("child_is_told_it_cannot_write", &folder.path().join("another.sqlite"));
    assert_eq!(fs::read(&place).unwrap(), before);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_read_only_file_is_told_and_stays_as_it_is() {
    let (folder, place) = started();
    let before = fs::read(&place).unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o777)).unwrap();
    fs::set_permissions(&place, fs::Permissions::from_mode(0o444)).unwrap();
    as_a_stranger("child_is_told_it_cannot_write", &place);
    assert_eq!(fs::read(&place).unwrap(), before);
}

#[test]
#[ignore = "run by the tests of locks"]
fn child_holds_the_record() {
    let Some(place) = place_from_parent() else { return };
    let conn = Connection::open(place).unwrap();
    conn.execute_batch(&env::var("RECORD_TEST_LOCK").unwrap()).unwrap();
    println!("held");
    std::io::stdin().read_line(&mut String::new()).unwrap();
}

/// Does something while a second program holds the record with that SQL; it lets go when this returns.
fn while_held(place: &Path, sql: &str, act: impl FnOnce()) {
    let mut child = Command::new(env::current_exe().unwrap())
        .args(only(module_path!(), "child_holds_the_record"))
        .env(PLACE, place)
        .env("RECORD_TEST_LOCK", sql)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    assert!(lines.any(|line| line.unwrap().ends_with("held")), "the second program must hold the record");
    act();
    child.stdin.take().unwrap().write_all(b"\n").unwrap();
    // Drained, so that the child can say its last.
    lines.for_each(drop);
    assert!(child.wait().unwrap().success());
}

#[test]
fn a_record_held_by_another_program_is_busy_and_then_works() {
    let (_folder, place) = started();
    let record = Record::open_within(&place, SHORT).unwrap();
    let next = || record.post(&tech(), "k-2", journal(JobId(1), "2", Verdict::Within), at(2));
    while_held(&place, "BEGIN IMMEDIATE", || {
        assert_eq!(next(), Err(RecordError::Busy));
        assert_eq!(record.readings(JobId(1)).unwrap().len(), 1, "reading goes on");
    });
    assert!(!next().unwrap().was_retry, "nothing of the first try was kept");
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn a_record_that_another_program_keeps_to_itself_is_locked() {
    let (_folder, place) = started();
    let exclusive = "PRAGMA locking_mode = EXCLUSIVE; BEGIN IMMEDIATE; COMMIT;";
    while_held(&place, exclusive, || {
        let trouble = Record::open_within(&place, SHORT).unwrap_err();
        assert_eq!(trouble, OpenTrouble::Locked { place: place.clone() });
    });
    assert!(Record::open_within(&place, SHORT).is_ok());
}

#[test]
#[ignore = "run by the test of a full disk"]
fn child_posts_until_there_is_no_room() {
    let Some(place) = place_from_parent() else { return };
    let record = Record::open(&place).unwrap();
    let note = "x".repeat(10_000);
    for n in 2..1000 {
        let mut measured = journal(JobId(1), &n.to_string(), Verdict::Within);
        measured.note = Some(note.clone());
        match record.post(&tech(), &format!("k-{n}"), measured, at(n)) {
            Ok(posted) => println!("posted {}", posted.reading.id),
            Err(error) => {
                assert!(matches!(error, RecordError::DiskFull | RecordError::Disk { .. }), "{error:?}");
                assert!(error.to_string().contains("nothing was recorded"), "{error}");
                assert_eq!(record.verify().unwrap().fault, None);
                println!("no room");
                return;
            }
        }
    }
    panic!("the limit was never met");
}

#[test]
fn when_there_is_no_room_nothing_is_half_written_and_it_works_again_with_room() {
    let (_folder, place) = started();
    // A limit on file size stands in for a full disk: 2048 blocks of 512 bytes.
    let output = Command::new("sh")
        .args(["-c", "ulimit -f 2048; trap '' XFSZ; exec \"$0\" \"$@\""])
        .arg(env::current_exe().unwrap())
        .args(only(module_path!(), "child_posts_until_there_is_no_room"))
        .env(PLACE, &place)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.contains("no room"), "{said}{}", String::from_utf8_lossy(&output.stderr));
    let acknowledged: Vec<i64> =
        said.lines().filter_map(|line| line.split("posted ").nth(1)?.trim().parse().ok()).collect();
    assert!(!acknowledged.is_empty());

    let record = Record::open(&place).unwrap();
    let kept = ids(&record.readings(JobId(1)).unwrap());
    assert_eq!(kept[1..], acknowledged, "what was acknowledged is there, and nothing else");
    post(&record, &tech(), "after", journal(JobId(1), "x", Verdict::Within));
    assert_eq!(record.verify().unwrap().fault, None);
}

/// A disk of its own of so many KiB, where this user may make one.
struct SmallDisk(TempDir);

impl SmallDisk {
    fn of(kib: u32) -> Option<Self> {
        let folder = TempDir::new().unwrap();
        let options = format!("size={kib}k");
        let made = Command::new("mount").args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(folder.path()).output();
        made.is_ok_and(|output| output.status.success()).then(|| Self(folder))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        // Lazily, for a test that failed may still have files open there.
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).status();
    }
}

/// The same on a real disk without room, with eight posters at once, and with the record open all the time.
#[test]
fn a_disk_that_fills_under_eight_posters_and_is_cleared() {
    let Some(disk) = SmallDisk::of(1536) else {
        eprintln!("this user may not make a disk: the limit on file size above stands in for it");
        return;
    };
    let (place, ballast) = (disk.0.path().join("record.sqlite"), disk.0.path().join("ballast"));
    let record = Record::open(&place).unwrap();
    let job = open_job(&record).id;
    fs::write(&ballast, vec![0; 600 * 1024]).unwrap();
    let until_full = |poster: usize| {
        let who = actor(&format!("tech-{poster}"), Role::Tech);
        let mut posted = Vec::new();
        for n in 0..1000 {
            let mut measured = journal(job, &format!("{poster}-{n}"), Verdict::Within);
            measured.note = Some("x".repeat(4000));
            match record.post(&who, &n.to_string(), measured, at(n)) {
                Ok(done) => posted.push(done.reading.id.0),
                Err(error) => return (posted, error),
            }
        }
        panic!("the disk was never full");
    };
    let outcomes: Vec<_> = thread::scope(|threads| {
        let posters: Vec<_> = (0..8).map(|poster| threads.spawn(move || until_full(poster))).collect();
        posters.into_iter().map(|poster| poster.join().unwrap()).collect()
    });
    let mut acknowledged: Vec<i64> = outcomes.iter().flat_map(|(posted, _)| posted.clone()).collect();
    acknowledged.sort_unstable();
    for (_, error) in &outcomes {
        assert!(matches!(error, RecordError::DiskFull | RecordError::Disk { .. }), "{error:?}");
    }
    assert_eq!(ids(&record.readings(job).unwrap()), acknowledged, "what was acknowledged, and nothing else");
    assert_eq!(record.verify().unwrap().fault, None);

    // Copies that find no room leave nothing behind.
    let before = fs::read_dir(disk.0.path()).unwrap().count();
    assert!(matches!(record.backup(&disk.0.path().join("copy.sqlite"), &quietly), Err(SafekeepingError::Record(_))));
    assert!(matches!(record.export(&disk.0.path().join("record.jsonl"), &quietly), Err(SafekeepingError::Disk { .. })));
    assert_eq!(fs::read_dir(disk.0.path()).unwrap().count(), before);

    fs::remove_file(&ballast).unwrap();
    post(&record, &tech(), "after", journal(job, "after", Verdict::Within));
    assert_eq!(record.readings(job).unwrap().len(), acknowledged.len() + 1);
    drop(record);
    assert_eq!(Record::open(&place).unwrap().verify().unwrap().fault, None);
}

/// A clock set back changes what time is told, and nothing else: order is the order of posting.
#[test]
fn a_clock_set_back_changes_no_order() {
    let (_folder, place) = started();
    let record = Record::open(&place).unwrap();
    let job = JobId(1);
    let later = record.post(&tech(), "k-2", journal(job, "1", Verdict::Out), at(50)).unwrap().reading.id;
    let elsewhere = record.post(&tech(), "k-5", journal(job, "2", Verdict::Out), at(-80_000)).unwrap().reading.id;
    assert_eq!(ids(&record.queue(9).unwrap())[..2], [later.0, elsewhere.0], "the first posted waits longest");
    let earlier = record.post(&tech(), "k-3", journal(job, "1", Verdict::Out), at(-90_000)).unwrap().reading.id;
    assert!(earlier > later);
    assert_eq!(record.latest(job, "main-journal", "1").unwrap().unwrap().reading.id, earlier);
    assert_eq!(ids(&record.queue(9).unwrap())[..2], [elsewhere.0, earlier.0], "the last posted counts");
    assert!(record.post(&tech(), "k-2", journal(job, "1", Verdict::Out), at(-100_000)).unwrap().was_retry);
    record.review(&lead(), &[later], Decision::Returned, Some("again"), false, at(40)).unwrap();
    record.review(&lead(), &[later], Decision::Accepted, None, false, at(-40)).unwrap();
    assert_eq!(record.reading(later).unwrap().review.unwrap().decision, Decision::Accepted, "the last said counts");
    let amended =
        record.amend(&tech(), "k-4", earlier, "misread", journal(job, "1", Verdict::Within), at(-95_000)).unwrap();
    assert_eq!(record.reading(earlier).unwrap().superseded_by, Some(amended.reading.id));
    record.close_job(&lead(), job, None, at(-200_000)).unwrap();
    assert_eq!(record.verify().unwrap().fault, None);
    drop(record);
    assert_eq!(Record::open(&place).unwrap().verify().unwrap().fault, None);
}

/// Nor does the desk stumble over times that run backwards.
#[test]
fn a_clock_set_back_stops_no_line() {
    let people = [("lead".to_owned(), Role::Lead), ("tech-1".to_owned(), Role::Tech)];
    let settings = Settings { people: people.into_iter().collect(), ..Settings::default() };
    let desk = talks::desk(settings, Record::in_memory().unwrap());
    let lines = [
        ("tech-1", "job open skerry-v8 Skerry V8", 1000),
        ("tech-1", "log crank-end-float 0.006in job=1", -1000),
        ("tech-1", "log crank-end-float 0.0062in job=1", -500_000),
        ("lead", "job show 1", -2000),
        ("lead", "review queue", -600_000),
        ("lead", "next 1", -600_000),
        ("lead", "sheet 1", -600_000),
    ];
    for (person, line, now) in lines {
        let outcome = desk.answer(&Asker::new(person, Front::Terminal), line, at(now));
        assert!(matches!(outcome, Outcome::Reply(_)), "{line}: {outcome:?}");
    }
}
