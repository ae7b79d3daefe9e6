//! From a question to its passages: tantivy finds, the shelf's own measures order, and one measure says whether any of it answers.

use tantivy::Term as TantivyTerm;
use tantivy::collector::TopDocs;
use tantivy::query::{BooleanQuery, BoostQuery, DisjunctionMaxQuery, Occur, Query, TermQuery};
use tantivy::schema::{Field, IndexRecordOption};

use super::index::{Doc, Index};
use super::page::Kind;
use super::passage::Form;
use super::question::{self, Asked, Question};

/// How many passages tantivy hands on to be ordered.
const CANDIDATES: usize = 64;
/// The share of a question that its best passage must hold for the question to count as covered.
const COVERED: f32 = 0.55;

/// A passage found: its place in the shelf's list, and how well it answers (1 holds every word asked).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub ordinal: usize,
    pub score: f32,
}

/// The outcome of a search.
#[derive(Debug, Clone, Default)]
pub(super) struct Finding {
    pub covered: bool,
    pub found: Vec<Found>,
    pub read_as: Vec<(String, String)>,
}

/// The best `n` passages for a question. `engine` is the page of the engine the asker works on.
pub(super) fn search(index: &Index, text: &str, engine: Option<&str>, n: usize) -> Finding {
    let question = question::read(index, text);
    let mut finding = Finding { read_as: question.read_as.clone(), ..Finding::default() };
    if !question.asked.iter().any(|asked| asked.known) || n == 0 {
        return finding;
    }
    let Ok(candidates) = candidates(index, &question) else { return finding };
    let best = candidates.iter().map(|(_, score)| *score).fold(f32::MIN_POSITIVE, f32::max);
    let mut ranked: Vec<(Found, f32)> = candidates
        .into_iter()
        .filter_map(|(ordinal, score)| {
            let doc = index.docs.get(ordinal)?;
            let share = share(index, &question, doc);
            let fit = fit(&question, doc, engine);
            let score = (0.5 * score / best + 0.5 * share) * fit * (1.0 + 0.3 * beside(index, &question, doc));
            Some((Found { ordinal, score }, share))
        })
        .collect();
    ranked.sort_by(|a, b| b.0.score.total_cmp(&a.0.score).then(a.0.ordinal.cmp(&b.0.ordinal)));
    let top = ranked.iter().take(3).map(|(_, share)| *share).fold(0.0, f32::max);
    finding.covered = top >= COVERED;
    finding.found = ranked.into_iter().take(n).map(|(found, _)| found).collect();
    finding
}

/// Tantivy's candidates: each word by its best-matching name, title and headings above the body.
fn candidates(index: &Index, question: &Question) -> tantivy::Result<Vec<(usize, f32)>> {
    let fields = [(index.fields.title, 1.2), (index.fields.head, 2.0), (index.fields.body, 1.0)];
    let mut clauses: Vec<(Occur, Box<dyn Query>)> = Vec::new();
    for asked in question.asked.iter().filter(|asked| asked.known) {
        for (field, boost) in fields {
            let names = asked.tokens.iter().filter(|(token, _)| index.token(token).is_some());
            let names = names.map(|(token, part)| term(field, token, *part)).collect();
            let either = DisjunctionMaxQuery::new(names);
            let worth = if asked.light { 0.4 } else { 1.0 };
            clauses.push((Occur::Should, Box::new(BoostQuery::new(Box::new(either), boost * worth * asked.trust))));
        }
    }
    let searcher = index.reader.searcher();
    let top = searcher.search(&BooleanQuery::new(clauses), &TopDocs::with_limit(CANDIDATES).order_by_score())?;
    let mut out = Vec::with_capacity(top.len());
    for (score, address) in top {
        let ordinals = searcher.segment_reader(address.segment_ord).fast_fields().u64("ordinal")?;
        if let Some(ordinal) = ordinals.first(address.doc_id) {
            out.push((ordinal as usize, score));
        }
    }
    Ok(out)
}

fn term(field: Field, token: &str, part: f32) -> Box<dyn Query> {
    let query = TermQuery::new(TantivyTerm::from_field_text(field, token), IndexRecordOption::WithFreqs);
    Box::new(BoostQuery::new(Box::new(query), part))
}

/// The share (0 to 1) of what is asked that the passage holds, each word counting by its worth and rarity.
/// A word the shelf has never seen counts in full against every passage.
fn share(index: &Index, question: &Question, doc: &Doc) -> f32 {
    let (mut held, mut all) = (0.0, 0.0);
    for asked in &question.asked {
        let counts = asked.worth * (1.0 + asked.rarity);
        all += counts;
        if holds(index, asked, &doc.heads) {
            held += counts * asked.trust;
        } else if holds(index, asked, &doc.tokens) {
            held += counts * asked.trust * 0.85;
        }
    }
    if all > 0.0 { held / all } else { 0.0 }
}

fn holds(index: &Index, asked: &Asked, sorted: &[u32]) -> bool {
    asked.tokens.iter().filter_map(|(token, _)| index.token(token)).any(|t| sorted.binary_search(&t).is_ok())
}

/// The share of the question's neighbouring words that stand close together in the passage too.
fn beside(index: &Index, question: &Question, doc: &Doc) -> f32 {
    let stems: Vec<Option<u32>> =
        question.asked.iter().map(|asked| asked.tokens.first().and_then(|(token, _)| index.token(token))).collect();
    let (mut pairs, mut close) = (0, 0);
    for (n, pair) in stems.windows(2).enumerate() {
        let near =
            matches!((question.asked.get(n), question.asked.get(n + 1)), (Some(a), Some(b)) if b.place - a.place <= 2);
        let (Some(a), Some(b), true) = (pair[0], pair[1], near) else { continue };
        pairs += 1;
        let stands =
            doc.run.iter().enumerate().any(|(at, token)| {
                *token == a && doc.run[at.saturating_sub(2)..doc.run.len().min(at + 3)].contains(&b)
            });
        close += usize::from(stands);
    }
    if pairs == 0 { 0.0 } else { close as f32 / pairs as f32 }
}

/// How well the passage's form and page suit what is asked; 1 is neutral.
fn fit(question: &Question, doc: &Doc, engine: Option<&str>) -> f32 {
    let wants = question.wants;
    let mut fit = 1.0;
    if wants.amount {
        fit *= match (doc.kind, doc.form) {
            (Kind::Limits | Kind::Engine, Form::Row) => 1.25,
            (Kind::Limits, _) => 1.2,
            _ if doc.has_size => 1.05,
            _ => 0.9,
        };
    }
    if wants.method {
        fit *= match (doc.kind, doc.form) {
            (_, Form::Steps) => 1.15,
            (Kind::Procedure, _) => 1.1,
            _ => 0.95,
        };
    }
    if doc.kind == Kind::Words {
        fit *= if wants.meaning { 1.05 } else { 0.7 };
    }
    if doc.kind == Kind::Engine {
        let named = question.engines.iter().any(|page| *page == doc.page);
        let own = question.engines.is_empty() && engine == Some(doc.page.as_str());
        fit *= if named || own { 1.3 } else { 0.6 };
    }
    fit
}
