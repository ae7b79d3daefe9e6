//! Pooled spread and drift against data sets whose answers are certified, and against general libraries.

use gudgeon::maths::drift::{self, Seen};
use gudgeon::maths::repeats::pooled;
use gudgeon::quantity::Number;

use super::close;

fn numbers(rows: &[&[f64]]) -> Vec<Vec<Number>> {
    rows.iter().map(|row| row.iter().copied().map(Number).collect()).collect()
}

/// NIST StRD, analysis of variance, SiRstv: resistivity read five times with each of five instruments. Certified within:
/// 20 degrees of freedom, residual standard deviation 1.04076068334656E-01. (Data from memory: they give all its digits.)
#[test]
fn the_spread_within_instruments_is_the_certified_one() {
    let spread = pooled(&numbers(&[
        &[196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
        &[196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
        &[196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
        &[196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
        &[196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
    ]))
    .unwrap();
    assert_eq!((spread.features, spread.readings, spread.freedom), (5, 25, 20));
    close(spread.deviation.0, 0.104_076_068_334_656, 1e-11);
    // scipy 1 chi2.ppf(0.975, 20) and (0.025, 20): factors 0.765059137537121 and 1.4440694899854318.
    close(spread.low.0, 0.765_059_137_537_121 * 0.104_076_068_334_656, 1e-10);
    close(spread.high.0, 1.444_069_489_985_431_8 * 0.104_076_068_334_656, 1e-10);
}

/// NIST/SEMATECH e-Handbook 1.3.5.3, the pooled variance of two samples: ((n1 - 1) s1^2 + (n2 - 1) s2^2) / (n1 + n2 - 2),
/// by hand: {1, 2, 3, 4} has 5, {10, 14} has 8; (5 + 8) / 4 = 3.25.
#[test]
fn two_samples_pool_by_their_degrees_of_freedom() {
    let spread = pooled(&numbers(&[&[1.0, 2.0, 3.0, 4.0], &[10.0, 14.0], &[7.0]])).unwrap();
    assert_eq!((spread.features, spread.freedom), (2, 4));
    close(spread.deviation.0, 3.25_f64.sqrt(), 1e-14);
}

/// One repeat says little: scipy 1, sqrt(1 / chi2.ppf(0.025, 1)) = 31.91015934964397.
#[test]
fn one_repeat_leaves_the_spread_wide_open() {
    let spread = pooled(&numbers(&[&[0.0, 2_f64.sqrt()]])).unwrap();
    close(spread.deviation.0, 1.0, 1e-14);
    close(spread.low.0, 0.446_149_184_920_708_9, 1e-9);
    close(spread.high.0, 31.910_159_349_643_97, 1e-9);
}

/// NIST StRD, linear regression, Norris: an ozone monitor against a standard, 36 observations (y, x). Certified: slope
/// 1.00211681802045 with standard deviation 0.429796848199937E-03, intercept -0.262323073774029 with 0.232818234301152,
/// residual standard deviation 0.884796396144373. (Data from memory: statsmodels gives those digits from them.)
#[test]
fn a_line_through_a_certified_set() {
    const NORRIS: [(f64, f64); 36] = [
        (0.1, 0.2),
        (338.8, 337.4),
        (118.1, 118.2),
        (888.0, 884.6),
        (9.2, 10.1),
        (228.1, 226.5),
        (668.5, 666.3),
        (998.5, 996.3),
        (449.1, 448.6),
        (778.9, 777.0),
        (559.2, 558.2),
        (0.3, 0.4),
        (0.1, 0.6),
        (778.1, 775.5),
        (668.8, 666.9),
        (339.3, 338.0),
        (448.9, 447.5),
        (10.8, 11.6),
        (557.7, 556.0),
        (228.3, 228.1),
        (998.0, 995.8),
        (888.8, 887.6),
        (119.6, 120.2),
        (0.3, 0.3),
        (0.6, 0.3),
        (557.6, 556.8),
        (339.3, 339.1),
        (888.0, 887.2),
        (998.5, 999.0),
        (778.9, 779.0),
        (10.2, 11.1),
        (117.6, 118.3),
        (228.9, 229.2),
        (668.4, 669.1),
        (449.2, 448.9),
        (0.2, 0.5),
    ];
    let seen: Vec<_> = NORRIS.iter().map(|(y, x)| Seen { day: *x, deviation: Number(*y) }).collect();
    let line = drift::fit(&seen).unwrap();
    assert_eq!((line.count, line.freedom), (36, 34));
    close(line.slope.0, 1.002_116_818_020_45, 1e-12);
    close(line.standard.0, 0.429_796_848_199_937e-3, 1e-12);
    close(line.scatter.0, 0.884_796_396_144_373, 1e-12);
    close(line.at(0.0).0, -0.262_323_073_774_029, 1e-11);
    // The intercept is the line at no day at all: its uncertainty is that of the line there.
    close(line.expanded_at(0.0).0 / line.coverage, 0.232_818_234_301_152, 1e-11);
    // Student's t at 34 degrees of freedom, scipy 1: 2.0322445093177173.
    close(line.coverage, 2.032_244_509_317_717_3, 1e-9);
    assert!(line.is_clear());
}
