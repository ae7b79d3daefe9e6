//! The sums: pure functions on typed quantities. No files, no clock, no words for people.
//!
//! Every function takes quantities in SI inside `uom` types and returns a result whose fields are the intermediates a
//! person would want in the line of working. A pure number (a factor, a ratio, a count) is an `f64` or `u32`. What does
//! not fit is named by [`Unfit`]: which input, and the numeric rule it broke.

pub mod blocks;
pub mod bobweight;
pub mod bolts;
pub mod bores;
mod bounds;
pub mod cams;
pub mod clearance;
pub mod compare;
pub mod compression;
pub mod convert;
pub mod cranks;
pub mod cylinders;
pub mod drift;
pub mod elastic;
pub mod faces;
pub mod film;
pub mod grades;
pub mod grinds;
pub mod heating;
pub mod iso286;
pub mod journals;
pub mod judge;
pub mod materials;
pub mod oil;
pub mod pairing;
pub mod pins;
pub mod press;
pub mod proof;
pub mod pushrods;
pub mod readings;
pub mod reference;
pub mod repeats;
pub mod ring_fit;
pub mod rings;
pub mod runout;
pub mod shells;
pub mod sizes;
pub mod sleeves;
pub mod slider;
pub mod springs;
pub mod stack;
pub mod stretch;
pub mod study;
pub mod threads;
pub mod tightening;
pub mod trapped;
pub mod valve_gap;
pub mod valves;

use crate::quantity::{Dimension, Length, Measure, above, below};

/// An input a sum cannot work with, and why: the one error of maths.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{input}: {rule:?}")]
pub struct Unfit {
    pub input: &'static str,
    pub rule: Rule,
}

/// The numeric fact an input broke. Numbers are SI values of the dimension named beside them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// Not a number, or infinite.
    MustBeFinite,
    /// Zero or less, where only more than zero means anything.
    MustBePositive,
    /// Less than zero.
    MustNotBeNegative,
    /// Not above the named other input.
    MustBeAbove { other: &'static str },
    /// Above the named other input; equal is accepted.
    MustNotExceed { other: &'static str },
    /// Outside what is possible here; the ends are accepted.
    OutsideRange { low: f64, high: f64, dimension: Dimension },
    /// Too few or too many values; the ends are accepted.
    CountWanted { low: usize, high: usize, given: usize },
    /// The sum cannot be done without this input.
    Missing,
    /// A unit of another kind of quantity.
    KindWanted { wanted: Dimension, given: Dimension },
}

impl Unfit {
    fn new(input: &'static str, rule: Rule) -> Self {
        Self { input, rule }
    }
}

/// Smallest, largest and mean of several readings of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub smallest: Length,
    pub largest: Length,
    pub mean: Length,
}

impl Spread {
    /// Of one or more readings; an empty list is refused as `input`.
    pub fn of(input: &'static str, readings: &[Length]) -> Result<Self, Unfit> {
        let Some((first, rest)) = readings.split_first() else {
            return Err(Unfit::new(input, Rule::CountWanted { low: 1, high: usize::MAX, given: 0 }));
        };
        let (mut smallest, mut largest, mut sum) = (*first, *first, *first);
        for reading in rest {
            finite(input, *reading)?;
            smallest = smallest.min(*reading);
            largest = largest.max(*reading);
            sum += *reading;
        }
        finite(input, *first)?;
        Ok(Self { smallest, largest, mean: sum / readings.len() as f64 })
    }

    /// Largest minus smallest.
    pub fn range(&self) -> Length {
        self.largest - self.smallest
    }
}

fn finite<Q: Measure>(input: &'static str, value: Q) -> Result<Q, Unfit> {
    if value.si().is_finite() { Ok(value) } else { Err(Unfit::new(input, Rule::MustBeFinite)) }
}

/// Inside `low..=high` in SI, on decimal edges.
fn inside<Q: Measure>(input: &'static str, value: Q, (low, high): (f64, f64)) -> Result<Q, Unfit> {
    finite(input, value)?;
    if below(value, Q::from_si(low)) || above(value, Q::from_si(high)) {
        return Err(Unfit::new(input, Rule::OutsideRange { low, high, dimension: Q::DIMENSION }));
    }
    Ok(value)
}

fn counted(input: &'static str, given: usize, low: usize, high: usize) -> Result<(), Unfit> {
    if (low..=high).contains(&given) {
        return Ok(());
    }
    Err(Unfit::new(input, Rule::CountWanted { low, high, given }))
}

/// Readings of one part cannot differ by more than a twentieth: past that one of them was mistyped, and it is the one
/// far from the median. `inputs` names each reading.
fn alike(inputs: &[&'static str], readings: &[Length]) -> Result<(), Unfit> {
    let mut sorted: Vec<f64> = readings.iter().map(|r| r.si()).collect();
    sorted.sort_by(f64::total_cmp);
    let Some(median) = sorted.get(sorted.len() / 2).copied() else { return Ok(()) };
    for (input, reading) in inputs.iter().zip(readings) {
        inside(input, *reading, around(median))?;
    }
    Ok(())
}

/// A twentieth either side of a size in SI.
fn around(size: f64) -> (f64, f64) {
    (size * 0.95, size * 1.05)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::*;
    use crate::quantity::inches;

    #[test]
    fn a_spread_names_what_it_cannot_use() {
        let spread = Spread::of("journal", &[inches(2.4), inches(2.2), inches(2.3)]).unwrap();
        assert_eq!((spread.smallest, spread.largest), (inches(2.2), inches(2.4)));
        assert!((spread.mean - inches(2.3)).abs() < inches(1e-12));
        assert_eq!(Spread::of("journal", &[]).unwrap_err().input, "journal");
        for bad in [f64::NAN, f64::INFINITY] {
            for list in [[inches(bad), inches(1.0)], [inches(1.0), inches(bad)]] {
                assert_eq!(Spread::of("journal", &list).unwrap_err().rule, Rule::MustBeFinite);
            }
        }
    }

    #[test]
    fn the_mistyped_reading_is_the_one_named() {
        let names = ["a", "b", "c"];
        let fault = alike(&names, &[inches(4.030), inches(4.301), inches(4.031)]).unwrap_err();
        assert_eq!(fault.input, "b");
        assert!(alike(&names, &[inches(4.030), inches(4.050), inches(4.031)]).is_ok());
    }

    #[test]
    fn an_edge_of_a_range_is_inside_it() {
        assert!(inside("x", inches(0.1) + inches(0.2), (0.0, 0.3 * 0.0254)).is_ok());
        assert!(inside("x", inches(0.300_001), (0.0, 0.3 * 0.0254)).is_err());
        assert_eq!(inside("x", inches(f64::NAN), (0.0, 1.0)).unwrap_err().rule, Rule::MustBeFinite);
    }
}
