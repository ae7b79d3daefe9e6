//! The job record, driven as the desk drives it: acts in, state out, and the file looked at from outside.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod append_only;
pub mod faults;
pub mod instruments;
mod jobs;
mod migrations;
mod model;
mod opening;
mod photos;
mod readings;
mod review;
mod safekeeping;
mod stages;
mod told;
mod transfer;

use gudgeon::{
    maths::judge::Verdict,
    quantity::Dimension,
    record::{Actor, Entry, Job, JobId, Judged, Measured, ReadingId, Record, Role},
};
use jiff::Timestamp;

/// The moment number `n` of a test: one minute after another.
fn at(n: i64) -> Timestamp {
    Timestamp::from_second(1_790_000_000 + n * 60).unwrap()
}

fn actor(person: &str, role: Role) -> Actor {
    Actor { person: person.into(), role, front: "terminal".into(), channel: "bench".into() }
}

fn lead() -> Actor {
    actor("lead", Role::Lead)
}

fn tech() -> Actor {
    actor("tech-1", Role::Tech)
}

fn apprentice() -> Actor {
    actor("apprentice-1", Role::Apprentice)
}

fn open_job(record: &Record) -> Job {
    record
        .open_job(&tech(), None, "skerry-v8", "Skerry V8 for the ferry", Some("owner: harbour office"), at(0))
        .unwrap()
}

/// A main journal reading as the desk would send it. The values are the demo's own.
fn journal(job: JobId, position: &str, verdict: Verdict) -> Measured {
    Measured {
        job,
        check: "main-journal".into(),
        position: position.into(),
        raw: vec![2.4495 * 0.0254, 2.4493 * 0.0254],
        typed: "2.4495 2.4493".into(),
        unit: "in".into(),
        dimension: Dimension::Length,
        temperature: Some(293.15),
        instrument: Some("outside micrometer 2-3 in".into()),
        gauge: None,
        note: None,
        photo: None,
        measures: vec![Judged {
            measure: "main journal".into(),
            at: "-".into(),
            value: 2.4493 * 0.0254,
            min: Some(2.4490 * 0.0254),
            max: None,
            verdict,
            basis: "demo sheet (invented)".into(),
            source: "engine page skerry-v8".into(),
        }],
        verdict,
        page_revision: "2026-11-01".into(),
    }
}

fn post(record: &Record, who: &Actor, key: &str, measured: Measured) -> ReadingId {
    record.post(who, key, measured, at(1)).unwrap().reading.id
}

fn ids(entries: &[Entry]) -> Vec<i64> {
    entries.iter().map(|entry| entry.reading.id.0).collect()
}

/// The number of a record's layout.
fn layout_of(place: &std::path::Path) -> i64 {
    rusqlite::Connection::open(place).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
}

/// What lies in a folder, by name.
fn names(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}
