//! What a word weighs in a question, and the stem that its forms share.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use tantivy::tokenizer::{Language, RawTokenizer, Stemmer, TextAnalyzer, TokenStream};

use super::language::{LIGHT, STOP};
use crate::quantity::is_unit_word;

/// Everyday English that wraps a question and names nothing in the trade.
const EVERYDAY: &str = include_str!("lists/everyday.txt");

/// Forms that the stemmer does not bring together: irregular ones, nouns of a verb, American spellings.
const FORMS: &[(&str, &str)] = &[
    ("bent", "bend"),
    ("blew", "blow"),
    ("blown", "blow"),
    ("flew", "fly"),
    ("flown", "fly"),
    ("froze", "freeze"),
    ("frozen", "freeze"),
    ("ground", "grind"),
    ("shook", "shake"),
    ("spun", "spin"),
    ("stuck", "stick"),
    ("swollen", "swell"),
    ("tore", "tear"),
    ("torn", "tear"),
    ("wore", "wear"),
    ("worn", "wear"),
    ("corrosion", "corrode"),
    ("depth", "deep"),
    ("expansion", "expand"),
    ("leakage", "leak"),
    ("storage", "store"),
    ("width", "wide"),
    ("center", "centre"),
    ("color", "colour"),
    ("gage", "gauge"),
    ("gray", "grey"),
    ("vapor", "vapour"),
    ("vise", "vice"),
];

/// Words that the stemmer takes for forms of another that they are not: reversion is no reverse.
const APART: &[&str] = &["reversion"];

/// The lines of a list without its notes.
fn entries(list: &'static str) -> impl Iterator<Item = &'static str> {
    list.lines().filter(|line| !line.starts_with('#'))
}

/// How much a word counts towards the subject of a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Stop,
    Light,
    /// A unit: a subject only where the words page explains it.
    Unit,
    Full,
}

/// The stemmer and the word lists. Cheap to clone; one per thread of work.
#[derive(Clone)]
pub(super) struct English {
    stemmer: TextAnalyzer,
    stop: Arc<HashMap<&'static str, Weight>>,
    /// Stems of everyday words.
    everyday: Arc<HashSet<String>>,
    /// Stems of [`FORMS`], each with the stem it is brought to.
    forms: Arc<HashMap<String, String>>,
}

impl English {
    pub fn new() -> Self {
        let light = LIGHT.split_whitespace().map(|word| (word, Weight::Light));
        let stop = STOP.split_whitespace().map(|word| (word, Weight::Stop));
        let mut english = Self {
            stemmer: TextAnalyzer::builder(RawTokenizer::default()).filter(Stemmer::new(Language::English)).build(),
            stop: Arc::new(light.chain(stop).collect()),
            everyday: Arc::default(),
            forms: Arc::default(),
        };
        let forms = FORMS.iter().map(|(form, base)| (english.stem(form), english.stem(base))).collect();
        english.forms = Arc::new(forms);
        let everyday = entries(EVERYDAY).flat_map(str::split_whitespace).map(|word| english.stem(word)).collect();
        english.everyday = Arc::new(everyday);
        english
    }

    pub fn weight(&self, word: &str) -> Weight {
        match word.strip_prefix('#') {
            Some(_) => Weight::Light,
            None => self
                .stop
                .get(word)
                .or_else(|| self.stop.get(word.strip_suffix('s')?))
                .copied()
                .unwrap_or_else(|| if is_unit_word(word) { Weight::Unit } else { Weight::Full }),
        }
    }

    /// True for the stem of an everyday word.
    pub fn is_everyday(&self, stem: &str) -> bool {
        self.everyday.contains(stem)
    }

    /// The words of all the lists, so that a slip in one of them is not taken for a trade word.
    pub fn plain_words(&self) -> impl Iterator<Item = &'static str> + '_ {
        let everyday = entries(EVERYDAY).flat_map(str::split_whitespace);
        self.stop.keys().copied().chain(everyday)
    }

    /// `bearings` and `bearing` share one; sizes are their own.
    pub fn stem(&mut self, word: &str) -> String {
        if word.starts_with('#') || APART.contains(&word) {
            return word.to_owned();
        }
        let mut stream = self.stemmer.token_stream(word);
        let stem = if stream.advance() { stream.token().text.as_str() } else { word };
        self.forms.get(stem).map_or(stem, String::as_str).to_owned()
    }
}
