//! A page of the shelf as plain data: what a front paints without knowing Markdown.

use std::fmt;

use crate::engine::{Duty, Stage};

/// What a page is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    Procedure,
    Limits,
    Engine,
    Words,
    /// What people ask, and what answers it.
    Questions,
    Note,
    /// What the shelf does not hold, and who does.
    Beyond,
}

impl Kind {
    pub const ALL: [(&'static str, Self); 7] = [
        ("procedure", Self::Procedure),
        ("limits", Self::Limits),
        ("engine", Self::Engine),
        ("words", Self::Words),
        ("questions", Self::Questions),
        ("note", Self::Note),
        ("beyond", Self::Beyond),
    ];

    /// The kind a page's front matter names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(name, _)| *name == word).map(|(_, kind)| *kind)
    }
}

/// One page: front matter and sections.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The file's stem; what commands and links call the page.
    pub slug: String,
    /// The file's name inside the shelf, for faults.
    pub file: String,
    pub title: String,
    pub kind: Kind,
    pub stage: Option<Stage>,
    pub duty: Option<Duty>,
    /// `2026-11-01`.
    pub reviewed: Option<String>,
    pub sources: Vec<String>,
    /// What stands before the first heading comes first, under the page's title.
    pub sections: Vec<Section>,
    /// Every link that is not a hold point.
    pub links: Vec<Link>,
    /// Short hash of the page's text: which version a reading was judged by.
    pub revision: String,
    /// The front matter as written, for what engine pages keep there.
    pub front: String,
}

impl Page {
    /// Every step of a procedure in order, with the heading it stands under.
    pub fn steps(&self) -> Vec<Step<'_>> {
        if self.kind != Kind::Procedure {
            return Vec::new();
        }
        let lists = self.sections.iter().flat_map(|section| {
            section.nodes.iter().filter_map(move |node| match node {
                Node::List { ordered: true, start, items } => Some((section, *start, items)),
                _ => None,
            })
        });
        lists
            .flat_map(|(section, start, items)| {
                (start..).zip(items).map(move |(number, item)| Step { heading: &section.heading, number, item })
            })
            .collect()
    }

    /// The caution for the whole page: its danger alerts before the first heading below the title.
    pub fn caution(&self) -> Option<String> {
        self.sections.first().filter(|s| s.path.is_empty()).and_then(Section::caution)
    }
}

/// One step of a procedure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step<'a> {
    pub heading: &'a str,
    pub number: u64,
    pub item: &'a Item,
}

/// A heading and what stands under it, up to the next heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    pub heading: String,
    /// The headings above and this one, outermost first; empty for what stands under the title alone.
    pub path: Vec<String>,
    pub line: usize,
    pub nodes: Vec<Node>,
}

impl Section {
    /// The section's danger alerts as one text.
    pub fn caution(&self) -> Option<String> {
        let dangers: Vec<&str> = self
            .nodes
            .iter()
            .filter_map(|node| match node {
                Node::Alert { kind, text } if kind.is_danger() => Some(text.as_str()),
                _ => None,
            })
            .collect();
        (!dangers.is_empty()).then(|| dangers.join(" "))
    }
}

/// A piece of a section. Text is plain: markup inside it has been flattened away.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    Text(String),
    List { ordered: bool, start: u64, items: Vec<Item> },
    Table { header: Vec<String>, rows: Vec<Row>, line: usize },
    Alert { kind: AlertKind, text: String },
}

/// One item of a list; in a procedure's ordered list, one step.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Item {
    pub text: String,
    pub holds: Vec<Hold>,
    pub line: usize,
}

/// A hold point: do not go on until this check is posted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hold {
    /// The check's id, as after `log:`.
    pub check: String,
    /// The words of the link.
    pub words: String,
    /// The number of the step it stands in.
    pub step: Option<u64>,
    pub line: usize,
}

/// A table's row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    pub cells: Vec<String>,
    pub line: usize,
}

/// A link as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    pub target: String,
    pub line: usize,
}

/// The five alerts of GitHub-flavoured Markdown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AlertKind {
    Note,
    Tip,
    Important,
    Warning,
    Caution,
}

impl AlertKind {
    /// True when someone or something can be hurt.
    pub fn is_danger(self) -> bool {
        matches!(self, Self::Warning | Self::Caution)
    }

    /// The word a reader sees.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "Note",
            Self::Tip => "Tip",
            Self::Important => "Important",
            Self::Warning => "Warning",
            Self::Caution => "Caution",
        }
    }
}

impl Node {
    /// The node as a person would read it aloud.
    pub fn spoken(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::List { ordered, start, items } => {
                let lines: Vec<String> = (*start..)
                    .zip(items)
                    .map(|(n, item)| if *ordered { format!("{n}. {}", item.text) } else { format!("- {}", item.text) })
                    .collect();
                lines.join("\n")
            }
            Self::Table { header, rows, .. } => {
                rows.iter().map(|row| spoken_row(header, &row.cells)).collect::<Vec<_>>().join("\n")
            }
            Self::Alert { kind, text } => format!("{}: {text}", kind.word()),
        }
    }
}

/// `Ring: top; Gap: 0.018 in.`, leaving out empty cells.
pub(super) fn spoken_row(header: &[String], cells: &[String]) -> String {
    let told: Vec<String> = cells
        .iter()
        .enumerate()
        .filter(|(_, cell)| !matches!(cell.as_str(), "" | "-"))
        .map(|(i, cell)| match header.get(i).map(String::as_str) {
            None | Some("") => cell.clone(),
            Some(name) => format!("{name}: {cell}"),
        })
        .collect();
    format!("{}.", told.join("; "))
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = Self::ALL.iter().find(|(_, kind)| kind == self).map_or("", |(word, _)| word);
        f.write_str(word)
    }
}
