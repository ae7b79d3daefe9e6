//! Clearances computed from two checks, never typed: what goes round less what is inside it. Below nothing it is a grip.

use super::measures::{EVERYWHERE, Measured, extremes, mean};
use super::model::Engine;
use super::plan::{Check, built_in};
use super::position::{Position, positions};
use crate::quantity::Dimension;

/// Which part of a set of readings counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Take {
    Mean,
    /// Smallest and largest.
    Extremes,
    /// One reading by its place in the set.
    Reading(usize),
}

/// A clearance from two checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Derived {
    pub measure: &'static str,
    /// The check of the part outside: bearing, bore or eye. The clearance is reported at its positions.
    pub outer: &'static str,
    /// The check of the part inside: journal, skirt or pin.
    pub inner: &'static str,
    take: (Take, Take),
    /// True where the inner position is the crank pin of the outer's rod.
    on_its_pin: bool,
}

/// Every derived clearance.
pub static DERIVED: [Derived; 7] = [
    Derived {
        measure: "main oil clearance",
        outer: "main-bearing",
        inner: "main-journal",
        take: (Take::Mean, Take::Extremes),
        on_its_pin: false,
    },
    Derived {
        measure: "rod oil clearance",
        outer: "rod-bearing",
        inner: "rod-journal",
        take: (Take::Mean, Take::Extremes),
        on_its_pin: true,
    },
    Derived {
        measure: "piston clearance",
        outer: "bore",
        inner: "piston-skirt",
        take: (Take::Reading(2), Take::Reading(0)), // thrust axis, middle height
        on_its_pin: false,
    },
    round("cam bearing clearance", "cam-bore", "cam-journal"),
    round("lifter clearance", "lifter-bore", "lifter"),
    round("pin in piston", "pin-bore", "piston-pin"),
    round("pin in rod", "small-end", "piston-pin"),
];

/// Every reading of both parts counts.
const fn round(measure: &'static str, outer: &'static str, inner: &'static str) -> Derived {
    Derived { measure, outer, inner, take: (Take::Extremes, Take::Extremes), on_its_pin: false }
}

/// The derived clearances that a check has a part in.
pub fn fed_by(check: &Check) -> impl Iterator<Item = &'static Derived> + use<> {
    let id = check.id;
    DERIVED.iter().filter(move |derived| derived.outer == id || derived.inner == id)
}

impl Derived {
    /// Where the inner part of an outer position is measured; none for a position the engine does not have.
    pub fn inner_position(&self, engine: &Engine, outer: Position) -> Option<Position> {
        match outer {
            Position::Number(rod) if self.on_its_pin => engine.pin_of(rod).map(Position::Number),
            other => Some(other),
        }
    }

    /// The outer positions that an inner one belongs to: both rods of a shared pin.
    pub fn outer_positions(&self, engine: &Engine, inner: Position) -> Vec<Position> {
        let all = built_in(self.outer).map(|outer| positions(engine, outer.per)).unwrap_or_default();
        all.into_iter().filter(|outer| self.inner_position(engine, *outer) == Some(inner)).collect()
    }

    /// The clearance from raw readings of both checks (SI lengths, same temperature); `value` and `lowest` are the
    /// smallest. None where a set stops short of the reading needed, or holds no number.
    pub fn clearance(&self, outer: &[f64], inner: &[f64]) -> Option<Measured> {
        let (outer_low, outer_high) = taken(self.take.0, outer)?;
        let (inner_low, inner_high) = taken(self.take.1, inner)?;
        let (lowest, highest) = (outer_low - inner_high, outer_high - inner_low);
        let dimension = Dimension::Length;
        Some(Measured { measure: self.measure, at: EVERYWHERE, value: lowest, lowest, highest, dimension })
    }
}

fn taken(take: Take, raw: &[f64]) -> Option<(f64, f64)> {
    let all = extremes(raw)?;
    match take {
        Take::Extremes => Some(all),
        Take::Mean => Some((mean(raw), mean(raw))),
        Take::Reading(at) => raw.get(at).map(|v| (*v, *v)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::demo;
    use super::*;

    #[test]
    fn oil_clearance_runs_from_the_largest_to_the_smallest_of_the_journal() {
        let main = fed_by(built_in("main-journal").unwrap()).next().unwrap();
        let found = main.clearance(&[2.4524, 2.4526], &[2.4498, 2.4496, 2.4495, 2.4497]).unwrap();
        assert!((found.lowest - 0.0027).abs() < 1e-9 && (found.highest - 0.0030).abs() < 1e-9);
        assert_eq!(found.measure, "main oil clearance");
    }

    #[test]
    fn both_rods_of_a_pin_wait_for_its_journal() {
        let [skerry, fulmar, _] = demo::engines();
        let rod = fed_by(built_in("rod-bearing").unwrap()).next().unwrap();
        assert_eq!(rod.inner_position(&skerry, Position::Number(8)), Some(Position::Number(4)));
        let both = [Position::Number(3), Position::Number(4)];
        assert_eq!(rod.outer_positions(&skerry, Position::Number(2)), both);
        assert_eq!(rod.outer_positions(&fulmar, Position::Number(2)), [Position::Number(2)]);
        assert!(rod.inner_position(&fulmar, Position::Number(9)).is_none());
    }

    #[test]
    fn one_pin_stands_in_its_piston_and_in_its_rod() {
        let fits: Vec<_> = fed_by(built_in("piston-pin").unwrap()).collect();
        let of = |measure: &str| **fits.iter().find(|fit| fit.measure == measure).unwrap();
        // By hand: bosses 0.9276 and 0.9275 round a pin of 0.9272 at its largest; an eye of 0.9262 grips it by a thou.
        let pin = [0.9272, 0.9271, 0.9272];
        let found = of("pin in piston").clearance(&[0.9276, 0.9275], &pin).unwrap();
        assert!((found.lowest - 0.0003).abs() < 1e-9 && (found.highest - 0.0005).abs() < 1e-9);
        assert!((of("pin in rod").clearance(&[0.9262], &pin).unwrap().value + 0.0010).abs() < 1e-9);
    }

    #[test]
    fn piston_clearance_takes_the_thrust_axis_at_middle_height() {
        let piston = fed_by(built_in("bore").unwrap()).next().unwrap();
        let found = piston.clearance(&[4.0310, 4.0, 4.0305, 4.0, 4.0, 4.0], &[4.0275]).unwrap();
        assert!((found.value - 0.0030).abs() < 1e-9);
        assert!(piston.clearance(&[4.0310, 4.0], &[4.0275]).is_none());
    }
}
