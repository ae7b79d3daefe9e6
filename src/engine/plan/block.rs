//! Measuring the block: bores, housings, deck, and where the cam and its lifters run.

use super::super::Stage;
use super::super::measures::Sizing;
use super::super::position::Per;
use super::{AROUND, Check, Expect, JOURNAL, Reach, base};

pub(super) static CHECKS: &[Check] = &[
    Check {
        also: &["cylinder bore", "bores", "bore size"],
        readings: &["top thrust", "top axial", "middle thrust", "middle axial", "bottom thrust", "bottom axial"],
        least: 6,
        expect: Some(Expect::Bore),
        ..base("bore", "Bore", Per::Cylinder, Sizing::Bore, Stage::MeasureBlock)
    },
    Check {
        also: &["housing", "main bore", "tunnel"],
        readings: AROUND,
        expect: Some(Expect::MainJournal),
        ..base(
            "main-housing",
            "Main housing bore",
            Per::Main,
            Sizing::Hole { size: "main housing", round: "main housing out-of-round" },
            Stage::MeasureBlock,
        )
    },
    Check {
        also: &["deck warp", "block face", "face flatness"],
        readings: &["largest gap under the straight edge"],
        ..base("deck-flatness", "Deck flatness", Per::Face, Sizing::Each("deck flatness"), Stage::MeasureBlock)
    },
    Check {
        also: &["cam bore", "cam bearing bore", "cam tunnel"],
        readings: AROUND,
        reach: Reach::Part,
        ..base("cam-bore", "Cam bearing inside diameter", Per::CamJournal, Sizing::Feeds, Stage::MeasureBlock)
    },
    Check {
        also: &["camshaft journal", "cam bearing journal"],
        readings: JOURNAL,
        reach: Reach::Part,
        ..base("cam-journal", "Cam journal", Per::CamJournal, Sizing::Feeds, Stage::MeasureBlock)
    },
    Check {
        also: &["tappet bore", "cam follower bore"],
        readings: &["upper", "lower"],
        reach: Reach::Part,
        ..base("lifter-bore", "Lifter bore", Per::Valve, Sizing::Feeds, Stage::MeasureBlock)
    },
    Check {
        also: &["tappet", "cam follower", "lifter size"],
        readings: &["upper", "lower"],
        reach: Reach::Part,
        ..base("lifter", "Lifter diameter", Per::Valve, Sizing::Feeds, Stage::MeasureBlock)
    },
];
