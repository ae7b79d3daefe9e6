//! From a question to its passages: tantivy finds, what speaks for each is weighed, and the best say whether they answer it.

use std::collections::HashSet;

use tantivy::Term as TantivyTerm;
use tantivy::collector::TopDocs;
use tantivy::query::{BooleanQuery, BoostQuery, DisjunctionMaxQuery, Occur, Query, TermQuery};
use tantivy::schema::{Field, IndexRecordOption};

use super::confidence;
use super::evidence::{self, Evidence, evidence, holds};
use super::index::{self, Index};
use super::page::Kind;
use super::passage::{Form, Passage};
use super::question::{self, Asked, Question};
use super::reading::{Doc, Sheet};
use super::sizes;
use super::standing;
use super::weights;

/// How many passages tantivy hands on to be ordered.
const CANDIDATES: usize = 128;
/// How many of the best say whether the question is covered.
const BEST: usize = 3;
/// The share of a question that a passage's own words must hold to cover it by themselves, and what is enough where two of
/// its words stand in the headings.
const HELD: f32 = 0.65;
const HEADED: f32 = 0.56;

/// What speaks for the page of the engine on the stand: no question that is learnt from was asked beside one.
const IN_HAND: f32 = 4.0;
/// A passage goes beside the best where it stands on the same page, is so little behind that one time in five it is the better
/// of the two, is among so many of the best of all, and both together have no more words than a phone shows at once or twice.
const BEHIND: f32 = 1.5;
const AMONG: usize = 8;
const TOGETHER: usize = 220;

/// A passage found: the number of its page, its place there, and what speaks for it.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub page: usize,
    pub place: usize,
    /// The place of the passage of its page that is told with it.
    pub beside: Option<usize>,
    pub score: f32,
    pub evidence: Evidence,
}

/// The outcome of a search.
#[derive(Debug, Clone, Default)]
pub(super) struct Finding {
    pub covered: bool,
    /// Not covered, but near enough to be offered.
    pub near: bool,
    /// How likely it is that the best passages answer, 0 to 1.
    pub sure: f32,
    pub found: Vec<Found>,
    /// Where the shelf says that it does not hold what is asked, and who does.
    pub beyond: Option<(usize, usize)>,
    pub read_as: Vec<(String, String)>,
}

/// The best `n` passages for a question. `engine` is the page of the engine the asker works on.
pub(super) fn search(index: &Index, text: &str, engine: Option<&str>, n: usize) -> Finding {
    let question = question::read(index, text);
    let mut finding = Finding { read_as: question.read_as.clone(), ..Finding::default() };
    if !question.says_something() || n == 0 {
        finding.beyond = index.bounds.subject(&question.beyond);
        return finding;
    }
    let mut ranked = weighed(index, &question, engine);
    order(&mut ranked);
    finding.sure = weights::sure(&signs(&question, &ranked));
    finding.covered = finding.sure >= weights::COVERED || held(index, &ranked);
    if !finding.covered {
        finding.beyond = index.bounds.subject(&question.beyond);
    }
    finding.near = !finding.covered
        && finding.sure >= weights::NEAR
        && ranked.first().is_some_and(|best| evidence::about(index, &question, (best.page, best.place)));
    own_first(index, &question, engine, &mut ranked);
    join(index, &question, &mut ranked);
    ranked.truncate(n);
    finding.found = ranked;
    finding
}

/// Where a general limit would answer and the engine that is meant has its own for the same, that one stands before it: the
/// order in which limits hold.
fn own_first(index: &Index, question: &Question, engine: Option<&str>, ranked: &mut Vec<Found>) {
    let in_hand = engine.filter(|_| question.engines.is_empty());
    let meant: Vec<&str> = question.engines.iter().map(String::as_str).chain(in_hand).collect();
    let row = |found: &Found| {
        let (sheet, doc) = index.doc(found.page, found.place)?;
        let lead = &index.passage(found.page, found.place)?.lead;
        (doc.form == Form::Row).then_some((sheet.leaf.page.kind, lead))
    };
    let Some((Kind::Limits, general)) = ranked.first().and_then(row) else { return };
    let own = |found: &Found| {
        meant.iter().any(|slug| index.is_page(found.page, slug)) && row(found).is_some_and(|(_, lead)| lead == general)
    };
    if let Some(at) = ranked.iter().position(own) {
        let score = ranked[0].score;
        let found = ranked.remove(at);
        ranked.insert(0, Found { score, ..found });
    }
}

/// Where two passages of a page are near a tie, the answer is both: whoever asks has one question, and a page may say half
/// of its answer under one heading and half under the next.
fn join(index: &Index, question: &Question, ranked: &mut Vec<Found>) {
    if let Some(at) = twin(index, question, ranked) {
        let other = ranked.remove(at).place;
        let first = ranked[0].place;
        // In the page's order: the usual one stands first there.
        (ranked[0].place, ranked[0].beside) = (first.min(other), Some(first.max(other)));
        return;
    }
    let passage = |found: &Found| index.passage(found.page, found.place);
    let words = |passage: &Passage| passage.text.split_whitespace().count();
    let Some((first, others)) = ranked.split_first() else { return };
    let Some(best) = passage(first) else { return };
    let fits = |other: &Passage| {
        // Two lists of steps would read as one.
        (best.form, other.form) != (Form::Steps, Form::Steps) && words(best) + words(other) <= TOGETHER
    };
    let mut near = others.iter().take(AMONG - 1).take_while(|other| first.score - other.score <= BEHIND);
    let page = first.page;
    let beside = near.position(|other| other.page == page && passage(other).is_some_and(fits));
    let Some(at) = beside else { return };
    let other = ranked.remove(at + 1);
    ranked[0].beside = Some(other.place);
}

/// The candidates for a question, best first, and the signs of its being answered: what the weights are learnt from.
pub(super) fn weigh(index: &Index, text: &str) -> (Vec<Found>, confidence::Signs) {
    let question = question::read(index, text);
    let mut found = if question.says_something() { weighed(index, &question, None) } else { Vec::new() };
    order(&mut found);
    let signs = signs(&question, &found);
    (found, signs)
}

/// True where a passage itself holds most of what is asked, on a page that a shop has just written: nobody has told yet what
/// people ask of it, which is most of what is learnt.
fn held(index: &Index, ranked: &[Found]) -> bool {
    let fresh = |found: &Found| {
        index.doc(found.page, found.place).is_some_and(|(sheet, _)| sheet.docs.iter().all(|doc| doc.asked.is_empty()))
    };
    let holds = |e: &Evidence| e.own_trade >= HELD || (e.own_trade >= HEADED && e.anchors >= 0.5);
    ranked.first().is_some_and(|first| first.evidence.elsewhere >= 1.0)
        && ranked.iter().take(BEST).any(|found| holds(&found.evidence) && fresh(found))
}

fn signs(question: &Question, ranked: &[Found]) -> confidence::Signs {
    let best: Vec<&Evidence> = ranked.iter().take(BEST).map(|found| &found.evidence).collect();
    confidence::signs(question, &best, ranked.first().map_or(0.0, |first| first.score))
}

fn weighed(index: &Index, question: &Question, engine: Option<&str>) -> Vec<Found> {
    let candidates = candidates(index, question).unwrap_or_default();
    let best = candidates.iter().map(|(_, score)| *score).fold(f32::MIN_POSITIVE, f32::max);
    let found = candidates.into_iter().filter_map(|((page, place), score)| {
        if other_size(index, question, (page, place)) {
            return None;
        }
        let evidence = evidence(index, question, index.doc(page, place)?, engine, score / best);
        Some(Found { page, place, beside: None, score: 0.0, evidence })
    });
    let mut found: Vec<Found> = found.collect();
    standing::compare(&mut found);
    for f in &mut found {
        let in_hand = engine.is_some_and(|slug| index.is_page(f.page, slug)) && question.engines.is_empty();
        f.score = weights::rank(&f.evidence) + if in_hand { IN_HAND } else { 0.0 };
    }
    found
}

/// True for a row of another size than the one that is asked for, where its table has that one or is of threads: the torque
/// of the next thread is no answer, nor is any where none is named.
fn other_size(index: &Index, question: &Question, (page, place): (usize, usize)) -> bool {
    let Some((sheet, doc)) = index.doc(page, place) else { return false };
    let Some(size) = &doc.size else { return false };
    if question.sizes.contains(size) {
        return other_pitch(question, sheet, doc);
    }
    let path = |place: usize| sheet.leaf.passages.get(place).map(|passage| &passage.path);
    let of_table = sheet.docs.iter().enumerate().filter(|(other, _)| path(*other) == path(place));
    let mut sizes = of_table.filter_map(|(_, doc)| doc.size.as_ref());
    sizes.any(|size| sizes::is_thread(size) || question.sizes.contains(size))
}

/// True for a row that lacks a number which is asked, such as the thread's pitch, where another row of the same size is called by it.
fn other_pitch(question: &Question, sheet: &Sheet, row: &Doc) -> bool {
    let mut rows = sheet.docs.iter().filter(|other| other.size == row.size);
    rows.any(|other| question.asked.iter().any(|asked| asked.is_number() && calls(asked, other, row)))
}

/// True for a word that one row is called by and another is not.
fn calls(asked: &Asked, row: &Doc, other: &Doc) -> bool {
    holds(asked, &row.heads) && !holds(asked, &other.heads)
}

/// Another row for the thread of the best one, on its page, where nothing that is asked says which of the two is meant: a half
/// inch bolt may have a coarse thread or a fine one.
fn twin(index: &Index, question: &Question, ranked: &[Found]) -> Option<usize> {
    let best = ranked.first()?;
    let (_, row) = index
        .doc(best.page, best.place)
        .filter(|(_, doc)| doc.size.as_ref().is_some_and(|size| sizes::is_thread(size)))?;
    let twin = |found: &Found| {
        let doc = index.doc(found.page, found.place).map(|(_, doc)| doc).filter(|_| found.page == best.page);
        doc.is_some_and(|doc| doc.size == row.size && !question.asked.iter().any(|asked| calls(asked, row, doc)))
    };
    (1..ranked.len()).find(|at| ranked.get(*at).is_some_and(twin))
}

fn order(ranked: &mut [Found]) {
    ranked.sort_by(|a, b| b.score.total_cmp(&a.score).then((a.page, a.place).cmp(&(b.page, b.place))));
}

/// Tantivy's candidates: each word by its best-matching name, title and headings above the body.
fn candidates(index: &Index, question: &Question) -> tantivy::Result<Vec<((usize, usize), f32)>> {
    let fields =
        [(index.fields.title, 1.2), (index.fields.head, 2.4), (index.fields.body, 1.0), (index.fields.asked, 1.0)];
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
