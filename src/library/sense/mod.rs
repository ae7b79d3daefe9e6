//! What a text means, as a direction among all others: two texts that mean the same point the same way, whatever their words. And
//! the same for each piece of it (`wording`).
//!
//! A small network that comes along reads a text (`wordpiece`, `network`); what the shelf itself says and is asked it has read
//! beforehand (`known`). The README beside this says where the network is from and how it was taught.

mod known;
mod network;
mod wording;
mod wordpiece;

use std::collections::HashMap;

use ndarray::Array1;

use super::best;
pub(super) use wording::Wording;

/// How many numbers a direction has.
const DIMS: usize = 128;
/// A number of a direction is kept as a whole one, of so many parts.
const PARTS: f32 = 127.0;

fn in_parts(number: f32) -> i8 {
    (number * PARTS).round() as i8
}

/// So many pieces of a question or a heading are read: what people ask is shorter, and a heading has said what it is about by then.
const ASKED: usize = 32;
/// So many pieces of texts that were not known are read for the first index, a millisecond each, and for one after an edit, which
/// is to answer within a second. A text that is not read is only less well found.
const AT_FIRST: usize = 3000;
const AT_ONCE: usize = 700;

/// What a text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sense([i8; DIMS]);

impl Default for Sense {
    fn default() -> Self {
        Self([0; DIMS])
    }
}

impl Sense {
    fn of(direction: &Array1<f32>) -> Self {
        let mut sense = Self::default();
        sense.0.iter_mut().zip(direction).for_each(|(to, from)| *to = in_parts(*from));
        sense
    }

    /// How near two texts are in what they mean: 1 for the same, about 0 for any two.
    pub fn likeness(&self, other: &Self) -> f32 {
        let sum: i32 = self.0.iter().zip(&other.0).map(|(a, b)| i32::from(*a) * i32::from(*b)).sum();
        sum as f32 / (PARTS * PARTS)
    }
}

/// How near the nearest three of some texts are to one, nearest first; 0 for want of one.
pub(super) fn nearest(texts: &[Sense], to: &Sense) -> [f32; 3] {
    best::few(texts.iter().map(|text| text.likeness(to)))
}

/// What a question or a heading means, read by the network whether it was known or not.
pub(super) fn read(text: &str) -> (Sense, Wording) {
    worked_out(&wordpiece::pieces(text, ASKED))
}

fn worked_out(pieces: &[usize]) -> (Sense, Wording) {
    let meant = network::meant(pieces);
    meant.map(|meant| (Sense::of(&meant.together), Wording::of(&meant.each))).unwrap_or_default()
}

/// What texts mean: those known, and those read since.
#[derive(Clone, Default)]
pub(super) struct Senses {
    asked: HashMap<u64, Sense>,
    said: HashMap<u64, Wording>,
    left: usize,
}

impl Senses {
    /// For one more index.
    pub fn next(&mut self, first: bool) {
        self.left = if first { AT_FIRST } else { AT_ONCE };
    }

    /// What a question or a heading means; none where too much was new.
    pub fn of(&mut self, text: &str) -> Option<Sense> {
        let key = known::key(text);
        if let Some(sense) = known::sense(key).or_else(|| self.asked.get(&key).copied()) {
            return Some(sense);
        }
        let (sense, _) = self.read(text, ASKED)?;
        self.asked.insert(key, sense);
        Some(sense)
    }

    /// What a passage says piece by piece; nothing where too much was new.
    pub fn wording(&mut self, text: &str) -> Wording {
        let key = known::key(text);
        if let Some(wording) = known::wording(key).or_else(|| self.said.get(&key).cloned()) {
            return wording;
        }
        let Some((_, wording)) = self.read(text, wordpiece::LONGEST) else { return Wording::default() };
        self.said.insert(key, wording.clone());
        wording
    }

    fn read(&mut self, text: &str, most: usize) -> Option<(Sense, Wording)> {
        let pieces = wordpiece::pieces(text, most);
        self.left = self.left.checked_sub(pieces.len())?;
        Some(worked_out(&pieces))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the transformers library (5.24, in Python) says of these with the same weights and vocabulary: how near the whole texts
    /// are, and how much of the first is found in the second.
    const OUTSIDE: [(&str, &str, f32, f32); 4] = [
        ("crank wont turn after i torqued the caps", "engine tight to turn", 0.6717, 0.6773),
        ("which way does the notch on the piston go", "arrow on the crown to the front?", 0.7220, 0.7367),
        ("how much end gap on the top ring", "rear seal leaks", 0.3456, 0.4391),
        ("bolt stretch instead of torque", "what oil for running in", 0.4064, 0.4691),
    ];

    #[test]
    fn the_network_says_what_another_that_runs_it_says() {
        for (one, other, likeness, found) in OUTSIDE {
            let ((sense, wording), (sense_of, wording_of)) = (read(one), read(other));
            let ours = (sense.likeness(&sense_of), wording.found_in(&wording_of).unwrap_or_default());
            // Directions are kept in whole numbers.
            assert!((ours.0 - likeness).abs() < 0.01, "{one} / {other}: {}, {likeness}", ours.0);
            assert!((ours.1 - found).abs() < 0.01, "{one} / {other}: {}, {found}", ours.1);
        }
    }

    #[test]
    fn so_many_new_texts_are_read_and_no_more() {
        let (once, twice) = ("a text that nobody asks, once", "a text that nobody asks, twice");
        let mut senses = Senses { left: wordpiece::pieces(once, ASKED).len(), ..Senses::default() };
        let first = senses.of(once);
        assert_eq!(first, Some(read(once).0));
        assert_eq!((senses.of(twice), senses.wording(twice)), (None, Wording::default()));
        assert_eq!(senses.of(once), first);
        senses.next(false);
        assert!(senses.of(twice).is_some());
        assert_eq!(senses.wording(twice), read(twice).1);
    }

    #[test]
    fn the_nearest_come_first() {
        let texts = ["piston rings", "bearing shells", "ring gap"].map(|text| read(text).0);
        let [first, second, third] = nearest(&texts, &read("ring gap").0);
        assert!(first > 0.95 && first > second && second > third, "{first} {second} {third}");
        assert_eq!(nearest(&texts[..1], &texts[0])[1..], [0.0, 0.0]);
    }
}
