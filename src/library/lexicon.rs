//! The words the shelf knows: spellings, what a mistyped word was meant to be, and which names mean the same thing.

use std::collections::HashMap;

use super::language::{English, Weight};
use super::lexer::{parts, words};

/// A trade word with all its names: one number in the index, whichever name the page or the question uses.
pub(super) type Concept = u32;

/// Spellings and synonyms of one shelf.
#[derive(Default)]
pub(super) struct Lexicon {
    /// Every spelling in the pages or the plain word lists, with how often it stands in the pages.
    spellings: HashMap<String, u32>,
    /// Stems of those spellings.
    stems: HashMap<String, u32>,
    /// The spellings again with their stems and letter sets, to find likely ones without comparing all in full.
    known: Vec<Known>,
    /// Two words that stand side by side in the pages, written as one.
    joined: HashMap<String, (String, String)>,
    /// First stem of a name -> the rest of it, and its concept.
    names: HashMap<String, Vec<(Vec<String>, Concept)>>,
}

struct Known {
    shape: u32,
    word: String,
    stem: String,
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
        let mut before: Option<String> = None;
        for word in words(text) {
            if word.is_size() {
                before = None;
                continue;
            }
            let full = english.weight(&word.text) != Weight::Stop;
            if let Some(before) = before.take().filter(|_| full) {
                self.joined.entry(format!("{before}{}", word.text)).or_insert((before, word.text.clone()));
            }
            before = full.then(|| word.text.clone());
            *self.stems.entry(english.stem(&word.text)).or_default() += 1;
            *self.spellings.entry(word.text).or_default() += 1;
        }
    }

    /// All the names of one thing. Names of several words also stand written as one.
    pub fn name<'a>(&mut self, english: &mut English, concept: Concept, names: impl Iterator<Item = &'a str>) {
        for name in names {
            self.learn(english, name);
            let bare = name.split('(').next().unwrap_or(name);
            let mut ways: Vec<Vec<String>> = Vec::new();
            let stems: Vec<String> = parts(bare).iter().map(|word| english.stem(&word.text)).collect();
            if (2..=3).contains(&stems.len()) {
                let whole: String = bare.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
                ways.push(vec![english.stem(&whole)]);
            }
            ways.push(stems);
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
        let known = self.spellings.keys();
        self.known = known.map(|w| Known { shape: shape(w), word: w.clone(), stem: english.stem(w) }).collect();
        self.known.sort_by(|a, b| a.word.cmp(&b.word));
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

    /// What an unknown word was most likely meant to be: two words the pages set side by side, or a known word a slip away.
    pub fn correct(&self, english: &mut English, word: &str) -> Option<Correction> {
        if let Some((a, b)) = self.joined.get(word) {
            return Some(Correction { words: vec![a.clone(), b.clone()], trust: 0.95 });
        }
        let letters = word.chars().count();
        if letters < 4 {
            return None;
        }
        if let Some(respelt) = self.respelt(english, word) {
            return Some(Correction { words: vec![respelt], trust: 0.95 });
        }
        let (stem, wanted) = (english.stem(word), shape(word));
        let slips = if letters >= 10 { 2 } else { 1 };
        let mut best: Option<(usize, u32, &str)> = None;
        let (mine, mine_stem): (Vec<char>, Vec<char>) = (word.chars().collect(), stem.chars().collect());
        let from = self.known.partition_point(|known| known.word.chars().next() < mine.first().copied());
        // The first letter is right, so only its stretch of the sorted list is read.
        for known in self.known[from..].iter().take_while(|known| known.word.chars().next() == mine.first().copied()) {
            // Each slip changes at most two letters of the set; a stem may lack three letters of its word.
            if (known.shape ^ wanted).count_ones() as usize > 2 * slips + 3 {
                continue;
            }
            let Some(distance) = slip(&mine, &known.word, slips).or_else(|| slip(&mine_stem, &known.stem, 1)) else {
                continue;
            };
            let often = self.spellings.get(&known.word).copied().unwrap_or(0);
            if best.is_none_or(|(d, n, _)| (distance, u32::MAX - often) < (d, u32::MAX - n)) {
                best = Some((distance, often, &known.word));
            }
        }
        let (distance, _, word) = best?;
        // The shorter the word, the more likely it is a word of its own.
        let trust = 1.0 - 1.5 * distance as f32 / letters as f32;
        Some(Correction { words: vec![word.to_owned()], trust })
    }
}

impl Lexicon {
    /// `puting` as `putting`: the consonant before an ending doubled, when that makes a known word's form.
    fn respelt(&self, english: &mut English, word: &str) -> Option<String> {
        let ending = ["ing", "ed", "er"].into_iter().find(|ending| word.ends_with(ending))?;
        let root = word.strip_suffix(ending)?;
        let last = root.chars().last().filter(|c| !"aeiouwxy".contains(*c))?;
        let respelt = format!("{root}{last}{ending}");
        self.stems.contains_key(&english.stem(&respelt)).then_some(respelt)
    }
}

/// How many slips of a thumb or of spelling lead from `known` to the typed word `a`, at most `most`; none when it is another word.
///
/// One slip exchanges two letters, doubles or misses one, or takes a letter for its neighbour on the keyboard or its
/// likeness in sound. In a short word only the first three count: there, another letter makes another word. The first letter is right.
fn slip(a: &[char], known: &str, most: usize) -> Option<usize> {
    if known.len().abs_diff(a.len()) > most + 2 {
        return None;
    }
    let b: Vec<char> = known.chars().collect();
    if a.first() != b.first() || a.len().abs_diff(b.len()) > most || a.len() < 3 || b.len() < 3 {
        return None;
    }
    if a == b {
        return Some(0);
    }
    if most > 1 {
        let typed: String = a.iter().collect();
        let distance = strsim::osa_distance(&typed, known);
        return (distance <= most).then_some(distance);
    }
    let same = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    let (x, y) = (&a[same..], &b[same..]);
    let short = a.len() <= 5;
    let alike = match a.len() as isize - b.len() as isize {
        0 => {
            let swapped = x.len() >= 2 && x[0] == y[1] && x[1] == y[0] && x[2..] == y[2..];
            swapped || (!short && x[1..] == y[1..] && neighbours(x[0], y[0]))
        }
        // One letter more than meant: doubled, or, in a longer word, any.
        1 => x[1..] == *y && (!short || a[same - 1] == x[0]),
        // One letter missed.
        -1 => *x == y[1..],
        _ => false,
    };
    alike.then_some(1)
}

/// Letters taken for each other: vowels, sounds alike, and keys side by side.
fn neighbours(a: char, b: char) -> bool {
    const SOUNDS: [&str; 5] = ["aeiouy", "cks", "sz", "mn", "fv"];
    const ROWS: [&str; 3] = ["qwertyuiop", "asdfghjkl", "zxcvbnm"];
    let sound = SOUNDS.iter().any(|group| group.contains(a) && group.contains(b));
    let side = |row: &&str| matches!((row.find(a), row.find(b)), (Some(i), Some(j)) if i.abs_diff(j) == 1);
    sound || ROWS.iter().any(side)
}

/// The set of letters of a word, one bit each.
fn shape(word: &str) -> u32 {
    word.bytes().filter(u8::is_ascii_lowercase).fold(0, |set, b| set | 1 << (b - b'a'))
}
