//! What a reading proves of limits: the zones of ISO 14253-1.
//!
//! With expanded uncertainty U a size is proven inside from min + U to max - U, proven outside past min - U or max + U,
//! and not proven either way between. The 1998 and 2013 editions take U = 2 u; the 2017 edition guards a limit by 1.65 u
//! as a rule (5 % risk at one limit; from memory). The 2013 rule gives the verdict here; the other is shown beside it.
//! SI values of one dimension.

use super::judge::{self, Verdict};
use super::{Rule, Unfit, finite, inside};
use crate::quantity::{Length, Measure, above, below};

/// Guard band of the 2017 edition per standard uncertainty (from memory): the one-sided 95 % point of the normal.
pub const GUARD_2017: f64 = 1.65;

/// Which zone a reading lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zone {
    /// Proven inside.
    Conforms,
    /// Inside the limits, nearer than U to one.
    InsideUnproven,
    /// Past a limit, by U or less.
    OutsideUnproven,
    /// Past a limit by more than U.
    Fails,
}

/// A reading against limits, with the uncertainty zones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    pub verdict: Verdict,
    pub zone: Zone,
    /// U = 2 u: the guard band of the 2013 edition.
    pub guard: Length,
    /// 1.65 u: the guard band of the 2017 edition.
    pub guard_2017: Length,
    /// Verdict with the guard band of the 2017 edition.
    pub verdict_2017: Verdict,
    /// Smallest and largest reading that would prove the size inside; crossed where U is over half the tolerance.
    pub least: Option<Length>,
    pub most: Option<Length>,
    /// To the nearer limit; less than nothing where past it.
    pub to_limit: Length,
    /// Tolerance / U; none with one limit only, or with no uncertainty.
    pub tolerance_per_guard: Option<f64>,
}

/// Judges `reading`, whose expanded uncertainty (k = 2) is `uncertainty`, against one limit or two.
pub fn proof(reading: Length, uncertainty: Length, min: Option<Length>, max: Option<Length>) -> Result<Proof, Unfit> {
    finite("reading", reading)?;
    let limits = [("min", min), ("max", max)];
    for (input, limit) in limits {
        limit.map_or(Ok(()), |limit| inside(input, limit, (-2.0, 2.0)).map(|_| ()))?;
    }
    if let (Some(min), Some(max)) = (min, max)
        && !below(min, max)
    {
        return Err(Unfit::new("max", Rule::MustBeAbove { other: "min" }));
    }
    let nearest = [min.map(|min| reading - min), max.map(|max| max - reading)];
    let Some(to_limit) = nearest.into_iter().flatten().reduce(Length::min) else {
        return Err(Unfit::new("max", Rule::Missing));
    };
    // A reading in the other unit is over 25 times out; a bent crank is not.
    let size = min.map_or(0.0, |l| l.si().abs()).max(max.map_or(0.0, |l| l.si().abs())).max(0.0001);
    let low = if min.is_some_and(|min| min.si() > 0.0) { min.map_or(0.0, Measure::si) / 20.0 } else { -20.0 * size };
    inside("reading", reading, (low, 20.0 * size))?;
    inside("uncertainty", uncertainty, (0.0, size))?;
    let miss = judge::miss(reading, min, max);
    let verdict = judge::verdict(reading, uncertainty, min, max);
    let zone = match (verdict, miss) {
        (_, Some(judge::Miss::Below(by) | judge::Miss::Above(by))) if above(by, uncertainty) => Zone::Fails,
        (_, Some(_)) => Zone::OutsideUnproven,
        (Verdict::Within, None) => Zone::Conforms,
        _ => Zone::InsideUnproven,
    };
    let guard_2017 = uncertainty * (GUARD_2017 / 2.0);
    let tolerance_per_guard = match (min, max) {
        (Some(min), Some(max)) if uncertainty.si() > 0.0 => Some((max - min).si() / uncertainty.si()),
        _ => None,
    };
    Ok(Proof {
        verdict,
        zone,
        guard: uncertainty,
        guard_2017,
        verdict_2017: judge::verdict(reading, guard_2017, min, max),
        least: min.map(|min| min + uncertainty),
        most: max.map(|max| max - uncertainty),
        to_limit,
        tolerance_per_guard,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn judged(reading: f64, u: f64, min: f64, max: f64) -> Result<Proof, Unfit> {
        proof(inches(reading), inches(u), Some(inches(min)), Some(inches(max)))
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |found: Result<Proof, Unfit>| found.unwrap_err().input;
        assert_eq!(fault(judged(2.5, 0.0001, 2.6, 2.4)), "max");
        assert_eq!(fault(judged(2.5, 0.0001, 2.5, 2.5)), "max");
        assert_eq!(fault(judged(2.5, -0.0001, 2.4, 2.6)), "uncertainty");
        assert_eq!(fault(judged(2.5, 5.0, 2.4, 2.6)), "uncertainty");
        assert_eq!(fault(judged(f64::NAN, 0.0, 2.4, 2.6)), "reading");
        assert_eq!(fault(judged(2.5, 0.0, f64::NAN, 2.6)), "min");
        let slip = proof(millimetres(2.5), inches(0.0), Some(inches(2.4)), Some(inches(2.6)));
        assert_eq!(fault(slip), "reading");
        assert_eq!(proof(inches(2.5), inches(0.0), None, None).unwrap_err().rule, Rule::Missing);
    }

    #[test]
    fn a_tolerance_under_two_guards_has_no_proven_zone() {
        let found = judged(2.5, 0.002, 2.499, 2.501).unwrap();
        assert!(found.least.unwrap() > found.most.unwrap());
        assert_eq!((found.zone, found.tolerance_per_guard.unwrap().round()), (Zone::InsideUnproven, 1.0));
    }

    proptest! {
        #[test]
        fn zone_and_verdict_never_disagree(reading in 2.49_f64..2.51, u in 0.0_f64..0.002) {
            let found = judged(reading, u, 2.499, 2.501).unwrap();
            let wanted = match found.zone {
                Zone::Conforms => Verdict::Within,
                Zone::InsideUnproven => Verdict::Marginal,
                Zone::OutsideUnproven | Zone::Fails => Verdict::Out,
            };
            prop_assert_eq!(found.verdict, wanted);
            // The narrower band never judges harder.
            prop_assert_eq!(found.verdict.worse(found.verdict_2017), found.verdict);
        }

        #[test]
        fn the_ends_of_the_proven_zone_are_in_it(u in 0.0_f64..0.0009) {
            let found = judged(2.5, u, 2.499, 2.501).unwrap();
            for end in [found.least.unwrap(), found.most.unwrap()] {
                let again = proof(end, inches(u), Some(inches(2.499)), Some(inches(2.501))).unwrap();
                prop_assert_eq!(again.zone, Zone::Conforms);
            }
        }
    }
}
