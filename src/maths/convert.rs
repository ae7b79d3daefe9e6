//! Conversions: any unit to any other of its kind, and inches to the nearest sixty-fourth.
//!
//! SI = number x factor + offset, with the exact factors of `quantity` (NIST SP 811, appendix B.8).

use super::{Rule, Unfit, finite, inside};
use crate::quantity::{Dimension, Length, Measure, Number, UNITS, Unit, in_inches, inches};

/// A number in unit `from` as a number in unit `to`. Refuses units of two kinds, and less than absolute zero.
pub fn convert(number: f64, from: &Unit, to: &Unit) -> Result<f64, Unfit> {
    if from.dimension != to.dimension {
        return Err(Unfit::new("to", Rule::KindWanted { wanted: from.dimension, given: to.dimension }));
    }
    finite("number", Number(number))?;
    let si = number * from.factor + from.offset;
    // A ten-thousandth of a kelvin lets -459.67 degrees F through.
    if from.dimension == Dimension::Temperature && si < -1e-4 {
        let (low, high) = (0.0, f64::MAX);
        return Err(Unfit::new("number", Rule::OutsideRange { low, high, dimension: from.dimension }));
    }
    Ok(in_unit(si, to))
}

/// An SI value in a unit.
pub fn in_unit(si: f64, unit: &Unit) -> f64 {
    (si - unit.offset) / unit.factor
}

/// An SI value in every unit of its dimension, in the order of the unit table.
pub fn in_every_unit(dimension: Dimension, si: f64) -> impl Iterator<Item = (&'static Unit, f64)> {
    UNITS.iter().filter(move |u| u.dimension == dimension).map(move |u| (u, in_unit(si, u)))
}

/// A length as whole inches and a fraction in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fraction {
    pub whole: u64,
    /// Zero where the length is whole inches.
    pub numerator: u64,
    /// 1, 2, 4, 8, 16, 32 or 64.
    pub denominator: u64,
    /// The fraction's own length.
    pub value: Length,
    /// Length given - fraction.
    pub error: Length,
}

/// The nearest 1/64 in; halfway goes up. Refuses less than nothing and more than a kilometre.
pub fn nearest_64th(length: Length) -> Result<Fraction, Unfit> {
    finite("length", length)?;
    if length.si() < 0.0 {
        return Err(Unfit::new("length", Rule::MustNotBeNegative));
    }
    inside("length", length, (0.0, 1000.0))?;
    let sixty_fourths = (in_inches(length) * 64.0).round() as u64;
    let (whole, mut numerator, mut denominator) = (sixty_fourths / 64, sixty_fourths % 64, 64);
    while denominator > 1 && numerator.is_multiple_of(2) {
        (numerator, denominator) = (numerator / 2, denominator / 2);
    }
    let value = inches(sixty_fourths as f64 / 64.0);
    Ok(Fraction { whole, numerator, denominator, value, error: length - value })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::unit_for;

    #[test]
    fn every_unit_of_a_kind_comes_back_to_itself() {
        for from in UNITS {
            for to in UNITS.iter().filter(|to| to.dimension == from.dimension) {
                let back = convert(convert(2.5, from, to).unwrap(), to, from).unwrap();
                assert!((back - 2.5).abs() < 1e-9, "{} to {} and back: {back}", from.symbol, to.symbol);
            }
        }
    }

    #[test]
    fn nonsense_is_named() {
        let (mm, cc) = (unit_for(Dimension::Length, "mm").unwrap(), unit_for(Dimension::Volume, "cc").unwrap());
        let wrong = convert(1.0, mm, cc).unwrap_err();
        assert_eq!(wrong.rule, Rule::KindWanted { wanted: Dimension::Length, given: Dimension::Volume });
        assert_eq!(convert(f64::NAN, mm, mm).unwrap_err().input, "number");
        let f = unit_for(Dimension::Temperature, "F").unwrap();
        assert!(convert(-459.67, f, f).is_ok() && convert(-459.7, f, f).is_err());
        assert_eq!(nearest_64th(inches(-0.1)).unwrap_err().rule, Rule::MustNotBeNegative);
        assert!(nearest_64th(inches(f64::INFINITY)).is_err() && nearest_64th(inches(1e9)).is_err());
    }

    #[test]
    fn every_unit_of_the_kind_is_listed() {
        let listed: Vec<_> = in_every_unit(Dimension::Length, 0.0254).collect();
        assert_eq!(listed.len(), UNITS.iter().filter(|u| u.dimension == Dimension::Length).count());
        assert!(listed.iter().any(|(u, n)| u.symbol == "mm" && (n - 25.4).abs() < 1e-12));
    }

    proptest! {
        #[test]
        fn the_fraction_is_the_nearest_and_in_lowest_terms(length in 0.0_f64..100.0) {
            let f = nearest_64th(inches(length)).unwrap();
            prop_assert!(in_inches(f.error).abs() <= 1.0 / 128.0 + 1e-12);
            let spelt = f.whole as f64 + f.numerator as f64 / f.denominator as f64;
            prop_assert!((spelt - in_inches(f.value)).abs() < 1e-12);
            prop_assert!(f.denominator == 1 || f.numerator % 2 == 1);
            prop_assert!(64 % f.denominator == 0 && f.numerator < f.denominator);
        }
    }
}
