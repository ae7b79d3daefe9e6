//! Rings, pins and pistons, up to the deck.

use super::super::Stage;
use super::super::measures::Sizing;
use super::super::position::Per;
use super::{AROUND, Check, Expect, Reach, STRIP, base};
use crate::quantity::Dimension;

pub(super) static CHECKS: &[Check] = &[
    Check {
        also: &["end gap", "ring end gap", "butt gap"],
        readings: &["feeler"],
        ..base("ring-gap", "Ring end gap", Per::Ring, Sizing::Each("ring gap"), Stage::Rings)
    },
    Check {
        also: &["side clearance", "groove clearance"],
        readings: &["feeler"],
        instead: Some("ring-groove"),
        ..base(
            "ring-side-clearance",
            "Ring side clearance",
            Per::CompressionRing,
            Sizing::Each("ring side clearance"),
            Stage::Rings,
        )
    },
    Check {
        also: &["groove width", "groove and ring"],
        readings: &["groove width", "ring width"],
        least: 2,
        instead: Some("ring-side-clearance"),
        reach: Reach::Part,
        ..base(
            "ring-groove",
            "Ring groove and ring width",
            Per::CompressionRing,
            Sizing::Less("ring side clearance"),
            Stage::Rings,
        )
    },
    Check {
        also: &["back clearance"],
        readings: &["per side"],
        instead: Some("ring-root"),
        reach: Reach::EitherWay,
        ..base(
            "ring-back-clearance",
            "Ring back clearance",
            Per::CompressionRing,
            Sizing::Each("ring back clearance"),
            Stage::Rings,
        )
    },
    Check {
        also: &["groove root", "groove depth", "ring depth"],
        readings: &["groove root diameter", "ring radial depth"],
        least: 2,
        instead: Some("ring-back-clearance"),
        reach: Reach::Part,
        ..base("ring-root", "Groove root and ring depth", Per::CompressionRing, Sizing::Feeds, Stage::Rings)
    },
    Check {
        also: &["wrist pin", "pin size", "pin diameter"],
        readings: &["in one boss", "in the rod", "in the other boss"],
        expect: Some(Expect::Pin),
        ..base("piston-pin", "Gudgeon pin", Per::Cylinder, Sizing::Feeds, Stage::PistonToRod)
    },
    Check {
        also: &["pin hole", "piston boss"],
        readings: &["one boss", "other boss"],
        expect: Some(Expect::Pin),
        ..base("pin-bore", "Pin bore of the piston", Per::Cylinder, Sizing::Feeds, Stage::PistonToRod)
    },
    Check {
        also: &["skirt", "piston", "piston size"],
        readings: &["skirt at the gauge line"],
        expect: Some(Expect::Bore),
        ..base("piston-skirt", "Piston skirt", Per::Cylinder, Sizing::Feeds, Stage::PistonsIn)
    },
    Check {
        also: &["rod shell bore", "big end bearing", "rod inside diameter"],
        readings: AROUND,
        instead: Some("rod-oil-clearance"),
        expect: Some(Expect::RodJournal),
        ..base("rod-bearing", "Rod bearing inside diameter", Per::Rod, Sizing::Feeds, Stage::PistonsIn)
    },
    Check {
        also: &["rod clearance", "rod running clearance", "big end clearance", "rod gauging strip"],
        readings: STRIP,
        instead: Some("rod-bearing"),
        ..base(
            "rod-oil-clearance",
            "Rod oil clearance by gauging strip",
            Per::Rod,
            Sizing::Each("rod oil clearance"),
            Stage::PistonsIn,
        )
    },
    Check {
        also: &["rod side play", "big end side clearance"],
        readings: &["feeler"],
        ..base(
            "rod-side-clearance",
            "Rod side clearance",
            Per::Pin,
            Sizing::Each("rod side clearance"),
            Stage::PistonsIn,
        )
    },
    Check {
        also: &["stretch", "rod bolt", "rod bolt stretch"],
        readings: &["stretch"],
        ..base("bolt-stretch", "Rod bolt stretch", Per::RodBolt, Sizing::Each("rod bolt stretch"), Stage::PistonsIn)
    },
    Check {
        also: &["turning", "rotating torque", "torque to turn"],
        readings: &["torque to keep it turning"],
        dimension: Dimension::Torque,
        ..base(
            "turning-torque",
            "Turning torque",
            Per::CrankThenCylinder,
            Sizing::Each("turning torque"),
            Stage::PistonsIn,
        )
    },
    Check {
        also: &["deck clearance", "piston deck", "deck"],
        readings: &["front side on the pin axis", "rear side on the pin axis"],
        reach: Reach::EitherWay,
        ..base("piston-to-deck", "Piston to deck", Per::Cylinder, Sizing::Mean("piston to deck"), Stage::Deck)
    },
    Check {
        also: &["quench"],
        readings: &["thickness of the crushed solder"],
        ..base("squish", "Squish", Per::Cylinder, Sizing::Each("squish"), Stage::Deck)
    },
    Check {
        also: &["chamber", "combustion chamber", "chamber cc", "head cc"],
        readings: &["poured with plug and valves in"],
        dimension: Dimension::Volume,
        ..base("chamber-volume", "Chamber volume", Per::Cylinder, Sizing::Each("chamber volume"), Stage::Deck)
    },
];
