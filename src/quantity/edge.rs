//! Comparison on decimal edges.
//!
//! A limit of 0.010 in and a reading of 0.010 in are equal on the bench but not always in binary. Two values nearer
//! than one part in 10^9 of the larger, or than a thousandth of a millionth of a metre for lengths (1 nm; a tenth
//! of a thou is 2540 nm), count as equal.

use super::{Dimension, Measure};

fn slack(dimension: Dimension, a: f64, b: f64) -> f64 {
    let relative = 1e-9 * a.abs().max(b.abs());
    match dimension {
        Dimension::Length => relative.max(1e-9),
        _ => relative,
    }
}

/// True when `a` is above `b` by more than binary noise.
pub fn above<Q: Measure>(a: Q, b: Q) -> bool {
    a.si() - b.si() > slack(Q::DIMENSION, a.si(), b.si())
}

/// True when `a` is below `b` by more than binary noise.
pub fn below<Q: Measure>(a: Q, b: Q) -> bool {
    above(b, a)
}

#[cfg(test)]
mod tests {
    use super::super::inches;
    use super::*;

    #[test]
    fn a_limit_reached_exactly_is_neither_above_nor_below() {
        let sum = inches(0.1) + inches(0.2);
        assert!(!above(sum, inches(0.3)) && !below(sum, inches(0.3)));
        let wear = inches(4.0100) - inches(4.0000);
        assert!(!above(wear, inches(0.010)) && !below(wear, inches(0.010)));
    }

    #[test]
    fn a_hundredth_of_a_tenth_is_still_seen() {
        assert!(above(inches(0.010_001), inches(0.010)));
    }
}
