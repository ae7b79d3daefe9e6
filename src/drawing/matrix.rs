//! The job matrix: checks down, positions across, one lettered cell each. As wide as its columns need.

use super::canvas::Canvas;
use super::lettering::{fit, width};
use super::style::{CARD, EDGE, INK, LETTER, Paint, RULE, SMALL, Type, WIDTH};
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

/// Side of a cell.
pub(super) const CELL: f64 = 28.0;
const NAME: Type = SMALL.ink(INK);
const LONGEST_NAME: f64 = 190.0;
const LONGEST_POSITION: f64 = 120.0;

/// Draws the matrix.
pub fn draw(input: &Matrix) -> Figure {
    let names: Vec<String> = input.rows.iter().map(|row| fit(&row.check, LONGEST_NAME, NAME)).collect();
    let positions: Vec<String> = input.positions.iter().map(|p| fit(p, LONGEST_POSITION, LETTER)).collect();
    let widest = |texts: &[String], style: Type| texts.iter().map(|t| width(t, style)).fold(0.0, f64::max);
    let left = EDGE + widest(&names, NAME) + 10.0;
    let columns = input.rows.iter().map(|row| row.cells.len()).fold(positions.len(), usize::max);
    let wide = (left + columns as f64 * CELL + EDGE).max(WIDTH);
    let mut canvas = Canvas::new(wide);
    let y = canvas.heading(&input.heading);
    let head = widest(&positions, LETTER);
    let y = draw_positions(&mut canvas, (left, y), &positions, head);
    for (place, (row, name)) in input.rows.iter().zip(&names).enumerate() {
        let top = y + place as f64 * CELL;
        canvas.label((left - 10.0, top + CELL / 2.0), name, NAME.end());
        canvas.line((EDGE, top), (left + columns as f64 * CELL, top), Paint::line(RULE, 0.6));
        for (column, mark) in row.cells.iter().enumerate() {
            if let Some(mark) = mark {
                tile(*mark).draw(&mut canvas, (left + column as f64 * CELL, top));
            }
        }
    }
    let used = |mark: &Mark| input.rows.iter().flat_map(|row| &row.cells).any(|cell| *cell == Some(*mark));
    let tiles: Vec<Tile> = Mark::ALL.into_iter().filter(used).map(tile).collect();
    let foot = legend(&mut canvas, y + input.rows.len() as f64 * CELL + 12.0, wide, &tiles);
    canvas.finish(foot + 6.0, &input.heading, &words(input))
}

/// Short names stand level; one that is wider than its column turns them all upright.
pub(super) fn draw_positions(canvas: &mut Canvas, (left, y): (f64, f64), positions: &[String], head: f64) -> f64 {
    let level = head <= CELL - 4.0;
    let tall = if level { 22.0 } else { head + 10.0 };
    for (column, name) in positions.iter().enumerate() {
        let x = left + (column as f64 + 0.5) * CELL;
        if level {
            canvas.label((x, y + tall / 2.0), name, LETTER.middle());
        } else {
            canvas.upward((x, y + tall - 5.0), name, LETTER);
        }
    }
    y + tall
}

/// What a cell is filled with: a letter on a ground, and the word a legend has for it.
pub(super) struct Tile {
    pub letter: &'static str,
    pub word: &'static str,
    pub paint: Paint,
    pub ink: &'static str,
}

impl Tile {
    pub fn draw(&self, canvas: &mut Canvas, (x, y): (f64, f64)) {
        canvas.rect((x + 2.0, y + 2.0), (CELL - 4.0, CELL - 4.0), 4.0, self.paint);
        canvas.label((x + CELL / 2.0, y + CELL / 2.0), self.letter, LETTER.middle().ink(self.ink));
    }
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

/// The tiles in use, in as many lines as the width needs.
pub(super) fn legend(canvas: &mut Canvas, y: f64, wide: f64, tiles: &[Tile]) -> f64 {
    let (mut x, mut top) = (EDGE, y);
    for tile in tiles {
        let taken = CELL + 6.0 + width(tile.word, SMALL) + 14.0;
        if x > EDGE && x + taken > wide - EDGE + 14.0 {
            (x, top) = (EDGE, top + CELL + 4.0);
        }
        tile.draw(canvas, (x, top));
        canvas.label((x + CELL + 4.0, top + CELL / 2.0), tile.word, SMALL.ink(INK));
        x += taken;
    }
    top + CELL + 4.0
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
