//! The shelf's folder: which files are pages, and which of them changed since they were read.

use std::collections::BTreeMap;
use std::fs::Metadata;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use super::fault::Fault;
use super::leaf::{self, Leaf};
use super::shelf::Report;

/// A larger file is no page.
const LARGEST: u64 = 1 << 20;
/// How deep folders may nest.
const DEEPEST: usize = 6;
/// A file changed so lately may change again within one tick of the disk's clock: its stamp is not yet trusted.
const TICK: Duration = Duration::from_secs(2);

/// Every page file by name, with what was read from it.
pub(super) type Entries = BTreeMap<String, Arc<Entry>>;

/// A page file, read.
#[derive(Clone)]
pub(super) struct Entry {
    /// When the file was last changed and how long it was; none when that is no proof that it is still the same.
    stamp: Option<(SystemTime, u64)>,
    /// What the file held; none when it could not be read.
    hash: Option<blake3::Hash>,
    /// The page; of a file that broke, its last good version.
    pub leaf: Option<Arc<Leaf>>,
    /// True when the leaf says all that its writer meant.
    good: bool,
    pub faults: Vec<Fault>,
}

impl Entry {
    pub fn new(file: &str, text: &str) -> Self {
        let (leaf, faults) = leaf::read(file, text);
        let good = leaf.is_some() && !faults.iter().any(|fault| fault.breaks);
        Self { stamp: None, hash: Some(blake3::hash(text.as_bytes())), leaf, good, faults }
    }

    fn unread(fault: Fault) -> Self {
        Self { stamp: None, hash: None, leaf: None, good: false, faults: vec![fault] }
    }

    /// This entry with the last good version of its page, where this one is not good.
    fn after(self, before: Option<&Arc<Self>>) -> Self {
        let kept = before.filter(|before| before.good && !self.good);
        match kept {
            Some(kept) => Self { leaf: kept.leaf.clone(), good: true, ..self },
            None => self,
        }
    }
}

/// Reads the pages under a folder, keeping from `before` what did not change, and says how many files were read as pages.
pub(super) fn read(folder: &Path, before: &Entries, report: Report<'_>) -> io::Result<(Entries, usize)> {
    let mut files = Vec::new();
    gather(folder, "", 0, &mut files)?;
    let (mut parsed, all, now) = (0, files.len(), SystemTime::now());
    let mut entries = Entries::new();
    for (count, (name, path, meta)) in (1..).zip(files) {
        let known = before.get(&name);
        let settled = |changed: &SystemTime| now.duration_since(*changed).is_ok_and(|age| age > TICK);
        let stamp = meta.modified().ok().filter(settled).map(|changed| (changed, meta.len()));
        let entry = match known {
            Some(known) if stamp.is_some() && known.stamp == stamp => Arc::clone(known),
            _ => match text(&name, &path, &meta) {
                Ok(text) => match known.filter(|known| known.hash == Some(blake3::hash(text.as_bytes()))) {
                    Some(known) => Arc::new(Entry { stamp, ..Entry::clone(known) }),
                    None => {
                        parsed += 1;
                        Arc::new(Entry { stamp, ..Entry::new(&name, &text) }.after(known))
                    }
                },
                Err(fault) => Arc::new(Entry::unread(fault).after(known)),
            },
        };
        entries.insert(name, entry);
        // The index is the second half of the work.
        report(count, 2 * all);
    }
    Ok((entries, parsed))
}

fn text(name: &str, path: &Path, meta: &Metadata) -> Result<String, Fault> {
    if meta.len() > LARGEST {
        return Err(Fault::broken(name, 1, "the file is larger than a megabyte", "split it into pages"));
    }
    std::fs::read_to_string(path).map_err(|error| {
        let what = format!("the file cannot be read: {error}");
        Fault::broken(name, 1, what, "save it as UTF-8 text that this user may read")
    })
}

/// The names of the page files under a folder, whether or not they can be read.
pub(super) fn names(folder: &Path) -> io::Result<Vec<String>> {
    let mut files = Vec::new();
    gather(folder, "", 0, &mut files)?;
    Ok(files.into_iter().map(|(name, ..)| name).collect())
}

/// A README is for those who browse the folder; names that start with a dot are an editor's or the system's.
pub(super) fn is_page(name: &str) -> bool {
    let stem = name.rsplit('/').next().unwrap_or(name);
    stem.ends_with(".md") && !stem.eq_ignore_ascii_case("readme.md") && !name.split('/').any(|p| p.starts_with('.'))
}

fn gather(folder: &Path, prefix: &str, depth: usize, files: &mut Vec<(String, PathBuf, Metadata)>) -> io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let Ok(entry) = entry else { continue };
        let Some(name) = entry.file_name().to_str().map(|name| format!("{prefix}{name}")) else { continue };
        let path = entry.path();
        let Ok(meta) = std::fs::metadata(&path) else { continue };
        if meta.is_dir() {
            if depth < DEEPEST && !name.split('/').any(|part| part.starts_with('.')) {
                gather(&path, &format!("{name}/"), depth + 1, files)?;
            }
        } else if is_page(&name) {
            files.push((name, path, meta));
        }
    }
    Ok(())
}
