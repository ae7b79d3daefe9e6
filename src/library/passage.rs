//! Passages: the pieces of pages that answer a question. A section, a list of steps, or a table's row with its header.
//!
//! A list of steps is never cut: whoever reads the fifth step first may miss the one that says stop.

use std::fmt;
use std::str::FromStr;

use super::language::is_plain;
use super::page::{Hold, Kind, Node, Page, Row, Section, spoken_row};
use super::{limits, words};

/// Words after which a section's prose goes on in a further passage: about what a phone shows at once.
const PROSE: usize = 170;
/// A short section with at most so many steps is one answer, its prose included.
const STEPS: usize = 6;
/// A longer table is answered row by row, not shown whole.
const ROWS: usize = 12;

/// What a passage was made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Form {
    Section,
    Steps,
    Row,
}

/// Which passage: `ring-gap#3` is the third of the page `ring-gap`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Ref {
    pub page: String,
    /// Counted from 1.
    pub ordinal: usize,
}

impl fmt::Display for Ref {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}#{}", self.page, self.ordinal)
    }
}

impl FromStr for Ref {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let parts = text.trim().rsplit_once('#').and_then(|(page, n)| Some((page, n.parse().ok()?)));
        match parts {
            Some((page, ordinal)) if !page.is_empty() && ordinal > 0 => Ok(Self { page: page.to_lowercase(), ordinal }),
            _ => Err("write it as page#number"),
        }
    }
}

/// One passage, ready to be shown or read aloud.
#[derive(Debug, Clone, PartialEq)]
pub struct Passage {
    pub reference: Ref,
    pub title: String,
    pub page_kind: Kind,
    pub form: Form,
    /// The headings it stands under, outermost first; empty under the page's title alone.
    pub path: Vec<String>,
    /// What it is about, to stand alone: its heading, its page or both.
    pub subject: String,
    /// The whole passage as plain text.
    pub text: String,
    /// The same for painting, without the danger alerts that are in `caution`.
    pub nodes: Vec<Node>,
    /// The section's own caution, else that of the headings above it, else the page's.
    pub caution: Option<String>,
    pub holds: Vec<Hold>,
    /// What a row is about: its first cells. Weighs as a heading.
    pub lead: String,
    /// What is searched besides title, path and lead.
    pub(super) body: String,
}

impl Passage {
    /// The heading to show above it: the nearest one, or the page's title.
    pub fn heading(&self) -> &str {
        self.path.last().unwrap_or(&self.title)
    }
}

/// The passages of a page, in reading order.
pub fn passages(page: &Page) -> Vec<Passage> {
    let mut cutter = Cutter { page, out: Vec::new() };
    for section in &page.sections {
        cutter.section(section);
    }
    cutter.out
}

/// What a passage has of its own, beside its place on the page.
struct Piece {
    form: Form,
    subject: String,
    text: String,
    nodes: Vec<Node>,
    holds: Vec<Hold>,
    lead: String,
    body: String,
}

struct Cutter<'a> {
    page: &'a Page,
    out: Vec<Passage>,
}

impl Cutter<'_> {
    fn section(&mut self, section: &Section) {
        let steps = |node: &Node| self.page.kind == Kind::Procedure && matches!(node, Node::List { ordered: true, .. });
        let size: usize = section.nodes.iter().map(|node| count(&node.spoken())).sum();
        let few = |node: &Node| matches!(node, Node::List { items, .. } if items.len() <= STEPS);
        let lists = section.nodes.iter().filter(|node| steps(node)).count();
        // A short section is one answer: its prose and its steps belong together.
        if lists == 1 && size <= PROSE && section.nodes.iter().filter(|n| steps(n)).all(few) && no_table(section) {
            self.push(section, Form::Steps, &section.nodes);
            return;
        }
        let mut prose: Vec<Node> = Vec::new();
        let mut nodes = section.nodes.as_slice();
        while let Some((node, after)) = nodes.split_first() {
            nodes = after;
            match node {
                node if steps(node) => {
                    self.flush(section, &mut prose);
                    let (list, rest) = whole_list(node, after);
                    nodes = rest;
                    self.push(section, Form::Steps, &list);
                }
                Node::Table { header, rows, .. } => {
                    // A short table is also shown whole, with the prose before it or else with that after it.
                    let led = !prose.is_empty();
                    if rows.len() <= ROWS && (led || after.iter().any(|node| matches!(node, Node::Text(_)))) {
                        prose.push(node.clone());
                    }
                    if led {
                        self.flush(section, &mut prose);
                    }
                    for row in rows {
                        self.row(section, header, row);
                    }
                }
                node => {
                    let full = prose.iter().map(|n| count(&n.spoken())).sum::<usize>() + count(&node.spoken());
                    if full > PROSE && !prose.is_empty() {
                        self.flush(section, &mut prose);
                    }
                    prose.push(node.clone());
                }
            }
        }
        self.flush(section, &mut prose);
    }

    fn flush(&mut self, section: &Section, prose: &mut Vec<Node>) {
        if !prose.is_empty() {
            self.push(section, Form::Section, &std::mem::take(prose));
        }
    }

    fn row(&mut self, section: &Section, header: &[String], row: &Row) {
        let first = row.cells.first().cloned().unwrap_or_default();
        let mut subject = self.subject(section);
        let (lead, text, body) = if limits::is_limits_header(header) {
            let body = limits::spoken(&row.cells);
            let text = match self.page.kind {
                Kind::Engine => format!("{}, {}", self.page.title, lower_first(&body)),
                _ => body.clone(),
            };
            (limits::lead(&row.cells), text, body)
        } else if words::is_words_header(header) {
            let text = words::spoken(&row.cells);
            subject.clone_from(&first);
            (first, text.clone(), text)
        } else {
            let text = format!("{subject}: {}", sentences(header, &row.cells));
            (first, text, spoken_row(header, &row.cells))
        };
        let nodes = vec![Node::Table { header: header.to_vec(), rows: vec![row.clone()], line: row.line }];
        self.add(section, Piece { form: Form::Row, subject, body, text, nodes, holds: Vec::new(), lead });
    }

    /// What the pieces of a section are about, to stand alone: its heading, with the page's title where the heading says
    /// little or, as on an engine's page, holds for that page only.
    fn subject(&self, section: &Section) -> String {
        let (title, heading) = (&self.page.title, &section.heading);
        if heading == title || section.path.is_empty() {
            title.clone()
        } else if self.page.kind != Kind::Engine && heading.split_whitespace().count() > 3 && !is_plain(heading) {
            heading.clone()
        } else {
            format!("{title}, {}", lower_first(heading))
        }
    }

    fn push(&mut self, section: &Section, form: Form, nodes: &[Node]) {
        let spoken =
            |keep: fn(&Node) -> bool| nodes.iter().filter(|n| keep(n)).map(Node::spoken).collect::<Vec<_>>().join("\n");
        let text = spoken(|_| true);
        // A row of a table is found as itself.
        let body = spoken(|node| !matches!(node, Node::Table { .. }));
        let holds = nodes
            .iter()
            .filter_map(|node| match node {
                Node::List { items, .. } => Some(items.iter().flat_map(|item| item.holds.iter().cloned())),
                _ => None,
            })
            .flatten()
            .collect();
        let shown = nodes.iter().filter(|n| !matches!(n, Node::Alert { kind, .. } if kind.is_danger()));
        let shown = shown.cloned().collect();
        let subject = self.subject(section);
        self.add(section, Piece { form, subject, text, nodes: shown, holds, lead: String::new(), body });
    }

    fn add(&mut self, section: &Section, piece: Piece) {
        let Piece { form, subject, text, nodes, holds, lead, body } = piece;
        self.out.push(Passage {
            reference: Ref { page: self.page.slug.clone(), ordinal: self.out.len() + 1 },
            title: self.page.title.clone(),
            page_kind: self.page.kind,
            form,
            path: section.path.clone(),
            subject,
            text,
            nodes,
            caution: self.caution(section),
            holds,
            lead,
            body,
        });
    }

    fn caution(&self, section: &Section) -> Option<String> {
        let above = self.page.sections.iter().rev().filter(|other| section.path.starts_with(&other.path));
        let nearest = above.filter_map(|other| other.caution().map(|text| (other.path.len(), text)));
        nearest.max_by_key(|(depth, _)| *depth).map(|(_, text)| text)
    }
}

/// A list of steps with what stands between it and the lists that go on with its numbers, and the nodes after them.
fn whole_list<'a>(list: &Node, after: &'a [Node]) -> (Vec<Node>, &'a [Node]) {
    let numbers = |node: &Node| match node {
        Node::List { ordered: true, start, items } => Some((*start, *start + items.len() as u64)),
        _ => None,
    };
    let mut next = numbers(list).map_or(0, |(_, end)| end);
    let mut taken = 0;
    for (n, node) in after.iter().enumerate() {
        match numbers(node) {
            Some((start, end)) if start == next => (next, taken) = (end, n + 1),
            Some(_) => break,
            None => {}
        }
    }
    let (list_goes_on, rest) = after.split_at(taken);
    (std::iter::once(list).chain(list_goes_on).cloned().collect(), rest)
}

/// A row as sentences: `Piston skirts. What goes on: engine oil.`
fn sentences(header: &[String], cells: &[String]) -> String {
    let told = cells.iter().enumerate().filter(|(_, cell)| !matches!(cell.as_str(), "" | "-"));
    let told = told.map(|(n, cell)| match header.get(n).filter(|name| n > 0 && !name.is_empty()) {
        Some(name) => format!("{name}: {}.", cell.trim_end_matches('.')),
        None => format!("{}.", cell.trim_end_matches('.')),
    });
    told.collect::<Vec<_>>().join(" ")
}

/// The first letter made small, unless the word is all capitals or a lone letter, as in `PTFE` and `V engines`.
pub(super) fn lower_first(text: &str) -> String {
    let word: String = text.chars().take_while(|c| c.is_alphanumeric()).collect();
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if word.chars().skip(1).any(char::is_lowercase) || word == "A" => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

fn no_table(section: &Section) -> bool {
    !section.nodes.iter().any(|node| matches!(node, Node::Table { .. }))
}

fn count(text: &str) -> usize {
    text.split_whitespace().count()
}
