//! Opening: a new place, one that was left, and files that are refused and stay as they are.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::{
    fs,
    path::{Path, PathBuf},
    sync::Arc,
    thread,
};

use gudgeon::{
    maths::judge::Verdict,
    record::{OpenTrouble, Record},
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{actor, at, journal, open_job, post, tech};

fn place(folder: &TempDir) -> PathBuf {
    folder.path().join("record.sqlite")
}

/// A closed record of some size, all in its one file.
fn left(folder: &TempDir) -> PathBuf {
    let place = place(folder);
    let record = Record::open(&place).unwrap();
    let job = open_job(&record).id;
    for n in 0..40 {
        post(&record, &tech(), &n.to_string(), journal(job, &n.to_string(), Verdict::Within));
    }
    place
}

fn files(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Opens what must be refused, and checks that not a byte of it changed.
fn refused(place: &Path) -> OpenTrouble {
    let before = fs::read(place).unwrap();
    let trouble = Record::open(place).expect_err("it must be refused");
    assert_eq!(fs::read(place).unwrap(), before, "{trouble}");
    trouble
}

#[test]
fn what_was_posted_is_there_after_reopening() {
    let folder = TempDir::new().unwrap();
    let place = left(&folder);
    assert_eq!(files(folder.path()), ["record.sqlite"], "closed, it is one file");
    let record = Record::open(&place).unwrap();
    let job = record.jobs(gudgeon::record::JobFilter::All).unwrap().remove(0).id;
    assert_eq!(record.readings(job).unwrap().len(), 40);
    assert!(record.post(&tech(), "7", journal(job, "7", Verdict::Within), at(2)).unwrap().was_retry);
    let chain = record.verify().unwrap();
    assert_eq!((chain.events, chain.fault), (41, None));
}

#[test]
fn it_is_kept_as_the_design_says() {
    let folder = TempDir::new().unwrap();
    let conn = Connection::open(left(&folder)).unwrap();
    let text = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, String>(0)).unwrap();
    assert_eq!(text("PRAGMA journal_mode"), "wal");
    let lax = "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0
                   AND name NOT LIKE 'sqlite_%'";
    assert_eq!(conn.query_row(lax, [], |row| row.get::<_, i64>(0)), Ok(0));
    assert_eq!(text("PRAGMA integrity_check"), "ok");
}

#[test]
fn a_newer_record_is_refused_untouched() {
    let folder = TempDir::new().unwrap();
    let place = left(&folder);
    Connection::open(&place).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let trouble = refused(&place);
    assert!(matches!(trouble, OpenTrouble::Newer { found: 99, .. }), "{trouble}");
    assert!(trouble.to_string().contains("run the newer program"), "{trouble}");
}

#[test]
fn a_damaged_record_is_refused_untouched() {
    let folder = TempDir::new().unwrap();
    let place = left(&folder);
    let whole = fs::read(&place).unwrap();
    let mut scrambled = whole.clone();
    for byte in scrambled.iter_mut().skip(4096).step_by(7) {
        *byte ^= 0x5a;
    }
    let mut headless = whole.clone();
    headless[..16].fill(0);
    let cases: [(&str, Vec<u8>); 5] = [
        ("scrambled", scrambled),
        ("cut short", whole[..whole.len() / 2].to_vec()),
        ("headless", headless),
        ("empty", Vec::new()),
        ("text", b"shopping list: rings, gaskets, more rings, and a longer line than the header".repeat(9)),
    ];
    for (name, bytes) in cases {
        fs::write(&place, bytes).unwrap();
        let trouble = refused(&place);
        assert!(matches!(trouble, OpenTrouble::Damaged { .. }), "{name}: {trouble:?}");
        assert!(trouble.to_string().contains("gudgeon restore"), "{trouble}");
    }
    fs::write(&place, whole).unwrap();
    assert!(Record::open(&place).is_ok(), "the same bytes, whole, open");
}

/// A new record under that name would swallow what the old one's log still holds.
#[test]
fn a_log_without_its_record_is_refused() {
    let folder = TempDir::new().unwrap();
    let place = place(&folder);
    let log = folder.path().join("record.sqlite-wal");
    fs::write(&log, b"what was posted last").unwrap();
    assert!(matches!(Record::open(&place), Err(OpenTrouble::Damaged { .. })));
    assert_eq!(files(folder.path()), ["record.sqlite-wal"]);
    assert_eq!(fs::read(&log).unwrap(), b"what was posted last");
}

#[test]
fn another_programs_database_or_a_folder_is_refused() {
    let folder = TempDir::new().unwrap();
    let place = place(&folder);
    Connection::open(&place).unwrap().execute_batch("CREATE TABLE stock (part TEXT)").unwrap();
    assert_eq!(refused(&place), OpenTrouble::Foreign { place });
    let inside = folder.path().to_path_buf();
    assert_eq!(Record::open(&inside).unwrap_err(), OpenTrouble::Foreign { place: inside });
    let nowhere = folder.path().join("no/such/folder/record.sqlite");
    assert!(Record::open(&nowhere).unwrap_err().to_string().contains("folder does not exist"));
    assert!(!folder.path().join("no").exists());
}

#[test]
fn many_make_and_share_one_record() {
    let folder = TempDir::new().unwrap();
    let place = place(&folder);
    thread::scope(|threads| {
        for n in 0..6 {
            let place = &place;
            threads.spawn(move || {
                let record = Record::open(place).unwrap();
                let who = actor(&format!("tech-{n}"), gudgeon::record::Role::Tech);
                let job = record.open_job(&who, None, "fulmar-four", "Fulmar four", None, at(n)).unwrap().id;
                for position in 0..5 {
                    let key = format!("k-{position}");
                    record.post(&who, &key, journal(job, &position.to_string(), Verdict::Within), at(n)).unwrap();
                }
            });
        }
    });
    let chain = Record::open(&place).unwrap().verify().unwrap();
    assert_eq!((chain.events, chain.fault), (36, None));
    assert_eq!(files(folder.path()), ["record.sqlite"], "nothing half-made is left beside it");
}

#[test]
fn one_record_serves_many_threads() {
    let record = Arc::new(Record::in_memory().unwrap());
    let job = open_job(&record).id;
    let threads: Vec<_> = (0..8)
        .map(|n| {
            let record = Arc::clone(&record);
            thread::spawn(move || {
                for retry in 0..3 {
                    let posted =
                        record.post(&tech(), &format!("k-{n}"), journal(job, &n.to_string(), Verdict::Out), at(n));
                    assert_eq!(posted.unwrap().was_retry, retry > 0);
                }
            })
        })
        .collect();
    threads.into_iter().for_each(|thread| thread.join().unwrap());
    assert_eq!(record.readings(job).unwrap().len(), 8);
    assert_eq!(record.verify().unwrap().fault, None);
}
