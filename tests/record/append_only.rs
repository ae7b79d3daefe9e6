//! The events only grow, whoever asks; and what is done past the triggers shows.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::path::{Path, PathBuf};

use gudgeon::{
    maths::judge::Verdict,
    record::{Decision, Fault, LimitOverride, Record},
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{at, journal, lead, open_job, post, tech};

/// One event of every kind: 1 opened, 2 and 3 readings, 4 returned, 5 amended, 6 limit, 7 closed.
pub fn fill(record: &Record) {
    let job = open_job(record).id;
    let first = post(record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    post(record, &tech(), "k-2", journal(job, "2", Verdict::Within));
    record.review(&lead(), &[first], Decision::Returned, Some("again"), false, at(2)).unwrap();
    record.amend(&tech(), "k-3", first, "misread", journal(job, "1", Verdict::Within), at(3)).unwrap();
    let limit = LimitOverride {
        job,
        measure: "squish".into(),
        at: "-".into(),
        min: Some(0.001),
        max: None,
        unit: "mm".into(),
        reason: "thicker gasket".into(),
    };
    record.override_limit(&lead(), limit, at(4)).unwrap();
    record.close_job(&lead(), job, None, at(5)).unwrap();
}

/// A record on disk that was filled so.
pub fn worked() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    fill(&record);
    let chain = record.verify().unwrap();
    assert_eq!((chain.events, chain.fault), (7, None));
    assert_eq!(record.head().unwrap(), (7, chain.head));
    (folder, place)
}

fn raw(place: &Path, sql: &str) -> Result<(), String> {
    Connection::open(place).unwrap().execute_batch(sql).map_err(|error| error.to_string())
}

#[test]
fn no_sql_changes_deletes_or_replaces_an_event() {
    let (_folder, place) = worked();
    let columns = "seq, at, person, role, front, channel, key, payload, previous, hash";
    let attempts = [
        "UPDATE event SET person = 'tech-2' WHERE seq = 2".to_owned(),
        "UPDATE event SET seq = 20 WHERE seq = 7".to_owned(),
        "UPDATE OR REPLACE event SET key = 'k-1' WHERE seq = 3".to_owned(),
        "DELETE FROM event WHERE seq = 7".to_owned(),
        "DELETE FROM event".to_owned(),
        format!("INSERT OR REPLACE INTO event ({columns}) SELECT {columns} FROM event WHERE seq = 7"),
        // A new number, but the key or the amended reading of an old event: REPLACE would delete that one.
        format!(
            "INSERT OR REPLACE INTO event ({columns}) SELECT 8, at, person, role, front, channel, key, '{{}}',
                 (SELECT hash FROM event WHERE seq = 7), zeroblob(32) FROM event WHERE seq = 2"
        ),
        format!(
            "INSERT OR REPLACE INTO event ({columns}) SELECT 8, at, person, role, front, channel, 'k-9', payload,
                 (SELECT hash FROM event WHERE seq = 7), zeroblob(32) FROM event WHERE seq = 5"
        ),
        format!(
            "INSERT INTO event ({columns}) SELECT 9, at, person, role, front, channel, NULL, '{{}}',
                 (SELECT hash FROM event WHERE seq = 7), zeroblob(32) FROM event WHERE seq = 2"
        ),
        format!(
            "INSERT INTO event ({columns}) SELECT 8, at, person, role, front, channel, NULL, '{{}}',
                 zeroblob(32), zeroblob(32) FROM event WHERE seq = 2"
        ),
    ];
    for sql in attempts {
        let refused = raw(&place, &sql).expect_err(&sql);
        assert!(refused.contains("append-only"), "{sql}: {refused}");
    }
    let chain = Record::open(&place).unwrap().verify().unwrap();
    assert_eq!((chain.events, chain.fault), (7, None));
}

#[test]
fn tables_take_no_value_of_the_wrong_kind() {
    let (_folder, place) = worked();
    for sql in [
        "INSERT INTO job (id, opened) VALUES ('seven', 1)",
        "PRAGMA foreign_keys = ON; INSERT INTO current_job VALUES ('tech-1', 'bench', 44)",
        "INSERT INTO event (at, person, role, front, channel, payload, previous, hash)
             SELECT at, person, 'owner', front, channel, '{}', hash, hash FROM event WHERE seq = 7",
        "INSERT INTO event (seq, at, person, role, front, channel, payload, previous, hash)
             SELECT 8, at, person, role, front, channel, 'not json', hash, hash FROM event WHERE seq = 7",
    ] {
        assert!(raw(&place, sql).is_err(), "{sql}");
    }
}

/// Past the triggers, as someone with the file and time on their hands would.
fn tampered(sql: &str) -> Option<Fault> {
    let (_folder, place) = worked();
    raw(
        &place,
        &format!(
            "PRAGMA foreign_keys = OFF; DROP TRIGGER event_is_never_changed; DROP TRIGGER event_is_never_deleted;
             DROP TRIGGER event_only_goes_on_the_end; {sql}"
        ),
    )
    .unwrap();
    Record::open(&place).unwrap().verify().unwrap().fault
}

#[test]
fn the_first_broken_link_is_named() {
    let altered = |seq: i64| format!("event {seq} is not as it was written: the hash ");
    let standing = |table: &str, id: i64| format!("the {table} table is wrong about number {id}: ");
    let zeros = "0".repeat(64);
    let cases = [
        ("UPDATE event SET payload = replace(payload, '\"out\"', '\"within\"') WHERE seq = 2", altered(2)),
        ("UPDATE event SET person = 'tech-2' WHERE seq = 3", altered(3)),
        ("UPDATE event SET at = '2020-01-01T00:00:00Z' WHERE seq = 1", altered(1)),
        ("UPDATE event SET key = NULL WHERE seq = 3", altered(3)),
        // Text moved from one column to the next makes another hash.
        ("UPDATE event SET front = front || 'b', channel = substr(channel, 2) WHERE seq = 4", altered(4)),
        ("UPDATE event SET hash = zeroblob(32) WHERE seq = 6", altered(6) + &zeros + " was expected"),
        (
            "UPDATE event SET previous = zeroblob(32) WHERE seq = 6",
            "event 6 does not follow from the one before it: the hash ".into(),
        ),
        ("DELETE FROM event WHERE seq = 4", "event 4 is missing".into()),
        ("DELETE FROM event WHERE seq = 1", "event 1 is missing".into()),
        // Where things stand must follow from the events.
        ("UPDATE standing SET severity = 0 WHERE reading = 5", standing("standing", 5)),
        ("DELETE FROM standing WHERE reading = 3", standing("standing", 3)),
        ("UPDATE standing SET waiting = 1 WHERE reading = 3", standing("standing", 3)),
        (
            "INSERT INTO standing SELECT 5000000, job, check_id, position, person, 0, NULL, NULL, 0 FROM standing LIMIT 1",
            standing("standing", 5_000_000),
        ),
        (
            "INSERT INTO standing SELECT -8, job, check_id, position, person, 0, NULL, NULL, 0 FROM standing LIMIT 1",
            standing("standing", -8),
        ),
        ("UPDATE job SET closed = NULL WHERE id = 1", standing("job", 1)),
        // The last event cut off: the job still says it was closed.
        ("DELETE FROM event WHERE seq = 7", standing("job", 1)),
    ];
    for (sql, said) in cases {
        let fault = tampered(sql).expect(sql).to_string();
        assert!(fault.starts_with(&said), "{sql}: {fault}");
    }
    assert_eq!(tampered("SELECT 1"), None);
}

/// What was expected is the hash of the event before, and the hash that the event was kept with.
#[test]
fn a_broken_link_says_what_was_expected() {
    let hash_of = |place: &Path, seq: i64| {
        let sql = "SELECT lower(hex(hash)) FROM event WHERE seq = ?";
        Connection::open(place).unwrap().query_row(sql, [seq], |row| row.get::<_, String>(0)).unwrap()
    };
    let (_folder, place) = worked();
    let (fifth, sixth) = (hash_of(&place, 5), hash_of(&place, 6));
    match tampered("UPDATE event SET previous = zeroblob(32) WHERE seq = 6") {
        Some(Fault::Unlinked { seq: 6, expected, found }) => {
            assert_eq!((expected.to_hex().to_string(), found), (fifth, "0".repeat(64)));
        }
        other => panic!("{other:?}"),
    }
    match tampered("UPDATE event SET person = 'x' WHERE seq = 6") {
        Some(Fault::Altered { seq: 6, expected, found }) => {
            assert_eq!(expected, sixth);
            assert_ne!(found.to_hex().as_str(), sixth);
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(tampered("DELETE FROM event WHERE seq IN (4, 5)"), Some(Fault::Missing { seq: 4, found: 6 }));
}
