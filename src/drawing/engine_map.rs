//! The whole engine from above, FRONT at the top: every rod's chamfer, every piston's front mark, and who shares a pin.

use super::canvas::Canvas;
pub use super::plan::{Banks, Cylinders, Rotation};
use super::plan::{CRANK, Plan, Spot};
use super::style::{BODY, EDGE, INK, LOOK, Paint, STEEL_DARK, WIDTH};
use super::{End, Figure};

/// One cylinder's rod and piston.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fitted {
    pub cylinder: u8,
    /// The cheek the rod's chamfer faces; none where both sides are alike.
    pub chamfer: Option<End>,
    /// None where the engine's page does not say.
    pub front_mark: Option<End>,
}

/// Everything the figure shows; nothing is worked out here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EngineMap {
    pub heading: String,
    pub cylinders: Cylinders,
    pub rotation: Rotation,
    pub fitted: Vec<Fitted>,
    /// Cylinders on each crank pin, pins and rods front to rear.
    pub pins: Vec<Vec<u8>>,
    pub notes: Vec<String>,
}

/// Draws the whole engine.
pub fn draw(input: &EngineMap) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let plan = Plan::lay(&input.cylinders, y + 2.0, 108.0, 380.0);
    let y = plan.draw_block(&mut canvas, input.rotation);
    for pin in &input.pins {
        draw_pin(&mut canvas, &plan, pin);
    }
    for spot in &plan.spots {
        plan.draw_cylinder(&mut canvas, spot, Plan::quiet(), INK);
        if let Some(fitted) = input.fitted.iter().find(|f| f.cylinder == spot.number) {
            draw_fitted(&mut canvas, &plan, spot, fitted);
        }
    }
    let y = legend(&mut canvas, y + 6.0, input);
    let rotation = input.rotation.words();
    let y = canvas.facts(y, std::iter::once(rotation.as_str()).chain(input.notes.iter().map(String::as_str)));
    canvas.finish(y + 10.0, &input.heading, &words(input))
}

/// Rods of a bank engine run out from their pin; an in-line engine's stand up from it, hidden under the crowns.
fn draw_pin(canvas: &mut Canvas, plan: &Plan, pin: &[u8]) {
    let spots: Vec<&Spot> =
        pin.iter().filter_map(|&number| plan.spot(number)).filter(|spot| spot.side.is_some()).collect();
    let (Some(first), Some(last)) =
        (spots.iter().map(|s| s.y).min_by(f64::total_cmp), spots.iter().map(|s| s.y).max_by(f64::total_cmp))
    else {
        return;
    };
    for spot in &spots {
        canvas.line((CRANK, spot.y), (spot.x, spot.y), Paint::line(STEEL_DARK, 9.0));
    }
    let half = plan.radius * 0.4;
    let size = (16.0, last - first + 2.0 * half);
    canvas.rect((CRANK - 8.0, first - half), size, 4.0, Paint::fill(STEEL_DARK).edged(INK, 1.5));
}

fn draw_fitted(canvas: &mut Canvas, plan: &Plan, spot: &Spot, fitted: &Fitted) {
    let size = plan.radius * 0.26;
    if let Some(mark) = fitted.front_mark {
        canvas.pointer((spot.x, spot.y + mark.sign() * (plan.radius - 1.3 * size)), mark, size);
    }
    let Some(end) = fitted.chamfer else { return };
    let x = match spot.side {
        Some(side) => CRANK + side.sign() * 38.0,
        None => spot.x + plan.radius + 22.0,
    };
    canvas.arrow((x, spot.y - end.sign() * 9.0), (x, spot.y + end.sign() * 13.0), LOOK, 3.0);
}

fn legend(canvas: &mut Canvas, y: f64, input: &EngineMap) -> f64 {
    let x = EDGE + 14.0;
    let mut foot = y;
    let mut row = |canvas: &mut Canvas, words: &str, paint: &dyn Fn(&mut Canvas, f64)| {
        paint(canvas, foot + 10.0);
        foot = canvas.lines((EDGE + 36.0, foot), words, WIDTH - 2.0 * EDGE - 36.0, BODY, 2) + 3.0;
    };
    if input.fitted.iter().any(|f| f.chamfer.is_some()) {
        row(canvas, "rod: chamfer faces this way", &|canvas, y| {
            canvas.arrow((x, y + 10.0), (x, y - 11.0), LOOK, 3.0);
        });
    }
    if input.fitted.iter().any(|f| f.front_mark.is_some()) {
        row(canvas, "piston: mark faces this way", &|canvas, y| canvas.pointer((x, y), End::Front, 6.5));
    }
    if input.pins.iter().any(|pin| pin.len() > 1) {
        row(canvas, "rods joined here share a pin", &|canvas, y| {
            canvas.line((x - 14.0, y - 4.0), (x, y - 4.0), Paint::line(STEEL_DARK, 7.0));
            canvas.line((x, y + 4.0), (x + 14.0, y + 4.0), Paint::line(STEEL_DARK, 7.0));
            canvas.rect((x - 5.0, y - 9.0), (10.0, 18.0), 3.0, Paint::fill(STEEL_DARK).edged(INK, 1.5));
        });
    }
    foot + 2.0
}

fn words(input: &EngineMap) -> String {
    let each = input.fitted.iter().map(|f| {
        let chamfer = f.chamfer.map(|end| format!("chamfer {}, ", end.word())).unwrap_or_default();
        format!("Cylinder {}: {chamfer}mark {}.", f.cylinder, f.front_mark.map_or("not given", End::word))
    });
    let pins = input.pins.iter().filter(|pin| pin.len() > 1).map(|pin| {
        let rods = pin.iter().map(u8::to_string).collect::<Vec<_>>().join(" and ");
        format!("One pin: {rods}.")
    });
    let start = [input.cylinders.words(), input.rotation.words()];
    start.into_iter().chain(each).chain(pins).collect::<Vec<_>>().join(" ")
}
