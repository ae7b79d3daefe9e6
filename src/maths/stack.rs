//! Tolerance stacks: what is left at the end of a chain of dimensions.
//!
//! Each dimension has a sign (minus where it is taken away) and limits above and below its size. One-sided limits are
//! first centred: middle = size + (plus - minus) / 2, half = (plus + minus) / 2.
//!
//! * gap = sum of the middles
//! * worst case: half = sum of the halves; no assembly of parts to drawing can be past it
//! * root-sum-square: half = sqrt(sum half^2); holds for about as large a share of assemblies as each half does of its
//!   parts (99.7 % where that is three standard deviations), if parts are independent and centred. Definitions; textbook
//!   practice.
//!
//! Lengths in metres.

use super::{Rule, Unfit, counted, finite, inside};
use crate::quantity::{Length, Measure, above};

/// Longest dimension of a chain, m.
const LONGEST: f64 = 2.0;

/// One link of the chain. `size` is negative where it is taken away; `plus` and `minus` are zero or more, and belong
/// to the dimension itself, not to its sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    pub size: Length,
    pub plus: Length,
    pub minus: Length,
}

/// A link centred, with its part in the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Centred {
    /// Signed as the size is.
    pub middle: Length,
    pub half: Length,
    /// Share of the variance of the sum, 0 to 1.
    pub share: f64,
}

/// Limits of what is left, either way.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    pub links: Vec<Centred>,
    /// Sum of the sizes as written.
    pub nominal: Length,
    /// Sum of the middles.
    pub middle: Length,
    pub worst: Length,
    pub root_sum_square: Length,
}

impl Stack {
    /// Smallest and largest in the worst case.
    pub fn worst_limits(&self) -> (Length, Length) {
        (self.middle - self.worst, self.middle + self.worst)
    }

    /// Smallest and largest by root-sum-square.
    pub fn likely_limits(&self) -> (Length, Length) {
        (self.middle - self.root_sum_square, self.middle + self.root_sum_square)
    }
}

/// Sums 2 to 24 links. Refuses a tolerance below nothing or above its own dimension, and a chain with no tolerance.
pub fn stack(links: &[Link]) -> Result<Stack, Unfit> {
    counted("dimensions", links.len(), 2, 24)?;
    let nothing = Length::from_si(0.0);
    let mut centred = Vec::with_capacity(links.len());
    for link in links {
        inside("dimensions", link.size, (-LONGEST, LONGEST))?;
        for tolerance in [link.plus, link.minus] {
            if finite("tolerance", tolerance)? < nothing {
                return Err(Unfit::new("tolerance", Rule::MustNotBeNegative));
            }
            // A position is written 0 +- 0.001: it has no size to compare with.
            let most = if link.size == nothing { Length::from_si(0.01) } else { link.size.abs() };
            if above(tolerance, most) {
                return Err(Unfit::new("tolerance", Rule::MustNotExceed { other: "dimension it stands at" }));
            }
        }
        let shift = (link.plus - link.minus) / 2.0;
        let middle = if link.size < nothing { link.size - shift } else { link.size + shift };
        centred.push(Centred { middle, half: (link.plus + link.minus) / 2.0, share: 0.0 });
    }
    let variance: f64 = centred.iter().map(|c| c.half.si() * c.half.si()).sum();
    if variance <= 0.0 {
        return Err(Unfit::new("tolerance", Rule::Missing));
    }
    for link in &mut centred {
        link.share = link.half.si() * link.half.si() / variance;
    }
    let sum = |of: fn(&Centred) -> Length| centred.iter().map(of).fold(nothing, |a, b| a + b);
    Ok(Stack {
        nominal: links.iter().fold(nothing, |a, link| a + link.size),
        middle: sum(|c| c.middle),
        worst: sum(|c| c.half),
        root_sum_square: Length::from_si(variance.sqrt()),
        links: centred,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_millimetres, inches, millimetres};

    fn link(size: f64, plus: f64, minus: f64) -> Link {
        Link { size: millimetres(size), plus: millimetres(plus), minus: millimetres(minus) }
    }

    #[test]
    fn limits_on_one_side_are_centred_with_their_sign() {
        // Hole 25 +0.021 -0, shaft 25 -0.007 -0.020 written as 24.993 +0 -0.013: clearance 0.007 to 0.041.
        let fit = stack(&[link(25.0, 0.021, 0.0), link(-24.993, 0.0, 0.013)]).unwrap();
        let (low, high) = fit.worst_limits();
        assert!((in_millimetres(low) - 0.007).abs() < 1e-12 && (in_millimetres(high) - 0.041).abs() < 1e-12);
        assert!((in_millimetres(fit.nominal) - 0.007).abs() < 1e-12);
    }

    #[test]
    fn nonsense_is_named() {
        let good = link(25.0, 0.1, 0.1);
        assert_eq!(stack(&[good]).unwrap_err().input, "dimensions");
        assert_eq!(stack(&[good, link(25.0, -0.1, 0.1)]).unwrap_err().rule, Rule::MustNotBeNegative);
        assert_eq!(stack(&[good, link(2.0, 2.5, 2.5)]).unwrap_err().input, "tolerance");
        assert_eq!(stack(&[link(1.0, 0.0, 0.0); 2]).unwrap_err().rule, Rule::Missing);
        assert_eq!(stack(&[good, link(1e5, 0.1, 0.1)]).unwrap_err().input, "dimensions");
        assert!(stack(&[good, link(f64::NAN, 0.1, 0.1)]).is_err() && stack(&[good, link(1.0, f64::NAN, 0.1)]).is_err());
    }

    proptest! {
        #[test]
        fn likely_is_never_wider_than_worst(list in proptest::collection::vec((1.0_f64..100.0, 0.0_f64..0.5, 0.001_f64..0.5), 2..24)) {
            let links: Vec<Link> = list.iter().map(|(s, p, m)| link(*s, *p, *m)).collect();
            let found = stack(&links).unwrap();
            prop_assert!(found.root_sum_square.si() <= found.worst.si() * (1.0 + 1e-12));
            prop_assert!((found.links.iter().map(|l| l.share).sum::<f64>() - 1.0).abs() < 1e-12);
            prop_assert!(found.worst.si() <= found.root_sum_square.si() * (list.len() as f64).sqrt() * (1.0 + 1e-12));
        }

        #[test]
        fn the_other_way_round_is_the_negative(a in 1.0_f64..100.0, b in 1.0_f64..100.0, p in 0.0_f64..0.5, m in 0.001_f64..0.5) {
            let way = stack(&[link(a, p, m), link(-b, m, p)]).unwrap();
            let back = stack(&[link(-a, p, m), link(b, m, p)]).unwrap();
            prop_assert!((way.middle + back.middle).si().abs() < 1e-15);
            prop_assert!((way.worst - back.worst).si().abs() < 1e-15);
        }

        #[test]
        fn inch_and_metric_agree(a in 1.0_f64..10.0, b in 1.0_f64..10.0, t in 0.001_f64..0.1) {
            let metric = stack(&[link(a * 25.4, t * 25.4, 0.0), link(-b * 25.4, t * 25.4, t * 25.4)]).unwrap();
            let inch = |s, p, m| Link { size: inches(s), plus: inches(p), minus: inches(m) };
            let inch = stack(&[inch(a, t, 0.0), inch(-b, t, t)]).unwrap();
            prop_assert!((metric.middle - inch.middle).si().abs() < 1e-14);
            prop_assert!((metric.root_sum_square - inch.root_sum_square).si().abs() < 1e-14);
        }
    }
}
