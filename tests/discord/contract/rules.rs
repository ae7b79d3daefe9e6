//! What the platform refuses and its published schema does not say, checked by hand.
//!
//! Lengths and counts that the schema has are left to it. Those it counts otherwise, or not over the whole, are here;
//! each is from the platform's reference on messages, components and application commands.

use std::collections::BTreeSet;

use anyhow::{Context as _, Result, bail, ensure};
use serde_json::Value;

/// In UTF-16 units, the strictest way that anyone there counts.
fn length(value: &Value) -> usize {
    value.as_str().unwrap_or_default().encode_utf16().count()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// A message that stands for itself: a new one, an edit, a follow-up, or the data of a first answer. `files` are the
/// names of what is attached.
pub fn message(data: &Value, files: &[&str]) -> Result<()> {
    ensure!(length(&data["content"]) <= 2_000, "over 2 000 letters of content");
    let embeds = list(&data["embeds"]);
    let written = !data["content"].as_str().unwrap_or_default().trim().is_empty();
    ensure!(written || !embeds.is_empty() || !files.is_empty(), "an empty message");
    let mut all = 0;
    for embed in embeds {
        all += self::embed(embed, files)?;
    }
    ensure!(all <= 6_000, "{all} letters over all embeds");
    ensure!(files.len() <= 10, "over 10 files");
    mentions(data)?;
    rows(data)
}

/// How many letters an embed has in all.
fn embed(embed: &Value, files: &[&str]) -> Result<usize> {
    let mut all = 0;
    for (part, most) in [(&embed["title"], 256), (&embed["description"], 4_096), (&embed["footer"]["text"], 2_048)] {
        ensure!(length(part) <= most, "over {most} letters in a part of an embed");
        all += length(part);
    }
    ensure!(all > 0 || embed["image"].is_object() || !list(&embed["fields"]).is_empty(), "an empty embed");
    for field in list(&embed["fields"]) {
        let (name, value) = (length(&field["name"]), length(&field["value"]));
        ensure!((1..=256).contains(&name) && (1..=1_024).contains(&value), "a field that is empty or too long");
        all += name + value;
    }
    if let Some(name) = embed["image"]["url"].as_str().and_then(|url| url.strip_prefix("attachment://")) {
        ensure!(files.contains(&name), "{name} is not attached");
    }
    Ok(all)
}

/// A thread as it is made or changed: to leave its kind out makes a private one.
pub fn thread(body: &Value) -> Result<()> {
    if let Some(name) = body.get("name") {
        ensure!((1..=100).contains(&length(name)), "a thread's name that is empty or too long");
    }
    ensure!(body.get("archived").is_some() || body["type"] == 11, "a thread that is not for everyone");
    Ok(())
}

/// Nobody is pinged but the roles and persons that are named one by one.
fn mentions(data: &Value) -> Result<()> {
    let Some(mentions) = data.get("allowed_mentions").filter(|mentions| mentions.is_object()) else {
        bail!("without allowed_mentions a text may ping");
    };
    ensure!(mentions["parse"].as_array().is_some_and(Vec::is_empty), "whatever is typed could ping");
    let named = |mention: String| data["content"].as_str().unwrap_or_default().contains(&mention);
    for user in list(&mentions["users"]) {
        let user = user.as_str().context("a person without a number")?;
        ensure!(named(format!("<@{user}>")), "person {user} could be pinged and is not named");
    }
    for role in list(&mentions["roles"]) {
        let role = role.as_str().context("a role without a number")?;
        ensure!(named(format!("<@&{role}>")), "role {role} may be pinged and is not named");
    }
    Ok(())
}

fn rows(data: &Value) -> Result<()> {
    let rows = list(&data["components"]);
    ensure!(rows.len() <= 5, "over 5 rows");
    let mut ids = BTreeSet::new();
    for component in rows.iter().flat_map(|row| list(&row["components"])) {
        let id = named(component, "custom_id", 100)?;
        ensure!(ids.insert(id), "the custom id {id} is there twice");
        if component["type"] == 2 {
            named(component, "label", 80)?;
        } else {
            let mut values = BTreeSet::new();
            for option in list(&component["options"]) {
                named(option, "label", 100)?;
                let value = named(option, "value", 100)?;
                ensure!(values.insert(value), "the choice {value} is there twice");
            }
            ensure!(!values.is_empty(), "a menu without a choice");
        }
    }
    for row in rows {
        let parts = list(&row["components"]);
        ensure!(parts.len() == 1 || parts.iter().all(|part| part["type"] == 2), "a menu shares its row");
    }
    Ok(())
}

/// A text that has to be there, from one letter to `most`.
fn named<'v>(of: &'v Value, key: &str, most: usize) -> Result<&'v str> {
    let text = of[key].as_str().with_context(|| format!("no {key}"))?;
    ensure!((1..=most).contains(&length(&of[key])), "a {key} that is empty or over {most} letters");
    Ok(text)
}

/// What is offered while an option is typed.
pub fn completion(data: &Value) -> Result<()> {
    ensure!(data["choices"].is_array(), "no list of choices, not even an empty one");
    for choice in list(&data["choices"]) {
        named(choice, "name", 100)?;
        named(choice, "value", 100)?;
    }
    Ok(())
}

pub fn modal(data: &Value) -> Result<()> {
    named(data, "title", 45)?;
    named(data, "custom_id", 100)?;
    let rows = list(&data["components"]);
    ensure!((1..=5).contains(&rows.len()), "{} rows in a form", rows.len());
    let mut ids = BTreeSet::new();
    for row in rows {
        let [input] = list(&row["components"]) else { bail!("a row of a form with more than one field") };
        named(input, "label", 45)?;
        let id = named(input, "custom_id", 100)?;
        ensure!(ids.insert(id), "the custom id {id} is there twice");
        let most = input["max_length"].as_u64().and_then(|most| usize::try_from(most).ok()).unwrap_or(4_000);
        ensure!(length(&input["value"]) <= most, "a field is filled with more than it takes");
    }
    Ok(())
}

/// A set of commands as it is registered.
pub fn commands(commands: &[Value]) -> Result<()> {
    ensure!((1..=100).contains(&commands.len()), "{} commands", commands.len());
    let mut names = BTreeSet::new();
    for command in commands {
        let name = word(command)?;
        ensure!(names.insert(name), "the command {name} is there twice");
        named(command, "description", 100)?;
        options(command).with_context(|| name.to_owned())?;
        ensure!(letters(command) <= 8_000, "{name} says over 8 000 letters in all");
    }
    Ok(())
}

fn word(of: &Value) -> Result<&str> {
    let text = named(of, "name", 32)?;
    let right = text.chars().all(|c| (c.is_alphanumeric() && !c.is_uppercase()) || matches!(c, '-' | '_' | '\''));
    ensure!(right, "{text} is no name of a command");
    Ok(text)
}

fn options(of: &Value) -> Result<()> {
    let all = list(&of["options"]);
    let mut names = BTreeSet::new();
    let mut optional_seen = false;
    for option in all {
        let name = word(option)?;
        ensure!(names.insert(name), "the option {name} is there twice");
        named(option, "description", 100).with_context(|| name.to_owned())?;
        if option["type"] == 1 {
            ensure!(all.iter().all(|other| other["type"] == 1), "verbs beside values");
            options(option).with_context(|| name.to_owned())?;
            continue;
        }
        let required = option["required"] == true;
        ensure!(!(required && optional_seen), "{name} is required after one that is not");
        optional_seen |= !required;
        let choices = list(&option["choices"]);
        ensure!(choices.is_empty() || option["autocomplete"] != true, "{name} has choices together with completion");
        let mut seen = BTreeSet::new();
        for choice in choices {
            let name = named(choice, "name", 100)?;
            ensure!(seen.insert(name), "the choice {name} is there twice");
        }
    }
    Ok(())
}

/// Names, descriptions and choices of a command and all its options.
fn letters(value: &Value) -> usize {
    let own = length(&value["name"]) + length(&value["description"]) + length(&value["value"]);
    let below = list(&value["options"]).iter().chain(list(&value["choices"])).map(letters).sum::<usize>();
    own + below
}
