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

/// A record on disk with one event of every kind: 1 opened, 2 and 3 readings, 4 returned, 5 amended, 6 limit, 7 closed.
fn worked() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    let job = open_job(&record).id;
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    post(&record, &tech(), "k-2", journal(job, "2", Verdict::Within));
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
    let cases = [
        ("SELECT 1", None),
        (
            "UPDATE event SET payload = replace(payload, '\"out\"', '\"within\"') WHERE seq = 2",
            Some(Fault::Altered { seq: 2 }),
        ),
        ("UPDATE event SET person = 'tech-2' WHERE seq = 3", Some(Fault::Altered { seq: 3 })),
        ("UPDATE event SET at = '2020-01-01T00:00:00Z' WHERE seq = 1", Some(Fault::Altered { seq: 1 })),
        ("UPDATE event SET key = NULL WHERE seq = 3", Some(Fault::Altered { seq: 3 })),
        // Text moved from one column to the next makes another hash.
        (
            "UPDATE event SET front = front || 'b', channel = substr(channel, 2) WHERE seq = 4",
            Some(Fault::Altered { seq: 4 }),
        ),
        ("UPDATE event SET hash = zeroblob(32) WHERE seq = 6", Some(Fault::Altered { seq: 6 })),
        ("UPDATE event SET previous = zeroblob(32) WHERE seq = 6", Some(Fault::Unlinked { seq: 6 })),
        ("DELETE FROM event WHERE seq = 4", Some(Fault::Missing { seq: 4 })),
        ("DELETE FROM event WHERE seq = 1", Some(Fault::Missing { seq: 1 })),
        // Where things stand must follow from the events.
        ("UPDATE standing SET severity = 0 WHERE reading = 5", Some(Fault::Standing { table: "standing", id: 5 })),
        ("DELETE FROM standing WHERE reading = 3", Some(Fault::Standing { table: "standing", id: 3 })),
        ("UPDATE standing SET waiting = 1 WHERE reading = 3", Some(Fault::Standing { table: "standing", id: 3 })),
        ("UPDATE job SET closed = NULL WHERE id = 1", Some(Fault::Standing { table: "job", id: 1 })),
        // The last event cut off: the job still says it was closed.
        ("DELETE FROM event WHERE seq = 7", Some(Fault::Standing { table: "job", id: 1 })),
    ];
    for (sql, fault) in cases {
        assert_eq!(tampered(sql), fault, "{sql}");
    }
}
