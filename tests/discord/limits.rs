//! What the platform refuses, checked by hand on the bodies that were sent.

use std::collections::BTreeSet;

use serde_json::Value;

use super::rest::Call;

fn length(value: &Value) -> usize {
    value.as_str().unwrap_or_default().encode_utf16().count()
}

fn list(value: &Value) -> Vec<Value> {
    value.as_array().cloned().unwrap_or_default()
}

/// The first answer to an interaction.
pub fn answer(call: &Call) {
    let data = &call.body["data"];
    match call.body["type"].as_u64() {
        Some(4 | 5 | 7) => message(data, call),
        Some(8) => completion(data),
        Some(9) => modal(data),
        other => panic!("an answer of type {other:?}"),
    }
}

/// A message: the body of an edit or a follow-up, or the data of a first answer.
pub fn message(data: &Value, call: &Call) {
    assert!(length(&data["content"]) <= 2_000);
    let embeds = list(&data["embeds"]);
    assert!(embeds.len() <= 10);
    let mut all = 0;
    for embed in &embeds {
        let footer = length(&embed["footer"]["text"]);
        let (title, description) = (length(&embed["title"]), length(&embed["description"]));
        assert!(title <= 256 && description <= 4_096 && footer <= 2_048);
        assert!(title + description > 0 || embed["image"].is_object(), "an empty embed: {embed}");
        all += title + description + footer;
        let fields = list(&embed["fields"]);
        assert!(fields.len() <= 25);
        for field in &fields {
            let (name, value) = (length(&field["name"]), length(&field["value"]));
            assert!((1..=256).contains(&name) && (1..=1_024).contains(&value));
            all += name + value;
        }
        if let Some(name) = embed["image"]["url"].as_str().and_then(|url| url.strip_prefix("attachment://")) {
            assert!(call.files.iter().any(|file| file.name == name), "{name} is not attached");
        }
    }
    assert!(all <= 6_000, "{all} characters over all embeds");
    assert!(call.files.len() <= 10);
    for file in &call.files {
        assert!(file.bytes.len() <= 10 * 1024 * 1024);
    }
    for attachment in list(&data["attachments"]) {
        assert!(length(&attachment["description"]) <= 1_024);
    }
    if let Some(mentions) = data.get("allowed_mentions").filter(|m| m.is_object()) {
        assert!(list(&mentions["parse"]).is_empty(), "someone could be pinged");
        assert!(list(&mentions["users"]).is_empty() && list(&mentions["roles"]).is_empty());
    } else {
        assert!(embeds.is_empty(), "without allowed_mentions a text may ping");
    }
    rows(data);
}

fn rows(data: &Value) {
    let rows = list(&data["components"]);
    assert!(rows.len() <= 5);
    let mut ids = BTreeSet::new();
    for row in &rows {
        let components = list(&row["components"]);
        assert!((1..=5).contains(&components.len()));
        for component in &components {
            let id = component["custom_id"].as_str().expect("a custom id");
            assert!((1..=100).contains(&length(&component["custom_id"])));
            assert!(ids.insert(id.to_owned()), "{id} is there twice");
            if component["type"] == 2 {
                assert!((1..=80).contains(&length(&component["label"])));
            } else {
                let options = list(&component["options"]);
                assert!((1..=25).contains(&options.len()) && components.len() == 1);
                let values: BTreeSet<&str> = options.iter().map(|o| o["value"].as_str().unwrap()).collect();
                assert_eq!(values.len(), options.len(), "a value is there twice");
                for option in &options {
                    assert!((1..=100).contains(&length(&option["label"])));
                    assert!((1..=100).contains(&length(&option["value"])));
                }
            }
        }
    }
}

fn completion(data: &Value) {
    let choices = list(&data["choices"]);
    assert!(choices.len() <= 25);
    for choice in &choices {
        assert!((1..=100).contains(&length(&choice["name"])) && (1..=100).contains(&length(&choice["value"])));
    }
}

fn modal(data: &Value) {
    assert!((1..=45).contains(&length(&data["title"])) && (1..=100).contains(&length(&data["custom_id"])));
    let rows = list(&data["components"]);
    assert!((1..=5).contains(&rows.len()));
    let mut ids = BTreeSet::new();
    for row in &rows {
        let inputs = list(&row["components"]);
        assert_eq!(inputs.len(), 1);
        let input = &inputs[0];
        assert!((1..=45).contains(&length(&input["label"])) && (1..=100).contains(&length(&input["custom_id"])));
        assert!(length(&input["placeholder"]) <= 100 && length(&input["value"]) <= 4_000);
        assert!(ids.insert(input["custom_id"].to_string()));
    }
}

/// A set of commands as it is registered.
pub fn commands(commands: &[Value]) {
    assert!((1..=100).contains(&commands.len()));
    let mut names = BTreeSet::new();
    for command in commands {
        name(&command["name"]);
        assert!(names.insert(command["name"].to_string()), "{} is there twice", command["name"]);
        assert!((1..=100).contains(&length(&command["description"])));
        options(&command["options"], &command["name"]);
        assert!(letters(command) <= 8_000, "{} says too much in all", command["name"]);
    }
}

fn name(value: &Value) {
    let text = value.as_str().unwrap();
    let right = text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | '_'));
    assert!((1..=32).contains(&text.len()) && right, "{text} is no name of a command");
}

fn options(value: &Value, of: &Value) {
    let all = list(value);
    assert!(all.len() <= 25, "{of} has over 25 options");
    let mut names = BTreeSet::new();
    let mut optional_seen = false;
    for option in &all {
        name(&option["name"]);
        assert!(names.insert(option["name"].to_string()), "{of} has {} twice", option["name"]);
        assert!((1..=100).contains(&length(&option["description"])), "{of} {}", option["name"]);
        if option["type"] == 1 {
            assert!(all.iter().all(|other| other["type"] == 1), "{of} mixes verbs and values");
            options(&option["options"], &option["name"]);
            continue;
        }
        let required = option["required"] == true;
        assert!(!(required && optional_seen), "{of} wants {} after an optional one", option["name"]);
        optional_seen |= !required;
        let choices = list(&option["choices"]);
        assert!(choices.len() <= 25);
        assert!(choices.is_empty() || option["autocomplete"] != true, "choices together with completion");
        let mut seen = BTreeSet::new();
        for choice in &choices {
            assert!((1..=100).contains(&length(&choice["name"])) && (1..=100).contains(&length(&choice["value"])));
            assert!(seen.insert(choice["name"].to_string()), "{of} offers {} twice", choice["name"]);
        }
    }
}

/// Names, descriptions and choices of a command and all its options.
fn letters(value: &Value) -> usize {
    let own = length(&value["name"]) + length(&value["description"]) + length(&value["value"]);
    let below = list(&value["options"]).iter().chain(&list(&value["choices"])).map(letters).sum::<usize>();
    own + below
}
