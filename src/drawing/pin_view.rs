//! One crank pin between its cheeks, in section, seen from above with FRONT at the top: which side of each big end is
//! chamfered, and which flats meet.

use super::canvas::{Canvas, Path};
use super::style::{CHOSEN, CHOSEN_TINT, INK, LETTER, LOOK, LOOK_TINT, PLAIN, Paint, SMALL, STEEL, STEEL_DARK, WIDTH};
use super::{End, Side};

/// One rod on the pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rod {
    pub number: u8,
    /// The bank it leans to; none when it stands straight up.
    pub side: Option<Side>,
    /// The cheek its chamfer faces; none for a rod alone between two cheeks, chamfered to both.
    pub chamfer: Option<End>,
    pub chosen: bool,
}

const MID: f64 = WIDTH / 2.0;
const CHEEK: (f64, f64) = (164.0, 26.0);
const PIN: f64 = 36.0;
const FILLET: f64 = 15.0;
/// Running clearance as drawn, between pin and rod and between rod and cheek.
const AIR: (f64, f64) = (2.5, 5.0);
const BIG_END: (f64, f64) = (32.0, 48.0);
const CUT: f64 = 14.0;

/// Draws the rods front to rear below `y`; returns where the next thing may start.
pub fn draw(canvas: &mut Canvas, y: f64, rods: &[Rod]) -> f64 {
    // Beside the first rod's beam: its chamfer label stands on the other hand.
    let free = rods.first().and_then(|rod| rod.side).map_or(-1.0, Side::sign);
    canvas.front_arrow((MID + free * 138.0, y));
    let top = y + CHEEK.1;
    let length = rods.len().max(1) as f64 * (BIG_END.1 + AIR.1 / 2.0) + 1.5 * AIR.1;
    for (name, at) in [("front cheek", y), ("rear cheek", top + length)] {
        canvas.rect((MID - CHEEK.0 / 2.0, at), CHEEK, 5.0, Paint::fill(STEEL_DARK).edged(INK, 1.5));
        canvas.label((MID, at + CHEEK.1 / 2.0), name, SMALL.middle().ink(INK));
    }
    draw_pin(canvas, top, top + length);
    for (place, rod) in rods.iter().enumerate() {
        draw_rod(canvas, top + AIR.1 + place as f64 * (BIG_END.1 + AIR.1 / 2.0), rod);
    }
    if let [Rod { chamfer: Some(End::Front), .. }, Rod { chamfer: Some(End::Rear), .. }] = rods {
        let meet = top + AIR.1 + BIG_END.1 + AIR.1 / 4.0;
        canvas.label((MID, meet - 9.0), "flats", SMALL.middle().ink(INK));
        canvas.label((MID, meet + 9.0), "meet", SMALL.middle().ink(INK));
        for hand in [-1.0, 1.0] {
            canvas.arrow((MID + hand * 22.0, meet), (MID + hand * (PIN + 6.0), meet), INK, 2.0);
        }
    }
    top + length + CHEEK.1 + 14.0
}

/// The pin, its fillets running out into both cheeks.
fn draw_pin(canvas: &mut Canvas, top: f64, foot: f64) {
    let (l, r) = (MID - PIN, MID + PIN);
    let pin = Path::from(l - FILLET, top)
        .bend((l, top), (l, top + FILLET))
        .to(l, foot - FILLET)
        .bend((l, foot), (l - FILLET, foot))
        .to(r + FILLET, foot)
        .bend((r, foot), (r, foot - FILLET))
        .to(r, top + FILLET)
        .bend((r, top), (r + FILLET, top))
        .close();
    canvas.path(&pin, Paint::fill(STEEL).edged(INK, 1.5));
}

fn draw_rod(canvas: &mut Canvas, top: f64, rod: &Rod) {
    let (fill, edge) = if rod.chosen { (CHOSEN_TINT, CHOSEN) } else { (PLAIN, INK) };
    let paint = Paint::fill(fill).edged(edge, if rod.chosen { 2.5 } else { 1.5 });
    let middle = top + BIG_END.1 / 2.0;
    let name = format!("rod {}", rod.number);
    let style = LETTER.ink(edge);
    if let Some(side) = rod.side {
        let (inner, outer) = (MID + side.sign() * (PIN + BIG_END.0), MID + side.sign() * 158.0);
        canvas.rect((inner.min(outer), middle - 14.0), ((outer - inner).abs(), 28.0), 6.0, paint);
        canvas.label(((inner + outer) / 2.0 + side.sign() * 2.0, middle), &name, style.middle());
    } else {
        canvas.label((MID - PIN - BIG_END.0 - 10.0, middle), &name, style.end());
    }
    for hand in [-1.0, 1.0] {
        draw_half(canvas, top, hand, rod.chamfer, paint);
    }
    // A rod alone shows its cut at the front cheek; the one at the rear is alike. The label stands on the hand that has no
    // beam, its leader on the cut.
    let end = rod.chamfer.unwrap_or(End::Front);
    let hand = -rod.side.map_or(-1.0, Side::sign);
    let cut = if end == End::Front { top + CUT / 2.0 } else { top + BIG_END.1 - CUT / 2.0 };
    let from = MID + hand * (CHEEK.0 / 2.0 + 2.0);
    canvas.line((from, cut), (MID + hand * (PIN + AIR.0 + CUT / 2.0), cut), Paint::line(LOOK, 2.0));
    let style = LETTER.ink(LOOK);
    let style = if hand < 0.0 { style.end() } else { style };
    canvas.label((from + hand * 4.0, cut), "chamfer", style);
}

/// One half of the big end in section: square but for the cut corner beside the fillet.
fn draw_half(canvas: &mut Canvas, top: f64, hand: f64, chamfer: Option<End>, paint: Paint) {
    let (inner, outer) = (MID + hand * (PIN + AIR.0), MID + hand * (PIN + BIG_END.0));
    let foot = top + BIG_END.1;
    let cut = |end| if chamfer.is_none_or(|faced| faced == end) { CUT } else { 0.0 };
    let (upper, lower) = (cut(End::Front), cut(End::Rear));
    let half = Path::from(outer, top)
        .to(inner + hand * upper, top)
        .to(inner, top + upper)
        .to(inner, foot - lower)
        .to(inner + hand * lower, foot)
        .to(outer, foot)
        .close();
    canvas.path(&half, paint);
    for (end, depth, edge) in [(End::Front, upper, top), (End::Rear, lower, foot)] {
        if depth > 0.0 {
            let in_from_edge = edge - end.sign() * depth;
            let wedge = Path::from(inner + hand * depth, edge).to(inner, in_from_edge).to(inner, edge).close();
            canvas.path(&wedge, Paint::fill(LOOK_TINT));
            canvas.line((inner + hand * depth, edge), (inner, in_from_edge), Paint::line(LOOK, 4.0));
        }
    }
}
