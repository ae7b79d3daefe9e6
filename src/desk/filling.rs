//! Which field of a command each part of a line is for.

use super::commands::log::{self, whose};
use super::form::{Field, Form, Grid, JobNumber, Kind};
use super::tree::unknown;
use super::trouble::Refusal;
use super::{Asker, Context, Desk, line, posting};
use crate::quantity::read;
use crate::record::ReadingId;

/// Values by the id of their field, in the order of the fields.
pub type Values = Vec<(String, String)>;

/// What a line gives to a command, and the first thing in it that fits nowhere.
pub struct Assigned<'f> {
    pub given: Vec<(&'f str, String)>,
    pub fault: Option<Refusal>,
}

/// Which field each token is for.
pub fn assign<'f>(form: &'f Form, tokens: &[String]) -> Assigned<'f> {
    let mut given: Vec<(&str, String)> = Vec::new();
    let mut bare: Vec<&String> = Vec::new();
    let mut fault = None;
    let mut tokens = tokens.iter();
    while let Some(token) = tokens.next() {
        let Some((name, value)) = named(token) else {
            bare.push(token);
            continue;
        };
        let Some(field) = form.field(&name) else {
            let known: Vec<&str> = form.fields.iter().map(|f| f.id.as_str()).collect();
            fault.get_or_insert_with(|| unknown(&form.words(), &name, &known));
            continue;
        };
        let value = match value
            .or_else(|| if field.kind == Kind::Flag { Some(String::new()) } else { tokens.next().cloned() })
        {
            Some(value) => value,
            None => {
                fault.get_or_insert_with(|| Refusal::new(&field.id, "", field.wanted()));
                continue;
            }
        };
        if !field.many && given.iter().any(|(id, _)| *id == field.id) {
            fault.get_or_insert_with(|| Refusal::new(&field.id, value, "It is given twice: give it once."));
        } else if field.many && matches!(field.kind, Kind::Quantity(_)) && !value.trim().is_empty() {
            // `top="0.017 0.018 in"` is as many values.
            given.extend(line::split(&value).into_iter().map(|one| (field.id.as_str(), one)));
        } else if !(field.kind == Kind::Flag && matches!(value.to_lowercase().as_str(), "no" | "false" | "off")) {
            given.push((&field.id, value));
        }
    }
    let named_ids: Vec<&str> = given.iter().map(|(id, _)| *id).collect();
    // What the job named is to supply is not waited for.
    let from_job = named_ids.contains(&"job");
    let is_open = |f: &&Field| f.bare && !named_ids.contains(&f.id.as_str()) && !(from_job && f.supplied);
    let mut open = form.fields.iter().filter(is_open).peekable();
    for token in bare {
        let Some(field) = open.peek() else {
            let possible = format!("Nothing is left that takes it. Write: {}", form.example);
            fault.get_or_insert_with(|| Refusal::new(form.words(), token, possible));
            break;
        };
        given.push((&field.id, token.clone()));
        if !field.many {
            open.next();
        }
    }
    share_units(form, &mut given);
    Assigned { given, fault }
}

/// `1.675 1.676 mm`: the unit behind the last of several values is that of the bare ones before it.
fn share_units(form: &Form, given: &mut [(&str, String)]) {
    for field in form.fields.iter().filter(|field| field.many && matches!(field.kind, Kind::Quantity(_))) {
        let mut own: Vec<&mut String> =
            given.iter_mut().filter(|(id, _)| *id == field.id).map(|(_, value)| value).collect();
        let Some(unit) = own.last().and_then(|last| read(last).ok()?.unit) else { continue };
        for value in own.iter_mut().filter(|value| read(value).is_ok_and(|written| written.unit.is_none())) {
            **value = format!("{value} {unit}");
        }
    }
}

/// `name=value`, `--name=value` or `--name`; a value may itself hold `=`.
pub fn named(token: &str) -> Option<(String, Option<String>)> {
    let dashed = token.strip_prefix("--");
    let body = dashed.unwrap_or(token);
    let (name, value) = match body.split_once('=') {
        Some((name, value)) => (name, Some(value.to_owned())),
        None => (dashed?, None),
    };
    let is_name = name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    is_name.then(|| (name.to_lowercase().replace('_', "-"), value))
}

/// The command a line begins with and the values it already gives; none for a question. What fits no field is left out:
/// a form that is opened on the line shows what is missing.
pub fn filled<'f>(forms: &'f [Form], text: &str) -> Option<(&'f Form, Values)> {
    let tokens = line::split(&line::tidy(text).ok()?);
    let family = tokens.first()?.to_lowercase();
    let verb = tokens.get(1).map(|token| token.to_lowercase());
    let of_family = || forms.iter().filter(|form| form.family == family);
    let exact = of_family().find(|form| form.verb.is_some() && form.verb == verb).map(|form| (form, 2));
    let (form, words) =
        exact.or_else(|| of_family().find(|form| form.verb.is_none() || form.usual).map(|form| (form, 1)))?;
    let mut values = Values::new();
    for (id, value) in assign(form, &tokens[words..]).given {
        let Some(field) = form.field(id) else { continue };
        let value = if field.kind == Kind::Flag { "yes".to_owned() } else { value };
        match values.iter_mut().find(|(before, _)| before == id) {
            Some((_, before)) => {
                before.push(' ');
                before.push_str(&grouped(value));
            }
            None if field.many => values.push((id.to_owned(), grouped(value))),
            None => values.push((id.to_owned(), value)),
        }
    }
    values.sort_by_key(|(id, _)| form.fields.iter().position(|f| f.id == *id));
    Some((form, values))
}

impl Desk {
    /// The command a line begins with and the values it already gives to it: what a form opened on that line shows.
    pub fn filled(&self, line: &str) -> Option<(&Form, Values)> {
        filled(self.forms(), line)
    }

    /// The boxes for the readings that the command of this line takes, once it says of which check they are: by name,
    /// or by the reading that is to be amended.
    pub fn grid(&self, line: &str) -> Option<Grid> {
        let (form, values) = self.filled(line)?;
        let field = form.fields.iter().find(|field| field.kind == Kind::Reading)?;
        let given = |name: &str| values.iter().find(|(id, _)| id == name).map(|(_, value)| value.as_str());
        let (named, job) = match given("reading") {
            Some(number) => {
                let measured = self.record.reading(ReadingId(number.parse().ok()?)).ok()?.reading.measured;
                (measured.check, Some(measured.job))
            }
            None => (given("check")?.to_owned(), given("job").and_then(|job| job.parse().ok())),
        };
        let library = self.shelf.current();
        let check = library.plan().check(&named)?;
        let job = job.and_then(|job| self.record.job(job).ok());
        let lean = job.and_then(|job| library.engine(&job.engine).map(|engine| engine.unit));
        Some(Grid { dimension: Some(check.dimension), lean, ..Grid::of(&field.id, check.readings, check.least) })
    }

    /// What stands already where a line would post, so that nobody finds out afterwards: by whom, when, what.
    pub fn stands_there(&self, asker: &Asker, line: &str) -> Option<String> {
        let context = Context::new(self, asker, jiff::Timestamp::now()).ok()?;
        let (form, values) = self.filled(line)?;
        let given = |name: &str| values.iter().find(|(id, _)| id == name).map(|(_, value)| value.clone());
        let check = context.library.plan().check(&given("check").filter(|_| form.words() == "log")?)?;
        let job = context.named_job(given("job").map(JobNumber).as_ref()).ok()?;
        let engine = context.engine_of(&job).ok()?;
        let position = posting::position(engine, check, &given("position").unwrap_or_default()).ok()?;
        let reading = self.record.latest(job.id, check.id, &position.to_string()).ok()??.reading;
        let lead = context.lead_with(&[], Some(engine));
        Some(format!(
            "Posted here by {}: {}. Yours will count; this one stays on record.",
            whose(&context, &reading),
            log::values(&context, &reading, lead)
        ))
    }
}

/// One of several values: in quotes where blanks would part it.
fn grouped(value: String) -> String {
    if line::split(&value).len() > 1 { format!("\"{value}\"") } else { value }
}
