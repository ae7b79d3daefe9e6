//! A slash command as a line.

use serenity::all::{CommandData, CommandDataOption, CommandDataOptionValue};

use super::attachments::Attached;
use super::commands::{HELP, HELP_ABOUT};
use crate::desk::Desk;

/// What a slash command names and gives.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Given {
    /// `ring gap`.
    pub words: String,
    pub values: Vec<(String, String)>,
    /// What was attached to it.
    pub attached: Vec<Attached>,
    /// While it is being typed: the option with the cursor, and its text so far.
    pub typing: Option<(String, String)>,
}

/// The words and values of a slash command.
pub fn read(data: &CommandData) -> Given {
    let mut given = Given { words: data.name.clone(), ..Given::default() };
    take(data, &data.options, &mut given);
    given
}

fn take(data: &CommandData, options: &[CommandDataOption], given: &mut Given) {
    for option in options {
        let text = match &option.value {
            CommandDataOptionValue::SubCommand(inner) | CommandDataOptionValue::SubCommandGroup(inner) => {
                given.words = format!("{} {}", given.words, option.name);
                take(data, inner, given);
                continue;
            }
            CommandDataOptionValue::Attachment(id) => {
                // One of which nothing is told counts as well: without it the line is not what its sender meant.
                given.attached.push(data.resolved.attachments.get(id).map(Attached::from).unwrap_or_default());
                continue;
            }
            CommandDataOptionValue::Autocomplete { value, .. } => {
                given.typing = Some((option.name.clone(), value.clone()));
                continue;
            }
            CommandDataOptionValue::String(text) => one_line(text),
            CommandDataOptionValue::Integer(number) => number.to_string(),
            CommandDataOptionValue::Number(number) => number.to_string(),
            CommandDataOptionValue::Boolean(flag) => flag.to_string(),
            _ => continue,
        };
        given.values.push((option.name.clone(), text));
    }
}

/// The line it stands for; the desk says what is wrong with a command it does not know.
pub fn line(desk: &Desk, given: &Given) -> String {
    let values = given.values.iter().map(|(id, value)| (id.as_str(), value.as_str()));
    match desk.form(&given.words) {
        Some(form) => form.line(values),
        None if given.words == HELP => {
            let about = given.values.iter().find(|(id, _)| id == HELP_ABOUT).map_or("", |(_, about)| about);
            format!("{HELP} {about}").trim_end().to_owned()
        }
        None => given.words.clone(),
    }
}

/// A value without line breaks: in a line they would end it.
pub fn one_line(text: &str) -> String {
    text.trim().chars().map(|c| if c.is_whitespace() { ' ' } else { c }).collect()
}
