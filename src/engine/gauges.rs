//! Instruments by what they are: which quantity each reads, and which checks of the plan it is for.

use super::model::Engine;
use super::plain;
use super::plan::{Check, Reach};
use crate::quantity::{Dimension, Measure};

/// A kind of instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    Micrometer,
    InsideMicrometer,
    BoreGauge,
    DepthGauge,
    Calliper,
    Dial,
    Feeler,
    GaugingStrip,
    StraightEdge,
    StretchGauge,
    Burette,
    TorqueWrench,
    PressureGauge,
    LeakTester,
    Scale,
    SpringTester,
    DegreeWheel,
}

impl Kind {
    pub const ALL: [Self; 17] = [
        Self::Micrometer,
        Self::InsideMicrometer,
        Self::BoreGauge,
        Self::DepthGauge,
        Self::Calliper,
        Self::Dial,
        Self::Feeler,
        Self::GaugingStrip,
        Self::StraightEdge,
        Self::StretchGauge,
        Self::Burette,
        Self::TorqueWrench,
        Self::PressureGauge,
        Self::LeakTester,
        Self::Scale,
        Self::SpringTester,
        Self::DegreeWheel,
    ];

    /// The word a line uses and the record keeps.
    pub fn word(self) -> &'static str {
        match self {
            Self::Micrometer => "micrometer",
            Self::InsideMicrometer => "inside-micrometer",
            Self::BoreGauge => "bore-gauge",
            Self::DepthGauge => "depth-gauge",
            Self::Calliper => "calliper",
            Self::Dial => "dial",
            Self::Feeler => "feeler",
            Self::GaugingStrip => "gauging-strip",
            Self::StraightEdge => "straight-edge",
            Self::StretchGauge => "stretch-gauge",
            Self::Burette => "burette",
            Self::TorqueWrench => "torque-wrench",
            Self::PressureGauge => "pressure-gauge",
            Self::LeakTester => "leak-tester",
            Self::Scale => "scale",
            Self::SpringTester => "spring-tester",
            Self::DegreeWheel => "degree-wheel",
        }
    }

    /// As a sentence has it.
    pub fn name(self) -> String {
        self.word().replace('-', " ")
    }

    /// What people on the other side of the water call it, and for short.
    pub fn also(self) -> &'static [&'static str] {
        match self {
            Self::Micrometer => &["mike", "mic", "outside micrometer"],
            Self::InsideMicrometer => &["inside mike", "stick micrometer", "inside mic"],
            Self::BoreGauge => &["dial bore gauge", "bore gage", "dial bore gage"],
            Self::DepthGauge => &["depth micrometer", "depth mic", "depth gage"],
            Self::Calliper => &["caliper", "callipers", "calipers", "vernier"],
            Self::Dial => &["dial indicator", "dial gauge", "clock gauge", "dial gage", "DTI", "indicator"],
            Self::Feeler => &["feeler gauge", "feelers", "feeler gage", "feeler blades"],
            Self::GaugingStrip => &["plastic strip", "gaging strip", "strip"],
            Self::StraightEdge => &["straightedge"],
            Self::StretchGauge => &["bolt stretch gauge", "stretch gage"],
            Self::Burette => &["buret", "graduate"],
            Self::TorqueWrench => &["torque spanner", "torque meter"],
            Self::PressureGauge => &["pressure gage", "compression gauge", "oil pressure gauge"],
            Self::LeakTester => &["leak-down tester", "leakdown tester", "leak down gauge"],
            Self::Scale => &["scales", "balance"],
            Self::SpringTester => &["valve spring tester"],
            Self::DegreeWheel => &["timing disc", "protractor"],
        }
    }

    /// The kind of that name; case, blanks and hyphens do not matter.
    pub fn named(text: &str) -> Option<Self> {
        let wanted = plain(text);
        Self::ALL
            .into_iter()
            .find(|kind| plain(kind.word()) == wanted || kind.also().iter().any(|other| plain(other) == wanted))
    }

    pub fn dimension(self) -> Dimension {
        match self {
            Self::Burette => Dimension::Volume,
            Self::TorqueWrench => Dimension::Torque,
            Self::PressureGauge => Dimension::Pressure,
            Self::LeakTester => Dimension::Share,
            Self::Scale => Dimension::Mass,
            Self::SpringTester => Dimension::Force,
            Self::DegreeWheel => Dimension::Angle,
            _ => Dimension::Length,
        }
    }

    /// True for one that shows how far something moved, from wherever it was set: its range is its travel.
    fn reads_travel(self) -> bool {
        matches!(self, Self::Dial | Self::StretchGauge | Self::DepthGauge)
    }

    /// True for one that is built up of blades or strips, so that nothing thinner than its first can only be nothing.
    fn reads_nothing(self) -> bool {
        matches!(self, Self::Feeler | Self::GaugingStrip | Self::StraightEdge)
    }

    /// Whether it is what the trade takes for this check (common practice).
    pub fn is_usual_for(self, check: &Check) -> bool {
        match check.id {
            "bore" | "main-housing" | "big-end" | "main-bearing" | "rod-bearing" | "cam-bore" | "lifter-bore"
            | "small-end" | "pin-bore" => matches!(self, Self::BoreGauge | Self::InsideMicrometer),
            "main-journal" | "rod-journal" | "piston-skirt" | "cam-journal" | "lifter" | "piston-pin" => {
                self == Self::Micrometer
            }
            "main-oil-clearance" | "rod-oil-clearance" => self == Self::GaugingStrip,
            "deck-flatness" | "head-flatness" => matches!(self, Self::Feeler | Self::StraightEdge),
            "crank-runout" | "crank-end-float" | "cam-end-float" | "rod-bend" | "rod-twist" | "seat-runout"
            | "lifter-preload" | "piston-to-deck" => matches!(self, Self::Dial | Self::DepthGauge),
            "bolt-stretch" => matches!(self, Self::StretchGauge | Self::Micrometer),
            "valve-guide" => matches!(self, Self::Micrometer | Self::BoreGauge | Self::Dial),
            "piston-to-valve" => matches!(self, Self::Dial | Self::DegreeWheel),
            "installed-height" | "seat-width" | "pick-up-depth" | "rod-length" => {
                matches!(self, Self::Calliper | Self::DepthGauge)
            }
            "squish" => matches!(self, Self::Micrometer | Self::Calliper),
            _ => match check.dimension {
                Dimension::Length => self == Self::Feeler,
                other => self.dimension() == other,
            },
        }
    }

    /// Readings that one value of this check is the difference of: a stretch is long less short, a guide's clearance
    /// guide less stem. What shows travel takes the difference itself.
    pub fn readings_of(self, check: &Check) -> u32 {
        if is_difference(check) && !self.reads_travel() { 2 } else { 1 }
    }

    /// Whether it can show this value of a check (SI), its range being `from..=to`.
    pub fn can_show(self, check: &Check, (from, to): (f64, f64), value: f64) -> bool {
        if self.reads_nothing() && value == 0.0 {
            return true;
        }
        // Half a hair either way, so that the ends of a range in decimals are inside it.
        let hair = 1e-9 * to.abs().max(1e-3);
        if self.reads_travel() || is_difference(check) {
            value.abs() <= to - from + hair
        } else {
            (from - hair..=to + hair).contains(&value)
        }
    }

    /// How well an instrument of that range suits a check on this engine: 0 made for it and for its size, 1 made for it,
    /// 2 it can read it, 3 it reads something else.
    pub fn suits(self, check: &Check, engine: Option<&Engine>, range: (f64, f64)) -> u8 {
        if self.dimension() != check.dimension {
            return 3;
        }
        let size = engine.and_then(|engine| check.expected(engine));
        let reaches = size.is_none_or(|size| self.can_show(check, range, size.si()));
        match (self.is_usual_for(check), reaches) {
            (true, true) => 0,
            (true, false) => 1,
            (false, true) => 2,
            (false, false) => 3,
        }
    }
}

/// True for a check whose value is one size less another.
fn is_difference(check: &Check) -> bool {
    matches!(check.id, "bolt-stretch" | "valve-guide")
}

/// True for a check of a size that stays as it is until the part is cut: reading it again reads the same thing. A gap or a
/// clearance changes as parts are fitted.
pub fn stays_put(check: &Check) -> bool {
    // These are set with shims, by bending and with the grinder.
    let is_set = matches!(check.id, "installed-height" | "pick-up-depth" | "seat-width");
    check.dimension == Dimension::Length && !is_set && (check.expect.is_some() || check.reach == Reach::Part)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use std::collections::HashMap;

    use super::super::{demo, plan};
    use super::*;
    use crate::quantity::inches;

    fn range(from: f64, to: f64) -> (f64, f64) {
        (inches(from).si(), inches(to).si())
    }

    #[test]
    fn no_word_means_two_kinds() {
        let mut seen = HashMap::new();
        for kind in Kind::ALL {
            assert_eq!(Kind::named(kind.word()), Some(kind));
            for word in [kind.word()].iter().chain(kind.also()).map(|word| plain(word)) {
                let other = seen.insert(word.clone(), kind);
                assert!(other.is_none_or(|other| other == kind), "{word} means {other:?} and {kind:?}");
            }
        }
    }

    #[test]
    fn every_check_has_an_instrument() {
        for check in plan::Plan::new([]).checks() {
            let usual: Vec<Kind> = Kind::ALL.into_iter().filter(|kind| kind.is_usual_for(check)).collect();
            let reads = |kind: &Kind| kind.dimension() == check.dimension;
            assert!(usual.iter().any(reads), "{} has none", check.id);
        }
    }

    #[test]
    fn the_one_for_the_size_comes_first() {
        let [skerry, ..] = demo::engines();
        let journal = plan::built_in("main-journal").unwrap();
        let suits = |kind: Kind, range| kind.suits(journal, Some(&skerry), range);
        assert_eq!(suits(Kind::Micrometer, range(2.0, 3.0)), 0);
        assert_eq!(suits(Kind::Micrometer, range(3.0, 4.0)), 1);
        assert_eq!(suits(Kind::Calliper, range(0.0, 6.0)), 2);
        assert_eq!(suits(Kind::Burette, (0.0, 1e-4)), 3);
    }

    #[test]
    fn the_ends_of_a_range_are_inside_it() {
        let at = |check: &str| plan::built_in(check).unwrap();
        let mike = |value: f64| Kind::Micrometer.can_show(at("main-journal"), range(2.0, 3.0), inches(value).si());
        assert!(mike(2.0) && mike(3.0) && !mike(3.0001) && !mike(1.9999));
        // A dial shows travel, either way.
        let dial = |value: f64| Kind::Dial.can_show(at("piston-to-deck"), range(0.0, 1.0), inches(value).si());
        assert!(dial(-0.012) && dial(0.9) && !dial(1.2));
        // A stretch is the difference of two readings somewhere in the range.
        let stretch = |value: f64| Kind::Micrometer.can_show(at("bolt-stretch"), range(2.0, 3.0), inches(value).si());
        assert!(stretch(0.006) && !stretch(1.5));
        assert_eq!(Kind::Micrometer.readings_of(at("bolt-stretch")), 2);
        assert_eq!(
            (Kind::StretchGauge.readings_of(at("bolt-stretch")), Kind::Micrometer.readings_of(at("bore"))),
            (1, 1)
        );
        // No blade goes in: the gap is nothing.
        assert!(Kind::Feeler.can_show(at("deck-flatness"), range(0.0015, 0.035), 0.0));
    }
}
