//! Compression ratio, and what to change to reach another.
//!
//! Ratio = (swept + clearance) / clearance (Heywood, Internal Combustion Engine Fundamentals, section 2.2, from memory), with
//! clearance = chamber + gasket + deck + dish + crevice:
//!
//! * gasket = pi/4 gasket_bore^2 x crushed thickness, or poured;
//! * deck = pi/4 bore^2 x deck clearance, negative for a piston proud of the deck;
//! * dish positive (valve reliefs count as dish), dome negative;
//! * crevice, optional = pi/4 (bore^2 - land^2) x depth of the top ring below the crown.
//!
//! For a target ratio R the clearance must be swept / (R - 1); all but one part stand, and that one takes up the rest.
//! Lengths in metres, volumes in cubic metres.

use super::cylinders::{circle, squish, swept};
use super::{Rule, Unfit, bounds, inside};
use crate::quantity::{Dimension, Length, Measure, Number, Volume, above};

/// A head gasket by its size once crushed, or by its volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gasket {
    Sized { bore: Length, thickness: Length },
    Volume(Volume),
}

/// One cylinder's sizes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    pub bore: Length,
    pub stroke: Length,
    /// Chamber in the head, plug and valves in place.
    pub chamber: Volume,
    pub gasket: Gasket,
    /// Piston below the deck; negative proud.
    pub deck: Length,
    /// Dish positive, dome negative.
    pub dish: Volume,
    /// Space round the crown above the top ring; zero to leave it out. See [`crevice`].
    pub crevice: Volume,
}

/// The volumes and the ratio they make.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compression {
    pub swept: Volume,
    pub chamber: Volume,
    pub gasket: Volume,
    pub deck: Volume,
    pub dish: Volume,
    pub crevice: Volume,
    /// Sum of the five.
    pub clearance: Volume,
    /// Swept + clearance.
    pub total: Volume,
    pub ratio: f64,
    /// Crown to head, where the gasket's thickness is known.
    pub squish: Option<Length>,
}

/// Volume round the crown down to the top ring, `depth` below it, with a land of diameter `land`.
pub fn crevice(bore: Length, land: Length, depth: Length) -> Result<Volume, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("land", land, (bore.si() * 0.95, bore.si()))?;
    inside("depth", depth, (0.0, bounds::COMPRESSION_HEIGHT.1))?;
    Ok((circle(bore) - circle(land)) * depth)
}

/// Compression of one cylinder. Refuses sizes no engine has, a piston that touches the head, and parts that leave no
/// room: then the input named is the one that takes most room away.
pub fn compression(cylinder: &Cylinder) -> Result<Compression, Unfit> {
    let Cylinder { bore, stroke, chamber, gasket, deck, dish, crevice } = *cylinder;
    let swept = swept(bore, stroke)?;
    inside("chamber", chamber, (0.0, swept.si()))?;
    inside("deck", deck, bounds::DECK)?;
    inside("dish", dish, (-swept.si(), swept.si()))?;
    inside("crevice", crevice, (0.0, swept.si() * 0.1))?;
    let (gasket, squish) = match gasket {
        Gasket::Volume(volume) => (inside("gasket", volume, (0.0, swept.si()))?, None),
        Gasket::Sized { bore: hole, thickness } => {
            inside("gasket bore", hole, (bore.si() * 0.95, bore.si() * 1.2))?;
            let squish = squish(deck, thickness)?;
            (circle(hole) * thickness, Some(squish))
        }
    };
    let deck_volume = circle(bore) * deck;
    let clearance = chamber + gasket + deck_volume + dish + crevice;
    // Less than a millionth of the swept volume is no room at all.
    if clearance.si() <= swept.si() * 1e-6 {
        return Err(no_room(bore, swept, clearance, (dish, deck_volume)));
    }
    let total = swept + clearance;
    let ratio = total.si() / clearance.si();
    Ok(Compression { swept, chamber, gasket, deck: deck_volume, dish, crevice, clearance, total, ratio, squish })
}

fn no_room(bore: Length, swept: Volume, clearance: Volume, (dish, deck): (Volume, Volume)) -> Unfit {
    if dish.si() >= 0.0 && deck.si() >= 0.0 {
        return Unfit::new("chamber", Rule::MustBePositive);
    }
    let (input, low, high, dimension) = if dish < deck {
        ("dish", (dish - clearance).si(), swept.si(), Dimension::Volume)
    } else {
        ("deck", ((deck - clearance) / circle(bore)).si(), bounds::DECK.1, Dimension::Length)
    };
    Unfit::new(input, Rule::OutsideRange { low, high, dimension })
}

/// One part changed to reach a target ratio, the others standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change<Q> {
    pub target: f64,
    /// Swept / (target - 1): the clearance volume the target needs.
    pub clearance: Volume,
    pub now: Q,
    pub wanted: Q,
    /// Wanted - now.
    pub change: Q,
    /// Crown to head after the change, where the gasket's thickness is known.
    pub squish: Option<Length>,
}

/// Chamber volume for a target ratio.
pub fn chamber_for(cylinder: &Cylinder, target: f64) -> Result<Change<Volume>, Unfit> {
    let now = compression(cylinder)?;
    let bounds = (0.0, now.swept.si());
    let wanted = solve(&now, target, now.chamber, 1.0, bounds)?;
    Ok(changed(&now, target, now.chamber, wanted, now.squish))
}

/// Dish (positive) or dome (negative) for a target ratio.
pub fn dish_for(cylinder: &Cylinder, target: f64) -> Result<Change<Volume>, Unfit> {
    let now = compression(cylinder)?;
    let bounds = (-now.swept.si(), now.swept.si());
    let wanted = solve(&now, target, now.dish, 1.0, bounds)?;
    Ok(changed(&now, target, now.dish, wanted, now.squish))
}

/// Crushed gasket thickness for a target ratio; the gasket must be given by its size.
pub fn gasket_for(cylinder: &Cylinder, target: f64) -> Result<Change<Length>, Unfit> {
    let now = compression(cylinder)?;
    let Gasket::Sized { bore, thickness } = cylinder.gasket else {
        return Err(Unfit::new("gasket bore", Rule::Missing));
    };
    let bounds = (bounds::GASKET.0.max(-cylinder.deck.si()), bounds::GASKET.1);
    let wanted = solve(&now, target, thickness, circle(bore).value, bounds)?;
    Ok(changed(&now, target, thickness, wanted, Some(cylinder.deck + wanted)))
}

/// Deck clearance for a target ratio, by cutting the deck: metal to take off = now - wanted. A target below the present
/// ratio is refused, since a cut only raises it.
pub fn deck_for(cylinder: &Cylinder, target: f64) -> Result<Change<Length>, Unfit> {
    let now = compression(cylinder)?;
    let thickness = match cylinder.gasket {
        Gasket::Sized { thickness, .. } => Some(thickness),
        Gasket::Volume(_) => None,
    };
    let floor = thickness.map_or(bounds::DECK.0, |t| bounds::DECK.0.max(-t.si()));
    let bounds = (floor, cylinder.deck.si());
    let wanted = solve(&now, target, cylinder.deck, circle(cylinder.bore).value, bounds)?;
    Ok(changed(&now, target, cylinder.deck, wanted, thickness.map(|t| wanted + t)))
}

fn changed<Q: Measure>(now: &Compression, target: f64, part: Q, wanted: Q, squish: Option<Length>) -> Change<Q> {
    let change = Q::from_si(wanted.si() - part.si());
    Change { target, clearance: clearance_for(now.swept, target), now: part, wanted, change, squish }
}

fn clearance_for(swept: Volume, target: f64) -> Volume {
    swept / (target - 1.0)
}

/// The value of one part that reaches the target, where a unit of the part (SI) is `room` cubic metres of clearance.
/// Above `low` and at most `high`; else `target` is refused with the ratios those ends give.
fn solve<Q: Measure>(now: &Compression, target: f64, part: Q, room: f64, (low, high): (f64, f64)) -> Result<Q, Unfit> {
    inside("target", Number(target), bounds::RATIO)?;
    let wanted = clearance_for(now.swept, target);
    let value = Q::from_si(part.si() + (wanted - now.clearance).si() / room);
    if above(value, Q::from_si(low)) && !above(value, Q::from_si(high)) {
        return Ok(value);
    }
    let ratio_at = |end: f64| {
        let clearance = now.clearance.si() + (end - part.si()) * room;
        if clearance > 0.0 { (1.0 + now.swept.si() / clearance).min(bounds::RATIO.1) } else { bounds::RATIO.1 }
    };
    let (low, high) = (ratio_at(high), ratio_at(low));
    Err(Unfit::new("target", Rule::OutsideRange { low, high, dimension: Dimension::Number }))
}

#[cfg(test)]
#[path = "compression_tests.rs"]
mod tests;
