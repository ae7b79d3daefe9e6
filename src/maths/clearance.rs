//! Running clearances: piston in bore, journal in bearing.
//!
//! * Size at 20 degrees C (reference temperature of ISO 1): d20 = d / (1 + a (T - 20)), a per kelvin.
//! * Piston clearance = bore - skirt, on diameter.
//! * Bearing inside diameter = housing - upper wall - lower wall (housing - 2 x wall for like halves).
//! * Oil clearance: smallest = smallest inside - largest journal; largest = largest inside - smallest journal. Definitions.
//!
//! Lengths are diameters in metres. A negative clearance is a finding (interference), not a fault.

use super::{Spread, Unfit, around, bounds, counted, finite, inside};
use crate::quantity::{Length, Measure, Number, Temperature};

/// 20 degrees C in kelvin.
const REFERENCE: f64 = 293.15;

/// The size a part has at 20 degrees C, from its size at `temperature`; `expansion` per kelvin.
///
/// Refuses `temperature` outside -40 to 200 degrees C and `expansion` outside 0 to 50 millionths.
pub fn at_20(size: Length, temperature: Temperature, expansion: f64) -> Result<Length, Unfit> {
    Ok(finite("size", size)? / growth(temperature, expansion)?)
}

/// The size a part of `size` at 20 degrees C has at `temperature`: undoes [`at_20`].
pub fn at(size: Length, temperature: Temperature, expansion: f64) -> Result<Length, Unfit> {
    Ok(finite("size", size)? * growth(temperature, expansion)?)
}

fn growth(temperature: Temperature, expansion: f64) -> Result<f64, Unfit> {
    inside("temperature", temperature, bounds::BENCH)?;
    inside("expansion", Number(expansion), bounds::EXPANSION)?;
    Ok(1.0 + expansion * (temperature.si() - REFERENCE))
}

/// A diameter with the temperature it was measured at and the part's expansion per kelvin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    pub size: Length,
    pub temperature: Temperature,
    pub expansion: f64,
}

impl Measured {
    /// Measured at 20 degrees C, where expansion does not matter.
    pub fn at_reference(size: Length) -> Self {
        Self { size, temperature: Temperature::from_si(REFERENCE), expansion: 0.0 }
    }
}

/// Clearance of a piston in its bore, on diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PistonClearance {
    pub bore_at_20: Length,
    pub piston_at_20: Length,
    /// Bore - piston as read, whatever the temperatures.
    pub as_measured: Length,
    /// Bore - piston with both at 20 degrees C: the one to hold against limits.
    pub at_20: Length,
    /// Clearance at 20 degrees C per unit of bore.
    pub per_bore: f64,
}

/// Bore - piston, both brought to 20 degrees C. Refuses a `piston` more than a twentieth off the bore.
pub fn piston(bore: Measured, piston: Measured) -> Result<PistonClearance, Unfit> {
    inside("bore", bore.size, bounds::BORE)?;
    inside("piston", piston.size, bounds::BORE)?;
    inside("piston", piston.size, around(bore.size.si()))?;
    let named = |input, part: Measured| {
        inside(input, part.temperature, bounds::BENCH)?;
        at_20(part.size, part.temperature, part.expansion)
    };
    let bore_at_20 = named("bore temperature", bore)?;
    let piston_at_20 = named("piston temperature", piston)?;
    let at_20 = bore_at_20 - piston_at_20;
    Ok(PistonClearance {
        bore_at_20,
        piston_at_20,
        as_measured: bore.size - piston.size,
        at_20,
        per_bore: at_20.si() / bore_at_20.si(),
    })
}

/// Bearing inside diameters worked out from housings and shell walls.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelled {
    /// Upper wall + lower wall.
    pub walls: Length,
    /// Housing - walls, one for each housing reading.
    pub inside: Vec<Length>,
}

/// Inside diameters of a bearing: one wall stands for both halves, two are the halves' own.
pub fn shelled(housings: &[Length], walls: &[Length]) -> Result<Shelled, Unfit> {
    counted("housing", housings.len(), 1, 64)?;
    counted("shell", walls.len(), 1, 2)?;
    for housing in housings {
        inside("housing", *housing, bounds::HOUSING)?;
    }
    for wall in walls {
        inside("shell", *wall, bounds::WALL)?;
    }
    let walls = Spread::of("shell", walls)?.mean * 2.0;
    let inside = housings.iter().map(|housing| *housing - walls).collect();
    Ok(Shelled { walls, inside })
}

/// Oil clearance of a bearing on its journal, on diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilClearance {
    pub inside: Spread,
    pub journal: Spread,
    /// Smallest inside - largest journal.
    pub smallest: Length,
    /// Largest inside - smallest journal.
    pub largest: Length,
    /// Mean inside - mean journal.
    pub mean: Length,
    /// Smallest and largest per unit of the mean journal.
    pub smallest_per_journal: f64,
    pub largest_per_journal: f64,
}

/// Oil clearance from inside diameters (read, or from [`shelled`]) and journal diameters of one bearing.
///
/// Refuses sizes no bearing has, and a `journal` more than a twentieth off the inside diameter.
pub fn oil(insides: &[Length], journals: &[Length]) -> Result<OilClearance, Unfit> {
    counted("inside", insides.len(), 1, 64)?;
    counted("journal", journals.len(), 1, 64)?;
    for size in insides {
        inside("inside", *size, bounds::JOURNAL)?;
    }
    for journal in journals {
        inside("journal", *journal, bounds::JOURNAL)?;
    }
    let (inner, journal) = (Spread::of("inside", insides)?, Spread::of("journal", journals)?);
    inside("inside", inner.largest, around(inner.smallest.si()))?;
    for size in [journal.smallest, journal.largest] {
        inside("journal", size, around(inner.mean.si()))?;
    }
    let (smallest, largest) = (inner.smallest - journal.largest, inner.largest - journal.smallest);
    Ok(OilClearance {
        inside: inner,
        journal,
        smallest,
        largest,
        mean: inner.mean - journal.mean,
        smallest_per_journal: smallest.si() / journal.mean.si(),
        largest_per_journal: largest.si() / journal.mean.si(),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::super::Rule;
    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    fn celsius(t: f64) -> Temperature {
        Temperature::from_si(t + 273.15)
    }

    #[test]
    fn halves_of_their_own_add_up() {
        let alike = shelled(&[inches(2.6905)], &[inches(0.0945)]).unwrap();
        let mixed = shelled(&[inches(2.6905)], &[inches(0.0945), inches(0.0950)]).unwrap();
        assert!((in_inches(alike.walls) - 0.1890).abs() < 1e-12);
        assert!((in_inches(mixed.walls) - 0.1895).abs() < 1e-12);
    }

    #[test]
    fn interference_is_a_finding() {
        let tight = oil(&[inches(2.4990)], &[inches(2.4995)]).unwrap();
        assert!((in_inches(tight.smallest) + 0.0005).abs() < 1e-12);
        let (bore, skirt) = (Measured::at_reference(inches(4.03)), Measured::at_reference(inches(4.031)));
        assert!(piston(bore, skirt).unwrap().at_20.si() < 0.0);
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(
            oil(&[], &[inches(2.5)]).unwrap_err(),
            Unfit::new("inside", Rule::CountWanted { low: 1, high: 64, given: 0 })
        );
        assert_eq!(oil(&[inches(2.5)], &[]).unwrap_err().input, "journal");
        assert_eq!(oil(&[inches(2.5)], &[inches(2.1)]).unwrap_err().input, "journal");
        assert_eq!(oil(&[inches(2.5)], &[millimetres(2.5)]).unwrap_err().input, "journal");
        assert_eq!(oil(&[inches(2.5), inches(2.8)], &[inches(2.5)]).unwrap_err().input, "inside");
        assert_eq!(shelled(&[inches(2.69)], &[inches(0.947)]).unwrap_err().input, "shell");
        assert_eq!(shelled(&[inches(2.69)], &[inches(0.09); 3]).unwrap_err().input, "shell");
        assert_eq!(shelled(&[inches(f64::NAN)], &[inches(0.09)]).unwrap_err().input, "housing");
        let ok = Measured::at_reference(inches(4.03));
        assert_eq!(piston(ok, Measured { size: inches(3.03), ..ok }).unwrap_err().input, "piston");
        assert_eq!(piston(Measured { temperature: celsius(900.0), ..ok }, ok).unwrap_err().input, "bore temperature");
        assert_eq!(piston(ok, Measured { temperature: celsius(-90.0), ..ok }).unwrap_err().input, "piston temperature");
        assert_eq!(at_20(inches(4.0), celsius(20.0), 0.5).unwrap_err().input, "expansion");
    }

    proptest! {
        #[test]
        fn there_and_back(size in 0.02_f64..0.5, t in -40.0_f64..200.0, a in 0.0_f64..50e-6) {
            let back = at(at_20(Length::from_si(size), celsius(t), a).unwrap(), celsius(t), a).unwrap();
            prop_assert!((back.si() - size).abs() < 1e-15);
        }

        #[test]
        fn parts_of_one_metal_at_one_heat_scale_together(t in -20.0_f64..60.0, gap in 0.0_f64..0.0002) {
            let part = |size: f64| Measured { size: Length::from_si(size), temperature: celsius(t), expansion: 12e-6 };
            let fit = piston(part(0.1 + gap), part(0.1)).unwrap();
            prop_assert!((fit.at_20.si() * (1.0 + 12e-6 * (t - 20.0)) - fit.as_measured.si()).abs() < 1e-15);
        }

        #[test]
        fn smallest_mean_largest_stand_in_order(ids in proptest::collection::vec(0.0635_f64..0.0637, 1..5), js in proptest::collection::vec(0.0634_f64..0.0636, 1..5)) {
            let of = |v: &[f64]| v.iter().map(|s| Length::from_si(*s)).collect::<Vec<_>>();
            let oil = oil(&of(&ids), &of(&js)).unwrap();
            prop_assert!(oil.smallest.si() <= oil.mean.si() + 1e-15 && oil.mean.si() <= oil.largest.si() + 1e-15);
        }
    }
}
