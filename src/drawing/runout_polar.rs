//! Run-out round a journal: readings and the circle fitted to them, blown up, the first reading at the top.

use std::f64::consts::TAU;

use super::canvas::{Canvas, Path, polar};
use super::style::{BODY, CHOSEN, EDGE, FAINT, INK, LOOK, PLAIN, Paint, RULE, SMALL, STEEL_DARK, WIDTH};
use super::{Figure, Mark, in_small_steps, small_step};
use crate::quantity::show::number;
use crate::quantity::{Angle, Length, Measure, System};

/// Everything the figure shows; nothing is worked out here.
#[derive(Debug, Clone, PartialEq)]
pub struct RunoutPolar {
    pub heading: String,
    pub system: System,
    /// At equal angles, the first at the top, drawn clockwise.
    pub readings: Vec<Length>,
    /// The fit: mean + toward cos + across sin.
    pub mean: Length,
    pub toward: Length,
    pub across: Length,
    /// From the top, clockwise; none where the fit has no direction.
    pub high_spot: Option<Angle>,
    /// Said under the picture, each with its mark where it was judged.
    pub findings: Vec<(String, Option<Mark>)>,
}

const MID: f64 = WIDTH / 2.0;
/// The mean is drawn at this radius, and the largest deviation reaches so far from it.
const MEAN: f64 = 74.0;
const REACH: f64 = 34.0;
const NAMES: f64 = 138.0;
/// A deviation below this is noise of the sum, not of the journal, m.
const SMALLEST: f64 = 1e-9;
/// More names than this would crowd the ring.
const NAMED: usize = 12;

/// Draws the polar plot.
pub fn draw(input: &RunoutPolar) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let centre = (MID, y + NAMES + 14.0);
    let mean = sane(input.mean.si());
    let off: Vec<f64> = input.readings.iter().map(|r| sane(r.si()) - mean).collect();
    let (a, b) = (sane(input.toward.si()), sane(input.across.si()));
    let most = off.iter().map(|d| d.abs()).fold(a.hypot(b), f64::max);
    let scale = if most > SMALLEST { REACH / most } else { 0.0 };
    let count = off.len().max(1);
    let at = |k: usize| 360.0 * k as f64 / count as f64;

    canvas.circle(centre, MEAN + REACH + 8.0, Paint::fill(PLAIN).edged(STEEL_DARK, 1.0));
    canvas.circle(centre, MEAN, Paint::line(RULE, 1.2).dashed());
    let fitted = |turn: f64| MEAN + scale * (a * turn.cos() + b * turn.sin());
    let mut path = Path::from(centre.0, centre.1 - fitted(0.0));
    for step in 1..90 {
        let turn = TAU * f64::from(step) / 90.0;
        let (x, y) = polar(centre, fitted(turn), turn.to_degrees());
        path = path.to(x, y);
    }
    canvas.path(&path.close(), Paint::line(CHOSEN, 2.0));
    for (k, deviation) in off.iter().enumerate() {
        let (inner, outer) = (polar(centre, MEAN, at(k)), polar(centre, MEAN + scale * deviation, at(k)));
        canvas.line(inner, outer, Paint::line(FAINT, 1.0));
        canvas.circle(outer, 3.5, Paint::fill(INK));
    }
    let apart = count.div_ceil(NAMED);
    for k in (0..off.len()).step_by(apart) {
        canvas.label(polar(centre, NAMES, at(k)), &degrees(at(k)), SMALL.middle());
    }
    let high = input.high_spot.map(|at| sane(at.si()).to_degrees().rem_euclid(360.0)).filter(|_| scale > 0.0);
    if let Some(high) = high {
        canvas.arrow(centre, polar(centre, MEAN - REACH - 2.0, high), LOOK, 3.0);
    }
    canvas.circle(centre, 3.0, Paint::fill(INK));

    let mut y = centre.1 + NAMES + 18.0;
    if let Some(high) = high {
        canvas.arrow((EDGE + 2.0, y + 10.0), (EDGE + 30.0, y + 10.0), LOOK, 3.0);
        canvas.label((EDGE + 42.0, y + 10.0), &format!("high spot at {}", degrees(high.round())), BODY.bold());
        y += 26.0;
    }
    let (step, _) = small_step(input.system);
    let scale_line = format!("Dashed: the mean. Farthest point: {} off it.", in_small_steps(most / step, input.system));
    y = canvas.remark(y, &scale_line) + 6.0;
    for (words, mark) in &input.findings {
        let indent = if let Some(mark) = mark {
            canvas.badge((EDGE + 12.0, y + 12.0), *mark);
            34.0
        } else {
            canvas.circle((EDGE + 12.0, y + 11.0), 2.5, Paint::fill(INK));
            34.0
        };
        let room = WIDTH - 2.0 * EDGE - indent;
        y = canvas.lines((EDGE + indent, y + 2.0), words, room, BODY, 3).max(y + 26.0) + 3.0;
    }
    canvas.finish(y + 8.0, &input.heading, &words(input, high))
}

/// What is not a number is nought.
fn sane(si: f64) -> f64 {
    if si.is_finite() { si } else { 0.0 }
}

/// `22.5°`, to a tenth.
fn degrees(at: f64) -> String {
    format!("{}°", number((at * 10.0).round() / 10.0))
}

fn words(input: &RunoutPolar, high: Option<f64>) -> String {
    let (step, _) = small_step(input.system);
    let count = input.readings.len();
    let spot = high.map_or("no high spot".to_owned(), |at| format!("high spot at {}", degrees(at.round())));
    let list: Vec<String> = input.readings.iter().map(|r| in_small_steps(sane(r.si()) / step, input.system)).collect();
    let findings: Vec<String> = input
        .findings
        .iter()
        .map(|(words, mark)| mark.map_or(words.clone(), |mark| format!("{words}, {}", mark.word())))
        .collect();
    format!("{count} readings clockwise from the top: {}; {spot}. {}.", list.join(", "), findings.join("; "))
}
