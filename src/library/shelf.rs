//! The library as one value: built from a folder, from the binary's own copy or from texts; never changed afterwards.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::sync::Arc;

use include_dir::{Dir, include_dir};

use super::check;
use super::fault::Fault;
use super::index::Index;
use super::leaf::{self, Leaf};
use super::page::{Kind, Page};
use super::passage::{Passage, Ref};
use super::search;
use super::words::Term;
use crate::engine::limits::Limit;
use crate::engine::{Duty, Engine, Stage, find};

static EMBEDDED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/knowledge");

/// A larger file is no page.
const LARGEST: u64 = 1 << 20;
/// How deep folders may nest.
const DEEPEST: usize = 6;
/// Passages a question gets at most.
const MOST_HITS: usize = 10;

/// The answer to a question, best passage first.
#[derive(Debug, Clone, Default)]
pub struct Answer<'a> {
    /// False when nothing on the shelf covers the question: the hits are then only what came nearest.
    pub covered: bool,
    /// True when nothing covers the question but the hits are near enough to be offered.
    pub near: bool,
    /// How much of what was asked the best passages hold, 0 to 1.
    pub share: f32,
    pub hits: Vec<Hit<'a>>,
    /// Words taken for other words: (as typed, as read).
    pub read_as: Vec<(String, String)>,
}

/// A passage and how well it answers.
#[derive(Debug, Clone, Copy)]
pub struct Hit<'a> {
    pub passage: &'a Passage,
    pub score: f32,
}

/// A shelf of pages, ready to answer.
pub struct Library {
    leaves: Vec<Arc<Leaf>>,
    /// Passage number -> leaf and place in it.
    places: Vec<(usize, usize)>,
    index: Option<Index>,
    faults: Vec<Fault>,
}

impl Library {
    /// Reads every `.md` file under a folder. A faulty page is left to [`Self::faults`]; only a folder that cannot be read fails.
    pub fn open(folder: &Path) -> io::Result<Self> {
        Self::reopen(folder, None)
    }

    /// As [`Self::open`]; a page that broke since `before` stays as it was there.
    pub(super) fn reopen(folder: &Path, before: Option<&Self>) -> io::Result<Self> {
        let (mut files, mut faults) = (Vec::new(), Vec::new());
        gather(folder, "", 0, &mut files, &mut faults)?;
        Ok(Self::build(files, faults, before))
    }

    /// The shelf that the binary carries.
    pub fn embedded() -> Self {
        Self::from_files(embedded_files().map(|(name, text)| (name.to_owned(), text.to_owned())))
    }

    /// A shelf from (file name, text) pairs; names are relative, with `/` between folders.
    pub fn from_files(files: impl IntoIterator<Item = (String, String)>) -> Self {
        Self::build(files.into_iter().collect(), Vec::new(), None)
    }

    fn build(files: Vec<(String, String)>, mut faults: Vec<Fault>, before: Option<&Self>) -> Self {
        let files: BTreeMap<String, String> = files.into_iter().filter(|(name, _)| is_page(name)).collect();
        let mut leaves: Vec<Arc<Leaf>> = Vec::with_capacity(files.len());
        for (file, text) in &files {
            let (leaf, found) = leaf::read(file, text);
            let broken = found.iter().any(|fault| fault.breaks);
            faults.extend(found);
            let good = before.and_then(|library| library.leaves.iter().find(|leaf| leaf.file == *file));
            leaves.extend(if broken { good.cloned().or(leaf) } else { leaf });
        }
        let mut seen: BTreeMap<String, String> = BTreeMap::new();
        leaves.retain(|leaf| {
            let first = seen.entry(leaf.page.slug.clone()).or_insert_with(|| leaf.file.clone());
            if *first == leaf.file {
                return true;
            }
            let what = format!("the page has the same file name as {first}");
            faults.push(Fault::broken(&leaf.file, 1, what, "give each page a file name of its own"));
            false
        });
        faults.extend(check::across(&leaves));
        faults.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
        let places = leaves.iter().enumerate().flat_map(|(n, leaf)| (0..leaf.passages.len()).map(move |i| (n, i)));
        let mut library = Self { places: places.collect(), leaves, index: None, faults };
        let terms: Vec<&Term> = library.terms().collect();
        let passages: Vec<&Passage> = library.leaves.iter().flat_map(|leaf| &leaf.passages).collect();
        let engines: Vec<(&str, &Engine)> =
            library.engine_leaves().map(|(leaf, e)| (leaf.page.slug.as_str(), e)).collect();
        match Index::build(&passages, &terms, &engines) {
            Ok(index) => library.index = Some(index),
            Err(error) => {
                let what = format!("the search index could not be built: {error}");
                library.faults.push(Fault::broken("", 0, what, "free some memory and start again"));
            }
        }
        library
    }

    /// The best passages for a question, at most `n` and never more than ten. `engine` (id or page) is the one the asker
    /// works on: its page then counts before the general ones.
    pub fn ask(&self, question: &str, engine: Option<&str>, n: usize) -> Answer<'_> {
        let Some(index) = &self.index else { return Answer::default() };
        let page = engine.and_then(|name| self.engine_page(name)).map(|page| page.slug.as_str());
        let finding = search::search(index, question, page, n.min(MOST_HITS));
        let hits = finding.found.iter().filter_map(|found| {
            let (leaf, place) = self.places.get(found.ordinal)?;
            let passage = self.leaves.get(*leaf)?.passages.get(*place)?;
            Some(Hit { passage, score: found.score })
        });
        Answer {
            covered: finding.covered,
            near: finding.near,
            share: finding.share,
            hits: hits.collect(),
            read_as: finding.read_as,
        }
    }

    /// Every page, by file name.
    pub fn pages(&self) -> impl Iterator<Item = &Page> {
        self.leaves.iter().map(|leaf| &leaf.page)
    }

    /// The page of that slug or title, or one spelt nearly so.
    pub fn page(&self, name: &str) -> Option<&Page> {
        let wanted = plain(name);
        if wanted.is_empty() {
            return None;
        }
        let exact = self.pages().find(|page| plain(&page.slug) == wanted || plain(&page.title) == wanted);
        exact.or_else(|| {
            let near = self.pages().map(|page| (likeness(page, &wanted), page));
            near.filter(|(score, _)| *score >= 0.8).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, page)| page)
        })
    }

    /// Pages whose name begins with, holds or resembles what has been typed so far, best first.
    pub fn suggest_pages(&self, typed: &str, n: usize) -> Vec<&Page> {
        let wanted = plain(typed);
        let rank = |page: &Page| {
            let (slug, title) = (plain(&page.slug), plain(&page.title));
            if slug.starts_with(&wanted) || title.starts_with(&wanted) {
                2.0
            } else if slug.contains(&wanted) || title.contains(&wanted) {
                1.5
            } else {
                likeness(page, &wanted)
            }
        };
        let mut ranked: Vec<(f64, &Page)> = self.pages().map(|page| (rank(page), page)).collect();
        ranked.retain(|(score, _)| *score >= 0.5);
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
        ranked.into_iter().take(n).map(|(_, page)| page).collect()
    }

    /// A passage by its reference, to show it again.
    pub fn passage(&self, reference: &Ref) -> Option<&Passage> {
        let leaf = self.leaves.iter().find(|leaf| leaf.page.slug == reference.page)?;
        leaf.passages.get(reference.ordinal.checked_sub(1)?)
    }

    /// Every passage, in the order of the pages.
    pub fn passages(&self) -> impl Iterator<Item = &Passage> {
        self.leaves.iter().flat_map(|leaf| &leaf.passages)
    }

    /// Every trade word.
    pub fn terms(&self) -> impl Iterator<Item = &Term> {
        self.leaves.iter().flat_map(|leaf| &leaf.terms)
    }

    /// The trade word of that name, either side of the table, or spelt nearly so.
    pub fn word(&self, name: &str) -> Option<&Term> {
        let wanted = plain(name);
        if wanted.is_empty() {
            return None;
        }
        let exact = self.terms().find(|term| plain(&term.term) == wanted);
        let exact = exact.or_else(|| self.terms().find(|term| term.names().any(|n| plain(n) == wanted)));
        exact.or_else(|| {
            let near = self.terms().flat_map(|term| term.names().map(move |n| (plain(n), term)));
            let near = near.map(|(n, term)| (strsim::normalized_damerau_levenshtein(&n, &wanted), term));
            near.filter(|(score, _)| *score >= 0.75).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, term)| term)
        })
    }

    fn engine_leaves(&self) -> impl Iterator<Item = (&Leaf, &Engine)> {
        self.leaves.iter().filter_map(|leaf| Some((leaf.as_ref(), leaf.engine.as_ref()?)))
    }

    /// Every engine, by file name of its page.
    pub fn engines(&self) -> impl Iterator<Item = &Engine> {
        self.engine_leaves().map(|(_, engine)| engine)
    }

    /// The engine of that id, title or other name.
    pub fn engine(&self, name: &str) -> Option<&Engine> {
        find(self.engines(), name)
    }

    /// The page of an engine, by any of its names or its slug.
    pub fn engine_page(&self, name: &str) -> Option<&Page> {
        self.engine_leaf(name).map(|leaf| &leaf.page)
    }

    fn engine_leaf(&self, name: &str) -> Option<&Leaf> {
        let found = self.engine(name).map(|engine| engine.id.as_str());
        let mut leaves = self.engine_leaves();
        leaves.find(|(leaf, engine)| found == Some(&engine.id) || leaf.page.slug == name).map(|(leaf, _)| leaf)
    }

    /// The limits rows of an engine's own page; none for an unknown engine.
    pub fn engine_limits(&self, name: &str) -> &[Limit] {
        self.engine_leaf(name).map_or(&[], |leaf| &leaf.limits)
    }

    /// The rows of the general tables for a duty, each with the duty its page is for (none: any); without one, all rows.
    pub fn general_limits(&self, duty: Option<Duty>) -> impl Iterator<Item = (Option<Duty>, &Limit)> {
        let pages = self.leaves.iter().filter(|leaf| leaf.page.kind == Kind::Limits);
        let pages = pages.filter(move |leaf| duty.is_none() || leaf.page.duty.is_none() || leaf.page.duty == duty);
        pages.flat_map(|leaf| leaf.limits.iter().map(|limit| (leaf.page.duty, limit)))
    }

    /// Procedures in the order of the work; those of no stage last.
    pub fn procedures(&self) -> Vec<&Page> {
        let mut out: Vec<&Page> = self.pages().filter(|page| page.kind == Kind::Procedure).collect();
        out.sort_by_key(|page| (page.stage.is_none(), page.stage, page.title.as_str()));
        out
    }

    /// What is wrong with the pages, by file and line.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The short hash of a page's text.
    pub fn revision(&self, slug: &str) -> Option<&str> {
        self.pages().find(|page| page.slug == slug).map(|page| page.revision.as_str())
    }

    /// The stages that have a procedure, in order.
    pub fn stages(&self) -> Vec<Stage> {
        let mut out: Vec<Stage> = self.procedures().iter().filter_map(|page| page.stage).collect();
        out.dedup();
        out
    }
}

/// The files of the shelf that the binary carries: (name, text). A new shop's folder is written from them.
pub fn embedded_files() -> impl Iterator<Item = (&'static str, &'static str)> {
    let mut open = vec![&EMBEDDED];
    let mut files = Vec::new();
    while let Some(dir) = open.pop() {
        open.extend(dir.dirs());
        files.extend(dir.files().filter_map(|file| Some((file.path().to_str()?, file.contents_utf8()?))));
    }
    files.sort_unstable();
    files.into_iter()
}

/// A README is for those who browse the folder; names that start with a dot are an editor's or the system's.
fn is_page(name: &str) -> bool {
    let stem = name.rsplit('/').next().unwrap_or(name);
    stem.ends_with(".md") && !stem.eq_ignore_ascii_case("readme.md") && !name.split('/').any(|p| p.starts_with('.'))
}

/// The names of the pages' files under a folder, whether or not they can be read.
pub(super) fn page_files(folder: &Path) -> io::Result<Vec<String>> {
    let (mut files, mut faults) = (Vec::new(), Vec::new());
    gather(folder, "", 0, &mut files, &mut faults)?;
    Ok(files.into_iter().map(|(name, _)| name).chain(faults.into_iter().map(|fault| fault.file)).collect())
}

fn gather(
    folder: &Path,
    prefix: &str,
    depth: usize,
    files: &mut Vec<(String, String)>,
    faults: &mut Vec<Fault>,
) -> io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let Ok(entry) = entry else { continue };
        let Some(name) = entry.file_name().to_str().map(|name| format!("{prefix}{name}")) else { continue };
        let path = entry.path();
        let Ok(meta) = std::fs::metadata(&path) else { continue };
        if meta.is_dir() {
            if depth < DEEPEST && !name.split('/').any(|part| part.starts_with('.')) {
                gather(&path, &format!("{name}/"), depth + 1, files, faults)?;
            }
            continue;
        }
        if !is_page(&name) {
            continue;
        }
        if meta.len() > LARGEST {
            faults.push(Fault::broken(&name, 1, "the file is larger than a megabyte", "split it into pages"));
            continue;
        }
        match std::fs::read_to_string(&path) {
            Ok(text) => files.push((name, text)),
            Err(error) => {
                let what = format!("the file cannot be read: {error}");
                faults.push(Fault::broken(&name, 1, what, "save it as UTF-8 text that this user may read"));
            }
        }
    }
    Ok(())
}

/// Lower-case letters and digits only, so that case, blanks and hyphens do not matter.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).take(100).collect()
}

fn likeness(page: &Page, wanted: &str) -> f64 {
    let like = |name: &str| strsim::normalized_damerau_levenshtein(&plain(name), wanted);
    like(&page.slug).max(like(&page.title))
}
