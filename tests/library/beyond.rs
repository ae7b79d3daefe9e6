//! Where the shelf ends: a subject that it does not hold is named, until the shop writes a page on it.

use gudgeon::library::{Kind, Library, as_read, embedded_files};

use super::{page, shelf, told};

/// The shelf that the program carries, with more pages.
fn with(more: &[(&str, String)]) -> Library {
    let files = embedded_files().map(|(name, text)| (name.to_owned(), text.to_owned()));
    Library::from_files(files.chain(more.iter().map(|(name, text)| ((*name).to_owned(), text.clone()))))
}

fn beyond(library: &Library, question: &str) -> Option<String> {
    let answer = library.ask(question, None, 3);
    assert!(!answer.covered, "{question}: {:?}", answer.hits.first().map(|hit| hit.passage));
    answer.beyond.map(|subject| subject.heading().to_owned())
}

#[test]
fn a_subject_that_the_shelf_does_not_hold_is_named() {
    let library = with(&[]);
    for (question, heading) in [
        ("clutch judder when pulling off", "Gearbox"),
        ("bilge pump keeps running", "Hull"),
        ("rust hole in the wing", "Bodywork"),
        ("what torque for the wheel nuts", "Steering"),
        ("alternator not charging", "Batteries"),
        ("wifi password", "Phones"),
        ("mate got a jet of diesel through his thumb", "Health"),
    ] {
        let told = beyond(&library, question);
        assert!(told.as_deref().is_some_and(|told| told.starts_with(heading)), "{question}: {told:?}");
    }
    // What may be of any subject is of none.
    assert_eq!(beyond(&library, "zxcv"), None);
    // These pages answer nothing; what the shelf covers says nothing of them.
    let answer = library.ask("how much crank end float", None, 10);
    assert!(answer.covered && answer.beyond.is_none());
    assert!(answer.hits.iter().all(|hit| hit.passage.page_kind != Kind::Beyond));
}

#[test]
fn a_page_that_the_shop_writes_on_it_answers() {
    let question = "clutch judder when pulling off";
    assert!(beyond(&with(&[]), question).is_some());
    let text = page(
        "Clutch judder",
        "note",
        "## The clutch judders when pulling off\n\nOil on the plate, or a mounting that has gone soft. Look at the mountings first.",
    );
    let library = with(&[("notes/clutch-judder.md", text)]);
    let answer = library.ask(question, None, 1);
    assert!(answer.covered && answer.beyond.is_none());
    assert_eq!(answer.hits[0].passage.reference.page, "clutch-judder");
}

#[test]
fn a_subject_says_something_and_is_asked_about() {
    let asked = "| Asked |\n|---|\n| which oil for the leg; leg will not tilt |";
    let sound = format!("What we do not do.\n\n## Legs\n\nThe dealer does them.\n\n{asked}");
    let library = shelf(&[("notes/not-here.md", page("Not here", "beyond", &sound))]);
    assert_eq!(told(&library), [""; 0]);
    // The questions are for the search: whoever reads the page reads what it says.
    let page_read = library.page("not here").unwrap();
    assert_eq!(page_read.sections.iter().map(|section| section.nodes.len()).collect::<Vec<_>>(), [1, 1]);
    assert_eq!(library.ask("leg wont tilt", None, 1).beyond.unwrap().text, "The dealer does them.");
    // And a phone carries only that.
    let carried = as_read(&page("Not here", "beyond", &sound));
    assert!(carried.ends_with("## Legs\n\nThe dealer does them.\n\n"), "{carried}");
    for (body, wanted) in [
        (format!("## Legs\n\n{asked}"), "says nothing"),
        ("## Legs\n\nThe dealer does them.".to_owned(), "has no questions"),
    ] {
        let faults = told(&shelf(&[("notes/not-here.md", page("Not here", "beyond", &body))]));
        assert!(matches!(&faults[..], [only] if only.contains(wanted)), "{faults:#?}");
    }
}
