//! Every open job as a row of its stages, one lettered tile each: what a lead who was away looks at first.

use super::Figure;
use super::canvas::Canvas;
use super::lettering::{fit, width};
use super::matrix::{CELL, Tile, draw_positions, legend};
use super::style::{
    CARD, CHOSEN, CHOSEN_TINT, DONE, DONE_TINT, EDGE, FAINT, HOLD, HOLD_TINT, INK, LETTER, LOOK, LOOK_TINT, PLAIN,
    Paint, RULE, SMALL, STOP, STOP_TINT, Type, WIDTH,
};

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

const NAME: Type = SMALL.ink(INK);
const LONGEST_NAME: f64 = 150.0;
const LONGEST_STAGE: f64 = 220.0;

/// Draws the figure. As wide as its columns need.
pub fn draw(input: &Stages) -> Figure {
    let names: Vec<String> = input.rows.iter().map(|row| fit(&row.job, LONGEST_NAME, NAME)).collect();
    let stages: Vec<String> = input.stages.iter().map(|stage| fit(stage, LONGEST_STAGE, LETTER)).collect();
    let widest = |texts: &[String], style: Type| texts.iter().map(|text| width(text, style)).fold(0.0, f64::max);
    let left = EDGE + widest(&names, NAME) + 10.0;
    let columns = input.rows.iter().map(|row| row.cells.len()).fold(stages.len(), usize::max);
    let wide = (left + columns as f64 * CELL + EDGE).max(WIDTH);
    let mut canvas = Canvas::new(wide);
    let y = canvas.heading(&input.heading);
    let y = draw_positions(&mut canvas, (left, y), &stages, widest(&stages, LETTER));
    for (place, (row, name)) in input.rows.iter().zip(&names).enumerate() {
        let top = y + place as f64 * CELL;
        canvas.label((left - 10.0, top + CELL / 2.0), name, NAME.end());
        canvas.line((EDGE, top), (left + columns as f64 * CELL, top), Paint::line(RULE, 0.6));
        for (column, mark) in row.cells.iter().enumerate() {
            if let Some(mark) = mark {
                mark.tile().draw(&mut canvas, (left + column as f64 * CELL, top));
            }
        }
    }
    let used = |mark: &Mark| input.rows.iter().flat_map(|row| &row.cells).any(|cell| *cell == Some(*mark));
    let tiles: Vec<Tile> = Mark::ALL.into_iter().filter(used).map(Mark::tile).collect();
    let foot = legend(&mut canvas, y + input.rows.len() as f64 * CELL + 12.0, wide, &tiles);
    canvas.finish(foot + 6.0, &input.heading, &words(input))
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
