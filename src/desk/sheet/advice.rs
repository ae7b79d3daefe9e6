//! Running-in advice for the owner: short pieces of the library's own page, so that there is one source of it.

use crate::engine::{Duty, Engine};
use crate::library::{Library, Node, Page, Section};

/// The page it comes from; a shop may change it, or leave it out.
const PAGE: &str = "running-in";
/// What an owner must be told, where the page has such a heading; the second only for a boat.
const FOR_THE_OWNER: &str = "What to tell the owner";
const FOR_A_BOAT: &str = "Running in a boat engine";

/// The usual caution, on every sheet.
pub const DECIDES: &str = "The maker's manual, local codes and the licensed or responsible person decide. This sheet says what was measured and accepted, no more.";

/// What an owner is told with the engine.
#[derive(Default)]
pub struct Advice {
    /// The page's caution.
    pub caution: Option<String>,
    pub text: Vec<String>,
    pub steps: Vec<String>,
    /// Where all of it stands.
    pub source: Option<String>,
}

/// The advice for that engine.
pub fn of(library: &Library, engine: &Engine) -> Advice {
    let Some(page) = library.page(PAGE) else { return Advice::default() };
    let lead = page.sections.first().filter(|section| section.path.is_empty());
    let mut text: Vec<String> = lead.map(texts).unwrap_or_default();
    let wanted = [FOR_THE_OWNER, FOR_A_BOAT];
    let wanted = if engine.duty == Duty::Marine { &wanted[..] } else { &wanted[..1] };
    text.extend(wanted.iter().filter_map(|heading| section(page, heading)).flat_map(texts));
    Advice {
        caution: page.caution(),
        text,
        steps: steps(page),
        source: Some(format!("The whole page: {}, revision {}", page.title, page.revision)),
    }
}

fn section<'p>(page: &'p Page, heading: &str) -> Option<&'p Section> {
    page.sections.iter().find(|section| section.heading.eq_ignore_ascii_case(heading))
}

fn texts(section: &Section) -> Vec<String> {
    section
        .nodes
        .iter()
        .filter_map(|node| if let Node::Text(text) = node { Some(text.clone()) } else { None })
        .collect()
}

/// The page's first list of steps.
fn steps(page: &Page) -> Vec<String> {
    let lists = page.sections.iter().flat_map(|section| &section.nodes);
    let first = lists.filter_map(|node| match node {
        Node::List { ordered: true, items, .. } => Some(items),
        _ => None,
    });
    first.take(1).flatten().map(|item| item.text.clone()).collect()
}
