//! Questions as they are typed on a phone, one a line in `questions.jsonl`: `q`, and in `want` what the passage given as the
//! answer must all hold (alternatives parted by `|`, any case), in `page` the pages it may stand on; `"expect": "none"` where the
//! shelf must say that it does not cover it: `out-of-scope` is nothing to do with the trade, `near-trade` is the trade next door.

use gudgeon::library::{Form, Kind, Library, Node, Passage};
use serde::Deserialize;

#[derive(Deserialize)]
struct Question {
    id: String,
    q: String,
    want: Vec<String>,
    page: Option<String>,
    kind: Option<String>,
    expect: Option<String>,
}

fn questions() -> Vec<Question> {
    include_str!("questions.jsonl").lines().map(|line| serde_json::from_str(line).expect(line)).collect()
}

impl Question {
    fn outside(&self) -> bool {
        self.expect.as_deref() == Some("none")
    }
}

fn answers(passage: &Passage, question: &Question) -> bool {
    let on_page = question.page.as_ref().is_none_or(|any| any.split('|').any(|slug| slug == passage.reference.page));
    on_page && says(passage, &question.want)
}

fn says(passage: &Passage, want: &[String]) -> bool {
    let text = format!("{}\n{}\n{}", passage.title, passage.path.join("\n"), passage.text).to_lowercase();
    want.iter().all(|any| any.to_lowercase().split('|').any(|words| text.contains(words)))
}

#[test]
fn most_questions_are_answered_by_the_first_passage_and_nearly_all_by_the_third() {
    let library = Library::embedded();
    let (mut asked, mut first, mut third, mut reciprocal) = (0, 0, 0, 0.0);
    let mut missed = Vec::new();
    for question in questions().iter().filter(|question| !question.outside()) {
        let answer = library.ask(&question.q, None, 10);
        let rank = answer.hits.iter().position(|hit| answers(hit.passage, question)).filter(|_| answer.covered);
        asked += 1;
        first += usize::from(rank == Some(0));
        third += usize::from(rank.is_some_and(|rank| rank < 3));
        reciprocal += rank.map_or(0.0, |rank| 1.0 / (rank + 1) as f64);
        if rank != Some(0) {
            missed.push(format!("{} \"{}\": {rank:?}, covered {}", question.id, question.q, answer.covered));
        }
    }
    let share = |n: usize| n as f64 / asked as f64;
    println!("hit@1 {:.3}, hit@3 {:.3}, mrr {:.3}", share(first), share(third), reciprocal / asked as f64);
    assert!(share(first) >= 0.90 && share(third) >= 0.95, "{missed:#?}");
}

#[test]
fn what_the_shelf_does_not_cover_is_said_to_be_so() {
    let library = Library::embedded();
    let all = questions();
    let outside: Vec<&Question> = all.iter().filter(|question| question.outside()).collect();
    assert!(outside.len() >= 120);
    let (mut covered, mut foreign) = (Vec::new(), Vec::new());
    for question in &outside {
        let answer = library.ask(&question.q, None, 3);
        if answer.covered {
            covered.push(question.q.as_str());
        }
        if question.kind.as_deref() == Some("out-of-scope") && (answer.covered || answer.near) {
            foreign.push(question.q.as_str());
        }
    }
    println!("false confident {} of {}", covered.len(), outside.len());
    assert!(covered.len() * 20 <= outside.len(), "{covered:#?}");
    // Nothing at all is offered for what is no part of the trade.
    assert!(foreign.is_empty(), "{foreign:#?}");
}

#[test]
fn a_smell_of_fuel_is_answered_from_the_first_step() {
    let library = Library::embedded();
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
    let library = Library::embedded();
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
    let library = Library::embedded();
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
    let library = Library::embedded();
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
            let best = answer.hits.first().map(|hit| hit.passage).filter(|_| answer.covered);
            let told = best.is_some_and(|p| p.reference.page == page && p.text.contains(words));
            assert!(told, "{question} ({engine:?}): {best:?}");
        }
    }
}

#[test]
fn either_name_of_a_thing_finds_the_same_passage() {
    let library = Library::embedded();
    let best = |question: &str| library.ask(question, None, 1).hits.first().map(|hit| hit.passage.reference.clone());
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
    let library = Library::embedded();
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
    let library = Library::embedded();
    let read = library.ask("rod side clearence", None, 1).read_as;
    assert_eq!(read, [("clearence".to_owned(), "clearance".to_owned())]);
}
