//! Ratios, measured side by side in one run: what our code costs beside the bare libraries it stands on.
//!
//! `cargo bench` runs all of it in a few minutes (most of them to make a shelf of a million passages and a
//! record of a million readings), `cargo bench -- ask log`
//! a part. `GUDGEON_BENCH_QUICK=1` looks only whether it works. The figures are for reading, on a quiet machine; only a sum over
//! its millisecond fails the run.

mod ask;
mod bare;
mod chat;
mod growth;
mod live;
mod load;
mod log;
mod measure;
mod offline;
mod page;
mod platform;
mod scale;
mod start;
mod sums;

#[path = "../browser/chromium.rs"]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod chromium;
#[path = "../house/sums.rs"]
mod house_sums;
#[path = "../browser/wire.rs"]
#[allow(dead_code, clippy::unwrap_used, clippy::expect_used)]
mod wire;

use std::time::Duration;

use anyhow::{Result, bail, ensure};

use measure::{Effort, Sheet};

/// A part: its name, how many seconds it gets, and what it does.
type Part = (&'static str, u64, fn(Effort, &mut Sheet) -> Result<()>);

const PARTS: &[Part] = &[
    ("ask", 12, ask::run),
    ("chat", 12, chat::run),
    ("growth", 10, growth::run),
    ("live", 30, live::run),
    ("load", 20, load::run),
    ("log", 30, log::run),
    ("offline", 10, offline::run),
    ("page", 8, page::run),
    ("scale", 4, scale::run),
    ("start", 10, start::run),
    ("sums", 1, sums::run),
];

fn main() -> Result<()> {
    // Cargo passes `--bench` when it is a bench that is wanted; a test of all targets needs no figures.
    let (flags, wanted): (Vec<String>, Vec<String>) = std::env::args().skip(1).partition(|a| a.starts_with('-'));
    let quick = std::env::var_os("GUDGEON_BENCH_QUICK").is_some_and(|value| value != "0")
        || !flags.iter().any(|flag| flag == "--bench");
    if let Some(unknown) = wanted.iter().find(|name| PARTS.iter().all(|(part, ..)| part != name)) {
        bail!("there is no part {unknown}: {}", PARTS.iter().map(|(part, ..)| *part).collect::<Vec<_>>().join(", "));
    }
    let mut sheet = Sheet::default();
    if cfg!(debug_assertions) {
        sheet.note("This is a debug build: its ratios say nothing about the program as it ships.");
    }
    for &(name, seconds, run) in PARTS {
        if wanted.is_empty() || wanted.iter().any(|part| part == name) {
            eprintln!("{name} ...");
            let effort = if quick {
                Effort { rounds: 3, time: Duration::from_secs(1) }
            } else {
                Effort { rounds: 400, time: Duration::from_secs(seconds) }
            };
            run(effort, &mut sheet)?;
        }
    }
    println!("{}", sheet.show());
    let late = sheet.failures();
    ensure!(late.is_empty(), "too slow:\n{}", late.join("\n"));
    Ok(())
}
