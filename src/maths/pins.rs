//! A gudgeon pin in the hole of its piston or rod, warm or cold.
//!
//! Size at T = size at 20 degrees C x (1 + a (T - 20)); fit = hole - pin, each at its own temperature; positive is
//! clearance, negative interference. Size for size: the hole's temperature at which the fit is nil, the pin's standing.
//! Mean coefficients of the bench's range (20 to 100 degrees C) are used throughout: higher up a metal grows a few per cent
//! more than that. Diameters in metres, coefficients per kelvin.

use super::clearance::{Measured, at_20};
use super::{Unfit, bounds, inside};
use crate::quantity::{Length, Measure, Temperature};

/// How far a hole and its pin may differ, as a share: more is a slip of a digit.
const NEAR: f64 = 0.01;

/// The fit at 20 degrees C and at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    pub hole_at_20: Length,
    pub pin_at_20: Length,
    /// Hole - pin, both at 20 degrees C.
    pub at_20: Length,
    pub hole_hot: Length,
    pub pin_hot: Length,
    /// Hole - pin, each at the temperature asked for.
    pub hot: Length,
    /// Temperature of the hole at which the pin, as hot as asked for, is size for size; none for a hole that does not
    /// grow, or where it lies outside -200 to 400 degrees C.
    pub level: Option<Temperature>,
}

/// The fit of a pin measured on the bench, at `hole_at` and `pin_at`.
///
/// Refuses sizes no pin has, a `pin` more than a hundredth off the `hole`, and temperatures outside the bench's or the work's.
pub fn fit(hole: Measured, pin: Measured, hole_at: Temperature, pin_at: Temperature) -> Result<Fit, Unfit> {
    inside("hole", hole.size, bounds::PIN)?;
    inside("pin", pin.size, bounds::PIN)?;
    inside("pin", pin.size, (hole.size.si() * (1.0 - NEAR), hole.size.si() * (1.0 + NEAR)))?;
    inside("measured at", hole.temperature, bounds::BENCH)?;
    inside("hot", hole_at, bounds::WORKING)?;
    inside("pin hot", pin_at, bounds::WORKING)?;
    let hole_at_20 = at_20(hole.size, hole.temperature, hole.expansion)?;
    let pin_at_20 = at_20(pin.size, pin.temperature, pin.expansion)?;
    let room = Measured::at_reference(hole_at_20).temperature.si();
    let warm = |size: Length, expansion: f64, at: Temperature| size * (1.0 + expansion * (at.si() - room));
    let hole_hot = warm(hole_at_20, hole.expansion, hole_at);
    let pin_hot = warm(pin_at_20, pin.expansion, pin_at);
    let level = room + (pin_hot.si() / hole_at_20.si() - 1.0) / hole.expansion;
    Ok(Fit {
        hole_at_20,
        pin_at_20,
        at_20: hole_at_20 - pin_at_20,
        hole_hot,
        pin_hot,
        hot: hole_hot - pin_hot,
        level: (bounds::WORKING.0..=bounds::WORKING.1).contains(&level).then(|| Temperature::from_si(level)),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    fn celsius(t: f64) -> Temperature {
        Temperature::from_si(t + 273.15)
    }

    fn part(size: f64, expansion: f64) -> Measured {
        Measured { size: inches(size), temperature: celsius(20.0), expansion }
    }

    #[test]
    fn nonsense_is_named() {
        let of =
            |hole, pin, hot| fit(part(hole, 19e-6), part(pin, 12e-6), celsius(hot), celsius(hot)).unwrap_err().input;
        assert_eq!(of(0.9275, 0.9722, 20.0), "pin");
        assert_eq!(of(9.275, 0.9722, 20.0), "hole");
        assert_eq!(of(0.9275, 0.9272, 800.0), "hot");
    }

    proptest! {
        #[test]
        fn at_the_level_temperature_the_fit_is_nil(more in -0.002_f64..0.002, t in 0.0_f64..200.0) {
            let (hole, pin) = (part(0.9272, 19e-6), part(0.9272 + more, 12e-6));
            let found = fit(hole, pin, celsius(t), celsius(t)).unwrap();
            if let Some(level) = found.level {
                prop_assert!(fit(hole, pin, level, celsius(t)).unwrap().hot.si().abs() < 1e-15);
            }
        }

        #[test]
        fn at_20_the_bench_and_the_work_agree(more in -0.002_f64..0.002) {
            let found = fit(part(0.9272, 19e-6), part(0.9272 + more, 12e-6), celsius(20.0), celsius(20.0)).unwrap();
            prop_assert!((found.hot - found.at_20).si().abs() < 1e-15);
        }
    }
}
