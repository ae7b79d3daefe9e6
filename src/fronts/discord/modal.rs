//! A command's form as a modal, prefilled with what a line holds, and the filled-in form as a line again.

use serenity::all::{
    ActionRowComponent, CreateActionRow, CreateInputText, CreateModal, InputTextStyle, ModalInteractionData,
};

use super::limits;
use super::slash::one_line;
use crate::desk::form::{Field, Grid, Kind, LEFT_OUT, boxes};
use crate::desk::{Form, Values, filled, line, rows};

/// One input of a modal: a field, or one row of its readings.
enum Input<'f> {
    Whole(&'f Field),
    Row(&'f Field, &'f Grid, usize),
}

/// The inputs a modal has room for: all that are required, then the others; where even the required ones are too many,
/// those the line already gives are left out. A line from a walk knows its place: there only what is to be typed is asked.
fn shown<'f>(form: &'f Form, grid: Option<&'f Grid>, values: &Values) -> Vec<Input<'f>> {
    let has = |id: &str| values.iter().any(|(given, _)| given == id);
    let rows = |field: &Field| grid.filter(|grid| grid.field == field.id);
    let walked = grid.is_some() && has("walk");
    let known = |field: &Field| field.kind == Kind::Flag || (has(&field.id) && rows(field).is_none());
    let asked = form.fields.iter().filter(|field| !(walked && known(field)));
    let (required, optional): (Vec<&Field>, Vec<&Field>) = asked.partition(|f| f.required || rows(f).is_some());
    let crowded = required.len() > limits::MODAL_INPUTS;
    let (late, early): (Vec<&Field>, Vec<&Field>) = required.into_iter().partition(|f| crowded && has(&f.id));
    let inputs = |field: &'f Field| match rows(field) {
        Some(grid) => (0..grid.rows.len()).map(|row| Input::Row(field, grid, row)).collect(),
        None => vec![Input::Whole(field)],
    };
    early.into_iter().chain(late).chain(optional).flat_map(inputs).take(limits::MODAL_INPUTS).collect()
}

/// The modal that asks for the values of the command `text` begins with, its readings as they lie in `grid`; none where
/// there is nothing to ask. `id` is what it is sent back under.
pub fn open(forms: &[Form], grid: Option<&Grid>, text: &str, id: &str) -> Option<CreateModal> {
    let (form, values) = filled(forms, text)?;
    let inputs: Vec<CreateActionRow> = shown(form, grid, &values)
        .into_iter()
        .map(|input| match input {
            Input::Whole(field) => whole(field, &values),
            Input::Row(field, grid, row) => self::row(field, grid, row, &values),
        })
        .collect();
    if inputs.is_empty() {
        return None;
    }
    // Where the readings are all that is asked for, the place has to be told.
    let place =
        values.iter().filter(|(id, _)| grid.is_some() && matches!(id.as_str(), "check" | "position" | "reading"));
    let title = place.fold(form.words(), |title, (_, value)| format!("{title} {value}"));
    let title = limits::line(&title, limits::MODAL_TITLE, "Values");
    Some(CreateModal::new(id, title).components(inputs))
}

fn whole(field: &Field, values: &Values) -> CreateActionRow {
    let long = field.kind == Kind::Rows || (field.many && field.kind == Kind::Text);
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
        let value = if field.kind == Kind::Rows { value.replace("; ", "\n") } else { value.clone() };
        input = input.value(value);
    }
    CreateActionRow::InputText(input)
}

/// One row of a set of readings: `top: thrust, axial`.
fn row(field: &Field, grid: &Grid, row: usize, values: &Values) -> CreateActionRow {
    let (width, first) = (grid.columns.len(), row * grid.columns.len());
    let columns = grid.columns.join(", ");
    let name = grid.rows.get(row).map_or("", String::as_str);
    let label = if width > 1 { format!("{name}: {columns}") } else { name.to_owned() };
    let hint = if width > 1 { format!("{width} readings, a blank between: {columns}") } else { field.help.clone() };
    let mut input = CreateInputText::new(
        InputTextStyle::Short,
        limits::line(&label, limits::MODAL_LABEL, &field.id),
        format!("{}{ROW}{row}", field.id),
    )
    .placeholder(limits::line(&hint, limits::PLACEHOLDER, &field.wanted()))
    .max_length(longest())
    .required(first < grid.least);
    let given =
        values.iter().find(|(id, _)| *id == grid.field).map(|(_, value)| line::split(value)).unwrap_or_default();
    let own: Vec<String> = given.into_iter().skip(first).take(width).filter(|value| *value != LEFT_OUT).collect();
    if !own.is_empty() {
        input = input.value(own.join(" "));
    }
    CreateActionRow::InputText(input)
}

/// Between the name of a field and the number of a row of it; no field has it in its name.
const ROW: char = '.';

/// A value is never longer than a whole line may be.
fn longest() -> u16 {
    u16::try_from(line::LONGEST).unwrap_or(u16::MAX).min(4_000)
}

/// The line of a filled-in modal: what was typed over what the line it opened with already held.
pub fn sent(forms: &[Form], grid: Option<&Grid>, text: &str, data: &ModalInteractionData) -> Option<String> {
    let (form, mut values) = filled(forms, text)?;
    let mut readings: Vec<String> = Vec::new();
    for component in data.components.iter().flat_map(|row| &row.components) {
        let ActionRowComponent::InputText(input) = component else { continue };
        let typed = input.value.as_deref().unwrap_or_default();
        let row =
            grid.filter(|grid| input.custom_id.strip_prefix(&grid.field).is_some_and(|rest| rest.starts_with(ROW)));
        if let Some(grid) = row {
            readings.extend(cells(&one_line(typed), grid.columns.len()));
            continue;
        }
        let block = form.field(&input.custom_id).is_some_and(|field| field.kind == Kind::Rows);
        values.retain(|(id, _)| *id != input.custom_id);
        values.push((input.custom_id.clone(), if block { rows::one_line(typed) } else { one_line(typed) }));
    }
    if let Some(grid) = grid.filter(|_| !readings.is_empty()) {
        values.retain(|(id, _)| *id != grid.field);
        values.push((grid.field.clone(), boxes(readings).join(" ")));
    }
    Some(form.line(values.iter().map(|(id, value)| (id.as_str(), value.as_str()))))
}

/// What was typed in a row, a value for each of its boxes: too few leave boxes empty, too many stay together in the last.
fn cells(typed: &str, width: usize) -> Vec<String> {
    let mut cells = line::split(typed);
    let beyond = cells.split_off(width.min(cells.len()));
    cells.resize(width, String::new());
    if let (Some(last), false) = (cells.last_mut(), beyond.is_empty()) {
        last.push(' ');
        last.push_str(&beyond.join(" "));
    }
    cells
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
        let opened = serde_json::to_value(open(&forms, None, "log main-journal job=#1", "form").unwrap()).unwrap();
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
        let line = sent(&forms, None, "log main-journal job=#1", &data).unwrap();
        assert_eq!(line, "log check=main-journal job=#1 position=3 values=2.4495in values=2.4493in");
    }

    #[test]
    fn readings_are_asked_for_by_row_and_none_slips() {
        let forms = forms();
        let names = ["front vertical", "front horizontal", "rear vertical", "rear horizontal"];
        let grid = Grid::of("values", &names, 1);
        let line = "log main-journal 3 2.4495in 2.4493in 2.4494in job=#1";
        let opened = serde_json::to_value(open(&forms, Some(&grid), line, "form").unwrap()).unwrap();
        let inputs: Vec<_> =
            opened["components"].as_array().unwrap().iter().map(|r| r["components"][0].clone()).collect();
        let ids: Vec<&str> = inputs.iter().map(|input| input["custom_id"].as_str().unwrap()).collect();
        assert_eq!(ids, ["check", "position", "values.0", "values.1", "note"]);
        assert_eq!(inputs[2]["label"], "front: vertical, horizontal");
        assert_eq!((&inputs[2]["value"], &inputs[3]["value"]), (&json!("2.4495in 2.4493in"), &json!("2.4494in")));
        let told = |front: &str, rear: &str| {
            let answer = json!({"custom_id": "x", "components": [
                {"type": 1, "components": [{"type": 4, "custom_id": "values.0", "value": front}]},
                {"type": 1, "components": [{"type": 4, "custom_id": "values.1", "value": rear}]},
            ]});
            let data: ModalInteractionData = serde_json::from_value(answer).unwrap();
            sent(&forms, Some(&grid), "log main-journal 3", &data).unwrap()
        };
        let line = |values: &str| format!("log check=main-journal position=3{values}");
        assert_eq!(told("2.4495 2.4493 in", ""), line(" values=2.4495 values=\"2.4493 in\""));
        assert_eq!(told("2.4495", "2.4494"), line(" values=2.4495 values=- values=2.4494"));
        assert_eq!(told("", "2.4494"), line(" values=- values=- values=2.4494"));
        assert_eq!(told("1 2 3", "4"), line(" values=1 values=\"2 3\" values=4"), "to be refused");
    }
}
