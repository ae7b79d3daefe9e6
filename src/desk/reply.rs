//! What the desk says, as plain data: every front paints all of it, none of them adds to it.

use serde::{Deserialize, Serialize};

use crate::drawing::Figure;
pub use crate::maths::judge::Verdict;
use crate::quantity::{Dimension, Length, Measure, System, Unit, named_in, show, unit_for};

/// One answer. The title is the answer itself, short enough to read at arm's length.
#[derive(Debug, Clone, Default)]
pub struct Reply {
    pub title: String,
    pub verdict: Option<Verdict>,
    pub blocks: Vec<Block>,
    pub values: Vec<Value>,
    pub passages: Vec<Passage>,
    /// The passage of the library that it tells, as `ring-end-gap#3`.
    pub place: Option<String>,
    /// For a question: whether the library covers it.
    pub covered: Option<bool>,
    pub actions: Vec<Action>,
}

/// The letter a verdict is marked with where there is no room for its word; never colour alone.
pub fn letter(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "W",
        Verdict::Marginal => "M",
        Verdict::Out => "O",
        Verdict::NoLimit => "N",
    }
}

/// A piece of a reply, in reading order.
#[derive(Debug, Clone)]
pub enum Block {
    Heading(String),
    Text(String),
    /// Label and value, a line each.
    Fields(Vec<(String, String)>),
    Table(Table),
    Steps {
        start: u64,
        items: Vec<String>,
    },
    Bullets(Vec<String>),
    /// The line of working: how the answer came out of what was given.
    Working(Vec<String>),
    Figure(Figure),
    Photo(Photograph),
    Caution(Caution),
    Sources(Vec<String>),
    Document(Document),
}

/// A table; a cell may carry a verdict and a line to send when it is pressed.
#[derive(Debug, Clone, Default)]
pub struct Table {
    pub caption: String,
    pub header: Vec<String>,
    pub rows: Vec<Vec<Cell>>,
}

/// One cell of a [`Table`].
#[derive(Debug, Clone, Default)]
pub struct Cell {
    pub text: String,
    pub verdict: Option<Verdict>,
    pub line: Option<String>,
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Self {
        Self { text: text.into(), ..Self::default() }
    }
}

/// How loud a caution is, in the order of the Markdown alerts the pages use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loudness {
    Note,
    Tip,
    Important,
    Warning,
    Caution,
}

/// Something to heed before the next step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    pub loudness: Loudness,
    pub text: String,
}

/// A photograph beside a reading, without its bytes: those are asked of the desk by `hash`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photograph {
    /// What stands under it.
    pub title: String,
    /// What is said in its place.
    pub alt: String,
    pub hash: String,
    /// How a file of it ends: `jpg`.
    pub ending: &'static str,
    /// Bytes.
    pub size: u64,
    /// Pixels, as it is seen.
    pub width: u32,
    pub height: u32,
}

impl Photograph {
    /// A name for a file of it.
    pub fn file(&self) -> String {
        format!("photo-{}.{}", self.hash.get(..12).unwrap_or(&self.hash), self.ending)
    }
}

/// A whole file that goes with a reply, such as a build sheet.
#[derive(Debug, Clone)]
pub struct Document {
    pub name: String,
    pub media: &'static str,
    pub content: Vec<u8>,
}

/// A result by name, for machines: unrounded, in the unit the answer leads with.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Value {
    pub name: String,
    pub value: f64,
    pub unit: String,
    /// A plain number where the unit is one that nobody types.
    #[serde(skip)]
    pub dimension: Dimension,
}

impl Value {
    /// A value kept in SI, told in the unit of `system`.
    pub fn si(name: &str, dimension: Dimension, si: f64, system: System) -> Self {
        match named_in(dimension, system) {
            Some(unit) => {
                let value = (si - unit.offset) / unit.factor;
                Self { name: name.to_owned(), value, unit: unit.symbol.to_owned(), dimension }
            }
            None => Self::plain(name, si),
        }
    }

    /// A length, in inches or millimetres.
    pub fn length(name: &str, length: Length, system: System) -> Self {
        Self::si(name, Dimension::Length, length.si(), system)
    }

    /// A ratio or a count.
    pub fn plain(name: &str, value: f64) -> Self {
        Self::counted(name, value, "")
    }

    /// A number in a unit that nobody types, such as m/s2.
    pub fn counted(name: &str, value: f64, unit: &str) -> Self {
        Self { name: name.to_owned(), value, unit: unit.to_owned(), dimension: Dimension::Number }
    }

    fn unit(&self) -> Option<&'static Unit> {
        unit_for(self.dimension, &self.unit)
    }

    /// SI for one of its unit.
    pub fn factor(&self) -> f64 {
        self.unit().map_or(1.0, |unit| unit.factor)
    }

    /// The value in SI; a plain number as it is.
    pub fn as_si(&self) -> f64 {
        self.unit().map_or(self.value, |unit| self.value * unit.factor + unit.offset)
    }

    /// As a person reads it, in both systems.
    pub fn shown(&self, system: System) -> String {
        match self.dimension {
            Dimension::Number => format!("{} {}", show::number(self.value), self.unit).trim_end().to_owned(),
            dimension => show::any(dimension, self.as_si(), system),
        }
    }
}

/// A passage of the library as it was ranked for a question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Passage {
    pub page: String,
    pub heading: String,
    pub text: String,
}

/// Something to do next: a button on the phone and in Discord, a hint in the terminal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Action {
    pub label: String,
    pub line: String,
    /// True when the line still wants values: a front with forms opens the form instead of sending it.
    pub form: bool,
    /// True when it is what the reply asks for: only the readings are still to be typed, and a front that can takes them
    /// there and then.
    pub entry: bool,
    /// True when the answer is another leaf of the same: a front that can puts it in the place of this one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub turns: bool,
}

impl Action {
    /// A line to send as it stands.
    pub fn send(label: impl Into<String>, line: impl Into<String>) -> Self {
        Self { label: label.into(), line: line.into(), form: false, entry: false, turns: false }
    }

    /// A command whose values the person still has to give; `line` may hold those already known.
    pub fn form(label: impl Into<String>, line: impl Into<String>) -> Self {
        Self { form: true, ..Self::send(label, line) }
    }

    /// A line whose answer is the next leaf, or the one before.
    pub fn turn(label: impl Into<String>, line: impl Into<String>) -> Self {
        Self { turns: true, ..Self::send(label, line) }
    }

    /// What a reply asks for: a command of which only the readings are still to be typed.
    pub fn entry(label: impl Into<String>, line: impl Into<String>) -> Self {
        Self { entry: true, ..Self::form(label, line) }
    }
}

impl Reply {
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), ..Self::default() }
    }

    pub fn verdict(mut self, verdict: Verdict) -> Self {
        self.verdict = Some(verdict);
        self
    }

    pub fn block(mut self, block: Block) -> Self {
        self.blocks.push(block);
        self
    }

    pub fn text(self, text: impl Into<String>) -> Self {
        self.block(Block::Text(text.into()))
    }

    pub fn fields<L: Into<String>, V: Into<String>>(self, fields: impl IntoIterator<Item = (L, V)>) -> Self {
        self.block(Block::Fields(fields.into_iter().map(|(l, v)| (l.into(), v.into())).collect()))
    }

    pub fn working<T: Into<String>>(self, lines: impl IntoIterator<Item = T>) -> Self {
        self.block(Block::Working(lines.into_iter().map(Into::into).collect()))
    }

    pub fn caution(self, loudness: Loudness, text: impl Into<String>) -> Self {
        self.block(Block::Caution(Caution { loudness, text: text.into() }))
    }

    pub fn sources<T: Into<String>>(self, sources: impl IntoIterator<Item = T>) -> Self {
        self.block(Block::Sources(sources.into_iter().map(Into::into).collect()))
    }

    pub fn figure(self, figure: Figure) -> Self {
        self.block(Block::Figure(figure))
    }

    pub fn value(mut self, value: Value) -> Self {
        self.values.push(value);
        self
    }

    pub fn action(mut self, action: Action) -> Self {
        self.actions.push(action);
        self
    }

    /// More actions; one that is there already is not said twice.
    pub fn ways(mut self, actions: impl IntoIterator<Item = Action>) -> Self {
        for action in actions {
            if !self.actions.iter().any(|other| other.line == action.line) {
                self.actions.push(action);
            }
        }
        self
    }

    /// What this reply asks for.
    pub fn entry(&self) -> Option<&Action> {
        self.actions.iter().find(|action| action.entry)
    }
}
