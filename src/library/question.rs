//! A question read: its subject words with every token that stands for them, what form of answer it asks for, which engine.

use super::index::{Index, concept_token};
use super::language::{English, Weight};
use super::lexer::{Word, words};

/// A question longer than this is read only so far: nobody types more from the floor.
const LONGEST: usize = 600;
const MOST_WORDS: usize = 32;

/// What the question asks for, beside its subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Wants {
    /// A number: how much, at most, a rule of thumb.
    pub amount: bool,
    /// A way of working: how to, which way, in what order.
    pub method: bool,
    /// What a word means.
    pub meaning: bool,
}

/// One word of the question.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    /// The tokens that stand for it, each with its weight: its stem and the concepts it is part of.
    pub tokens: Vec<(String, f32)>,
    /// The concept of several words that it is part of.
    pub name: Option<u32>,
    /// How much of the question's subject it carries.
    pub worth: f32,
    /// How rare it is in the shelf; the highest for a word the shelf does not know.
    pub rarity: f32,
    /// 1, or less when it was taken for another word.
    pub trust: f32,
    pub place: usize,
    pub known: bool,
    pub light: bool,
    /// A word of the shelf's own words page.
    pub trade: bool,
}

/// A question, read.
#[derive(Debug, Clone, Default)]
pub(super) struct Question {
    pub asked: Vec<Asked>,
    pub wants: Wants,
    /// Pages of the engines it names.
    pub engines: Vec<String>,
    /// Words read as other words: (as typed, as read).
    pub read_as: Vec<(String, String)>,
}

/// Reads a question against what the shelf knows.
pub(super) fn read(index: &Index, text: &str) -> Question {
    let head: String = text.chars().take(LONGEST).collect();
    let mut english = index.english.clone();
    let mut spelt = words(&head);
    spelt.truncate(MOST_WORDS);
    let wants = wants(&spelt);
    let mut question = Question { wants, ..Question::default() };

    // Mistyped words first: names of several words are only seen once each is read right.
    let mut right: Vec<(Word, f32, bool)> = Vec::with_capacity(spelt.len());
    let mut place = 0;
    let mut last = None;
    for word in spelt {
        if last.is_some_and(|l| l != word.place) {
            place += 1;
        }
        last = Some(word.place);
        let stem = english.stem(&word.text);
        if index.lexicon.knows(&word.text, &stem) {
            right.push((Word { text: word.text, place }, 1.0, true));
            continue;
        }
        match index.lexicon.correct(&mut english, &word.text) {
            Some(correction) => {
                question.read_as.push((word.text.clone(), correction.words.join(" ")));
                for (n, text) in correction.words.into_iter().enumerate() {
                    place += usize::from(n > 0);
                    right.push((Word { text, place }, correction.trust, true));
                }
            }
            None => right.push((Word { text: word.text, place }, 1.0, false)),
        }
    }

    let alone: Vec<Word> = right.iter().map(|(word, _, _)| word.clone()).collect();
    let places = super::index::places(&mut english, &alone);
    let (engines, engine_places) = engines(index, &places);
    question.engines = engines;
    let named = index.lexicon.named(&places);
    let joins = joins(index, &mut english, &alone);
    let most = rarity(index, 0);
    for (word, trust, known) in right {
        let weight = english.weight(&word.text);
        if engine_places.contains(&word.place) {
            continue;
        }
        let covering: Vec<_> = named.iter().filter(|n| (n.from..n.to).contains(&word.place)).collect();
        // A plain word inside a trade name belongs to the name: `big end`, `run in`.
        let name = covering.iter().filter(|n| n.to - n.from > 1).max_by_key(|n| n.to - n.from).map(|n| n.concept);
        let part = name.is_some();
        if weight == Weight::Stop && !part {
            continue;
        }
        let stem = english.stem(&word.text);
        let mut tokens = Vec::new();
        if weight != Weight::Stop {
            tokens.push((stem, 1.0));
        }
        for joined in &joins[word.place..(word.place + 2).min(joins.len())] {
            tokens.extend(joined.iter().map(|stem| (stem.clone(), 0.5)));
        }
        for n in &covering {
            tokens.push((concept_token(n.concept), 1.0 / (n.to - n.from) as f32));
        }
        let known = known && tokens.iter().any(|(token, _)| index.token(token).is_some());
        let often = tokens.iter().map(|(token, _)| index.frequency(token)).max().unwrap_or(0);
        let light = !part
            && match weight {
                Weight::Full => false,
                Weight::Unit => covering.is_empty(),
                Weight::Light | Weight::Stop => true,
            };
        question.asked.push(Asked {
            tokens,
            worth: if light { 0.25 } else { 1.0 },
            rarity: if known { rarity(index, often) } else { most },
            trust,
            place: word.place,
            known,
            light,
            name,
            trade: !covering.is_empty(),
        });
    }
    question
}

/// For each place, the stem of the word that it makes with the place before, if the pages write the two as one.
fn joins(index: &Index, english: &mut English, alone: &[Word]) -> Vec<Option<String>> {
    let mut out = vec![None; alone.last().map_or(0, |word| word.place + 2)];
    for pair in alone.windows(2) {
        if pair[1].place == pair[0].place + 1 {
            let stem = english.stem(&format!("{}{}", pair[0].text, pair[1].text));
            out[pair[1].place] = index.token(&stem).map(|_| stem);
        }
    }
    out
}

/// BM25's inverse document frequency (Robertson and Sparck Jones, with one added so that it never falls below zero).
fn rarity(index: &Index, often: u32) -> f32 {
    let all = index.docs.len() as f32;
    let often = often as f32;
    (1.0 + (all - often + 0.5) / (often + 0.5)).ln()
}

/// Pages of the engines named, longest name first, and the places their names take up.
fn engines(index: &Index, places: &[Vec<String>]) -> (Vec<String>, Vec<usize>) {
    let mut found: Vec<(usize, usize, &str)> = Vec::new();
    for name in &index.engine_names {
        for from in 0..places.len() {
            let follows = name
                .stems
                .iter()
                .enumerate()
                .all(|(n, stem)| places.get(from + n).is_some_and(|alternatives| alternatives.contains(stem)));
            if follows {
                found.push((from, name.stems.len(), &name.page));
            }
        }
    }
    let longest = found.iter().map(|(_, length, _)| *length).max().unwrap_or(0);
    found.retain(|(_, length, _)| *length == longest);
    let taken = found.iter().flat_map(|(from, length, _)| *from..from + length).collect();
    let mut pages: Vec<String> = found.iter().map(|(_, _, page)| (*page).to_owned()).collect();
    pages.sort();
    pages.dedup();
    (pages, taken)
}

/// What form of answer the question's plain words ask for.
fn wants(spelt: &[Word]) -> Wants {
    let texts: Vec<&str> = spelt.iter().map(|word| word.text.as_str()).collect();
    let has = |words: &[&str]| texts.iter().any(|text| words.contains(text));
    let pair = |a: &[&str], b: &[&str]| texts.windows(2).any(|w| a.contains(&w[0]) && b.contains(&w[1]));
    let amount = has(&[
        "max",
        "maximum",
        "min",
        "minimum",
        "limit",
        "limits",
        "spec",
        "specs",
        "specification",
        "tolerance",
        "allowed",
        "allowable",
        "thumb",
        "thou",
        "value",
        "figure",
    ]) || pair(
        &["how"],
        &["much", "big", "tight", "loose", "many", "close", "far", "thick", "wide", "small", "deep", "little", "hot"],
    ) || pair(&["what"], &["clearance", "gap", "torque", "size", "pressure"]);
    let method = has(&["order", "sequence", "procedure", "steps", "step"])
        || pair(&["how"], &["to", "do", "can", "should", "does", "i"])
        || pair(&["which", "what"], &["way", "order", "side", "direction"])
        || pair(&["best", "right", "correct"], &["way", "order"]);
    let meaning = has(&["mean", "meaning", "means", "definition", "define"])
        || pair(&["what", "wot", "whats"], &["is", "are", "a", "an", "the"]);
    Wants { amount, method, meaning }
}
