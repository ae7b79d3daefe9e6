//! Clearances computed from two checks, never typed: what goes round less what is inside it. Below nothing it is a grip.

use super::measures::{Measured, extremes, mean, part};
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
    /// A groove's root and a ring's depth: the diameter over the ring when it is pushed home all round.
    OverRing,
}

/// How the places of the two checks belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seat {
    /// Both are measured at the same place, and the clearance is there.
    Same,
    /// The part inside is at the crank pin of the outer's rod; the clearance is at the rod.
    OnItsPin,
    /// The part inside is a ring in that bore; the clearance is at the ring.
    RingInBore,
}

/// A clearance from two checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Derived {
    pub measure: &'static str,
    /// The check of the part outside: bearing, bore or eye.
    pub outer: &'static str,
    /// The check of the part inside: journal, skirt, pin or ring.
    pub inner: &'static str,
    take: (Take, Take),
    seat: Seat,
}

/// Another check's place that a clearance is made with, and the place it is then at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Partner {
    pub place: Position,
    pub clearance_at: Position,
}

/// Every derived clearance.
pub static DERIVED: [Derived; 8] = [
    Derived {
        measure: "main oil clearance",
        outer: "main-bearing",
        inner: "main-journal",
        take: (Take::Mean, Take::Extremes),
        seat: Seat::Same,
    },
    Derived {
        measure: "rod oil clearance",
        outer: "rod-bearing",
        inner: "rod-journal",
        take: (Take::Mean, Take::Extremes),
        seat: Seat::OnItsPin,
    },
    Derived {
        measure: "piston clearance",
        outer: "bore",
        inner: "piston-skirt",
        take: (Take::Reading(2), Take::Reading(0)), // thrust axis, middle height
        seat: Seat::Same,
    },
    Derived {
        measure: "ring back clearance",
        outer: "bore",
        inner: "ring-root",
        take: (Take::Extremes, Take::OverRing),
        seat: Seat::RingInBore,
    },
    round("cam bearing clearance", "cam-bore", "cam-journal"),
    round("lifter clearance", "lifter-bore", "lifter"),
    round("pin in piston", "pin-bore", "piston-pin"),
    round("pin in rod", "small-end", "piston-pin"),
];

/// Every reading of both parts counts.
const fn round(measure: &'static str, outer: &'static str, inner: &'static str) -> Derived {
    Derived { measure, outer, inner, take: (Take::Extremes, Take::Extremes), seat: Seat::Same }
}

/// The derived clearances that a check has a part in.
pub fn fed_by(check: &Check) -> impl Iterator<Item = &'static Derived> + use<> {
    let id = check.id;
    DERIVED.iter().filter(move |derived| derived.outer == id || derived.inner == id)
}

/// The derived clearance of that name, where readings of that check have a part in it: the check of the clearance itself,
/// by strip or feeler, has none.
pub fn made_from(check: &str, measure: &str) -> Option<&'static Derived> {
    DERIVED.iter().find(|d| d.measure == measure && (d.outer == check || d.inner == check))
}

impl Derived {
    /// The places of the other check that a reading of `check` at `here` makes a clearance with: both rods of a shared
    /// pin, both rings of a bore; none for a place the engine does not have.
    pub fn partners(&self, engine: &Engine, check: &str, here: Position) -> Vec<Partner> {
        let is_outer = check == self.outer;
        let other = built_in(if is_outer { self.inner } else { self.outer });
        let all = other.map(|other| positions(engine, other.per)).unwrap_or_default();
        let belong = |place: &Position| {
            if is_outer { self.seats(engine, here, *place) } else { self.seats(engine, *place, here) }
        };
        // A clearance of a ring is at the ring, any other at the part outside.
        let clearance_at = |place| if is_outer == (self.seat == Seat::RingInBore) { place } else { here };
        all.into_iter().filter(belong).map(|place| Partner { place, clearance_at: clearance_at(place) }).collect()
    }

    fn seats(&self, engine: &Engine, outer: Position, inner: Position) -> bool {
        match self.seat {
            Seat::Same => outer == inner,
            Seat::OnItsPin => {
                matches!(outer, Position::Number(rod) if engine.pin_of(rod).map(Position::Number) == Some(inner))
            }
            Seat::RingInBore => outer.number().is_some() && outer.number() == inner.number(),
        }
    }

    /// The clearance from raw readings of both checks (SI lengths, same temperature), at that place; `value` and `lowest`
    /// are the smallest. On diameter, but a ring's is per side. None where a set stops short of the reading needed, or
    /// holds no number.
    pub fn clearance(&self, outer: &[f64], inner: &[f64], at: Position) -> Option<Measured> {
        let (outer_low, outer_high) = taken(self.take.0, outer)?;
        let (inner_low, inner_high) = taken(self.take.1, inner)?;
        let sides = self.sides();
        let (lowest, highest) = ((outer_low - inner_high) / sides, (outer_high - inner_low) / sides);
        let dimension = Dimension::Length;
        Some(Measured { measure: self.measure, at: part(at), value: lowest, lowest, highest, dimension })
    }

    /// The expanded uncertainty of the clearance from those of one reading of either check: the root of the squares, each
    /// as often as its reading counts (JCGM 100, 5.1.2).
    pub fn uncertainty(&self, outer: f64, inner: f64) -> f64 {
        // The root diameter once and the ring's depth twice.
        let inner = if self.take.1 == Take::OverRing { inner * 5_f64.sqrt() } else { inner };
        outer.hypot(inner) / self.sides()
    }

    fn sides(&self) -> f64 {
        if self.seat == Seat::RingInBore { 2.0 } else { 1.0 }
    }
}

fn taken(take: Take, raw: &[f64]) -> Option<(f64, f64)> {
    let all = extremes(raw)?;
    match take {
        Take::Extremes => Some(all),
        Take::Mean => Some((mean(raw), mean(raw))),
        Take::Reading(at) => raw.get(at).map(|v| (*v, *v)),
        Take::OverRing => raw.get(1).map(|depth| raw[0] + 2.0 * depth).map(|over| (over, over)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::demo;
    use super::super::position::Ring;
    use super::*;

    const THREE: Position = Position::Number(3);

    #[test]
    fn oil_clearance_runs_from_the_largest_to_the_smallest_of_the_journal() {
        let main = fed_by(built_in("main-journal").unwrap()).next().unwrap();
        let found = main.clearance(&[2.4524, 2.4526], &[2.4498, 2.4496, 2.4495, 2.4497], THREE).unwrap();
        assert!((found.lowest - 0.0027).abs() < 1e-9 && (found.highest - 0.0030).abs() < 1e-9);
        assert_eq!(found.measure, "main oil clearance");
    }

    #[test]
    fn both_rods_of_a_pin_wait_for_its_journal() {
        let [skerry, fulmar, _] = demo::engines();
        let rod = fed_by(built_in("rod-bearing").unwrap()).next().unwrap();
        let at = |place: u8, clearance: u8| Partner {
            place: Position::Number(place),
            clearance_at: Position::Number(clearance),
        };
        assert_eq!(rod.partners(&skerry, "rod-bearing", Position::Number(8)), [at(4, 8)]);
        assert_eq!(rod.partners(&skerry, "rod-journal", Position::Number(2)), [at(3, 3), at(4, 4)]);
        assert_eq!(rod.partners(&fulmar, "rod-journal", Position::Number(2)), [at(2, 2)]);
        assert!(rod.partners(&fulmar, "rod-bearing", Position::Number(9)).is_empty());
    }

    #[test]
    fn one_pin_stands_in_its_piston_and_in_its_rod() {
        let fits: Vec<_> = fed_by(built_in("piston-pin").unwrap()).collect();
        let of = |measure: &str| **fits.iter().find(|fit| fit.measure == measure).unwrap();
        // By hand: bosses 0.9276 and 0.9275 round a pin of 0.9272 at its largest; an eye of 0.9262 grips it by a thou.
        let pin = [0.9272, 0.9271, 0.9272];
        let found = of("pin in piston").clearance(&[0.9276, 0.9275], &pin, THREE).unwrap();
        assert!((found.lowest - 0.0003).abs() < 1e-9 && (found.highest - 0.0005).abs() < 1e-9);
        assert!((of("pin in rod").clearance(&[0.9262], &pin, THREE).unwrap().value + 0.0010).abs() < 1e-9);
    }

    #[test]
    fn piston_clearance_takes_the_thrust_axis_at_middle_height() {
        let piston = fed_by(built_in("bore").unwrap()).next().unwrap();
        let found = piston.clearance(&[4.0310, 4.0, 4.0305, 4.0, 4.0, 4.0], &[4.0275], THREE).unwrap();
        assert!((found.value - 0.0030).abs() < 1e-9);
        assert!(piston.clearance(&[4.0310, 4.0], &[4.0275], THREE).is_none());
    }
    #[test]
    fn a_ring_pushed_home_lies_below_the_land_by_its_back_clearance() {
        let [skerry, ..] = demo::engines();
        let back = fed_by(built_in("ring-root").unwrap()).next().unwrap();
        let second = Position::Ring(3, Ring::Second);
        // By hand: a root of 3.630 and a depth of 0.180 each side make 3.990; (4.000 - 3.990) / 2 is five thou, up to
        // half a thou more where the bore is a thou larger.
        let found = back.clearance(&[4.0010, 4.0000, 4.0004], &[3.630, 0.180], second).unwrap();
        assert!((found.lowest - 0.0050).abs() < 1e-9 && (found.highest - 0.0055).abs() < 1e-9);
        assert_eq!((found.measure, found.at), ("ring back clearance", "second"));
        // Half of the root of 1 + 1 + 4 tenths squared.
        assert!((back.uncertainty(1e-4, 1e-4) - 1e-4 * 6_f64.sqrt() / 2.0).abs() < 1e-12);
        let bore = Partner { place: THREE, clearance_at: second };
        assert_eq!(back.partners(&skerry, "ring-root", second), [bore]);
        let rings: Vec<Position> = back.partners(&skerry, "bore", THREE).iter().map(|p| p.clearance_at).collect();
        assert_eq!(rings, [Position::Ring(3, Ring::Top), second]);
    }
}
