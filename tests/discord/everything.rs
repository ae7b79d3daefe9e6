//! Whatever can be said in the terminal can be said on the chat and comes to the same. What differs is listed in README.md.

use gudgeon::desk::form::Kind;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Role};
use jiff::Timestamp;
use serde_json::{Value, json};

use super::events::{self, CHANNEL, LEAD, TECH, focused, text};
use super::shop::{Shop, private, shown};
use crate::talks;

/// What a desk answers to a line in the terminal's way: its title, or the input it refuses.
fn said(desk: &Desk, line: &str) -> (bool, String) {
    let asker = Asker { role: Some(Role::Lead), channel: CHANNEL.to_owned(), ..Asker::new(LEAD.name, Front::Chat) };
    match desk.answer(&asker, line, Timestamp::now()) {
        Outcome::Reply(reply) => (true, reply.title),
        Outcome::Refused(refusal) => (false, format!("Refused: {}", refusal.input)),
        Outcome::Fault(text) => panic!("{line}: {text}"),
    }
}

/// The values of a line as the options of its slash command.
pub fn options(desk: &Desk, line: &str) -> (String, Vec<Value>) {
    let (form, values) = desk.filled(line).unwrap_or_else(|| panic!("{line} is no command"));
    let option = |(id, value): &(String, String)| {
        let field = form.field(id).unwrap();
        match field.kind {
            Kind::Whole if !field.many => events::whole(id, value.trim_start_matches('#').parse().unwrap()),
            Kind::Flag => json!({"name": id, "type": 5, "value": true}),
            _ => text(id, value),
        }
    };
    (form.words(), values.iter().map(option).collect())
}

#[test]
fn every_command_answers_its_example_as_the_terminal_does() {
    // Two shops that hear the same lines in the same order.
    let (shop, twin) = (Shop::alone(|_| {}), talks::bench());
    for form in twin.forms() {
        let line = &form.example;
        let (right, expected) = said(&twin, line);
        let (words, options) = options(&twin, line);
        assert_eq!(words, form.words(), "{line}");
        let call = shop.slash(LEAD, &words, options);
        let plain = shown(&call).replace('\\', "");
        let start: String = expected.chars().take(120).collect();
        assert_eq!(private(&call), !right, "{line}: {plain}");
        assert!(plain.starts_with(start.trim()), "{line}: “{expected}” was expected: {plain}");
    }
    let of = |desk: &Desk| desk.fingerprint().unwrap().split(' ').next().unwrap().to_owned();
    assert_eq!(of(&shop.desk), of(&twin), "as much was posted");
}

#[test]
fn what_is_offered_while_typing_is_best_first() {
    let shop = Shop::alone(|_| {});
    let first = |found: Vec<(String, String)>| found.into_iter().next().map(|(value, _)| value);
    // By the start of a word, by a fragment, by another word for it.
    for (typed, value) in [("skerry", "skerry-v8"), ("v8", "skerry-v8"), ("dunlin", "dunlin-six")] {
        assert_eq!(
            first(shop.typing(TECH, "orient", vec![focused("engine", typed)])).as_deref(),
            Some(value),
            "{typed}"
        );
    }
    let checks = shop.typing(TECH, "log", vec![focused("check", "end gap")]);
    assert_eq!(checks[0].0, "ring-gap", "{checks:?}");
    let terms = shop.typing(TECH, "word", vec![focused("term", "wrist")]);
    assert!(terms.iter().any(|(value, _)| value.contains("pin")), "by its other name: {terms:?}");
    // Places that lack a reading come first, then one that came back, and each says so.
    let places = |typed: &str| {
        let options = vec![text("check", "main-journal"), text("job", "1"), focused("position", typed)];
        shop.typing(TECH, "log", options)
    };
    let before = places("");
    let posted = |places: &[(String, String)]| places.iter().filter(|(_, label)| label.ends_with("(posted)")).count();
    let lacking = before.len() - posted(&before);
    assert!(lacking > 0 && posted(&before) > 0, "{before:?}");
    assert!(before[..lacking].iter().all(|(_, label)| !label.contains("posted")), "{before:?}");
    let full = before.last().unwrap().0.clone();
    let number = {
        let log = vec![
            text("check", "main-journal"),
            text("position", &full),
            text("values", "2.4498in 2.4497in"),
            text("job", "1"),
        ];
        shop.slash(TECH, "log", log);
        shop.desk.fingerprint().unwrap().split(' ').next().unwrap().to_owned()
    };
    shop.slash(LEAD, "review return", vec![text("reading", &number), text("comment", "measure again")]);
    let after = places("");
    let back = after.iter().position(|(value, _)| *value == full).unwrap();
    assert_eq!(after[back].1, format!("{full} (came back)"));
    assert!(after[back + 1..].iter().all(|(_, label)| label.ends_with("(posted)")), "{after:?}");
    assert!(after[..back].iter().all(|(_, label)| !label.contains('(')), "{after:?}");
    // The job at hand comes before the others.
    shop.slash(TECH, "job open", vec![text("engine", "dunlin-six"), text("title", "survey launch")]);
    shop.slash(TECH, "job take", vec![text("job", "1")]);
    let jobs = shop.typing(TECH, "log", vec![focused("job", "")]);
    assert_eq!(jobs.iter().map(|(value, _)| value.as_str()).collect::<Vec<_>>(), ["#1", "#2"]);
    for (words, field) in [("log", "check"), ("page", "name"), ("job show", "job")] {
        assert!(shop.typing(TECH, words, vec![focused(field, "")]).len() <= 25, "{words} {field}");
    }
}
