//! Rows of lettered tiles under named columns, with their legend: what the job matrix and the stages of all jobs are drawn
//! as. As wide as its columns need.

use super::Figure;
use super::canvas::Canvas;
use super::lettering::{fit, width};
use super::style::{EDGE, INK, LETTER, Paint, RULE, SMALL, Type, WIDTH};

/// Side of a cell.
const CELL: f64 = 28.0;
const NAME: Type = SMALL.ink(INK);

/// What a cell is filled with: a letter on a ground, and the word a legend has for it.
pub struct Tile {
    pub letter: &'static str,
    pub word: &'static str,
    pub paint: Paint,
    pub ink: &'static str,
}

impl Tile {
    fn draw(&self, canvas: &mut Canvas, (x, y): (f64, f64)) {
        canvas.rect((x + 2.0, y + 2.0), (CELL - 4.0, CELL - 4.0), 4.0, self.paint);
        canvas.label((x + CELL / 2.0, y + CELL / 2.0), self.letter, LETTER.middle().ink(self.ink));
    }
}

/// A table of marks to draw. `M` is what a cell means; each mark has its tile.
pub struct Tiles<'a, M> {
    pub heading: &'a str,
    pub columns: &'a [String],
    /// Each row's name and its marks, none where the row has no such column.
    pub rows: Vec<(&'a str, &'a [Option<M>])>,
    /// The most room that a row's and a column's name may take.
    pub longest: (f64, f64),
    /// Every mark, in the order a legend lists them.
    pub marks: &'a [M],
    pub tile: fn(M) -> Tile,
}

impl<M: Copy + PartialEq> Tiles<'_, M> {
    /// Draws it; `words` is what it says to whoever cannot see it.
    pub fn draw(&self, words: &str) -> Figure {
        let names: Vec<String> = self.rows.iter().map(|(name, _)| fit(name, self.longest.0, NAME)).collect();
        let columns: Vec<String> = self.columns.iter().map(|name| fit(name, self.longest.1, LETTER)).collect();
        let widest = |texts: &[String], style: Type| texts.iter().map(|text| width(text, style)).fold(0.0, f64::max);
        let left = EDGE + widest(&names, NAME) + 10.0;
        let count = self.rows.iter().map(|(_, cells)| cells.len()).fold(columns.len(), usize::max);
        let wide = (left + count as f64 * CELL + EDGE).max(WIDTH);
        let mut canvas = Canvas::new(wide);
        let y = canvas.heading(self.heading);
        let y = draw_columns(&mut canvas, (left, y), &columns, widest(&columns, LETTER));
        for (place, ((_, cells), name)) in self.rows.iter().zip(&names).enumerate() {
            let top = y + place as f64 * CELL;
            canvas.label((left - 10.0, top + CELL / 2.0), name, NAME.end());
            canvas.line((EDGE, top), (left + count as f64 * CELL, top), Paint::line(RULE, 0.6));
            for (column, mark) in cells.iter().enumerate() {
                if let Some(mark) = mark {
                    (self.tile)(*mark).draw(&mut canvas, (left + column as f64 * CELL, top));
                }
            }
        }
        let used = |mark: &&M| self.rows.iter().any(|(_, cells)| cells.contains(&Some(**mark)));
        let tiles: Vec<Tile> = self.marks.iter().filter(used).map(|mark| (self.tile)(*mark)).collect();
        let foot = legend(&mut canvas, y + self.rows.len() as f64 * CELL + 12.0, wide, &tiles);
        canvas.finish(foot + 6.0, self.heading, words)
    }
}

/// Short names stand level; one that is wider than its column turns them all upright.
fn draw_columns(canvas: &mut Canvas, (left, y): (f64, f64), columns: &[String], head: f64) -> f64 {
    let level = head <= CELL - 4.0;
    let tall = if level { 22.0 } else { head + 10.0 };
    for (column, name) in columns.iter().enumerate() {
        let x = left + (column as f64 + 0.5) * CELL;
        if level {
            canvas.label((x, y + tall / 2.0), name, LETTER.middle());
        } else {
            canvas.upward((x, y + tall - 5.0), name, LETTER);
        }
    }
    y + tall
}

/// The tiles in use, in as many lines as the width needs.
fn legend(canvas: &mut Canvas, y: f64, wide: f64, tiles: &[Tile]) -> f64 {
    let (mut x, mut top) = (EDGE, y);
    for tile in tiles {
        let taken = CELL + 6.0 + width(tile.word, SMALL) + 14.0;
        if x > EDGE && x + taken > wide - EDGE + 14.0 {
            (x, top) = (EDGE, top + CELL + 4.0);
        }
        tile.draw(canvas, (x, top));
        canvas.label((x + CELL + 4.0, top + CELL / 2.0), tile.word, NAME);
        x += taken;
    }
    top + CELL + 4.0
}
