//! A page as the search sees it: the tokens of each passage, and what ranking asks of it besides.

use std::collections::HashMap;
use std::sync::Arc;

use super::asked::{Asked, anchor};
use super::bm25::Counts;
use super::language::{English, Weight};
use super::leaf::Leaf;
use super::lexer::{Word, parts, words};
use super::lexicon::{Lexicon, Named};
use super::passage::{Form, Passage};
use super::sense::{Sense, Senses, Wording};
use super::sizes;

/// A page in the index.
pub(super) struct Sheet {
    pub leaf: Arc<Leaf>,
    /// Its passages, in order.
    pub docs: Vec<Doc>,
    /// All the tokens of the page, sorted.
    pub tokens: Vec<u32>,
    /// How often it has each stem, with what people ask of it.
    pub counts: Counts,
}

/// What ranking asks of a passage besides tantivy's score.
pub(super) struct Doc {
    /// All its tokens' numbers, sorted.
    pub tokens: Vec<u32>,
    /// Those of title, headings and lead, sorted.
    pub heads: Vec<u32>,
    /// What people ask when they want it, a list of words each.
    pub asked: Vec<Vec<Said>>,
    /// Its own heading, and its page's title where that names the subject, as if it were asked.
    pub heading: Vec<Said>,
    /// The tokens of all of them, sorted.
    pub said: Vec<u32>,
    /// How often the passage has each stem, and how often with what people ask.
    pub own_counts: Counts,
    pub all_counts: Counts,
    /// What its heading means, and each question.
    pub senses: Vec<Sense>,
    /// What it says, piece by piece.
    pub wording: Wording,
    /// Stems in reading order, stop words left out, to see which stand side by side.
    pub run: Vec<u32>,
    pub form: Form,
    /// The size that a row is for: `m8`, `#3/8`.
    pub size: Option<String>,
    /// A row or rule that answers "how much".
    pub has_size: bool,
    /// What stands under the page's title alone.
    pub opens: bool,
    /// Its headings promise a way round: which way up, which way it faces.
    pub directs: bool,
    /// Its heading promises what to do when something is not right.
    pub remedies: bool,
}

impl Doc {
    /// The stems of the passage, each once, and those of each question asked of it.
    fn told(&self) -> impl Iterator<Item = u32> {
        let asked = self.asked.iter().flatten().filter_map(|said| said.tokens.first().copied());
        self.own_counts.tokens().chain(asked)
    }
}

/// How many passages a page has and questions that are asked of them.
fn all_told(sheet: &Sheet) -> u32 {
    sheet.docs.iter().map(|doc| 1 + doc.asked.len() as u32).sum()
}

/// A word of what people ask.
#[derive(Debug, PartialEq)]
pub(super) struct Said {
    /// Its stem first, then whatever else stands for it.
    pub tokens: Vec<u32>,
    pub light: bool,
    pub everyday: bool,
}

/// The tokens of a text: stems and the concepts they name, each at its place.
pub(super) struct Tokens {
    pub tokens: Vec<(String, usize)>,
    /// The stems alone, in order, one a place.
    pub run: Vec<String>,
    /// All stems, those of stop words too.
    pub stems: Vec<String>,
}

/// Every token's number and in how many passages it stands. Numbers are never given again.
#[derive(Clone, Default)]
pub(super) struct Tally {
    numbers: HashMap<Arc<str>, u32>,
    often: Vec<u32>,
    /// In how many passages a stem stands or is asked with.
    met: Vec<u32>,
    /// Of passages and what people ask of them, each by itself, how many have a stem; and how many there are.
    told: Vec<u32>,
    all_told: u32,
}

impl Tally {
    pub fn number(&self, token: &str) -> Option<u32> {
        self.numbers.get(token).copied()
    }

    /// In how many passages a token stands.
    pub fn often(&self, token: &str) -> u32 {
        self.number(token).map_or(0, |number| self.often_of(number))
    }

    /// The same for its number.
    pub fn often_of(&self, number: u32) -> u32 {
        self.often.get(number as usize).copied().unwrap_or(0)
    }

    /// In how many passages a stem stands or is asked with, by its number.
    pub fn met_of(&self, number: u32) -> u32 {
        self.met.get(number as usize).copied().unwrap_or(0)
    }

    /// Of passages and the questions asked of them, each by itself, how many have a stem.
    pub fn told(&self, stem: &str) -> u32 {
        self.number(stem).and_then(|number| self.told.get(number as usize)).copied().unwrap_or(0)
    }

    /// How many of these there are.
    pub fn all_told(&self) -> u32 {
        self.all_told
    }

    fn numbered(&mut self, token: &str) -> u32 {
        if let Some(number) = self.numbers.get(token) {
            return *number;
        }
        let next = self.often.len() as u32;
        self.numbers.insert(token.into(), next);
        self.often.push(0);
        self.met.push(0);
        self.told.push(0);
        next
    }

    pub fn add(&mut self, sheet: &Sheet) {
        sheet.docs.iter().flat_map(|doc| &doc.tokens).for_each(|token| self.often[*token as usize] += 1);
        sheet.docs.iter().flat_map(|doc| doc.all_counts.tokens()).for_each(|stem| self.met[stem as usize] += 1);
        sheet.docs.iter().flat_map(Doc::told).for_each(|stem| self.told[stem as usize] += 1);
        self.all_told += all_told(sheet);
    }

    pub fn take(&mut self, sheet: &Sheet) {
        sheet.docs.iter().flat_map(|doc| &doc.tokens).for_each(|token| self.often[*token as usize] -= 1);
        sheet.docs.iter().flat_map(|doc| doc.all_counts.tokens()).for_each(|stem| self.met[stem as usize] -= 1);
        sheet.docs.iter().flat_map(Doc::told).for_each(|stem| self.told[stem as usize] -= 1);
        self.all_told -= all_told(sheet);
    }
}

/// The texts of a passage that are searched apart.
pub(super) struct Texts {
    pub title: Tokens,
    pub head: Tokens,
    pub body: Tokens,
    pub asked: Tokens,
}

/// Reads the passages of a page; `index` gets the texts of each.
pub(super) fn sheet(
    english: &mut English,
    lexicon: &Lexicon,
    tally: &mut Tally,
    senses: &mut Senses,
    leaf: &Arc<Leaf>,
    asked: &[Arc<Asked>],
    mut index: impl FnMut(usize, Texts) -> tantivy::Result<()>,
) -> tantivy::Result<Sheet> {
    let mut docs: Vec<Doc> = Vec::with_capacity(leaf.passages.len());
    for (place, passage) in leaf.passages.iter().enumerate() {
        let title = analyse(english, lexicon, &passage.title);
        let mut heading = format!("{} . {}", passage.path.join(" . "), passage.lead);
        // The page's title is the heading of its opening, and says what its steps are for.
        if passage.path.is_empty() || passage.form == Form::Steps {
            heading = format!("{} . {heading}", passage.title);
        }
        let subject = Spelt::of(english, lexicon, &format!("{} . {}", passage.subject, passage.lead));
        let head = analyse(english, lexicon, &heading);
        let body = analyse(english, lexicon, &passage.body);
        let named = titled(passage);
        let texts: Vec<&str> = questions_of(leaf, passage, asked).collect();
        let questions: Vec<Spelt> = texts.iter().map(|text| Spelt::of(english, lexicon, text)).collect();
        let said = tokens_of(english, &questions);
        let heads = numbers(tally, &[&title, &head]);
        let tokens = numbers(tally, &[&title, &head, &body]);
        let run = title.run.iter().chain(&head.run).chain(&body.run).map(|token| tally.numbered(token)).collect();
        let own_counts = Counts::of(stems(tally, &[&title, &head, &body]));
        let said_counts = Counts::of(stems(tally, &[&said]));
        docs.push(Doc {
            tokens,
            heads,
            all_counts: Counts::together([&own_counts, &said_counts]),
            own_counts,
            heading: words_of(english, tally, &subject),
            said: numbers(tally, &[&said]),
            asked: questions.iter().map(|spelt| words_of(english, tally, spelt)).collect(),
            senses: std::iter::once(named.as_str()).chain(texts).filter_map(|text| senses.of(text)).collect(),
            wording: senses.wording(&whole(passage)),
            run,
            form: passage.form,
            size: words(&passage.lead)
                .into_iter()
                .next()
                .filter(|_| passage.form == Form::Row)
                .map(|w| w.text)
                .filter(|w| sizes::names(w)),
            has_size: body.tokens.iter().any(|(token, _)| token.starts_with('#')),
            opens: passage.path.is_empty() && passage.form == Form::Section,
            directs: says_any(&format!("{} . {}", passage.title, passage.path.join(" . ")), DIRECTION),
            remedies: says_any(passage.heading(), TROUBLE),
        });
        index(place, Texts { title, head, body, asked: said })?;
    }
    let mut tokens: Vec<u32> = docs.iter().flat_map(|doc| &doc.tokens).copied().collect();
    tokens.sort_unstable();
    tokens.dedup();
    let counts = Counts::together(docs.iter().map(|doc| &doc.all_counts));
    Ok(Sheet { leaf: Arc::clone(leaf), docs, tokens, counts })
}

/// Where a passage stands, as a text: its page, its headings, the first cells of its row.
pub(super) fn titled(passage: &Passage) -> String {
    let path = passage.path.iter().map(String::as_str);
    let parts = std::iter::once(passage.title.as_str()).chain(path).chain(Some(passage.lead.as_str()));
    parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(". ")
}

/// A passage with where it stands, as a text.
pub(super) fn whole(passage: &Passage) -> String {
    format!("{}. {}", titled(passage), passage.text)
}

/// What people ask when they want a passage. A table's rows are asked for by their first cells where prose stands with it.
fn questions_of<'a>(leaf: &Leaf, passage: &Passage, asked: &'a [Arc<Asked>]) -> impl Iterator<Item = &'a str> {
    let row = (passage.form == Form::Row).then(|| anchor(&passage.lead));
    let bare = row.is_none()
        || asked.is_empty()
        || !leaf.passages.iter().any(|other| other.form != Form::Row && other.path == passage.path);
    let heading = passage.path.last().map(|heading| anchor(heading)).filter(|_| bare);
    let opening = bare && passage.path.is_empty();
    let mine = asked.iter().filter(move |asked| match &asked.anchor {
        Some(anchor) => heading.as_ref() == Some(anchor) || row.as_ref() == Some(anchor),
        None => opening,
    });
    mine.flat_map(|asked| asked.questions.iter().map(String::as_str))
}

/// The words of a question, stop words left out but in a trade word.
fn words_of(english: &English, tally: &mut Tally, Spelt { words, places, named }: &Spelt) -> Vec<Said> {
    let mut out: Vec<Said> = Vec::new();
    for (place, stems) in places.iter().enumerate() {
        let covering: Vec<_> = named.iter().filter(|n| (n.from..n.to).contains(&place)).collect();
        let mut weights = words.iter().filter(|word| word.place == place).map(|word| english.weight(&word.text));
        let weight = weights.next_back().unwrap_or(Weight::Stop);
        if stems.is_empty() || (weight == Weight::Stop && covering.is_empty()) {
            continue;
        }
        let mut tokens: Vec<u32> = stems.iter().rev().map(|stem| tally.numbered(stem)).collect();
        tokens.extend(covering.iter().map(|n| tally.numbered(&concept_token(n.concept))));
        let plain = covering.is_empty();
        let everyday = plain && stems.iter().all(|stem| english.is_everyday(stem));
        let said = Said { tokens, light: plain && weight != Weight::Full, everyday };
        if !out.contains(&said) {
            out.push(said);
        }
    }
    out
}

fn stems(tally: &mut Tally, texts: &[&Tokens]) -> Vec<u32> {
    texts.iter().flat_map(|text| &text.stems).map(|stem| tally.numbered(stem)).collect()
}

fn numbers(tally: &mut Tally, texts: &[&Tokens]) -> Vec<u32> {
    let all = texts.iter().flat_map(|text| &text.tokens).map(|(token, _)| tally.numbered(token));
    let mut all: Vec<u32> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Words of headings that promise a way round.
const DIRECTION: &[&str] = &["way", "orientation", "direction", "faces", "facing", "backwards", "upside"];
/// Words of headings that promise a remedy: `When it is not right`.
const TROUBLE: &[&str] = &["not right", "wrong", "trouble", "troubleshooting"];

/// True when one of the words, or runs of words, stands in the text.
fn says_any(text: &str, any: &[&str]) -> bool {
    let spelt: Vec<String> = parts(text).into_iter().map(|word| word.text).collect();
    let text = format!(" {} ", spelt.join(" "));
    any.iter().any(|words| text.contains(&format!(" {words} ")))
}

/// How a concept is written among the tokens.
pub(super) fn concept_token(concept: u32) -> String {
    format!("={concept}")
}

/// Words by place, each place with the stems it may be read as.
pub(super) fn places(words: &[Word], mut stem: impl FnMut(&str) -> String) -> Vec<Vec<String>> {
    let mut out: Vec<Vec<String>> = Vec::new();
    for word in words {
        if out.len() <= word.place {
            out.resize(word.place + 1, Vec::new());
        }
        if let Some(place) = out.get_mut(word.place) {
            place.push(stem(&word.text));
        }
    }
    out
}

/// A text taken apart, once for all that is asked of it.
struct Spelt {
    words: Vec<Word>,
    /// The stems of each place.
    places: Vec<Vec<String>>,
    /// The trade words in it.
    named: Vec<Named>,
}

impl Spelt {
    fn of(english: &mut English, lexicon: &Lexicon, text: &str) -> Self {
        let words = words(text);
        let places = places(&words, |word| lexicon.stem(english, word));
        let named = lexicon.named(&places);
        Self { words, places, named }
    }
}

fn analyse(english: &mut English, lexicon: &Lexicon, text: &str) -> Tokens {
    let spelt = Spelt::of(english, lexicon, text);
    tokens_of(english, &[spelt])
}

/// The tokens of several texts, one after the other.
fn tokens_of(english: &English, texts: &[Spelt]) -> Tokens {
    let mut out = Tokens { tokens: Vec::new(), run: Vec::new(), stems: Vec::new() };
    let mut before = 0;
    for Spelt { words, places, named } in texts {
        let mut last = None;
        for (word, stem) in words.iter().zip(places.iter().flatten()) {
            if english.weight(&word.text) == Weight::Stop {
                continue;
            }
            // Of several spellings at a place, the last is the part that its neighbours stand beside.
            if last == Some(word.place) {
                out.run.pop();
            }
            last = Some(word.place);
            out.run.push(stem.clone());
            out.tokens.push((stem.clone(), before + word.place));
        }
        out.tokens.extend(named.iter().map(|named| (concept_token(named.concept), before + named.from)));
        out.stems.extend(places.iter().flatten().cloned());
        before += places.len();
    }
    out.tokens.sort_by_key(|(_, place)| *place);
    out.tokens.dedup();
    out
}
