//! The library as one value: built from a folder, from the binary's own copy or from texts; never changed afterwards.

use std::collections::HashMap;
use std::io;
use std::path::Path;
use std::sync::Arc;

#[cfg(feature = "shop")]
use include_dir::{Dir, include_dir};

use super::check;
use super::fault::Fault;
use super::folder::{self, Entries, Entry};
#[cfg(not(feature = "shop"))]
use super::headings::{self as search, Index};
use super::leaf::Leaf;
use super::limits;
use super::page::{Kind, Page};
use super::passage::{Passage, Ref};
use super::words::Term;
#[cfg(feature = "shop")]
use super::{confidence, evidence, index::Index, search};
use crate::engine::limits::Limit;
use crate::engine::plan::Plan;
use crate::engine::{Duty, Engine, Stage, find};

#[cfg(feature = "shop")]
static EMBEDDED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/knowledge");

/// Passages a question gets at most.
const MOST_HITS: usize = 10;

/// The answer to a question, best passage first.
#[derive(Debug, Clone, Default)]
pub struct Answer<'a> {
    /// False when nothing on the shelf covers the question: the hits are then only what came nearest.
    pub covered: bool,
    /// True when nothing covers the question but the hits are near enough to be offered.
    pub near: bool,
    /// How likely it is that the best passages answer, 0 to 1.
    pub sure: f32,
    pub hits: Vec<Hit<'a>>,
    /// Where nothing covers it, what the shelf says of not holding its subject, and who does.
    pub beyond: Option<&'a Passage>,
    /// Words taken for other words: (as typed, as read).
    pub read_as: Vec<(String, String)>,
}

/// A passage and how well it answers.
#[derive(Debug, Clone, Copy)]
pub struct Hit<'a> {
    pub passage: &'a Passage,
    /// Another passage of its page that answers as well, to be told with it.
    pub beside: Option<&'a Passage>,
    pub score: f32,
}

impl Hit<'_> {
    /// All that it says, in plain text; a second passage stands under its own heading.
    pub fn text(&self) -> String {
        let first = &self.passage.text;
        match self.beside {
            Some(other) if other.path == self.passage.path => format!("{first}\n\n{}", other.text),
            Some(other) => format!("{first}\n\n{}\n{}", other.heading(), other.text),
            None => first.clone(),
        }
    }
}

#[cfg(feature = "shop")]
/// What speaks for the passages that may answer a question, and for its being answered at all.
#[derive(Debug, Clone, Default)]
pub struct Weighed<'a> {
    /// Best first, each with its signs.
    pub passages: Vec<(&'a Passage, Vec<f32>)>,
    pub signs: Vec<f32>,
}

#[cfg(feature = "shop")]
impl Weighed<'_> {
    /// The names of a passage's signs.
    pub const OF_PASSAGE: &'static [&'static str] = &evidence::NAMES;
    /// The names of a question's signs.
    pub const OF_QUESTION: &'static [&'static str] = &confidence::NAMES;
}

/// What making a library took: of a shelf read again, only what changed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Effort {
    /// Files read as pages.
    pub parsed: usize,
    /// Pages taken into the index.
    pub indexed: usize,
}

/// Told how much of a long work is done, and of how much.
pub type Report<'a> = &'a dyn Fn(usize, usize);

/// A shelf of pages, ready to answer.
pub struct Library {
    entries: Entries,
    leaves: Vec<Arc<Leaf>>,
    /// Page slug -> its place among the leaves.
    slugs: HashMap<String, usize>,
    /// The leaves that are engines.
    engines: Vec<usize>,
    plan: Plan,
    index: Option<Index>,
    faults: Vec<Fault>,
    effort: Effort,
}

impl Library {
    /// Whether a question is searched for in all that the shelf says, or by titles and headings alone.
    pub const SEARCHES_ALL: bool = cfg!(feature = "shop");

    /// Reads every `.md` file under a folder. A faulty page is left to [`Self::faults`]; only a folder that cannot be read fails.
    pub fn open(folder: &Path) -> io::Result<Self> {
        Self::reopen(folder, None, &|_, _| {})
    }

    /// As [`Self::open`], from the library as it was `before`: what did not change is kept, and a page that broke stays as it
    /// was there.
    pub(super) fn reopen(folder: &Path, before: Option<&Self>, report: Report<'_>) -> io::Result<Self> {
        let nothing = Entries::new();
        let (entries, parsed) = folder::read(folder, before.map_or(&nothing, |library| &library.entries), report)?;
        Ok(Self::build(entries, parsed, before, report))
    }

    /// The shelf that the binary carries.
    #[cfg(feature = "shop")]
    pub fn embedded() -> Self {
        Self::from_files(embedded_files().map(|(name, text)| (name.to_owned(), text.to_owned())))
    }

    /// A shelf from (file name, text) pairs; names are relative, with `/` between folders.
    pub fn from_files(files: impl IntoIterator<Item = (String, String)>) -> Self {
        let files = files.into_iter().filter(|(name, _)| folder::is_page(name));
        let entries: Entries = files.map(|(name, text)| (name.clone(), Arc::new(Entry::new(&name, &text)))).collect();
        let parsed = entries.len();
        Self::build(entries, parsed, None, &|_, _| {})
    }

    fn build(entries: Entries, parsed: usize, before: Option<&Self>, report: Report<'_>) -> Self {
        let mut faults: Vec<Fault> = entries.values().flat_map(|entry| &entry.faults).cloned().collect();
        let mut slugs: HashMap<String, usize> = HashMap::new();
        let mut leaves: Vec<Arc<Leaf>> = Vec::with_capacity(entries.len());
        for leaf in entries.values().filter_map(|entry| entry.leaf.as_ref()) {
            if let Some(first) = slugs.get(&leaf.page.slug).and_then(|at| leaves.get(*at)) {
                let what = format!("the page has the same file name as {}", first.file);
                faults.push(Fault::broken(&leaf.file, 1, what, "give each page a file name of its own"));
                continue;
            }
            slugs.insert(leaf.page.slug.clone(), leaves.len());
            leaves.push(Arc::clone(leaf));
        }
        let plan = limits::plan(&leaves, &mut faults);
        faults.extend(check::across(&leaves, &plan));
        let (mut done, all) = (0, leaves.len());
        let tell = || {
            done += 1;
            // The reading of the files was the first half.
            report(all + done, 2 * all);
        };
        let index = match before.and_then(|library| library.index.as_ref()) {
            Some(index) => index.next(&leaves, tell),
            None => Index::empty().and_then(|index| index.next(&leaves, tell)),
        };
        let (index, indexed) = match index {
            Ok((index, indexed)) => (Some(index), indexed),
            Err(error) => {
                let what = format!("the search index could not be built: {error}");
                faults.push(Fault::broken("", 0, what, "free some memory and start again"));
                (None, 0)
            }
        };
        faults.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
        let engines = (0..).zip(&leaves).filter(|(_, leaf)| leaf.engine.is_some()).map(|(at, _)| at).collect();
        Self { entries, leaves, slugs, engines, plan, index, faults, effort: Effort { parsed, indexed } }
    }

    /// What it took to make this library from the one before.
    pub fn effort(&self) -> Effort {
        self.effort
    }

    /// The best passages for a question, at most `n` and never more than ten. `engine` (id or page) is the one the asker
    /// works on: its page then counts before the general ones.
    pub fn ask(&self, question: &str, engine: Option<&str>, n: usize) -> Answer<'_> {
        let Some(index) = &self.index else { return Answer::default() };
        let page = engine.and_then(|name| self.engine_page(name)).map(|page| page.slug.as_str());
        let finding = search::search(index, question, page, n.min(MOST_HITS));
        let hits = finding.found.iter().filter_map(|found| {
            let beside = found.beside.and_then(|place| index.passage(found.page, place));
            Some(Hit { passage: index.passage(found.page, found.place)?, beside, score: found.score })
        });
        Answer {
            covered: finding.covered,
            near: finding.near,
            sure: finding.sure,
            hits: hits.collect(),
            beyond: finding.beyond.and_then(|at| index.beyond(at)),
            read_as: finding.read_as,
        }
    }

    #[cfg(feature = "shop")]
    /// Every candidate for a question and its signs: what the weights of the search are learnt from.
    pub fn weigh(&self, question: &str) -> Weighed<'_> {
        let Some(index) = &self.index else { return Weighed::default() };
        let (found, signs) = search::weigh(index, question);
        let found = found.into_iter();
        let found = found.filter_map(|f| Some((index.passage(f.page, f.place)?, f.evidence.signs().to_vec())));
        Weighed { passages: found.collect(), signs: signs.to_vec() }
    }

    /// Every page, by file name.
    pub fn pages(&self) -> impl Iterator<Item = &Page> {
        self.leaves.iter().map(|leaf| &leaf.page)
    }

    /// Those a person would open; lists of questions are there to be searched.
    pub fn pages_to_read(&self) -> impl Iterator<Item = &Page> {
        self.pages().filter(|page| page.kind != Kind::Questions)
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
        let mut ranked: Vec<(f64, &Page)> = self.pages_to_read().map(|page| (rank(page), page)).collect();
        ranked.retain(|(score, _)| *score >= 0.5);
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
        ranked.into_iter().take(n).map(|(_, page)| page).collect()
    }

    /// A passage by its reference, to show it again.
    pub fn passage(&self, reference: &Ref) -> Option<&Passage> {
        let leaf = self.leaves.get(*self.slugs.get(&reference.page)?)?;
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
        let leaves = self.engines.iter().filter_map(|at| self.leaves.get(*at));
        leaves.filter_map(|leaf| Some((leaf.as_ref(), leaf.engine.as_ref()?)))
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

    /// The measuring plan: the built-in checks, and those that rows of limits tables make.
    pub fn plan(&self) -> &Plan {
        &self.plan
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
        self.leaves.get(*self.slugs.get(slug)?).map(|leaf| leaf.page.revision.as_str())
    }

    /// The stages that have a procedure, in order.
    pub fn stages(&self) -> Vec<Stage> {
        let mut out: Vec<Stage> = self.procedures().iter().filter_map(|page| page.stage).collect();
        out.dedup();
        out
    }
}

#[cfg(feature = "shop")]
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

/// Lower-case letters and digits only, so that case, blanks and hyphens do not matter.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).take(100).collect()
}

fn likeness(page: &Page, wanted: &str) -> f64 {
    let like = |name: &str| strsim::normalized_damerau_levenshtein(&plain(name), wanted);
    like(&page.slug).max(like(&page.title))
}
