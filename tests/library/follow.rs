//! Edits are picked up while it runs; a page that breaks stays as it was.

use std::path::Path;
use std::time::{Duration, Instant};

use gudgeon::library::{Library, Shelf};

use super::page;

/// Waits until the shelf shows what is wanted; panics when it never does.
fn until(shelf: &Shelf, what: &str, wanted: impl Fn(&Library) -> bool) {
    let start = Instant::now();
    while !wanted(&shelf.current()) {
        assert!(start.elapsed() < Duration::from_secs(20), "never saw: {what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).unwrap();
}

fn limits(max: &str) -> String {
    let header = "| Check | At | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n";
    page("Limits", "limits", &format!("{header}| squish | - | 0.040 | {max} | in | common practice |"))
}

#[test]
fn an_edit_a_new_page_and_a_deletion_are_seen() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "a.md", &page("A", "note", "Old words about the sump."));
    let mut shelf = Shelf::open(folder.path()).unwrap();
    shelf.watch().unwrap();
    let kept = shelf.current();

    write(folder.path(), "a.md", &page("A", "note", "New words about the flywheel."));
    until(&shelf, "the edit", |l| l.ask("flywheel", None, 1).covered);
    std::fs::create_dir(folder.path().join("more")).unwrap();
    write(&folder.path().join("more"), "b.md", &page("B", "note", "Second page."));
    until(&shelf, "the new page in a new folder", |l| l.page("b").is_some());
    std::fs::remove_file(folder.path().join("a.md")).unwrap();
    until(&shelf, "the deletion", |l| l.page("a").is_none());
    assert!(kept.ask("sump", None, 1).covered, "a library in use does not change under its reader");
}

#[test]
fn a_page_that_breaks_keeps_its_last_good_version() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "l.md", &limits("0.060"));
    write(folder.path(), "n.md", &page("N", "note", "First."));
    let mut shelf = Shelf::open(folder.path()).unwrap();
    shelf.watch().unwrap();
    let good = shelf.current().revision("l").map(str::to_owned);

    for broken in [limits("0.030"), limits("sixty"), "half a pa".to_owned()] {
        write(folder.path(), "l.md", &broken);
        until(&shelf, "the fault", |l| !l.faults().is_empty());
        let now = shelf.current();
        assert_eq!(now.general_limits(None).count(), 1, "the row still judges");
        assert_eq!(now.revision("l").map(str::to_owned), good);
        write(folder.path(), "l.md", &limits("0.060"));
        until(&shelf, "the repair", |l| l.faults().is_empty());
    }
    write(folder.path(), "l.md", "broken again");
    write(folder.path(), "n.md", &page("N", "note", "Second, about anodes."));
    until(&shelf, "the edit beside the broken page", |l| l.ask("anodes", None, 1).covered);
    assert_eq!(shelf.current().general_limits(None).count(), 1);
}

#[test]
fn a_folder_that_is_not_there_is_told() {
    let folder = tempfile::tempdir().unwrap();
    assert!(Library::open(&folder.path().join("none")).is_err());
    let mut shelf = Shelf::open(folder.path()).unwrap();
    shelf.watch().unwrap();
    assert!(!shelf.current().ask("ring gap", None, 3).covered, "an empty shelf covers nothing");
}

#[test]
fn files_that_are_no_pages() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "README.md", "How to add a page.");
    write(folder.path(), ".draft.md", "not yet");
    write(folder.path(), "drawing.svg", "<svg/>");
    std::fs::write(folder.path().join("latin.md"), [0x2b, 0x2b, 0x2b, 0x0a, 0xe9, 0x0a]).unwrap();
    std::fs::write(folder.path().join("huge.md"), vec![b'x'; (1 << 20) + 1]).unwrap();
    let told: Vec<String> = Library::open(folder.path()).unwrap().faults().iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].starts_with("huge.md:1: ") && told[1].starts_with("latin.md:1: "), "{told:?}");
}

/// A shelf big enough that reading it all for one edit would be felt, and the trade words to go with it.
fn many(folder: &Path) {
    for n in 0..200 {
        let body = format!("The sump of engine {n} holds oil.\n\n## Drain plug {n}\n\nOne big end, {n} thou.");
        write(folder, &format!("p{n}.md"), &page(&format!("Page {n}"), "note", &body));
    }
    write(folder, "words.md", &words("Sump | oil pan | what holds the oil"));
}

fn words(row: &str) -> String {
    page("Words", "words", &format!("| Term | Also said | Meaning |\n|---|---|---|\n| {row} |\n"))
}

fn effort(shelf: &Shelf) -> (usize, usize) {
    shelf.refresh().unwrap();
    let effort = shelf.current().effort();
    (effort.parsed, effort.indexed)
}

#[test]
fn an_edit_reads_the_edited_page_and_no_other() {
    let folder = tempfile::tempdir().unwrap();
    many(folder.path());
    let shelf = Shelf::open(folder.path()).unwrap();
    assert_eq!(shelf.current().effort(), gudgeon::library::Effort { parsed: 201, indexed: 201 });
    assert_eq!(effort(&shelf), (0, 0), "nothing changed");
    write(folder.path(), "p7.md", &page("Page 7", "note", "About the flywheel."));
    assert_eq!(effort(&shelf), (1, 1));
    assert!(shelf.current().ask("flywheel", None, 1).covered);
    write(folder.path(), "new.md", &page("New", "note", "About anodes."));
    assert_eq!(effort(&shelf), (1, 1));
    std::fs::remove_file(folder.path().join("p8.md")).unwrap();
    assert_eq!(effort(&shelf), (0, 0));
    assert!(shelf.current().page("p8").is_none() && shelf.current().ask("drain plug 8", None, 10).hits.len() == 10);
    assert!(!shelf.current().ask("drain plug 8", None, 10).hits.iter().any(|h| h.passage.reference.page == "p8"));
    write(folder.path(), "p9.md", "half a pa");
    assert_eq!(effort(&shelf), (1, 0), "a page that broke stays as it was");
}

#[test]
fn a_new_trade_word_reads_the_pages_that_hold_it() {
    let folder = tempfile::tempdir().unwrap();
    many(folder.path());
    write(folder.path(), "belly.md", &page("Belly pan", "note", "The belly pan is bolted on."));
    let shelf = Shelf::open(folder.path()).unwrap();
    let pages = |library: &Library, question: &str| {
        library.ask(question, None, 10).hits.iter().map(|h| h.passage.reference.page.clone()).collect::<Vec<_>>()
    };
    write(folder.path(), "words.md", &words("Sump | oil pan | what holds the oil, down below"));
    assert_eq!(effort(&shelf), (1, 1), "a meaning is no name");
    write(folder.path(), "words.md", &words("Sump | oil pan, belly pan | what holds the oil"));
    assert_eq!(effort(&shelf), (1, 2));
    assert!(pages(&shelf.current(), "belly pan").iter().any(|page| page.starts_with('p')), "it means sump");
    write(folder.path(), "words.md", &words("Sump | oil pan | what holds the oil"));
    assert_eq!(effort(&shelf), (1, 2));
    assert!(!pages(&shelf.current(), "belly pan").iter().any(|page| page.starts_with('p')), "no longer");
}

#[test]
fn after_many_edits_it_answers_as_if_read_anew() {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in gudgeon::library::embedded_files() {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    let shelf = Shelf::open(folder.path()).unwrap();
    let files: Vec<_> = gudgeon::library::embedded_files().filter(|(name, _)| !name.starts_with("README")).collect();
    for round in 0..3 {
        // Pages empty, full again, and each with a line more: most ways a folder changes.
        for (n, (name, text)) in files.iter().enumerate().filter(|(n, _)| n % 3 == round) {
            let path = folder.path().join(name);
            std::fs::remove_file(&path).unwrap();
            if n % 2 == 0 {
                shelf.refresh().unwrap();
            }
            std::fs::write(&path, format!("{text}\nLine {round}.\n")).unwrap();
        }
        shelf.refresh().unwrap();
    }
    let (live, anew) = (shelf.current(), Library::open(folder.path()).unwrap());
    assert_eq!(live.faults(), anew.faults());
    for question in ["ring gap too small", "whch way does the chamfer face", "crank endfloat dunlin", "price of fish"] {
        let (live, anew) = (live.ask(question, None, 3), anew.ask(question, None, 3));
        assert_eq!((live.covered, &live.read_as), (anew.covered, &anew.read_as), "{question}");
        assert!((live.sure - anew.sure).abs() < 1e-5, "{question}");
        let best = |answer: &gudgeon::library::Answer| answer.hits.first().map(|hit| hit.passage.clone());
        assert_eq!(best(&live), best(&anew), "{question}");
    }
}
