//! What speaks for a passage as the answer to a question, as numbers. What each of them weighs is learnt (`weights`).

use super::bm25;
use super::fit::{fit, is_limit, says};
use super::index::Index;
use super::likeness::{Likeness, likeness};
use super::page::Kind;
use super::passage::Form;
use super::question::{Asked, Question, Wants};
use super::reading::{Doc, Sheet, concept_token};
use super::sense;

/// What every word counts before its rarity is added.
const COMMON: f32 = 2.5;
/// How much more a word of the words page counts than another.
const TRADE: f32 = 1.2;
/// How much of the highest rarity a word counts that the shelf has never seen. It may be the very subject, but more often
/// it is one more plain word of a long question.
const UNKNOWN: f32 = 0.55;
/// What is left of the trade in a passage that does not hold what the question names from beyond the shelf, and in one that
/// only mentions it.
const ELSEWHERE: f32 = 0.33;
const MENTIONED: f32 = 0.75;
/// How many words a usual passage has, one with what people ask of it, and a page with all that.
const OWN: f32 = 60.0;
const ALL: f32 = 140.0;
const PAGE: f32 = 2500.0;
/// So many words make a question as long as any.
const LONG: usize = 12;

/// What words count, by what they are and where a passage holds them.
struct Scale {
    /// A word of everyday English that the shelf has too.
    everyday: f32,
    /// One that the shelf has not.
    filler: f32,
    /// What is left of a light word's worth.
    light: f32,
    /// A word that the passage holds below its headings, and one that only its page holds.
    body: f32,
    page: f32,
    /// One that people ask with.
    said: f32,
}

/// To choose between passages, every word that some have and others lack is of use.
const CHOOSING: Scale = Scale { everyday: 0.75, filler: 0.1, light: 1.0, body: 0.75, page: 0.3, said: 0.9 };
/// Whether the best covers the question is settled by its trade words, whatever they are wrapped in.
const COVERING: Scale = Scale { everyday: 0.3, filler: 0.1, light: 0.4, body: 0.7, page: 0.45, said: 0.9 };

/// The names of the signs, in the order of [`Evidence::signs`].
pub(super) const NAMES: [&str; 51] = [
    "found",
    "own words",
    "all words",
    "own trade",
    "all trade",
    "held",
    "meant",
    "likeness",
    "likeness squared",
    "second likeness",
    "heading held",
    "heading meant",
    "heading likeness",
    "beside",
    "fit",
    "fit of words",
    "fit of likeness",
    "anchors",
    "held of words",
    "word",
    "row",
    "limit",
    "engine",
    "procedure",
    "says",
    "named above",
    "named",
    "opens",
    "own often",
    "all often",
    "page often",
    "own often of best",
    "all often of best",
    "page often of best",
    "own words of best",
    "all words of best",
    "own trade of best",
    "all trade of best",
    "words of page of best",
    "likeness below page",
    "all words of long",
    "explains",
    "limit asked",
    "limit of a plain question",
    "sense",
    "second sense",
    "third sense",
    "sense squared",
    "sense near best",
    "wording",
    "wording near best",
];

/// The signs of one passage.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Evidence {
    /// Tantivy's score, as a share of the best one's.
    pub found: f32,
    /// The share of the question's words that the passage's own have.
    pub own_words: f32,
    /// The same with the words people ask with.
    pub all_words: f32,
    /// As the first, trade words counting far more than others.
    pub own_trade: f32,
    /// As the second, likewise.
    pub all_trade: f32,
    /// How much of the question its likest asked one has.
    pub held: f32,
    /// How much of that one the question has.
    pub meant: f32,
    /// The two as one.
    pub likeness: f32,
    pub likeness_squared: f32,
    /// That of the next.
    pub second_likeness: f32,
    /// How much of the question the passage's heading has.
    pub heading_held: f32,
    /// How much of the heading the question has.
    pub heading_meant: f32,
    /// The two as one.
    pub heading_likeness: f32,
    /// How many neighbours of the question stand side by side.
    pub beside: f32,
    /// What is left by what the question names from beyond the shelf; it counts only for being covered.
    pub elsewhere: f32,
    /// How well its form and page suit what is asked, as a logarithm.
    pub fit: f32,
    pub fit_of_words: f32,
    pub fit_of_likeness: f32,
    /// How many words stand in its headings.
    pub anchors: f32,
    pub held_of_words: f32,
    /// A row of the words page, of any table, of limits.
    pub word: f32,
    pub row: f32,
    pub limit: f32,
    /// On an engine's page, in a procedure.
    pub engine: f32,
    pub procedure: f32,
    /// No row of words where more than a meaning is asked.
    pub says: f32,
    /// Trade words by name, in headings or asked; and anywhere.
    pub named_above: f32,
    pub named: f32,
    /// What stands under the page's title alone.
    pub opens: f32,
    /// How often its own words say the question's, for their length; with what people ask; and its page.
    pub own_often: f32,
    pub all_often: f32,
    pub page_often: f32,
    /// The same as a share of the best of all candidates.
    pub own_often_of_best: f32,
    pub all_often_of_best: f32,
    pub page_often_of_best: f32,
    /// So too the shares above.
    pub own_words_of_best: f32,
    pub all_words_of_best: f32,
    pub own_trade_of_best: f32,
    pub all_trade_of_best: f32,
    /// The three best of its page together, as a share of the best page's.
    pub page_words_of_best: f32,
    /// How far its likeness stays behind the best of its page.
    pub likeness_below_page: f32,
    /// Its words where the question is long.
    pub all_words_of_long: f32,
    /// On the words page where a meaning is asked.
    pub explains: f32,
    /// A row of limits, the engine's own too, where an amount is asked, and where nothing says what else is.
    pub limit_asked: f32,
    pub limit_of_plain: f32,
    /// How near in meaning the question is to the nearest of the passage's headings and questions, and to the next two.
    pub sense: f32,
    pub second_sense: f32,
    pub third_sense: f32,
    pub sense_squared: f32,
    /// How close the first of these comes to that of the best of all.
    pub sense_near_best: f32,
    /// How much of the question the passage says in its own text, piece by piece; none where one of the two was not read, which
    /// counts like what is usual among those found. And how close it comes to the best of them.
    pub worded: Option<f32>,
    pub wording: f32,
    pub wording_near_best: f32,
}

impl Evidence {
    /// All of them, in the order of [`NAMES`].
    pub fn signs(&self) -> [f32; NAMES.len()] {
        [
            self.found,
            self.own_words,
            self.all_words,
            self.own_trade,
            self.all_trade,
            self.held,
            self.meant,
            self.likeness,
            self.likeness_squared,
            self.second_likeness,
            self.heading_held,
            self.heading_meant,
            self.heading_likeness,
            self.beside,
            self.fit,
            self.fit_of_words,
            self.fit_of_likeness,
            self.anchors,
            self.held_of_words,
            self.word,
            self.row,
            self.limit,
            self.engine,
            self.procedure,
            self.says,
            self.named_above,
            self.named,
            self.opens,
            self.own_often,
            self.all_often,
            self.page_often,
            self.own_often_of_best,
            self.all_often_of_best,
            self.page_often_of_best,
            self.own_words_of_best,
            self.all_words_of_best,
            self.own_trade_of_best,
            self.all_trade_of_best,
            self.page_words_of_best,
            self.likeness_below_page,
            self.all_words_of_long,
            self.explains,
            self.limit_asked,
            self.limit_of_plain,
            self.sense,
            self.second_sense,
            self.third_sense,
            self.sense_squared,
            self.sense_near_best,
            self.wording,
            self.wording_near_best,
        ]
    }
}

/// What speaks for a passage; `found` is tantivy's score of it, as a share of the best one's.
pub(super) fn evidence(
    index: &Index,
    question: &Question,
    (sheet, doc): (&Sheet, &Doc),
    engine: Option<&str>,
    found: f32,
) -> Evidence {
    let own = |scale: &Scale| share(question, sheet, doc, &Scale { said: 0.0, ..*scale });
    let all_words = share(question, sheet, doc, &CHOOSING);
    let alike = likeness(index, question, &doc.asked);
    let Likeness { held, meant } = alike.best;
    let likeness_of = alike.best.both();
    let heading = likeness(index, question, std::slice::from_ref(&doc.heading)).best;
    let fit = fit(index, question, sheet, doc, engine).ln();
    let (named_above, named) = named(index, question, doc);
    let yes = |so: bool| f32::from(u8::from(so));
    let (kind, row) = (sheet.leaf.page.kind, doc.form == Form::Row);
    let limit = is_limit(kind, doc);
    let [sense, second_sense, third_sense] = sense::nearest(&doc.senses, &question.sense);
    Evidence {
        found,
        own_words: own(&CHOOSING),
        all_words,
        own_trade: own(&COVERING),
        all_trade: share(question, sheet, doc, &COVERING),
        held,
        meant,
        likeness: likeness_of,
        likeness_squared: likeness_of * likeness_of,
        second_likeness: alike.second,
        heading_held: heading.held,
        heading_meant: heading.meant,
        heading_likeness: heading.both(),
        beside: beside(index, question, doc),
        elsewhere: elsewhere(index, question, doc),
        fit,
        fit_of_words: fit * all_words,
        fit_of_likeness: fit * likeness_of,
        anchors: anchors(question, doc).min(4) as f32 / 4.0,
        held_of_words: all_words * held,
        word: yes(kind == Kind::Words),
        row: yes(row),
        limit: yes(kind == Kind::Limits && row),
        engine: yes(kind == Kind::Engine),
        procedure: yes(kind == Kind::Procedure),
        says: yes(says(index, question, sheet, doc)),
        named_above,
        named,
        opens: yes(doc.opens),
        own_often: bm25::share(index, question, &doc.own_counts, OWN),
        all_often: bm25::share(index, question, &doc.all_counts, ALL),
        page_often: bm25::share(index, question, &sheet.counts, PAGE),
        all_words_of_long: all_words * question.asked.len().min(LONG) as f32 / LONG as f32,
        limit_asked: yes(limit && question.wants.amount),
        limit_of_plain: yes(limit && question.wants == Wants::default()),
        sense,
        second_sense,
        third_sense,
        sense_squared: sense * sense,
        worded: question.wording.found_in(&doc.wording),
        explains: yes(kind == Kind::Words && question.wants.meaning),
        ..Evidence::default()
    }
}

/// The share (0 to 1) of what is asked that the passage holds, each word counting by its worth and rarity.
/// A word the shelf has never seen counts against every passage, though hardly if it is an everyday one.
fn share(question: &Question, sheet: &Sheet, doc: &Doc, scale: &Scale) -> f32 {
    // A whole table of words or a list of all trade terms says nothing about its rows.
    let page = Some(&sheet.tokens).filter(|_| doc.form != Form::Row);
    // With no trade word among them, plain words are all there is to go by.
    let trade = question.asked.iter().any(|asked| asked.trade);
    let (mut held, mut all) = (0.0, 0.0);
    for asked in &question.asked {
        let counts = asked.worth
            * (COMMON + asked.rarity * if asked.known { 1.0 } else { UNKNOWN })
            * if asked.trade { TRADE } else { 1.0 }
            * if asked.light { scale.light } else { 1.0 }
            * match (asked.everyday && trade, asked.known) {
                (false, _) => 1.0,
                (true, true) => scale.everyday,
                (true, false) => scale.filler,
            };
        all += counts;
        if holds(asked, &doc.heads) {
            held += counts * asked.trust;
        } else if scale.said > scale.body && holds(asked, &doc.said) {
            held += counts * asked.trust * scale.said;
        } else if holds(asked, &doc.tokens) {
            held += counts * asked.trust * scale.body;
        } else if page.is_some_and(|page| holds(asked, page)) {
            held += counts * asked.trust * scale.page;
        }
    }
    if all > 0.0 { held / all } else { 0.0 }
}

pub(super) fn holds(asked: &Asked, sorted: &[u32]) -> bool {
    asked.numbers.iter().any(|token| sorted.binary_search(token).is_ok())
}

/// The shares of the question's trade words, as names and not as the stems they share with others, that the passage has
/// above its body or in what people ask, and anywhere; 0 where it has none.
fn named(index: &Index, question: &Question, doc: &Doc) -> (f32, f32) {
    let (mut all, mut above, mut within) = (0.0, 0.0, 0.0);
    for asked in question.asked.iter().filter(|asked| asked.trade) {
        let names = asked.tokens.iter().filter(|(token, _)| token.starts_with('='));
        let names: Vec<u32> = names.filter_map(|(token, _)| index.tally.number(token)).collect();
        let has = |sorted: &[u32]| names.iter().any(|name| sorted.binary_search(name).is_ok());
        let high = has(&doc.heads) || has(&doc.said);
        all += 1.0;
        above += f32::from(u8::from(high));
        within += f32::from(u8::from(high || has(&doc.tokens)));
    }
    if all > 0.0 { (above / all, within / all) } else { (0.0, 0.0) }
}

/// How many words of the question, plain ones left aside, the passage's title and headings hold.
fn anchors(question: &Question, doc: &Doc) -> usize {
    let own = |asked: &&Asked| asked.known && !asked.light && !asked.everyday;
    question.asked.iter().filter(own).filter(|asked| holds(asked, &doc.heads)).count()
}

/// What is left of a passage's share by what the question names from beyond the shelf; 1 where the passage is about it.
fn elsewhere(index: &Index, question: &Question, doc: &Doc) -> f32 {
    let has = |stem: &String, sorted: &[u32]| {
        index.tally.number(stem).is_some_and(|token| sorted.binary_search(&token).is_ok())
    };
    let left = question.beyond.far.iter().map(|stem| match (has(stem, &doc.heads), has(stem, &doc.tokens)) {
        (true, _) => 1.0,
        (_, true) => MENTIONED,
        _ => ELSEWHERE,
    });
    left.fold(1.0, f32::min)
}

/// The share of the question's neighbouring words that stand close together in the passage too. The words of one name
/// count as close where the passage has the name, whichever of its names that is.
fn beside(index: &Index, question: &Question, doc: &Doc) -> f32 {
    let (mut pairs, mut close) = (0, 0);
    for pair in question.asked.windows(2) {
        let [a, b] = pair else { continue };
        if a.name.is_some() && a.name == b.name {
            pairs += 1;
            let concept = a.name.and_then(|name| index.tally.number(&concept_token(name)));
            close += usize::from(concept.is_some_and(|token| doc.tokens.binary_search(&token).is_ok()));
        }
        if a.name.is_some() || b.name.is_some() || b.place - a.place > 2 {
            continue;
        }
        let stem = |asked: &Asked| asked.tokens.first().and_then(|(token, _)| index.tally.number(token));
        let (Some(a), Some(b)) = (stem(a), stem(b)) else { continue };
        pairs += 1;
        let stands =
            doc.run.iter().enumerate().any(|(at, token)| {
                *token == a && doc.run[at.saturating_sub(2)..doc.run.len().min(at + 3)].contains(&b)
            });
        close += usize::from(stands);
    }
    if pairs == 0 { 1.0 } else { close as f32 / pairs as f32 }
}

/// True when a word that was asked, and not guessed from its spelling, stands in the passage's title or headings.
pub(super) fn about(index: &Index, question: &Question, (page, place): (usize, usize)) -> bool {
    let Some((_, doc)) = index.doc(page, place) else { return false };
    question.asked.iter().any(|asked| asked.known && !asked.light && asked.trust > 0.9 && holds(asked, &doc.heads))
}
