//! The tables against the formulas of ISO 286-1 they were rounded from, and the identities of a fit.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use proptest::prelude::*;

use super::*;
use crate::quantity::Measure;

/// Geometric mean of a step's ends, as the standard takes it. To 3 mm the standard rounds freely, so the first step is
/// left out here and pinned among the worked sums.
fn mean(at: usize, ends: &[f64]) -> f64 {
    (ends[at - 1] * ends[at]).sqrt()
}

/// ISO 286-1: i = 0.45 D^(1/3) + 0.001 D; IT5 to IT11 are 7, 10, 16, 25, 40, 64 and 100 i, rounded.
#[test]
fn widths_are_multiples_of_the_tolerance_unit() {
    for (at, _) in STEPS.iter().enumerate().skip(1) {
        let d = mean(at, &STEPS);
        let unit = 0.45 * d.cbrt() + 0.001 * d;
        for (row, times) in [7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0].into_iter().enumerate() {
            let (table, formula) = (f64::from(WIDTHS[row + 1][at]), times * unit);
            assert!(
                (table - formula).abs() <= (0.04 * formula).max(0.75),
                "IT{} step {at}: {table} {formula}",
                row + 5
            );
        }
    }
}

/// ISO 286-1: d = 16 D^0.44, e = 11 D^0.41, f = 5.5 D^0.41, g = 2.5 D^0.34, k = 0.6 D^(1/3), n = 5 D^0.34, in um,
/// and m = IT7 - IT6.
#[test]
fn deviations_follow_their_formulas() {
    for (at, _) in STEPS.iter().enumerate().skip(1) {
        let d = mean(at, &STEPS);
        let near = |name: &str, table: i32, formula: f64| {
            let slack = (0.04 * formula).max(1.0);
            assert!((f64::from(table) - formula).abs() <= slack, "{name} step {at}: {table} {formula}");
        };
        near("d", D[at], 16.0 * d.powf(0.44));
        near("e", E[at], 11.0 * d.powf(0.41));
        near("f", F[at], 5.5 * d.powf(0.41));
        near("g", G[at], 2.5 * d.powf(0.34));
        near("k", K[at], 0.6 * d.cbrt());
        assert_eq!(M[at], WIDTHS[3][at] - WIDTHS[2][at], "m step {at}");
        near("n", N[at], 5.0 * d.powf(0.34));
        let over = P[at] - WIDTHS[3][at];
        assert!((-4..=5).contains(&over), "p is IT7 and a little: step {at}, {over}");
    }
}

/// ISO 286-1: s = IT8 and 1 to 4 um to 50 mm, IT7 + 0.4 D above; r = the geometric mean of p and s.
#[test]
fn r_lies_between_p_and_s() {
    for (at, _) in FINE.iter().enumerate().skip(1) {
        let d = mean(at, &FINE);
        let main = step(FINE[at], &STEPS);
        if FINE[at] <= 50.0 {
            assert!((0..=4).contains(&(S[at] - WIDTHS[4][main])), "s step {at}");
        } else {
            let formula = f64::from(WIDTHS[3][main]) + 0.4 * d;
            assert!((f64::from(S[at]) - formula).abs() <= 2.0, "s step {at}: {} {formula}", S[at]);
        }
        let between = (f64::from(P[main]) * f64::from(S[at])).sqrt();
        assert!((f64::from(R[at]) - between).abs() <= 1.5, "r step {at}: {} {between}", R[at]);
    }
}

fn class(feature: Feature, letter: Letter, grade: u32) -> Class {
    Class { feature, letter, grade }
}

#[test]
fn outside_the_standard_is_refused() {
    let h7 = class(Feature::Hole, Letter::H, 7);
    for size in [0.5, 500.1, f64::NAN] {
        assert_eq!(limits(millimetres(size), h7).unwrap_err().input, "size");
    }
    for grade in [0, 4, 12, 99] {
        let found = limits(millimetres(25.0), class(Feature::Shaft, Letter::H, grade));
        assert_eq!(found.unwrap_err().input, "grade");
    }
    assert_eq!(limits(millimetres(25.0), class(Feature::Hole, Letter::K, 9)).unwrap_err().input, "grade");
}

#[test]
fn a_size_on_the_edge_of_a_step_belongs_to_the_smaller() {
    let width = |size| limits(millimetres(size), class(Feature::Hole, Letter::H, 7)).unwrap().width;
    assert!((in_millimetres(width(30.0)) - 0.021).abs() < 1e-9);
    assert!((in_millimetres(width(30.001)) - 0.025).abs() < 1e-9);
}

proptest! {
    #[test]
    fn limits_are_a_grade_apart(size in 1.0_f64..500.0, at in 0_usize..12, grade in 5_u32..=11, hole in any::<bool>()) {
        let feature = if hole { Feature::Hole } else { Feature::Shaft };
        if let Ok(found) = limits(millimetres(size), class(feature, Letter::ALL[at], grade)) {
            prop_assert!((found.upper - found.lower - found.width).si().abs() < 1e-12);
            prop_assert!((found.largest - found.smallest - found.width).si().abs() < 1e-12);
        }
    }

    /// The rule behind D: a hole of one grade on h one finer fits as the shaft of that finer grade in H of the coarser.
    #[test]
    fn hole_basis_and_shaft_basis_agree(size in 3.01_f64..500.0, grade in 6_u32..=7, at in 9_usize..12) {
        let letter = Letter::ALL[at];
        let nominal = millimetres(size);
        let on_hole = fit(nominal, class(Feature::Hole, Letter::H, grade), class(Feature::Shaft, letter, grade - 1)).unwrap();
        let on_shaft = fit(nominal, class(Feature::Hole, letter, grade), class(Feature::Shaft, Letter::H, grade - 1)).unwrap();
        prop_assert!((on_hole.tightest - on_shaft.tightest).si().abs() < 1e-12);
        prop_assert!((on_hole.loosest - on_shaft.loosest).si().abs() < 1e-12);
    }

    #[test]
    fn tighter_letters_fit_tighter(size in 3.01_f64..500.0, grade in 5_u32..=7, at in 0_usize..11) {
        let upper = |letter| limits(millimetres(size), class(Feature::Shaft, letter, grade)).unwrap().upper;
        prop_assert!(upper(Letter::ALL[at]) < upper(Letter::ALL[at + 1]) + millimetres(1e-9));
    }
}
