//! Where on the engine a reading is taken: `3`, `3 top`, `4 intake`, `2 bolt 1`, `hot idle`, `-`. Read back forgivingly.

use std::fmt;

use super::model::Engine;

/// What one set of readings belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Per {
    Engine,
    Cylinder,
    /// The bare crank first, as 0, then each cylinder.
    CrankThenCylinder,
    Main,
    /// Named by its cylinder.
    Rod,
    /// A crank pin, 1 at the front.
    Pin,
    /// A deck of the block.
    Face,
    /// The face of a head.
    Head,
    /// A bearing of the camshaft, 1 at the front.
    CamJournal,
    /// Cylinder and ring: top, second, both rails.
    Ring,
    /// Cylinder and compression ring: top, second.
    CompressionRing,
    Valve,
    RodBolt,
    /// A running point of the engine.
    Point,
}

impl Per {
    /// Those a limits row may name under At, for a check of the shop's own.
    pub const NAMED: [Self; 12] = [
        Self::Engine,
        Self::Cylinder,
        Self::Main,
        Self::Rod,
        Self::Pin,
        Self::Face,
        Self::Head,
        Self::CamJournal,
        Self::Ring,
        Self::CompressionRing,
        Self::Valve,
        Self::RodBolt,
    ];

    /// What one of its places is called: `cylinder`, `cam journal`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Engine => "engine",
            Self::Cylinder | Self::CrankThenCylinder => "cylinder",
            Self::Main => "main",
            Self::Rod => "rod",
            Self::Pin => "pin",
            Self::Face => "face",
            Self::Head => "head",
            Self::CamJournal => "cam journal",
            Self::Ring => "ring",
            Self::CompressionRing => "compression ring",
            Self::Valve => "valve",
            Self::RodBolt => "rod bolt",
            Self::Point => "running point",
        }
    }
}

/// A part of the ring pack, top to bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ring {
    Top,
    Second,
    UpperRail,
    LowerRail,
    /// The oil ring's expander: it has ends to place, but no gap to file.
    Expander,
}

impl Ring {
    pub const ALL: [Self; 5] = [Self::Top, Self::Second, Self::UpperRail, Self::LowerRail, Self::Expander];

    pub fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Second => "second",
            Self::UpperRail => "upper rail",
            Self::LowerRail => "lower rail",
            Self::Expander => "expander",
        }
    }

    /// The ring of that name, with the spellings a phone produces: `upper`, `upper-rail`, `2nd`.
    pub fn named(text: &str) -> Option<Self> {
        let (numbers, words) = tokens(text);
        numbers.is_empty().then(|| Self::ALL.into_iter().find(|ring| key_words(ring.word()) == words)).flatten()
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Valve {
    Intake,
    Exhaust,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Face {
    /// The one deck of an engine in line.
    Deck,
    /// Its one head.
    Head,
    Left,
    Right,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Point {
    HotIdle,
    Rpm2000,
}

/// Where one set of readings is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Position {
    /// The whole engine.
    Engine,
    /// A cylinder, rod, main or crank pin by its number; 0 is the bare crank.
    Number(u8),
    Ring(u8, Ring),
    Valve(u8, Valve),
    /// Rod, then bolt 1 or 2.
    Bolt(u8, u8),
    Face(Face),
    Point(Point),
}

impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Engine => f.write_str("-"),
            Self::Number(n) => write!(f, "{n}"),
            Self::Ring(n, ring) => write!(f, "{n} {}", ring.word()),
            Self::Valve(n, Valve::Intake) => write!(f, "{n} intake"),
            Self::Valve(n, Valve::Exhaust) => write!(f, "{n} exhaust"),
            Self::Bolt(rod, bolt) => write!(f, "{rod} bolt {bolt}"),
            Self::Face(Face::Deck) => f.write_str("deck"),
            Self::Face(Face::Head) => f.write_str("head"),
            Self::Face(Face::Left) => f.write_str("left"),
            Self::Face(Face::Right) => f.write_str("right"),
            Self::Point(Point::HotIdle) => f.write_str("hot idle"),
            Self::Point(Point::Rpm2000) => f.write_str("2000 rpm"),
        }
    }
}

impl Position {
    /// The cylinder, rod, main or pin number, where there is one.
    pub fn number(self) -> Option<u8> {
        match self {
            Self::Number(n) | Self::Ring(n, _) | Self::Valve(n, _) | Self::Bolt(n, _) => Some(n),
            Self::Engine | Self::Face(_) | Self::Point(_) => None,
        }
    }

    /// Reads a position as a person types it: `3-top`, `3top`, `top 3`, `cyl 3`, `#3`, `bolt 1 rod 2`, `2000rpm`.
    pub fn parse(engine: &Engine, per: Per, text: &str) -> Result<Self, UnknownPosition> {
        let possible = positions(engine, per);
        let given = if per == Per::RodBolt { tokens(&bolt_last(text)) } else { tokens(text) };
        match possible.iter().find(|position| tokens(&position.to_string()) == given) {
            Some(found) => Ok(*found),
            None => Err(UnknownPosition { given: text.trim().chars().take(60).collect(), per, possible }),
        }
    }
}

/// A position this engine does not have for the check, and those it has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownPosition {
    pub given: String,
    pub per: Per,
    pub possible: Vec<Position>,
}

/// Every position of that kind on the engine, in the order a person works: by number, then by part.
pub fn positions(engine: &Engine, per: Per) -> Vec<Position> {
    let cylinders = 1..=engine.cylinders();
    let each = |parts: &[Ring]| -> Vec<Position> {
        cylinders.clone().flat_map(|n| parts.iter().map(move |&ring| Position::Ring(n, ring))).collect()
    };
    match per {
        Per::Engine => vec![Position::Engine],
        Per::Cylinder | Per::Rod => cylinders.map(Position::Number).collect(),
        Per::CrankThenCylinder => (0..=engine.cylinders()).map(Position::Number).collect(),
        Per::Main => (1..=engine.mains).map(Position::Number).collect(),
        Per::Pin => (1..=engine.pin_count()).map(Position::Number).collect(),
        Per::Face if engine.banks().is_none() => vec![Position::Face(Face::Deck)],
        Per::Head if engine.banks().is_none() => vec![Position::Face(Face::Head)],
        Per::Face | Per::Head => vec![Position::Face(Face::Left), Position::Face(Face::Right)],
        Per::CamJournal => (1..=engine.cam_journals.unwrap_or(engine.mains)).map(Position::Number).collect(),
        Per::Ring => each(&[Ring::Top, Ring::Second, Ring::UpperRail, Ring::LowerRail]),
        Per::CompressionRing => each(&[Ring::Top, Ring::Second]),
        Per::Valve => {
            cylinders.flat_map(|n| [Position::Valve(n, Valve::Intake), Position::Valve(n, Valve::Exhaust)]).collect()
        }
        Per::RodBolt => cylinders.flat_map(|n| [Position::Bolt(n, 1), Position::Bolt(n, 2)]).collect(),
        Per::Point => vec![Position::Point(Point::HotIdle), Position::Point(Point::Rpm2000)],
    }
}

/// Numbers in the order typed, and the words that tell positions apart, sorted.
fn tokens(text: &str) -> (Vec<u32>, Vec<String>) {
    let (mut numbers, mut words) = (Vec::new(), Vec::new());
    for piece in pieces(text) {
        match piece.parse() {
            Ok(number) => numbers.push(number),
            Err(_) if piece == "bare" => numbers.push(0),
            Err(_) => words.extend(key_word(&piece)),
        }
    }
    // An ordinal is a ring, not a cylinder: `3 2nd` is cylinder 3, second ring.
    for (ending, ordinal, ring) in [("st", 1, "top"), ("nd", 2, "second")] {
        if let Some(word) = words.iter_mut().find(|w| *w == ending)
            && let Some(at) = numbers.iter().rposition(|n| *n == ordinal)
        {
            numbers.remove(at);
            *word = ring.to_owned();
        }
    }
    words.sort();
    (numbers, words)
}

fn key_words(text: &str) -> Vec<String> {
    tokens(text).1
}

/// One spelling for a word; none for a word that says nothing here.
fn key_word(word: &str) -> Option<String> {
    Some(match word {
        "cylinder" | "cyl" | "cyls" | "main" | "rod" | "pin" | "journal" | "crankpin" | "throw" | "bore" | "hole"
        | "no" | "number" | "ring" | "rings" | "rail" | "valve" | "deck" | "bank" | "face" | "engine" | "whole"
        | "rpm" | "crank" | "hot" | "the" | "at" | "comp" | "compression" | "head" | "cam" => return None,
        "inlet" | "int" | "inl" => "intake".to_owned(),
        "exh" | "ex" | "outlet" => "exhaust".to_owned(),
        "sec" => "second".to_owned(),
        other => other.to_owned(),
    })
}

/// Runs of letters and runs of digits, in lower case.
fn pieces(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut last = ' ';
    for c in text.to_lowercase().chars() {
        let joins = (c.is_ascii_digit() && last.is_ascii_digit()) || (c.is_alphabetic() && last.is_alphabetic());
        match out.last_mut().filter(|_| joins) {
            Some(piece) => piece.push(c),
            None if c.is_ascii_digit() || c.is_alphabetic() => out.push(c.to_string()),
            None => {}
        }
        last = c;
    }
    out
}

/// `bolt 1 rod 2` as `2 bolt 1`: the number after the word `bolt` is the bolt's.
fn bolt_last(text: &str) -> String {
    let mut pieces = pieces(text);
    if let Some(at) = pieces.iter().position(|p| p == "bolt")
        && at + 1 < pieces.len()
    {
        let pair: Vec<_> = pieces.drain(at..=at + 1).collect();
        pieces.extend(pair);
    }
    pieces.join(" ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::demo;
    use super::*;

    fn read(per: Per, text: &str) -> Option<String> {
        let [skerry, ..] = demo::engines();
        Position::parse(&skerry, per, text).ok().map(|found| found.to_string())
    }

    #[test]
    fn a_position_is_read_however_it_is_typed() {
        for text in ["3 top", "3-top", "3top", "3/top", "top 3", "TOP3", "cyl 3 top ring", "#3 top", "3 — top", "3 1st"]
        {
            assert_eq!(read(Per::Ring, text).as_deref(), Some("3 top"), "{text}");
        }
        for text in ["3 second", "3 2nd", "2nd 3", "2nd ring cyl 3"] {
            assert_eq!(read(Per::CompressionRing, text).as_deref(), Some("3 second"), "{text}");
        }
        for (per, text, wanted) in [
            (Per::Ring, "2 2nd", "2 second"),
            (Per::Ring, "upper 8", "8 upper rail"),
            (Per::Ring, "8-lower-rail", "8 lower rail"),
            (Per::Valve, "4 inlet", "4 intake"),
            (Per::Valve, "exh4", "4 exhaust"),
            (Per::RodBolt, "2 bolt 1", "2 bolt 1"),
            (Per::RodBolt, "bolt 1 rod 2", "2 bolt 1"),
            (Per::RodBolt, "2bolt1", "2 bolt 1"),
            (Per::Main, "main 5", "5"),
            (Per::Pin, "pin 4", "4"),
            (Per::CrankThenCylinder, "bare crank", "0"),
            (Per::Point, "idle", "hot idle"),
            (Per::Point, "2000rpm", "2000 rpm"),
            (Per::Engine, "-", "-"),
            (Per::Engine, "", "-"),
            (Per::Face, "right bank", "right"),
        ] {
            assert_eq!(read(per, text).as_deref(), Some(wanted), "{text}");
        }
    }

    #[test]
    fn what_is_not_there_or_could_be_two_things_is_refused_with_the_choice() {
        for (per, text) in [
            (Per::Cylinder, "9"),
            (Per::Cylinder, "0"),
            (Per::Cylinder, ""),
            (Per::Cylinder, "3.5"),
            (Per::Main, "6"),
            (Per::Ring, "3"),
            (Per::Ring, "3 rail"),
            (Per::Ring, "3 expander"),
            (Per::CompressionRing, "3 upper rail"),
            (Per::RodBolt, "2 1"),
            (Per::RodBolt, "2 bolt 3"),
            (Per::Point, "3000 rpm"),
            (Per::Face, "deck"),
            (Per::Cylinder, "99999999999999999999"),
            (Per::Cylinder, "\u{0}\u{1F600}"),
        ] {
            assert_eq!(read(per, text), None, "{text}");
        }
        let [skerry, ..] = demo::engines();
        let unknown = Position::parse(&skerry, Per::Main, "6").unwrap_err();
        assert_eq!((unknown.given.as_str(), unknown.possible.len()), ("6", 5));
    }

    #[test]
    fn rings_by_name() {
        assert_eq!(Ring::named("Upper-Rail"), Some(Ring::UpperRail));
        assert_eq!(Ring::named("2nd"), Some(Ring::Second));
        assert_eq!(Ring::named("expander"), Some(Ring::Expander));
        assert_eq!(Ring::named("third").or(Ring::named("")), None);
    }
}
