//! How well the form of a passage, and the kind of its page, suit what a question asks for.

use super::index::Index;
use super::page::Kind;
use super::passage::Form;
use super::question::{Asked, Question};
use super::reading::{Doc, Sheet};

/// What a page's opening keeps beside its sections.
const OPENING: f32 = 0.93;

/// A row of limits, the engine's own too.
pub(super) fn is_limit(kind: Kind, doc: &Doc) -> bool {
    doc.form == Form::Row && matches!(kind, Kind::Limits | Kind::Engine)
}

/// How well the passage's form and page suit what is asked; 1 is neutral.
pub(super) fn fit(index: &Index, question: &Question, sheet: &Sheet, doc: &Doc, engine: Option<&str>) -> f32 {
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
    if wants.symptom && is_limit(page.kind, doc) {
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
            (true, _) => 2.0,
            (_, true) => 1.8,
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

/// False for a row of the words page where more than a meaning is asked, or the meaning of something else.
pub(super) fn says(index: &Index, question: &Question, sheet: &Sheet, doc: &Doc) -> bool {
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
