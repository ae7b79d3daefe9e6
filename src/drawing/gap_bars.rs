//! A set of gaps as bars against the band wanted: which to file, which to leave, which are past filing.

use super::canvas::Canvas;
use super::lettering::{fit, width};
use super::style::{BODY, DONE, DONE_TINT, EDGE, INK, LETTER, PLAIN, Paint, RULE, SMALL, STEEL_DARK, WIDTH};
use super::{Figure, Mark};
use crate::quantity::{Length, Measure, System, show};

/// One ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Where it is: `1`, `1 upper`.
    pub label: String,
    pub gap: Length,
    pub mark: Mark,
    /// What to do: `file 0.0031 in`.
    pub words: String,
}

/// Everything the figure shows.
#[derive(Debug, Clone, PartialEq)]
pub struct GapBars {
    pub heading: String,
    pub system: System,
    pub bars: Vec<Bar>,
    pub min: Length,
    pub max: Option<Length>,
}

const ROW: f64 = 24.0;
const LONGEST_LABEL: f64 = 76.0;
const LONGEST_WORDS: f64 = 132.0;

/// Draws the bars, one below the other, on one scale from nought.
pub fn draw(input: &GapBars) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let labels: Vec<String> = input.bars.iter().map(|bar| fit(&bar.label, LONGEST_LABEL, LETTER)).collect();
    let words: Vec<String> = input.bars.iter().map(|bar| fit(&bar.words, LONGEST_WORDS, SMALL)).collect();
    let widest = |texts: &[String], style| texts.iter().map(|text| width(text, style)).fold(0.0, f64::max);
    let left = EDGE + widest(&labels, LETTER) + 8.0;
    let right = WIDTH - EDGE - widest(&words, SMALL) - 8.0;
    let scale = Scale::new(input, left, right);
    let foot = y + input.bars.len() as f64 * ROW;
    canvas.rect((left, y), (right - left, foot - y), 0.0, Paint::fill(PLAIN));
    let (from, to) = (scale.x(input.min.si()), input.max.map_or(right, |max| scale.x(max.si())));
    canvas.rect((from, y - 4.0), (to - from, foot - y + 8.0), 0.0, Paint::fill(DONE_TINT));
    for edge in [Some(from), input.max.map(|_| to)].into_iter().flatten() {
        canvas.line((edge, y - 4.0), (edge, foot + 4.0), Paint::line(DONE, 2.0));
    }
    for (place, ((bar, label), words)) in input.bars.iter().zip(&labels).zip(&words).enumerate() {
        let middle = y + (place as f64 + 0.5) * ROW;
        let end = scale.x(bar.gap.si());
        canvas.label((EDGE, middle), label, LETTER);
        canvas.rect((left, middle - 5.0), (end - left, 10.0), 0.0, Paint::fill(STEEL_DARK).edged(RULE, 0.6));
        canvas.line((end, middle - 9.0), (end, middle + 9.0), Paint::line(bar.mark.ink(), 4.0));
        canvas.label((WIDTH - EDGE, middle), words, SMALL.ink(bar.mark.ink()).end());
    }
    let wanted = format!("Wanted {}", show::length_range(Some(input.min), input.max, input.system));
    let foot = canvas.lines((EDGE, foot + 10.0), &wanted, WIDTH - 2.0 * EDGE, BODY.ink(INK), 2);
    canvas.finish(foot + 8.0, &input.heading, &said(input, &wanted))
}

/// From nought at the left to a little beyond the largest gap or limit.
struct Scale {
    left: f64,
    right: f64,
    high: f64,
}

impl Scale {
    fn new(input: &GapBars, left: f64, right: f64) -> Self {
        let limit = input.max.unwrap_or(input.min * 1.3).si();
        let values = input.bars.iter().map(|bar| bar.gap.si()).chain([limit]).filter(|si| si.is_finite());
        Self { left, right, high: values.fold(1e-9, f64::max) * 1.08 }
    }

    fn x(&self, si: f64) -> f64 {
        let share = si / self.high;
        self.left + if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 } * (self.right - self.left)
    }
}

fn said(input: &GapBars, wanted: &str) -> String {
    let bars = input.bars.iter().map(|bar| {
        let known = bar.gap.si().is_finite();
        let gap = if known { show::length_in(bar.gap, input.system) } else { "no reading".to_owned() };
        format!(" {}: {gap}, {} ({}).", bar.label, bar.words, bar.mark.word())
    });
    format!("{wanted}.{}", bars.collect::<String>())
}
