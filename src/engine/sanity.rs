//! Checks across keys: what a single key cannot show. Each fault names the key a person would change.

use super::model::{Engine, Rotation};
use super::read::EngineFault;
use crate::quantity::{Length, System, inches, show};

/// How far the piston crown may stand from the deck at top dead centre before a size must be mistyped.
const DECK_SLACK_INCHES: f64 = 0.25;

pub(super) fn faults(engine: &Engine) -> Vec<EngineFault> {
    let size = |length: Length| show::length(length, engine.unit);
    let mut out = Vec::new();
    let mut fault = |key: &str, given: String, wanted: String| {
        out.push(EngineFault { key: key.to_owned(), given, wanted });
    };

    let count = engine.cylinders();
    let mut order = engine.firing_order.clone();
    order.sort_unstable();
    if !order.iter().copied().eq(1..=count) {
        fault("firing_order", format!("{:?}", engine.firing_order), format!("every number from 1 to {count} once"));
        return out; // what follows counts on it
    }
    let most = engine.pin_count() + 1;
    if engine.mains > most {
        fault("mains", engine.mains.to_string(), format!("at most {most}: one more than the crank pins"));
    }
    if let Some(pins) = &engine.pins {
        let wanted = usize::from(engine.pin_count());
        if pins.len() != wanted {
            fault("pins", format!("{} angles", pins.len()), format!("{wanted} angles, one for each crank pin"));
        } else if turns_to_fire_all(engine).is_some_and(|degrees| degrees > 720.5) {
            let hand = match engine.rotation {
                Rotation::Clockwise => "clockwise",
                Rotation::CounterClockwise => "counter-clockwise",
            };
            fault(
                "firing_order",
                format!("{:?}", engine.firing_order),
                format!(
                    "an order that two turns {hand} bring up on pins at {pins:?} degrees (clockwise seen from the front); check order, pins and rotation against each other, or leave `pins` out"
                ),
            );
        }
    }
    if engine.stroke > engine.bore * 3.0 || engine.stroke < engine.bore / 3.0 {
        fault(
            "stroke",
            size(engine.stroke),
            format!("between a third of the bore of {} and three times it", size(engine.bore)),
        );
    }
    if let Some(rod) = engine.rod_length
        && (rod < engine.stroke || rod > engine.stroke * 4.0)
    {
        fault("rod_length", size(rod), format!("between one and four strokes ({})", size(engine.stroke)));
    }
    if let (Some(rod), Some(height), Some(deck)) = (engine.rod_length, engine.compression_height, engine.deck_height) {
        let stack = height + rod + engine.stroke / 2.0;
        if (deck - stack).abs() > inches(DECK_SLACK_INCHES) {
            let wanted =
                format!("within {DECK_SLACK_INCHES} in of compression height + rod + half the stroke, {}", size(stack));
            fault("deck_height", size(deck), wanted);
        }
    }
    for (key, found) in [("pin", engine.pin), ("rod_journal", engine.rod_journal)] {
        if let Some(found) = found.filter(|found| *found >= engine.bore) {
            fault(key, size(found), format!("less than the bore, {}", size(engine.bore)));
        }
    }
    if let Some(offset) = engine.pin_offset.filter(|offset| offset.abs() > engine.bore / 20.0) {
        fault(
            "pin_offset",
            size(offset),
            format!("no more than a twentieth of the bore, {}", size(engine.bore / 20.0)),
        );
    }
    for (key, sizes) in [("undersizes", &engine.undersizes), ("oversizes", &engine.oversizes)] {
        if let Some(largest) = sizes.last().filter(|largest| **largest > engine.bore / 10.0) {
            fault(
                key,
                size(*largest),
                format!("no more than a tenth of the bore; is {} right?", unit_word(engine.unit)),
            );
        }
    }
    out
}

fn unit_word(system: System) -> &'static str {
    match system {
        System::Inch => "the inch",
        System::Metric => "the millimetre",
    }
}

/// Degrees of crank from the first cylinder's top dead centre through the whole order and back to it, taking the
/// next top dead centre each time. A four-stroke order that the crank can give needs no more than 720.
fn turns_to_fire_all(engine: &Engine) -> Option<f64> {
    let tops: Vec<f64> = engine.firing_order.iter().map(|&n| engine.tdc(n)).collect::<Option<_>>()?;
    let next = tops.iter().cycle().skip(1);
    Some(
        tops.iter()
            .zip(next)
            .map(|(a, b)| (b - a).rem_euclid(360.0))
            .map(|step| if step < 0.5 { 360.0 } else { step })
            .sum(),
    )
}
