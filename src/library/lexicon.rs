//! The words the shelf knows: spellings, what a mistyped word was meant to be, and which names mean the same thing.

use std::collections::{BTreeMap, HashMap};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::ops::Bound;
use std::sync::Arc;

use super::language::{English, Weight};
use super::lexer::{parts, words};

/// A trade word with all its names: one number in the index, whichever name the page or the question uses.
pub(super) type Concept = u32;

/// Spellings and synonyms of one shelf, counted, so that a page's words can be taken out again.
#[derive(Clone)]
pub(super) struct Lexicon {
    /// Every spelling in the pages or the plain word lists.
    spellings: BTreeMap<Arc<str>, Spelling>,
    /// Stems of those spellings, with how often they stand in the pages.
    stems: HashMap<Arc<str>, u32>,
    /// Pairs of words that stand side by side in the pages, by their hash: a pair for every two words of a big shelf.
    pairs: HashMap<u64, u32>,
    /// First stem of a name -> the rest of it, and its concept.
    names: HashMap<String, Vec<(Vec<String>, Concept)>>,
}

#[derive(Clone)]
struct Spelling {
    /// Its letters as a set, to pass over unlikely ones without comparing them in full.
    shape: u32,
    stem: Arc<str>,
    /// How often it stands in the pages.
    often: u32,
    /// Of the plain word lists: known whether or not a page has it.
    plain: bool,
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
    /// A lexicon of the plain words alone.
    pub fn new(english: &mut English) -> Self {
        let mut out =
            Self { spellings: BTreeMap::new(), stems: HashMap::new(), pairs: HashMap::new(), names: HashMap::new() };
        let plain: Vec<&str> = english.plain_words().collect();
        for word in plain {
            let stem: Arc<str> = english.stem(word).into();
            *out.stems.entry(Arc::clone(&stem)).or_default() += 1;
            out.spellings.insert(word.into(), Spelling { shape: shape(word), stem, often: 0, plain: true });
        }
        out
    }

    /// Takes in a text of a page.
    pub fn learn(&mut self, english: &mut English, text: &str) {
        let pairs = each(english, text, |english, word| {
            let known = self.spellings.get_mut(word);
            let stem = if let Some(known) = known {
                known.often += 1;
                Arc::clone(&known.stem)
            } else {
                let stem: Arc<str> = english.stem(word).into();
                let new = Spelling { shape: shape(word), stem: Arc::clone(&stem), often: 1, plain: false };
                self.spellings.insert(word.into(), new);
                stem
            };
            *self.stems.entry(stem).or_default() += 1;
        });
        pairs.into_iter().for_each(|pair| *self.pairs.entry(pair).or_default() += 1);
    }

    /// Takes a text out again that was taken in before.
    pub fn forget(&mut self, english: &mut English, text: &str) {
        let pairs = each(english, text, |_, word| {
            let Some(known) = self.spellings.get_mut(word) else { return };
            known.often = known.often.saturating_sub(1);
            let (stem, gone) = (Arc::clone(&known.stem), known.often == 0 && !known.plain);
            if gone {
                self.spellings.remove(word);
            }
            less(&mut self.stems, stem);
        });
        pairs.into_iter().for_each(|pair| less(&mut self.pairs, pair));
    }

    /// Sets the names of all concepts; those set before are no longer names.
    pub fn name(&mut self, names: impl IntoIterator<Item = (Vec<String>, Concept)>) {
        self.names.clear();
        for (mut way, concept) in names {
            let first = way.remove(0);
            let entry = self.names.entry(first).or_default();
            if !entry.contains(&(way.clone(), concept)) {
                entry.push((way, concept));
            }
        }
    }

    /// The stem of a word, known already where the pages have it.
    pub fn stem(&self, english: &mut English, word: &str) -> String {
        self.spellings.get(word).map_or_else(|| english.stem(word), |known| known.stem.to_string())
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

    /// The two words that an unknown one is, written as one, if the pages set them side by side.
    fn parted<'a>(&self, word: &'a str) -> Option<(&'a str, &'a str)> {
        let splits = word.char_indices().skip(1).map(|(at, _)| word.split_at(at));
        let known = splits.filter(|(a, b)| self.spellings.contains_key(*a) && self.spellings.contains_key(*b));
        let often = known.filter_map(|(a, b)| Some((*self.pairs.get(&pair(a, b))?, (a, b))));
        often.max_by_key(|(often, _)| *often).map(|(_, parts)| parts)
    }

    /// What an unknown word was most likely meant to be: two words the pages set side by side, or a known word a slip away.
    pub fn correct(&self, english: &mut English, word: &str) -> Option<Correction> {
        if let Some((a, b)) = self.parted(word) {
            return Some(Correction { words: vec![a.to_owned(), b.to_owned()], trust: 0.95 });
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
        let first = mine.first()?.to_string();
        // The first letter is right, so only its stretch of the sorted list is read.
        let stretch = self.spellings.range::<str, _>((Bound::Included(first.as_str()), Bound::Unbounded));
        for (known, spelling) in stretch.take_while(|(known, _)| known.starts_with(&first)) {
            // Each slip changes at most two letters of the set; a stem may lack three letters of its word.
            if (spelling.shape ^ wanted).count_ones() as usize > 2 * slips + 3 {
                continue;
            }
            let Some(distance) = slip(&mine, known, slips).or_else(|| slip(&mine_stem, &spelling.stem, 1)) else {
                continue;
            };
            let often = spelling.often;
            if best.is_none_or(|(d, n, _)| (distance, u32::MAX - often) < (d, u32::MAX - n)) {
                best = Some((distance, often, known));
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
        self.stems.contains_key(english.stem(&respelt).as_str()).then_some(respelt)
    }
}

/// The ways a name may stand in a text, as stems. A name of several words also stands written as one.
pub(super) fn ways(english: &mut English, name: &str) -> Vec<Vec<String>> {
    let bare = name.split('(').next().unwrap_or(name);
    let mut ways: Vec<Vec<String>> = Vec::new();
    let stems: Vec<String> = parts(bare).iter().map(|word| english.stem(&word.text)).collect();
    if (2..=3).contains(&stems.len()) {
        let whole = bare.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
        ways.push(vec![english.stem(&whole)]);
    }
    ways.push(stems);
    ways.retain(|way| !way.is_empty() && (way.len() > 1 || english.weight(&way[0]) != Weight::Stop));
    ways
}

/// Tells each word of a text, and gives the pairs of neighbours that are no stop words.
fn each(english: &mut English, text: &str, mut tell: impl FnMut(&mut English, &str)) -> Vec<u64> {
    let mut pairs = Vec::new();
    let mut before: Option<String> = None;
    for word in words(text) {
        if word.is_size() {
            before = None;
            continue;
        }
        let full = english.weight(&word.text) != Weight::Stop;
        pairs.extend(before.take().filter(|_| full).map(|before| pair(&before, &word.text)));
        tell(english, &word.text);
        before = full.then_some(word.text);
    }
    pairs
}

fn pair(a: &str, b: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    (a, b).hash(&mut hasher);
    hasher.finish()
}

/// One less of it; none of it is no entry.
fn less<K: std::hash::Hash + Eq>(counts: &mut HashMap<K, u32>, key: K) {
    if let std::collections::hash_map::Entry::Occupied(mut entry) = counts.entry(key) {
        *entry.get_mut() -= 1;
        if *entry.get() == 0 {
            entry.remove();
        }
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
