//! A command's form as a modal, prefilled with what a line holds, and the filled-in form as a line again.

use serenity::all::{
    ActionRowComponent, CreateActionRow, CreateInputText, CreateModal, InputTextStyle, ModalInteractionData,
};

use super::buttons::{Buttons, Press};
use super::limits;
use super::slash::one_line;
use crate::desk::form::{Field, Kind};
use crate::desk::{Form, Values, filled, line};

/// The fields a modal has room for: all that are required, then the others; where even the required ones are too
/// many, those the line already gives are left out.
fn shown<'f>(form: &'f Form, values: &Values) -> Vec<&'f Field> {
    let given = |field: &Field| values.iter().any(|(id, _)| *id == field.id);
    let (required, optional): (Vec<&Field>, Vec<&Field>) = form.fields.iter().partition(|f| f.required);
    let crowded = required.len() > limits::MODAL_INPUTS;
    let (late, early): (Vec<&Field>, Vec<&Field>) = required.into_iter().partition(|f| crowded && given(f));
    early.into_iter().chain(late).chain(optional).take(limits::MODAL_INPUTS).collect()
}

/// The modal that asks for the values of the command `text` begins with; none where there is nothing to ask.
pub fn open(forms: &[Form], text: &str, buttons: &Buttons) -> Option<CreateModal> {
    let (form, values) = filled(forms, text)?;
    let inputs: Vec<CreateActionRow> = shown(form, &values).into_iter().map(|f| input(f, &values)).collect();
    if inputs.is_empty() {
        return None;
    }
    let id = buttons.id(Press::Form(text.to_owned()));
    let title = limits::line(&form.words(), limits::MODAL_TITLE, "Values");
    Some(CreateModal::new(id, title).components(inputs))
}

fn input(field: &Field, values: &Values) -> CreateActionRow {
    let long = field.many && field.kind == Kind::Text;
    let style = if long { InputTextStyle::Paragraph } else { InputTextStyle::Short };
    let hint = match &field.kind {
        Kind::Choice(choices) => choices.join(", "),
        _ => field.help.clone(),
    };
    let label = limits::line(&field.id.replace('-', " "), limits::MODAL_LABEL, "value");
    let mut input = CreateInputText::new(style, label, &field.id)
        .placeholder(limits::line(&hint, limits::PLACEHOLDER, &field.wanted()))
        .max_length(longest())
        .required(field.required);
    if let Some((_, value)) = values.iter().find(|(id, value)| *id == field.id && !value.is_empty()) {
        input = input.value(value);
    }
    CreateActionRow::InputText(input)
}

/// A value is never longer than a whole line may be.
fn longest() -> u16 {
    u16::try_from(line::LONGEST).unwrap_or(u16::MAX).min(4_000)
}

/// The line of a filled-in modal: what was typed over what the line it opened with already held.
pub fn sent(forms: &[Form], text: &str, data: &ModalInteractionData) -> Option<String> {
    let (form, mut values) = filled(forms, text)?;
    for component in data.components.iter().flat_map(|row| &row.components) {
        let ActionRowComponent::InputText(input) = component else { continue };
        values.retain(|(id, _)| *id != input.custom_id);
        values.push((input.custom_id.clone(), one_line(input.value.as_deref().unwrap_or_default())));
    }
    Some(form.line(values.iter().map(|(id, value)| (id.as_str(), value.as_str()))))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use clap::{Arg, ArgAction, Command};
    use serde_json::json;

    use super::*;

    fn forms() -> Vec<Form> {
        let log = Command::new("log")
            .arg(Arg::new("check").required(true))
            .arg(Arg::new("position").required(true))
            .arg(
                Arg::new("values")
                    .action(ArgAction::Append)
                    .value_parser(clap::value_parser!(crate::desk::form::RawReading))
                    .required(true),
            )
            .arg(Arg::new("note").long("note"))
            .arg(Arg::new("hot").long("hot").action(ArgAction::SetTrue))
            .arg(Arg::new("job").long("job"));
        let show = Command::new("show").alias("_").arg(Arg::new("engine").required(true));
        let check = Command::new("check").arg(Arg::new("top").long("top").required(true));
        Form::all(
            &Command::new("shop").subcommand(log).subcommand(Command::new("clock").subcommand(show).subcommand(check)),
        )
    }

    fn pairs(values: &[(&str, &str)]) -> Values {
        values.iter().map(|(id, value)| ((*id).to_owned(), (*value).to_owned())).collect()
    }

    #[test]
    fn a_line_shows_what_it_holds() {
        let forms = forms();
        let (_, values) = filled(&forms, "log main-journal 3 2.4495in 2.5 thou note=\"ran hot, twice\" --hot").unwrap();
        let expected = [
            ("check", "main-journal"),
            ("position", "3"),
            ("values", "2.4495in 2.5 thou"),
            ("note", "ran hot, twice"),
            ("hot", "yes"),
        ];
        assert_eq!(values, pairs(&expected));
        assert_eq!(filled(&forms, "log position=\"3 top\"").unwrap().1, pairs(&[("position", "3 top")]));
        let words = |line: &str| filled(&forms, line).map(|(form, values)| (form.words(), values));
        assert_eq!(words("clock check top=0").unwrap(), ("clock check".to_owned(), pairs(&[("top", "0")])));
        assert_eq!(words("clock skerry-v8").unwrap(), ("clock show".to_owned(), pairs(&[("engine", "skerry-v8")])));
        assert!(filled(&forms, "logbook").is_none() && filled(&forms, "").is_none());
    }

    #[test]
    fn a_modal_has_room_for_five_and_keeps_the_rest() {
        let forms = forms();
        let opened =
            serde_json::to_value(open(&forms, "log main-journal job=#1", &Buttons::default()).unwrap()).unwrap();
        let rows = opened["components"].as_array().unwrap();
        let ids: Vec<&str> = rows.iter().map(|r| r["components"][0]["custom_id"].as_str().unwrap()).collect();
        assert_eq!(ids, ["check", "position", "values", "note", "hot"]);
        assert_eq!(rows[0]["components"][0]["value"], "main-journal");
        let answer = json!({"custom_id": opened["custom_id"], "components": [
            {"type": 1, "components": [{"type": 4, "custom_id": "position", "value": "3"}]},
            {"type": 1, "components": [{"type": 4, "custom_id": "values", "value": "2.4495in\n2.4493in"}]},
            {"type": 1, "components": [{"type": 4, "custom_id": "hot", "value": ""}]},
        ]});
        let data: ModalInteractionData = serde_json::from_value(answer).unwrap();
        let line = sent(&forms, "log main-journal job=#1", &data).unwrap();
        assert_eq!(line, "log check=main-journal job=#1 position=3 values=2.4495in values=2.4493in");
    }
}
