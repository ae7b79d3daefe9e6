//! The command list tests itself: names, lengths, examples, help.

use std::collections::BTreeSet;

use gudgeon::desk::form::Kind;
use gudgeon::desk::reply::{Block, Value};
use gudgeon::desk::{Asker, Desk, Form, Front, Outcome, Reply, commands};
use gudgeon::quantity::UNITS;

use super::sums::sums;
use crate::durability;
use crate::talks::{bench, clock};

/// What the desk answers the lead to a line.
fn answered(desk: &Desk, line: &str) -> Reply {
    match desk.answer(&Asker::new("lead", Front::Terminal), line, clock()) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
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
        assert!(!answered(&desk, &form.example).title.is_empty(), "{}", form.example);
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
        let help = answered(&desk, &format!("help {}", form.words()));
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

/// What the program answers to these arguments.
fn printed(arguments: &[&str]) -> String {
    let folder = durability::shop();
    let done = durability::program(folder.path()).args(arguments).output().unwrap();
    assert!(done.status.success(), "{arguments:?}: {done:?}");
    String::from_utf8(done.stdout).unwrap()
}

#[test]
fn the_programs_help_lists_every_command_under_its_family() {
    let listed = printed(&["say", "--help"]);
    let help = printed(&["say", "help"]);
    // The words stand alone in their column: what follows them is blank.
    let has = |line: &str, words: &str| line.strip_prefix(words).is_some_and(|rest| rest.starts_with("  "));
    let line_of = |text: &str, words: &str| text.lines().position(|line| has(line, words));
    let helped: Vec<&str> = help.lines().collect();
    let mut last = 0;
    for form in forms() {
        let words = form.words();
        let indent = if form.verb.is_some() { "  " } else { "" };
        let at = line_of(&listed, &format!("{indent}{words}"));
        let at = at.unwrap_or_else(|| panic!("say --help does not list {words}"));
        let family = line_of(&listed, &form.family).expect("its family is there");
        assert!(family <= at && last < at, "{words} is not with its family");
        last = at;
        // A long name is on two lines of its column.
        let (family, verb) = (format!(" {}", form.family), format!(" {}", form.verb.unwrap_or_default()));
        let on_two = |two: &[&str]| has(two[0], &family) && has(two[1], &verb);
        let there = line_of(&help, &format!(" {words}")).is_some() || helped.windows(2).any(on_two);
        assert!(there, "say help does not list {words}");
    }
}

/// Units of what is worked out and never typed, so that the shop's list of units need not read them.
const NEVER_TYPED: [&str; 3] = ["ft/min", "m/s", "m/s2"];

fn has_figure(reply: &Reply) -> bool {
    reply.blocks.iter().any(|block| matches!(block, Block::Figure(f) if f.svg.contains("<svg") && !f.alt.is_empty()))
}

#[test]
fn a_figure_comes_where_people_would_rather_look() {
    let desk = bench();
    for words in ["ring file", "piston motion", "piston to-valve", "crank runout", "bolt order"] {
        let example = &desk.form(words).expect("the command is there").example;
        assert!(has_figure(&answered(&desk, example)), "{example}");
    }
    assert!(!has_figure(&answered(&desk, "ring taper 0.020in 0.016in")));
}

#[test]
fn every_sum_gives_its_results_by_name_with_their_units() {
    let desk = bench();
    for form in sums(&desk) {
        let reply = answered(&desk, &form.example);
        assert!(!reply.values.is_empty(), "{} gives no value", form.example);
        let mut names = BTreeSet::new();
        for Value { name, value, unit, .. } in &reply.values {
            let snake = name.starts_with(|c: char| c.is_ascii_lowercase())
                && !name.ends_with('_')
                && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
            assert!(snake, "{}: {name} is no name for a script", form.words());
            assert!(names.insert(name), "{}: {name} is there twice", form.words());
            assert!(value.is_finite(), "{}: {name} is {value}", form.words());
            let known = unit.is_empty() || UNITS.iter().any(|known| known.symbol == unit);
            assert!(known || NEVER_TYPED.contains(&unit.as_str()), "{}: {name} in {unit}", form.words());
        }
    }
}
