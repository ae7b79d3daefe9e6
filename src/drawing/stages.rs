//! Every open job as a row of its stages, one lettered tile each: what a lead who was away looks at first.

use super::Figure;
use super::style::{
    CARD, CHOSEN, CHOSEN_TINT, DONE, DONE_TINT, FAINT, HOLD, HOLD_TINT, LOOK, LOOK_TINT, PLAIN, Paint, RULE, STOP,
    STOP_TINT,
};
use super::tiles::{Tile, Tiles};

/// How a stage of a job stands: a letter, a colour and an edge, never colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    Out,
    Held,
    Posted,
    Accepted,
    SignedOff,
    GoneOver,
    Changed,
    ToCome,
}

impl Mark {
    /// Every mark, in the order a legend lists them.
    pub const ALL: [Self; 8] = [
        Self::Out,
        Self::Held,
        Self::Posted,
        Self::Accepted,
        Self::SignedOff,
        Self::GoneOver,
        Self::Changed,
        Self::ToCome,
    ];

    pub fn letter(self) -> &'static str {
        match self {
            Self::Out => "O",
            Self::Held => "H",
            Self::Posted => "P",
            Self::Accepted => "✓",
            Self::SignedOff => "S",
            Self::GoneOver => "X",
            Self::Changed => "?",
            Self::ToCome => "·",
        }
    }

    /// What it means, as a legend and the alt text say it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Out => "out",
            Self::Held => "hold open",
            Self::Posted => "posted, waits",
            Self::Accepted => "accepted",
            Self::SignedOff => "signed off",
            Self::GoneOver => "signed over holds",
            Self::Changed => "changed since signed",
            Self::ToCome => "to come",
        }
    }

    fn tile(self) -> Tile {
        let (paint, ink) = match self {
            Self::Out => (Paint::fill(STOP_TINT).edged(STOP, 2.5), STOP),
            Self::Held => (Paint::fill(HOLD_TINT).edged(HOLD, 2.5), HOLD),
            Self::Posted => (Paint::fill(CHOSEN_TINT).edged(CHOSEN, 1.0), CHOSEN),
            Self::Accepted => (Paint::fill(DONE_TINT).edged(DONE, 1.0), DONE),
            Self::SignedOff => (Paint::fill(DONE), CARD),
            Self::GoneOver | Self::Changed => (Paint::fill(LOOK_TINT).edged(LOOK, 2.5), LOOK),
            Self::ToCome => (Paint::fill(PLAIN).edged(RULE, 1.0), FAINT),
        };
        Tile { letter: self.letter(), word: self.word(), paint, ink }
    }
}

/// One job's row: a mark for each stage, none where the plan has nothing of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    pub job: String,
    pub cells: Vec<Option<Mark>>,
}

/// Everything the figure shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stages {
    pub heading: String,
    pub stages: Vec<String>,
    pub rows: Vec<Row>,
}

const LONGEST_NAME: f64 = 150.0;
const LONGEST_STAGE: f64 = 220.0;

/// Draws the figure.
pub fn draw(input: &Stages) -> Figure {
    let tiles = Tiles {
        heading: &input.heading,
        columns: &input.stages,
        rows: input.rows.iter().map(|row| (row.job.as_str(), row.cells.as_slice())).collect(),
        longest: (LONGEST_NAME, LONGEST_STAGE),
        marks: &Mark::ALL,
        tile: Mark::tile,
    };
    tiles.draw(&words(input))
}

fn words(input: &Stages) -> String {
    let row = |row: &Row| {
        let marked = row.cells.iter().enumerate().filter_map(|(column, cell)| {
            let mark = cell.filter(|mark| *mark != Mark::ToCome)?;
            Some(format!("{} {}", input.stages.get(column).map_or("", String::as_str), mark.word()))
        });
        let marked = marked.collect::<Vec<_>>().join(", ");
        format!(" {}: {}.", row.job, if marked.is_empty() { "nothing begun" } else { &marked })
    };
    format!(
        "{} by {} stages.{}",
        if input.rows.len() == 1 { "1 job".to_owned() } else { format!("{} jobs", input.rows.len()) },
        input.stages.len(),
        input.rows.iter().map(row).collect::<String>()
    )
}
