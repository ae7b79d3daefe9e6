//! What people ask: tables `Answered by | Asked` say in the words of the floor what a section, or a row of limits, answers.
//!
//! A page's own words are the trade's; whoever does not know them yet asks in others. Readers read these pages as a list of
//! questions, and the search matches what is typed against them.

use std::sync::Arc;

use super::fault::Fault;
use super::page::{Kind, Node, Page};
use super::passage::{Form, Passage};

/// A row: where the answer stands, and what people type when they want it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Asked {
    /// The page that answers.
    pub page: String,
    /// The section or row of it; none for its opening.
    pub anchor: Option<String>,
    pub questions: Vec<String>,
}

const HEADER: [&str; 2] = ["answered by", "asked"];

/// The rows of a page's question tables, each with its line; one without a link or without a question is a fault and left out.
pub(super) fn rows(page: &Page, faults: &mut Vec<Fault>) -> Vec<(usize, Arc<Asked>)> {
    let mut out = Vec::new();
    let mut tables = 0;
    for node in page.sections.iter().flat_map(|section| &section.nodes) {
        let Node::Table { header, rows, .. } = node else { continue };
        if header.len() != HEADER.len()
            || !header.iter().zip(HEADER).all(|(c, name)| c.trim().eq_ignore_ascii_case(name))
        {
            continue;
        }
        tables += 1;
        for row in rows {
            let link = page.links.iter().find(|link| link.line == row.line);
            let target = link.and_then(|link| target(&link.target));
            let questions: Vec<String> = row.cells.get(1).into_iter().flat_map(|cell| questions(cell)).collect();
            match target {
                Some((slug, anchor)) if !questions.is_empty() => {
                    out.push((row.line, Arc::new(Asked { page: slug, anchor, questions })));
                }
                _ => {
                    let remedy = "write `[heading](../notes/page.md#heading)` in the first cell and questions, with `;` between, in the second";
                    faults.push(Fault::broken(&page.file, row.line, "the row does not say what answers what", remedy));
                }
            }
        }
    }
    if page.kind == Kind::Questions && tables == 0 {
        let remedy = "add a table with the header `Answered by | Asked`";
        faults.push(Fault::broken(&page.file, 1, "the page has no table of questions", remedy));
    }
    out
}

/// The questions of a cell, parted by `;`.
pub(super) fn questions(cell: &str) -> impl Iterator<Item = String> {
    cell.split(';').map(str::trim).filter(|question| !question.is_empty()).map(str::to_owned)
}

/// The page and anchor a link leads to.
fn target(link: &str) -> Option<(String, Option<String>)> {
    let (path, anchor) = link.split_once('#').map_or((link, None), |(path, anchor)| (path, Some(anchor)));
    let slug = path.strip_suffix(".md")?.rsplit('/').next()?.to_lowercase();
    Some((slug, anchor.filter(|anchor| !anchor.is_empty()).map(str::to_owned)))
}

/// What a link may call a passage: its heading, or the first cells of its row.
pub(super) fn anchors(passage: &Passage) -> impl Iterator<Item = String> {
    let row = (passage.form == Form::Row).then(|| anchor(&passage.lead));
    passage.path.last().map(|heading| anchor(heading)).into_iter().chain(row)
}

/// A heading as links name it: small letters and figures, hyphens for blanks.
pub(super) fn anchor(heading: &str) -> String {
    let kept = heading.trim().chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.flat_map(char::to_lowercase).map(|c| if c == ' ' { '-' } else { c }).collect()
}
