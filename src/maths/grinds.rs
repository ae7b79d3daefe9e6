//! Which standard undersize cleans a crank's journals up.
//!
//! * Finished size must be at or below the smallest journal - polish: the grinder leaves the polish on, and must have
//!   cleaned up before it.
//! * Cranks are ground on their original centres. Where all the wear is on one side (rod journals, mostly) its depth counts
//!   twice: size last machined to - 2 x wear - polish (geometry).
//! * All journals of a set go to one size (common practice), so the smallest decides.
//!
//! Lengths are diameters in metres.

use super::sizes::{NextSize, next_undersize};
use super::{Spread, Unfit, around, bounds, counted, inside};
use crate::quantity::{Length, Measure};

/// Polish allowance, on diameter, m.
const POLISH: (f64, f64) = (0.0, 0.0001);

/// What the journals of a set must be ground to.
#[derive(Debug, Clone, PartialEq)]
pub struct Grind {
    pub readings: Spread,
    pub machined: Length,
    /// Machined - smallest reading, never below zero.
    pub wear: Length,
    /// Smallest reading - polish: wear all round.
    pub even: Length,
    /// Machined - 2 x wear - polish: wear all on one side.
    pub one_sided: Length,
}

/// Clean-up sizes of a set of journals last ground to `machined`.
pub fn clean_up(readings: &[Length], machined: Length, polish: Length) -> Result<Grind, Unfit> {
    counted("readings", readings.len(), 1, 64)?;
    for reading in readings {
        inside("readings", *reading, bounds::JOURNAL)?;
    }
    let spread = Spread::of("readings", readings)?;
    inside("readings", spread.smallest, around(spread.largest.si()))?;
    inside("machined", machined, bounds::JOURNAL)?;
    inside("machined", machined, around(spread.largest.si()))?;
    inside("polish", polish, POLISH)?;
    let wear = (machined - spread.smallest).max(Length::from_si(0.0));
    Ok(Grind {
        readings: spread,
        machined,
        wear,
        even: spread.smallest - polish,
        one_sided: machined - wear * 2.0 - polish,
    })
}

/// The next undersize for wear all round, and for wear on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    pub even: NextSize,
    pub one_sided: NextSize,
}

/// Next sizes from `steps` under `nominal`.
pub fn next(grind: &Grind, nominal: Length, steps: &[Length]) -> Result<Sizes, Unfit> {
    Ok(Sizes {
        even: next_undersize(grind.even, nominal, steps)?,
        one_sided: next_undersize(grind.one_sided, nominal, steps)?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn nonsense_is_named() {
        let go = |readings: &[Length], machined, polish| clean_up(readings, machined, polish).unwrap_err().input;
        assert_eq!(go(&[], inches(2.45), inches(0.0002)), "readings");
        assert_eq!(go(&[inches(2.449), millimetres(2.449)], inches(2.45), inches(0.0002)), "readings");
        assert_eq!(go(&[inches(2.449), inches(2.149)], inches(2.45), inches(0.0002)), "readings");
        assert_eq!(go(&[inches(2.449)], inches(2.1), inches(0.0002)), "machined");
        assert_eq!(go(&[inches(2.449)], inches(2.45), inches(0.02)), "polish");
    }

    proptest! {
        #[test]
        fn wear_on_one_side_never_needs_less(wear in proptest::collection::vec(0.0_f64..0.0002, 1..9), polish in 0.0_f64..0.00002) {
            let readings: Vec<Length> = wear.iter().map(|w| Length::from_si(0.06 - w)).collect();
            let steps = [0.25, 0.5, 0.75].map(millimetres);
            let grind = clean_up(&readings, millimetres(60.0), Length::from_si(polish)).unwrap();
            prop_assert!(grind.one_sided.si() <= grind.even.si() + 1e-15);
            let sizes = next(&grind, millimetres(60.0), &steps).unwrap();
            let (even, one) = (sizes.even.first.unwrap(), sizes.one_sided.first.unwrap());
            prop_assert!(one.step >= even.step);
            prop_assert!(readings.iter().all(|r| r.si() - polish >= even.size.si() - 1e-9));
        }
    }
}
