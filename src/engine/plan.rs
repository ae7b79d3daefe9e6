//! The measuring plan: every check a job can hold, what is read for it, where, and at which stage.
//!
//! A shelf hands out its [`Plan`]: the checks built in here, and the shop's own.

pub mod own;

use super::measures::{Kind, MEASURES, Sizing};
use super::model::Engine;
use super::position::Per;
use super::{Stage, plain};
use crate::quantity::{Dimension, Length};

/// A size of the engine that a reading should come out near; a slip of unit shows against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Expect {
    Bore,
    MainJournal,
    RodJournal,
}

/// One check of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    pub id: &'static str,
    /// The name shown to people.
    pub name: &'static str,
    /// Other words people use for it.
    pub also: &'static [&'static str],
    pub per: Per,
    /// What each raw value is, in the order they are given; as many as this at most.
    pub readings: &'static [&'static str],
    /// How many raw values at least.
    pub least: usize,
    pub dimension: Dimension,
    pub(super) sizing: Sizing,
    pub stage: Stage,
    /// True where work stops until the readings are posted.
    pub hold: bool,
    /// Another check that answers the same question: one of the two is enough.
    pub instead: Option<&'static str>,
    pub expect: Option<Expect>,
    /// True for one that a row of a limits table makes.
    pub own: bool,
}

impl Check {
    /// True where the lead must accept the readings.
    pub fn wants_lead(&self) -> bool {
        self.hold && self.stage.wants_lead()
    }

    /// The engine's size that raw readings of this check come out near (housings and big ends somewhat above it).
    pub fn expected(&self, engine: &Engine) -> Option<Length> {
        match self.expect? {
            Expect::Bore => Some(engine.bore),
            Expect::MainJournal => engine.main_journal,
            Expect::RodJournal => engine.rod_journal,
        }
    }
}

/// The checks a job can hold, in the order the work goes, and the measures they lead to.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    checks: Vec<Check>,
    measures: Vec<Kind>,
}

impl Plan {
    /// The built-in checks and the shop's own, which follow those of their stage.
    pub fn new(own: impl IntoIterator<Item = (Check, Kind)>) -> Self {
        let (mut checks, mut measures) = (BUILT_IN.to_vec(), MEASURES.to_vec());
        for (check, measure) in own {
            checks.push(check);
            measures.push(measure);
        }
        checks.sort_by_key(|check| check.stage); // stable
        Self { checks, measures }
    }

    pub fn checks(&self) -> &[Check] {
        &self.checks
    }

    /// The check of that id, name or other word; case, blanks and hyphens do not matter.
    pub fn check(&self, word: &str) -> Option<&Check> {
        find(&self.checks, word)
    }

    /// Where a check stands in the order of the work.
    pub fn order(&self, id: &str) -> Option<usize> {
        self.checks.iter().position(|check| check.id == id)
    }

    /// What people call the check of a reading; its id where its row has left the shelf.
    pub fn name_of<'a>(&'a self, id: &'a str) -> &'a str {
        self.checks.iter().find(|check| check.id == id).map_or(id, |check| check.name)
    }

    /// Every measure that a limits row may name, in the order of the work.
    pub fn measures(&self) -> &[Kind] {
        &self.measures
    }

    /// The measure of that name; case, blanks and hyphens do not matter.
    pub fn measure(&self, name: &str) -> Option<&Kind> {
        let wanted = plain(name);
        self.measures.iter().find(|kind| plain(kind.name) == wanted)
    }
}

/// A built-in check by its id or another word for it.
pub fn built_in(word: &str) -> Option<&'static Check> {
    find(BUILT_IN, word)
}

fn find<'a>(checks: &'a [Check], word: &str) -> Option<&'a Check> {
    let wanted = plain(word);
    let exact = checks.iter().find(|check| plain(check.id) == wanted);
    exact.or_else(|| {
        checks.iter().find(|check| plain(check.name) == wanted || check.also.iter().any(|word| plain(word) == wanted))
    })
}

const AROUND: &[&str] = &["vertical", "left of vertical", "right of vertical"];
const JOURNAL: &[&str] = &["front vertical", "front horizontal", "rear vertical", "rear horizontal"];
const STRIP: &[&str] = &["front", "middle", "rear"];

const fn base(id: &'static str, name: &'static str, per: Per, sizing: Sizing, stage: Stage) -> Check {
    Check {
        id,
        name,
        also: &[],
        per,
        readings: &["reading"],
        least: 1,
        dimension: Dimension::Length,
        sizing,
        stage,
        hold: true,
        instead: None,
        expect: None,
        own: false,
    }
}

/// The checks every shop has, in the order the work goes.
pub(super) static BUILT_IN: &[Check] = &[
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
        ..base("crank-runout", "Crank run-out", Per::Main, Sizing::Each("crank run-out"), Stage::MeasureCrank)
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
    Check {
        also: &["end gap", "ring end gap", "butt gap"],
        readings: &["feeler"],
        ..base("ring-gap", "Ring end gap", Per::Ring, Sizing::Each("ring gap"), Stage::Rings)
    },
    Check {
        also: &["side clearance", "groove clearance"],
        readings: &["feeler"],
        ..base(
            "ring-side-clearance",
            "Ring side clearance",
            Per::CompressionRing,
            Sizing::Each("ring side clearance"),
            Stage::Rings,
        )
    },
    Check {
        also: &["back clearance"],
        readings: &["per side"],
        ..base(
            "ring-back-clearance",
            "Ring back clearance",
            Per::CompressionRing,
            Sizing::Each("ring back clearance"),
            Stage::Rings,
        )
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
    Check {
        also: &["valve clearance to piston", "piston valve clearance"],
        readings: &["smallest over the range"],
        ..base("piston-to-valve", "Piston to valve", Per::Valve, Sizing::Each("piston to valve"), Stage::Timing)
    },
    Check {
        also: &["guide", "stem clearance", "valve stem clearance", "guide clearance"],
        readings: &["clearance: guide less stem"],
        ..base("valve-guide", "Valve stem in guide", Per::Valve, Sizing::Each("valve stem clearance"), Stage::Heads)
    },
    Check {
        also: &["coil bind margin", "spring bind"],
        readings: &["margin at full lift"],
        ..base("coil-bind", "Coil-bind margin", Per::Valve, Sizing::Each("coil bind margin"), Stage::Heads)
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
        ..base("compression-test", "Compression test", Per::Cylinder, Sizing::Feeds, Stage::FirstStart)
    },
];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::{Position, demo, positions};
    use super::*;

    #[test]
    fn no_word_means_two_checks_and_every_id_is_its_own_word() {
        let mut seen = std::collections::HashMap::new();
        for one in BUILT_IN {
            assert_eq!(built_in(one.id), Some(one));
            assert!(one.least >= 1 && one.least <= one.readings.len(), "{}", one.id);
            let words = [one.id, one.name].into_iter().chain(one.also.iter().copied());
            for word in words.map(plain).collect::<std::collections::HashSet<_>>() {
                if let Some(other) = seen.insert(word.clone(), one.id) {
                    panic!("{word} means {other} and {}", one.id);
                }
            }
        }
    }

    #[test]
    fn either_check_of_a_pair_names_the_other() {
        for one in BUILT_IN {
            if let Some(other) = one.instead {
                let other = built_in(other).unwrap();
                assert_eq!((other.instead, other.per), (Some(one.id), one.per));
            }
        }
    }

    #[test]
    fn the_stages_run_forward() {
        assert!(BUILT_IN.windows(2).all(|pair| pair[0].stage <= pair[1].stage));
        for stage in Stage::ALL {
            assert_eq!(Stage::named(stage.slug()), Some(stage));
        }
        assert!(built_in("main clearance").unwrap().wants_lead() && !built_in("end gap").unwrap().wants_lead());
    }

    #[test]
    fn a_position_reads_back_as_shown_for_every_check() {
        for engine in demo::engines() {
            for one in BUILT_IN {
                let all = positions(&engine, one.per);
                assert!(!all.is_empty());
                for position in all {
                    assert_eq!(Position::parse(&engine, one.per, &position.to_string()), Ok(position));
                }
            }
        }
    }
}
