#![allow(clippy::unwrap_used, clippy::expect_used, clippy::approx_constant)]

use proptest::prelude::*;

use super::*;
use crate::quantity::{inches, millimetres};

/// Two appraisers, three parts, two trials, in inches.
const SMALL: [f64; 12] =
    [2.4995, 2.4990, 2.4985, 2.4996, 2.4990, 2.4984, 2.4997, 2.4991, 2.4986, 2.4996, 2.4992, 2.4986];

fn small(list: &[f64]) -> Table {
    let values: Vec<Length> = list.iter().copied().map(inches).collect();
    Table::new(&values, 2, 3, 2, Order::Rounds).unwrap()
}

#[test]
fn the_two_orders_hold_the_same_readings() {
    let rounds = small(&SMALL);
    let mut by_parts = Vec::new();
    for a in 0..2 {
        for p in 0..3 {
            for t in 0..2 {
                by_parts.push(rounds.reading(a, t, p));
            }
        }
    }
    assert_eq!(Table::new(&by_parts, 2, 3, 2, Order::Parts).unwrap(), rounds);
}

#[test]
fn nonsense_is_named() {
    let values: Vec<Length> = SMALL.iter().copied().map(inches).collect();
    let fault = |a, p, t| Table::new(&values, a, p, t, Order::Rounds).unwrap_err();
    assert_eq!(fault(1, 6, 2).input, "appraisers");
    assert_eq!(fault(6, 1, 2).input, "parts");
    assert_eq!(fault(2, 6, 1).input, "trials");
    assert_eq!(fault(2, 3, 3).rule, Rule::CountWanted { low: 18, high: 18, given: 12 });
    let mut slipped = values.clone();
    slipped[4] = millimetres(2.4990);
    assert_eq!(Table::new(&slipped, 2, 3, 2, Order::Rounds).unwrap_err().input, "values");
    assert_eq!(study(&small(&[2.5; 12])).unwrap_err().input, "values");
    let found = study(&small(&SMALL)).unwrap().anova.variation;
    assert_eq!(found.gauge_of_tolerance(inches(0.0)).unwrap_err().input, "tolerance");
}

#[test]
fn a_gauge_that_repeats_exactly_has_no_share() {
    let parts = [2.4995, 2.4990, 2.4985];
    let list: Vec<f64> = (0..12).map(|i| parts[i % 3]).collect();
    let found = study(&small(&list)).unwrap();
    assert_eq!((found.anova.variation.gauge.si(), found.anova.variation.categories), (0.0, None));
    assert_eq!(found.flat_ranges, 1.0);
}

#[test]
fn constants_are_the_published_ones_or_none() {
    assert_eq!(constants(3, 10, 3), Some((0.5908, 0.5231, 0.3146)));
    assert_eq!(constants(2, 2, 2), Some((0.8862, 0.7071, 0.7071)));
    assert_eq!(
        (constants(4, 10, 3), constants(3, 11, 3), constants(3, 10, 4), constants(1, 5, 2)),
        (None, None, None, None)
    );
}

#[test]
fn a_rating_changes_at_ten_and_thirty_per_cent() {
    let list = [0.05, 0.0999, 0.1, 0.2, 0.3, 0.1 * 3.0, 0.3001, 1.0];
    use Verdict::{Marginal, Out, Within};
    assert_eq!(list.map(rated), [Within, Within, Marginal, Marginal, Marginal, Marginal, Out, Out]);
}

proptest! {
    /// Sums of squares add up to that of all the readings about their mean.
    #[test]
    fn the_squares_add_up(list in proptest::collection::vec(2.49_f64..2.51, 12)) {
        let table = small(&list);
        let found = study(&table).unwrap().anova;
        let mean = list.iter().sum::<f64>() / 12.0;
        let whole: f64 = list.iter().map(|x| ((x - mean) * 0.0254).powi(2)).sum();
        let sum = found.appraisers.squares + found.parts.squares + found.interaction.squares + found.error.squares;
        prop_assert!((sum - whole).abs() <= whole * 1e-9);
    }

    #[test]
    fn the_appraisers_names_do_not_matter(list in proptest::collection::vec(2.49_f64..2.51, 12)) {
        let turned: Vec<f64> = list[6..].iter().chain(&list[..6]).copied().collect();
        let (one, other) = (study(&small(&list)).unwrap(), study(&small(&turned)).unwrap());
        let (one, other) = (one.average_range.unwrap().variation, other.average_range.unwrap().variation);
        prop_assert!((one.gauge_of_total - other.gauge_of_total).abs() < 1e-9);
    }

    #[test]
    fn variances_add_up_and_shares_stay_below_one(list in proptest::collection::vec(2.49_f64..2.51, 12)) {
        let found = study(&small(&list)).unwrap();
        for v in [found.anova.variation, found.average_range.unwrap().variation] {
            let square = |l: Length| l.si() * l.si();
            let gauge = square(v.equipment) + square(v.appraisers) + square(v.interaction);
            prop_assert!((square(v.gauge) - gauge).abs() <= gauge * 1e-9);
            prop_assert!((square(v.total) - gauge - square(v.part)).abs() <= square(v.total) * 1e-9);
            prop_assert!((0.0..=1.0).contains(&v.gauge_of_total));
        }
    }

    #[test]
    fn inch_and_metric_agree(list in proptest::collection::vec(2.49_f64..2.51, 12)) {
        let metric: Vec<Length> = list.iter().map(|x| millimetres(x * 25.4)).collect();
        let metric = study(&Table::new(&metric, 2, 3, 2, Order::Rounds).unwrap()).unwrap().anova.variation;
        let inch = study(&small(&list)).unwrap().anova.variation;
        prop_assert!((metric.gauge_of_total - inch.gauge_of_total).abs() < 1e-7);
    }
}
