//! Where each ring gap sits: the piston seen from above, FRONT at the top, degrees clockwise from FRONT.

use super::canvas::{Canvas, Path, polar};
use super::lettering::width;
use super::piston_view::draw_thrust;
use super::style::{
    BODY, CHOSEN, CHOSEN_TINT, EDGE, FAINT, INK, LETTER, PLAIN, Paint, RULE, SMALL, STOP, STOP_TINT, WIDTH,
};
use super::{End, Figure, Side};
use crate::quantity::show::number;

/// A ring with a gap to be placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ring {
    Top,
    Second,
    UpperRail,
    LowerRail,
    Expander,
}

/// One gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub ring: Ring,
    /// Degrees clockwise from FRONT, seen from above.
    pub degrees: f64,
    /// Number of the reason it is faulted by, as listed in [`RingClock::reasons`], from 1.
    pub fault: Option<u8>,
}

/// Everything the figure shows; nothing is judged here.
#[derive(Debug, Clone, PartialEq)]
pub struct RingClock {
    pub heading: String,
    pub gaps: Vec<Gap>,
    /// The major thrust side, where it is known.
    pub thrust: Option<Side>,
    /// Why gaps are faulted, number 1 first.
    pub reasons: Vec<String>,
    pub notes: Vec<String>,
}

const MID: f64 = WIDTH / 2.0;
const PISTON: f64 = 110.0;
const BADGES: f64 = 134.0;
const FAULTS: f64 = 160.0;

impl Ring {
    fn letter(self) -> &'static str {
        match self {
            Self::Top => "T",
            Self::Second => "S",
            Self::UpperRail => "U",
            Self::LowerRail => "L",
            Self::Expander => "E",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Top => "top ring",
            Self::Second => "second ring",
            Self::UpperRail => "upper rail",
            Self::LowerRail => "lower rail",
            Self::Expander => "expander joint",
        }
    }

    /// The highest ring is drawn outermost.
    fn radius(self) -> f64 {
        match self {
            Self::Top => 104.0,
            Self::Second => 94.0,
            Self::UpperRail => 84.0,
            Self::LowerRail => 74.0,
            Self::Expander => 64.0,
        }
    }
}

/// Draws the ring clock.
pub fn draw(input: &RingClock) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    canvas.front_arrow((MID, y));
    let shown: Vec<f64> = input.gaps.iter().map(|g| turn(g.degrees)).collect();
    let room = (340.0 / input.gaps.len().max(1) as f64).min(18.0);
    let badges = spread(&shown, room);
    // Only as much paper above and below the piston as its badges take.
    let reach = |end: End| {
        let marks = input.gaps.iter().zip(&badges).map(|(gap, badge)| {
            let furthest = if gap.fault.is_some() { FAULTS } else { BADGES };
            end.sign() * polar((0.0, 0.0), furthest, *badge).1 + 14.0
        });
        marks.fold(PISTON + 8.0, f64::max)
    };
    let centre = (MID, y + 42.0 + reach(End::Front));
    draw_piston(&mut canvas, centre, input.thrust);
    for ((gap, at), badge) in input.gaps.iter().zip(&shown).zip(&badges) {
        draw_gap(&mut canvas, centre, gap, *at, *badge);
    }
    let mut y = centre.1 + reach(End::Rear) + 8.0;
    for (gap, at) in input.gaps.iter().zip(&shown) {
        y = legend_row(&mut canvas, y, gap, *at);
    }
    y += 8.0;
    for (place, reason) in input.reasons.iter().enumerate() {
        canvas.label((EDGE + 24.0, y + 10.0), &format!("×{}", place + 1), LETTER.middle().ink(STOP));
        let foot = canvas.lines((EDGE + 48.0, y), reason, WIDTH - 2.0 * EDGE - 48.0, BODY, 4);
        y = foot.max(y + BODY.leading()) + 3.0;
    }
    if input.thrust.is_some() {
        y = canvas.remark(y + 2.0, "Thick edge: major thrust side.");
    }
    let y = canvas.facts(y + 4.0, input.notes.iter().map(String::as_str));
    canvas.finish(y + 8.0, &input.heading, &words(input, &shown))
}

/// Degrees brought into one turn.
fn turn(degrees: f64) -> f64 {
    if degrees.is_finite() { degrees.rem_euclid(360.0) } else { 0.0 }
}

/// Angles moved apart until neighbours are at least `room` apart, each as little as the crowd allows.
fn spread(angles: &[f64], room: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..angles.len()).collect();
    order.sort_by(|&a, &b| angles[a].total_cmp(&angles[b]));
    let mut moved: Vec<f64> = order.iter().map(|&place| angles[place]).collect();
    let count = moved.len();
    for _ in 0..400 {
        let mut settled = true;
        for here in 0..count {
            let next = (here + 1) % count;
            let over = if next == 0 { 360.0 } else { 0.0 };
            let lack = room - (moved[next] + over - moved[here]);
            if count > 1 && lack > 0.01 {
                moved[here] -= lack / 2.0;
                moved[next] += lack / 2.0;
                settled = false;
            }
        }
        if settled {
            break;
        }
    }
    let mut placed = vec![0.0; count];
    for (place, angle) in order.into_iter().zip(moved) {
        placed[place] = angle;
    }
    placed
}

fn draw_piston(canvas: &mut Canvas, centre: (f64, f64), thrust: Option<Side>) {
    let (cx, cy) = centre;
    canvas.circle(centre, PISTON, Paint::fill(PLAIN).edged(INK, 1.5));
    if let Some(side) = thrust {
        draw_thrust(canvas, centre, PISTON + 4.0, if side == Side::Right { 90.0 } else { 270.0 });
    }
    let light = Paint::line(RULE, 1.2).centre_line();
    canvas.line((cx, cy - PISTON), (cx, cy + PISTON), light);
    canvas.line((cx - PISTON, cy), (cx + PISTON, cy), light);
    for (words, y) in [("pin axis", cy - 32.0), ("thrust axis", cy)] {
        let half = width(words, SMALL) / 2.0 + 3.0;
        canvas.rect((cx - half, y - 9.0), (2.0 * half, 18.0), 4.0, Paint::fill(PLAIN));
        canvas.label((cx, y), words, SMALL.middle());
    }
}

fn draw_gap(canvas: &mut Canvas, centre: (f64, f64), gap: &Gap, at: f64, badge: f64) {
    let radius = gap.ring.radius();
    let open = 8.0_f64.atan2(radius).to_degrees();
    let (edge, fill) = if gap.fault.is_some() { (STOP, STOP_TINT) } else { (CHOSEN, CHOSEN_TINT) };
    let (x, y) = polar(centre, radius, at + open);
    let ring = Path::from(x, y).arc(radius, true, polar(centre, radius, at - open));
    canvas.path(&ring, Paint::line(INK, 3.0));
    let (tick, bend, end) =
        (polar(centre, radius, at), polar(centre, PISTON + 2.0, at), polar(centre, BADGES - 11.0, badge));
    canvas.line(tick, bend, Paint::line(edge, 2.0));
    canvas.line(bend, end, Paint::line(edge, 2.0));
    let (x, y) = tick;
    if let Some(reason) = gap.fault {
        for slant in [-1.0, 1.0] {
            canvas.line((x - 7.0, y - slant * 7.0), (x + 7.0, y + slant * 7.0), Paint::line(STOP, 3.0));
        }
        canvas.label(polar(centre, FAULTS, badge), &format!("×{reason}"), LETTER.middle().ink(STOP));
    } else {
        canvas.circle(tick, 3.0, Paint::fill(edge));
    }
    canvas.disc(polar(centre, BADGES, badge), gap.ring.letter(), edge, fill);
}

fn legend_row(canvas: &mut Canvas, y: f64, gap: &Gap, at: f64) -> f64 {
    let middle = y + 13.0;
    let (edge, fill) = if gap.fault.is_some() { (STOP, STOP_TINT) } else { (CHOSEN, CHOSEN_TINT) };
    canvas.disc((EDGE + 24.0, middle), gap.ring.letter(), edge, fill);
    canvas.label((EDGE + 48.0, middle), gap.ring.word(), BODY);
    canvas.label((WIDTH - EDGE - 64.0, middle), &degrees(at), BODY.bold().end());
    if let Some(reason) = gap.fault {
        canvas.label((WIDTH - EDGE - 44.0, middle), &format!("×{reason}"), LETTER.ink(STOP));
    }
    canvas.line((EDGE + 48.0, y + 28.0), (WIDTH - EDGE, y + 28.0), Paint::line(FAINT, 0.4));
    y + 30.0
}

/// `182.5°`, to a tenth of a degree.
fn degrees(at: f64) -> String {
    format!("{}°", number((at * 10.0).round() / 10.0))
}

fn words(input: &RingClock, shown: &[f64]) -> String {
    let gaps = input.gaps.iter().zip(shown).map(|(gap, at)| {
        let fault = gap.fault.map(|n| format!(", fault {n}")).unwrap_or_default();
        format!("{} {}{fault}", gap.ring.word(), degrees(*at))
    });
    let gaps = gaps.collect::<Vec<_>>().join("; ");
    let reasons = input.reasons.iter().enumerate().map(|(place, reason)| format!(" Fault {}: {reason}.", place + 1));
    format!("Seen from above, degrees clockwise from FRONT: {gaps}.{}", reasons.collect::<String>())
}
