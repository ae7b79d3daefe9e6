//! Curves over the turn of the crank: one panel above another on a common scale of degrees, the spots asked about marked.

use super::Figure;
use super::canvas::{Canvas, Path};
use super::lettering::{fit, width};
use super::style::{CARD, CHOSEN, EDGE, FAINT, INK, LOOK, PLAIN, Paint, RULE, SECTION, SMALL, STOP, WIDTH};
use crate::quantity::show::fixed;

/// A spot on a curve, said under the panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
    pub words: String,
}

/// One curve with its own scale, in the unit named.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    pub name: String,
    pub unit: String,
    /// Decimals that its scale shows.
    pub decimals: usize,
    /// In order of x.
    pub points: Vec<(f64, f64)>,
    /// Points are readings: each is dotted.
    pub dotted: bool,
    /// A limit drawn across.
    pub limit: Option<f64>,
    pub spots: Vec<Spot>,
}

/// Everything the figure shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    pub heading: String,
    /// What runs along the foot: `degrees after top dead centre`.
    pub along: String,
    pub panels: Vec<Panel>,
}

const LEFT: f64 = EDGE + 62.0;
const RIGHT: f64 = WIDTH - EDGE - 6.0;
const TALL: f64 = 110.0;

/// A stretch of values.
#[derive(Clone, Copy)]
struct Scale {
    low: f64,
    high: f64,
}

impl Scale {
    /// Of all finite values; a level one is given room.
    fn of(values: impl Iterator<Item = f64>) -> Self {
        let (low, high) =
            values.filter(|v| v.is_finite()).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        if low > high {
            return Self { low: 0.0, high: 1.0 };
        }
        let room = (low.abs().max(high.abs()) * 1e-6).max(1e-12);
        if high - low < room { Self { low: low - room, high: high + room } } else { Self { low, high } }
    }

    fn share(self, value: f64) -> f64 {
        let share = (value / 2.0 - self.low / 2.0) / (self.high / 2.0 - self.low / 2.0);
        if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 }
    }
}

/// Draws the panels.
pub fn draw(input: &Curves) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let mut y = canvas.heading(&input.heading);
    let along = Scale::of(input.panels.iter().flat_map(|p| &p.points).map(|(x, _)| *x));
    for panel in &input.panels {
        y = draw_panel(&mut canvas, y, panel, along);
    }
    let foot = draw_along(&mut canvas, y, input, along);
    canvas.finish(foot + 8.0, &input.heading, &words(input))
}

fn sound(panel: &Panel) -> impl Iterator<Item = (f64, f64)> {
    panel.points.iter().copied().filter(|(x, y)| x.is_finite() && y.is_finite())
}

fn draw_panel(canvas: &mut Canvas, y: f64, panel: &Panel, along: Scale) -> f64 {
    let title = if panel.unit.is_empty() { panel.name.clone() } else { format!("{}, {}", panel.name, panel.unit) };
    canvas.text((EDGE, y + 15.0), &fit(&title, WIDTH - 2.0 * EDGE, SECTION), SECTION);
    let top = y + 30.0;
    let spots = panel.spots.iter().map(|s| s.y);
    let scale = Scale::of(sound(panel).map(|(_, y)| y).chain(panel.limit).chain(spots));
    let at = |x: f64, v: f64| (LEFT + along.share(x) * (RIGHT - LEFT), top + (1.0 - scale.share(v)) * TALL);
    canvas.rect((LEFT, top), (RIGHT - LEFT, TALL), 3.0, Paint::fill(PLAIN).edged(RULE, 1.0));
    if scale.low < 0.0 && scale.high > 0.0 {
        canvas.line(at(along.low, 0.0), at(along.high, 0.0), Paint::line(RULE, 1.0));
    }
    if let Some(limit) = panel.limit.filter(|l| l.is_finite()) {
        canvas.line(at(along.low, limit), at(along.high, limit), Paint::line(STOP, 2.0).dashed());
    }
    let mut points = sound(panel);
    if let Some((x, v)) = points.next() {
        let (px, py) = at(x, v);
        let path = points.fold(Path::from(px, py), |path, (x, v)| {
            let (px, py) = at(x, v);
            path.to(px, py)
        });
        canvas.path(&path, Paint::line(CHOSEN, 2.5));
    }
    if panel.dotted {
        for (x, v) in sound(panel) {
            canvas.circle(at(x, v), 3.0, Paint::fill(CHOSEN));
        }
    }
    for spot in panel.spots.iter().filter(|s| s.x.is_finite() && s.y.is_finite()) {
        canvas.circle(at(spot.x, spot.y), 5.5, Paint::fill(CARD).edged(LOOK, 3.0));
    }
    // The ends of the scale stand beside it, nothing between them.
    for (value, place) in [(scale.high, top + 9.0), (scale.low, top + TALL - 5.0)] {
        let text = fit(&fixed(value, panel.decimals), LEFT - EDGE - 6.0, SMALL);
        canvas.label((LEFT - 6.0, place), &text, SMALL.end());
    }
    let mut foot = top + TALL + 6.0;
    if let Some(limit) = panel.limit {
        let words = format!("limit {} {}", fixed(limit, panel.decimals), panel.unit);
        foot = canvas.lines((EDGE, foot), &words, WIDTH - 2.0 * EDGE, SMALL.ink(STOP), 1);
    }
    let said: Vec<&str> = panel.spots.iter().map(|s| s.words.as_str()).collect();
    canvas.facts(foot, said) + 4.0
}

/// The degrees along the foot: both ends, and the middle where it has room.
fn draw_along(canvas: &mut Canvas, y: f64, input: &Curves, along: Scale) -> f64 {
    let middle = along.low / 2.0 + along.high / 2.0;
    let room = (RIGHT - LEFT) / 3.0 - 4.0;
    let ends =
        [(along.low, LEFT, SMALL), (middle, (LEFT + RIGHT) / 2.0, SMALL.middle()), (along.high, RIGHT, SMALL.end())];
    for (value, x, style) in ends {
        let text = fit(&format!("{}°", fixed(value, 0)), room, style);
        canvas.text((x, y + 14.0), &text, style.ink(INK));
    }
    let text = fit(&input.along, WIDTH - 2.0 * EDGE, SMALL);
    let x = ((LEFT + RIGHT) / 2.0).min(WIDTH - EDGE - width(&text, SMALL) / 2.0).max(EDGE + width(&text, SMALL) / 2.0);
    canvas.text((x, y + 34.0), &text, SMALL.middle().ink(FAINT));
    y + 40.0
}

fn words(input: &Curves) -> String {
    let panels = input.panels.iter().map(|panel| {
        let scale = Scale::of(sound(panel).map(|(_, y)| y));
        let value = |v: f64| fixed(v, panel.decimals);
        let mut words = format!("{} from {} to {} {}", panel.name, value(scale.low), value(scale.high), panel.unit);
        for spot in &panel.spots {
            words += &format!("; {}", spot.words);
        }
        if let Some(limit) = panel.limit {
            words += &format!("; limit {} {}", value(limit), panel.unit);
        }
        words + "."
    });
    format!("Over {}: {}", input.along, panels.collect::<Vec<_>>().join(" "))
}
