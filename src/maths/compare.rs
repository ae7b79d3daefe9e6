//! Cylinders held against each other: cranking pressures and leak-down.
//!
//! * Spread of pressures = 1 - lowest / best (the trade's 75 per cent rule is a spread of 25 per cent; common practice).
//! * A cylinder is weak when its own 1 - pressure / best is over the spread allowed, or its leakage over that allowed.
//! * The pattern of the weak ones: two neighbours alone point at what is between them, one alone at its own parts; where all
//!   but one are weak against that one and alike among themselves, it is that one that stands out (common practice).
//!
//! Pressures in pascals, leakage as a share of one.

use super::{Rule, Unfit, bounds, counted, inside};
use crate::quantity::{Measure, Pressure, Share, above};

/// What the weak cylinders have in common. Numbers are places in the list given, from nought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pattern {
    /// None is weak.
    Even,
    One(usize),
    /// Two side by side and no other.
    Neighbours(usize, usize),
    /// This one stands above the rest, who agree among themselves.
    OneAbove(usize),
    /// Several, not side by side, and not most.
    Several(Vec<usize>),
    /// Half of them or more.
    Most(Vec<usize>),
}

fn pattern(weak: &[bool], neighbours: &dyn Fn(usize, usize) -> bool) -> Pattern {
    let found: Vec<usize> = (0..weak.len()).filter(|&n| weak[n]).collect();
    match found.as_slice() {
        [] => Pattern::Even,
        [one] => Pattern::One(*one),
        [a, b] if neighbours(*a, *b) => Pattern::Neighbours(*a, *b),
        _ if found.len() * 2 >= weak.len() => Pattern::Most(found),
        _ => Pattern::Several(found),
    }
}

/// Pressures compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Cranking {
    pub best: usize,
    pub lowest: usize,
    pub mean: Pressure,
    /// 1 - lowest / best.
    pub spread: Share,
    /// Each pressure as a share of the best.
    pub shares: Vec<Share>,
    pub weak: Vec<bool>,
    pub pattern: Pattern,
}

/// Compares the pressures of 2 to 24 cylinders; `allowed` is the spread that is still even.
pub fn cranking(
    pressures: &[Pressure],
    allowed: Share,
    neighbours: &dyn Fn(usize, usize) -> bool,
) -> Result<Cranking, Unfit> {
    counted("pressures", pressures.len(), 2, 24)?;
    for pressure in pressures {
        inside("pressures", *pressure, bounds::CRANKING)?;
    }
    let (lowest, best) = ends(pressures);
    if pressures[best].si() <= 0.0 {
        return Err(Unfit::new("pressures", Rule::MustBePositive));
    }
    let shares: Vec<Share> = pressures.iter().map(|p| Share(p.si() / pressures[best].si())).collect();
    let is_weak = |share: &Share| above(Share(1.0 - share.0), allowed);
    let weak: Vec<bool> = shares.iter().map(is_weak).collect();
    let rest: Vec<f64> = shares.iter().enumerate().filter(|(n, _)| *n != best).map(|(_, s)| s.0).collect();
    let (low, high) = rest.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), s| (l.min(*s), h.max(*s)));
    let alone = rest.len() > 1 && is_weak(&Share(high)) && !above(Share(1.0 - low / high), allowed);
    let pattern = if alone { Pattern::OneAbove(best) } else { pattern(&weak, neighbours) };
    let mean = pressures.iter().copied().fold(Pressure::from_si(0.0), |sum, p| sum + p) / pressures.len() as f64;
    Ok(Cranking { best, lowest, mean, spread: Share(1.0 - shares[lowest].0), shares, weak, pattern })
}

/// How far one cylinder came back with oil in it: (wet - dry) / (best - dry), 1 where it reached the best. None where it had
/// nothing to gain.
pub fn recovery(dry: Pressure, wet: Pressure, best: Pressure) -> Option<f64> {
    above(best, dry).then(|| (wet - dry).si() / (best - dry).si())
}

/// Leakage compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Leakage {
    pub best: usize,
    pub worst: usize,
    pub middle: Share,
    /// Worst - best.
    pub spread: Share,
    pub weak: Vec<bool>,
    pub pattern: Pattern,
}

/// Compares the leakage of 1 to 24 cylinders; over `allowed` is weak.
pub fn leakage(shares: &[Share], allowed: Share, neighbours: &dyn Fn(usize, usize) -> bool) -> Result<Leakage, Unfit> {
    counted("leakage", shares.len(), 1, 24)?;
    for share in shares {
        inside("leakage", *share, (0.0, 1.0))?;
    }
    let (best, worst) = ends(shares);
    let mut sorted: Vec<f64> = shares.iter().map(|s| s.0).collect();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    let middle = if sorted.len() % 2 == 1 { sorted[half] } else { (sorted[half - 1] + sorted[half]) / 2.0 };
    let weak: Vec<bool> = shares.iter().map(|s| above(*s, allowed)).collect();
    let pattern = pattern(&weak, neighbours);
    let spread = Share(shares[worst].0 - shares[best].0);
    Ok(Leakage { best, worst, middle: Share(middle), spread, weak, pattern })
}

/// Places of the lowest and the highest, the first of equals.
fn ends<Q: Measure>(values: &[Q]) -> (usize, usize) {
    let mut found = (0, 0);
    for (n, value) in values.iter().enumerate() {
        if value.si() < values[found.0].si() {
            found.0 = n;
        }
        if value.si() > values[found.1].si() {
            found.1 = n;
        }
    }
    found
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn next_to(a: usize, b: usize) -> bool {
        a.abs_diff(b) == 1
    }

    fn said(pressures: &[f64]) -> Pattern {
        let list: Vec<Pressure> = pressures.iter().map(|p| Pressure::from_si(p * 1e5)).collect();
        cranking(&list, Share(0.25), &next_to).unwrap().pattern
    }

    #[test]
    fn patterns_by_hand() {
        assert_eq!(said(&[10.0, 9.0, 8.0, 7.5]), Pattern::Even, "75 per cent exactly is even");
        assert_eq!(said(&[10.0, 9.0, 8.0, 7.4]), Pattern::One(3));
        assert_eq!(said(&[10.0, 6.0, 6.2, 10.0]), Pattern::Neighbours(1, 2));
        assert_eq!(said(&[10.0, 6.0, 10.0, 6.0, 10.0, 10.0]), Pattern::Several(vec![1, 3]));
        assert_eq!(said(&[10.0, 3.0, 5.0, 7.0]), Pattern::Most(vec![1, 2, 3]));
        assert_eq!(said(&[10.0, 7.0, 7.2, 7.1]), Pattern::OneAbove(0));
        assert_eq!(said(&[10.0, 7.0]), Pattern::One(1), "of two, neither can be said to stand above");
    }

    #[test]
    fn a_wet_test_by_hand() {
        let p = |bar: f64| Pressure::from_si(bar * 1e5);
        assert!((recovery(p(6.0), p(9.0), p(10.0)).unwrap() - 0.75).abs() < 1e-12);
        assert_eq!(recovery(p(10.0), p(11.0), p(10.0)), None);
    }

    #[test]
    fn nonsense_is_named() {
        let none = cranking(&[Pressure::from_si(0.0); 2], Share(0.25), &next_to).unwrap_err();
        assert_eq!(none.rule, Rule::MustBePositive);
        assert_eq!(cranking(&[Pressure::from_si(1e6)], Share(0.25), &next_to).unwrap_err().input, "pressures");
        assert_eq!(cranking(&[Pressure::from_si(1e9); 2], Share(0.25), &next_to).unwrap_err().input, "pressures");
        assert_eq!(leakage(&[Share(8.0)], Share(0.2), &next_to).unwrap_err().input, "leakage");
        assert_eq!(leakage(&[], Share(0.2), &next_to).unwrap_err().input, "leakage");
    }

    proptest! {
        #[test]
        fn the_unit_of_pressure_does_not_matter(list in proptest::collection::vec(1.0_f64..20.0, 2..12), factor in 0.2_f64..3.0) {
            let of = |f: f64| {
                let list: Vec<Pressure> = list.iter().map(|p| Pressure::from_si(p * f * 1e5)).collect();
                cranking(&list, Share(0.25), &next_to).unwrap().spread.0
            };
            prop_assert!((of(1.0) - of(factor)).abs() < 1e-12);
        }

        #[test]
        fn the_middle_leak_lies_between_best_and_worst(list in proptest::collection::vec(0.0_f64..1.0, 1..12)) {
            let list: Vec<Share> = list.into_iter().map(Share).collect();
            let sum = leakage(&list, Share(0.2), &next_to).unwrap();
            prop_assert!(list[sum.best].0 <= sum.middle.0 && sum.middle.0 <= list[sum.worst].0);
        }
    }
}
