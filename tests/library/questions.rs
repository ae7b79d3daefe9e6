//! Questions as they are typed on a phone, one a line in `questions.jsonl`: `q`, and in `want` what the passage given as the
//! answer must all hold (alternatives parted by `|`, any case); `"expect": "none"` where the shelf must say that it does not cover it.

use gudgeon::library::{Library, Passage};
use serde::Deserialize;

#[derive(Deserialize)]
struct Question {
    id: String,
    q: String,
    want: Vec<String>,
    expect: Option<String>,
}

fn questions() -> Vec<Question> {
    include_str!("questions.jsonl").lines().map(|line| serde_json::from_str(line).expect(line)).collect()
}

fn answers(passage: &Passage, want: &[String]) -> bool {
    let text = format!("{}\n{}\n{}", passage.title, passage.path.join("\n"), passage.text).to_lowercase();
    want.iter().all(|any| any.to_lowercase().split('|').any(|words| text.contains(words)))
}

#[test]
fn most_questions_are_answered_by_the_first_passage_and_nearly_all_by_the_third() {
    let library = Library::embedded();
    let (mut asked, mut first, mut third, mut reciprocal) = (0, 0, 0, 0.0);
    let mut missed = Vec::new();
    for question in questions().iter().filter(|question| question.expect.is_none()) {
        let answer = library.ask(&question.q, None, 10);
        let rank = answer.hits.iter().position(|hit| answers(hit.passage, &question.want)).filter(|_| answer.covered);
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
    assert!(share(first) >= 0.85 && share(third) >= 0.95, "{missed:#?}");
}

#[test]
fn what_the_shelf_does_not_cover_is_said_to_be_so() {
    let library = Library::embedded();
    let all = questions();
    let outside: Vec<&Question> = all.iter().filter(|question| question.expect.as_deref() == Some("none")).collect();
    assert!(outside.len() >= 8);
    let wrong: Vec<&str> = outside.iter().map(|q| q.q.as_str()).filter(|q| library.ask(q, None, 3).covered).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
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
