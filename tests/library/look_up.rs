//! Pages, words, engines, limits and revisions by the names people give them.

use gudgeon::engine::Duty;
use gudgeon::library::Kind;

use super::{page, shelf};
use crate::talks;

#[test]
fn a_page_by_slug_title_or_nearly_so() {
    let library = shelf(&[("ring-end-gap.md", page("Ring end gap: measure and file", "note", "x"))]);
    for name in ["ring-end-gap", "Ring End Gap", "ring end gap: measure and file", "ring-endgap", "ring end gpa"] {
        assert_eq!(library.page(name).map(|p| p.slug.as_str()), Some("ring-end-gap"), "{name}");
    }
    assert!(library.page("gearbox").is_none() && library.page("").is_none());
    assert_eq!(library.suggest_pages("ring e", 5).len(), 1);
    assert!(library.suggest_pages("zzzz", 5).is_empty());
}

#[test]
fn a_word_from_either_side_of_its_table() {
    let library = talks::shelf();
    for name in ["gudgeon pin", "Wrist Pin", "piston-pin", "gudgon pin"] {
        assert_eq!(library.word(name).map(|t| t.term.as_str()), Some("Gudgeon pin"), "{name}");
    }
    assert!(library.word("sandwich").is_none() && library.word(" ").is_none());
}

#[test]
fn engines_and_their_limits() {
    let library = talks::shelf();
    let engine = library.engine("skerry").expect("the demo V8 answers to its first name");
    assert_eq!(engine.id, "skerry-v8");
    let own = library.engine_limits("skerry-v8");
    assert!(own.iter().any(|row| row.measure.name == "ring gap" && row.at == "top"));
    assert!(library.engine_limits("nothing").is_empty());
    let marine: Vec<_> = library.general_limits(Some(Duty::Marine)).collect();
    assert!(
        marine.iter().any(|(duty, _)| duty.is_none()) && marine.iter().any(|(duty, _)| *duty == Some(Duty::Marine))
    );
    assert!(marine.iter().all(|(duty, _)| *duty != Some(Duty::Road)));
    assert!(marine.iter().all(|(_, row)| library.page(&row.page).is_some_and(|p| p.kind == Kind::Limits)));
}

#[test]
fn procedures_come_in_the_order_of_the_work() {
    let library = talks::shelf();
    let stages: Vec<_> = library.procedures().iter().filter_map(|page| page.stage).collect();
    assert!(stages.len() >= 15 && stages.is_sorted());
    assert!(library.procedures().iter().all(|page| !page.steps().is_empty()));
}

#[test]
fn a_revision_changes_with_the_text_alone() {
    let one = shelf(&[("a.md", page("A", "note", "x"))]);
    let same = shelf(&[("a.md", page("A", "note", "x")), ("b.md", page("B", "note", "y"))]);
    let other = shelf(&[("a.md", page("A", "note", "x."))]);
    assert_eq!(one.revision("a").map(str::len), Some(12));
    assert_eq!(one.revision("a"), same.revision("a"));
    assert_ne!(one.revision("a"), other.revision("a"));
    assert_eq!(one.revision("b"), None);
}

#[test]
fn a_passage_is_found_again_by_its_reference() {
    let library = talks::shelf();
    for passage in library.passages() {
        assert_eq!(library.passage(&passage.reference), Some(passage));
    }
    assert!("ring-gap#0".parse::<gudgeon::library::Ref>().is_err() && "#1".parse::<gudgeon::library::Ref>().is_err());
}
