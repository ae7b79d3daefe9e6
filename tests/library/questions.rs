//! Lists of questions: a section is found by what people ask for it, and a row that leads nowhere is reported.

use gudgeon::library::Library;

use super::page;

fn library(asked: &str) -> Library {
    let table = format!("| Answered by | Asked |\n|---|---|\n{asked}\n");
    let files = [
        (
            "notes/sump.md",
            page(
                "Sump",
                "note",
                "The pan below.\n\n## Its seal\n\nA thin bead on clean dry faces.\n\n## Its plug\n\nOne turn past hand tight.",
            ),
        ),
        (
            "limits/any.md",
            page(
                "Limits",
                "limits",
                "| Check | At | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n| ring gap | top | 0.010 | 0.020 | in | common practice |",
            ),
        ),
        ("questions/q.md", page("Asked", "questions", &table)),
    ];
    Library::from_files(files.map(|(name, text)| (name.to_owned(), text)))
}

#[test]
fn a_section_and_a_row_are_found_by_what_people_ask() {
    let library = library(
        "| [Its seal](../notes/sump.md#its-seal) | how do i stop the weeping; how much goo |\n\
         | [Ring gap](../limits/any.md#ring-gap-top) | daylight where the hoop meets itself |",
    );
    assert!(library.faults().is_empty(), "{:#?}", library.faults());
    let first = |question: &str| library.ask(question, None, 1).hits.first().map(|hit| hit.passage.text.clone());
    assert!(first("it keeps weeping").unwrap().contains("thin bead"));
    assert!(first("daylight in the hoop").unwrap().starts_with("Ring gap"));
    // The list itself answers nothing.
    assert!(library.passages().all(|passage| passage.reference.page != "q"));
}

#[test]
fn a_row_that_leads_nowhere_or_asks_nothing_is_reported() {
    let library = library(
        "| [Its seal](../notes/sump.md#its-seel) | how much goo |\n\
         | Its plug | how tight |\n\
         | [Its plug](../notes/sump.md#its-plug) | ; |",
    );
    let faults: Vec<String> = library.faults().iter().map(ToString::to_string).collect();
    assert_eq!(faults.len(), 3, "{faults:#?}");
    assert!(faults[0].contains("did you mean `#its-seal`"), "{faults:#?}");
    assert!(faults[1..].iter().all(|fault| fault.contains("what answers what")), "{faults:#?}");
}
