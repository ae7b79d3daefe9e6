//! One field of a form: its label, its help, and the input that fits what goes in.
//!
//! Names with a dot (`unit.bore`) are ours; a command's own fields never have one.

use maud::{Markup, html};

use super::sent::Values;
use crate::desk::Suggestion;
use crate::desk::form::{Field, Form, Grid, Kind, LEFT_OUT, boxes};
use crate::desk::line::LONGEST;
use crate::desk::rows;
use crate::quantity::{Dimension, System, looks_numeric, named_in};

/// The boxes a field for several values starts with, and how many there are at most without script.
const SHOWN: usize = 2;
const BOXES: usize = 6;
/// A choice of at most so many is laid out as buttons; a longer one is a list.
const BUTTONS: usize = 4;

/// What is put in a field beside the definition.
#[derive(Default)]
pub struct Filling<'a> {
    /// The values it already has.
    pub values: Vec<String>,
    /// The unit chosen beside it.
    pub unit: Option<&'a str>,
    /// The system a bare number takes here, where an engine is in play.
    pub lean: Option<System>,
    /// Whether the command itself knows the unit of a bare number, so that no key is down unless it was pressed.
    pub knows_unit: bool,
    /// What can be picked.
    pub picks: Vec<Suggestion>,
    /// The boxes of a set of readings, where it is known of which check.
    pub grid: Option<&'a Grid>,
    /// The form its inputs belong to, where they stand in another; their ids begin with it.
    pub owner: Option<&'a str>,
}

pub fn field(field: &Field, filling: &Filling) -> Markup {
    let of = filling.owner.map(|owner| format!("{owner}-")).unwrap_or_default();
    let id = format!("{of}f-{}", field.id);
    let help = format!("{of}h-{}", field.id);
    let grouped = match &field.kind {
        Kind::Choice(choices) => choices.len() <= BUTTONS,
        Kind::Flag => false,
        _ => field.many && !matches!(field.kind, Kind::Text | Kind::Rows),
    };
    let label = html! {
        (field.id.replace('-', " "))
        @if field.required { span.need { "needed" } }
    };
    // Boxes that have a name each need no word about their order.
    let text = match filling.grid {
        Some(grid) if grid.least < grid.rows.len() * grid.columns.len() => {
            "Fill them from the first on; what you did not measure stays empty."
        }
        Some(_) => "",
        None => &field.help,
    };
    let about = html! { @if !text.is_empty() { p.help id=(help) { (text) } } };
    if grouped {
        return html! {
            fieldset.field data-field=(field.id) data-kind=(kind_word(&field.kind)) aria-describedby=[(!text.is_empty()).then_some(&help)] {
                legend { (label) }
                (about)
                (input(field, filling, &id, &help))
            }
        };
    }
    html! {
        // A name that the line brought along is there to be known again.
        @let known = matches!(field.kind, Kind::Pick(_)) && !filling.values.is_empty();
        div.field.said-already[known] data-field=(field.id) data-kind=(kind_word(&field.kind)) {
            @if field.kind != Kind::Flag { label for=(id) { (label) } }
            (about)
            (input(field, filling, &id, &help))
        }
    }
}

/// What the script needs to know of a kind: which last values may be offered again, which boxes complete.
fn kind_word(kind: &Kind) -> &'static str {
    match kind {
        Kind::Quantity(_) => "quantity",
        Kind::Reading => "reading",
        Kind::Rows => "rows",
        Kind::Whole => "whole",
        Kind::Choice(_) => "choice",
        Kind::Flag => "flag",
        Kind::Text => "text",
        Kind::Pick(_) => "pick",
    }
}

fn input(field: &Field, filling: &Filling, id: &str, help: &str) -> Markup {
    let value = filling.values.first().map(String::as_str);
    match &field.kind {
        Kind::Flag => html! {
            label.press for=(id) {
                input id=(id) type="checkbox" name=(field.id) value="yes" checked[value.is_some()] aria-describedby=(help);
                span { (field.id.replace('-', " ")) }
            }
        },
        Kind::Choice(choices) if choices.len() <= BUTTONS => choice(field, choices, filling, id),
        Kind::Choice(choices) => html! {
            select id=(id) name=(field.id) aria-describedby=(help) {
                @if field.default.is_none() { option value="" { (left_out(field)) } }
                @for choice in choices {
                    option value=(choice) selected[value.or(field.default.as_deref()) == Some(choice)] { (choice) }
                }
            }
        },
        Kind::Text if field.many => html! {
            textarea id=(id) name=(field.id) rows="2" maxlength="1500" aria-describedby=(help) { (filling.values.join(" ")) }
        },
        Kind::Rows => html! {
            textarea id=(id) name=(field.id) rows="8" maxlength=(LONGEST) aria-describedby=(help)
                aria-required=[field.required.then_some("true")] placeholder="1  4.0002  4.0001 …"
                autocapitalize="none" spellcheck="false" { (filling.values.join(" ").replace("; ", "\n")) }
        },
        Kind::Text => text(field, "text", value, id, help),
        Kind::Whole if !field.many => text(field, "numeric", value, id, help),
        Kind::Pick(_) if !field.many => pick(field, filling, id, help),
        _ => match filling.grid {
            Some(readings) => grid(field, readings, filling, id),
            None => numbers(field, filling, id, help),
        },
    }
}

fn left_out(field: &Field) -> &'static str {
    if field.required { "Choose…" } else { "Not said" }
}

fn choice(field: &Field, choices: &[String], filling: &Filling, id: &str) -> Markup {
    let chosen = filling.values.first().or(field.default.as_ref()).map_or("", String::as_str);
    let open = field.default.is_none() && !field.required;
    let keys = Keys { name: &field.id, id, owner: filling.owner };
    html! {
        div.choices {
            @if open { (keys.key(0, "", "Not said", chosen.is_empty())) }
            @for (at, choice) in choices.iter().enumerate() {
                (keys.key(at + 1, choice, choice, chosen == choice))
            }
        }
    }
}

/// Radio buttons laid out as keys.
struct Keys<'a> {
    name: &'a str,
    id: &'a str,
    owner: Option<&'a str>,
}

impl Keys<'_> {
    fn key(&self, at: usize, value: &str, shown: &str, chosen: bool) -> Markup {
        let id = format!("{}-{at}", self.id);
        html! {
            label.press for=(id) {
                input id=(id) type="radio" name=(self.name) value=(value) checked[chosen] form=[self.owner];
                span { (shown) }
            }
        }
    }
}

/// A set of readings: a box for each under its name, as they lie on the part.
pub fn grid(field: &Field, grid: &Grid, filling: &Filling, id: &str) -> Markup {
    let shown = Shown::of(field, filling);
    let boxes = grid.rows.len() * grid.columns.len();
    html! {
        div.boxes.by-two[grid.columns.len() == 2] {
            @for (at, label) in grid.labels().enumerate() {
                label {
                    span { (label) }
                    input id=[(at == 0).then_some(id)] name=(field.id) type="text" inputmode="decimal" maxlength="120"
                        value=[shown.values.get(at).filter(|value| *value != LEFT_OUT)] form=[filling.owner]
                        aria-required=[(at < grid.least).then_some("true")]
                        enterkeyhint=(if at + 1 < boxes { "next" } else { "send" })
                        autocomplete="off" autocapitalize="none" spellcheck="false";
                }
            }
        }
        (shown.keys(field, filling, id))
    }
}

fn text(field: &Field, keypad: &str, value: Option<&str>, id: &str, help: &str) -> Markup {
    html! {
        input id=(id) name=(field.id) type="text" inputmode=(keypad) maxlength="500" value=[value]
            placeholder=[field.default.as_deref()] aria-required=[field.required.then_some("true")]
            aria-describedby=(help) autocomplete="off" autocapitalize="none";
    }
}

/// A name from a list: typed in part, picked from suggestions, or from the browser's own list without script.
fn pick(field: &Field, filling: &Filling, id: &str, help: &str) -> Markup {
    html! {
        input id=(id) name=(field.id) type="text" maxlength="200" value=[filling.values.first()] list={ (id) "-list" }
            aria-required=[field.required.then_some("true")] aria-describedby=(help)
            autocomplete="off" autocapitalize="none" spellcheck="false";
        datalist id={ (id) "-list" } { @for pick in &filling.picks { option value=(pick.value) { (pick.label) } } }
        ul.hints id={ (id) "-hints" } role="listbox" aria-label={ "Suggestions for " (field.id) } hidden {}
    }
}

/// One or several numbers with the unit a bare one takes, or several names.
fn numbers(field: &Field, filling: &Filling, id: &str, help: &str) -> Markup {
    let (keypad, first) = match field.kind {
        Kind::Whole => ("numeric", SHOWN),
        // Names are said in words, and one is usual.
        Kind::Pick(_) => ("text", 1),
        _ => ("decimal", SHOWN),
    };
    let given = Shown::of(field, filling);
    let boxes = if field.many { BOXES.max(filling.values.len()) } else { 1 };
    let shown = first.max(filling.values.len());
    html! {
        div.entry.several[field.many] {
            @for at in 0..boxes {
                input.spare[at >= shown] id=[(at == 0).then_some(id)] name=(field.id) type="text" inputmode=(keypad)
                    maxlength="120" value=[given.values.get(at)] placeholder=[(at == 0).then_some(field.default.as_deref()).flatten()]
                    aria-required=[(field.required && at == 0).then_some("true")] aria-describedby=(help)
                    aria-label=[field.many.then(|| format!("{} {}", field.id.replace('-', " "), at + 1))]
                    autocomplete="off" autocapitalize="none" spellcheck="false";
            }
            @if field.many { button.more type="button" hidden { "One more" } }
            (given.keys(field, filling, id))
        }
    }
}

/// The values as they stand in the boxes, and the unit whose key is down beside them.
struct Shown {
    values: Vec<String>,
    unit: Option<&'static str>,
    keys: Vec<(&'static str, String)>,
}

impl Shown {
    /// A unit is said once: `4.030in` is the number alone beside the key `in`, and where one is written that has no key,
    /// none is down.
    fn of(field: &Field, filling: &Filling) -> Self {
        let lean = filling.grid.and_then(|grid| grid.lean).or(filling.lean);
        let keys = match field.kind {
            Kind::Reading => reading_units(filling.grid.and_then(|grid| grid.dimension), lean),
            _ => unit_choices(&field.kind).into_iter().map(|unit| (unit, unit.to_owned())).collect(),
        };
        let usual = match (&field.kind, filling.lean) {
            _ if filling.knows_unit => None,
            // The desk knows the unit of a bare reading: the check's, in the engine's system.
            (Kind::Reading, _) => Some(""),
            (Kind::Quantity(dimension), lean) => named_in(*dimension, lean.unwrap_or_default()).map(|unit| unit.symbol),
            _ => None,
        };
        let values = filling.values.clone();
        let sent = keys.iter().map(|(value, _)| *value).find(|value| Some(*value) == filling.unit);
        let unit = sent.or(usual);
        let written: Vec<&String> = values.iter().filter(|value| *value != LEFT_OUT && !is_bare(value)).collect();
        let Some(last) = written.last().filter(|_| unit.is_some() && keys.len() > 1) else {
            return Self { values, unit, keys };
        };
        // A reading keeps what is written: the engine's key may come to mean another job's engine.
        let own = keys.iter().map(|(value, _)| *value).find(|unit| number_before(last, unit).is_some());
        let own =
            own.filter(|own| field.kind != Kind::Reading && written.iter().all(|v| number_before(v, own).is_some()));
        match own {
            Some(own) => {
                let alone = values.iter().map(|value| number_before(value, own).unwrap_or(value).to_owned()).collect();
                Self { values: alone, unit: Some(own), keys }
            }
            None => Self { values, unit: None, keys },
        }
    }

    fn keys(&self, field: &Field, filling: &Filling, id: &str) -> Markup {
        match self.keys.as_slice() {
            [] => return html! {},
            [(_, only)] => return html! { span.only-unit { (only) } },
            _ => {}
        }
        let (name, id) = (format!("unit.{}", field.id), format!("{id}-unit"));
        let keys = Keys { name: &name, id: &id, owner: filling.owner };
        html! {
            div.units role="radiogroup" aria-label={ "Unit of " (field.id) } data-lean[filling.lean.is_some()] {
                @for (at, (value, shown)) in self.keys.iter().enumerate() {
                    (keys.key(at, value, shown, self.unit == Some(*value)))
                }
            }
        }
    }
}

/// `4.030` of `4.030in`.
fn number_before<'v>(value: &'v str, unit: &str) -> Option<&'v str> {
    value.strip_suffix(unit).map(str::trim_end).filter(|number| is_bare(number))
}

/// The units of a reading: what is sent, and what is shown. The engine's own is sent without a name, so that a number is never
/// told in a unit that the person did not press.
pub fn reading_units(dimension: Option<Dimension>, lean: Option<System>) -> Vec<(&'static str, String)> {
    let own = |system| dimension.and_then(|dimension| named_in(dimension, system)).map(|unit| unit.symbol);
    let Some(own) = lean.and_then(own) else {
        return match dimension {
            None | Some(Dimension::Length) => ["", "in", "mm"]
                .into_iter()
                .map(|unit| (unit, if unit.is_empty() { "engine’s".to_owned() } else { unit.to_owned() }))
                .collect(),
            Some(_) => Vec::new(),
        };
    };
    let other = ["in", "mm"].into_iter().filter(|unit| dimension == Some(Dimension::Length) && *unit != own);
    std::iter::once(("", format!("{own} (engine’s)"))).chain(other.map(|unit| (unit, unit.to_owned()))).collect()
}

/// The units worth a key beside a field.
fn unit_choices(kind: &Kind) -> Vec<&'static str> {
    let dimension = match kind {
        Kind::Reading => return vec!["in", "mm"],
        Kind::Quantity(dimension) => *dimension,
        _ => return Vec::new(),
    };
    let mut symbols: Vec<&'static str> = [System::Inch, System::Metric]
        .into_iter()
        .filter_map(|s| named_in(dimension, s))
        .map(|unit| unit.symbol)
        .collect();
    match dimension {
        Dimension::Volume => symbols.push("cu in"),
        Dimension::Mass => symbols.push("oz"),
        Dimension::Pressure => symbols.push("bar"),
        _ => {}
    }
    symbols.dedup();
    symbols
}

/// The values of a filled-in form, each bare number with the unit chosen beside it.
pub fn filled(form: &Form, values: &Values) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for field in &form.fields {
        let unit = values.one(&format!("unit.{}", field.id));
        let unit = match unit_choices(&field.kind).as_slice() {
            [only] => only,
            several => several.iter().find(|u| **u == unit).copied().unwrap_or_default(),
        };
        // A line is one line: what a text area breaks becomes blanks.
        let mut written: Vec<String> = values
            .pairs()
            .filter(|(name, _)| *name == field.id)
            .map(|(_, value)| match field.kind {
                Kind::Rows => rows::one_line(value),
                _ => value.split_whitespace().collect::<Vec<_>>().join(" "),
            })
            .collect();
        if field.kind == Kind::Reading {
            written = boxes(written);
        }
        written.retain(|value| !value.is_empty());
        // A unit written behind the last of several quantities is for those before it too, as on a line.
        let shared = matches!(field.kind, Kind::Quantity(_)) && written.last().is_some_and(|last| !is_bare(last));
        for value in written {
            let value = if unit.is_empty() || shared { value } else { with_unit(&value, unit) };
            out.push((field.id.clone(), value));
        }
    }
    out
}

/// `4.030` with the unit behind it; what already has one, or is no number, stays as it is.
fn with_unit(value: &str, unit: &str) -> String {
    // Two numbers in one box: which of them has the unit is the desk's to say.
    let single = !value.contains(' ') || value.contains('/');
    if is_bare(value) && single { format!("{value} {unit}") } else { value.to_owned() }
}

/// A number, or several, without a unit.
pub fn is_bare(value: &str) -> bool {
    looks_numeric(value)
        && value.chars().any(|c| c.is_ascii_digit())
        && value.chars().all(|c| c.is_ascii_digit() || ".-+/ −–—½¼¾⅛⅜⅝⅞".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_gets_the_chosen_unit() {
        for (given, sent) in
            [("4.030", "4.030 in"), (".0025", ".0025 in"), ("2 1/2", "2 1/2 in"), ("-0.002", "-0.002 in")]
        {
            assert_eq!(with_unit(given, "in"), sent);
        }
        for whole in ["102.36mm", "2.5 thou", "4.030\"", "30 over", "big", "2.4495 2.4493", ""] {
            assert_eq!(with_unit(whole, "in"), whole);
        }
    }

    #[test]
    fn every_dimension_offers_units_the_desk_reads() {
        use crate::quantity::unit_for;
        for dimension in [
            Dimension::Length,
            Dimension::Volume,
            Dimension::Torque,
            Dimension::Force,
            Dimension::Pressure,
            Dimension::Mass,
            Dimension::Angle,
            Dimension::Temperature,
            Dimension::Turning,
            Dimension::Viscosity,
            Dimension::Share,
            Dimension::Stiffness,
        ] {
            let choices = unit_choices(&Kind::Quantity(dimension));
            assert!(!choices.is_empty());
            for symbol in choices {
                assert!(unit_for(dimension, symbol).is_some(), "{symbol}");
            }
        }
        assert!(unit_choices(&Kind::Quantity(Dimension::Number)).is_empty());
    }
}
