//! Which cylinders a list of readings belongs to, and which of them are neighbours.

use crate::desk::reply::{Cell, Verdict};
use crate::desk::trouble::Refusal;
use crate::engine::Engine;

/// The cylinder numbers of a list, in its order.
pub struct Which<'a> {
    pub numbers: Vec<u8>,
    engine: Option<&'a Engine>,
}

impl<'a> Which<'a> {
    /// `given` where there are any; else 1, 2, 3 and so on, as many as the engine has.
    pub fn new(engine: Option<&'a Engine>, readings: usize, given: &[u32]) -> Result<Self, Refusal> {
        let said = given.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
        let refuse = |possible: String| Err(Refusal::new("cylinders", &said, possible));
        let count = engine.map_or(24, |e| usize::from(e.cylinders()));
        let name = engine.map_or("", |e| e.title.as_str());
        let numbers: Vec<u8> = match given {
            [] if engine.is_some() && readings != count => {
                return refuse(format!(
                    "The {name} has {count}; {readings} came. Say which they are: cylinders=1 cylinders=3, in the order of the readings."
                ));
            }
            [] => (1..=readings.min(count) as u8).collect(),
            given if given.len() != readings => {
                return refuse(format!("There are {readings} readings: name as many cylinders."));
            }
            given => given.iter().map(|n| u8::try_from(*n).unwrap_or(0)).collect(),
        };
        for (place, number) in numbers.iter().enumerate() {
            let known = engine.map_or((1..=24).contains(number), |e| e.seat(*number).is_some());
            if !known {
                return refuse(format!("Possible: 1 to {count}."));
            }
            if numbers[..place].contains(number) {
                return refuse(format!("Cylinder {number} is named twice."));
            }
        }
        Ok(Self { numbers, engine })
    }

    /// True for cylinders side by side: of one bank by the engine's page, or else by number.
    pub fn neighbours(&self, a: usize, b: usize) -> bool {
        let (Some(a), Some(b)) = (self.numbers.get(a), self.numbers.get(b)) else { return false };
        match self.engine {
            Some(engine) => engine
                .seat(*a)
                .zip(engine.seat(*b))
                .is_some_and(|(a, b)| a.bank == b.bank && a.place.abs_diff(b.place) == 1),
            None => a.abs_diff(*b) == 1,
        }
    }

    /// How neighbours were told.
    pub fn basis(&self) -> String {
        match self.engine {
            Some(engine) => format!("neighbours by the {}'s page", engine.title),
            None => "neighbours taken as one row, 1 2 3; name engine= for two banks".to_owned(),
        }
    }

    pub fn name(&self, place: usize) -> String {
        format!("cylinder {}", self.numbers.get(place).copied().unwrap_or_default())
    }

    /// `cylinders 2 and 4`.
    pub fn names(&self, places: &[usize]) -> String {
        let numbers: Vec<String> =
            places.iter().filter_map(|place| self.numbers.get(*place)).map(ToString::to_string).collect();
        match numbers.as_slice() {
            [] => "none".to_owned(),
            [one] => format!("cylinder {one}"),
            [rest @ .., last] => format!("cylinders {} and {last}", rest.join(", ")),
        }
    }
}

/// A cell with its verdict.
pub fn judged(text: String, weak: bool) -> Cell {
    Cell { text, verdict: Some(if weak { Verdict::Out } else { Verdict::Within }), line: None }
}
