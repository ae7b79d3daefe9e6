//! A shelf that follows its folder: edits are read while the house runs, and readers never wait for it.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::thread::JoinHandle;
use std::time::Duration;

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use super::folder;
use super::shelf::{Library, Report, embedded_files};

/// How long the folder must be quiet before it is read again: editors save in several strokes.
const QUIET: Duration = Duration::from_millis(120);

/// The library in use, and where it comes from.
pub struct Shelf {
    inner: Arc<Inner>,
    watcher: Option<(RecommendedWatcher, JoinHandle<()>)>,
}

struct Inner {
    folder: Option<PathBuf>,
    current: RwLock<Arc<Library>>,
    /// Held while the folder is read, so that an older reading never replaces a newer one.
    reading: Mutex<()>,
}

impl Shelf {
    /// A shelf that stays as it is.
    pub fn fixed(library: impl Into<Arc<Library>>) -> Self {
        Self::new(library.into(), None)
    }

    /// The shelf of a folder, read once; see [`Self::watch`].
    pub fn open(folder: &Path) -> io::Result<Self> {
        Self::open_telling(folder, &|_, _| {})
    }

    /// As [`Self::open`], telling how far it is: a big library takes its time.
    pub fn open_telling(folder: &Path, report: Report<'_>) -> io::Result<Self> {
        Ok(Self::new(Library::reopen(folder, None, report)?.into(), Some(folder.to_owned())))
    }

    fn new(library: Arc<Library>, folder: Option<PathBuf>) -> Self {
        let current = RwLock::new(library);
        Self { inner: Arc::new(Inner { folder, current, reading: Mutex::new(()) }), watcher: None }
    }

    /// The library as it is now. It stays whole for as long as the caller keeps it.
    pub fn current(&self) -> Arc<Library> {
        self.inner.current()
    }

    /// Every page file of the shelf as it is now: (name, text). One that cannot be read is left out, as its fault tells.
    pub fn files(&self) -> io::Result<Vec<(String, String)>> {
        let Some(folder) = &self.inner.folder else {
            return Ok(embedded_files().map(|(name, text)| (name.to_owned(), text.to_owned())).collect());
        };
        let names = folder::names(folder)?.into_iter();
        Ok(names
            .filter_map(|name| Some((std::fs::read_to_string(folder.join(&name)).ok()?, name)))
            .map(|(t, n)| (n, t))
            .collect())
    }

    /// Reads the folder again now; pages that broke since stay as they were.
    pub fn refresh(&self) -> io::Result<()> {
        self.inner.refresh()
    }

    /// Follows the folder until the shelf is dropped. A shelf without a folder has nothing to follow.
    pub fn watch(&mut self) -> notify::Result<()> {
        let Some(folder) = &self.inner.folder else { return Ok(()) };
        let (tell, told) = mpsc::channel();
        let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            // Reading the pages is an event too; only changes matter. A fault of the watcher is a reason to look.
            if !matches!(event, Ok(notify::Event { kind: EventKind::Access(_), .. })) {
                let _ = tell.send(());
            }
        })?;
        watcher.watch(folder, RecursiveMode::Recursive)?;
        let inner = Arc::clone(&self.inner);
        let thread = std::thread::Builder::new().name("library".into()).spawn(move || inner.follow(&told));
        let thread = thread.map_err(notify::Error::io)?;
        // Edits made before the watcher stood are read now.
        self.refresh().map_err(notify::Error::io)?;
        self.watcher = Some((watcher, thread));
        Ok(())
    }
}

impl Inner {
    fn current(&self) -> Arc<Library> {
        Arc::clone(&self.current.read().unwrap_or_else(PoisonError::into_inner))
    }

    fn refresh(&self) -> io::Result<()> {
        let Some(folder) = &self.folder else { return Ok(()) };
        let _reading = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let library = Library::reopen(folder, Some(&self.current()), &|_, _| {})?;
        *self.current.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(library);
        Ok(())
    }

    /// Reads again after each burst of changes, until nobody tells of changes any more.
    fn follow(&self, told: &mpsc::Receiver<()>) {
        while told.recv().is_ok() {
            loop {
                match told.recv_timeout(QUIET) {
                    Ok(()) => {}
                    Err(RecvTimeoutError::Timeout) => break,
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
            match self.refresh() {
                Ok(()) => {
                    let library = self.current();
                    let super::Effort { parsed, indexed } = library.effort();
                    tracing::info!(parsed, indexed, faults = library.faults().len(), "library read again");
                }
                Err(error) => tracing::warn!(%error, "library not read again"),
            }
        }
    }
}

impl Drop for Shelf {
    fn drop(&mut self) {
        if let Some((watcher, thread)) = self.watcher.take() {
            // Without its watcher the channel closes and the thread ends.
            drop(watcher);
            let _ = thread.join();
        }
    }
}
