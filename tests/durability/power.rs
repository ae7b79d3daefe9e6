//! A power cut, on a model of what the disk may then hold: all that was synced, and of what was being written any part.
//! Whatever part that is, the record opens clean, with every reading that was acknowledged.

use std::path::Path;
use std::process::Command;

use gudgeon::record::{Actor, JobId, Record, Role};
use jiff::Timestamp;

use super::random::Random;
use super::reading;

const PAGE: usize = 4096;
/// What a disk writes whole.
const SECTOR: usize = 512;
const POSTS: usize = 48;
const CUTS: usize = 4;

/// The record's file and its log after a step, and how many readings were acknowledged by then.
struct Held {
    file: Vec<u8>,
    log: Vec<u8>,
    readings: usize,
}

/// Read by a program of its own: to close a handle here would drop the locks that SQLite holds.
fn held(place: &Path, readings: usize) -> Held {
    let copies = tempfile::tempdir().unwrap();
    let log = place.with_extension("sqlite-wal");
    let copied = Command::new("cp").arg(place).arg(&log).arg(copies.path()).status().unwrap();
    assert!(copied.success());
    let read = |name: &str| std::fs::read(copies.path().join(name)).unwrap();
    Held { file: read("record.sqlite"), log: read("record.sqlite-wal"), readings }
}

/// What a file may hold when the writing from the one to the other was cut: up to a byte, or these sectors and not those.
fn cut(before: &[u8], after: &[u8], unit: usize, random: &mut Random) -> Vec<u8> {
    let mut out = before.to_vec();
    out.resize(before.len().max(after.len()), 0);
    let changed: Vec<usize> = (0..after.len().div_ceil(unit))
        .filter(|n| out[n * unit..].iter().zip(&after[n * unit..]).take(unit).any(|(a, b)| a != b))
        .collect();
    let in_order = random.below(2) == 0;
    let many = random.below(changed.len() as u64 + 1) as usize;
    for (written, n) in changed.iter().enumerate() {
        let take = if in_order { written < many } else { random.below(2) == 0 };
        if take {
            let to = ((n + 1) * unit).min(after.len());
            out[n * unit..to].copy_from_slice(&after[n * unit..to]);
        }
    }
    if in_order && unit == SECTOR && after.len() > before.len() {
        // The file ends where the writing did, and that may be within a sector.
        let end =
            changed.get(many).map_or(after.len(), |n| (n * unit + random.below(unit as u64) as usize).min(after.len()));
        out.truncate(end.max(before.len()));
    }
    out
}

/// Opens what was left and counts.
fn opened(file: &[u8], log: &[u8]) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("record.sqlite");
    std::fs::write(&place, file).unwrap();
    std::fs::write(place.with_extension("sqlite-wal"), log).unwrap();
    let record = Record::open(&place).unwrap();
    let chain = record.verify().unwrap();
    assert_eq!(chain.fault, None);
    let readings = record.readings(JobId(1)).unwrap();
    let numbered = readings.iter().enumerate().all(|(n, entry)| entry.reading.measured.typed == n.to_string());
    assert!(numbered && chain.events as usize == readings.len() + 1);
    readings.len()
}

#[test]
fn a_power_cut_at_any_point_of_writing_leaves_a_record_that_opens_clean() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    let who = Actor { person: "tech-1".into(), role: Role::Tech, front: "phone".into(), channel: "bench".into() };
    record.open_job(&who, None, "skerry-v8", "Skerry V8", None, Timestamp::UNIX_EPOCH).unwrap();
    let mut steps = vec![held(&place, 0)];
    for n in 0..POSTS {
        record.post(&who, &n.to_string(), reading(JobId(1), &n.to_string()), Timestamp::UNIX_EPOCH).unwrap();
        steps.push(held(&place, n + 1));
        if n % 12 == 11 {
            // The log is folded into the file; the next post writes it anew from its start.
            let conn = rusqlite::Connection::open(&place).unwrap();
            conn.query_row("PRAGMA wal_checkpoint(FULL)", [], |_| Ok(())).unwrap();
            steps.push(held(&place, n + 1));
        }
    }
    let mut random = Random::new(12);
    let (mut folded, mut torn) = (0, 0);
    for pair in steps.windows(2) {
        let (before, after) = (&pair[0], &pair[1]);
        for _ in 0..CUTS {
            if before.file == after.file {
                // The log was being written: the last reading is there whole or not at all.
                let log = cut(&before.log, &after.log, SECTOR, &mut random);
                torn += usize::from(log != before.log && log != after.log);
                let there = opened(&before.file, &log);
                assert!((before.readings..=after.readings).contains(&there), "{there} of {}", after.readings);
            } else {
                // The file was being written, from a log that is on disk already.
                let file = cut(&before.file, &after.file, PAGE, &mut random);
                folded += usize::from(file != before.file && file != after.file);
                assert_eq!(opened(&file, &before.log), after.readings);
            }
        }
    }
    assert!(folded > 0 && torn > POSTS, "{folded} and {torn} cuts fell within the writing");
}
