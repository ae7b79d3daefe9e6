//! One piston seen down its bore, FRONT at the top: front mark, valve reliefs and the major thrust side.

use super::End;
use super::canvas::{Canvas, Path, polar};
use super::lettering::wrap;
use super::style::{CARD, CHOSEN, INK, LETTER, LOOK, Paint, RULE, SMALL, STEEL, Type, WIDTH};

/// A direction on a picture with FRONT at the top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    Front,
    Rear,
    Left,
    Right,
}

/// What faces where, with the shop's word for that side (`valley side`, `top of the engine`).
///
/// `toward` is a direction on the picture of the piston seen down its own bore with FRONT at the top. In an in-line or V
/// engine the picture's left is the engine's left. In a flat engine it is the foot of the engine for the left bank
/// and its top for the right bank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facing {
    pub toward: Toward,
    pub words: String,
}

/// The crown as seen down the bore.
pub struct Piston<'a> {
    /// None where the engine's page does not say.
    pub front_mark: Option<End>,
    pub reliefs: Option<&'a Facing>,
    pub thrust: Option<&'a Facing>,
}

const MID: f64 = WIDTH / 2.0;
const RADIUS: f64 = 64.0;

impl Toward {
    /// Degrees clockwise from the top of the picture.
    fn degrees(self) -> f64 {
        match self {
            Self::Front => 0.0,
            Self::Right => 90.0,
            Self::Rear => 180.0,
            Self::Left => 270.0,
        }
    }
}

/// Draws the piston below `y`; returns where the next thing may start.
pub fn draw(canvas: &mut Canvas, y: f64, piston: &Piston) -> f64 {
    let centre = (MID, y + RADIUS + 10.0);
    canvas.front_arrow((40.0, y));
    canvas.circle(centre, RADIUS, Paint::fill(STEEL).edged(INK, 2.0));
    let pin = Paint::line(RULE, 1.5).centre_line();
    canvas.line((MID, centre.1 - RADIUS), (MID, centre.1 + RADIUS), pin);
    if let Some(reliefs) = piston.reliefs {
        draw_reliefs(canvas, centre, reliefs.toward);
    }
    if let Some(thrust) = piston.thrust {
        draw_thrust(canvas, centre, RADIUS + 5.0, thrust.toward.degrees());
    }
    if let Some(end) = piston.front_mark {
        draw_front_mark(canvas, centre, end);
    }
    draw_sides(canvas, centre, piston);
    y + 2.0 * RADIUS + 30.0
}

/// A thick edge on the skirt, 70 degrees wide.
pub fn draw_thrust(canvas: &mut Canvas, centre: (f64, f64), radius: f64, degrees: f64) {
    let (x, y) = polar(centre, radius, degrees - 35.0);
    let arc = Path::from(x, y).arc(radius, false, polar(centre, radius, degrees + 35.0));
    canvas.path(&arc, Paint::line(LOOK, 6.0));
}

/// Two valve pockets side by side at the edge they face.
fn draw_reliefs(canvas: &mut Canvas, (cx, cy): (f64, f64), toward: Toward) {
    let pockets = match toward {
        Toward::Left => [(-39.0, -19.0), (-39.0, 19.0)],
        Toward::Right => [(39.0, -19.0), (39.0, 19.0)],
        Toward::Front => [(-36.0, -26.0), (36.0, -26.0)],
        Toward::Rear => [(-36.0, 26.0), (36.0, 26.0)],
    };
    for (x, y) in pockets {
        canvas.circle((cx + x, cy + y), 15.5, Paint::fill(CARD).edged(CHOSEN, 2.0));
    }
}

fn draw_front_mark(canvas: &mut Canvas, (cx, cy): (f64, f64), end: End) {
    canvas.pointer((cx, cy + end.sign() * (RADIUS - 15.0)), end, 10.0);
    let style = LETTER.middle().ink(LOOK);
    let y = cy + end.sign() * (RADIUS - 34.0);
    canvas.rect((cx - 21.0, y - 8.0), (42.0, 16.0), 3.0, Paint::fill(STEEL));
    canvas.label((cx, y), "mark", style);
}

/// The words beside the crown, on the side each thing faces; what faces an end is written at the right.
fn draw_sides(canvas: &mut Canvas, centre: (f64, f64), piston: &Piston) {
    let faces = [("thrust", LOOK, piston.thrust), ("reliefs", CHOSEN, piston.reliefs)];
    for hand in [-1.0, 1.0] {
        let mine = |facing: &Facing| if facing.toward == Toward::Left { hand < 0.0 } else { hand > 0.0 };
        // Each line with the room it takes; the first of each thing stands a little off the one before.
        let mut lines: Vec<(String, Type, f64)> = Vec::new();
        for (name, ink, facing) in &faces {
            let Some(facing) = facing.filter(|f| mine(f)) else { continue };
            let off = if lines.is_empty() { 0.0 } else { 6.0 };
            lines.push(((*name).to_owned(), LETTER.ink(ink), SMALL.leading() + off));
            let words = wrap(&facing.words, 82.0, SMALL, 2);
            lines.extend(words.into_iter().map(|words| (words, SMALL.ink(INK), SMALL.leading())));
        }
        // Left of the crown the FRONT arrow stands above the words.
        let low = if hand < 0.0 { 22.0 } else { 0.0 };
        let tall = lines.iter().map(|(_, _, taken)| taken).sum::<f64>();
        let mut y = centre.1 + low - (tall + SMALL.leading()) / 2.0;
        for (text, style, taken) in lines {
            y += taken;
            let style = if hand < 0.0 { style.end() } else { style };
            canvas.label((MID + hand * (RADIUS + 16.0), y), &text, style);
        }
    }
}
