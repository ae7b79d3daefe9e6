//! The command list tests itself: names, lengths, examples, help.

use std::collections::BTreeSet;

use gudgeon::desk::form::Kind;
use gudgeon::desk::{Asker, Desk, Form, Front, Outcome, commands};

use crate::talks::bench;

/// The families that answer from the library, the engines and the record; every other one works something out.
const NO_SUMS: [&str; 13] =
    ["ask", "page", "procedure", "word", "limits", "orient", "clock", "job", "log", "amend", "next", "review", "sheet"];

/// The commands that work something out.
pub fn sums(desk: &Desk) -> impl Iterator<Item = &Form> {
    desk.forms().iter().filter(|form| !NO_SUMS.contains(&form.family.as_str()))
}

fn forms() -> Vec<Form> {
    Form::all(&commands::Line::command())
}

#[test]
fn the_clap_tree_is_sound() {
    commands::Line::command().debug_assert();
}

#[test]
fn names_are_unique_and_within_what_a_chat_takes() {
    let mut seen = BTreeSet::new();
    let families: BTreeSet<String> = forms().into_iter().map(|f| f.family).collect();
    assert!(families.len() <= 100, "a guild takes 100 commands");
    for form in forms() {
        assert!(seen.insert(form.words()), "{} is there twice", form.words());
        let names =
            [Some(&form.family), form.verb.as_ref()].into_iter().flatten().chain(form.fields.iter().map(|f| &f.id));
        for name in names {
            let fits = (1..=32).contains(&name.len())
                && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
            assert!(fits, "{name} in {} is no name a chat takes", form.words());
        }
        assert!(form.fields.len() <= 25, "{} has over 25 fields", form.words());
        for text in [&form.about, &form.family_about].into_iter().chain(form.fields.iter().map(|f| &f.help)) {
            let length = text.chars().count();
            assert!((1..=100).contains(&length), "{}: “{text}” has {length} characters", form.words());
        }
        for field in &form.fields {
            if let Kind::Choice(choices) = &field.kind {
                assert!(choices.len() <= 25, "{} {} has over 25 choices", form.words(), field.id);
            }
        }
    }
}

#[test]
fn every_example_works_in_the_demo_shop() {
    let desk = bench();
    let mut forms = forms();
    // A closed job takes no more readings, so this one goes last.
    forms.sort_by_key(|form| form.words() == "job close");
    for form in forms {
        assert!(form.example.starts_with(&form.words()), "{} has the example “{}”", form.words(), form.example);
        let lead = Asker::new("lead", Front::Terminal);
        match desk.answer(&lead, &form.example, "2026-11-20T09:00:00Z".parse().unwrap()) {
            Outcome::Reply(reply) => assert!(!reply.title.is_empty()),
            other => panic!("{}: {other:?}", form.example),
        }
    }
}

#[test]
fn every_command_has_a_talk_and_a_refusal_and_help() {
    let desk = bench();
    let read = |folder: &str| {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let mut all = String::new();
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                all.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
        all
    };
    let (talks, refusals) = (read("tests/talks"), read("tests/talks/refusals"));
    for form in forms() {
        let said = format!("> {}", form.words());
        assert!(talks.contains(&said), "no page in tests/talks says “{}”", form.words());
        // A line that is all words is a question and cannot be wrong.
        if form.words() != "ask" {
            assert!(refusals.contains(&said), "no page in tests/talks/refusals says “{}”", form.words());
        }
        let help = desk.answer(
            &Asker::new("lead", Front::Terminal),
            &format!("help {}", form.words()),
            jiff::Timestamp::UNIX_EPOCH,
        );
        let Outcome::Reply(help) = help else { panic!("no help for {}", form.words()) };
        assert!(help.title.starts_with(&form.words()));
    }
}

#[test]
fn a_filled_form_reads_back_as_its_line() {
    let forms = forms();
    let gap = forms.iter().find(|f| f.words() == "ring gap").unwrap();
    assert_eq!(gap.line([("bore", "4.030 in"), ("duty", ""), ("nonsense", "x")]), "ring gap bore=\"4.030 in\"");
    assert_eq!(gap.line([("bore", "2-1/2\" ")]), "ring gap bore=\"2-1/2''\"");
}
