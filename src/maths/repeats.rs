//! Spread of repeat readings, pooled over many features.
//!
//! * Of one feature: the sum of squares about its own mean, with n - 1 degrees of freedom (JCGM 100:2008, 4.2.2).
//! * Of all: s = sqrt(sum of those / sum of the degrees of freedom), the pooled variance of NIST/SEMATECH e-Handbook
//!   1.3.5.3 and JCGM 100, 4.2.4. The size of a feature drops out, only how well it repeats is left.
//! * What the spread may truly be, 95 %: s sqrt(v / chi2) at both tails of chi-squared with v degrees of freedom
//!   (e-Handbook 7.2.3.1, from memory). With few repeats that is wide, and it should be seen to be.
//!
//! Values in SI of their own dimension.

use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::{Rule, Unfit, finite};
use crate::quantity::Measure;

/// The spread of single readings, from all features that were read more than once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pooled<Q> {
    /// Features that were read at least twice.
    pub features: usize,
    /// Readings of those.
    pub readings: usize,
    /// Readings - features.
    pub freedom: usize,
    /// Standard deviation of one reading.
    pub deviation: Q,
    /// It lies between these, 95 %.
    pub low: Q,
    pub high: Q,
}

/// Pools `features`, each with all that was read of it; one that was read once has no say.
///
/// Refuses `readings` where none was read twice, and what is not finite.
pub fn pooled<Q: Measure>(features: &[Vec<Q>]) -> Result<Pooled<Q>, Unfit> {
    let (mut groups, mut readings, mut squares) = (0, 0, 0.0);
    for feature in features {
        for reading in feature {
            finite("readings", *reading)?;
        }
        let [first, _, ..] = feature.as_slice() else { continue };
        // From the first reading, so that a small spread on a large size keeps its digits.
        let offsets: Vec<f64> = feature.iter().map(|reading| reading.si() - first.si()).collect();
        let mean = offsets.iter().sum::<f64>() / offsets.len() as f64;
        squares += offsets.iter().map(|offset| (offset - mean).powi(2)).sum::<f64>();
        groups += 1;
        readings += feature.len();
    }
    let freedom = readings - groups;
    let Ok(chi) = ChiSquared::new(freedom as f64) else {
        return Err(Unfit::new("readings", Rule::CountWanted { low: 2, high: usize::MAX, given: readings.max(1) }));
    };
    let deviation = (squares / freedom as f64).sqrt();
    let at = |tail: f64| Q::from_si(deviation * (freedom as f64 / chi.inverse_cdf(tail)).sqrt());
    Ok(Pooled {
        features: groups,
        readings,
        freedom,
        deviation: Q::from_si(deviation),
        low: at(0.975),
        high: at(0.025),
    })
}

/// Parts a row of readings of one feature, in the order they were taken, wherever one differs from the one before by more
/// than `step`: there the part was worked on, or one of the two was a slip.
pub fn runs<Q: Measure>(readings: &[Q], step: Q) -> Vec<Vec<Q>> {
    let apart = |before: &Q, after: &Q| (after.si() - before.si()).abs() <= step.si() * (1.0 + 1e-9);
    readings.chunk_by(apart).map(<[Q]>::to_vec).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{Length, Number, inches};

    fn of(features: &[Vec<f64>]) -> Result<Pooled<Number>, Unfit> {
        pooled(&features.iter().map(|f| f.iter().copied().map(Number).collect()).collect::<Vec<_>>())
    }

    #[test]
    fn a_feature_read_once_has_no_say() {
        assert!(of(&[]).is_err() && of(&[vec![1.0], vec![2.0]]).is_err());
        assert_eq!(of(&[vec![1.0, f64::NAN]]).unwrap_err().rule, Rule::MustBeFinite);
        assert_eq!(of(&[vec![1.0, 3.0], vec![50.0]]), of(&[vec![1.0, 3.0]]));
        let still = of(&[vec![2.5, 2.5, 2.5]]).unwrap();
        assert_eq!((still.deviation.0, still.low.0, still.high.0, still.freedom), (0.0, 0.0, 0.0, 2));
    }

    #[test]
    fn a_jump_parts_a_row() {
        let sizes: Vec<Length> = [4.0, 4.0001, 4.0031, 4.003, 4.0299].map(inches).to_vec();
        let runs = runs(&sizes, inches(0.001));
        assert_eq!(runs.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2, 1]);
        assert_eq!(super::runs(&[inches(2.5), inches(2.501)], inches(0.001)).len(), 1, "just so far is no jump");
        assert!(super::runs::<Length>(&[], inches(0.001)).is_empty());
    }

    proptest! {
        #[test]
        fn neither_size_nor_order_nor_sign_matters(
            mut features in prop::collection::vec(prop::collection::vec(-1.0_f64..1.0, 2..6), 1..8),
            shifts in prop::collection::vec(-100.0_f64..100.0, 8),
        ) {
            let before = of(&features).unwrap();
            features.reverse();
            for (feature, shift) in features.iter_mut().zip(shifts) {
                feature.iter_mut().for_each(|x| *x = shift - *x);
            }
            let after = of(&features).unwrap();
            prop_assert!((before.deviation.0 - after.deviation.0).abs() < 1e-11);
            prop_assert_eq!(before.freedom, after.freedom);
            prop_assert!(after.low.0 <= after.deviation.0 && after.deviation.0 <= after.high.0);
        }

        /// A feature read twice says what its difference says: d / sqrt 2.
        #[test]
        fn a_pair_says_its_difference(a in -1.0_f64..1.0, d in -1.0_f64..1.0) {
            prop_assert!((of(&[vec![a, a + d]]).unwrap().deviation.0 - d.abs() / 2_f64.sqrt()).abs() < 1e-12);
        }

        #[test]
        fn runs_hold_every_reading_in_order(list in prop::collection::vec(-1.0_f64..1.0, 0..30), step in 0.0_f64..1.0) {
            let sizes: Vec<Number> = list.iter().copied().map(Number).collect();
            let parted: Vec<f64> = runs(&sizes, Number(step)).concat().into_iter().map(|n| n.0).collect();
            prop_assert_eq!(parted, list);
        }
    }
}
