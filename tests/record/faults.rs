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
    time::Duration,
};

use gudgeon::{
    maths::judge::Verdict,
    record::{JobId, OpenTrouble, Record, RecordError},
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{at, ids, journal, open_job, post, tech};

const PLACE: &str = "RECORD_TEST_PLACE";
const SHORT: Duration = Duration::from_millis(50);

fn place_from_parent() -> Option<PathBuf> {
    env::var_os(PLACE).map(PathBuf::from)
}

/// The arguments that run one test of this file alone.
fn only(test: &str) -> [String; 4] {
    let (_crate, module) = module_path!().split_once("::").unwrap();
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
                std::thread::sleep(Duration::from_millis(10));
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
    child.args(only(test)).env(PLACE, place).current_dir("/");
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
        .args(only("child_holds_the_record"))
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
        .args(only("child_posts_until_there_is_no_room"))
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
