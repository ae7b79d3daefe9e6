//! A page started by `library new`, filled in as a person would, and what is refused.

use std::path::Path;
use std::process::{Command, Output};

use gudgeon::library::{Kind, Library, NoDraft, draft};

use super::told;

const TODAY: &str = "2026-11-27";

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// Fills in the page: each answer takes the place of the next blank, from its mark to the end of its cell, quotes or line.
fn fill(path: &Path, answers: &[&str]) {
    let mut page = text(path);
    for answer in answers {
        let at = page.find("FILL IN:").unwrap_or_else(|| panic!("nothing is left for “{answer}” in\n{page}"));
        let rest = page[at..].replace("\\\"", "''");
        let end = rest.find(['"', '|', '\n']).unwrap();
        // A list or a number stands without quotes.
        let bare = answer.starts_with('[') || answer.parse::<u8>().is_ok();
        let (from, to) = if bare { (at - 1, at + end + 1) } else { (at, at + end) };
        page.replace_range(from..to, answer);
    }
    std::fs::write(path, page).unwrap();
}

#[test]
fn a_procedure_filled_in_passes_and_answers() {
    let folder = tempfile::tempdir().unwrap();
    let path = draft(folder.path(), Kind::Procedure, "Rear seal, \"rope\" type", TODAY).unwrap();
    assert_eq!(path, folder.path().join("procedures/rear-seal-rope-type.md"));
    fill(
        &path,
        &[
            "close-up",
            "common practice",
            "Roll the rope in dry and trim it 0.020 in (0.5 mm) proud.",
            "A loose end tears the rope: cut it with a razor, away from you.",
            "Clean the groove.",
            "Roll the rope in from the middle.",
            "Turn the crank and [post its end float](log:crank-end-float).",
            "Crank hard to turn: the ends stand too proud. Trim them.",
        ],
    );
    let library = Library::open(folder.path()).unwrap();
    assert_eq!(told(&library), [""; 0]);
    let page = library.page("rear-seal-rope-type").unwrap();
    assert_eq!((page.title.as_str(), page.steps().len()), ("Rear seal, \"rope\" type", 3));
    assert!(library.ask("how do i fit a rope seal", None, 1).covered);
}

#[test]
fn a_limits_page_filled_in_passes_and_judges() {
    let folder = tempfile::tempdir().unwrap();
    let path = draft(folder.path(), Kind::Limits, "Limits for raw-water engines", TODAY).unwrap();
    let words = "These come after the maker's sheet.";
    fill(
        &path,
        &["marine", "common practice", words, "crank end float ", "0.004 ", "- ", "in ", "common practice ", words],
    );
    let library = Library::open(folder.path()).unwrap();
    assert_eq!(told(&library), [""; 0]);
    assert_eq!(library.general_limits(None).count(), 1);
}

#[test]
fn an_engine_filled_in_passes_and_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let path = draft(folder.path(), Kind::Engine, "Curlew twin", TODAY).unwrap();
    let inch = ["3.500in", "3.000in", "5.500in", "1.500in", "8.520in", "0.900in", "2.000in", "1.750in", "front"];
    let first =
        ["maker's sheet 12", "curlew", "marine", "inch", "inline", "2", "[1, 2]", "[1, 2]", "clockwise", "3", "2"];
    let words = ["A twin for launches.", "Cylinder 1 is at the front.", "The mark points to the front."];
    let rows = ["0.004 ", "0.008 ", "in ", "sheet 12 ", "crank run-out ", "- ", "0.002 ", "in ", "sheet 12 "];
    let sizes = ["[\"0.010in\"]", "[\"0.020in\", \"0.030in\"]", "[\"valve-lash\"]"];
    fill(&path, &[&first[..], &inch, &sizes, &words, &rows].concat());
    let library = Library::open(folder.path()).unwrap();
    assert_eq!(told(&library), [""; 0], "{}", text(&path));
    assert_eq!(library.engine("curlew").map(|e| e.id.as_str()), Some("curlew-twin"));
    assert_eq!(library.engine_limits("curlew-twin").len(), 2);
}

#[test]
fn a_note_filled_in_passes() {
    let folder = tempfile::tempdir().unwrap();
    let path = draft(folder.path(), Kind::Note, "Anodes", TODAY).unwrap();
    fill(&path, &["common practice", "Change them yearly.", "None.", "When to change anodes", "When half is gone."]);
    assert_eq!(told(&Library::open(folder.path()).unwrap()), [""; 0]);
}

#[test]
fn a_blank_page_is_reported_line_by_line_and_held_back() {
    for (kind, drawer) in
        [(Kind::Procedure, "procedures"), (Kind::Limits, "limits"), (Kind::Engine, "engines"), (Kind::Note, "notes")]
    {
        let folder = tempfile::tempdir().unwrap();
        let path = draft(folder.path(), kind, "Blank", TODAY).unwrap();
        let library = Library::open(folder.path()).unwrap();
        let faults = library.faults();
        let blank: Vec<usize> =
            (1..).zip(text(&path).lines()).filter(|(_, l)| l.contains("FILL IN")).map(|(n, _)| n).collect();
        assert_eq!(faults.iter().map(|fault| fault.line).collect::<Vec<_>>(), blank, "{faults:?}");
        for fault in faults {
            let hint = fault.remedy.strip_prefix("wanted: ").unwrap_or_default();
            assert!(hint.len() > 3 && !hint.contains("FILL IN"), "{fault}");
            assert!(fault.to_string().starts_with(&format!("{drawer}/blank.md:")), "{fault}");
        }
        assert!(library.page("blank").is_none(), "a blank page answers nobody");
    }
}

#[test]
fn what_is_there_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = draft(folder.path(), Kind::Note, "Anodes", TODAY).unwrap();
    std::fs::write(&path, super::page("Zinc anodes", "note", "Words.")).unwrap();
    let before = text(&path);
    for (kind, name) in [(Kind::Note, "Anodes"), (Kind::Procedure, "ANODES"), (Kind::Limits, "anodes!")] {
        assert!(matches!(draft(folder.path(), kind, name, TODAY), Err(NoDraft::Taken(file)) if file == path));
    }
    let same = draft(folder.path(), Kind::Note, "zinc anodes", TODAY);
    assert!(matches!(same, Err(NoDraft::Title { file, .. }) if file == "notes/anodes.md"));
    assert_eq!(text(&path), before);
}

#[test]
fn names_that_make_no_page_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let long = "long ".repeat(20);
    for name in ["", " ", "../up", "a/b", "a\\b", ".hidden", "?!", "readme", "two\nlines", &long] {
        let refused = draft(folder.path(), Kind::Note, name, TODAY);
        assert!(matches!(refused, Err(NoDraft::Name(_))), "{name:?}: {refused:?}");
    }
    assert!(matches!(draft(folder.path(), Kind::Words, "words", TODAY), Err(NoDraft::Words)));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "nothing is left behind");
}

fn gudgeon(folder: &Path, line: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command.current_dir(folder).env_remove("GUDGEON_CONFIG").env_remove("GUDGEON_LIBRARY");
    command.arg("library").args(line).output().unwrap()
}

#[test]
fn the_command_starts_a_page_and_the_check_names_what_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let without = gudgeon(folder.path(), &["new", "note", "anodes"]);
    assert_eq!(without.status.code(), Some(1), "{without:?}");
    std::fs::create_dir(folder.path().join("knowledge")).unwrap();
    let made = gudgeon(folder.path(), &["new", "note", "Raw", "water", "anodes"]);
    assert_eq!(made.status.code(), Some(0), "{made:?}");
    assert!(String::from_utf8_lossy(&made.stdout).contains("raw-water-anodes.md"), "{made:?}");
    let check = gudgeon(folder.path(), &["check"]);
    assert_eq!(check.status.code(), Some(2));
    assert!(check.stderr.is_empty(), "in a pipe there is no word of progress: {check:?}");
    let said = String::from_utf8_lossy(&check.stdout).into_owned();
    assert!(said.starts_with("notes/raw-water-anodes.md:5: this line is still to be filled in; wanted: "), "{said}");
    assert_eq!(gudgeon(folder.path(), &["new", "note", "Raw water anodes"]).status.code(), Some(2));
    assert_eq!(gudgeon(folder.path(), &["new", "poem", "Anodes"]).status.code(), Some(2));
}
