//! Every sum as a slash command: filled as it is registered, it is answered as the desk answers its line.

use gudgeon::desk::{Asker, Desk, Form, Front, Outcome};
use serde_json::{Value, json};

use super::events::AT_LEISURE;
use super::shop::{Shop, private, shown};
use crate::house::sums::sums;
use crate::talks::clock;

/// Types of an option on the platform.
const SUBCOMMAND: u64 = 1;
const TEXT: u64 = 3;
const WHOLE: u64 = 4;
const YES_OR_NO: u64 = 5;

/// The options of a command as they were registered.
fn registered(commands: &[Value], form: &Form) -> Vec<Value> {
    let named =
        |all: &[Value], name: &str| all.iter().find(|one| one["name"] == name).cloned().expect("it is registered");
    let options = |of: Value| of["options"].as_array().cloned().unwrap_or_default();
    let of_family = options(named(commands, &form.family));
    match &form.verb {
        Some(verb) => {
            let verb = named(&of_family, verb);
            assert_eq!(verb["type"], SUBCOMMAND);
            options(verb)
        }
        None => of_family,
    }
}

/// The values of the form's example as the platform would send them; it takes only what the definition allows.
fn filled(desk: &Desk, form: &Form, registered: &[Value]) -> Vec<Value> {
    let (_, values) = desk.filled(&form.example).unwrap();
    let given = |option: &Value| values.iter().any(|(id, _)| option["name"] == id.as_str());
    assert!(registered.iter().all(|option| option["required"] != true || given(option)), "{}", form.words());
    let option = |(id, value): &(String, String)| {
        let option = registered.iter().find(|option| option["name"] == id.as_str()).expect("an option for it");
        let kind = option["type"].as_u64().unwrap();
        let value = match kind {
            WHOLE => json!(value.parse::<u64>().unwrap()),
            YES_OR_NO => json!(value == "yes"),
            _ => json!(value),
        };
        let choices = option["choices"].as_array().cloned().unwrap_or_default();
        assert!(choices.is_empty() || choices.iter().any(|choice| choice["value"] == value), "{} {id}", form.words());
        assert!(kind == TEXT || !value.is_string(), "{} {id} is of type {kind}", form.words());
        json!({"name": id, "type": kind, "value": value})
    };
    values.iter().map(option).collect()
}

#[test]
fn every_sum_is_worked_out_as_a_slash_command() {
    let shop = Shop::open();
    let commands = shop.server.shared.commands().clone();
    for form in sums(&shop.desk) {
        let options = filled(&shop.desk, form, &registered(&commands, form));
        let call = shop.slash(AT_LEISURE, &form.words(), options);
        let Outcome::Reply(reply) = shop.desk.answer(&Asker::new(AT_LEISURE.name, Front::Chat), &form.example, clock()) else {
            panic!("{} is no answer", form.example)
        };
        assert!(!private(&call), "{}: {}", form.example, shown(&call));
        let title = call.body["data"]["embeds"][0]["title"].as_str().unwrap().replace('\\', "");
        let verdict = title.strip_prefix(reply.title.as_str());
        let verdict = verdict.unwrap_or_else(|| panic!("“{title}” instead of “{}” to {}", reply.title, form.example));
        assert!(verdict.is_empty() || verdict.starts_with(" - "), "{title}");
    }
}

#[test]
fn what_may_carry_a_unit_is_text() {
    use gudgeon::desk::form::Kind;
    let shop = Shop::open();
    let commands = shop.server.shared.commands().clone();
    let mut quantities = 0;
    for form in sums(&shop.desk) {
        let options = registered(&commands, form);
        assert!(options.len() <= 25, "{}", form.words());
        for field in form.fields.iter().filter(|field| matches!(field.kind, Kind::Quantity(_) | Kind::Reading)) {
            let option = options.iter().find(|option| option["name"] == field.id).expect("an option for it");
            assert_eq!(option["type"], TEXT, "{} {}", form.words(), field.id);
            quantities += 1;
        }
    }
    assert!(quantities > 100, "only {quantities} fields with a unit");
}
