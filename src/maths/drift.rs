//! Drift of an instrument against a setting standard: a straight line through its deviations over time.
//!
//! Least squares of y = a + b x (JCGM 100:2008, H.3, in its form about the mean of x):
//!
//! * b = sum((x - mx)(y - my)) / sum((x - mx)^2); the line at x is my + b (x - mx)
//! * s^2 = sum of squared residuals / (n - 2); u(b) = s / sqrt(sum((x - mx)^2))
//! * u(line at x) = s sqrt(1/n + (x - mx)^2 / sum((x - mx)^2))
//! * expanded: Student's t for 95 % at n - 2 degrees of freedom.
//!
//! The slope means something where it exceeds its expanded uncertainty. Time in days, deviations in SI.

use super::readings::student;
use super::{Rule, Unfit, counted, finite};
use crate::quantity::{Measure, Number};

/// The fewest checks that make a trend: two always lie on a line.
const FEWEST: usize = 3;
const MOST: usize = 10_000;

/// One check against the standard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen<Q> {
    /// When, in days from any one moment.
    pub day: f64,
    /// What it read less what the standard is.
    pub deviation: Q,
}

/// The line through all checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift<Q> {
    pub count: usize,
    /// Mean day, and the mean deviation.
    pub middle: f64,
    pub mean: Q,
    /// Change in a day, its standard uncertainty, and that expanded.
    pub slope: Q,
    pub standard: Q,
    pub expanded: Q,
    /// Standard deviation about the line.
    pub scatter: Q,
    /// Degrees of freedom, and the coverage factor for them.
    pub freedom: usize,
    pub coverage: f64,
}

/// Fits 3 to 10 000 checks. Refuses as `checks` fewer, and checks that are all of one day.
pub fn fit<Q: Measure>(seen: &[Seen<Q>]) -> Result<Drift<Q>, Unfit> {
    counted("checks", seen.len(), FEWEST, MOST)?;
    for one in seen {
        finite("checks", Number(one.day))?;
        finite("checks", one.deviation)?;
    }
    let n = seen.len() as f64;
    // From the first, so that many years and a large zero keep their digits.
    let origin = seen[0];
    let x: Vec<f64> = seen.iter().map(|one| one.day - origin.day).collect();
    let y: Vec<f64> = seen.iter().map(|one| one.deviation.si() - origin.deviation.si()).collect();
    let (mx, my) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
    let sxx: f64 = x.iter().map(|x| (x - mx).powi(2)).sum();
    if sxx <= 0.0 {
        return Err(Unfit::new("checks", Rule::MustBePositive));
    }
    let slope = x.iter().zip(&y).map(|(x, y)| (x - mx) * (y - my)).sum::<f64>() / sxx;
    let squares: f64 = x.iter().zip(&y).map(|(x, y)| (y - my - slope * (x - mx)).powi(2)).sum();
    let freedom = seen.len() - 2;
    let scatter = (squares / freedom as f64).sqrt();
    let (standard, coverage) = (scatter / sxx.sqrt(), student(0.95, freedom as f64)?);
    Ok(Drift {
        count: seen.len(),
        middle: mx + origin.day,
        mean: Q::from_si(my + origin.deviation.si()),
        slope: Q::from_si(slope),
        standard: Q::from_si(standard),
        expanded: Q::from_si(coverage * standard),
        scatter: Q::from_si(scatter),
        freedom,
        coverage,
    })
}

impl<Q: Measure> Drift<Q> {
    /// The line on that day.
    pub fn at(&self, day: f64) -> Q {
        Q::from_si(self.mean.si() + self.slope.si() * (day - self.middle))
    }

    /// Expanded uncertainty of the line on that day.
    pub fn expanded_at(&self, day: f64) -> Q {
        let mean = (self.scatter.si() / (self.count as f64).sqrt()) * self.coverage;
        Q::from_si(mean.hypot(self.expanded.si() * (day - self.middle)))
    }

    /// Whether the slope can be told from none.
    pub fn is_clear(&self) -> bool {
        self.slope.si().abs() > self.expanded.si()
    }

    /// The day on which the line leaves `-limit..=limit`; none where it does not, or left it before `after`.
    pub fn leaves(&self, limit: Q, after: f64) -> Option<f64> {
        let slope = self.slope.si();
        let wall = limit.si().abs() * slope.signum();
        let day = self.middle + (wall - self.mean.si()) / slope;
        (day.is_finite() && day > after).then_some(day)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn of(points: &[(f64, f64)]) -> Result<Drift<Number>, Unfit> {
        let seen: Vec<_> = points.iter().map(|(day, y)| Seen { day: *day, deviation: Number(*y) }).collect();
        fit(&seen)
    }

    #[test]
    fn two_checks_or_one_day_are_no_trend() {
        assert_eq!(of(&[(0.0, 0.0), (9.0, 1.0)]).unwrap_err().input, "checks");
        assert_eq!(of(&[(4.0, 0.0), (4.0, 1.0), (4.0, 2.0)]).unwrap_err().rule, Rule::MustBePositive);
        assert!(of(&[(0.0, 0.0), (1.0, f64::NAN), (2.0, 0.0)]).is_err());
    }

    #[test]
    fn the_day_it_leaves_its_bounds() {
        let line = of(&[(0.0, 0.0), (100.0, 1.0), (200.0, 2.0)]).unwrap();
        assert!((line.leaves(Number(3.0), 200.0).unwrap() - 300.0).abs() < 1e-9);
        assert_eq!(line.leaves(Number(1.0), 200.0), None, "it left them before");
        assert_eq!(of(&[(0.0, 1.0), (1.0, 1.0), (2.0, 1.0)]).unwrap().leaves(Number(2.0), 0.0), None);
        assert!(line.is_clear() && line.expanded.0 < 1e-12);
    }

    proptest! {
        #[test]
        fn a_line_comes_back(a in -1.0_f64..1.0, b in -1e-2_f64..1e-2, days in prop::collection::vec(0.0_f64..2000.0, 3..30)) {
            prop_assume!(days.iter().any(|d| (d - days[0]).abs() > 1.0));
            let points: Vec<_> = days.iter().map(|x| (*x, a + b * x)).collect();
            let line = of(&points).unwrap();
            prop_assert!((line.slope.0 - b).abs() < 1e-12);
            prop_assert!((line.at(0.0).0 - a).abs() < 1e-9);
        }

        #[test]
        fn neither_the_calendar_nor_the_zero_matters(
            points in prop::collection::vec((0.0_f64..400.0, -1.0_f64..1.0), 3..20),
            later in 0.0_f64..20_000.0, up in -5.0_f64..5.0,
        ) {
            prop_assume!(points.iter().any(|p| (p.0 - points[0].0).abs() > 1.0));
            let moved: Vec<_> = points.iter().map(|(x, y)| (x + later, y + up)).collect();
            let (here, there) = (of(&points).unwrap(), of(&moved).unwrap());
            prop_assert!((here.slope.0 - there.slope.0).abs() < 1e-9);
            prop_assert!((here.standard.0 - there.standard.0).abs() < 1e-9);
            prop_assert!((here.at(7.0).0 + up - there.at(7.0 + later).0).abs() < 1e-8);
            // It is surest in the middle.
            prop_assert!(here.expanded_at(here.middle).0 <= here.expanded_at(here.middle + 10.0).0 + 1e-15);
        }
    }
}
