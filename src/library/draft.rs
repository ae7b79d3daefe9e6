//! A new page to be filled in: written from a pattern, and held back from the shelf until nothing in it is left to fill in.

use std::fs::{self, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::fault::{Fault, one_of};
use super::folder;
use super::page::Kind;
use super::shelf::Library;
use crate::engine::{Duty, Stage};

/// Stands where something is still to be written; what follows it, up to the end of its cell, quotes or line, says what.
const BLANK: &str = "FILL IN:";

/// A longer name is a sentence.
const LONGEST: usize = 60;

/// Why no page was started. Nothing was written.
#[derive(Debug, Error)]
pub enum NoDraft {
    #[error("the name \"{0}\" makes no file name: use letters and figures, at most {LONGEST}")]
    Name(String),
    #[error("trade words are rows of the table in words.md: add yours there")]
    Words,
    #[error("what people ask is rows of the tables in questions/: add yours there")]
    Questions,
    #[error("what the shelf does not hold is a subject on the page of that kind: add yours there")]
    Beyond,
    #[error("{0} is there already: give the new page another name, or change that one")]
    Taken(PathBuf),
    #[error("the page {file} is already called \"{title}\": give the new one another name, or change that one")]
    Title { file: String, title: String },
    #[error("the page cannot be written: {0}")]
    Io(#[from] io::Error),
}

impl NoDraft {
    /// True when other words would do; false when the disk is at fault.
    pub fn is_refusal(&self) -> bool {
        !matches!(self, Self::Io(_))
    }
}

impl Kind {
    /// The folder of a kind and the pattern of its pages; none for those that are tables.
    fn pattern(self) -> Option<(&'static str, &'static str)> {
        Some(match self {
            Self::Procedure => ("procedures", include_str!("drafts/procedure.md")),
            Self::Limits => ("limits", include_str!("drafts/limits.md")),
            Self::Engine => ("engines", include_str!("drafts/engine.md")),
            Self::Note => ("notes", include_str!("drafts/note.md")),
            Self::Words | Self::Questions | Self::Beyond => return None,
        })
    }
}

/// Starts a page of that kind and name in a library's folder, and says where. Never touches a file that is there.
pub fn draft(folder: &Path, kind: Kind, name: &str, today: &str) -> Result<PathBuf, NoDraft> {
    let (drawer, pattern) = kind.pattern().ok_or(match kind {
        Kind::Words => NoDraft::Words,
        Kind::Beyond => NoDraft::Beyond,
        _ => NoDraft::Questions,
    })?;
    let name = name.trim();
    let slug = slug(name).ok_or_else(|| NoDraft::Name(name.to_owned()))?;
    // Two pages of one file name cannot both be on the shelf, whatever folders they are in.
    let same = format!("{slug}.md");
    let files = folder::names(folder)?;
    let taken = |file: &&String| file.rsplit('/').next().is_some_and(|stem| stem.eq_ignore_ascii_case(&same));
    if let Some(file) = files.iter().find(taken) {
        return Err(NoDraft::Taken(folder.join(file)));
    }
    let library = Library::open(folder)?;
    if let Some(page) = library.pages().find(|page| page.title.eq_ignore_ascii_case(name)) {
        return Err(NoDraft::Title { file: page.file.clone(), title: page.title.clone() });
    }
    let text = pattern
        .replace("{title}", &name.replace('\\', "\\\\").replace('"', "\\\""))
        .replace("{slug}", &slug)
        .replace("{today}", today)
        .replace("{stages}", &one_of(&Stage::ALL.map(Stage::slug)))
        .replace("{duties}", &one_of(&Duty::ALL.map(Duty::word)));
    fs::create_dir_all(folder.join(drawer))?;
    let path = folder.join(drawer).join(&same);
    let mut file = match OpenOptions::new().write(true).create_new(true).open(&path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(NoDraft::Taken(path)),
        Err(error) => return Err(error.into()),
    };
    file.write_all(text.as_bytes())?;
    Ok(path)
}

/// `Rear seal, rope type` as `rear-seal-rope-type`; none when it leaves nothing, or more than a name.
fn slug(name: &str) -> Option<String> {
    let path = name.contains(['/', '\\']) || name.starts_with('.') || name.chars().any(char::is_control);
    let words = name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    let slug = words.map(str::to_lowercase).collect::<Vec<_>>().join("-");
    let sound = !slug.is_empty() && name.chars().count() <= LONGEST && !path && slug != "readme";
    sound.then_some(slug)
}

/// What is still to be filled in, a fault a line. Whatever else is wrong on such a line says nothing more.
pub(super) fn unfilled(file: &str, text: &str, faults: &mut Vec<Fault>) -> bool {
    let mut open = false;
    for (line, words) in (1..).zip(text.lines()).filter(|(_, words)| words.contains(BLANK)) {
        open = true;
        let wanted = words.split(BLANK).skip(1).map(|hint| {
            let hint = hint.replace("\\\"", "“");
            let end = hint.find(['"', '|']).or_else(|| hint.rfind(')')).unwrap_or(hint.len());
            hint[..end].trim().replace('“', "\"")
        });
        let wanted = wanted.collect::<Vec<_>>().join("; ");
        faults.retain(|fault| fault.line != line);
        faults.push(Fault::broken(file, line, "this line is still to be filled in", format!("wanted: {wanted}")));
    }
    open
}
