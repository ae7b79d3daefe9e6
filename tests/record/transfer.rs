//! Export and import: a record as lines of text and an equal one made of them; nothing else is taken for one.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::{cell::RefCell, collections::BTreeMap, fs, path::Path};

use gudgeon::{
    maths::judge::Verdict,
    record::{Actor, Fault, JobId, OpenTrouble, Record, SafekeepingError, import, quietly},
};
use proptest::prelude::*;
use rusqlite::{Connection, types::Value};
use tempfile::TempDir;

use super::{append_only::worked, at, journal, lead, names, open_job, post, tech};

/// Every row of every table, and the layout that holds them.
pub fn everything(place: &Path) -> BTreeMap<String, Vec<Vec<Value>>> {
    let conn = Connection::open(place).unwrap();
    let rows = |sql: &str| -> Vec<Vec<Value>> {
        let mut query = conn.prepare(sql).unwrap();
        let width = query.column_count();
        let rows = query.query_map([], |row| (0..width).map(|n| row.get(n)).collect()).unwrap();
        rows.collect::<Result<_, _>>().unwrap()
    };
    let mut out = BTreeMap::from([
        ("sqlite_schema".to_owned(), rows("SELECT type, name, sql FROM sqlite_schema ORDER BY name")),
        ("pragmas".to_owned(), rows("SELECT * FROM pragma_user_version, pragma_application_id")),
    ]);
    for table in rows("SELECT name FROM sqlite_schema WHERE type = 'table'") {
        let Some(Value::Text(table)) = table.into_iter().next() else { panic!("a table without a name") };
        let order = if matches!(table.as_str(), "told" | "digest" | "photo") { "1" } else { "1, 2" };
        out.insert(table.clone(), rows(&format!("SELECT * FROM {table} ORDER BY {order}")));
    }
    out
}

/// A record with every kind of event and a job in hand, its export, and the folder they are in.
fn exported() -> (TempDir, String) {
    let (folder, place) = worked();
    let record = Record::open(&place).unwrap();
    let job = open_job(&record).id;
    for (person, channel) in [(lead(), "bench"), (tech(), "bench"), (tech(), "yard")] {
        record.set_current(&Actor { channel: channel.into(), ..person }, job).unwrap();
    }
    let mut measured = journal(job, "3", Verdict::Marginal);
    measured.note = Some("scored — “left” side\nsecond line \u{1f527}".into());
    post(&record, &tech(), "k-9", measured);
    let chain = record.export(&folder.path().join("record.jsonl"), &quietly).unwrap();
    assert_eq!((chain.events, chain.fault, chain.head), (9, None, record.head().unwrap().1));
    let text = fs::read_to_string(folder.path().join("record.jsonl")).unwrap();
    (folder, text)
}

#[test]
fn an_import_gives_an_equal_record() {
    let (folder, text) = exported();
    let at_place = |name: &str| folder.path().join(name);
    let chain = import(&at_place("record.jsonl"), &at_place("again.sqlite"), &quietly).unwrap();
    let (first, again) = (everything(&at_place("record.sqlite")), everything(&at_place("again.sqlite")));
    for table in ["event", "job", "standing", "current_job"] {
        assert!(!first[table].is_empty(), "{table} is compared with nothing in it");
    }
    assert_eq!(first, again);

    let record = Record::open(&at_place("again.sqlite")).unwrap();
    assert_eq!(record.head().unwrap(), (9, chain.head));
    // It is a record like any other: it exports the same text, and it goes on.
    record.export(&at_place("again.jsonl"), &quietly).unwrap();
    assert_eq!(fs::read_to_string(at_place("again.jsonl")).unwrap(), text);
    post(&record, &tech(), "k-10", journal(JobId(2), "4", Verdict::Within));
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn an_export_is_lines_of_json_as_documented() {
    let (_folder, text) = exported();
    let lines: Vec<serde_json::Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let kinds: Vec<&str> = lines.iter().map(|line| line["line"].as_str().unwrap()).collect();
    assert_eq!(kinds, [&["record"][..], &["event"; 9], &["in-hand"; 3], &["end"]].concat());
    assert_eq!(lines[0]["version"], 1);
    let payload: serde_json::Value = serde_json::from_str(lines[2]["payload"].as_str().unwrap()).unwrap();
    assert_eq!((&payload["kind"], &payload["verdict"]), (&"reading".into(), &"out".into()));
    assert_eq!(lines[13]["events"], 9);
    assert_eq!(lines[13]["head"], lines[9]["hash"]);
}

#[test]
fn an_empty_record_goes_out_and_comes_back() {
    let folder = TempDir::new().unwrap();
    let text = folder.path().join("none.jsonl");
    Record::in_memory().unwrap().export(&text, &quietly).unwrap();
    let chain = import(&text, &folder.path().join("record.sqlite"), &quietly).unwrap();
    assert_eq!((chain.events, chain.fault), (0, None));
    assert_eq!(open_job(&Record::open(&folder.path().join("record.sqlite")).unwrap()).id, JobId(1));
}

#[test]
fn neither_overwrites_anything() {
    let (folder, _) = exported();
    let (record, text) = (folder.path().join("record.sqlite"), folder.path().join("record.jsonl"));
    let before = [fs::read(&record).unwrap(), fs::read(&text).unwrap()];
    assert_eq!(import(&text, &record, &quietly), Err(SafekeepingError::Occupied(record.clone())));
    let refused = Record::open(&record).unwrap().export(&text, &quietly);
    assert_eq!(refused, Err(SafekeepingError::Exists(text.clone())));
    assert!(Record::open(&record).unwrap().export(&folder.path().join("no/such.jsonl"), &quietly).is_err());
    assert!(matches!(
        import(&folder.path().join("none"), &folder.path().join("new"), &quietly),
        Err(SafekeepingError::Disk { .. })
    ));
    assert_eq!([fs::read(&record).unwrap(), fs::read(&text).unwrap()], before);
    assert_eq!(names(folder.path()), ["record.jsonl", "record.sqlite"]);

    // Nor is a log that has lost its record swallowed by a new one.
    fs::write(folder.path().join("new.sqlite-wal"), "what was posted last").unwrap();
    assert!(import(&text, &folder.path().join("new.sqlite"), &quietly).is_err());
    assert_eq!(names(folder.path()), ["new.sqlite-wal", "record.jsonl", "record.sqlite"]);
}

/// Imports a text that must be refused; nothing is left of it.
fn refused(folder: &Path, text: &str) -> SafekeepingError {
    let (from, to) = (folder.join("spoilt.jsonl"), folder.join("new.sqlite"));
    fs::write(&from, text).unwrap();
    let error = import(&from, &to, &quietly).expect_err("it must be refused");
    assert_eq!(names(folder), ["record.jsonl", "record.sqlite", "spoilt.jsonl"]);
    error
}

#[test]
fn what_is_not_a_whole_export_is_refused_by_its_line() {
    let (folder, text) = exported();
    let lines: Vec<&str> = text.lines().collect();
    let without = |n: usize| [&lines[..n], &lines[n + 1..]].concat().join("\n");
    let with = |n: usize, line: &str| [&lines[..n], &[line], &lines[n..]].concat().join("\n");
    let forged = r#"{"line":"in-hand","person":"x","channel":"x","job":77}"#;
    let same_key = lines[3].replace("\"seq\":3", "\"seq\":10").replace("hash\":\"", "hash\":\"00").replace("00", "");
    let cases = [
        (String::new(), 1, "it ends before its last line"),
        ("\u{1}\u{2}\u{3}".into(), 1, "this is no line of an export"),
        ("x".repeat(3_000_000), 1, "this is no line of an export"),
        (without(0), 1, "its first line does not say that it is a record"),
        (text.replacen("\"version\":1", "\"version\":2", 1), 1, "it is of format 2, and this program reads 1"),
        (with(1, lines[0]), 2, "a second record begins"),
        (without(4), 5, "event 4 was expected, and event 5 is there"),
        (with(3, lines[2]), 4, "event 3 was expected, and event 2 is there"),
        (without(lines.len() - 1), 13, "it ends before its last line"),
        (without(9), 13, "its last line does not fit the events before it"),
        (text.clone() + lines[10], 15, "something follows the last line"),
        (with(10, forged), 11, "the record does not take it"),
        (with(10, &same_key), 11, "the record does not take it"),
        (text.replacen("\"person\"", "\"persons\"", 1), 2, "this is no line of an export"),
        (text.replacen("\"role\":\"tech\"", "\"role\":\"owner\"", 1), 2, "the record does not take it"),
    ];
    for (spoilt, number, said) in cases {
        match refused(folder.path(), &spoilt) {
            SafekeepingError::NotAnExport { line, detail, .. } => {
                assert!(line == number && detail.starts_with(said), "{said}: {line}: {detail}");
            }
            other => panic!("{said}: {other}"),
        }
    }
}

#[test]
fn an_export_that_was_altered_is_refused() {
    let (folder, text) = exported();
    let altered = text.replacen("2.4495 2.4493", "2.4495 2.4494", 1);
    let error = refused(folder.path(), &altered);
    assert!(matches!(error, SafekeepingError::Broken(Fault::Altered { seq: 2, .. })), "{error}");
    // A backup is not an export, and an export is not a backup.
    let (record, lines) = (folder.path().join("record.sqlite"), folder.path().join("record.jsonl"));
    let to = folder.path().join("new.sqlite");
    assert!(matches!(import(&record, &to, &quietly), Err(SafekeepingError::NotAnExport { line: 1, .. })));
    let restored = gudgeon::record::restore(&lines, &to, &quietly);
    assert!(matches!(restored, Err(SafekeepingError::Open(OpenTrouble::Damaged { .. }))), "{restored:?}");
}

#[test]
fn a_record_with_a_broken_chain_is_still_exported_and_says_so() {
    let (folder, place) = worked();
    let sql = "DROP TRIGGER event_is_never_changed; UPDATE event SET person = 'x' WHERE seq = 3";
    Connection::open(&place).unwrap().execute_batch(sql).unwrap();
    let text = folder.path().join("record.jsonl");
    let chain = Record::open(&place).unwrap().export(&text, &quietly).unwrap();
    assert!(matches!(chain.fault, Some(Fault::Altered { seq: 3, .. })), "{chain:?}");
    assert_eq!(fs::read_to_string(text).unwrap().lines().count(), 9, "all of it is there");
}

#[test]
fn long_work_tells_how_far_it_is() {
    let folder = TempDir::new().unwrap();
    let place = |name: &str| folder.path().join(name);
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    for n in 0..9000 {
        record.post(&tech(), &format!("k-{n}"), journal(job, &n.to_string(), Verdict::Within), at(n)).unwrap();
    }
    let told = RefCell::new(Vec::new());
    let report = |done: usize, all: usize| {
        assert!(done <= all, "{done} of {all}");
        told.borrow_mut().push(done as f64 / all as f64);
    };
    let rises = |work: &str| {
        let shares = told.take();
        assert!(shares.len() >= 4 && shares.is_sorted(), "{work}: {shares:?}");
        assert!(shares[0] < 0.5 && *shares.last().unwrap() > 0.9, "{work}: {shares:?}");
    };
    record.backup(&place("copy.sqlite"), &report).unwrap();
    rises("backup");
    gudgeon::record::verify(&place("copy.sqlite"), &report).unwrap();
    rises("verify");
    record.export(&place("record.jsonl"), &report).unwrap();
    rises("export");
    import(&place("record.jsonl"), &place("again.sqlite"), &report).unwrap();
    rises("import");
    gudgeon::record::restore(&place("copy.sqlite"), &place("restored.sqlite"), &report).unwrap();
    rises("restore");
    assert_eq!(everything(&place("again.sqlite")), everything(&place("restored.sqlite")));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever people write, it comes back byte for byte.
    #[test]
    fn any_words_come_back(words in prop::collection::vec(any::<String>(), 1..6)) {
        let folder = TempDir::new().unwrap();
        let record = Record::in_memory().unwrap();
        let job = open_job(&record).id;
        for (n, word) in words.iter().enumerate() {
            let mut measured = journal(job, &n.to_string(), Verdict::Within);
            measured.note = Some(word.clone());
            measured.typed.clone_from(word);
            record.post(&tech(), &format!("k-{n}{word}"), measured, at(n as i64)).unwrap();
        }
        let (text, place) = (folder.path().join("record.jsonl"), folder.path().join("record.sqlite"));
        record.export(&text, &quietly).unwrap();
        import(&text, &place, &quietly).unwrap();
        let again = Record::open(&place).unwrap();
        prop_assert_eq!(again.head().unwrap(), record.head().unwrap());
        prop_assert_eq!(again.readings(job).unwrap(), record.readings(job).unwrap());
    }
}
