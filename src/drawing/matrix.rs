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

const CELL: f64 = 28.0;
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
                draw_cell(&mut canvas, (left + column as f64 * CELL, top), *mark);
            }
        }
    }
    let foot = legend(&mut canvas, y + input.rows.len() as f64 * CELL + 12.0, wide, input);
    canvas.finish(foot + 6.0, &input.heading, &words(input))
}

/// Short names stand level; one that is wider than its column turns them all upright.
fn draw_positions(canvas: &mut Canvas, (left, y): (f64, f64), positions: &[String], head: f64) -> f64 {
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

/// A filled cell; one that needs attention or waits has its own edge.
fn draw_cell(canvas: &mut Canvas, (x, y): (f64, f64), mark: Mark) {
    let paint = match mark {
        Mark::Open => Paint::fill(CARD).edged(RULE, 1.0),
        Mark::NoLimit => Paint::fill(mark.tint()).edged(RULE, 1.0),
        Mark::Accepted => Paint::fill(mark.ink()),
        Mark::Within => Paint::fill(mark.tint()).edged(mark.ink(), 1.0),
        Mark::Marginal | Mark::Out | Mark::Returned => Paint::fill(mark.tint()).edged(mark.ink(), 2.5),
    };
    let ink = if mark == Mark::Accepted { CARD } else { mark.ink() };
    canvas.rect((x + 2.0, y + 2.0), (CELL - 4.0, CELL - 4.0), 4.0, paint);
    canvas.label((x + CELL / 2.0, y + CELL / 2.0), mark.letter(), LETTER.middle().ink(ink));
}

/// The marks in use, in as many lines as the width needs.
fn legend(canvas: &mut Canvas, y: f64, wide: f64, input: &Matrix) -> f64 {
    let used = |mark: &Mark| input.rows.iter().flat_map(|row| &row.cells).any(|cell| *cell == Some(*mark));
    let (mut x, mut top) = (EDGE, y);
    for mark in Mark::ALL.into_iter().filter(used) {
        let taken = CELL + 6.0 + width(mark.word(), SMALL) + 14.0;
        if x > EDGE && x + taken > wide - EDGE + 14.0 {
            (x, top) = (EDGE, top + CELL + 4.0);
        }
        draw_cell(canvas, (x, top), mark);
        canvas.label((x + CELL + 4.0, top + CELL / 2.0), mark.word(), SMALL.ink(INK));
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
