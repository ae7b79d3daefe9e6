//! One file of the shelf, read in full: the page, its passages, its terms, and every fault in it.

use std::sync::Arc;

use super::asked::{self, Asked};
use super::beyond::{self, Subject};
use super::draft;
use super::fault::Fault;
use super::limits;
use super::page::{Kind, Page};
use super::parse::parse;
use super::passage::{Passage, passages};
use super::words::{Term, terms};
use crate::engine::Engine;
use crate::engine::limits::Limit;

/// A page and all that was read from it.
#[derive(Debug)]
pub(super) struct Leaf {
    pub file: String,
    pub page: Page,
    pub passages: Vec<Passage>,
    pub terms: Vec<Term>,
    /// Each with its line.
    pub asked: Vec<(usize, Arc<Asked>)>,
    /// The subjects of a page that says what the shelf does not hold.
    pub beyond: Vec<Subject>,
    pub limits: Vec<Limit>,
    /// The engine of an engine page.
    pub engine: Option<Engine>,
}

/// Reads one file. No leaf when it cannot be read as a page at all, or is not yet filled in.
pub(super) fn read(file: &str, text: &str) -> (Option<Arc<Leaf>>, Vec<Fault>) {
    let (leaf, mut faults) = leaf(file, text);
    let open = draft::unfilled(file, text, &mut faults);
    faults.sort_by_key(|fault| fault.line);
    (leaf.filter(|_| !open).map(Arc::new), faults)
}

fn leaf(file: &str, text: &str) -> (Option<Leaf>, Vec<Fault>) {
    let (page, mut faults) = parse(file, text);
    let Some(mut page) = page else { return (None, faults) };
    let beyond = beyond::subjects(&mut page, &mut faults);
    let terms = if page.kind == Kind::Words { terms(&page, &mut faults) } else { Vec::new() };
    let asked = if page.kind == Kind::Questions { asked::rows(&page, &mut faults) } else { Vec::new() };
    let limits = match page.kind {
        Kind::Limits | Kind::Engine => limits::rows(&page, &mut faults),
        _ => Vec::new(),
    };
    let engine = if page.kind == Kind::Engine { engine(&page, &mut faults) } else { None };
    // A list of questions answers none.
    let passages = if page.kind == Kind::Questions { Vec::new() } else { passages(&page) };
    (Some(Leaf { file: file.to_owned(), page, passages, terms, asked, beyond, limits, engine }), faults)
}

/// The engine in the page's front matter; its faults stand at the lines of their keys.
fn engine(page: &Page, faults: &mut Vec<Fault>) -> Option<Engine> {
    let table = page.front.parse::<toml::Table>().ok()?;
    let Some(toml::Value::Table(table)) = table.get("engine") else {
        let remedy = "add an `[engine]` table with its geometry to the front matter";
        faults.push(Fault::broken(&page.file, 1, "the engine page has no [engine] table", remedy));
        return None;
    };
    match Engine::from_toml(&page.title, table) {
        Ok(engine) => Some(engine),
        Err(found) => {
            faults.extend(found.into_iter().map(|fault| {
                let what = format!("`{}` holds {}", fault.key, fault.given);
                Fault::broken(&page.file, line_of(&page.front, &fault.key), what, format!("wanted: {}", fault.wanted))
            }));
            None
        }
    }
}

/// The file's line of a key in the `[engine]` table; that of the table where the key is missing.
fn line_of(front: &str, key: &str) -> usize {
    const FIRST: usize = 2;
    let mut inside = None;
    for (n, line) in (FIRST..).zip(front.lines()) {
        let line = line.trim_start();
        if line.starts_with("[engine]") {
            inside = Some(n);
        } else if inside.is_some() && line.strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('=')) {
            return n;
        }
    }
    inside.unwrap_or(FIRST)
}
