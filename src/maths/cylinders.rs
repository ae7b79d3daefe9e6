//! Displacement, deck stack-up and squish.
//!
//! * Swept volume of one cylinder = pi/4 bore^2 stroke; the engine's = that x cylinders. Heywood, Internal Combustion
//!   Engine Fundamentals, section 2.2 (from memory).
//! * Piston at top dead centre stands stroke/2 + rod length + compression height above the crankshaft's centre; deck
//!   clearance = block height - that stack. Positive: below the deck. Negative: proud of it. Pin offset is left out: at
//!   1.5 mm in 145 mm of rod it lowers the piston by less than 0.01 mm.
//! * Squish = deck clearance + crushed gasket.
//!
//! Lengths in metres, volumes in cubic metres.

use std::f64::consts::FRAC_PI_4;

use uom::si::f64::Area;

use super::{Rule, Unfit, bounds, inside};
use crate::quantity::{Dimension, Length, Measure, Number, Volume};

/// Area of a circle from its diameter: pi/4 d^2.
pub(super) fn circle(diameter: Length) -> Area {
    diameter * diameter * FRAC_PI_4
}

/// Swept volume of one cylinder and of the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Displacement {
    pub bore: Length,
    pub stroke: Length,
    pub cylinders: u32,
    pub one: Volume,
    pub all: Volume,
}

/// Displacement of an engine with 1 to 24 cylinders.
pub fn displacement(bore: Length, stroke: Length, cylinders: u32) -> Result<Displacement, Unfit> {
    inside("cylinders", Number(f64::from(cylinders)), bounds::CYLINDERS)?;
    let one = swept(bore, stroke)?;
    Ok(Displacement { bore, stroke, cylinders, one, all: one * f64::from(cylinders) })
}

/// pi/4 bore^2 stroke, for a bore and a stroke an engine can have.
pub(super) fn swept(bore: Length, stroke: Length) -> Result<Volume, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("stroke", stroke, bounds::STROKE)?;
    Ok(circle(bore) * stroke)
}

/// Where the crown stands at top dead centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeckStack {
    pub half_stroke: Length,
    /// Half stroke + rod + compression height.
    pub stack: Length,
    /// Block height - stack: positive below the deck, negative proud.
    pub deck: Length,
}

/// Deck clearance from the parts' nominal sizes. Refuses a `block height` that the stack of parts cannot belong to.
pub fn deck_stack(
    block_height: Length,
    stroke: Length,
    rod: Length,
    compression_height: Length,
) -> Result<DeckStack, Unfit> {
    inside("block height", block_height, bounds::REACH)?;
    inside("stroke", stroke, bounds::STROKE)?;
    inside("rod", rod, bounds::REACH)?;
    inside("compression height", compression_height, bounds::COMPRESSION_HEIGHT)?;
    let half_stroke = stroke / 2.0;
    if rod <= half_stroke {
        return Err(Unfit::new("rod", Rule::MustBeAbove { other: "half stroke" }));
    }
    let stack = half_stroke + rod + compression_height;
    inside("block height", block_height, (stack.si() + bounds::DECK.0, stack.si() + bounds::DECK.1))?;
    Ok(DeckStack { half_stroke, stack, deck: block_height - stack })
}

/// Crown to head at top dead centre: deck clearance + crushed gasket. Refuses a piston that would touch the head.
pub fn squish(deck: Length, gasket: Length) -> Result<Length, Unfit> {
    inside("deck", deck, bounds::DECK)?;
    inside("gasket", gasket, bounds::GASKET)?;
    let squish = deck + gasket;
    // Under a nanometre is a touch, whatever binary makes of it.
    if squish.si() < 1e-9 {
        let (low, high) = (-gasket.si(), bounds::DECK.1);
        return Err(Unfit::new("deck", Rule::OutsideRange { low, high, dimension: Dimension::Length }));
    }
    Ok(squish)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    #[test]
    fn parts_stack_up_to_the_deck() {
        let stack = deck_stack(inches(9.025), inches(3.48), inches(5.7), inches(1.56)).unwrap();
        assert!((in_inches(stack.stack) - 9.0).abs() < 1e-12 && (in_inches(stack.deck) - 0.025).abs() < 1e-12);
        let proud = deck_stack(inches(9.025), inches(3.5), inches(5.7), inches(1.58)).unwrap();
        assert!((in_inches(proud.deck) + 0.005).abs() < 1e-12);
    }

    #[test]
    fn nonsense_is_named() {
        let count = displacement(inches(4.0), inches(3.48), 0).unwrap_err();
        assert_eq!(count.rule, Rule::OutsideRange { low: 1.0, high: 24.0, dimension: Dimension::Number });
        assert_eq!(displacement(millimetres(4.0), inches(3.48), 8).unwrap_err().input, "bore");
        assert_eq!(displacement(inches(4.0), inches(f64::NAN), 8).unwrap_err().input, "stroke");
        let stack = |block, rod| deck_stack(inches(block), inches(3.48), inches(rod), inches(1.56)).unwrap_err().input;
        assert_eq!((stack(7.025, 5.7), stack(90.25, 5.7)), ("block height", "block height"));
        assert_eq!((stack(9.025, 0.57), stack(9.025, 1.99)), ("rod", "block height"));
        let short =
            deck_stack(millimetres(60.0), millimetres(120.0), millimetres(55.0), millimetres(30.0)).unwrap_err();
        assert_eq!(short, Unfit::new("rod", Rule::MustBeAbove { other: "half stroke" }));
    }

    #[test]
    fn a_piston_that_touches_the_head_is_refused() {
        assert!((in_inches(squish(inches(-0.005), inches(0.041)).unwrap()) - 0.036).abs() < 1e-12);
        assert_eq!(squish(inches(-0.041), inches(0.041)).unwrap_err().input, "deck");
        assert_eq!(squish(inches(-0.050), inches(0.041)).unwrap_err().input, "deck");
        assert_eq!(squish(inches(0.0), inches(0.41)).unwrap_err().input, "gasket");
    }

    proptest! {
        #[test]
        fn displacement_grows_with_each_size(bore in 0.03_f64..0.4, stroke in 0.03_f64..0.5, n in 1_u32..24) {
            let all = |b: f64, s: f64, n: u32| displacement(Length::from_si(b), Length::from_si(s), n).unwrap().all;
            let here = all(bore, stroke, n);
            prop_assert!(all(bore * 1.01, stroke, n) > here && all(bore, stroke * 1.01, n) > here);
            prop_assert!(all(bore, stroke, n + 1) > here);
        }

        #[test]
        fn inch_and_metric_agree(bore in 1.0_f64..19.0, stroke in 1.0_f64..19.0) {
            let inch = displacement(inches(bore), inches(stroke), 4).unwrap().all.si();
            let metric = displacement(millimetres(bore * 25.4), millimetres(stroke * 25.4), 4).unwrap().all.si();
            prop_assert!((inch - metric).abs() < 1e-12 * inch);
        }
    }
}
