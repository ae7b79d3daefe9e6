//! From a question to its passages: tantivy finds, the shelf's own measures order, and one measure says whether any of it answers.

use std::collections::{HashMap, HashSet};

use tantivy::Term as TantivyTerm;
use tantivy::collector::TopDocs;
use tantivy::query::{BooleanQuery, BoostQuery, DisjunctionMaxQuery, Occur, Query, TermQuery};
use tantivy::schema::{Field, IndexRecordOption};

use super::index::{self, Index};
use super::page::Kind;
use super::passage::Form;
use super::question::{self, Asked, Question};
use super::reading::{Doc, Sheet, concept_token};

/// How many passages tantivy hands on to be ordered.
const CANDIDATES: usize = 64;
/// The share of a question that its best passage must hold for the question to count as covered.
const COVERED: f32 = 0.49;
/// The share from which what came nearest is worth a look although it does not cover the question, if it is about a word
/// that was asked.
const NEAR: f32 = 0.46;
/// As many words of a question in a passage's title and headings make it a passage about them; a lower share is then enough.
const ANCHORS: usize = 3;
const ANCHORED: f32 = 0.42;
/// How much of a passage's score is tantivy's; the rest is the share.
const FOUND: f32 = 0.15;
/// What every word counts before its rarity is added.
const COMMON: f32 = 2.5;
/// How much more a word of the words page counts than another.
const TRADE: f32 = 1.2;
/// How much of the highest rarity a word counts that the shelf has never seen. It may be the very subject, but more often
/// it is one more plain word of a long question.
const UNKNOWN: f32 = 0.55;
/// How much the nearness of the question's words to each other in a passage adds to its score.
const BESIDE: f32 = 0.15;
/// What is left of the share of a passage that does not hold what the question names beside the trade, and of one that
/// only mentions it.
const ELSEWHERE: f32 = 0.33;
const MENTIONED: f32 = 0.75;
/// What is left of the share of a words row that only names what is asked: a meaning is no way of working and no amount.
const NAMED_ONLY: f32 = 0.6;

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
}

/// To choose between passages, every word that some have and others lack is of use.
const CHOOSING: Scale = Scale { everyday: 0.75, filler: 0.1, light: 1.0, body: 0.75, page: 0.3 };
/// Whether the best covers the question is settled by its trade words, whatever they are wrapped in.
const COVERING: Scale = Scale { everyday: 0.3, filler: 0.1, light: 0.4, body: 0.7, page: 0.45 };

/// What a page's opening keeps of its score beside its sections.
const OPENING: f32 = 0.93;
/// What each further passage of one section keeps of its score: the next answer should be another.
const AGAIN: f32 = 0.85;

/// A passage found: the number of its page, its place there, and how well it answers (1 holds every word asked).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub page: usize,
    pub place: usize,
    pub score: f32,
}

/// The outcome of a search.
#[derive(Debug, Clone, Default)]
pub(super) struct Finding {
    pub covered: bool,
    /// Not covered, but near enough to be offered.
    pub near: bool,
    pub share: f32,
    pub found: Vec<Found>,
    pub read_as: Vec<(String, String)>,
}

/// The best `n` passages for a question. `engine` is the page of the engine the asker works on.
pub(super) fn search(index: &Index, text: &str, engine: Option<&str>, n: usize) -> Finding {
    let question = question::read(index, text);
    let mut finding = Finding { read_as: question.read_as.clone(), ..Finding::default() };
    let subject = question.asked.iter().any(|asked| asked.known && !asked.light && !asked.everyday)
        || !question.engines.is_empty()
        || !question.alike.is_empty();
    if !subject || n == 0 {
        // Plain words alone have no subject.
        return finding;
    }
    let Ok(candidates) = candidates(index, &question) else { return finding };
    let best = candidates.iter().map(|(_, score)| *score).fold(f32::MIN_POSITIVE, f32::max);
    let mut ranked: Vec<(Found, f32)> = candidates
        .into_iter()
        .filter_map(|((page, place), score)| {
            let (sheet, doc) = index.doc(page, place)?;
            let elsewhere = elsewhere(index, &question, doc);
            let chosen = share(index, &question, sheet, doc, &CHOOSING);
            let fit = fit(index, &question, sheet, doc, engine);
            let beside = beside(index, &question, doc);
            let score = (FOUND * score / best + (1.0 - FOUND) * chosen) * fit * (1.0 + BESIDE * beside);
            let score = score * (0.7 + 0.3 * elsewhere);
            let share = share(index, &question, sheet, doc, &COVERING) * (0.8 + 0.2 * beside) * elsewhere;
            let share = if says(index, &question, sheet, doc) { share } else { share * NAMED_ONLY };
            let anchored = share >= ANCHORED && elsewhere >= 1.0 && anchors(index, &question, doc, &[]) >= ANCHORS;
            let share = if anchored { share.max(COVERED) } else { share };
            Some((Found { page, place, score }, share))
        })
        .collect();
    order(&mut ranked);
    spread(index, &mut ranked);
    let top = ranked.iter().take(3).map(|(_, share)| *share).fold(0.0, f32::max);
    finding.share = top;
    finding.covered = top >= COVERED;
    finding.near =
        (NEAR..COVERED).contains(&top) && ranked.first().is_some_and(|(best, _)| about(index, &question, best));
    finding.found = ranked.into_iter().take(n).map(|(found, _)| found).collect();
    finding
}

/// Lowers the second and later passages of one section, and puts the list in order again.
fn spread(index: &Index, ranked: &mut [(Found, f32)]) {
    let mut seen: HashMap<(usize, u32), i32> = HashMap::new();
    for (found, _) in ranked.iter_mut() {
        let Some((_, doc)) = index.doc(found.page, found.place) else { continue };
        // Rows of one table are as different as sections are.
        if doc.form != Form::Row {
            let times = seen.entry((found.page, doc.section)).or_insert(0);
            found.score *= AGAIN.powi(*times);
            *times += 1;
        }
    }
    order(ranked);
}

fn order(ranked: &mut [(Found, f32)]) {
    ranked.sort_by(|a, b| b.0.score.total_cmp(&a.0.score).then((a.0.page, a.0.place).cmp(&(b.0.page, b.0.place))));
}

/// Tantivy's candidates: each word by its best-matching name, title and headings above the body.
fn candidates(index: &Index, question: &Question) -> tantivy::Result<Vec<((usize, usize), f32)>> {
    let fields = [(index.fields.title, 1.2), (index.fields.head, 2.4), (index.fields.body, 1.0)];
    let mut clauses: Vec<(Occur, Box<dyn Query>)> = Vec::new();
    for asked in question.asked.iter().filter(|asked| asked.known) {
        for (field, boost) in fields {
            let names = asked.tokens.iter().filter(|(token, _)| index.tally.number(token).is_some());
            let names = names.map(|(token, part)| term(field, token, *part)).collect();
            let either = DisjunctionMaxQuery::new(names);
            let worth = if asked.light { 0.4 } else { 1.0 };
            clauses.push((Occur::Should, Box::new(BoostQuery::new(Box::new(either), boost * worth * asked.trust))));
        }
    }
    let searcher = &index.searcher;
    let top = searcher.search(&BooleanQuery::new(clauses), &TopDocs::with_limit(CANDIDATES).order_by_score())?;
    let mut out = Vec::with_capacity(top.len());
    for (score, address) in top {
        let places = searcher.segment_reader(address.segment_ord).fast_fields().u64("place")?;
        out.extend(places.first(address.doc_id).map(|stored| (index::place(stored), score)));
    }
    // All that the page of a named engine says is worth a look.
    let found: HashSet<(usize, usize)> = out.iter().map(|(place, _)| *place).collect();
    let named = question.engines.iter().chain(&question.alike).flat_map(|slug| index.places(slug));
    out.extend(named.filter(|place| !found.contains(place)).map(|place| (place, 0.0)));
    Ok(out)
}

fn term(field: Field, token: &str, part: f32) -> Box<dyn Query> {
    let query = TermQuery::new(TantivyTerm::from_field_text(field, token), IndexRecordOption::WithFreqs);
    Box::new(BoostQuery::new(Box::new(query), part))
}

/// The share (0 to 1) of what is asked that the passage holds, each word counting by its worth and rarity.
/// A word the shelf has never seen counts against every passage, though hardly if it is an everyday one.
fn share(index: &Index, question: &Question, sheet: &Sheet, doc: &Doc, scale: &Scale) -> f32 {
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
        if holds(index, asked, &doc.heads) {
            held += counts * asked.trust;
        } else if holds(index, asked, &doc.tokens) {
            held += counts * asked.trust * scale.body;
        } else if page.is_some_and(|page| holds(index, asked, page)) {
            held += counts * asked.trust * scale.page;
        }
    }
    if all > 0.0 { held / all } else { 0.0 }
}

fn holds(index: &Index, asked: &Asked, sorted: &[u32]) -> bool {
    asked.tokens.iter().filter_map(|(token, _)| index.tally.number(token)).any(|t| sorted.binary_search(&t).is_ok())
}

/// How many words of the question, plain ones and those of a `name` left aside, the passage's title and headings hold.
fn anchors(index: &Index, question: &Question, doc: &Doc, name: &[String]) -> usize {
    let own = |asked: &&Asked| asked.known && !asked.light && !asked.everyday;
    let other = |asked: &&Asked| !asked.tokens.iter().any(|(token, _)| name.contains(token));
    question.asked.iter().filter(own).filter(other).filter(|asked| holds(index, asked, &doc.heads)).count()
}

/// What is left of a passage's share by what the question names beside the trade; 1 where the passage is about it.
fn elsewhere(index: &Index, question: &Question, doc: &Doc) -> f32 {
    let has = |name: &[String], sorted: &[u32]| {
        name.iter().all(|stem| index.tally.number(stem).is_some_and(|token| sorted.binary_search(&token).is_ok()))
    };
    let left = question.elsewhere.iter().map(|name| match (has(name, &doc.heads), has(name, &doc.tokens)) {
        (true, _) => 1.0,
        (_, true) => MENTIONED,
        // A passage about the rest of a long question is not put off by one thing that stands by.
        _ if anchors(index, question, doc, name) >= ANCHORS => MENTIONED,
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

/// How well the passage's form and page suit what is asked; 1 is neutral.
fn fit(index: &Index, question: &Question, sheet: &Sheet, doc: &Doc, engine: Option<&str>) -> f32 {
    let wants = question.wants;
    let page = &sheet.leaf.page;
    // A page's opening says a little of all that its sections say in full.
    let mut fit = if doc.opens { OPENING } else { 1.0 };
    if wants.amount {
        fit *= match (page.kind, doc.form) {
            (Kind::Limits | Kind::Engine, Form::Row) => 1.4,
            (Kind::Limits, _) => 1.2,
            _ if doc.has_size => 1.05,
            _ => 0.8,
        };
    }
    if wants.method {
        fit *= match (page.kind, doc.form) {
            (_, Form::Steps) => 1.15,
            (Kind::Procedure, _) => 1.15,
            _ => 0.95,
        };
    }
    if wants.direction {
        fit *= match (page.kind, doc.form) {
            // A size never says which way round.
            (Kind::Limits | Kind::Engine, Form::Row) => 0.5,
            // Steps say how to find out; the section beside them says which.
            (_, Form::Steps) if doc.directs => 1.1,
            _ if doc.directs => 1.2,
            _ => 0.95,
        };
    }
    if wants.remedy {
        fit *= if doc.remedies { 1.35 } else { 1.0 };
    }
    // A limit says what is too much, not why it came to that.
    let limit = doc.form == Form::Row && matches!(page.kind, Kind::Limits | Kind::Engine);
    if wants.symptom && limit {
        fit *= 0.6;
    }
    if page.kind == Kind::Words {
        fit *= match (tells(index, question, doc), wants.meaning) {
            (true, true) => 1.6,
            (true, false) => 0.8,
            _ => 0.7,
        };
    }
    if page.kind == Kind::Engine {
        let named = question.engines.contains(&page.slug);
        let own = question.engines.is_empty() && engine == Some(page.slug.as_str());
        fit *= match (named, own) {
            (true, _) => 1.5,
            (_, true) => 1.3,
            // Another engine's figures answer no question about this one.
            _ if !question.engines.is_empty() || engine.is_some() => 0.3,
            // A way round is not taken from an engine that may be another of its layout.
            _ if question.alike.contains(&page.slug) && !wants.direction => 1.25,
            _ if question.alike.contains(&page.slug) => 0.9,
            _ => 0.6,
        };
    }
    fit
}

/// True when a word that was asked, and not guessed from its spelling, stands in the passage's title or headings.
fn about(index: &Index, question: &Question, found: &Found) -> bool {
    let Some((_, doc)) = index.doc(found.page, found.place) else { return false };
    question
        .asked
        .iter()
        .any(|asked| asked.known && !asked.light && asked.trust > 0.9 && holds(index, asked, &doc.heads))
}

/// False for a row of the words page where more than a meaning is asked, or the meaning of something else.
fn says(index: &Index, question: &Question, sheet: &Sheet, doc: &Doc) -> bool {
    let wants = question.wants;
    let more = wants.amount || wants.method || wants.direction || wants.remedy;
    sheet.leaf.page.kind != Kind::Words || (!more && tells(index, question, doc))
}

/// True when the row of the words page is that of the very thing asked: all the subject's words are its name.
fn tells(index: &Index, question: &Question, doc: &Doc) -> bool {
    let name = |asked: &Asked| {
        let concepts = asked.tokens.iter().filter(|(token, _)| token.starts_with('='));
        concepts.filter_map(|(token, _)| index.tally.number(token)).any(|t| doc.heads.binary_search(&t).is_ok())
    };
    let mut subject = question.asked.iter().filter(|asked| !asked.light).peekable();
    subject.peek().is_some() && subject.all(name)
}
