//! What must hold of single questions, whatever the scores say.

use gudgeon::library::{Form, Kind, Node, Passage};

use crate::talks;

#[test]
fn a_smell_of_fuel_is_answered_from_the_first_step() {
    let library = talks::shelf();
    for question in [
        "fuel smell in bilge",
        "petrol fumes in the bilge what do i do",
        "petrol smell in engine bay",
        "smells of petrol down below",
        "can smell petrol in the boat",
        "gas smell in bilge start it?",
        "strong fuel smell in engine room",
        "smell petrol",
        "petrol fumes",
        "there is petrol in the bilge",
        "fuel leaking into the bilge",
        "bilge smells of petrol can i start the engine",
        "is it ok to start with a petrol smell",
    ] {
        let answer = library.ask(question, None, 1);
        let best = answer.hits.first().map(|hit| hit.passage).filter(|_| answer.covered);
        let told = best.is_some_and(|p| p.heading().starts_with("If you smell fuel") && p.text.starts_with("1. Stop."));
        assert!(told, "{question}: {best:?}");
    }
}

#[test]
fn no_answer_starts_in_the_middle_of_its_steps() {
    let library = talks::shelf();
    for passage in library.passages() {
        let first = passage.nodes.iter().find_map(|node| match node {
            Node::List { ordered: true, start, .. } => Some(*start),
            _ => None,
        });
        assert!(first.is_none_or(|start| start == 1), "{}", passage.reference);
    }
}

#[test]
fn which_way_round_is_never_answered_by_a_size() {
    let library = talks::shelf();
    for engine in [None, Some("skerry-v8"), Some("dunlin-six")] {
        for question in [
            "which way round does the con rod go on a v8",
            "which way does rod 3 go",
            "which way up does the second ring go",
            "which way does the piston face",
            "which way do the thrust washers face",
            "what way does the dunlin turn",
        ] {
            let answer = library.ask(question, engine, 1);
            let best = answer.hits.first().map(|hit| hit.passage).filter(|_| answer.covered);
            let sized = |p: &Passage| p.form == Form::Row && matches!(p.page_kind, Kind::Limits | Kind::Engine);
            assert!(best.is_some_and(|p| !sized(p)), "{question} ({engine:?}): {best:?}");
        }
    }
}

#[test]
fn an_engine_named_is_the_engine_answered() {
    let library = talks::shelf();
    for (question, page, words) in [
        ("firing order dunlin", "dunlin-six", "1-4-2-6-3-5"),
        ("whats the firing order on the fulmar", "fulmar-four", "1-3-4-2"),
        ("skerry firing order", "skerry-v8", "1-8-4-3-6-5-7-2"),
        ("torque spec for the head bolts on skerry", "skerry-v8", "maker's sheet"),
        ("dunlin crank end float", "dunlin-six", "Dunlin six, crank end float"),
    ] {
        // Even while another is on the stand.
        for engine in [None, Some("skerry-v8"), Some("fulmar-four")] {
            let answer = library.ask(question, engine, 1);
            let best = answer.hits.first().filter(|_| answer.covered);
            let told = best.is_some_and(|hit| hit.passage.reference.page == page && hit.text().contains(words));
            assert!(told, "{question} ({engine:?}): {best:?}");
        }
    }
}

#[test]
fn either_name_of_a_thing_finds_the_same_page() {
    let library = talks::shelf();
    let best =
        |question: &str| library.ask(question, None, 1).hits.first().map(|hit| hit.passage.reference.page.clone());
    for (one, other) in [
        ("pressed wrist pin", "pressed gudgeon pin"),
        ("pressed piston pin", "pressed gudgeon pin"),
        ("crank end play limit", "crank end float limit"),
        ("freeze plug for a boat", "core plug for a boat"),
        ("leakdown limit", "leak-down limit"),
        ("crank run out limit", "crank runout limit"),
        ("main bearing clearence rule", "main bearing clearance rule"),
    ] {
        assert!(best(one).is_some());
        assert_eq!(best(one), best(other), "{one} / {other}");
    }
}

#[test]
fn the_engine_in_hand_comes_before_the_general_table() {
    let library = talks::shelf();
    let page = |question: &str, engine| {
        library.ask(question, engine, 1).hits.first().map(|hit| hit.passage.reference.page.clone())
    };
    assert_eq!(page("main oil clearance limit", Some("skerry-v8")).as_deref(), Some("skerry-v8"));
    assert_eq!(page("main oil clearance limit dunlin", Some("skerry-v8")).as_deref(), Some("dunlin-six"));
    let general = page("main oil clearance limit", None);
    assert_eq!(general.and_then(|slug| library.page(&slug).map(|p| p.kind)), Some(gudgeon::library::Kind::Limits));
}

#[test]
fn a_question_says_what_it_read() {
    let library = talks::shelf();
    let read = library.ask("rod side clearence", None, 1).read_as;
    assert_eq!(read, [("clearence".to_owned(), "clearance".to_owned())]);
}

#[test]
fn an_engines_own_limit_stands_before_the_general_one() {
    let library = talks::shelf();
    let page = |question: &str, engine| {
        let answer = library.ask(question, engine, 1);
        answer.hits.first().map(|hit| hit.passage.reference.page.clone()).filter(|_| answer.covered)
    };
    for question in [
        "what end gap does the top ring want on the skerry, 4.030 bore, marine",
        "top ring gap skerry 4.030 bore marine",
        "skerry top ring gap in a boat",
    ] {
        assert_eq!(page(question, None).as_deref(), Some("skerry-v8"), "{question}");
    }
    let question = "top ring gap marine";
    assert_eq!(page(question, Some("skerry-v8")).as_deref(), Some("skerry-v8"), "the engine on the stand is meant");
    assert!(page(question, None).is_some_and(|page| page != "skerry-v8"), "none is meant");
}

#[test]
fn a_thread_that_is_asked_is_the_thread_answered() {
    let library = talks::shelf();
    let told = |question: &str| {
        let answer = library.ask(question, None, 1);
        answer.hits.first().filter(|_| answer.covered).map(|hit| hit.text()).unwrap_or_default()
    };
    // Every row of both tables, by its name and as it is said.
    for (table, ask) in [("Torque for ", "torque for a bolt"), ("Tap drill for ", "tap drill for")] {
        let rows = library.passages().filter(|p| p.form == Form::Row && p.heading().starts_with(table));
        let rows: Vec<(&str, &str)> = rows.filter_map(|p| Some((p.heading(), name(p)?))).collect();
        assert!(rows.len() > 20, "{rows:?}");
        for (heading, name) in rows {
            let question = format!("{ask} {}", name.to_lowercase().replace(" x ", "x"));
            assert!(told(&question).contains(&format!("{heading}: {name}")), "{question}: {}", told(&question));
        }
    }
    for (question, coarse, fine) in [
        ("half inch head stud torque grade 5", "1/2-13", "1/2-20"),
        ("three eighths grade 8 torque", "3/8-16", "3/8-24"),
        ("m10 8.8 torque", "M10 x 1.5", "M10 x 1.25"),
    ] {
        // Either may be meant, so both are told, the usual one first.
        let text = told(question);
        assert!(text.find(coarse).zip(text.find(fine)).is_some_and(|(a, b)| a < b), "{question}: {text}");
    }
    let text = told("half inch unf grade 5 torque");
    assert!(text.contains("1/2-20") && !text.contains("1/2-13"), "{text}");
    for question in ["torque for a grade 8 bolt", "m9 torque", "torque for 11/16 grade 8"] {
        let answer = library.ask(question, None, 10);
        let row = answer
            .hits
            .iter()
            .any(|hit| hit.passage.heading().starts_with("Torque for ") && hit.passage.form == Form::Row);
        assert!(!row, "{question}: another thread's torque is no answer");
    }
}

/// What a row is called: what stands between its table's heading and the next cell.
fn name(row: &Passage) -> Option<&str> {
    row.text.strip_prefix(row.heading())?.strip_prefix(": ")?.split_once(". ").map(|(name, _)| name)
}
