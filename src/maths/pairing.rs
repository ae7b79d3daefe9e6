//! Which part goes where: one of each kind to one place, at the smallest worst error.
//!
//! Each pair comes to a value (a clearance, a weight); its error is how far that is from the value wanted. The order
//! chosen makes the largest error as small as it can be, then the sum of the squares of the errors, then the number of
//! parts moved from where they were given. First step: a search over the errors for the least one under which everything
//! can still be paired; second: the assignment of least sum with the pairs above it forbidden (Kuhn and Munkres, both).
//!
//! Errors are counted in whole steps, 1 nm or 1 ug, far below any gauge, so that equal ones are equal.
//!
//! * Pistons to bores: value = bore - skirt.
//! * Shells to journals: value = housing - journal - 2 x wall, both halves of a pair having one wall.
//! * Weights: value = the two weights added, a piston assembly and its rod.

use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

use super::{Rule, Unfit, alike, bounds, counted, finite, inside};
use crate::quantity::{Length, Mass, Measure, above};

/// Most pairs at once.
pub const MOST: usize = 24;

/// One way to pair: place k takes part `part[k]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Order<Q> {
    pub part: Vec<usize>,
    /// The value each place comes to.
    pub value: Vec<Q>,
    /// The largest error, without sign.
    pub worst: Q,
    /// Sum of the squares of the errors, SI.
    pub squares: f64,
}

/// As given (the first part in the first place) and as best paired.
#[derive(Debug, Clone, PartialEq)]
pub struct Pairing<Q> {
    pub wanted: Q,
    pub before: Order<Q>,
    pub after: Order<Q>,
}

/// Pistons to bores for the `wanted` clearance, or for the mean of what there is: then the clearances are as even as can be.
///
/// Refuses lists of unequal length, fewer than 2 or more than 24, sizes (`bore`, `skirt`) no engine has or that are not
/// of one engine, and a `wanted` clearance past a fiftieth of the bore.
pub fn pistons(bores: &[Length], skirts: &[Length], wanted: Option<Length>) -> Result<Pairing<Length>, Unfit> {
    counted("bore", bores.len(), 2, MOST)?;
    counted("skirt", skirts.len(), bores.len(), bores.len())?;
    for bore in bores {
        inside("bore", *bore, bounds::BORE)?;
    }
    alike(&["bore"; MOST], bores)?;
    let mean = bores.iter().map(|b| b.si()).sum::<f64>() / bores.len() as f64;
    for skirt in skirts {
        inside("skirt", *skirt, (mean * 0.95, mean * 1.05))?;
    }
    best(bores.len(), |bore, piston| bores[bore] - skirts[piston], checked(wanted, mean)?, 1e-9)
}

/// Pairs of half-shells to journals for the `wanted` oil clearance, or for the mean. Housing k goes with journal k.
///
/// Refuses lists of unequal length (`journal`, `shell`), fewer than 2 or more than 24, and sizes no engine has.
pub fn shells(
    housings: &[Length],
    journals: &[Length],
    walls: &[Length],
    wanted: Option<Length>,
) -> Result<Pairing<Length>, Unfit> {
    let count = housings.len();
    counted("housing", count, 2, MOST)?;
    counted("journal", journals.len(), count, count)?;
    counted("shell", walls.len(), count, count)?;
    for housing in housings {
        inside("housing", *housing, bounds::HOUSING)?;
    }
    alike(&["housing"; MOST], housings)?;
    for journal in journals {
        inside("journal", *journal, bounds::JOURNAL)?;
    }
    alike(&["journal"; MOST], journals)?;
    let mean = journals.iter().map(|j| j.si()).sum::<f64>() / count as f64;
    for (housing, journal) in housings.iter().zip(journals) {
        if !above(*housing, *journal) {
            return Err(Unfit::new("housing", Rule::MustBeAbove { other: "journal" }));
        }
    }
    // Walls that fill the room, give or take a fiftieth of the journal.
    let room = housings.iter().map(|h| h.si()).sum::<f64>() / count as f64 - mean;
    for wall in walls {
        inside("shell", *wall, bounds::WALL)?;
        inside("shell", *wall, ((room / 2.0 - mean / 100.0).max(0.0), room / 2.0 + mean / 100.0))?;
    }
    let value = |place: usize, pair: usize| housings[place] - journals[place] - walls[pair] * 2.0;
    best(count, value, checked(wanted, mean)?, 1e-9)
}

/// Piston assemblies to rods, each sum as near to the mean of all as can be.
///
/// Refuses lists of unequal length (`rod`), fewer than 2 or more than 24, and a weight that is nothing or over 50 kg
/// or that differs from its fellows by more than a quarter.
pub fn weights(assemblies: &[Mass], rods: &[Mass]) -> Result<Pairing<Mass>, Unfit> {
    counted("assembly", assemblies.len(), 2, MOST)?;
    counted("rod", rods.len(), assemblies.len(), assemblies.len())?;
    for (input, list) in [("assembly", assemblies), ("rod", rods)] {
        let mut sorted: Vec<f64> = list.iter().map(|m| m.si()).collect();
        sorted.sort_by(f64::total_cmp);
        let median = sorted[sorted.len() / 2];
        for mass in list {
            inside(input, *mass, (0.001, 50.0))?;
            inside(input, *mass, (median * 0.75, median * 1.25))?;
        }
    }
    best(rods.len(), |rod, assembly| rods[rod] + assemblies[assembly], None, 1e-9)
}

fn checked(wanted: Option<Length>, size: f64) -> Result<Option<Length>, Unfit> {
    wanted.map(|wanted| inside("wanted", wanted, (-0.02 * size, 0.02 * size))).transpose()
}

/// The best order of `count` parts by the value each pair comes to; `step` is the smallest error that counts, SI.
fn best<Q: Measure>(
    count: usize,
    value: impl Fn(usize, usize) -> Q,
    wanted: Option<Q>,
    step: f64,
) -> Result<Pairing<Q>, Unfit> {
    // The mean does not depend on the order: each place and each part counts once.
    let mean = (0..count).map(|k| value(k, k).si()).sum::<f64>() / count as f64;
    let wanted = finite("wanted", wanted.unwrap_or(Q::from_si(mean)))?;
    let error = |place, part| ((value(place, part).si() - wanted.si()).abs() / step).round() as i128;
    let errors = Matrix::from_fn(count, count, |(place, part)| error(place, part));
    let order = |part: Vec<usize>| {
        let value: Vec<Q> = part.iter().enumerate().map(|(place, part)| value(place, *part)).collect();
        let off = value.iter().map(|v| (v.si() - wanted.si()).abs());
        let (worst, squares) = off.fold((0.0_f64, 0.0), |(w, s), e| (w.max(e), s + e * e));
        Order { part, value, worst: Q::from_si(worst), squares }
    };
    Ok(Pairing { wanted, before: order((0..count).collect()), after: order(assign(&errors)) })
}

/// The part for each place: least largest error, then least sum of squares, then fewest moved.
fn assign(errors: &Matrix<i128>) -> Vec<usize> {
    let count = errors.rows;
    let mut steps: Vec<i128> = errors.values().copied().collect();
    steps.sort_unstable();
    steps.dedup();
    let pairs_under = |worst: i128| {
        let past = errors.clone().map(|error| i128::from(error > worst));
        kuhn_munkres_min(&past).0 == 0
    };
    // Under the largest error of all everything pairs, so the search ends inside the list.
    let first = steps.partition_point(|worst| !pairs_under(*worst));
    let worst = steps.get(first).copied().unwrap_or_default();
    let unit = count as i128 + 1;
    // A whole order inside the bound costs less than one pair past it.
    let forbidden = (worst * worst * count as i128 + 1) * unit;
    let costs = Matrix::from_fn(count, count, |(place, part)| {
        let error = errors[(place, part)];
        if error > worst { forbidden } else { error * error * unit + i128::from(place != part) }
    });
    kuhn_munkres_min(&costs).1
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    /// Largest error, sum of squares, parts moved: what two orders are compared by.
    type Worth = (i128, i128, usize);

    fn worth(errors: &Matrix<i128>, order: &[usize]) -> Worth {
        let pairs = || order.iter().enumerate().map(|(place, part)| errors[(place, *part)]);
        let moved = order.iter().enumerate().filter(|(place, part)| place != *part).count();
        (pairs().max().unwrap_or(0), pairs().map(|e| e * e).sum(), moved)
    }

    /// Every order there is.
    fn brute_force(errors: &Matrix<i128>) -> Worth {
        fn walk(errors: &Matrix<i128>, order: &mut Vec<usize>, best: &mut Option<Worth>) {
            if order.len() == errors.rows {
                let found = worth(errors, order);
                *best = Some(best.map_or(found, |b| b.min(found)));
                return;
            }
            for part in 0..errors.rows {
                if !order.contains(&part) {
                    order.push(part);
                    walk(errors, order, best);
                    order.pop();
                }
            }
        }
        let mut best = None;
        walk(errors, &mut Vec::new(), &mut best);
        best.unwrap()
    }

    /// Each place in turn takes the best part left, as a person at the bench would.
    fn greedy(errors: &Matrix<i128>) -> Vec<usize> {
        let mut left: Vec<usize> = (0..errors.rows).collect();
        (0..errors.rows)
            .map(|place| {
                let at = (0..left.len()).min_by_key(|at| errors[(place, left[*at])]).unwrap();
                left.remove(at)
            })
            .collect()
    }

    fn square(count: usize, most: i128) -> impl Strategy<Value = Matrix<i128>> {
        prop::collection::vec(0..most, count * count)
            .prop_map(move |list| Matrix::from_vec(count, count, list).unwrap())
    }

    #[test]
    fn nonsense_is_named() {
        let list = |sizes: &[f64]| sizes.iter().map(|s| inches(*s)).collect::<Vec<_>>();
        let (bores, skirts) = (list(&[4.0305, 4.0302]), list(&[4.0270, 4.0272]));
        assert_eq!(pistons(&bores[..1], &skirts[..1], None).unwrap_err().input, "bore");
        assert_eq!(pistons(&bores, &skirts[..1], None).unwrap_err().input, "skirt");
        assert_eq!(pistons(&bores, &list(&[4.0270, 3.027]), None).unwrap_err().input, "skirt");
        assert_eq!(pistons(&bores, &skirts, Some(inches(0.4))).unwrap_err().input, "wanted");
        assert_eq!(pistons(&list(&[0.4, 0.4]), &skirts, None).unwrap_err().input, "bore");
        let (housing, journal) = (list(&[2.6905, 2.6906]), list(&[2.4995, 2.4993]));
        assert_eq!(shells(&housing, &journal, &list(&[0.0947, 0.947]), None).unwrap_err().input, "shell");
        assert_eq!(shells(&housing, &journal, &list(&[0.0947, 0.04]), None).unwrap_err().input, "shell");
        assert_eq!(shells(&journal, &housing, &list(&[0.0947; 2]), None).unwrap_err().input, "housing");
        assert_eq!(shells(&housing, &journal[..1], &list(&[0.0947; 2]), None).unwrap_err().input, "journal");
        let g = |list: &[f64]| list.iter().map(|m| Mass::from_si(m * 1e-3)).collect::<Vec<_>>();
        assert_eq!(weights(&g(&[560.0, 561.0]), &g(&[600.0])).unwrap_err().input, "rod");
        assert_eq!(weights(&g(&[560.0, 56.0]), &g(&[600.0; 2])).unwrap_err().input, "assembly");
    }

    /// The example in the documentation of scipy.optimize.linear_sum_assignment (from memory): rows take columns 1, 0, 2.
    /// There the least worst error, 2, leaves that order alone.
    #[test]
    fn a_published_assignment() {
        let errors = Matrix::from_vec(3, 3, vec![4, 1, 3, 2, 0, 5, 3, 2, 2]).unwrap();
        assert_eq!(assign(&errors), [1, 0, 2]);
    }

    /// The worst error goes before the sum: 3 + 3 (sum of squares 18) beats 0 + 4 (16).
    #[test]
    fn the_worst_error_goes_first() {
        let errors = Matrix::from_vec(2, 2, vec![0, 3, 3, 4]).unwrap();
        assert_eq!(assign(&errors), [1, 0]);
    }

    #[test]
    fn parts_that_are_as_good_where_they_are_stay() {
        let bores = [4.0302, 4.0302, 4.0302].map(inches);
        let skirts = [4.0268, 4.0268, 4.0268].map(inches);
        assert_eq!(pistons(&bores, &skirts, None).unwrap().after.part, [0, 1, 2]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn equal_to_brute_force((few, wide) in (2_usize..7).prop_flat_map(|n| (square(n, 6), square(n, 5000)))) {
            for errors in [few, wide] {
                prop_assert_eq!(worth(&errors, &assign(&errors)), brute_force(&errors));
            }
        }

        #[test]
        fn never_worse_than_greedy_or_as_given(errors in (2_usize..=MOST).prop_flat_map(|n| square(n, 100_000))) {
            let found = worth(&errors, &assign(&errors));
            prop_assert!(found <= worth(&errors, &greedy(&errors)));
            prop_assert!(found <= worth(&errors, &(0..errors.rows).collect::<Vec<_>>()));
        }

        /// For differences of two sizes, sorted to sorted is an order with the least worst error and least squares
        /// (rearrangement inequality): another road to the same place.
        #[test]
        fn pistons_come_out_sorted(
            sizes in (2_usize..=MOST).prop_flat_map(|n| prop::collection::vec((0_u32..60, 0_u32..60), n)),
            wanted in 0_u32..80,
        ) {
            let micron = |base: f64, step: u32| Length::from_si(base + f64::from(step) * 1e-6);
            let mut bores: Vec<Length> = sizes.iter().map(|(b, _)| micron(0.1, *b)).collect();
            let mut skirts: Vec<Length> = sizes.iter().map(|(_, p)| micron(0.09995, *p)).collect();
            let found = pistons(&bores, &skirts, Some(micron(0.0, wanted))).unwrap();
            let by_size = |a: &Length, b: &Length| a.si().total_cmp(&b.si());
            bores.sort_by(by_size);
            skirts.sort_by(by_size);
            let sorted = pistons(&bores, &skirts, Some(micron(0.0, wanted))).unwrap().before;
            prop_assert!((found.after.worst - sorted.worst).si().abs() < 1e-10);
            prop_assert!((found.after.squares - sorted.squares).abs() < 1e-16);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3))]
        #[test]
        fn equal_to_brute_force_at_eight(errors in square(8, 300)) {
            prop_assert_eq!(worth(&errors, &assign(&errors)), brute_force(&errors));
        }
    }
}
