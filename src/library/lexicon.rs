//! The words the shelf knows: spellings, what a mistyped word was meant to be, and which names mean the same thing.

use std::collections::HashMap;

use super::language::{English, Weight};
use super::lexer::words;

/// A trade word with all its names: one number in the index, whichever name the page or the question uses.
pub(super) type Concept = u32;

/// Spellings and synonyms of one shelf.
#[derive(Default)]
pub(super) struct Lexicon {
    /// Every spelling in the pages or the plain word lists, with how often it stands in the pages.
    spellings: HashMap<String, u32>,
    /// Stems of those spellings.
    stems: HashMap<String, u32>,
    /// By first letter set, to find likely spellings without comparing all.
    shapes: Vec<(u32, String)>,
    /// First stem of a name -> the rest of it, and its concept.
    names: HashMap<String, Vec<(Vec<String>, Concept)>>,
}

/// A concept found in a text: the places `from..to` are one of its names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Named {
    pub concept: Concept,
    pub from: usize,
    pub to: usize,
}

/// What an unknown word was taken for, and how sure that is (0 to 1).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Correction {
    pub words: Vec<String>,
    pub trust: f32,
}

impl Lexicon {
    /// Takes in a text of a page.
    pub fn learn(&mut self, english: &mut English, text: &str) {
        for word in words(text) {
            if word.is_size() {
                continue;
            }
            *self.stems.entry(english.stem(&word.text)).or_default() += 1;
            *self.spellings.entry(word.text).or_default() += 1;
        }
    }

    /// All the names of one thing. Names of several words also stand written as one.
    pub fn name<'a>(&mut self, english: &mut English, concept: Concept, names: impl Iterator<Item = &'a str>) {
        for name in names {
            self.learn(english, name);
            let bare = name.split('(').next().unwrap_or(name);
            let spelt: Vec<_> = words(bare);
            let mut ways: Vec<Vec<String>> = Vec::new();
            // The last word of each place is the part itself, the ones before it are joined spellings.
            let mut parts: Vec<String> = Vec::new();
            let mut last = None;
            for word in &spelt {
                if last == Some(word.place) {
                    parts.pop();
                }
                parts.push(english.stem(&word.text));
                last = Some(word.place);
            }
            if (2..=3).contains(&parts.len()) {
                let whole: String = bare.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
                ways.push(vec![english.stem(&whole)]);
            }
            ways.push(parts);
            for mut way in ways {
                if way.is_empty() || (way.len() == 1 && english.weight(&way[0]) == Weight::Stop) {
                    continue;
                }
                let first = way.remove(0);
                let entry = self.names.entry(first).or_default();
                if !entry.contains(&(way.clone(), concept)) {
                    entry.push((way, concept));
                }
            }
        }
    }

    /// Call once after the last [`Self::learn`].
    pub fn settle(&mut self, english: &mut English) {
        let plain: Vec<&str> = english.plain_words().collect();
        for word in plain {
            self.spellings.entry(word.to_owned()).or_default();
            self.stems.entry(english.stem(word)).or_default();
        }
        self.shapes = self.spellings.keys().map(|word| (shape(word), word.clone())).collect();
        self.shapes.sort();
    }

    pub fn knows(&self, word: &str, stem: &str) -> bool {
        word.starts_with('#') || self.spellings.contains_key(word) || self.stems.contains_key(stem)
    }

    /// The concepts named in a run of places, each place with its possible stems.
    pub fn named(&self, places: &[Vec<String>]) -> Vec<Named> {
        let mut out = Vec::new();
        for (from, stems) in places.iter().enumerate() {
            for (rest, concept) in stems.iter().filter_map(|stem| self.names.get(stem)).flatten() {
                let follows = rest
                    .iter()
                    .enumerate()
                    .all(|(n, stem)| places.get(from + 1 + n).is_some_and(|alternatives| alternatives.contains(stem)));
                if follows {
                    out.push(Named { concept: *concept, from, to: from + 1 + rest.len() });
                }
            }
        }
        out
    }

    /// What an unknown word was most likely meant to be: a known word a slip away, or two known words run together.
    pub fn correct(&self, english: &mut English, word: &str) -> Option<Correction> {
        let length = word.chars().count();
        let slips = if length < 4 { return None } else { (length / 5).clamp(1, 2) };
        if let Some(parts) = self.split(english, word) {
            return Some(Correction { words: parts, trust: 0.95 });
        }
        let wanted = shape(word);
        let (mut best, mut best_key) = (None, (usize::MAX, 0));
        let (first, last) = (word.chars().next(), word.chars().last());
        for (letters, known) in &self.shapes {
            // Each slip changes at most two letters of the set.
            if (letters ^ wanted).count_ones() as usize > 2 * slips || known.len().abs_diff(word.len()) > slips {
                continue;
            }
            let distance = strsim::osa_distance(word, known);
            if distance > slips {
                continue;
            }
            // People seldom miss the first letter; in a short word a slip anywhere makes another word.
            let same_first = known.chars().next() == first;
            let same_last = known.chars().last() == last;
            let short = length <= 5 && !(same_first && (same_last || is_swap(word, known)));
            if short || (!same_first && length < 8) {
                continue;
            }
            let often = *self.spellings.get(known).unwrap_or(&0);
            if distance < best_key.0 || (distance == best_key.0 && often > best_key.1) {
                best = Some(known);
                best_key = (distance, often);
            }
        }
        let trust = 1.0 - 0.6 * best_key.0 as f32 / length as f32;
        best.map(|known| Correction { words: vec![known.clone()], trust })
    }

    /// `pushrod` as `push` and `rod`, when both are words of the pages.
    fn split(&self, english: &mut English, word: &str) -> Option<Vec<String>> {
        let cuts = word.char_indices().map(|(i, _)| i).filter(|i| *i >= 3 && word.len() - i >= 3);
        let known = |part: &str, english: &English| {
            self.spellings.get(part).is_some_and(|n| *n > 0) && english.weight(part) != Weight::Stop
        };
        for cut in cuts {
            let (a, b) = word.split_at(cut);
            if known(a, english) && known(b, english) {
                return Some(vec![a.to_owned(), b.to_owned()]);
            }
        }
        None
    }
}

/// The set of letters of a word, one bit each.
fn shape(word: &str) -> u32 {
    word.bytes().filter(u8::is_ascii_lowercase).fold(0, |set, b| set | 1 << (b - b'a'))
}

/// True when the two differ by exchanged letters alone.
fn is_swap(a: &str, b: &str) -> bool {
    a.len() == b.len() && shape(a) == shape(b)
}
