//! What a text means, as a direction among all others: two texts that mean the same point the same way, whatever their words.
//!
//! A small network that comes along reads a text (`wordpiece`, `network`); what the shelf itself is asked it has read beforehand
//! (`known`). The README beside this says where the network is from and how it was taught.

mod known;
mod network;
mod wordpiece;

use std::collections::HashMap;

use super::best;

/// How many numbers a direction has.
const DIMS: usize = 128;
/// A number of a direction is kept as a whole one, of so many parts.
const PARTS: f32 = 127.0;

/// So many texts that were not known are read for one index; more would keep a shop waiting, and a text that is not read is only
/// less well found.
const AT_ONCE: usize = 400;

/// What a text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sense([i8; DIMS]);

impl Default for Sense {
    fn default() -> Self {
        Self([0; DIMS])
    }
}

impl Sense {
    /// Read by the network, whether it was known or not.
    pub fn worked_out(text: &str) -> Self {
        let direction = network::direction(&wordpiece::pieces(text));
        let mut sense = Self::default();
        for (to, from) in sense.0.iter_mut().zip(direction.iter().flatten()) {
            *to = (from * PARTS).round() as i8;
        }
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

/// What texts mean: those known, and those read since.
#[derive(Clone, Default)]
pub(super) struct Senses {
    own: HashMap<u64, Sense>,
    left: usize,
}

impl Senses {
    /// For one more index.
    pub fn next(&mut self) {
        self.left = AT_ONCE;
    }

    /// None where too many were new.
    pub fn of(&mut self, text: &str) -> Option<Sense> {
        let key = known::key(text);
        if let Some(sense) = known::sense(key).or_else(|| self.own.get(&key).copied()) {
            return Some(sense);
        }
        self.left = self.left.checked_sub(1)?;
        let sense = Sense::worked_out(text);
        self.own.insert(key, sense);
        Some(sense)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What sentence-transformers 6.2 says of these with the network as it was taught, its weights not yet cut to one byte and
    /// its directions not yet to 128 numbers.
    const OUTSIDE: [(&str, &str, f32); 4] = [
        ("crank wont turn after i torqued the caps", "engine tight to turn", 0.5653),
        ("which way does the notch on the piston go", "arrow on the crown to the front?", 0.7533),
        ("how much end gap on the top ring", "rear seal leaks", 0.3505),
        ("bolt stretch instead of torque", "what oil for running in", 0.3004),
    ];

    #[test]
    fn the_network_says_what_the_library_says_that_it_was_taught_with() {
        for (one, other, likeness) in OUTSIDE {
            let ours = Sense::worked_out(one).likeness(&Sense::worked_out(other));
            assert!((ours - likeness).abs() < 0.04, "{one} / {other}: {ours}, {likeness}");
        }
    }

    #[test]
    fn so_many_new_texts_are_read_and_no_more() {
        let mut senses = Senses { own: HashMap::new(), left: 1 };
        let first = senses.of("a text that nobody asks, once");
        assert_eq!(first, Some(Sense::worked_out("a text that nobody asks, once")));
        assert_eq!(senses.of("a text that nobody asks, twice"), None);
        assert_eq!(senses.of("a text that nobody asks, once"), first);
        senses.next();
        assert!(senses.of("a text that nobody asks, twice").is_some());
    }

    #[test]
    fn the_nearest_come_first() {
        let texts = ["piston rings", "bearing shells", "ring gap"].map(Sense::worked_out);
        let [first, second, third] = nearest(&texts, &Sense::worked_out("ring gap"));
        assert!(first > 0.95 && first > second && second > third, "{first} {second} {third}");
        assert_eq!(nearest(&texts[..1], &texts[0])[1..], [0.0, 0.0]);
    }
}
