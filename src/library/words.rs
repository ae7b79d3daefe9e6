//! The shop's words: tables `Term | Also said | Meaning` become terms to look up and synonyms for the search.

use super::fault::Fault;
use super::page::{Node, Page};

/// One trade word, what else it is called, and what it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    pub term: String,
    pub also: Vec<String>,
    pub meaning: String,
    /// The page and line it stands on.
    pub page: String,
    pub line: usize,
}

impl Term {
    /// Every way to say it, the term itself first.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.term.as_str()).chain(self.also.iter().map(String::as_str))
    }
}

const HEADER: [&str; 3] = ["term", "also said", "meaning"];

pub(super) fn is_words_header(header: &[String]) -> bool {
    header.len() == HEADER.len() && header.iter().zip(HEADER).all(|(cell, name)| cell.trim().eq_ignore_ascii_case(name))
}

/// A row read aloud: `Gudgeon pin (also wrist pin, piston pin): the pin that joins piston and rod.`
pub(super) fn spoken(cells: &[String]) -> String {
    let cell = |n: usize| cells.get(n).map_or("", |cell| cell.trim());
    match cell(1) {
        "" | "-" => format!("{}: {}", cell(0), cell(2)),
        also => format!("{} (also {also}): {}", cell(0), cell(2)),
    }
}

/// The terms of a page's words tables; rows that lack a term or a meaning are faults and left out.
pub fn terms(page: &Page, faults: &mut Vec<Fault>) -> Vec<Term> {
    let mut out = Vec::new();
    for node in page.sections.iter().flat_map(|section| &section.nodes) {
        let Node::Table { header, rows, .. } = node else { continue };
        if !is_words_header(header) {
            continue;
        }
        for row in rows {
            let cell = |n: usize| row.cells.get(n).map_or("", |cell| cell.trim());
            let (term, also, meaning) = (cell(0), cell(1), cell(2));
            if term.is_empty() || meaning.is_empty() {
                let empty = if term.is_empty() { "term" } else { "meaning" };
                let what = format!("the row has no {empty}");
                faults.push(Fault::broken(&page.file, row.line, what, "fill the cell, or take the row out"));
                continue;
            }
            let also = also.split([',', ';']).map(str::trim).filter(|name| !matches!(*name, "" | "-"));
            out.push(Term {
                term: term.to_owned(),
                also: also.map(str::to_owned).collect(),
                meaning: meaning.to_owned(),
                page: page.slug.clone(),
                line: row.line,
            });
        }
    }
    out
}
