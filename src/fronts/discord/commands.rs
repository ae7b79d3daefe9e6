//! The slash commands, made from the one command definition, and whether the platform already has them so.

use serde_json::{Map, Value, json};
use serenity::all::{CommandOptionType, CreateCommand, CreateCommandOption, InteractionContext};

use super::{attachments, limits};
use crate::desk::Form;
use crate::desk::form::{Field, Kind};

/// The slash command for help, which the desk answers for every command.
pub const HELP: &str = "help";
/// The option of [`HELP`] that names a command.
pub const HELP_ABOUT: &str = "about";

/// Every command for the platform: a family with verbs has subcommands, any other has options. Those for `everywhere`
/// are for servers only, since a private message carries no roles; the commands of one server are so anyway.
pub fn all(forms: &[Form], everywhere: bool) -> Vec<CreateCommand> {
    let command = |name: &str, about: &str| {
        let command = CreateCommand::new(name).description(described(about, name));
        if everywhere { command.contexts(vec![InteractionContext::Guild]) } else { command }
    };
    let mut commands: Vec<CreateCommand> = Vec::new();
    let mut families: Vec<&str> = Vec::new();
    for form in forms {
        if families.contains(&form.family.as_str()) {
            continue;
        }
        families.push(&form.family);
        let command = command(&form.family, &form.family_about);
        commands.push(match form.verb {
            None => command.set_options(options(form)),
            Some(_) => {
                let verbs = forms.iter().filter(|f| f.family == form.family);
                command.set_options(verbs.map(subcommand).collect())
            }
        });
    }
    if !families.contains(&HELP) {
        let about = CreateCommandOption::new(
            CommandOptionType::String,
            HELP_ABOUT,
            "A command or a family; everything where left out.",
        );
        commands.push(
            command(HELP, "What can be asked, worked out and posted, and how to write it.")
                .add_option(about.set_autocomplete(true)),
        );
    }
    commands
}

fn subcommand(form: &Form) -> CreateCommandOption {
    let name = form.verb.as_deref().unwrap_or(&form.family);
    CreateCommandOption::new(CommandOptionType::SubCommand, name, described(&form.about, name))
        .set_sub_options(options(form))
}

/// Required ones first, as the platform wants it; otherwise in the order of the definition, and photographs last.
fn options(form: &Form) -> Vec<CreateCommandOption> {
    let (required, optional): (Vec<&Field>, Vec<&Field>) = form.fields.iter().partition(|field| field.required);
    let photos = attachments::options().filter(|_| form.photos).map(|name| {
        let about = "A photograph to keep with the reading: JPEG, PNG or WebP, 5 MB at most.";
        CreateCommandOption::new(CommandOptionType::Attachment, name, about)
    });
    required.into_iter().chain(optional).map(option).chain(photos).collect()
}

fn option(field: &Field) -> CreateCommandOption {
    let kind = match field.kind {
        Kind::Whole if !field.many => CommandOptionType::Integer,
        Kind::Flag => CommandOptionType::Boolean,
        _ => CommandOptionType::String,
    };
    let option = CreateCommandOption::new(kind, &field.id, described(&field.help, &field.id)).required(field.required);
    match &field.kind {
        Kind::Pick(_) => option.set_autocomplete(true),
        _ if field.many => option,
        Kind::Whole => option.min_int_value(0).max_int_value(u32::MAX.into()),
        Kind::Choice(choices) if choices.len() <= limits::CHOICES => {
            choices.iter().fold(option, |option, choice| option.add_string_choice(choice, choice))
        }
        Kind::Choice(_) => option.set_autocomplete(true),
        _ => option,
    }
}

fn described(about: &str, name: &str) -> String {
    limits::line(about, limits::SHORT, name)
}

/// True when what the platform holds is what we would register, whatever it adds of its own.
pub fn same(ours: &[CreateCommand], registered: &[serenity::all::Command]) -> bool {
    let plain = |commands: Vec<Value>| {
        let mut plain: Vec<String> = commands.iter().map(|c| essence(c).to_string()).collect();
        plain.sort();
        plain
    };
    let ours: Option<Vec<Value>> = ours.iter().map(|c| serde_json::to_value(c).ok()).collect();
    let theirs: Option<Vec<Value>> = registered.iter().map(|c| serde_json::to_value(c).ok()).collect();
    ours.zip(theirs).is_some_and(|(ours, theirs)| plain(ours) == plain(theirs))
}

/// The parts of a command that we decide; what is empty or false counts as left out.
fn essence(value: &Value) -> Value {
    const KEYS: [&str; 11] = [
        "type",
        "name",
        "description",
        "required",
        "autocomplete",
        "min_value",
        "max_value",
        "value",
        "choices",
        "options",
        "contexts",
    ];
    match value {
        Value::Object(map) => {
            let kept = map.iter().filter(|(key, value)| {
                let chat_command = key.as_str() == "type" && map.contains_key("version");
                KEYS.contains(&key.as_str()) && !chat_command && !empty(value)
            });
            Value::Object(kept.map(|(key, value)| (key.clone(), essence(value))).collect::<Map<_, _>>())
        }
        Value::Array(items) => Value::Array(items.iter().map(essence).collect()),
        Value::Number(number) => number.as_f64().map_or_else(|| value.clone(), |n| json!(n)),
        other => other.clone(),
    }
}

fn empty(value: &Value) -> bool {
    match value {
        Value::Null | Value::Bool(false) => true,
        Value::Array(items) => items.is_empty(),
        Value::Object(map) => map.is_empty(),
        _ => false,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::*;
    use crate::desk::commands;

    fn ours() -> Vec<CreateCommand> {
        all(&Form::all(&commands::Line::command()), true)
    }

    /// As the platform gives them back: with ids, a version, and its own idea of what is empty.
    fn given_back(commands: &[CreateCommand]) -> Vec<serenity::all::Command> {
        let back = |(at, command): (usize, &CreateCommand)| {
            let mut value = serde_json::to_value(command).unwrap();
            for (key, own) in [("id", json!("9")), ("application_id", json!("1")), ("type", json!(1))] {
                value[key] = own;
            }
            value["version"] = json!((100 + at).to_string());
            value["default_member_permissions"] = Value::Null;
            serde_json::from_value(value).unwrap()
        };
        commands.iter().enumerate().map(back).collect()
    }

    #[test]
    fn what_is_registered_is_known_again() {
        let mut registered = given_back(&ours());
        registered.reverse();
        assert!(same(&ours(), &registered));
    }

    #[test]
    fn any_difference_is_seen() {
        let fresh = || given_back(&ours());
        let mut registered = fresh();
        registered.pop();
        assert!(!same(&ours(), &registered), "one is missing");
        let mut registered = fresh();
        registered[0].description.push('!');
        assert!(!same(&ours(), &registered), "a description differs");
        let mut registered = fresh();
        let with_options = registered.iter_mut().find(|c| !c.options.is_empty()).unwrap();
        with_options.options[0].required = !with_options.options[0].required;
        assert!(!same(&ours(), &registered), "an option differs");
    }

    #[test]
    fn required_options_stand_first() {
        let given = |id: &'static str| clap::Arg::new(id).long(id);
        let log = clap::Command::new("log").arg(given("note")).arg(given("check").required(true));
        let forms = Form::all(&clap::Command::new("shop").subcommand(log));
        let options = serde_json::to_value(options(&forms[0])).unwrap();
        assert_eq!(options[0]["name"], "check");
        assert_eq!(options[0]["description"], "check", "a description is never empty");
    }
}
