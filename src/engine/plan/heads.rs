//! From the timing on: heads, closing up, proving, first start.

use super::super::Stage;
use super::super::measures::Sizing;
use super::super::position::Per;
use super::{Check, Reach, Spread, base};
use crate::quantity::Dimension;

pub(super) static CHECKS: &[Check] = &[
    Check {
        also: &["cam end play", "camshaft end float", "cam thrust clearance"],
        readings: &["dial"],
        ..base("cam-end-float", "Cam end float", Per::Engine, Sizing::Each("cam end float"), Stage::Timing)
    },
    Check {
        also: &["valve clearance to piston", "piston valve clearance"],
        readings: &["smallest over the range"],
        ..base("piston-to-valve", "Piston to valve", Per::Valve, Sizing::Each("piston to valve"), Stage::Timing)
    },
    Check {
        also: &["head warp", "head face"],
        readings: &["largest gap under the straight edge"],
        ..base("head-flatness", "Head flatness", Per::Head, Sizing::Each("head flatness"), Stage::Heads)
    },
    Check {
        also: &["guide", "stem clearance", "valve stem clearance", "guide clearance"],
        readings: &["clearance: guide less stem"],
        ..base("valve-guide", "Valve stem in guide", Per::Valve, Sizing::Each("valve stem clearance"), Stage::Heads)
    },
    Check {
        also: &["seat contact"],
        readings: &["along the face"],
        ..base("seat-width", "Valve seat width", Per::Valve, Sizing::Each("valve seat width"), Stage::Heads)
    },
    Check {
        also: &["seat run-out", "seat concentricity"],
        readings: &["full indicator movement"],
        ..base("seat-runout", "Valve seat run-out", Per::Valve, Sizing::Each("valve seat run-out"), Stage::Heads)
    },
    Check {
        also: &["fitted height", "spring height"],
        readings: &["seat to retainer"],
        reach: Reach::Part,
        ..base(
            "installed-height",
            "Spring installed height",
            Per::Valve,
            Sizing::Each("installed height"),
            Stage::Heads,
        )
    },
    Check {
        also: &["seat pressure", "closed spring load"],
        readings: &["at installed height"],
        dimension: Dimension::Force,
        ..base("seat-load", "Spring seat load", Per::Valve, Sizing::Each("spring seat load"), Stage::Heads)
    },
    Check {
        also: &["nose load", "open pressure"],
        readings: &["at full lift"],
        dimension: Dimension::Force,
        ..base("open-load", "Spring open load", Per::Valve, Sizing::Each("spring open load"), Stage::Heads)
    },
    Check {
        also: &["coil bind margin", "spring bind"],
        readings: &["margin at full lift"],
        ..base("coil-bind", "Coil-bind margin", Per::Valve, Sizing::Each("coil bind margin"), Stage::Heads)
    },
    Check {
        also: &["pump side", "pump body clearance"],
        readings: &["gear or rotor to body"],
        ..base(
            "pump-side-clearance",
            "Oil pump side clearance",
            Per::Engine,
            Sizing::Each("oil pump side clearance"),
            Stage::CloseUp,
        )
    },
    Check {
        also: &["pump tip", "rotor tip clearance"],
        readings: &["lobe to lobe, or tooth to body"],
        ..base(
            "pump-tip-clearance",
            "Oil pump tip clearance",
            Per::Engine,
            Sizing::Each("oil pump tip clearance"),
            Stage::CloseUp,
        )
    },
    Check {
        also: &["pump end", "pump cover clearance"],
        readings: &["gears or rotors down to the cover face"],
        ..base(
            "pump-end-clearance",
            "Oil pump end clearance",
            Per::Engine,
            Sizing::Each("oil pump end clearance"),
            Stage::CloseUp,
        )
    },
    Check {
        also: &["pick-up height", "pick-up to sump", "oil pick-up"],
        readings: &["screen to sump floor"],
        reach: Reach::Part,
        ..base("pick-up-depth", "Pick-up depth", Per::Engine, Sizing::Each("pick-up depth"), Stage::CloseUp)
    },
    Check {
        also: &["lash", "tappet clearance", "valve gap"],
        readings: &["feeler at the tip"],
        instead: Some("lifter-preload"),
        ..base("valve-lash", "Valve lash", Per::Valve, Sizing::Each("valve lash"), Stage::Prove)
    },
    Check {
        also: &["preload", "plunger travel"],
        readings: &["plunger travel from zero lash"],
        instead: Some("valve-lash"),
        ..base("lifter-preload", "Lifter preload", Per::Valve, Sizing::Each("lifter preload"), Stage::Prove)
    },
    Check {
        also: &["leak down", "leakage"],
        readings: &["leakage"],
        dimension: Dimension::Share,
        ..base("leak-down", "Leak-down", Per::Cylinder, Sizing::Each("leak-down"), Stage::Prove)
    },
    Check {
        also: &["pressure"],
        readings: &["gauge"],
        dimension: Dimension::Pressure,
        ..base("oil-pressure", "Oil pressure", Per::Point, Sizing::Each("oil pressure"), Stage::FirstStart)
    },
    Check {
        also: &["compression", "cranking pressure"],
        readings: &["gauge"],
        dimension: Dimension::Pressure,
        hold: false,
        spread: Spread::Share("cranking pressure spread"),
        ..base("compression-test", "Compression test", Per::Cylinder, Sizing::Feeds, Stage::FirstStart)
    },
];
