//! One measure at every place on one scale: the band of its limits down the picture, a row and a marker to each place.

use super::canvas::{Canvas, Path};
use super::lettering::{fit, width};
use super::style::{BODY, DONE, DONE_TINT, EDGE, LETTER, PLAIN, Paint, RULE, WIDTH};
use super::{Figure, Mark};
use crate::quantity::{Dimension, System, show};

/// One place and its value, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// `3`, `2 exhaust`; empty where there is only one.
    pub place: String,
    pub value: f64,
    pub mark: Mark,
}

/// Everything the figure shows; nothing is judged here.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleRows {
    pub heading: String,
    pub dimension: Dimension,
    pub system: System,
    pub min: Option<f64>,
    pub max: Option<f64>,
    pub rows: Vec<Row>,
}

const ROW: f64 = 24.0;
const MOST_PLACE: f64 = 110.0;
const MOST_VALUE: f64 = 96.0;

/// Where the scale lies and what it spans.
struct Scale {
    left: f64,
    right: f64,
    low: f64,
    high: f64,
}

impl Scale {
    /// From a little below the least of limits and readings to a little above the largest; without a lower limit from
    /// nought, where the measure starts.
    fn new(input: &ScaleRows, left: f64, right: f64) -> Self {
        let limits = [input.min, input.max].into_iter().flatten();
        let all: Vec<f64> = input.rows.iter().map(|row| row.value).chain(limits).filter(|v| v.is_finite()).collect();
        let mut low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if input.min.is_none() {
            low = low.min(0.0);
        }
        if !(low.is_finite() && high.is_finite()) {
            return Self { left, right, low: 0.0, high: 1.0 };
        }
        let free = ((high - low) * 0.12).max(high.abs() * 1e-6).max(1e-12);
        let low = if input.min.is_none() && low == 0.0 { 0.0 } else { low - free };
        Self { left, right, low, high: high + free }
    }

    fn x(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        self.left + share.clamp(0.0, 1.0) * (self.right - self.left)
    }
}

/// Draws the rows; one without a number has none.
pub fn draw(input: &ScaleRows) -> Figure {
    let rows = input.rows.iter().filter(|row| row.value.is_finite()).cloned().collect();
    let input = &ScaleRows { rows, ..input.clone() };
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let places: Vec<String> = input.rows.iter().map(|row| fit(&row.place, MOST_PLACE, LETTER)).collect();
    let values: Vec<String> = input
        .rows
        .iter()
        .map(|row| fit(&show::any_in(input.dimension, row.value, input.system), MOST_VALUE, BODY))
        .collect();
    let left = EDGE + places.iter().map(|text| width(text, LETTER)).fold(0.0, f64::max) + 12.0;
    let right = WIDTH - EDGE - values.iter().map(|text| width(text, BODY)).fold(0.0, f64::max) - 42.0;
    let scale = Scale::new(input, left, right);
    let foot = y + ROW * input.rows.len() as f64;
    draw_band(&mut canvas, (y, foot), input, &scale);
    for (place, (row, (name, value))) in input.rows.iter().zip(places.iter().zip(&values)).enumerate() {
        let middle = y + ROW * (place as f64 + 0.5);
        canvas.label((left - 12.0, middle), name, LETTER.end());
        canvas.line((left, middle), (right, middle), Paint::line(RULE, 0.8));
        draw_marker(&mut canvas, (scale.x(row.value), middle), row.mark);
        canvas.badge((right + 20.0, middle), row.mark);
        canvas.label((WIDTH - EDGE, middle), value, BODY.end());
    }
    let range = show::range(input.dimension, input.min, input.max, input.system);
    let told = if range.is_empty() { "no limit given".to_owned() } else { format!("limit: {range}") };
    let foot = canvas.remark(foot + 6.0, &told);
    canvas.finish(foot + 10.0, &input.heading, &words(input, &told))
}

fn draw_band(canvas: &mut Canvas, (top, foot): (f64, f64), input: &ScaleRows, scale: &Scale) {
    canvas.rect((scale.left, top), (scale.right - scale.left, foot - top), 4.0, Paint::fill(PLAIN));
    if input.min.is_none() && input.max.is_none() {
        return;
    }
    let (from, to) = (input.min.map_or(scale.left, |v| scale.x(v)), input.max.map_or(scale.right, |v| scale.x(v)));
    canvas.rect((from, top), (to - from, foot - top), 0.0, Paint::fill(DONE_TINT));
    for limit in [input.min, input.max].into_iter().flatten() {
        let x = scale.x(limit);
        canvas.line((x, top - 2.0), (x, foot + 2.0), Paint::line(DONE, 2.0));
    }
}

/// A lozenge on the row, dark enough to be seen across the bench.
fn draw_marker(canvas: &mut Canvas, (x, y): (f64, f64), mark: Mark) {
    let lozenge = Path::from(x, y - 8.0).to(x + 5.0, y).to(x, y + 8.0).to(x - 5.0, y).close();
    canvas.path(&lozenge, Paint::fill(mark.ink()));
}

fn words(input: &ScaleRows, limit: &str) -> String {
    let rows = input.rows.iter().map(|row| {
        let value = show::any(input.dimension, row.value, input.system);
        format!("{} {value}, {}", row.place, row.mark.word()).trim_start().to_owned()
    });
    format!("{}. {}.", show::capital(limit), rows.collect::<Vec<_>>().join("; "))
}
