//! From raw readings to the measures that limits judge.
//!
//! Out-of-round and taper are two-point differences of diameter, as the shop means them (ISO 1101 roundness is
//! radial and would be half). Taper is the largest minus the smallest along one axis, the worse axis counting. A set that
//! stops short yields only the measures it can.

use super::plan::{Check, Spread};
use super::position::{Point, Position, Ring, Valve};
use crate::quantity::Dimension;

/// The part name of a limits row that holds everywhere.
pub const EVERYWHERE: &str = "-";

/// How raw readings of a check become measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sizing {
    /// Nothing by itself: see [`super::derived`] and [`spread`].
    Feeds,
    /// Each reading is the measure.
    Each(&'static str),
    /// The mean of the readings is the measure.
    Mean(&'static str),
    /// The first reading less the second is the measure.
    Less(&'static str),
    /// The largest reading of a turn less the smallest is the measure.
    Turn(&'static str),
    Bore,
    Hole {
        size: &'static str,
        round: &'static str,
    },
    Journal {
        size: &'static str,
        round: &'static str,
        taper: &'static str,
    },
}

/// A measure that a limits row may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    pub name: &'static str,
    pub dimension: Dimension,
    /// The parts a row may be for, beside [`EVERYWHERE`].
    pub parts: &'static [&'static str],
    /// The journal that `x journal` means in its rows.
    pub journal: Option<Journal>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Journal {
    Main,
    Rod,
}

const fn plain(name: &'static str) -> Kind {
    Kind { name, dimension: Dimension::Length, parts: &[], journal: None }
}

const fn on(journal: Journal, name: &'static str) -> Kind {
    Kind { journal: Some(journal), ..plain(name) }
}

const fn parts(name: &'static str, parts: &'static [&'static str]) -> Kind {
    Kind { parts, ..plain(name) }
}

const fn of(dimension: Dimension, kind: Kind) -> Kind {
    Kind { dimension, ..kind }
}

const VALVES: &[&str] = &["intake", "exhaust"];

/// Every measure, in the order of the work.
pub static MEASURES: &[Kind] = &[
    plain("bore size"),
    plain("bore out-of-round"),
    plain("bore taper"),
    on(Journal::Main, "main housing"),
    on(Journal::Main, "main housing out-of-round"),
    plain("deck flatness"),
    plain("cam bearing clearance"),
    plain("lifter clearance"),
    on(Journal::Main, "main journal"),
    on(Journal::Main, "main journal out-of-round"),
    on(Journal::Main, "main journal taper"),
    on(Journal::Rod, "rod journal"),
    on(Journal::Rod, "rod journal out-of-round"),
    on(Journal::Rod, "rod journal taper"),
    on(Journal::Main, "crank run-out"),
    on(Journal::Rod, "big end bore"),
    on(Journal::Rod, "big end out-of-round"),
    plain("rod length"),
    plain("rod length spread"),
    plain("rod bend"),
    plain("rod twist"),
    of(Dimension::Mass, plain("piston weight spread")),
    of(Dimension::Mass, plain("pin weight spread")),
    of(Dimension::Mass, plain("small end weight spread")),
    of(Dimension::Mass, plain("big end weight spread")),
    on(Journal::Main, "main oil clearance"),
    on(Journal::Main, "crank end float"),
    parts("ring gap", &["top", "second", "rail"]),
    parts("ring side clearance", &["top", "second"]),
    parts("ring back clearance", &["top", "second"]),
    plain("pin in piston"),
    plain("pin in rod"),
    plain("piston clearance"),
    on(Journal::Rod, "rod oil clearance"),
    on(Journal::Rod, "rod side clearance"),
    plain("rod bolt stretch"),
    of(Dimension::Torque, parts("turning torque", &["bare crank"])),
    plain("piston to deck"),
    plain("squish"),
    of(Dimension::Volume, plain("chamber volume")),
    plain("cam end float"),
    parts("piston to valve", VALVES),
    plain("head flatness"),
    parts("valve stem clearance", VALVES),
    parts("valve seat width", VALVES),
    parts("valve seat run-out", VALVES),
    parts("installed height", VALVES),
    of(Dimension::Force, parts("spring seat load", VALVES)),
    of(Dimension::Force, parts("spring open load", VALVES)),
    parts("coil bind margin", VALVES),
    plain("oil pump side clearance"),
    plain("oil pump tip clearance"),
    plain("oil pump end clearance"),
    plain("pick-up depth"),
    parts("valve lash", VALVES),
    parts("lifter preload", VALVES),
    of(Dimension::Share, plain("leak-down")),
    of(Dimension::Pressure, parts("oil pressure", &["hot idle", "2000 rpm"])),
    of(Dimension::Share, plain("cranking pressure spread")),
];

/// The measure of that name; case, blanks and hyphens do not matter.
pub fn kind(name: &str) -> Option<&'static Kind> {
    let wanted = super::plain(name);
    MEASURES.iter().find(|kind| super::plain(kind.name) == wanted)
}

/// One measure found from readings. Values are SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    pub measure: &'static str,
    /// The part for the limits row, or [`EVERYWHERE`].
    pub at: &'static str,
    /// The size that governs: the largest of a bore, the smallest of a journal or a clearance.
    pub value: f64,
    /// The extremes of the set. A maximum holds against `highest`, a minimum against `lowest`.
    pub lowest: f64,
    pub highest: f64,
    pub dimension: Dimension,
}

/// The part that a limits row would name for a position.
pub fn part(position: Position) -> &'static str {
    match position {
        Position::Number(0) => "bare crank",
        Position::Ring(_, Ring::Top) => "top",
        Position::Ring(_, Ring::Second) => "second",
        Position::Ring(_, Ring::UpperRail | Ring::LowerRail | Ring::Expander) => "rail",
        Position::Valve(_, Valve::Intake) => "intake",
        Position::Valve(_, Valve::Exhaust) => "exhaust",
        Position::Point(Point::HotIdle) => "hot idle",
        Position::Point(Point::Rpm2000) => "2000 rpm",
        Position::Engine | Position::Number(_) | Position::Bolt(..) | Position::Face(_) => EVERYWHERE,
    }
}

/// The measures of one set of raw readings (SI, in the check's order); empty for none or for a reading that is no number.
pub fn measured(check: &Check, position: Position, raw: &[f64]) -> Vec<Measured> {
    let Some((lowest, highest)) = extremes(raw) else { return Vec::new() };
    let make = |measure, value, lowest, highest| Measured {
        measure,
        at: part(position),
        value,
        lowest,
        highest,
        dimension: check.dimension,
    };
    let one = |measure, value| make(measure, value, value, value);
    match check.sizing {
        Sizing::Feeds => Vec::new(),
        Sizing::Each(measure) => vec![make(measure, lowest, lowest, highest)],
        Sizing::Mean(measure) => vec![one(measure, mean(raw))],
        Sizing::Less(measure) => raw.get(1).map(|inside| one(measure, raw[0] - inside)).into_iter().collect(),
        Sizing::Turn(measure) => vec![one(measure, highest - lowest)],
        Sizing::Hole { size, round } => {
            let round = (raw.len() > 1).then(|| one(round, highest - lowest));
            [Some(make(size, highest, lowest, highest)), round].into_iter().flatten().collect()
        }
        Sizing::Bore => {
            let (round, taper) = (out_of_round(raw), taper(raw));
            let found = [round.map(|v| one("bore out-of-round", v)), taper.map(|v| one("bore taper", v))];
            std::iter::once(make("bore size", highest, lowest, highest)).chain(found.into_iter().flatten()).collect()
        }
        Sizing::Journal { size, round: round_name, taper: taper_name } => {
            let (round, taper) = (out_of_round(raw), taper(raw));
            let found = [round.map(|v| one(round_name, v)), taper.map(|v| one(taper_name, v))];
            std::iter::once(make(size, lowest, lowest, highest)).chain(found.into_iter().flatten()).collect()
        }
    }
}

/// The measures that readings of a check can lead to, derived clearances included.
pub fn of_check(check: &Check) -> Vec<&'static str> {
    let own: Vec<&'static str> = match check.sizing {
        Sizing::Feeds => Vec::new(),
        Sizing::Each(measure) | Sizing::Mean(measure) | Sizing::Less(measure) | Sizing::Turn(measure) => vec![measure],
        Sizing::Bore => vec!["bore size", "bore out-of-round", "bore taper"],
        Sizing::Hole { size, round } => vec![size, round],
        Sizing::Journal { size, round, taper } => vec![size, round, taper],
    };
    let derived = super::derived::fed_by(check).map(|derived| derived.measure);
    own.into_iter().chain(check.spread.measure()).chain(derived).collect()
}

/// How far the readings of a set stand apart, one of each place; none for a check that is not judged by it, for fewer than two
/// readings, or one that is not positive.
pub fn spread(check: &Check, set: &[f64]) -> Option<Measured> {
    let (lowest, highest) = extremes(set).filter(|(low, _)| *low > 0.0 && set.len() > 1)?;
    let (measure, value, dimension) = match check.spread {
        Spread::Free => return None,
        Spread::Share(measure) => (measure, 1.0 - lowest / highest, Dimension::Share),
        Spread::Span(measure) => (measure, highest - lowest, check.dimension),
    };
    Some(Measured { measure, at: EVERYWHERE, value, lowest: value, highest: value, dimension })
}

/// Lowest and highest; none for an empty set or one with a value that is no number.
pub(super) fn extremes(raw: &[f64]) -> Option<(f64, f64)> {
    if raw.is_empty() || raw.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let low = raw.iter().copied().fold(f64::INFINITY, f64::min);
    let high = raw.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some((low, high))
}

pub(super) fn mean(raw: &[f64]) -> f64 {
    raw.iter().sum::<f64>() / raw.len() as f64
}

/// Readings alternate between two axes: the worst difference within a pair.
fn out_of_round(raw: &[f64]) -> Option<f64> {
    raw.chunks_exact(2).map(|pair| (pair[0] - pair[1]).abs()).reduce(f64::max)
}

/// Readings alternate between two axes: the worst spread along one of them.
fn taper(raw: &[f64]) -> Option<f64> {
    let spread = |axis: usize| {
        let along: Vec<f64> = raw.iter().copied().skip(axis).step_by(2).collect();
        extremes(&along).filter(|_| along.len() > 1).map(|(low, high)| high - low)
    };
    [spread(0), spread(1)].into_iter().flatten().reduce(f64::max)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::plan::{built_in, built_ins};
    use super::*;

    fn find(id: &str, position: Position, raw: &[f64]) -> Vec<(&'static str, f64)> {
        measured(built_in(id).unwrap(), position, raw)
            .iter()
            .map(|m| (m.measure, (m.value * 1e6).round() / 1e6))
            .collect()
    }

    #[test]
    fn a_bore_worked_by_hand() {
        // Thrust 4.0312 4.0308 4.0305, axial 4.0306 4.0305 4.0304: out-of-round 6 tenths at the top, taper 7 on thrust.
        let raw = [4.0312, 4.0306, 4.0308, 4.0305, 4.0305, 4.0304];
        assert_eq!(
            find("bore", Position::Number(1), &raw),
            [("bore size", 4.0312), ("bore out-of-round", 0.0006), ("bore taper", 0.0007)]
        );
    }

    #[test]
    fn a_journal_worked_by_hand_and_cut_short() {
        let raw = [2.4497, 2.4494, 2.4493, 2.4495];
        let all = [("main journal", 2.4493), ("main journal out-of-round", 0.0003), ("main journal taper", 0.0004)];
        assert_eq!(find("main-journal", Position::Number(3), &raw), all);
        assert_eq!(find("main-journal", Position::Number(3), &raw[..1]), [("main journal", 2.4497)]);
        let two = [("main journal", 2.4494), ("main journal out-of-round", 0.0003)];
        assert_eq!(find("main-journal", Position::Number(3), &raw[..2]), two);
        assert_eq!(find("main-journal", Position::Number(3), &raw[..3]).len(), 3);
        assert!(find("main-journal", Position::Number(3), &[f64::NAN]).is_empty());
    }

    #[test]
    fn a_hole_keeps_both_extremes_so_that_a_tight_side_is_not_hidden() {
        let found = measured(built_in("main-housing").unwrap(), Position::Number(1), &[2.6410, 2.6404, 2.6408]);
        assert_eq!((found[0].value, found[0].lowest, found[0].highest), (2.6410, 2.6404, 2.6410));
        assert!((found[1].value - 0.0006).abs() < 1e-12);
    }

    #[test]
    fn the_part_goes_with_the_measure() {
        let gap = measured(built_in("ring-gap").unwrap(), Position::Ring(3, Ring::LowerRail), &[0.020]);
        assert_eq!((gap[0].measure, gap[0].at), ("ring gap", "rail"));
        let deck = measured(built_in("piston-to-deck").unwrap(), Position::Number(3), &[0.010, 0.014]);
        assert!((deck[0].value - 0.012).abs() < 1e-12);
    }

    #[test]
    fn a_difference_needs_both_and_a_turn_its_extremes() {
        // By hand: a groove of 0.0802 round a ring of 0.0781.
        let top = Position::Ring(3, Ring::Top);
        assert_eq!(find("ring-groove", top, &[0.0802, 0.0781]), [("ring side clearance", 0.0021)]);
        assert_eq!(measured(built_in("ring-groove").unwrap(), top, &[0.0802, 0.0781])[0].at, "top");
        assert!(find("ring-groove", top, &[0.0802]).is_empty());
        let turn = [0.0, 0.0003, 0.0007, 0.0009, 0.0008, 0.0005, 0.0002, -0.0001];
        assert_eq!(find("crank-dial", Position::Number(3), &turn), [("crank run-out", 0.0010)]);
    }

    #[test]
    fn every_measure_a_check_yields_is_one_that_limits_may_name() {
        for one in built_ins() {
            let raw = vec![1.0; one.readings.len()];
            for found in measured(one, Position::Number(1), &raw) {
                assert_eq!(kind(found.measure).map(|k| k.dimension), Some(one.dimension), "{}", found.measure);
            }
        }
    }

    #[test]
    fn a_spread_is_against_the_best_or_the_least() {
        let test = built_in("compression-test").unwrap();
        let found = spread(test, &[150.0, 120.0, 160.0, 155.0]).unwrap();
        assert!((found.value - 0.25).abs() < 1e-12);
        assert!(spread(test, &[150.0]).is_none() && spread(test, &[0.0, 150.0]).is_none());
        // Weights by their difference: 560.8 g less 559.6 g, by hand.
        let found = spread(built_in("piston-weight").unwrap(), &[0.5600, 0.5608, 0.5596]).unwrap();
        assert!((found.value - 0.0012).abs() < 1e-12 && found.measure == "piston weight spread");
        assert!(spread(built_in("squish").unwrap(), &[0.001, 0.002]).is_none());
    }
}
