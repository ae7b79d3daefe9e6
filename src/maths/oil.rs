//! Viscosity of an oil at a temperature from the two figures of its data sheet.
//!
//! * Kinematic: log10 log10(v + 0.7) = A - B log10 T, v in mm²/s, T in kelvin, A and B from v at 40 and at 100 °C (ASTM D341).
//! * Density: that at 15 °C less 0.64 kg/m³ for each °C above (common practice, near ASTM D1250 for engine oils).
//! * Dynamic = kinematic x density.
//!
//! A grade alone does not tell it: SAE J300 gives a span at 100 °C, and nothing of the slope. Oils with thickeners are thinner
//! in a bearing than this says, for they shear.

use super::{Rule, Unfit, inside};
use crate::quantity::{Dimension, Measure, Number, Temperature, Viscosity};

const AT_40: f64 = 313.15;
const AT_100: f64 = 373.15;
/// mm²/s: the thinnest and thickest oils an engine is filled with.
const KINEMATIC: (f64, f64) = (2.0, 2000.0);
/// Where the line holds, and an engine works: -10 to 200 °C.
const WORKING: (f64, f64) = (263.15, 473.15);
/// g/cm³ at 15 °C.
const DENSITY: (f64, f64) = (0.7, 1.05);

/// What an oil's data sheet says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// mm²/s at 40 °C.
    pub at_40: Number,
    /// mm²/s at 100 °C.
    pub at_100: Number,
    /// g/cm³ at 15 °C.
    pub density: Number,
}

/// The oil at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oil {
    /// mm²/s.
    pub kinematic: f64,
    /// g/cm³.
    pub density: f64,
    pub viscosity: Viscosity,
}

fn doubly(kinematic: f64) -> f64 {
    (kinematic + 0.7).log10().log10()
}

/// The oil of a sheet at `temperature`.
pub fn at(sheet: &Sheet, temperature: Temperature) -> Result<Oil, Unfit> {
    inside("at40", sheet.at_40, KINEMATIC)?;
    inside("at100", sheet.at_100, KINEMATIC)?;
    inside("density", sheet.density, DENSITY)?;
    inside("temp", temperature, WORKING)?;
    if sheet.at_100.0 >= sheet.at_40.0 {
        return Err(Unfit::new("at40", Rule::MustBeAbove { other: "viscosity at 100 °C" }));
    }
    let kelvin = temperature.si();
    let slope = (doubly(sheet.at_40.0) - doubly(sheet.at_100.0)) / (AT_100.log10() - AT_40.log10());
    let level = doubly(sheet.at_40.0) + slope * AT_40.log10();
    let kinematic = 10_f64.powf(10_f64.powf(level - slope * kelvin.log10())) - 0.7;
    if !(0.5..=1e6).contains(&kinematic) {
        return Err(Unfit::new(
            "temp",
            Rule::OutsideRange { low: WORKING.0, high: WORKING.1, dimension: Dimension::Temperature },
        ));
    }
    let density = sheet.density.0 - 0.000_64 * (kelvin - 288.15);
    // mm²/s x g/cm³ is mPa s.
    Ok(Oil { kinematic, density, viscosity: Viscosity::from_si(kinematic * density * 1e-3) })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn sheet(at_40: f64, at_100: f64) -> Sheet {
        Sheet { at_40: Number(at_40), at_100: Number(at_100), density: Number(0.87) }
    }

    proptest! {
        #[test]
        fn the_sheet_comes_back_and_hotter_is_thinner(at_100 in 3.0..30.0, ratio in 3.0..12.0, c in -5.0..190.0) {
            let sheet = sheet(at_100 * ratio, at_100);
            let of = |c: f64| at(&sheet, Temperature::from_si(c + 273.15));
            prop_assert!((of(40.0).unwrap().kinematic / sheet.at_40.0 - 1.0).abs() < 1e-9);
            prop_assert!((of(100.0).unwrap().kinematic / sheet.at_100.0 - 1.0).abs() < 1e-9);
            if let (Ok(cold), Ok(hot)) = (of(c), of(c + 5.0)) {
                prop_assert!(hot.kinematic < cold.kinematic && hot.viscosity.si() < cold.viscosity.si());
            }
        }
    }

    #[test]
    fn what_is_no_oil_is_refused() {
        let refused = |sheet: Sheet, c: f64| at(&sheet, Temperature::from_si(c + 273.15)).unwrap_err().input;
        assert_eq!(refused(sheet(10.0, 12.0), 90.0), "at40");
        assert_eq!(refused(sheet(1e5, 12.0), 90.0), "at40");
        assert_eq!(refused(sheet(100.0, 11.0), 900.0), "temp");
        assert_eq!(refused(Sheet { density: Number(870.0), ..sheet(100.0, 11.0) }, 90.0), "density");
    }
}
