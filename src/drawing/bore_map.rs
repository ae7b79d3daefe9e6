//! A bore measured at three heights on two axes: the grid of readings with their deviations, and the shape in section.

use super::canvas::{Canvas, Path};
use super::lettering::{fit, width};
use super::style::{
    BODY, CARD, EDGE, HOLD, HOLD_TINT, INK, LETTER, Paint, RULE, SECTION, SMALL, STEEL, STEEL_DARK, Type, WIDTH,
};
use super::{Figure, Mark, in_small_steps, small_step};
use crate::quantity::{Length, Measure, System, show};

/// Something worked out from the readings, with its mark where it was judged: `out-of-round 0.0005 in (0.013 mm)`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    pub words: String,
    pub mark: Option<Mark>,
}

/// Everything the figure shows; nothing is judged here.
#[derive(Debug, Clone, PartialEq)]
pub struct BoreMap {
    pub heading: String,
    pub system: System,
    /// Top, middle, bottom; thrust then axial.
    pub readings: [[Length; 2]; 3],
    /// What deviations are taken from; the smallest reading where none is given.
    pub nominal: Option<Length>,
    pub findings: Vec<Finding>,
}

const HEIGHTS: [&str; 3] = ["top", "middle", "bottom"];
const AXES: [&str; 2] = ["thrust", "axial"];
const COLUMNS: [f64; 2] = [80.0, 216.0];
const CELL: (f64, f64) = (130.0, 56.0);
const READING: Type = SECTION;

/// Readings as deviations from one base, with the smallest and largest known.
struct Grid {
    deviations: [[f64; 2]; 3],
    smallest: f64,
    largest: f64,
    /// The base in words: `the smallest, 4.0300 in`.
    base: String,
}

/// Draws the bore map.
pub fn draw(input: &BoreMap) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let grid = grid(input);
    let mut y = canvas.heading(&input.heading);
    for (column, axis) in COLUMNS.iter().zip(AXES) {
        canvas.text((column + CELL.0 / 2.0, y + 14.0), axis, SECTION.middle());
    }
    y += 22.0;
    for (row, name) in HEIGHTS.iter().enumerate() {
        canvas.label((COLUMNS[0] - 10.0, y + CELL.1 / 2.0), name, BODY.end());
        for (axis, x) in COLUMNS.iter().enumerate() {
            draw_cell(&mut canvas, (*x, y), input, &grid, (row, axis));
        }
        y += CELL.1 + 6.0;
    }
    let unit = small_step(input.system).1;
    y = canvas.remark(y + 2.0, &format!("Deviations in {unit} from {}. S smallest, L largest.", grid.base)) + 8.0;
    for (axis, x) in COLUMNS.iter().enumerate() {
        draw_section(&mut canvas, (*x, y), &grid, axis);
    }
    canvas.text((COLUMNS[0] - 10.0, y + 70.0), "shape,", SMALL.end());
    canvas.text((COLUMNS[0] - 10.0, y + 88.0), "larger", SMALL.end());
    canvas.text((COLUMNS[0] - 10.0, y + 106.0), "than life", SMALL.end());
    y += 156.0;
    for finding in &input.findings {
        y = draw_finding(&mut canvas, y, finding);
    }
    canvas.finish(y + 8.0, &input.heading, &words(input, &grid))
}

fn grid(input: &BoreMap) -> Grid {
    let all = || input.readings.iter().flatten().map(|r| r.si());
    let (smallest, largest) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let base = input.nominal.map_or(smallest, Measure::si);
    let (size, _) = small_step(input.system);
    let in_steps = |value: f64| ((value - base) / size * 10.0).round() / 10.0;
    let named = if input.nominal.is_some() { "nominal" } else { "the smallest" };
    Grid {
        deviations: input.readings.map(|row| row.map(|r| in_steps(r.si()))),
        smallest: in_steps(smallest),
        largest: in_steps(largest),
        base: format!("{named}, {}", show::length_in(Length::from_si(base), input.system)),
    }
}

/// `+5`, `−2.5`, `0`.
fn signed(deviation: f64) -> String {
    let sign = if deviation > 0.0 { "+" } else { "" };
    format!("{sign}{}", show::number(deviation)).replace('-', "−")
}

impl Grid {
    /// 0 at the smallest reading, 1 at the largest.
    fn share(&self, deviation: f64) -> f64 {
        let range = self.largest - self.smallest;
        if range > 0.0 { (deviation - self.smallest) / range } else { 0.0 }
    }

    /// `S` or `L` where the reading is one of the ends; nothing where all are alike.
    fn letter(&self, deviation: f64) -> Option<&'static str> {
        if self.largest <= self.smallest {
            None
        } else if deviation <= self.smallest {
            Some("S")
        } else if deviation >= self.largest {
            Some("L")
        } else {
            None
        }
    }
}

fn draw_cell(canvas: &mut Canvas, (x, y): (f64, f64), input: &BoreMap, grid: &Grid, (row, axis): (usize, usize)) {
    let deviation = grid.deviations[row][axis];
    canvas.rect((x, y), CELL, 6.0, Paint::fill(shade(grid.share(deviation))).edged(INK, 1.0));
    let reading = show::length_in(input.readings[row][axis], input.system);
    canvas.text((x + 10.0, y + 22.0), &fit(&reading, CELL.0 - 18.0, READING), READING);
    let sign = if deviation > 0.0 { "+" } else { "" };
    let steps = format!("{sign}{}", in_small_steps(deviation, input.system));
    canvas.text((x + 10.0, y + 44.0), &fit(&steps, CELL.0 - 40.0, BODY), BODY);
    if let Some(letter) = grid.letter(deviation) {
        canvas.disc((x + CELL.0 - 18.0, y + 39.0), letter, INK, CARD);
    }
}

/// Five shades from card to amber: the larger, the darker.
fn shade(share: f64) -> &'static str {
    const SHADES: [&str; 5] = ["#ffffff", "#fff3cf", HOLD_TINT, "#fbd27a", "#f5b845"];
    SHADES[((share * 5.0) as usize).min(SHADES.len() - 1)]
}

/// One axis in section: both walls, bowed by the deviations.
fn draw_section(canvas: &mut Canvas, (x, y): (f64, f64), grid: &Grid, axis: usize) {
    const TALL: f64 = 140.0;
    let widest = grid.smallest.abs().max(grid.largest.abs()).max(1e-9);
    let heights = [y + 22.0, y + TALL / 2.0, y + TALL - 22.0];
    let bow = |row: usize| grid.deviations[row][axis] / widest * 15.0;
    let middle = x + CELL.0 / 2.0;
    for height in heights {
        canvas.line((middle - 38.0, height), (middle + 38.0, height), Paint::line(RULE, 0.8));
    }
    for hand in [-1.0, 1.0] {
        let (outer, nominal) = (middle + hand * CELL.0 / 2.0, middle + hand * 38.0);
        let wall = |row: usize| nominal + hand * bow(row);
        let outline = Path::from(outer, y)
            .to(wall(0), y)
            .to(wall(0), heights[0])
            .to(wall(1), heights[1])
            .to(wall(2), heights[2])
            .to(wall(2), y + TALL)
            .to(outer, y + TALL)
            .close();
        canvas.path(&outline, Paint::fill(STEEL).edged(INK, 2.0));
        canvas.line((nominal, y), (nominal, y + TALL), Paint::line(HOLD, 1.5).dashed());
        for (row, height) in heights.iter().enumerate() {
            canvas.circle((wall(row), *height), 3.0, Paint::fill(INK));
        }
    }
    for (row, height) in heights.iter().enumerate() {
        let style = LETTER.middle();
        let text = fit(&signed(grid.deviations[row][axis]), 60.0, style);
        let half = width(&text, style) / 2.0 + 3.0;
        canvas.rect((middle - half, height - 9.0), (2.0 * half, 18.0), 3.0, Paint::fill(CARD));
        canvas.label((middle, *height), &text, style);
    }
    canvas.line((x, y), (x + CELL.0, y), Paint::line(STEEL_DARK, 1.0));
}

fn draw_finding(canvas: &mut Canvas, y: f64, finding: &Finding) -> f64 {
    if let Some(mark) = finding.mark {
        canvas.badge((EDGE + 14.0, y + 13.0), mark);
    }
    let foot = canvas.lines((EDGE + 38.0, y + 3.0), &finding.words, WIDTH - 2.0 * EDGE - 38.0, BODY, 3);
    foot.max(y + 26.0) + 6.0
}

fn words(input: &BoreMap, grid: &Grid) -> String {
    let rows = HEIGHTS.iter().zip(input.readings).map(|(height, row)| {
        let [thrust, axial] = row.map(|r| show::length_in(r, input.system));
        format!("{height}: thrust {thrust}, axial {axial}.")
    });
    let findings = input.findings.iter().map(|f| match f.mark {
        Some(mark) => format!("{}: {}.", f.words, mark.word()),
        None => format!("{}.", f.words),
    });
    let base = format!("Deviations from {}.", grid.base);
    rows.chain(std::iter::once(base)).chain(findings).collect::<Vec<_>>().join(" ")
}
