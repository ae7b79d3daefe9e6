//! From the library's plain nodes to the blocks of a reply.

use super::reply::{Action, Block, Caution, Cell, Loudness, Table};
use crate::library::{AlertKind, Hold, Node, Page, Passage};

/// A node as a block.
pub fn block(node: &Node) -> Block {
    match node {
        Node::Text(text) => Block::Text(text.clone()),
        Node::List { ordered: true, start, items } => {
            Block::Steps { start: *start, items: items.iter().map(|item| item.text.clone()).collect() }
        }
        Node::List { items, .. } => Block::Bullets(items.iter().map(|item| item.text.clone()).collect()),
        Node::Table { header, rows, .. } => Block::Table(Table {
            caption: String::new(),
            header: header.clone(),
            rows: rows.iter().map(|row| row.cells.iter().map(|c| Cell::from(c.as_str())).collect()).collect(),
        }),
        Node::Alert { kind, text } => Block::Caution(Caution { loudness: loudness(*kind), text: text.clone() }),
    }
}

fn loudness(kind: AlertKind) -> Loudness {
    match kind {
        AlertKind::Note => Loudness::Note,
        AlertKind::Tip => Loudness::Tip,
        AlertKind::Important => Loudness::Important,
        AlertKind::Warning => Loudness::Warning,
        AlertKind::Caution => Loudness::Caution,
    }
}

/// `Ring end gap > Measure it`.
pub fn place(passage: &Passage) -> String {
    std::iter::once(&passage.title).chain(&passage.path).map(String::as_str).collect::<Vec<_>>().join(" > ")
}

/// What a passage is about, to stand alone: its heading, with the page's title where the heading says little.
pub fn subject(passage: &Passage) -> String {
    let heading = passage.heading();
    if heading == passage.title || heading.split_whitespace().count() > 3 {
        heading.to_owned()
    } else {
        format!("{}, {}", passage.title, heading.to_lowercase())
    }
}

/// A hold point as the form that posts its reading.
pub fn hold(hold: &Hold) -> Action {
    Action::form(format!("Hold point: {}", hold.words), format!("log {}", hold.check))
}

/// Every hold point of a page, in order, once each.
pub fn holds(page: &Page) -> Vec<Action> {
    let mut actions: Vec<Action> = Vec::new();
    for step in page.steps() {
        for found in &step.item.holds {
            let action = hold(found);
            if !actions.contains(&action) {
                actions.push(action);
            }
        }
    }
    actions
}
