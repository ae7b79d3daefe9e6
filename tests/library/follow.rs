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
