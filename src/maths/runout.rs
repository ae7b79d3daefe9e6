//! Run-out of a journal from a dial read at equal angles.
//!
//! Reading k of n, taken at 360 k / n degrees, is fitted by mean + a cos + b sin with least squares; at equal angles
//! that is a = 2/n sum(y cos), b = 2/n sum(y sin), the least-squares centre of roundness (NIST/SEMATECH e-Handbook, 2.3.4.4).
//!
//! * Eccentricity = sqrt(a^2 + b^2): how far the journal's centre lies off the axis it was turned on.
//! * High spot = atan2(b, a), in the order in which the readings were taken.
//! * Total indicator reading = largest - smallest. It is twice the eccentricity only where nothing is left over.
//! * Residual = reading - fit: out-of-round, dirt, a slipped stand. Three readings always fit and leave none.
//! * Uncertainty: each reading's U, taken as independent, reaches the eccentricity as sqrt(2/n) U and the total
//!   indicator reading, a difference of two, as sqrt(2) U (GUM, first order).
//!
//! Lengths in metres, angles in radians.

use std::f64::consts::{SQRT_2, TAU};

use super::{Rule, Unfit, bounds, counted, finite, inside};
use crate::quantity::{Angle, Dimension, Length, Measure};

/// Fewest and most readings of one turn.
const COUNT: (usize, usize) = (3, 72);
/// An eccentricity below this has no direction, m.
const NOTHING: f64 = 1e-9;

/// What the readings of one turn say.
#[derive(Debug, Clone, PartialEq)]
pub struct Runout {
    pub mean: Length,
    pub largest: Length,
    pub smallest: Length,
    /// Largest - smallest reading.
    pub tir: Length,
    /// The parts of the first harmonic toward the first reading (a) and a quarter turn on (b).
    pub toward: Length,
    pub across: Length,
    /// Amplitude of the first harmonic.
    pub eccentricity: Length,
    /// Where the high spot lies from the first reading, 0 to one turn; none where there is no eccentricity.
    pub high_spot: Option<Angle>,
    /// Reading - fit, each.
    pub residuals: Vec<Length>,
    /// The largest of them, without sign.
    pub worst_residual: Length,
    /// Expanded uncertainty of `tir` and of `eccentricity`.
    pub tir_uncertainty: Length,
    pub eccentricity_uncertainty: Length,
}

/// Run-out of `readings` at equal angles round one turn, each with expanded uncertainty `each`.
///
/// Refuses fewer than 3 or more than 72 `readings`, one no dial shows, and a spread no crank that still turns has
/// (`reading`); and an `uncertainty` below nothing.
pub fn runout(readings: &[Length], each: Length) -> Result<Runout, Unfit> {
    counted("readings", readings.len(), COUNT.0, COUNT.1)?;
    for reading in readings {
        inside("readings", *reading, bounds::DIAL)?;
    }
    finite("uncertainty", each)?;
    if each.si() < 0.0 {
        return Err(Unfit::new("uncertainty", Rule::MustNotBeNegative));
    }
    let y: Vec<f64> = readings.iter().map(|r| r.si()).collect();
    let n = y.len() as f64;
    let mean = y.iter().sum::<f64>() / n;
    let (low, high) = y.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
    let most = bounds::RUNOUT;
    if high - low > most {
        let rule = Rule::OutsideRange { low: 0.0, high: most, dimension: Dimension::Length };
        return Err(Unfit::new("spread of readings", rule));
    }
    let at = |k: usize| (TAU * k as f64 / n).sin_cos();
    let (mut a, mut b) = (0.0, 0.0);
    for (k, v) in y.iter().enumerate() {
        let (sin, cos) = at(k);
        a += (v - mean) * cos * 2.0 / n;
        b += (v - mean) * sin * 2.0 / n;
    }
    let residuals: Vec<Length> = y
        .iter()
        .enumerate()
        .map(|(k, v)| {
            let (sin, cos) = at(k);
            Length::from_si(v - mean - a * cos - b * sin)
        })
        .collect();
    let worst = residuals.iter().map(|r| r.si().abs()).fold(0.0, f64::max);
    let eccentricity = a.hypot(b);
    Ok(Runout {
        mean: Length::from_si(mean),
        largest: Length::from_si(high),
        smallest: Length::from_si(low),
        tir: Length::from_si(high - low),
        toward: Length::from_si(a),
        across: Length::from_si(b),
        eccentricity: Length::from_si(eccentricity),
        high_spot: (eccentricity > NOTHING).then(|| Angle::from_si(turned(b.atan2(a)))),
        residuals,
        worst_residual: Length::from_si(worst),
        tir_uncertainty: each * SQRT_2,
        eccentricity_uncertainty: each * (2.0 / n).sqrt(),
    })
}

/// Brought into one turn; a hair short of a whole one is none.
fn turned(angle: f64) -> f64 {
    let angle = angle.rem_euclid(TAU);
    if TAU - angle < 1e-9 { 0.0 } else { angle }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    fn turn(n: usize, offset: f64, e: f64, at: f64) -> Vec<Length> {
        (0..n).map(|k| Length::from_si(offset + e * (TAU * k as f64 / n as f64 - at).cos())).collect()
    }

    #[test]
    fn nonsense_is_named() {
        let few = [inches(0.0), inches(0.001)];
        let rule = Rule::CountWanted { low: 3, high: 72, given: 2 };
        assert_eq!(runout(&few, inches(0.0)).unwrap_err(), Unfit::new("readings", rule));
        let far = [inches(0.0), inches(0.2), inches(0.0)];
        assert_eq!(runout(&far, inches(0.0)).unwrap_err().input, "spread of readings");
        let wild = [inches(0.0), inches(9.0), inches(0.0)];
        assert_eq!(runout(&wild, inches(0.0)).unwrap_err().input, "readings");
        let flat = [inches(0.01); 5];
        assert_eq!(runout(&flat, inches(-0.001)).unwrap_err().input, "uncertainty");
        assert!(runout(&[inches(f64::NAN); 3], inches(0.0)).is_err());
        let level = runout(&flat, inches(0.0)).unwrap();
        assert_eq!((level.high_spot, level.tir.si()), (None, 0.0));
    }

    proptest! {
        #[test]
        fn what_was_put_in_comes_out(
            n in 3_usize..40, offset in -0.002_f64..0.002, e in 1e-6_f64..1e-3, at in 0.0_f64..TAU,
        ) {
            let found = runout(&turn(n, offset, e, at), inches(0.0)).unwrap();
            prop_assert!((found.eccentricity.si() - e).abs() < 1e-12);
            prop_assert!((found.mean.si() - offset).abs() < 1e-12);
            prop_assert!(found.worst_residual.si() < 1e-12);
            // Equal, up to a whole turn.
            let off = (found.high_spot.unwrap().si() - at).rem_euclid(TAU);
            prop_assert!(off.min(TAU - off) < 1e-6);
            // What is read at intervals cannot exceed twice the eccentricity.
            prop_assert!(found.tir.si() <= 2.0 * e + 1e-12);
        }

        #[test]
        fn neither_zero_of_the_dial_nor_unit_matters(
            y in prop::collection::vec(-0.001_f64..0.001, 3..20), zero in -0.005_f64..0.005,
        ) {
            let at = |shift: f64| {
                let list: Vec<Length> = y.iter().map(|v| Length::from_si(v + shift)).collect();
                runout(&list, inches(0.0)).unwrap()
            };
            let (here, there) = (at(0.0), at(zero));
            prop_assert!((here.eccentricity - there.eccentricity).si().abs() < 1e-12);
            prop_assert!((here.tir - there.tir).si().abs() < 1e-12);
            // Least squares: the residual is square to both harmonics and to a constant.
            let n = y.len() as f64;
            let sum = |f: fn(f64) -> f64| -> f64 {
                here.residuals.iter().enumerate().map(|(k, r)| r.si() * f(TAU * k as f64 / n)).sum()
            };
            prop_assert!(sum(|_| 1.0).abs() < 1e-12 && sum(f64::cos).abs() < 1e-12 && sum(f64::sin).abs() < 1e-12);
        }
    }
}
