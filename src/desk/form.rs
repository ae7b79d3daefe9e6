//! The command definition as data: what the help, the phone page's forms and the chat's slash commands are made from.
//!
//! A [`Form`] is read off the clap tree, so nothing about a command is written twice.

use std::any::TypeId;
use std::str::FromStr;

use clap::builder::ArgAction;

use super::{line, photos, posted};
use crate::quantity::{
    Angle, Area, Dimension, Force, Given, Length, Mass, Measure, Number, Pressure, Share, Stiffness, System,
    Temperature, Torque, Turning, Viscosity, Volume,
};

/// One command: `ring gap` with its fields.
#[derive(Debug, Clone)]
pub struct Form {
    pub family: String,
    /// What the family is about, for a list of families.
    pub family_about: String,
    pub verb: Option<String>,
    pub about: String,
    /// A line that works as it stands in the demo shop.
    pub example: String,
    pub fields: Vec<Field>,
    /// Meant when the family is named without a verb; its clap alias is `_`.
    pub usual: bool,
    /// A photograph may come beside it.
    pub photos: bool,
}

/// One value a command takes.
#[derive(Debug, Clone)]
pub struct Field {
    pub id: String,
    pub help: String,
    /// The command cannot do without it.
    pub needed: bool,
    /// A person has to give it: it is needed, and no job can supply it.
    pub required: bool,
    /// Takes several values.
    pub many: bool,
    /// May be given without its name, in the order of the fields.
    pub bare: bool,
    /// A job's readings can supply it.
    pub supplied: bool,
    pub kind: Kind,
    pub default: Option<String>,
}

/// What can be put in a field: a front picks its keypad, its list or its completion from this.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    Quantity(Dimension),
    /// A number whose unit depends on the check it is for.
    Reading,
    /// Many rows of readings, pasted as they are; see [`super::rows`].
    Rows,
    Whole,
    Choice(Vec<String>),
    Flag,
    Text,
    Pick(Pick),
}

/// Lists the desk can complete from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pick {
    Engine,
    Job,
    Check,
    Position,
    Page,
    Procedure,
    Term,
    Instrument,
}

macro_rules! picks {
    ($($(#[$doc:meta])* $name:ident => $pick:ident),* $(,)?) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, PartialEq, Eq)]
            pub struct $name(pub String);

            impl FromStr for $name {
                type Err = std::convert::Infallible;
                fn from_str(text: &str) -> Result<Self, Self::Err> {
                    Ok(Self(text.to_owned()))
                }
            }
        )*

        fn pick_of(id: clap::builder::ValueParser) -> Option<Pick> {
            $(if id.type_id() == TypeId::of::<$name>() { return Some(Pick::$pick); })*
            None
        }
    };
}

picks! {
    /// An engine by id or by what people call it.
    EngineName => Engine,
    /// A job number: `7` or `#7`.
    JobNumber => Job,
    /// A check of the measuring plan.
    CheckName => Check,
    /// Where a check is taken: `3`, `3 top`.
    Place => Position,
    /// A page of the library.
    PageName => Page,
    /// A procedure page.
    ProcedureName => Procedure,
    /// A word of the trade.
    Term => Term,
    /// An instrument of the register.
    InstrumentName => Instrument,
}

/// A raw reading as typed; its dimension is known once its check is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawReading(pub String);

impl FromStr for RawReading {
    type Err = std::convert::Infallible;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(Self(text.to_owned()))
    }
}

/// A part of a pasted block of rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawRows(pub String);

impl FromStr for RawRows {
    type Err = std::convert::Infallible;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(Self(text.to_owned()))
    }
}

fn dimension_of(parser: &clap::builder::ValueParser) -> Option<Dimension> {
    fn is<Q: Measure>(parser: &clap::builder::ValueParser) -> Option<Dimension> {
        (parser.type_id() == TypeId::of::<Given<Q>>()).then_some(Q::DIMENSION)
    }
    is::<Length>(parser)
        .or_else(|| is::<Area>(parser))
        .or_else(|| is::<Volume>(parser))
        .or_else(|| is::<Torque>(parser))
        .or_else(|| is::<Force>(parser))
        .or_else(|| is::<Pressure>(parser))
        .or_else(|| is::<Mass>(parser))
        .or_else(|| is::<Angle>(parser))
        .or_else(|| is::<Temperature>(parser))
        .or_else(|| is::<Turning>(parser))
        .or_else(|| is::<Viscosity>(parser))
        .or_else(|| is::<Share>(parser))
        .or_else(|| is::<Stiffness>(parser))
        .or_else(|| is::<Number>(parser))
}

impl Field {
    fn of(arg: &clap::Arg, supplied: &[&str]) -> Self {
        let parser = arg.get_value_parser();
        let choices: Vec<String> =
            arg.get_possible_values().iter().filter(|v| !v.is_hide_set()).map(|v| v.get_name().to_owned()).collect();
        let flag = matches!(arg.get_action(), ArgAction::SetTrue);
        let kind = if flag {
            Kind::Flag
        } else if !choices.is_empty() {
            Kind::Choice(choices)
        } else if let Some(dimension) = dimension_of(parser) {
            Kind::Quantity(dimension)
        } else if let Some(pick) = pick_of(parser.clone()) {
            Kind::Pick(pick)
        } else if parser.type_id() == TypeId::of::<RawReading>() {
            Kind::Reading
        } else if parser.type_id() == TypeId::of::<RawRows>() {
            Kind::Rows
        } else if parser.type_id() == TypeId::of::<u32>() {
            Kind::Whole
        } else {
            Kind::Text
        };
        let id = arg.get_id().as_str().replace('_', "-");
        Self {
            needed: arg.is_required_set(),
            required: arg.is_required_set() && !supplied.contains(&id.as_str()),
            supplied: supplied.contains(&id.as_str()),
            id,
            help: arg.get_help().map(ToString::to_string).unwrap_or_default(),
            many: matches!(arg.get_action(), ArgAction::Append),
            bare: arg.is_positional(),
            kind,
            default: arg.get_default_values().first().map(|v| v.to_string_lossy().into_owned()),
        }
    }

    /// What would be right in this field, as a refusal says it.
    pub fn wanted(&self) -> String {
        match &self.kind {
            Kind::Quantity(Dimension::Length) => "A length, such as 4.030in, 2.5 thou or 102.36mm.".to_owned(),
            Kind::Quantity(Dimension::Volume) => "A volume, such as 64cc or 3.9 cu in.".to_owned(),
            Kind::Quantity(Dimension::Temperature) => "A temperature, such as 20C or 68F.".to_owned(),
            Kind::Quantity(Dimension::Torque) => "A torque, such as 85 lb-ft or 115 Nm.".to_owned(),
            Kind::Quantity(Dimension::Number) => "A plain number, such as 0.0045 or 9.5.".to_owned(),
            Kind::Quantity(Dimension::Angle) => "An angle in degrees, such as 135.".to_owned(),
            Kind::Quantity(Dimension::Area) => "An area, such as 11.2 sq in or 72 cm2.".to_owned(),
            Kind::Quantity(Dimension::Turning) => "A speed of rotation, such as 4500 rpm.".to_owned(),
            Kind::Quantity(Dimension::Pressure) => "A pressure, such as 150 psi or 10 bar.".to_owned(),
            Kind::Quantity(Dimension::Share) => "A percentage, such as 12%.".to_owned(),
            Kind::Quantity(Dimension::Viscosity) => {
                "A viscosity, such as 10 cP; an oil grade alone does not tell it.".to_owned()
            }
            Kind::Quantity(dimension) => format!("Wanted is {} with its unit.", dimension.one()),
            Kind::Reading => "A reading, such as 2.4995in.".to_owned(),
            Kind::Rows => "Rows of a place and its readings.".to_owned(),
            Kind::Whole => "A whole number.".to_owned(),
            Kind::Choice(choices) => format!("One of: {}.", choices.join(", ")),
            Kind::Flag => "yes or no.".to_owned(),
            Kind::Text => "Some words.".to_owned(),
            Kind::Pick(pick) => format!(
                "The name of {}.",
                match pick {
                    Pick::Engine => "an engine",
                    Pick::Job => "a job, such as #1",
                    Pick::Check => "a check, such as main-journal",
                    Pick::Position => "a position, such as 3 or 3 top",
                    Pick::Page | Pick::Procedure => "a page",
                    Pick::Term => "a word",
                    Pick::Instrument => "an instrument, such as \"micrometer 4\"",
                }
            ),
        }
    }
}

/// The readings of one set as they lie on the part: a box for each, in rows and columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// The field they are the values of.
    pub field: String,
    pub rows: Vec<String>,
    /// One blank name where a row is one box.
    pub columns: Vec<String>,
    /// So many must be given, from the first on.
    pub least: usize,
    /// What they are counted in, where their check is known.
    pub dimension: Option<Dimension>,
    /// The system of the engine they are taken at: that of a bare number.
    pub lean: Option<System>,
}

/// What a line says in the place of a reading that was left out.
pub const LEFT_OUT: &str = "-";

impl Grid {
    /// `top thrust, top axial, bottom thrust, …` lie in rows and columns; names that do not go together so are a row each.
    pub fn of(field: &str, readings: &[&str], least: usize) -> Self {
        let halves: Option<Vec<(&str, &str)>> = readings.iter().map(|name| name.split_once(' ')).collect();
        let halves = halves.unwrap_or_default();
        let top = halves.first().map_or("", |(row, _)| row);
        let width = halves.iter().take_while(|(row, _)| *row == top).count();
        let regular = |chunk: &[(&str, &str)]| {
            chunk.iter().zip(&halves).all(|((row, column), (_, above))| row == &chunk[0].0 && column == above)
                && chunk.len() == width
        };
        let named = |name: &str| name.to_owned();
        let (rows, columns) = if width > 1 && halves.chunks(width).all(regular) {
            let rows = halves.chunks(width).map(|chunk| named(chunk[0].0)).collect();
            (rows, halves[..width].iter().map(|(_, column)| named(column)).collect())
        } else {
            (readings.iter().map(|name| named(name)).collect(), vec![String::new()])
        };
        Self { field: field.to_owned(), rows, columns, least, dimension: None, lean: None }
    }

    /// The name of each box, in the order of the readings.
    pub fn labels(&self) -> impl Iterator<Item = String> + '_ {
        let row = |row: &'_ String| {
            let row = row.clone();
            self.columns.iter().map(move |column| format!("{row} {column}").trim_end().to_owned())
        };
        self.rows.iter().flat_map(row)
    }
}

/// What stands in the boxes of a set, as a line gives it. No reading may slip into the place of another: an empty box
/// before a full one is told as left out, and several values in one box among others stay together, to be refused.
pub fn boxes(texts: impl IntoIterator<Item = String>) -> Vec<String> {
    let mut texts: Vec<String> = texts.into_iter().map(|text| text.trim().to_owned()).collect();
    while texts.last().is_some_and(String::is_empty) {
        texts.pop();
    }
    let alone = texts.len() == 1;
    for text in &mut texts {
        if text.is_empty() {
            LEFT_OUT.clone_into(text);
        } else if !alone && line::split(text).len() > 1 {
            *text = format!("\"{text}\"");
        }
    }
    texts
}

impl Form {
    /// Every command of a tree, families in its order.
    pub fn all(root: &clap::Command) -> Vec<Form> {
        let mut forms = Vec::new();
        for family in root.get_subcommands() {
            let mut verbs = family.get_subcommands().peekable();
            if verbs.peek().is_none() {
                forms.push(Self::of(family, None));
            } else {
                forms.extend(verbs.map(|verb| Self::of(family, Some(verb))));
            }
        }
        forms
    }

    fn of(family: &clap::Command, verb: Option<&clap::Command>) -> Self {
        let about = |c: &clap::Command| c.get_about().map(ToString::to_string).unwrap_or_default();
        let leaf = verb.unwrap_or(family);
        let words = verb.map_or(family.get_name().to_owned(), |v| format!("{} {}", family.get_name(), v.get_name()));
        let supplied = posted::supplied(&words);
        Self {
            photos: photos::PICTURED.contains(&words.as_str()),
            family: family.get_name().to_owned(),
            family_about: about(family),
            verb: verb.map(|v| v.get_name().to_owned()),
            about: about(leaf),
            example: leaf.get_after_help().map(ToString::to_string).unwrap_or_default(),
            fields: leaf.get_arguments().map(|arg| Field::of(arg, &supplied)).collect(),
            usual: leaf.get_all_aliases().any(|alias| alias == "_"),
        }
    }

    /// `ring gap`.
    pub fn words(&self) -> String {
        match &self.verb {
            Some(verb) => format!("{} {verb}", self.family),
            None => self.family.clone(),
        }
    }

    /// `ring gap BORE [DUTY] [factor=…]`: how it is written on a line.
    pub fn usage(&self) -> String {
        let mut out = self.words();
        for field in &self.fields {
            let shown = match (field.bare, field.many) {
                (true, false) => field.id.to_uppercase(),
                (true, true) => format!("{}…", field.id.to_uppercase()),
                (false, _) if field.kind == Kind::Flag => format!("--{}", field.id),
                (false, _) => format!("{}=…", field.id),
            };
            out.push_str(&if field.required { format!(" {shown}") } else { format!(" [{shown}]") });
        }
        out
    }

    pub fn field(&self, name: &str) -> Option<&Field> {
        self.fields.iter().find(|f| f.id == name)
    }

    /// The line that gives these values to this command: how a filled-in form or a slash command is sent.
    pub fn line<'a>(&self, values: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
        let mut out = self.words();
        for (id, value) in values {
            let value = value.trim();
            let Some(field) = self.field(id).filter(|_| !value.is_empty()) else { continue };
            if field.kind == Kind::Flag {
                if matches!(value.to_lowercase().as_str(), "true" | "yes" | "on" | "1") {
                    out.push_str(&format!(" --{id}"));
                }
            } else if field.many && matches!(field.kind, Kind::Quantity(_) | Kind::Reading | Kind::Whole) {
                for token in line::split(value) {
                    out.push_str(&format!(" {id}={}", line::quoted(&token)));
                }
            } else {
                out.push_str(&format!(" {id}={}", line::quoted(value)));
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_lie_as_their_names_say() {
        let grid = |names: &[&str]| Grid::of("values", names, 1);
        let bore = ["top thrust", "top axial", "middle thrust", "middle axial", "bottom thrust", "bottom axial"];
        assert_eq!((grid(&bore).rows.len(), grid(&bore).columns), (3, vec!["thrust".to_owned(), "axial".to_owned()]));
        assert!(grid(&bore).labels().eq(bore));
        for names in [
            &["vertical", "left of vertical", "right of vertical"][..],
            &["front side on the pin axis", "rear side on the pin axis"],
            &["top thrust", "top axial", "middle axial"],
            &["top thrust", "top axial", "middle axial", "middle thrust"],
            &["feeler"],
        ] {
            assert_eq!(grid(names).columns, [""], "{names:?}");
            assert!(grid(names).labels().eq(names.iter().copied()));
        }
    }

    #[test]
    fn no_reading_slips_into_the_place_of_another() {
        let told = |texts: &[&str]| boxes(texts.iter().map(|text| (*text).to_owned()));
        assert_eq!(told(&["4.0", "4.1", "", ""]), ["4.0", "4.1"]);
        assert_eq!(told(&["", "4.1", "", "4.2"]), ["-", "4.1", "-", "4.2"]);
        assert_eq!(told(&["4.0 4.1", "", ""]), ["4.0 4.1"]);
        assert_eq!(told(&["4.0 4.1", "4.2", "4.3 in"]), ["\"4.0 4.1\"", "4.2", "4.3 in"]);
        assert!(told(&["", " "]).is_empty());
    }
}
