//! How like a question is to one that people ask of a passage: the words the two share, each counted by what it carries.

use super::index::Index;
use super::question::{Asked, Question};
use super::reading::Said;

/// What a word carries beside its rarity.
const COMMON: f32 = 2.5;
const LIGHT: f32 = 0.3;
const EVERYDAY: f32 = 0.5;
/// What a word of the question carries that the shelf has never seen.
const UNKNOWN: f32 = 0.3;

/// Two shares of 0 to 1.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Likeness {
    /// How much of the question its likest has.
    pub held: f32,
    /// How much of the likest the question has.
    pub meant: f32,
}

impl Likeness {
    /// The two as one, neither making up for want of the other.
    pub fn both(self) -> f32 {
        if self.held + self.meant > 0.0 { 2.0 * self.held * self.meant / (self.held + self.meant) } else { 0.0 }
    }
}

/// Of several questions, how like the likest is, and the next.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Alike {
    pub best: Likeness,
    pub second: f32,
}

/// How like a question is to those that people ask.
pub(super) fn likeness(index: &Index, question: &Question, asked: &[Vec<Said>]) -> Alike {
    asked.iter().map(|said| between(index, question, said)).fold(Alike::default(), |alike, next| {
        if next.both() > alike.best.both() {
            Alike { best: next, second: alike.best.both() }
        } else {
            Alike { second: alike.second.max(next.both()), ..alike }
        }
    })
}

fn between(index: &Index, question: &Question, said: &[Said]) -> Likeness {
    let (mut held, mut all) = (0.0, 0.0);
    let mut meant = vec![false; said.len()];
    for asked in &question.asked {
        let weight = weight(asked);
        all += weight;
        let mut found = false;
        for (n, word) in said.iter().enumerate() {
            if word.tokens.iter().any(|token| asked.numbers.contains(token)) {
                (found, meant[n]) = (true, true);
            }
        }
        if found {
            held += weight * asked.trust;
        }
    }
    let carries = |word: &Said| {
        let rarity = word.tokens.first().map_or(0.0, |stem| index.rarity(index.tally.often_of(*stem)));
        (COMMON + rarity) * scale(word.light, word.everyday)
    };
    let whole: f32 = said.iter().map(carries).sum();
    let part: f32 = said.iter().zip(&meant).filter(|(_, meant)| **meant).map(|(word, _)| carries(word)).sum();
    if all > 0.0 && whole > 0.0 { Likeness { held: held / all, meant: part / whole } } else { Likeness::default() }
}

fn weight(asked: &Asked) -> f32 {
    (COMMON + asked.rarity) * scale(asked.light, asked.everyday) * if asked.known { 1.0 } else { UNKNOWN }
}

fn scale(light: bool, everyday: bool) -> f32 {
    match (light, everyday) {
        (true, _) => LIGHT,
        (false, true) => EVERYDAY,
        _ => 1.0,
    }
}
