//! Commands as they are typed and answered: every page in this folder is talked through against a fresh desk.

use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use gudgeon::config::Config;
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
