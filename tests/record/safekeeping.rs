//! Backup while others post, and restore that overwrites nothing.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::{fs, path::Path, thread};

use gudgeon::{
    maths::judge::Verdict,
    record::{Fault, JobFilter, JobId, OpenTrouble, Record, SafekeepingError, quietly, restore},
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{at, journal, names, open_job, post, tech};

fn with_readings(place: &Path, count: usize) -> Record {
    let record = Record::open(place).unwrap();
    let job = open_job(&record).id;
    for n in 0..count {
        post(&record, &tech(), &format!("k-{n}"), journal(job, &n.to_string(), Verdict::Within));
    }
    record
}

#[test]
fn a_backup_is_the_record_of_that_moment() {
    let folder = TempDir::new().unwrap();
    let record = with_readings(&folder.path().join("record.sqlite"), 20);
    let copy = folder.path().join("copy.sqlite");
    let chain = record.backup(&copy, &quietly).unwrap();
    assert_eq!((chain.events, chain.fault), (21, None));
    assert_eq!(chain.head, record.head().unwrap().1);

    post(&record, &tech(), "later", journal(JobId(1), "x", Verdict::Out));
    let opened = Record::open(&copy).unwrap();
    assert_eq!(opened.head().unwrap(), (21, chain.head));
    assert_eq!(opened.readings(JobId(1)).unwrap(), record.readings(JobId(1)).unwrap()[..20]);
}

#[test]
fn a_backup_overwrites_nothing() {
    let folder = TempDir::new().unwrap();
    let record = with_readings(&folder.path().join("record.sqlite"), 1);
    let taken = folder.path().join("notes.txt");
    fs::write(&taken, "mine").unwrap();
    assert_eq!(record.backup(&taken, &quietly), Err(SafekeepingError::Exists(taken.clone())));
    assert_eq!(fs::read(&taken).unwrap(), b"mine");
    assert!(record.backup(&folder.path().join("no/such/copy.sqlite"), &quietly).is_err());
    drop(record);
    assert_eq!(names(folder.path()), ["notes.txt", "record.sqlite"], "nothing half-made is left");
}

#[test]
fn posting_goes_on_during_a_backup() {
    let folder = TempDir::new().unwrap();
    let record = with_readings(&folder.path().join("record.sqlite"), 300);
    thread::scope(|threads| {
        let poster = threads.spawn(|| {
            for n in 0..60 {
                record.post(&tech(), &format!("during-{n}"), journal(JobId(1), "x", Verdict::Within), at(n)).unwrap();
            }
        });
        for n in 0..4 {
            let chain = record.backup(&folder.path().join(format!("copy-{n}.sqlite")), &quietly).unwrap();
            assert!(chain.events >= 301 && chain.fault.is_none(), "{chain:?}");
        }
        poster.join().unwrap();
    });
    assert_eq!(record.verify().unwrap().events, 361);
}

#[test]
fn a_record_in_memory_can_be_backed_up() {
    let folder = TempDir::new().unwrap();
    let record = Record::in_memory().unwrap();
    open_job(&record);
    let copy = folder.path().join("copy.sqlite");
    record.backup(&copy, &quietly).unwrap();
    assert_eq!(Record::open(&copy).unwrap().jobs(JobFilter::All), record.jobs(JobFilter::All));
}

#[test]
fn a_restore_into_an_empty_place_gives_the_record_back() {
    let folder = TempDir::new().unwrap();
    let record = with_readings(&folder.path().join("record.sqlite"), 5);
    let (copy, new) = (folder.path().join("copy.sqlite"), folder.path().join("new.sqlite"));
    record.backup(&copy, &quietly).unwrap();
    let restored = restore(&copy, &new, &quietly).unwrap();
    assert_eq!((restored.chain.events, restored.kept), (6, None));
    assert_eq!(Record::open(&new).unwrap().readings(JobId(1)), record.readings(JobId(1)));
}

#[test]
fn a_restore_leaves_a_log_that_has_lost_its_record() {
    let folder = TempDir::new().unwrap();
    let copy = folder.path().join("copy.sqlite");
    with_readings(&folder.path().join("record.sqlite"), 5).backup(&copy, &quietly).unwrap();
    let (new, log) = (folder.path().join("new.sqlite"), folder.path().join("new.sqlite-wal"));
    fs::write(&log, "what was posted last").unwrap();
    assert!(matches!(restore(&copy, &new, &quietly), Err(SafekeepingError::Disk { place, .. }) if place == log));
    assert_eq!(names(folder.path()), ["copy.sqlite", "new.sqlite-wal", "record.sqlite"]);
}

#[test]
fn a_restore_keeps_the_old_record_aside() {
    let folder = TempDir::new().unwrap();
    let (place, copy) = (folder.path().join("record.sqlite"), folder.path().join("copy.sqlite"));
    let record = with_readings(&place, 5);
    record.backup(&copy, &quietly).unwrap();
    post(&record, &tech(), "after the backup", journal(JobId(1), "x", Verdict::Out));
    assert_eq!(restore(&copy, &place, &quietly), Err(SafekeepingError::InUse(place.clone())), "someone has it open");
    drop(record);
    let old = fs::read(&place).unwrap();

    let kept = restore(&copy, &place, &quietly).unwrap().kept.unwrap();
    assert_eq!(fs::read(&kept).unwrap(), old);
    assert_eq!(Record::open(&place).unwrap().verify().unwrap().events, 6);
    assert_eq!(Record::open(&kept).unwrap().verify().unwrap().events, 7, "the old one still opens, whole");
    let second = restore(&copy, &place, &quietly).unwrap().kept.unwrap();
    assert_ne!(second, kept, "a second restore keeps its own");
    assert_eq!(names(folder.path()).len(), 4, "{:?}", names(folder.path()));
}

#[test]
fn a_restore_keeps_the_log_of_a_record_that_was_cut_off() {
    let folder = TempDir::new().unwrap();
    let (place, copy) = (folder.path().join("record.sqlite"), folder.path().join("copy.sqlite"));
    let record = with_readings(&place, 5);
    record.backup(&copy, &quietly).unwrap();
    // What a power cut leaves: the file and its log, never folded together.
    let cut = TempDir::new().unwrap();
    let lost = cut.path().join("record.sqlite");
    fs::copy(&place, &lost).unwrap();
    fs::copy(folder.path().join("record.sqlite-wal"), cut.path().join("record.sqlite-wal")).unwrap();

    let kept = restore(&copy, &lost, &quietly).unwrap().kept.unwrap();
    assert_eq!(Record::open(&kept).unwrap().verify().unwrap().events, 6, "its log was kept with it");
    assert_eq!(Record::open(&lost).unwrap().verify().unwrap().fault, None);
}

#[test]
fn a_restore_replaces_a_damaged_record_and_keeps_it() {
    let folder = TempDir::new().unwrap();
    let (place, copy) = (folder.path().join("record.sqlite"), folder.path().join("copy.sqlite"));
    with_readings(&place, 5).backup(&copy, &quietly).unwrap();
    for wreck in [b"not a record at all".repeat(400), Vec::new()] {
        fs::write(&place, &wreck).unwrap();
        let kept = restore(&copy, &place, &quietly).unwrap().kept.unwrap();
        assert_eq!(fs::read(kept).unwrap(), wreck);
        assert_eq!(Record::open(&place).unwrap().verify().unwrap().events, 6);
    }
}

#[test]
fn a_backup_that_does_not_hold_together_is_not_restored() {
    let folder = TempDir::new().unwrap();
    let (place, copy) = (folder.path().join("record.sqlite"), folder.path().join("copy.sqlite"));
    with_readings(&place, 5).backup(&copy, &quietly).unwrap();
    let before = fs::read(&place).unwrap();
    let raw = |sql: &str| Connection::open(&copy).unwrap().execute_batch(sql).unwrap();

    raw("DROP TRIGGER event_is_never_changed; UPDATE event SET person = 'x' WHERE seq = 3");
    let broken = restore(&copy, &place, &quietly);
    assert!(matches!(broken, Err(SafekeepingError::Broken(Fault::Altered { seq: 3, .. }))), "{broken:?}");
    raw("PRAGMA user_version = 9");
    let newer = restore(&copy, &place, &quietly);
    assert!(matches!(newer, Err(SafekeepingError::Open(OpenTrouble::Newer { found: 9, .. }))), "{newer:?}");
    fs::write(&copy, "torn").unwrap();
    assert!(matches!(restore(&copy, &place, &quietly), Err(SafekeepingError::Open(OpenTrouble::Damaged { .. }))));
    assert!(matches!(restore(&folder.path().join("none"), &place, &quietly), Err(SafekeepingError::Open(_))));

    assert_eq!(fs::read(&place).unwrap(), before);
    assert_eq!(names(folder.path()), ["copy.sqlite", "record.sqlite"]);
}

#[test]
fn a_record_with_a_broken_chain_is_still_copied_and_says_so() {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = with_readings(&place, 5);
    let sql = "DROP TRIGGER event_is_never_changed; UPDATE event SET person = 'x' WHERE seq = 3";
    Connection::open(&place).unwrap().execute_batch(sql).unwrap();
    let chain = record.backup(&folder.path().join("copy.sqlite"), &quietly).unwrap();
    assert!(matches!(chain.fault, Some(Fault::Altered { seq: 3, .. })), "{chain:?}");
}
