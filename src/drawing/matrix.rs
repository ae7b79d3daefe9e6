//! The job matrix: checks down, positions across, one lettered cell each.

use super::style::{CARD, Paint, RULE};
use super::tiles::{Tile, Tiles};
use super::{Figure, Mark};

/// One check's row: a mark for each position, none where the check has no such position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    pub check: String,
    pub cells: Vec<Option<Mark>>,
}

/// Everything the figure shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matrix {
    pub heading: String,
    pub positions: Vec<String>,
    pub rows: Vec<Row>,
}

const LONGEST_NAME: f64 = 190.0;
const LONGEST_POSITION: f64 = 120.0;

/// Draws the matrix.
pub fn draw(input: &Matrix) -> Figure {
    let tiles = Tiles {
        heading: &input.heading,
        columns: &input.positions,
        rows: input.rows.iter().map(|row| (row.check.as_str(), row.cells.as_slice())).collect(),
        longest: (LONGEST_NAME, LONGEST_POSITION),
        marks: &Mark::ALL,
        tile,
    };
    tiles.draw(&words(input))
}

/// A reading's tile; one that needs attention or waits has its own edge.
fn tile(mark: Mark) -> Tile {
    let paint = match mark {
        Mark::Open => Paint::fill(CARD).edged(RULE, 1.0),
        Mark::NoLimit => Paint::fill(mark.tint()).edged(RULE, 1.0),
        Mark::Accepted => Paint::fill(mark.ink()),
        Mark::Within => Paint::fill(mark.tint()).edged(mark.ink(), 1.0),
        Mark::Marginal | Mark::Out | Mark::Returned => Paint::fill(mark.tint()).edged(mark.ink(), 2.5),
    };
    let ink = if mark == Mark::Accepted { CARD } else { mark.ink() };
    Tile { letter: mark.letter(), word: mark.word(), paint, ink }
}

fn words(input: &Matrix) -> String {
    let count = |mark: Mark| input.rows.iter().flat_map(|row| &row.cells).filter(|cell| **cell == Some(mark)).count();
    let counts = Mark::ALL.into_iter().map(|mark| (mark, count(mark))).filter(|(_, n)| *n > 0);
    let counts = counts.map(|(mark, n)| format!("{n} {}", mark.word())).collect::<Vec<_>>().join(", ");
    let wrong = input.rows.iter().flat_map(|row| {
        row.cells.iter().enumerate().filter_map(move |(column, cell)| {
            let mark = cell.filter(|m| matches!(m, Mark::Out | Mark::Returned))?;
            let position = input.positions.get(column).map_or("", String::as_str);
            Some(format!(" {} {position}: {}.", row.check, mark.word()))
        })
    });
    format!(
        "{} checks by {} positions: {counts}.{}",
        input.rows.len(),
        input.positions.len(),
        wrong.collect::<String>()
    )
}
