//! Where the shelf ends: pages of kind `beyond` say, subject by subject, what it does not hold and who does. Under each
//! subject a table `Asked` has what people type about it. Readers read the subjects; the search takes the questions.

use super::asked;
use super::fault::Fault;
use super::page::{Kind, Node, Page};

/// What people ask about a subject that the shelf does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Subject {
    /// The headings it stands under.
    pub path: Vec<String>,
    pub questions: Vec<String>,
}

const HEADER: &str = "asked";

/// Takes the tables of questions out of a page, subject by subject; a subject that has none, or has nothing else, is a fault.
pub(super) fn subjects(page: &mut Page, faults: &mut Vec<Fault>) -> Vec<Subject> {
    if page.kind != Kind::Beyond {
        return Vec::new();
    }
    let mut out = Vec::new();
    for section in &mut page.sections {
        let mut questions = Vec::new();
        section.nodes.retain(|node| match node {
            Node::Table { header, rows, .. } if is_asked(header) => {
                questions
                    .extend(rows.iter().filter_map(|row| row.cells.first()).flat_map(|cell| asked::questions(cell)));
                false
            }
            _ => true,
        });
        if section.path.is_empty() && questions.is_empty() {
            continue;
        }
        let (what, remedy) = match (section.nodes.is_empty(), questions.is_empty()) {
            (true, _) => ("says nothing", "say in a sentence or two that the shelf does not hold it, and who does"),
            (_, true) => {
                ("has no questions", "add a table with the header `Asked` and, with `;` between, what people type")
            }
            _ => {
                out.push(Subject { path: section.path.clone(), questions });
                continue;
            }
        };
        faults.push(Fault::broken(&page.file, section.line, format!("\"{}\" {what}", section.heading), remedy));
    }
    out
}

/// The text of such a page as it is read: without its tables of questions, which are most of it.
#[cfg(feature = "shop")]
pub fn as_read(text: &str) -> String {
    let mut inside = false;
    let read = text.lines().filter(|line| {
        let cells: Vec<String> = line.trim().trim_matches('|').split('|').map(str::to_owned).collect();
        inside = line.trim_start().starts_with('|') && (inside || is_asked(&cells));
        !inside
    });
    read.flat_map(|line| [line, "\n"]).collect()
}

fn is_asked(header: &[String]) -> bool {
    matches!(header, [only] if only.trim().eq_ignore_ascii_case(HEADER))
}
