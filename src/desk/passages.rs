//! From the library's plain nodes to the blocks of a reply.

use super::reply::{Action, Block, Caution, Cell, Loudness, Table};
use crate::engine::limits::Sizes;
use crate::engine::measures::EVERYWHERE;
use crate::library::{AlertKind, Form, Hold, Kind, Library, Node, Page, Passage};
use crate::quantity::{System, show};

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

/// `Ring end gap > Measure it`; a trade word stands under its page.
pub fn place(passage: &Passage) -> String {
    let word = (passage.page_kind == Kind::Words && passage.form == Form::Row).then_some(&passage.subject);
    let parts = std::iter::once(&passage.title).chain(&passage.path).chain(word);
    parts.map(String::as_str).collect::<Vec<_>>().join(" > ")
}

/// A limits row in one line, inch and metric: `Crank end float: 0.0040 to 0.0080 in (0.102 to 0.203 mm); common practice`.
/// That of an engine's page names the engine first.
pub fn row(library: &Library, passage: &Passage) -> Option<String> {
    let Some(Node::Table { rows, .. }) = passage.nodes.first() else { return None };
    let line = rows.first()?.line;
    let of_engines = library.engines().flat_map(|engine| library.engine_limits(&engine.id));
    let mut all = library.general_limits(None).map(|(_, limit)| limit).chain(of_engines);
    let limit = all.find(|limit| limit.page == passage.reference.page && limit.line == line)?;
    let at = if limit.at == EVERYWHERE { String::new() } else { format!(", {}", limit.at) };
    let name: String = match passage.page_kind {
        Kind::Engine => format!("{}, {}", passage.title, limit.measure.name),
        _ => show::capital(limit.measure.name),
    };
    let range = match limit.bounds(&Sizes::default()) {
        Ok(bounds) => show::range(limit.measure.dimension, bounds.min, bounds.max, System::Inch),
        // By the bore or the journal: the same in either system.
        Err(_) => limit.to_string(),
    };
    Some(format!("{name}{at}: {range}; {}", limit.basis))
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
