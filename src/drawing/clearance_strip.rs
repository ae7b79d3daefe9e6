//! One reading on a scale with its limits: the band, the marker with its uncertainty, and the verdict's letter.

use super::canvas::{Canvas, Path};
use super::lettering::{fit, width};
use super::style::{
    BODY, DONE, DONE_TINT, EDGE, INK, LETTER, PLAIN, Paint, RULE, SECTION, SMALL, STOP_TINT, Type, WIDTH,
};
use super::{Figure, Mark, in_small_steps, small_step};
use crate::quantity::{Dimension, System, show};

/// Everything the figure shows, in SI units of `dimension`; nothing is judged here.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceStrip {
    pub heading: String,
    pub dimension: Dimension,
    pub system: System,
    pub reading: f64,
    /// Half-width: the reading is `reading` ± `uncertainty`.
    pub uncertainty: f64,
    pub min: Option<f64>,
    pub max: Option<f64>,
    pub mark: Mark,
}

const LEFT: f64 = 26.0;
const RIGHT: f64 = WIDTH - 26.0;

/// The stretch of values the scale shows.
struct Scale {
    low: f64,
    high: f64,
}

impl Scale {
    /// With both limits the band takes the middle half of the scale; with one, the limit stands at its middle.
    fn new(input: &ClearanceStrip) -> Self {
        let finite = |value: Option<f64>| value.filter(|v| v.is_finite());
        let bar = if input.uncertainty.is_finite() { input.uncertainty.abs() } else { 0.0 };
        let around = |middle: f64, half: f64| {
            let half = half.max(middle.abs() * 1e-6).max(1e-12);
            Self { low: middle - half, high: middle + half }
        };
        match (finite(input.min), finite(input.max)) {
            (Some(min), Some(max)) => around(min / 2.0 + max / 2.0, (max - min).abs()),
            (Some(limit), None) | (None, Some(limit)) => {
                let away = (input.reading - limit).abs() * 1.5;
                around(limit, away.min(limit.abs()).max(bar * 4.0))
            }
            (None, None) => around(input.reading, bar * 4.0),
        }
    }

    /// Where a value stands on the picture, held to the ends.
    fn x(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        LEFT + share * (RIGHT - LEFT)
    }

    /// -1 below the scale, +1 above it, 0 on it.
    fn beyond(&self, value: f64) -> f64 {
        if value < self.low {
            -1.0
        } else if value > self.high {
            1.0
        } else {
            0.0
        }
    }
}

/// Draws the strip.
pub fn draw(input: &ClearanceStrip) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let scale = Scale::new(input);
    let y = draw_reading(&mut canvas, y, input);
    let foot = draw_scale(&mut canvas, y + 26.0, input, &scale);
    let foot = draw_limits(&mut canvas, foot + 6.0, input, &scale);
    canvas.finish(foot + 10.0, &input.heading, &words(input))
}

/// A value in the system leaned to, then in the other; the second is empty where there is only one.
fn both(input: &ClearanceStrip, value: f64) -> (String, String) {
    let text = show::any(input.dimension, value, input.system);
    match text.split_once(" (") {
        Some((first, second)) => (first.to_owned(), second.trim_end_matches(')').to_owned()),
        None => (text, String::new()),
    }
}

fn draw_reading(canvas: &mut Canvas, y: f64, input: &ClearanceStrip) -> f64 {
    canvas.badge((EDGE + 14.0, y + 22.0), input.mark);
    let (first, second) = both(input, input.reading);
    let large = Type { size: 22.0, ..SECTION };
    let room = WIDTH - 2.0 * EDGE - 40.0;
    let word = input.mark.word();
    let beside = width(word, SECTION) + 12.0;
    canvas.text((EDGE + 40.0, y + 20.0), &fit(&first, room - beside, large), large);
    canvas.text((WIDTH - EDGE, y + 20.0), word, SECTION.ink(input.mark.ink()).end());
    let small = SMALL.ink(INK);
    let bar = fit(&bar(input), room * 0.7, small);
    canvas.text((EDGE + 40.0, y + 41.0), &fit(&second, room - width(&bar, small) - 12.0, BODY), BODY);
    canvas.text((WIDTH - EDGE, y + 41.0), &bar, small.end());
    y + 48.0
}

/// `gauge ± 0.5 tenths of a thou`: what the gauge can tell, a length's in steps small enough to show it.
fn bar(input: &ClearanceStrip) -> String {
    if input.uncertainty <= 0.0 {
        return String::new();
    }
    if input.dimension == Dimension::Length {
        let steps = in_small_steps(input.uncertainty / small_step(input.system).0, input.system);
        let of = if input.system == System::Inch { " of a thou" } else { "" };
        return format!("gauge ± {steps}{of}");
    }
    format!("gauge ± {}", both(input, input.uncertainty).0)
}

fn draw_scale(canvas: &mut Canvas, y: f64, input: &ClearanceStrip, scale: &Scale) -> f64 {
    let tall = 30.0;
    let limited = input.min.is_some() || input.max.is_some();
    let ground = if limited { STOP_TINT } else { PLAIN };
    canvas.rect((LEFT, y), (RIGHT - LEFT, tall), 4.0, Paint::fill(ground).edged(RULE, 1.5));
    if limited {
        let (from, to) = (input.min.map_or(LEFT, |v| scale.x(v)), input.max.map_or(RIGHT, |v| scale.x(v)));
        canvas.rect((from, y), (to - from, tall), 0.0, Paint::fill(DONE_TINT).edged(DONE, 2.0));
    }
    for limit in [input.min, input.max].into_iter().flatten() {
        let x = scale.x(limit);
        canvas.line((x, y - 6.0), (x, y + tall + 8.0), Paint::line(INK, 2.5));
    }
    draw_marker(canvas, y, tall, input, scale);
    y + tall
}

/// The reading's marker above the scale, its uncertainty bar across it; an arrow where it is off the scale.
fn draw_marker(canvas: &mut Canvas, y: f64, tall: f64, input: &ClearanceStrip, scale: &Scale) {
    let x = scale.x(input.reading);
    let ink = input.mark.ink();
    let middle = y + tall / 2.0;
    let beyond = scale.beyond(input.reading);
    if beyond != 0.0 {
        canvas.arrow((x - beyond * 34.0, middle), (x + beyond * 12.0, middle), ink, 5.0);
        return;
    }
    if input.uncertainty > 0.0 {
        let (from, to) = (scale.x(input.reading - input.uncertainty), scale.x(input.reading + input.uncertainty));
        canvas.line((from, middle), (to, middle), Paint::line(INK, 3.0));
        for end in [from, to] {
            canvas.line((end, middle - 7.0), (end, middle + 7.0), Paint::line(INK, 3.0));
        }
    }
    canvas.line((x, y - 6.0), (x, y + tall), Paint::line(ink, 3.0));
    let head = Path::from(x, y + 2.0).to(x + 10.0, y - 14.0).to(x - 10.0, y - 14.0).close();
    canvas.path(&head, Paint::fill(ink).edged(INK, 1.0));
}

/// Limits below their lines, held inside the card and out of each other's way.
fn draw_limits(canvas: &mut Canvas, y: f64, input: &ClearanceStrip, scale: &Scale) -> f64 {
    let lone = input.min.is_none() || input.max.is_none();
    let room = if lone { WIDTH - 2.0 * EDGE } else { WIDTH / 2.0 - EDGE - 4.0 };
    let limits = [("min", input.min, EDGE), ("max", input.max, WIDTH - EDGE - room)];
    for (name, limit, from) in limits {
        let Some(limit) = limit else { continue };
        let (first, second) = both(input, limit);
        let lines = [(name.to_owned(), SMALL), (first, LETTER), (second, SMALL.ink(INK))];
        let lines = lines.map(|(text, style)| (fit(&text, room, style), style));
        let half = lines.iter().map(|(text, style)| width(text, *style)).fold(0.0, f64::max) / 2.0;
        let x = scale.x(limit).clamp(from + half, (from + room - half).max(from + half));
        for (place, (text, style)) in lines.iter().enumerate() {
            canvas.text((x, y + 17.0 + 18.0 * place as f64), text, style.middle());
        }
    }
    if input.min.is_none() && input.max.is_none() {
        canvas.text((WIDTH / 2.0, y + 17.0), "no limit given", SMALL.middle());
        return y + 24.0;
    }
    y + 60.0
}

fn words(input: &ClearanceStrip) -> String {
    let value = |si: f64| show::any(input.dimension, si, input.system);
    let mut words = format!("Reading {}", value(input.reading));
    if input.uncertainty > 0.0 {
        words += &format!(", {}", bar(input));
    }
    for (name, limit) in [("minimum", input.min), ("maximum", input.max)] {
        if let Some(limit) = limit {
            words += &format!("; {name} {}", value(limit));
        }
    }
    format!("{words}: {}.", input.mark.word())
}
