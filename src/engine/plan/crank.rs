//! Measuring crank and rods, their weights, and laying the crank.

use super::super::Stage;
use super::super::measures::Sizing;
use super::super::position::Per;
use super::{AROUND, Check, Expect, JOURNAL, Reach, STRIP, Spread, TURN, base};
use crate::quantity::Dimension;

pub(super) static CHECKS: &[Check] = &[
    Check {
        also: &["mains", "main bearing journal"],
        readings: JOURNAL,
        expect: Some(Expect::MainJournal),
        ..base(
            "main-journal",
            "Main journal",
            Per::Main,
            Sizing::Journal { size: "main journal", round: "main journal out-of-round", taper: "main journal taper" },
            Stage::MeasureCrank,
        )
    },
    Check {
        also: &["crank pin", "crankpin", "throw", "big end journal", "pin journal"],
        readings: JOURNAL,
        expect: Some(Expect::RodJournal),
        ..base(
            "rod-journal",
            "Rod journal",
            Per::Pin,
            Sizing::Journal { size: "rod journal", round: "rod journal out-of-round", taper: "rod journal taper" },
            Stage::MeasureCrank,
        )
    },
    Check {
        also: &["run-out", "runout", "crank bend", "TIR"],
        readings: &["full indicator movement"],
        instead: Some("crank-dial"),
        ..base("crank-runout", "Crank run-out", Per::Main, Sizing::Each("crank run-out"), Stage::MeasureCrank)
    },
    Check {
        also: &["dial round the main", "dial round the crank"],
        readings: TURN,
        least: TURN.len(),
        instead: Some("crank-runout"),
        reach: Reach::EitherWay,
        ..base(
            "crank-dial",
            "Crank run-out by dial round a turn",
            Per::Main,
            Sizing::Turn("crank run-out"),
            Stage::MeasureCrank,
        )
    },
    Check {
        also: &["big end bore", "rod bore", "rod big end"],
        readings: AROUND,
        expect: Some(Expect::RodJournal),
        ..base(
            "big-end",
            "Big-end bore",
            Per::Rod,
            Sizing::Hole { size: "big end bore", round: "big end out-of-round" },
            Stage::MeasureCrank,
        )
    },
    Check {
        also: &["little end", "little end bore", "rod bush", "small end bush"],
        readings: &["in line with the beam", "across"],
        expect: Some(Expect::Pin),
        ..base("small-end", "Small-end bore", Per::Rod, Sizing::Feeds, Stage::MeasureCrank)
    },
    Check {
        also: &["centre to centre", "center to center"],
        readings: &["centre to centre"],
        expect: Some(Expect::Rod),
        spread: Spread::Span("rod length spread"),
        ..base("rod-length", "Rod length", Per::Rod, Sizing::Each("rod length"), Stage::MeasureCrank)
    },
    Check {
        also: &["bent rod"],
        readings: &["over 4 in (100 mm) of pin"],
        ..base("rod-bend", "Rod bend", Per::Rod, Sizing::Each("rod bend"), Stage::MeasureCrank)
    },
    Check {
        also: &["twisted rod"],
        readings: &["over 4 in (100 mm) of pin"],
        ..base("rod-twist", "Rod twist", Per::Rod, Sizing::Each("rod twist"), Stage::MeasureCrank)
    },
    Check {
        also: &["weight of the piston"],
        readings: &["on the scale, without its pin"],
        dimension: Dimension::Mass,
        spread: Spread::Span("piston weight spread"),
        ..base("piston-weight", "Piston weight", Per::Cylinder, Sizing::Feeds, Stage::Balance)
    },
    Check {
        also: &["gudgeon pin weight", "wrist pin weight"],
        readings: &["on the scale"],
        dimension: Dimension::Mass,
        spread: Spread::Span("pin weight spread"),
        ..base("pin-weight", "Pin weight", Per::Cylinder, Sizing::Feeds, Stage::Balance)
    },
    Check {
        also: &["little end weight", "reciprocating end"],
        readings: &["big end hung level on a stand"],
        dimension: Dimension::Mass,
        spread: Spread::Span("small end weight spread"),
        ..base("small-end-weight", "Small-end weight", Per::Rod, Sizing::Feeds, Stage::Balance)
    },
    Check {
        also: &["rotating end"],
        readings: &["small end hung level on a stand"],
        dimension: Dimension::Mass,
        spread: Spread::Span("big end weight spread"),
        ..base("big-end-weight", "Big-end weight", Per::Rod, Sizing::Feeds, Stage::Balance)
    },
    Check {
        also: &["main shell bore", "main bearing bore", "main inside diameter"],
        readings: AROUND,
        instead: Some("main-oil-clearance"),
        expect: Some(Expect::MainJournal),
        ..base("main-bearing", "Main bearing inside diameter", Per::Main, Sizing::Feeds, Stage::Crank)
    },
    Check {
        also: &["main clearance", "main running clearance", "main gauging strip"],
        readings: STRIP,
        instead: Some("main-bearing"),
        ..base(
            "main-oil-clearance",
            "Main oil clearance by gauging strip",
            Per::Main,
            Sizing::Each("main oil clearance"),
            Stage::Crank,
        )
    },
    Check {
        also: &["end float", "end play", "thrust clearance", "crank end play"],
        readings: &["dial"],
        ..base("crank-end-float", "Crank end float", Per::Engine, Sizing::Each("crank end float"), Stage::Crank)
    },
];
