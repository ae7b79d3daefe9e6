//! One cylinder's rod and piston, to hold beside the block: the engine from above, the crank pin in section, and the
//! crown down the bore, all with FRONT at the top.

use super::canvas::Canvas;
use super::pin_view::{self, Rod};
use super::piston_view::{self, Piston};
pub use super::piston_view::{Facing, Toward};
use super::plan::{Cylinders, Plan, Rotation, Spot};
use super::style::{CARD, CHOSEN, CHOSEN_TINT, INK, LETTER, Paint, WIDTH};
use super::{End, Figure};

/// Who is on the crank pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pin {
    Alone,
    /// Two rods: the chosen one sits toward `place`, beside the rod of cylinder `mate`.
    Shared {
        place: End,
        mate: u8,
    },
}

/// Everything the figure shows; nothing is worked out here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Orientation {
    pub heading: String,
    pub cylinders: Cylinders,
    pub rotation: Rotation,
    /// The cylinder asked about.
    pub cylinder: u8,
    pub pin: Pin,
    /// The cheek the chosen rod's chamfer faces; a mate's faces the other. None where the sides are alike.
    pub chamfer: Option<End>,
    /// None where the engine's page does not say.
    pub front_mark: Option<End>,
    pub reliefs: Option<Facing>,
    pub thrust: Option<Facing>,
    /// Further facts, printed below the figure's own.
    pub notes: Vec<String>,
}

/// Draws the orientation of one cylinder.
pub fn draw(input: &Orientation) -> Figure {
    let mut canvas = Canvas::new(WIDTH);
    let y = canvas.heading(&input.heading);
    let y = draw_plan(&mut canvas, y + 2.0, input);
    let y = canvas.section(y, "Crank pin, from above, cut through");
    let y = pin_view::draw(&mut canvas, y + 2.0, &rods(input));
    let y = canvas.section(y, &format!("Piston {}, down its bore", input.cylinder));
    let piston =
        Piston { front_mark: input.front_mark, reliefs: input.reliefs.as_ref(), thrust: input.thrust.as_ref() };
    let y = piston_view::draw(&mut canvas, y + 2.0, &piston);
    let facts = facts(input);
    let y = canvas.facts(y, facts.iter().chain(&input.notes).map(String::as_str));
    let alt = format!("{} {}", input.cylinders.words(), facts.join(" "));
    canvas.finish(y + 10.0, &input.heading, &alt)
}

fn draw_plan(canvas: &mut Canvas, y: f64, input: &Orientation) -> f64 {
    let reach = if matches!(input.cylinders, Cylinders::Flat(_)) { 71.0 } else { 68.0 };
    let plan = Plan::lay(&input.cylinders, y, reach, 260.0);
    let foot = plan.draw_block(canvas, input.rotation);
    let mate = if let Pin::Shared { mate, .. } = input.pin { Some(mate) } else { None };
    for spot in &plan.spots {
        if spot.number == input.cylinder {
            plan.draw_cylinder(canvas, spot, Paint::fill(CHOSEN).edged(INK, 3.0), CARD);
            name(canvas, &plan, spot, "this one");
        } else if mate == Some(spot.number) {
            plan.draw_cylinder(canvas, spot, Paint::fill(CHOSEN_TINT).edged(CHOSEN, 2.5).dashed(), CHOSEN);
            name(canvas, &plan, spot, "pin mate");
        } else {
            plan.draw_cylinder(canvas, spot, Plan::quiet(), INK);
        }
    }
    foot
}

fn name(canvas: &mut Canvas, plan: &Plan, spot: &Spot, words: &str) {
    let x = spot.x + spot.outward() * (plan.radius + 11.0);
    let style = LETTER.ink(CHOSEN);
    canvas.label((x, spot.y), words, if spot.outward() < 0.0 { style.end() } else { style });
}

/// The rods on the pin, front to rear.
fn rods(input: &Orientation) -> Vec<Rod> {
    let rod = |number: u8, chamfer: Option<End>, chosen: bool| Rod {
        number,
        side: input.cylinders.side_of(number),
        chamfer,
        chosen,
    };
    let mine = rod(input.cylinder, input.chamfer, true);
    match input.pin {
        Pin::Alone => vec![mine],
        Pin::Shared { place, mate } => {
            let other = rod(mate, input.chamfer.map(End::other), false);
            if place == End::Front { vec![mine, other] } else { vec![other, mine] }
        }
    }
}

fn facts(input: &Orientation) -> Vec<String> {
    let number = input.cylinder;
    let mut facts = Vec::new();
    if let Some(end) = input.chamfer {
        facts.push(format!("Rod {number}: chamfer faces {}.", end.word()));
    }
    if let Pin::Shared { place, mate } = input.pin {
        let meet = if input.chamfer == Some(place) { " Flat to flat." } else { "" };
        facts.push(format!(
            "Rod {number} sits to the {} of its pin, rod {mate} to the {}.{meet}",
            place.word(),
            place.other().word()
        ));
    }
    let mark = input.front_mark.map_or("is not known; look it up", End::word);
    facts.push(format!("Piston {number}: mark {}{mark}.", if input.front_mark.is_some() { "faces " } else { "" }));
    if let Some(reliefs) = &input.reliefs {
        facts.push(format!("Valve reliefs face the {}.", reliefs.words));
    }
    if let Some(thrust) = &input.thrust {
        facts.push(format!("Major thrust is on the {} (thick edge).", thrust.words));
    }
    facts.push(input.rotation.words());
    facts
}
