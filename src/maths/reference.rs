//! A size brought to 20 degrees C, and how well it is then known.
//!
//! d20 = d / (1 + a (T - 20)), 20 degrees C being the reference temperature of ISO 1. First-order propagation
//! (JCGM 100, 5.1.2): with g = 1 + a (T - 20), dd20/dd = 1 / g, dd20/dT = -d20 a / g, dd20/da = -d20 (T - 20) / g.
//! The coefficient is taken to be good to a twentieth of itself (see [`super::materials`]). All uncertainties are
//! expanded ones of one k. Lengths in metres, temperatures in kelvin, coefficients per kelvin.

use uom::si::temperature_interval::kelvin;

use super::{Unfit, clearance, finite, inside};
use crate::quantity::{Length, Measure, Number, Temperature, TemperatureInterval};

const REFERENCE: f64 = 293.15;
/// What a coefficient of the kind of metal, not of the alloy, is good to.
pub const COEFFICIENT: f64 = 0.05;
/// Sizes that are brought to 20 degrees C, m.
const SIZE: (f64, f64) = (0.0005, 2.0);

/// A size at 20 degrees C with what its uncertainty is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtReference {
    pub at_20: Length,
    /// At 20 degrees C - as read: positive for a part that was cold.
    pub change: Length,
    /// T - 20 degrees C.
    pub above_20: TemperatureInterval,
    /// 1 + a (T - 20).
    pub growth: f64,
    /// What each input brings to the expanded uncertainty.
    pub from_reading: Length,
    pub from_temperature: Length,
    pub from_coefficient: Length,
    pub expanded: Length,
}

/// A size read at `temperature` as it is at 20 degrees C. `reading` and `within` are the expanded uncertainties of size
/// and temperature.
pub fn at_reference(
    size: Length,
    temperature: Temperature,
    expansion: f64,
    reading: Length,
    within: TemperatureInterval,
) -> Result<AtReference, Unfit> {
    inside("size", size, SIZE)?;
    inside("uncertainty", reading, (0.0, size.si() / 20.0))?;
    inside("within", Number(finite_interval(within)?), (0.0, 50.0))?;
    let at_20 = clearance::at_20(size, temperature, expansion)?;
    let above_20 = temperature.si() - REFERENCE;
    let growth = size.si() / at_20.si();
    let from_reading = reading / growth;
    let from_temperature = at_20 * (expansion * within.get::<kelvin>() / growth);
    let from_coefficient = at_20 * (COEFFICIENT * expansion * above_20.abs() / growth);
    let square = |l: Length| l.si() * l.si();
    let expanded = Length::from_si((square(from_reading) + square(from_temperature) + square(from_coefficient)).sqrt());
    let above_20 = TemperatureInterval::new::<kelvin>(above_20);
    let change = at_20 - size;
    Ok(AtReference { at_20, change, above_20, growth, from_reading, from_temperature, from_coefficient, expanded })
}

fn finite_interval(within: TemperatureInterval) -> Result<f64, Unfit> {
    Ok(finite("within", Number(within.get::<kelvin>()))?.0)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn at(size: Length, celsius: f64, expansion: f64, reading: f64, within: f64) -> Result<AtReference, Unfit> {
        let (temperature, within) =
            (Temperature::from_si(celsius + 273.15), TemperatureInterval::new::<kelvin>(within));
        at_reference(size, temperature, expansion, Length::from_si(reading), within)
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |found: Result<AtReference, Unfit>| found.unwrap_err().input;
        assert_eq!(fault(at(inches(-4.0), 28.0, 19e-6, 0.0, 0.0)), "size");
        assert_eq!(fault(at(inches(4.0), 500.0, 19e-6, 0.0, 0.0)), "temperature");
        assert_eq!(fault(at(inches(4.0), 28.0, 19e-3, 0.0, 0.0)), "expansion");
        assert_eq!(fault(at(inches(4.0), 28.0, 19e-6, 0.1, 0.0)), "uncertainty");
        assert_eq!(fault(at(inches(4.0), 28.0, 19e-6, 0.0, -1.0)), "within");
        assert_eq!(fault(at(inches(4.0), 28.0, 19e-6, 0.0, f64::NAN)), "within");
    }

    proptest! {
        #[test]
        fn nothing_changes_at_20(size in 1.0_f64..500.0, expansion in 0.0_f64..50e-6) {
            let found = at(millimetres(size), 20.0, expansion, 0.0, 0.0).unwrap();
            prop_assert!(found.change.si().abs() < 1e-15 && found.expanded.si() < 1e-15);
        }

        #[test]
        fn warm_parts_come_down_and_cold_ones_up(size in 1.0_f64..500.0, degrees in 0.1_f64..40.0, expansion in 1e-6_f64..50e-6) {
            prop_assert!(at(millimetres(size), 20.0 + degrees, expansion, 0.0, 0.0).unwrap().change.si() < 0.0);
            prop_assert!(at(millimetres(size), 20.0 - degrees, expansion, 0.0, 0.0).unwrap().change.si() > 0.0);
        }

        #[test]
        fn heating_it_again_gives_the_reading_back(size in 1.0_f64..500.0, celsius in -40.0_f64..200.0, expansion in 0.0_f64..50e-6) {
            let found = at(millimetres(size), celsius, expansion, 0.0, 0.0).unwrap();
            let back = clearance::at(found.at_20, Temperature::from_si(celsius + 273.15), expansion).unwrap();
            prop_assert!((back - millimetres(size)).si().abs() < 1e-15);
        }

        /// The first-order sensitivities beside differences taken across the formula itself.
        #[test]
        fn sensitivities_are_the_slopes(size in 10.0_f64..500.0, celsius in -20.0_f64..80.0, expansion in 5e-6_f64..25e-6) {
            let found = at(millimetres(size), celsius, expansion, 1e-5, 0.5).unwrap();
            let d20 = |s: f64, c: f64, a: f64| at(millimetres(s), c, a, 0.0, 0.0).unwrap().at_20.si();
            let slope = |up: f64, down: f64| (up - down).abs() / 2.0;
            let reading = slope(d20(size + 0.01, celsius, expansion), d20(size - 0.01, celsius, expansion));
            let warmth = slope(d20(size, celsius + 0.5, expansion), d20(size, celsius - 0.5, expansion));
            let metal = slope(d20(size, celsius, expansion * 1.05), d20(size, celsius, expansion * 0.95));
            prop_assert!((found.from_reading.si() - reading).abs() < 1e-11);
            prop_assert!((found.from_temperature.si() - warmth).abs() < 1e-11);
            prop_assert!((found.from_coefficient.si() - metal).abs() < 1e-11);
        }
    }
}
