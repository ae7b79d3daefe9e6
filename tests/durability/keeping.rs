//! The record's files from the command line: verified, copied, written out and read back; and each of these killed on the
//! way, which leaves nothing half-done.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use gudgeon::record::{Actor, Record, Role, quietly, verify};

use super::{reading, shop};

const READINGS: i64 = 600;

/// A shop whose record holds enough that copying it takes a while.
fn long_shop() -> (tempfile::TempDir, PathBuf) {
    let folder = shop();
    let record = Record::in_memory().unwrap();
    let who = Actor { person: "lead".into(), role: Role::Lead, front: "terminal".into(), channel: "bench".into() };
    let now = jiff::Timestamp::UNIX_EPOCH;
    let job = record.open_job(&who, None, "skerry-v8", "Skerry V8", None, now).unwrap().id;
    for n in 0..READINGS {
        record.post(&who, &n.to_string(), reading(job, &n.to_string()), now).unwrap();
    }
    std::fs::create_dir(folder.path().join("data")).unwrap();
    let place = folder.path().join("data/record.sqlite");
    record.backup(&place, &quietly).unwrap();
    (folder, place)
}

/// The program in that folder, with the folder's own settings.
fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command.current_dir(folder).env_remove("GUDGEON_CONFIG").env_remove("GUDGEON_DATA");
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// Exit code and what was said, on either channel.
fn run(folder: &Path, args: &[&str]) -> (Option<i32>, String) {
    let output = program(folder).args(args).output().unwrap();
    let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    (output.status.code(), said)
}

#[test]
fn a_record_is_verified_copied_and_carried_to_another_folder() {
    let (folder, place) = long_shop();
    let run = |args: &[&str]| run(folder.path(), args);
    let head = Record::open(&place).unwrap().head().unwrap().1.to_string();
    let all_well = |args: &[&str], said: &str| {
        let (code, out) = run(args);
        assert!(code == Some(0) && out.contains(said) && out.contains(&head), "{args:?}: {code:?} {out}");
    };
    all_well(&["record", "verify"], "data/record.sqlite is whole: 601 events");
    all_well(&["record", "export", "record.jsonl"], "Exported to record.jsonl: 601 events");
    all_well(&["backup", "copy.sqlite"], "Backed up to copy.sqlite: 601 events");
    all_well(&["record", "verify", "copy.sqlite"], "copy.sqlite is whole");
    all_well(&["--data", "new", "record", "import", "record.jsonl"], "Imported from record.jsonl: 601 events");
    all_well(&["--data", "new", "record", "verify"], "new/record.sqlite is whole");
    all_well(&["--data", "restored", "restore", "copy.sqlite"], "Restored from copy.sqlite: 601 events");
    all_well(&["restore", "copy.sqlite"], "is kept as data/record.sqlite.before-restore-1");
}

#[test]
fn what_cannot_be_done_is_refused_and_changes_nothing() {
    let (folder, place) = long_shop();
    let run = |args: &[&str]| run(folder.path(), args);
    let refused = |args: &[&str], said: &str| {
        let (code, out) = run(args);
        assert!(code == Some(2) && out.contains(said), "{args:?}: {code:?} {out}");
    };
    assert_eq!(run(&["record", "export", "record.jsonl"]).0, Some(0));
    refused(&["record", "export", "record.jsonl"], "record.jsonl is already there and is not overwritten");
    refused(&["record", "import", "record.jsonl"], "already holds a record, and an import only fills an empty place");
    refused(&["--data", "new", "record", "import", "gudgeon.toml"], "gudgeon.toml:1: this is no line of an export");
    // Where there is no record, none is made to be copied.
    for args in [&["record", "verify"][..], &["record", "export", "x"], &["backup", "x"]] {
        let (code, out) = run(&[&["--data", "nowhere"], args].concat());
        assert_eq!(code, Some(1), "{out}");
        assert!(!folder.path().join("nowhere").exists() && !folder.path().join("x").exists());
    }

    let sql = "DROP TRIGGER event_is_never_changed; UPDATE event SET person = 'x' WHERE seq = 3";
    rusqlite::Connection::open(&place).unwrap().execute_batch(sql).unwrap();
    refused(
        &["record", "verify"],
        "Its chain holds for 2 events, and then it does not: event 3 is not as it was written",
    );
    refused(&["backup", "broken.sqlite"], "event 3 is not as it was written");
    refused(&["--data", "new", "restore", "broken.sqlite"], "the copy does not hold together");
    assert!(!folder.path().join("new/record.sqlite").exists());
}

/// Kills the work at moments all over its time: what it makes is not there, or it is whole, and it can be done again.
fn killed_on_the_way(folder: &Path, args: &[&str], made: &Path) {
    let started = Instant::now();
    assert_eq!(run(folder, args).0, Some(0));
    let whole_time = started.elapsed();
    let (mut cut, mut there) = (0, 0);
    for round in 0..10_u32 {
        std::fs::remove_file(made).unwrap();
        let mut child = program(folder).args(args).spawn().unwrap();
        std::thread::sleep((whole_time * round / 8).max(Duration::from_micros(100)));
        child.kill().unwrap();
        child.wait().unwrap();
        if made.exists() {
            there += 1;
        } else {
            cut += 1;
            assert_eq!(run(folder, args).0, Some(0), "{args:?}, cut off once, works the next time");
        }
        if made.extension().is_some_and(|end| end == "sqlite") {
            let chain = verify(made, &quietly).unwrap();
            assert_eq!((chain.events, chain.fault), (601, None), "{args:?}");
        } else {
            assert_eq!(std::fs::read_to_string(made).unwrap().lines().count(), 603, "{args:?}");
        }
    }
    assert!(cut > 0 && cut + there == 10, "{args:?} was never cut off");
}

#[test]
fn killed_on_the_way_nothing_is_half_done() {
    let (folder, place) = long_shop();
    let made = |name: &str| folder.path().join(name);
    killed_on_the_way(folder.path(), &["record", "export", "record.jsonl"], &made("record.jsonl"));
    killed_on_the_way(folder.path(), &["backup", "copy.sqlite"], &made("copy.sqlite"));
    let import = ["--data", "new", "record", "import", "record.jsonl"];
    killed_on_the_way(folder.path(), &import, &made("new/record.sqlite"));
    assert_eq!(Record::open(&place).unwrap().verify().unwrap().events, 601, "the record itself was never touched");
}
