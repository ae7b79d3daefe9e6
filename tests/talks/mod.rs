//! Commands as they are typed and answered: every page in this folder is talked through against a fresh desk.

use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use gudgeon::config::Config;
use gudgeon::desk::reply::Block;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Settings};
use gudgeon::fronts::terminal::paint;
use gudgeon::library::{Library, Shelf};
use gudgeon::record::Record;
use jiff::Timestamp;

/// A desk with the repository's own pages, the demo's people and the demo's record, all in memory.
pub fn bench() -> Desk {
    let desk = empty_bench();
    gudgeon::shop::fill_demo(&desk, clock()).unwrap();
    desk
}

/// The same without any job.
pub fn empty_bench() -> Desk {
    bench_over(Record::in_memory().unwrap())
}

/// A desk over that record.
pub fn bench_over(record: Record) -> Desk {
    desk(Config::default().settings(), record)
}

/// A desk over that record in a shop of these settings.
pub fn desk(settings: Settings, record: Record) -> Desk {
    Desk::new(settings, Shelf::fixed(shelf()), record)
}

/// The pages of the house, read once for all tests.
pub fn shelf() -> Arc<Library> {
    static PAGES: LazyLock<Arc<Library>> = LazyLock::new(|| {
        let knowledge = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
        Arc::new(Library::open(&knowledge).unwrap())
    });
    Arc::clone(&PAGES)
}

/// The hour at which every talk takes place.
pub fn clock() -> Timestamp {
    "2026-11-20T09:00:00Z".parse().unwrap()
}

fn pages(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/talks").join(folder);
    let mut pages: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "txt"))
        .collect();
    pages.sort();
    assert!(!pages.is_empty());
    pages
}

/// Talks a page through: each `NAME> line` is sent, and what comes back is written under it.
fn talk(page: &str, mut heard: impl FnMut(&str, &Outcome)) -> String {
    let desk = bench();
    let mut out = String::new();
    for line in page.lines() {
        // A reply may wrap so that a job's number begins its line.
        if line.starts_with("# ") {
            out.push_str(&format!("{line}\n"));
        }
        let Some((person, said)) = line.split_once("> ").filter(|(p, _)| !p.is_empty() && !p.contains(' ')) else {
            continue;
        };
        let mut asker = Asker::new(person, Front::Terminal);
        asker.channel = "bench".to_owned();
        // Named, so that the seal of the record is the same every time.
        asker.key = Some(format!("line-{}", out.lines().count()));
        let outcome = desk.answer(&asker, said, clock());
        heard(said, &outcome);
        out.push_str(&format!("{line}\n{}\n", paint::outcome(&outcome, 72).trim_end()));
        out.push('\n');
    }
    out
}

/// Run with SNAPSHOTS=overwrite to write what is said now; then read it as a person would before it is kept.
fn compare(folder: &str, refused: bool) {
    for path in pages(folder) {
        let page = std::fs::read_to_string(&path).unwrap();
        let actual = talk(&page, |said, outcome| match outcome {
            Outcome::Refused(_) => assert!(refused, "{}: “{said}” is refused: {outcome:?}", path.display()),
            Outcome::Reply(_) => assert!(!refused, "{}: “{said}” is not refused", path.display()),
            Outcome::Fault(text) => panic!("{}: “{said}” broke: {text}", path.display()),
        });
        snapbox::Assert::new()
            .action_env("SNAPSHOTS")
            .eq(actual, snapbox::Data::read_from(&path, Some(snapbox::data::DataFormat::Text)));
    }
}

#[test]
fn talks_go_as_written() {
    compare("", false);
}

#[test]
fn refusals_go_as_written() {
    compare("refusals", true);
}

/// What a sentence was answered with, where it was taken as a line.
fn taken(sentence: &str) -> Option<String> {
    static DESK: LazyLock<Desk> = LazyLock::new(bench);
    let Outcome::Reply(reply) = DESK.answer(&Asker::new("tech-1", Front::Terminal), sentence, clock()) else {
        panic!("{sentence} is not answered");
    };
    let taken = reply.blocks.iter().find_map(|block| match block {
        Block::Text(text) => text.strip_prefix("Taken as: "),
        _ => None,
    });
    taken.map(str::to_owned)
}

#[test]
fn who_asks_only_for_the_next_thing_is_shown_it() {
    for sentence in [
        "what is next",
        "What's next?",
        "whats next on the launch",
        "what is next on the harbour launch",
        "what do I do next",
        "what do i measure next",
        "carry on with the launch",
        "next job",
        "next on the launch",
        "what now",
        "ok what now?",
        "what is next on job 1",
        "next thing on the skerry please",
        "go on",
    ] {
        assert_eq!(taken(sentence).as_deref(), Some("next job=1 (Harbour launch, port engine)."), "{sentence}");
    }
    for sentence in [
        "what comes next after the rings are on",
        "next size shell",
        "what is the next oversize up",
        "next stage after honing",
        "which ring goes in next",
        "what is next to the thrust bearing",
        "what now the ring is broken",
        "how do i go on from a spun bearing",
        "can i carry on with a scored journal",
        "do i carry on if the ring gap is tight",
        "how long until the next oil change",
        "what is the next bearing size after ten under",
        "how do i launch the boat",
        "how often should the next service be",
    ] {
        assert_eq!(taken(sentence), None, "{sentence}");
    }
}

#[test]
fn a_number_that_is_not_the_sums_own_makes_no_sum() {
    for sentence in [
        "why does cylinder 3 smoke",
        "torque for a 7/16 bolt",
        "can I use 10 under shells on a 2.4995 journal",
        "what ring gap for cylinder 3 of the skerry",
        "what ring gap for a 30 over bore, marine",
        "ring gap for a 4.030in stroke",
        "ring gap on a 4.030in or 4.040in bore",
        "what ring gap if it is not marine on a 4.030in bore",
        "why is my ring gap 0.030in on a 4.030in bore",
        "is 0.018in ring gap ok on a 4.030in bore, marine",
        "ring gap of the dunlin and the skerry with 4.030in bore",
        "what is the cylinder displacement of cylinder 3 with 4.030in bore",
        "what gap for a 0.035in spark plug",
        "what bolt torque for an M10x1.25 10.9",
        "what ring gap for a 4.030 bore",
        "how much piston clearance for the 4.0265in skirt",
        "ring gap and piston clearance for a 4.030in bore, marine",
        "what ring gap after honing to 4.030in bore",
    ] {
        assert_eq!(taken(sentence), None, "{sentence}");
    }
}

#[test]
fn nothing_refused_is_written() {
    for path in pages("refusals") {
        let page = std::fs::read_to_string(&path).unwrap();
        let desk = bench();
        let before = desk.fingerprint().unwrap();
        for line in page.lines().filter_map(|l| l.split_once("> ").filter(|(p, _)| !p.contains(' '))) {
            let mut asker = Asker::new(line.0, Front::Terminal);
            asker.channel = "bench".to_owned();
            let outcome = desk.answer(&asker, line.1, clock());
            assert!(matches!(outcome, Outcome::Refused(_)), "{}: {outcome:?}", line.1);
        }
        assert_eq!(desk.fingerprint().unwrap(), before, "{} changed the record", path.display());
    }
}
