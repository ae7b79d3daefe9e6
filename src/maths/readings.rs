//! Mean and uncertainty of repeated readings of one size.
//!
//! * mean = sum x / n; s = sqrt(sum (x - mean)^2 / (n - 1)); type A: u = s / sqrt(n), n - 1 degrees of freedom
//!   (JCGM 100:2008, 4.2). The sum is taken of differences to the first reading, and corrected for their own mean, so
//!   that a small spread on a large size keeps its digits.
//! * Instrument: u = U / 2, its certificate's U being for k = 2 (4.3.3). Resolution: u = step / (2 sqrt 3) (F.2.2.1).
//! * Combined: u = sqrt(sum u_i^2); degrees of freedom by Welch-Satterthwaite, u^4 / sum(u_i^4 / v_i), cut to a whole
//!   number (G.4). U = k u, k being Student's t for 95 % at those degrees of freedom (G.3), or a k that is given.
//!
//! Values in SI of their own dimension.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::{Rule, Unfit, around, counted, finite, inside};
use crate::quantity::{Length, Measure, Number};

/// The most readings that are taken at once.
const MOST: usize = 1001;
/// Sizes from half an inch are one part read again, and agree to a twentieth; below that they may be gaps.
const SIZE: f64 = 0.0127;
/// Coverage factors that mean something.
const COVERAGE: (f64, f64) = (1.0, 4.0);

/// One contribution to an uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Standard uncertainty.
    pub standard: f64,
    /// Degrees of freedom; infinite where it is taken as known.
    pub freedom: f64,
}

/// Root of the sum of squares, and its effective degrees of freedom (Welch-Satterthwaite, not cut to a whole number;
/// infinite where nothing limits them).
pub fn combine(components: &[Component]) -> Component {
    let standard = components.iter().map(|c| c.standard * c.standard).sum::<f64>().sqrt();
    if standard == 0.0 {
        return Component { standard, freedom: f64::INFINITY };
    }
    // Shares of the variance, so that no fourth power underflows.
    let limiting: f64 = components.iter().map(|c| (c.standard / standard).powi(4) / c.freedom).sum();
    Component { standard, freedom: 1.0 / limiting }
}

/// Student's t for a two-sided `probability` (0.5 to 0.9999) at `freedom` (1 or more, or infinite): the coverage factor
/// of JCGM 100, table G.2.
pub fn student(probability: f64, freedom: f64) -> Result<f64, Unfit> {
    inside("probability", Number(probability), (0.5, 0.9999))?;
    let wanted = 0.5 + probability / 2.0;
    // Beyond this the two agree to twelve digits.
    if freedom > 1e8 {
        return Ok(Normal::standard().inverse_cdf(wanted));
    }
    match StudentsT::new(0.0, 1.0, freedom) {
        Ok(t) if freedom >= 1.0 => Ok(t.inverse_cdf(wanted)),
        _ => Err(Unfit::new("freedom", Rule::MustBePositive)),
    }
}

/// What is known beside the readings themselves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known<Q> {
    /// Expanded uncertainty (k = 2) of the instrument.
    pub instrument: Option<Q>,
    /// Smallest step the instrument shows.
    pub resolution: Option<Q>,
    /// A coverage factor to use instead of Student's t.
    pub coverage: Option<f64>,
}

impl<Q> Default for Known<Q> {
    fn default() -> Self {
        Self { instrument: None, resolution: None, coverage: None }
    }
}

/// Mean of n readings, and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mean<Q> {
    pub count: usize,
    pub mean: Q,
    pub smallest: Q,
    pub largest: Q,
    /// Sample standard deviation.
    pub deviation: Q,
    /// Standard uncertainty of the mean from its scatter: deviation / sqrt n.
    pub scatter: Q,
    /// Standard uncertainty from the instrument, and from its resolution; zero where not given.
    pub instrument: Q,
    pub resolution: Q,
    /// Combined standard uncertainty.
    pub standard: Q,
    /// Whole effective degrees of freedom; infinite where the scatter plays no part.
    pub freedom: f64,
    /// Coverage factor, and expanded uncertainty.
    pub coverage: f64,
    pub expanded: Q,
}

/// Mean and uncertainty of 2 to 1001 readings of any one quantity.
///
/// Refuses `instrument` or `resolution` below nothing, and `k` outside 1 to 4.
pub fn mean<Q: Measure>(readings: &[Q], known: Known<Q>) -> Result<Mean<Q>, Unfit> {
    counted("readings", readings.len(), 2, MOST)?;
    for reading in readings {
        finite("readings", *reading)?;
    }
    let n = readings.len() as f64;
    let first = readings[0].si();
    let offsets: Vec<f64> = readings.iter().map(|r| r.si() - first).collect();
    let shift = offsets.iter().sum::<f64>() / n;
    let (squares, rest) = offsets.iter().fold((0.0, 0.0), |(squares, rest), offset| {
        let off = offset - shift;
        (squares + off * off, rest + off)
    });
    let deviation = ((squares - rest * rest / n).max(0.0) / (n - 1.0)).sqrt();
    let given = |input, value: Option<Q>| match value {
        Some(value) if finite(input, value)?.si() < 0.0 => Err(Unfit::new(input, Rule::MustNotBeNegative)),
        other => Ok(other.map_or(0.0, Measure::si)),
    };
    let scatter = deviation / n.sqrt();
    let instrument = given("instrument", known.instrument)? / 2.0;
    let resolution = given("resolution", known.resolution)? / (2.0 * 3_f64.sqrt());
    let free = |standard| Component { standard, freedom: f64::INFINITY };
    let all = combine(&[Component { standard: scatter, freedom: n - 1.0 }, free(instrument), free(resolution)]);
    // A hair up first: nine that came out as 8.999 999 999 is nine.
    let freedom = (all.freedom * (1.0 + 1e-12)).floor();
    let coverage = match known.coverage {
        Some(k) => inside("k", Number(k), COVERAGE)?.0,
        None => student(0.95, freedom)?,
    };
    let (low, high) = readings.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), reading| {
        (low.min(reading.si()), high.max(reading.si()))
    });
    let q = Q::from_si;
    Ok(Mean {
        count: readings.len(),
        mean: q(first + shift),
        smallest: q(low),
        largest: q(high),
        deviation: q(deviation),
        scatter: q(scatter),
        instrument: q(instrument),
        resolution: q(resolution),
        standard: q(all.standard),
        freedom,
        coverage,
        expanded: q(coverage * all.standard),
    })
}

/// [`mean`] of lengths of one part: also refuses a reading that is another size than the rest, as a slip of unit or
/// digit makes it.
pub fn mean_size(readings: &[Length], known: Known<Length>) -> Result<Mean<Length>, Unfit> {
    one_size("readings", readings)?;
    mean(readings, known)
}

/// Lengths read on one kind of part: within a metre, and those of a size agree to a twentieth with their median.
pub(super) fn one_size(input: &'static str, readings: &[Length]) -> Result<(), Unfit> {
    for reading in readings {
        inside(input, *reading, (-1.0, 1.0))?;
    }
    let mut sorted: Vec<f64> = readings.iter().map(|r| r.si()).collect();
    sorted.sort_by(f64::total_cmp);
    let Some(median) = sorted.get(sorted.len() / 2).copied() else { return Ok(()) };
    let allowed = if median >= SIZE {
        around(median)
    } else {
        // Gaps, clearances and deviations, which may be of either sign.
        (-1.05 * SIZE, 1.05 * SIZE)
    };
    readings.iter().try_for_each(|reading| inside(input, *reading, allowed).map(|_| ()))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    fn of(readings: &[f64]) -> Mean<Number> {
        let readings: Vec<Number> = readings.iter().copied().map(Number).collect();
        mean(&readings, Known::default()).unwrap()
    }

    #[test]
    fn readings_all_alike_have_no_scatter() {
        let m = of(&[2.5, 2.5, 2.5]);
        assert_eq!((m.deviation.0, m.expanded.0, m.freedom), (0.0, 0.0, f64::INFINITY));
        let known = Known { instrument: Some(inches(0.0002)), ..Known::default() };
        let m = mean_size(&[inches(2.5); 3], known).unwrap();
        assert!((in_inches(m.standard) - 0.0001).abs() < 1e-15 && m.freedom.is_infinite());
        assert!((m.coverage - 1.959_963_985).abs() < 1e-9);
    }

    #[test]
    fn scatter_alone_keeps_its_own_degrees_of_freedom() {
        for n in 2..40_u32 {
            let list: Vec<f64> = (0..n).map(|i| f64::from(i % 3) * 0.1 + 1.0).collect();
            assert_eq!(of(&list).freedom, f64::from(n - 1), "{n}");
        }
    }

    #[test]
    fn nonsense_is_named() {
        let known = Known::default();
        assert_eq!(mean_size(&[inches(2.5)], known).unwrap_err().input, "readings");
        assert_eq!(mean_size(&[inches(2.5), inches(f64::NAN)], known).unwrap_err().rule, Rule::MustBeFinite);
        let slip = mean_size(&[inches(2.5), millimetres(2.5), inches(2.5)], known).unwrap_err();
        assert!(matches!(slip.rule, Rule::OutsideRange { .. }));
        let bad = Known { instrument: Some(inches(-0.1)), ..known };
        assert_eq!(mean_size(&[inches(2.5); 2], bad).unwrap_err().input, "instrument");
        let bad = Known { coverage: Some(20.0), ..known };
        assert_eq!(mean_size(&[inches(2.5); 2], bad).unwrap_err().input, "k");
        assert!(student(0.95, 0.5).is_err() && student(1.0, 5.0).is_err() && student(0.95, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn the_mean_moves_with_the_readings_and_the_spread_does_not(
            list in proptest::collection::vec(-1.0_f64..1.0, 2..30), shift in -100.0_f64..100.0,
        ) {
            let moved: Vec<f64> = list.iter().map(|x| x + shift).collect();
            let (a, b) = (of(&list), of(&moved));
            prop_assert!((a.mean.0 + shift - b.mean.0).abs() < 1e-11);
            prop_assert!((a.deviation.0 - b.deviation.0).abs() < 1e-11);
            prop_assert!(a.smallest.0 <= a.mean.0 + 1e-12 && a.mean.0 <= a.largest.0 + 1e-12);
        }

        #[test]
        fn inch_and_metric_agree(list in proptest::collection::vec(2.49_f64..2.51, 2..20), u in 0.0_f64..0.001) {
            let inch: Vec<Length> = list.iter().copied().map(inches).collect();
            let metric: Vec<Length> = list.iter().map(|x| millimetres(x * 25.4)).collect();
            let a = mean_size(&inch, Known { instrument: Some(inches(u)), ..Known::default() }).unwrap();
            let b = mean_size(&metric, Known { instrument: Some(millimetres(u * 25.4)), ..Known::default() }).unwrap();
            prop_assert!((a.mean - b.mean).si().abs() < 1e-14);
            prop_assert!((a.standard - b.standard).si().abs() < 1e-14);
        }

        #[test]
        fn more_known_uncertainty_is_never_less_of_it(u in 0.0_f64..0.001, more in 0.0_f64..0.001) {
            let list = [inches(2.4995), inches(2.4993), inches(2.4996)];
            let at = |u: f64| mean_size(&list, Known { instrument: Some(inches(u)), ..Known::default() }).unwrap();
            prop_assert!(at(u + more).standard >= at(u).standard);
            prop_assert!(at(u + more).freedom >= at(u).freedom);
        }

        #[test]
        fn t_falls_with_the_degrees_of_freedom(freedom in 1.0_f64..500.0, more in 0.01_f64..500.0) {
            prop_assert!(student(0.95, freedom).unwrap() >= student(0.95, freedom + more).unwrap());
        }
    }
}
