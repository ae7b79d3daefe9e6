//! The shelf to be read on a screen: what stands on it by kind and stage, what is found while typing, a page whole.

use super::Desk;
use super::passages;
use super::reply::Block;
use crate::library::{Item, Kind, Library, Node, Page, Passage};

/// So many passages found by their text alone are offered behind the pages found by their names.
const BY_TEXT: usize = 6;

/// A page as it stands on the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelved {
    pub slug: String,
    pub title: String,
    pub kind: &'static str,
    pub stage: Option<&'static str>,
    /// For one that was found: the heading it was found under and its anchor.
    pub under: Option<(String, String)>,
}

/// A page to read.
#[derive(Debug, Clone)]
pub struct Leaf {
    pub slug: String,
    pub title: String,
    pub kind: &'static str,
    pub stage: Option<&'static str>,
    pub reviewed: Option<String>,
    pub sources: Vec<String>,
    pub sections: Vec<Section>,
    /// The line that walks through it, where it has steps.
    pub walk: Option<String>,
}

/// A heading and what stands under it.
#[derive(Debug, Clone)]
pub struct Section {
    pub heading: String,
    /// 0 for what stands under the title alone.
    pub depth: usize,
    pub anchor: String,
    /// Where the passages of it lie, so that an answer can point here.
    pub passages: Vec<String>,
    pub pieces: Vec<Piece>,
}

/// A piece of a section; a list has its hold points with it.
#[derive(Debug, Clone)]
pub enum Piece {
    Block(Block),
    List { numbered: bool, start: u64, items: Vec<Step> },
}

/// An item of a list. Words of it that are a hold point come with the line that posts its reading.
#[derive(Debug, Clone)]
pub struct Step {
    pub text: String,
    pub holds: Vec<(String, String)>,
}

impl Desk {
    /// What stands on the shelf, in the order of kinds, then of the work.
    pub fn shelf(&self) -> Vec<Shelved> {
        let library = self.shelf.current();
        let mut pages: Vec<&Page> = library.pages_to_read().collect();
        pages.sort_by_key(|page| (order(page.kind), page.stage.is_none(), page.stage, page.title.clone()));
        pages.into_iter().map(shelved).collect()
    }

    /// Pages by title, by a heading, by another word for it, then by what they say; the best first.
    pub fn search_shelf(&self, typed: &str) -> Vec<Shelved> {
        let library = self.shelf.current();
        let said = ways_to_say(&library, typed);
        let holds = |text: &str| said.iter().any(|way| begins_a_word(text, way));
        let mut found: Vec<Shelved> = Vec::new();
        let mut put = |one: Shelved| {
            if !found.iter().any(|other| other.slug == one.slug) {
                found.push(one);
            }
        };
        let mut pages: Vec<&Page> = library.pages_to_read().collect();
        pages.sort_by_key(|page| (order(page.kind), page.stage.is_none(), page.stage));
        pages.iter().filter(|page| holds(&page.title)).for_each(|page| put(shelved(page)));
        for page in &pages {
            let named = page.sections.iter().position(|section| !section.path.is_empty() && holds(&section.heading));
            if let Some(at) = named {
                put(Shelved { under: heading(page, at), ..shelved(page) });
            }
        }
        for hit in library.ask(typed, None, BY_TEXT).hits {
            let page = library.page(&hit.passage.reference.page).filter(|page| page.kind != Kind::Questions);
            let Some(page) = page else { continue };
            let at = page.sections.iter().position(|section| section.path == hit.passage.path);
            put(Shelved { under: at.and_then(|at| heading(page, at)), ..shelved(page) });
        }
        found
    }

    /// A page by its name or title.
    pub fn leaf(&self, name: &str) -> Option<Leaf> {
        let library = self.shelf.current();
        let page = library.page(name).filter(|page| page.kind != Kind::Questions)?;
        let own: Vec<&Passage> = library.passages().filter(|passage| passage.reference.page == page.slug).collect();
        let anchors = anchors(page);
        let sections = page.sections.iter().zip(anchors).map(|(section, anchor)| Section {
            heading: section.heading.clone(),
            depth: section.path.len(),
            anchor,
            passages: own
                .iter()
                .filter(|passage| passage.path == section.path)
                .map(|passage| passage_anchor(passage.reference.ordinal))
                .collect(),
            pieces: section.nodes.iter().map(piece).collect(),
        });
        let walk = page.kind == Kind::Procedure && !page.steps().is_empty();
        Some(Leaf {
            sections: sections.collect(),
            reviewed: page.reviewed.clone(),
            sources: page.sources.clone(),
            walk: walk.then(|| format!("procedure {} step=1", page.slug)),
            ..Leaf::named(page)
        })
    }
}

impl Leaf {
    fn named(page: &Page) -> Self {
        Self {
            slug: page.slug.clone(),
            title: page.title.clone(),
            kind: kind_word(page.kind),
            stage: page.stage.map(|stage| stage.title()),
            reviewed: None,
            sources: Vec::new(),
            sections: Vec::new(),
            walk: None,
        }
    }
}

/// The name on a page's screen of its passage with that number.
pub fn passage_anchor(ordinal: usize) -> String {
    format!("p{ordinal}")
}

fn piece(node: &Node) -> Piece {
    match node {
        Node::List { ordered, start, items } => {
            Piece::List { numbered: *ordered, start: *start, items: items.iter().map(step).collect() }
        }
        other => Piece::Block(passages::block(other)),
    }
}

fn step(item: &Item) -> Step {
    let holds = item.holds.iter().map(|hold| (hold.words.clone(), passages::hold(hold).line));
    Step { text: item.text.clone(), holds: holds.collect() }
}

fn shelved(page: &Page) -> Shelved {
    Shelved {
        slug: page.slug.clone(),
        title: page.title.clone(),
        kind: kind_word(page.kind),
        stage: page.stage.map(|stage| stage.title()),
        under: None,
    }
}

fn heading(page: &Page, at: usize) -> Option<(String, String)> {
    let section = page.sections.get(at).filter(|section| !section.path.is_empty())?;
    Some((section.heading.clone(), anchors(page).swap_remove(at)))
}

/// A name for each section of a page that an address can hold; a heading that comes twice is numbered.
fn anchors(page: &Page) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for section in &page.sections {
        let words: Vec<String> = section
            .heading
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect();
        let name = format!("at-{}", words.join("-"));
        let before = out.iter().filter(|other| **other == name || other.starts_with(&format!("{name}~"))).count();
        out.push(if before == 0 { name } else { format!("{name}~{}", before + 1) });
    }
    out
}

fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Procedure => "Procedures",
        Kind::Limits => "Limits",
        Kind::Engine => "Engines",
        Kind::Words => "Words of the trade",
        Kind::Note => "Notes",
        Kind::Beyond => "Not on this shelf",
        Kind::Questions => "Questions",
    }
}

fn order(kind: Kind) -> u8 {
    match kind {
        Kind::Procedure => 0,
        Kind::Limits => 1,
        Kind::Engine => 2,
        Kind::Note => 3,
        Kind::Words => 4,
        Kind::Beyond => 5,
        Kind::Questions => 6,
    }
}

/// What was typed, and what else people call it.
fn ways_to_say(library: &Library, typed: &str) -> Vec<String> {
    let typed = typed.trim().to_lowercase();
    if typed.is_empty() {
        return Vec::new();
    }
    let mut ways = vec![typed.clone()];
    for term in library.terms() {
        if term.names().any(|name| name.to_lowercase() == typed) {
            ways.extend(term.names().map(str::to_lowercase).filter(|name| *name != typed));
        }
    }
    ways
}

/// Whether a word of the text begins with the first of what is sought, and the rest follows.
fn begins_a_word(text: &str, sought: &str) -> bool {
    let text = text.to_lowercase();
    text.match_indices(sought).any(|(at, _)| !text[..at].ends_with(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_found_from_its_beginning() {
        assert!(begins_a_word("Ring end gap", "end g") && begins_a_word("Big-end shells", "end"));
        assert!(!begins_a_word("Spending", "end") && !begins_a_word("Ring end gap", "gaps"));
    }
}
