//! A question read: its subject words with every token that stands for them, what form of answer it asks for, which engine.

use super::bounds::{Beyond, full_stems};
use super::index::Index;
use super::language::{English, Weight};
use super::lexer::{Word, parts};
use super::lexicon::Named;
use super::reading::{concept_token, places};
use super::sense::{self, Sense, Wording};
use super::sizes;

/// A question longer than this is read only so far: nobody types more from the floor.
const LONGEST: usize = 600;
const MOST_WORDS: usize = 32;

/// What the question asks for, beside its subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Wants {
    /// A number: how much, at most, a rule of thumb.
    pub amount: bool,
    /// A way of working: how to, in what order.
    pub method: bool,
    /// A way round: which way it faces, which side is up, what if it is backwards.
    pub direction: bool,
    /// What to do about something that is not right.
    pub remedy: bool,
    /// Something happens that should not.
    pub symptom: bool,
    /// What a word means.
    pub meaning: bool,
}

/// One word of the question.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    /// The tokens that stand for it, each with its weight: its stem and the concepts it is part of.
    pub tokens: Vec<(String, f32)>,
    /// Their numbers in the shelf; a token it has not has none.
    pub numbers: Vec<u32>,
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
    /// A word of everyday English.
    pub everyday: bool,
}

impl Asked {
    /// True for a number or a size.
    pub fn is_number(&self) -> bool {
        self.tokens.first().is_some_and(|(token, _)| token.starts_with('#'))
    }
}

/// A question, read.
#[derive(Debug, Clone, Default)]
pub(super) struct Question {
    pub asked: Vec<Asked>,
    /// The stems of all its words that the shelf has, those of stop words too, as numbers.
    pub stems: Vec<u32>,
    pub wants: Wants,
    /// What it means on the whole, and piece by piece.
    pub sense: Sense,
    pub wording: Wording,
    /// Pages of the engines it names.
    pub engines: Vec<String>,
    /// Where it names none, pages of engines of the layout it names: `v8`.
    pub alike: Vec<String>,
    /// The sizes it names: `m8`, `#3/8`.
    pub sizes: Vec<String>,
    /// How far beyond the shelf it is.
    pub beyond: Beyond,
    /// Words read as other words: (as typed, as read).
    pub read_as: Vec<(String, String)>,
}

impl Question {
    /// True when it has a word that the shelf has too, a size aside. Plain words may be all there is: `which end is number 1`.
    pub fn says_something(&self) -> bool {
        let is_word = |asked: &Asked| !asked.tokens.is_empty() && !asked.is_number();
        self.asked.iter().any(|asked| asked.known && is_word(asked))
            || !self.engines.is_empty()
            || !self.alike.is_empty()
    }
}

/// A word of the question as it is taken to be meant.
struct Meant {
    word: Word,
    trust: f32,
    known: bool,
}

/// Reads a question against what the shelf knows.
pub(super) fn read(index: &Index, text: &str) -> Question {
    let head: String = text.chars().take(LONGEST).collect();
    let mut english = index.english.clone();
    let mut spelt = parts(&head);
    spelt.truncate(MOST_WORDS);
    let sizes = spelt.iter().filter(|word| sizes::names(&word.text)).map(|word| word.text.clone()).collect();
    let mut question = Question { wants: wants(&spelt), sizes, ..Question::default() };
    // Mistyped words first: names of several words are only seen once each is read right.
    let meant = spell(index, &mut english, spelt, &mut question.read_as);

    let alone: Vec<Word> = meant.iter().map(|m| m.word.clone()).collect();
    let places = places(&alone, |word| index.lexicon.stem(&mut english, word));
    question.stems = places.iter().flatten().filter_map(|stem| index.tally.number(stem)).collect();
    question.stems.sort_unstable();
    question.stems.dedup();
    (question.sense, question.wording) = sense::read(&put_right(&head, &question.read_as));
    question.beyond = index.bounds.measure(&index.tally, full_stems(&mut english, &alone), &question.sense);
    let (named, engine_places) = engines(index, &places, false);
    let (alike, layout_places) = engines(index, &places, true);
    // Of an engine one asks what it has, not what the word means.
    question.wants.meaning &= named.is_empty();
    question.alike = if named.is_empty() { alike } else { Vec::new() };
    question.engines = named;
    let named = index.lexicon.named(&places);
    let joins = joins(index, &mut english, &alone);
    let subject =
        meant.into_iter().filter(|m| !engine_places.contains(&m.word.place) && !layout_places.contains(&m.word.place));
    question.asked = subject.filter_map(|m| weigh(index, &mut english, &m, &named, &joins)).collect();
    question
}

/// The question with its slips of spelling put right.
fn put_right(text: &str, read_as: &[(String, String)]) -> String {
    let right = |word: &str| {
        let slip = read_as.iter().find(|(typed, _)| word.eq_ignore_ascii_case(typed));
        slip.map_or_else(|| word.to_owned(), |(_, read)| read.clone())
    };
    text.split_whitespace().map(right).collect::<Vec<_>>().join(" ")
}

/// The words as they are meant: unknown ones taken for the known word they are most like.
fn spell(index: &Index, english: &mut English, spelt: Vec<Word>, read_as: &mut Vec<(String, String)>) -> Vec<Meant> {
    let mut out: Vec<Meant> = Vec::with_capacity(spelt.len());
    let (mut place, mut last) = (0, None);
    for word in spelt {
        place += usize::from(last.is_some_and(|last| last != word.place));
        last = Some(word.place);
        let stem = english.stem(&word.text);
        let known = index.lexicon.knows(&word.text, &stem);
        // What people ask about beyond the shelf is no slip.
        if known || index.bounds.knows(&stem) {
            out.push(Meant { word: Word { text: word.text, place }, trust: 1.0, known });
            continue;
        }
        let Some(correction) = index.lexicon.correct(english, &word.text) else {
            out.push(Meant { word: Word { text: word.text, place }, trust: 1.0, known: false });
            continue;
        };
        read_as.push((word.text, correction.words.join(" ")));
        for (n, text) in correction.words.into_iter().enumerate() {
            place += usize::from(n > 0);
            out.push(Meant { word: Word { text, place }, trust: correction.trust, known: true });
        }
    }
    out
}

/// What a word carries of the question's subject; none for one that carries nothing.
fn weigh(
    index: &Index,
    english: &mut English,
    meant: &Meant,
    named: &[Named],
    joins: &[Option<String>],
) -> Option<Asked> {
    let Meant { word, trust, known } = meant;
    let weight = english.weight(&word.text);
    let covering: Vec<&Named> = named.iter().filter(|n| (n.from..n.to).contains(&word.place)).collect();
    // A plain word inside a trade name belongs to the name: `big end`, `run in`.
    let name = covering.iter().filter(|n| n.to - n.from > 1).max_by_key(|n| n.to - n.from).map(|n| n.concept);
    if weight == Weight::Stop && name.is_none() {
        return None;
    }
    let stem = english.stem(&word.text);
    let everyday = covering.is_empty() && english.is_everyday(&stem);
    let mut tokens = Vec::new();
    if weight != Weight::Stop {
        tokens.push((stem, 1.0));
    }
    let around = joins.iter().skip(word.place).take(2).flatten();
    tokens.extend(around.map(|stem| (stem.clone(), 0.5)));
    tokens.extend(covering.iter().map(|n| (concept_token(n.concept), 1.0 / (n.to - n.from) as f32)));
    let known = *known && tokens.iter().any(|(token, _)| index.tally.number(token).is_some());
    let often = tokens.iter().map(|(token, _)| index.tally.often(token)).max().unwrap_or(0);
    let light = name.is_none()
        && match weight {
            Weight::Full => false,
            Weight::Unit => covering.is_empty(),
            Weight::Light | Weight::Stop => true,
        };
    let numbers = tokens.iter().filter_map(|(token, _)| index.tally.number(token)).collect();
    Some(Asked {
        tokens,
        numbers,
        name,
        worth: if light { 0.25 } else { 1.0 },
        rarity: index.rarity(if known { often } else { 0 }),
        trust: *trust,
        place: word.place,
        known,
        light,
        trade: !covering.is_empty(),
        everyday,
    })
}

/// For each place, the stem of the word that it makes with the place before, if the pages write the two as one.
fn joins(index: &Index, english: &mut English, alone: &[Word]) -> Vec<Option<String>> {
    let mut out = vec![None; alone.last().map_or(0, |word| word.place + 2)];
    for pair in alone.windows(2) {
        if pair[1].place == pair[0].place + 1 {
            let stem = english.stem(&format!("{}{}", pair[0].text, pair[1].text));
            out[pair[1].place] = index.tally.number(&stem).map(|_| stem);
        }
    }
    out
}

/// Pages of the engines named, by name or by layout alone, longest name first, and the places their names take up.
fn engines(index: &Index, places: &[Vec<String>], layout: bool) -> (Vec<String>, Vec<usize>) {
    let mut found: Vec<(usize, usize, &str)> = Vec::new();
    for name in index.engine_names.iter().filter(|name| name.layout == layout) {
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
        &[
            "much", "big", "tight", "loose", "many", "close", "far", "thick", "wide", "small", "deep", "little", "hot",
            "round", "flat", "straight", "true", "square", "long", "high", "low", "heavy", "smooth", "stiff", "thin",
            "clean", "fast", "warm",
        ],
    ) || pair(&["what"], &["clearance", "gap", "torque", "size", "pressure"]);
    let method = has(&["order", "sequence", "procedure", "steps", "step"])
        || pair(&["how"], &["to", "do", "can", "should", "does", "i"])
        || pair(&["which", "what"], &["order"])
        || pair(&["i", "we"], &["do"])
        || pair(&["best", "right", "correct"], &["way", "order"]);
    let direction = has(&["upside", "backwards", "backward", "sideways", "orientation"])
        || pair(&["which", "what"], &["way", "direction"])
        || pair(&["which"], &["side", "end"])
        || pair(&["way"], &["up", "round", "around"])
        || pair(&["turned", "other"], &["round", "around", "way"])
        || (has(&["face", "faces", "facing", "point", "points", "pointing"])
            && has(&["which", "what", "where", "does", "do", "should", "up", "down"]));
    let remedy = pair(&["what"], &["now", "next"])
        || pair(&["not"], &["right"])
        || has(&["wrong"])
        || (!amount
            && pair(
                &["too"],
                &["much", "big", "small", "tight", "loose", "wide", "far", "high", "low", "long", "short"],
            ));
    let symptom = !amount
        && has(&[
            "went", "gone", "goes", "wont", "keeps", "leaks", "leaking", "smokes", "smoking", "knocks", "knocking",
            "rattles", "rattling", "stuck", "seized", "drops", "dropped", "blew", "blown", "broke", "broken", "spun",
            "noise", "flickers", "flicker", "stiff",
        ]);
    let meaning = has(&["mean", "meaning", "means", "definition", "define"])
        || pair(&["what", "wot", "whats"], &["is", "are", "a", "an", "the"]);
    Wants { amount, method, direction, remedy, symptom, meaning }
}
