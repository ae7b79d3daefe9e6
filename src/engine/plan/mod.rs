//! The measuring plan: every check a job can hold, what is read for it, where, and at which stage.
//!
//! A shelf hands out its [`Plan`]: the checks built in here, and the shop's own.

mod block;
mod crank;
mod heads;
pub mod own;
mod pistons;

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
    /// The gudgeon pin.
    Pin,
    /// A rod, centre to centre.
    Rod,
}

/// What a length can be at all, where no size of the engine says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reach {
    /// A clearance or another small difference.
    Clearance,
    /// One that may lie below nothing.
    EitherWay,
    /// The size of a part.
    Part,
}

/// How far the readings of a set may stand apart: the measure of their spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    Free,
    /// How far the lowest falls short of the highest, as a share of it.
    Share(&'static str),
    /// Highest less lowest.
    Span(&'static str),
}

impl Spread {
    pub fn measure(self) -> Option<&'static str> {
        match self {
            Self::Free => None,
            Self::Share(measure) | Self::Span(measure) => Some(measure),
        }
    }
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
    pub reach: Reach,
    /// What the readings of all places are judged by together.
    pub spread: Spread,
    /// True for one that a row of a limits table makes.
    pub own: bool,
}

impl Check {
    /// True where people are told the measure, not the readings it was made from.
    pub fn told_by_measure(&self) -> bool {
        matches!(self.sizing, Sizing::Mean(_) | Sizing::Less(_) | Sizing::Turn(_))
    }

    /// True where the readings are sizes of unlike things, of which no range can be told.
    pub fn unlike(&self) -> bool {
        self.id == "ring-root"
    }

    /// True for dial readings round one turn, which tell more than how far they run.
    pub fn is_turn(&self) -> bool {
        matches!(self.sizing, Sizing::Turn(_))
    }

    /// How many readings of equal uncertainty make up the measure as a difference; 1 where it is a reading itself.
    pub fn readings_apart(&self) -> f64 {
        if matches!(self.sizing, Sizing::Less(_) | Sizing::Turn(_)) { 2.0 } else { 1.0 }
    }

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
            Expect::Pin => engine.pin,
            Expect::Rod => engine.rod_length,
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
        let (mut checks, mut measures) = (built_ins().copied().collect::<Vec<_>>(), MEASURES.to_vec());
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

    /// The checks an engine is built by: all but those its page says it is without.
    pub fn of<'a>(&'a self, engine: &'a Engine) -> impl Iterator<Item = &'a Check> {
        self.checks.iter().filter(|check| !engine.without.iter().any(|id| id == check.id))
    }

    /// The check of that id, name or other word; case, blanks and hyphens do not matter.
    pub fn check(&self, word: &str) -> Option<&Check> {
        find(self.checks.iter(), word)
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
        let exact = self.measures.iter().find(|kind| kind.name == name);
        exact.or_else(|| {
            let wanted = plain(name);
            self.measures.iter().find(|kind| plain(kind.name) == wanted)
        })
    }
}

/// A built-in check by its id or another word for it.
pub fn built_in(word: &str) -> Option<&'static Check> {
    find(built_ins(), word)
}

fn find<'a>(checks: impl Iterator<Item = &'a Check> + Clone, word: &str) -> Option<&'a Check> {
    let first = |is: &dyn Fn(&Check) -> bool| checks.clone().find(|check| is(check));
    // The record says the id letter for letter, thousands of times for one board.
    first(&|check| check.id == word).or_else(|| {
        let wanted = plain(word);
        let named = |check: &Check| plain(check.name) == wanted || check.also.iter().any(|word| plain(word) == wanted);
        first(&|check| plain(check.id) == wanted).or_else(|| first(&named))
    })
}

const AROUND: &[&str] = &["vertical", "left of vertical", "right of vertical"];
const JOURNAL: &[&str] = &["front vertical", "front horizontal", "rear vertical", "rear horizontal"];
const TURN: &[&str] = &[
    "at the start",
    "1/8 of a turn",
    "1/4 of a turn",
    "3/8 of a turn",
    "1/2 of a turn",
    "5/8 of a turn",
    "3/4 of a turn",
    "7/8 of a turn",
];
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
        reach: Reach::Clearance,
        spread: Spread::Free,
        own: false,
    }
}

/// The checks every shop has, in the order the work goes.
pub(super) fn built_ins() -> impl Iterator<Item = &'static Check> + Clone {
    [block::CHECKS, crank::CHECKS, pistons::CHECKS, heads::CHECKS].into_iter().flatten()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::{Position, demo, positions};
    use super::*;

    #[test]
    fn no_word_means_two_checks_and_every_id_is_its_own_word() {
        let mut seen = std::collections::HashMap::new();
        for one in built_ins() {
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
        for one in built_ins() {
            if let Some(other) = one.instead {
                let other = built_in(other).unwrap();
                assert_eq!((other.instead, other.per), (Some(one.id), one.per));
            }
        }
    }

    #[test]
    fn the_stages_run_forward() {
        assert!(built_ins().collect::<Vec<_>>().windows(2).all(|pair| pair[0].stage <= pair[1].stage));
        for stage in Stage::ALL {
            assert_eq!(Stage::named(stage.slug()), Some(stage));
        }
        assert!(built_in("main clearance").unwrap().wants_lead() && !built_in("end gap").unwrap().wants_lead());
    }

    #[test]
    fn a_position_reads_back_as_shown_for_every_check() {
        for engine in demo::engines() {
            for one in built_ins() {
                let all = positions(&engine, one.per);
                assert!(!all.is_empty());
                for position in all {
                    assert_eq!(Position::parse(&engine, one.per, &position.to_string()), Ok(position));
                }
            }
        }
    }
}
