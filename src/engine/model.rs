//! What an engine is: its layout, numbering, sizes, and which rod rides on which crank pin.

use serde::{Deserialize, Serialize};

use super::plain;
use crate::quantity::{Length, System};

/// What the engine is built to do; general limits differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Duty {
    /// Light road use.
    Road,
    /// Sustained load.
    Marine,
    Boosted,
}

impl Duty {
    pub const ALL: [Self; 3] = [Self::Road, Self::Marine, Self::Boosted];

    /// The word used in pages and commands.
    pub fn word(self) -> &'static str {
        match self {
            Self::Road => "road",
            Self::Marine => "marine",
            Self::Boosted => "boosted",
        }
    }

    /// The duty of that word, in any case.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|duty| word.trim().eq_ignore_ascii_case(duty.word()))
    }
}

/// Which way the crank turns, seen by someone in front of the engine looking at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rotation {
    /// The usual hand.
    Clockwise,
    /// Reverse rotation.
    CounterClockwise,
}

/// One of two rows of cylinders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Bank {
    Left,
    Right,
}

impl Bank {
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// A side of one bore stood upright, seen from the rear looking forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    Left,
    Right,
}

impl Side {
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// An end of the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum End {
    Front,
    Flywheel,
}

/// Where a part faces across the engine, as its page says it.
/// `Valley` and `Outside` belong to engines of two banks (the valley of a flat engine is its top), `Left` and `Right` to in-line ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Facing {
    Valley,
    Outside,
    Left,
    Right,
}

/// What the piston crown has for the valves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reliefs {
    /// No reliefs, or the same on both sides.
    None,
    Toward(Facing),
}

/// Two rows of cylinder numbers, each front to rear, of equal length.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Banks {
    pub left: Vec<u8>,
    pub right: Vec<u8>,
    /// The bank whose first bore sits nearer the front.
    pub forward: Bank,
    /// True where rods of opposite banks share a crank pin; false for a pin to each rod.
    pub shared_pins: bool,
}

impl Banks {
    /// The numbers of one bank, front to rear.
    pub fn of(&self, bank: Bank) -> &[u8] {
        match bank {
            Bank::Left => &self.left,
            Bank::Right => &self.right,
        }
    }
}

/// How the cylinders stand.
#[derive(Debug, Clone, PartialEq)]
pub enum Layout {
    /// Cylinder numbers front to rear.
    Inline(Vec<u8>),
    /// `angle` in degrees between the banks.
    V {
        banks: Banks,
        angle: f64,
    },
    Flat(Banks),
}

impl Layout {
    /// The word of the front matter.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Inline(_) => "inline",
            Self::V { .. } => "v",
            Self::Flat(_) => "flat",
        }
    }
}

/// Where a cylinder stands: its bank (none in line) and its place in the row, 1 at the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seat {
    pub bank: Option<Bank>,
    pub place: u8,
}

/// An engine, checked: every cylinder numbered once, sizes positive and in proportion. Made by [`Engine::from_toml`].
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    pub id: String,
    pub title: String,
    pub also: Vec<String>,
    pub duty: Duty,
    /// What a bare number means on this engine.
    pub unit: System,
    pub layout: Layout,
    pub rotation: Rotation,
    pub firing_order: Vec<u8>,
    pub mains: u8,
    /// Bearings of all camshafts together; as many as mains where the page does not say (common practice).
    pub cam_journals: Option<u8>,
    /// Angle of each crank pin front to rear, degrees clockwise seen from the front.
    pub pins: Option<Vec<f64>>,
    pub bore: Length,
    pub stroke: Length,
    pub rod_length: Option<Length>,
    pub compression_height: Option<Length>,
    pub deck_height: Option<Length>,
    /// Toward the major thrust face when positive.
    pub pin_offset: Option<Length>,
    /// Diameter of the gudgeon pin.
    pub pin: Option<Length>,
    pub main_journal: Option<Length>,
    pub rod_journal: Option<Length>,
    /// The end of the engine that the piston's mark points to.
    pub front_mark: Option<End>,
    pub reliefs: Option<Reliefs>,
    /// Where the numbers or tangs of the rods face.
    pub rod_marks: Option<Facing>,
    pub undersizes: Vec<Length>,
    pub oversizes: Vec<Length>,
    /// Checks of the plan that this engine has no use for, by id.
    pub without: Vec<String>,
}

impl Engine {
    /// How many cylinders.
    pub fn cylinders(&self) -> u8 {
        let count = match &self.layout {
            Layout::Inline(row) => row.len(),
            Layout::V { banks, .. } | Layout::Flat(banks) => banks.left.len() + banks.right.len(),
        };
        count as u8 // at most 16: the reader saw to it
    }

    /// The two banks; none for an engine in line.
    pub fn banks(&self) -> Option<&Banks> {
        match &self.layout {
            Layout::Inline(_) => None,
            Layout::V { banks, .. } | Layout::Flat(banks) => Some(banks),
        }
    }

    /// Bank and place of a cylinder; none for a number this engine does not have.
    pub fn seat(&self, cylinder: u8) -> Option<Seat> {
        let place_in = |row: &[u8]| row.iter().position(|&n| n == cylinder).map(|i| i as u8 + 1);
        match &self.layout {
            Layout::Inline(row) => place_in(row).map(|place| Seat { bank: None, place }),
            Layout::V { banks, .. } | Layout::Flat(banks) => [Bank::Left, Bank::Right]
                .into_iter()
                .find_map(|bank| place_in(banks.of(bank)).map(|place| Seat { bank: Some(bank), place })),
        }
    }

    /// How many crank pins.
    pub fn pin_count(&self) -> u8 {
        match self.banks() {
            Some(banks) if banks.shared_pins => self.cylinders() / 2,
            _ => self.cylinders(),
        }
    }

    /// The crank pin of a cylinder's rod, 1 at the front. Pins that are not shared alternate between the banks, the
    /// forward bank first.
    pub fn pin_of(&self, cylinder: u8) -> Option<u8> {
        let seat = self.seat(cylinder)?;
        Some(match self.banks() {
            Some(banks) if !banks.shared_pins => 2 * seat.place - u8::from(seat.bank == Some(banks.forward)),
            _ => seat.place,
        })
    }

    /// The cylinders whose rods ride on a pin, front to rear; empty for a pin this engine does not have.
    pub fn on_pin(&self, pin: u8) -> Vec<u8> {
        let mut found: Vec<u8> = (1..=self.cylinders()).filter(|&n| self.pin_of(n) == Some(pin)).collect();
        if let Some(banks) = self.banks() {
            found.sort_by_key(|&n| self.seat(n).and_then(|seat| seat.bank) != Some(banks.forward));
        }
        found
    }

    /// Degrees the crank turns, from where `pins` is stated, to bring a cylinder to top dead centre, 0 to 360.
    ///
    /// Seen from the front a left bank leans to the right, so its bores stand at plus half the bank angle clockwise of
    /// upright and the other's at minus half. A crank turning clockwise by t brings pin p to p + t.
    pub fn tdc(&self, cylinder: u8) -> Option<f64> {
        let pin = *self.pins.as_ref()?.get(usize::from(self.pin_of(cylinder)?) - 1)?;
        let half = match self.layout {
            Layout::Inline(_) => 0.0,
            Layout::V { angle, .. } => angle / 2.0,
            Layout::Flat(_) => 90.0,
        };
        let bore = match self.seat(cylinder)?.bank {
            Some(Bank::Right) => -half,
            _ => half,
        };
        Some(match self.rotation {
            Rotation::Clockwise => (bore - pin).rem_euclid(360.0),
            Rotation::CounterClockwise => (pin - bore).rem_euclid(360.0),
        })
    }

    /// True when a person may mean this engine by that name: its id, title or another name, in any case.
    pub fn answers_to(&self, name: &str) -> bool {
        let wanted = plain(name);
        !wanted.is_empty() && [&self.id, &self.title].into_iter().chain(&self.also).any(|known| plain(known) == wanted)
    }
}

/// The engine of that name; an id wins over another engine's other names.
pub fn find<'a>(engines: impl IntoIterator<Item = &'a Engine>, name: &str) -> Option<&'a Engine> {
    let mut found = None;
    for engine in engines {
        if plain(&engine.id) == plain(name) {
            return Some(engine);
        }
        if found.is_none() && engine.answers_to(name) {
            found = Some(engine);
        }
    }
    found
}
