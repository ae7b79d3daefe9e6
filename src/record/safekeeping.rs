//! Backup and restore: whole copies only, made under another name, checked, then put in place. Nothing is overwritten.

use std::{
    ffi::OsString,
    fs::{self, File},
    io,
    path::{Path, PathBuf},
    process,
    sync::atomic::{AtomicU32, Ordering},
    time::Duration,
};

use rusqlite::{
    Connection, OpenFlags,
    backup::{Backup, StepResult},
    config::DbConfig,
};

use super::{Chain, OpenTrouble, Record, RecordError, SafekeepingError, chain, open};

/// How many pages are copied at a time.
const STRIDE: i32 = 1024;

/// How long a restore waits for a file that someone has open.
const PATIENCE: Duration = Duration::from_secs(2);

/// The outcome of a restore.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// The restored record's chain, whole.
    pub chain: Chain,
    /// Where the record that was there before is kept now.
    pub kept: Option<PathBuf>,
}

/// Told how much of a long work is done, of how much in all.
pub type Report<'a> = &'a dyn Fn(usize, usize);

/// The [`Report`] of who does not watch.
pub fn quietly(_done: usize, _all: usize) {}

/// Of two works that make up one, tells how far the first is.
pub(super) fn first_half(report: Report<'_>) -> impl Fn(usize, usize) {
    move |done, all| report(done, 2 * all)
}

/// Of two works that make up one, tells how far the second is.
pub(super) fn second_half(report: Report<'_>) -> impl Fn(usize, usize) {
    move |done, all| report(all + done, 2 * all)
}

impl Record {
    /// Copies the record, as it is at this moment, to a new file; posting goes on meanwhile. The copy is checked before
    /// it gets its name. A record with a broken chain is copied too, for it may be all there is: the outcome tells.
    /// Errors: `Exists` if anything is there.
    pub fn backup(&self, to: &Path, report: Report<'_>) -> Result<Chain, SafekeepingError> {
        refuse_existing(to)?;
        beside(to, |aside| {
            self.snapshot(|conn| copy(conn, aside, &first_half(report)))?;
            let chain = verify(aside, &second_half(report))?;
            put_in_place(aside, to).map_err(|error| refusal(to, &error))?;
            Ok(chain)
        })
    }
}

/// Looks a record or a backup over without changing it: the file, then the chain.
pub fn verify(place: &Path, report: Report<'_>) -> Result<Chain, SafekeepingError> {
    open::look(place, PATIENCE)?;
    let conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(RecordError::from)?;
    conn.busy_timeout(PATIENCE).map_err(RecordError::from)?;
    // One moment of it, for someone may be posting.
    let held = conn.unchecked_transaction().map_err(RecordError::from)?;
    Ok(chain::walk(&held, report)?)
}

/// Puts a backup in a record's place, once it is found whole. The record that was there is kept beside it under another
/// name, with its log. Errors: `Open` if the backup is damaged or newer, `Broken` if its chain is, `InUse` if someone
/// has the old record open.
pub fn restore(from: &Path, to: &Path, report: Report<'_>) -> Result<Restored, SafekeepingError> {
    open::look(from, PATIENCE)?;
    beside(to, |aside| {
        copy_file(from, aside, &first_half(report))?;
        let chain = verify_whole(aside, &second_half(report))?;
        refuse_orphan_log(to)?;
        if !to.try_exists().map_err(|error| refusal(to, &error))? {
            put_in_place(aside, to).map_err(|error| refusal(to, &error))?;
            return Ok(Restored { chain, kept: None });
        }
        let _claim = claim(to)?;
        let kept = keep(to).and_then(|kept| swap(aside, to).map(|()| kept)).map_err(|error| refusal(to, &error))?;
        Ok(Restored { chain, kept: Some(kept) })
    })
}

/// Makes something under another name beside its place. However it ends, nothing is left under that name.
pub(super) fn beside<T>(
    place: &Path,
    make: impl FnOnce(&Path) -> Result<T, SafekeepingError>,
) -> Result<T, SafekeepingError> {
    let aside = aside(place, "part");
    let outcome = make(&aside);
    clear(&aside);
    outcome
}

/// As [`verify`], and refuses a broken chain.
pub(super) fn verify_whole(place: &Path, report: Report<'_>) -> Result<Chain, SafekeepingError> {
    let chain = verify(place, report)?;
    match chain.fault {
        Some(fault) => Err(SafekeepingError::Broken(fault)),
        None => Ok(chain),
    }
}

fn copy_file(from: &Path, to: &Path, report: Report<'_>) -> Result<(), RecordError> {
    let source = Connection::open_with_flags(from, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    source.busy_timeout(PATIENCE)?;
    let held = source.unchecked_transaction()?;
    copy(&held, to, report)
}

/// Copies page by page from a connection inside a transaction, so that every page is of one moment.
fn copy(from: &Connection, to: &Path, report: Report<'_>) -> Result<(), RecordError> {
    // The first look fixes the moment.
    from.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0))?;
    let mut target = Connection::open(to)?;
    {
        let backup = Backup::new(from, &mut target)?;
        loop {
            match backup.step(STRIDE)? {
                StepResult::Done => break,
                StepResult::More => {
                    let pages = backup.progress();
                    let all = usize::try_from(pages.pagecount).unwrap_or(0);
                    report(all - usize::try_from(pages.remaining).unwrap_or(0).min(all), all);
                }
                _ => return Err(RecordError::Busy),
            }
        }
    }
    one_plain_file(target)
}

/// Closes a finished copy as one file without a log, so that it can be checked and read on a disk that cannot be written to.
pub(super) fn one_plain_file(copy: Connection) -> Result<(), RecordError> {
    copy.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
    copy.close().map_err(|(_, error)| error.into())
}

/// Takes the record for this program alone, until the connection is dropped. Everyone who has it open holds a shared
/// lock on it. A file too damaged to lock is nobody's.
fn claim(place: &Path) -> Result<Option<Connection>, SafekeepingError> {
    let ask = || {
        let conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        // The old record is kept byte for byte: its log must not be folded into it on the way out.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
        conn.busy_timeout(PATIENCE)?;
        conn.pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(()))?;
        conn.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()))?;
        Ok(conn)
    };
    match ask() {
        Ok(conn) => Ok(Some(conn)),
        Err(error) => match open::trouble(place, error) {
            OpenTrouble::Locked { place } => Err(SafekeepingError::InUse(place)),
            _ => Ok(None),
        },
    }
}

/// Gives a record and its log a second name, the first one free, and returns it.
fn keep(place: &Path) -> io::Result<PathBuf> {
    let name = |number: u32| with_suffix(place, &format!(".before-restore-{number}"));
    for kept in (1..=u32::MAX).map(name) {
        match link(place, &kept) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
            outcome => outcome?,
        }
        if has_log(place) {
            link(&log_of(place), &log_of(&kept))?;
        }
        File::open(folder(place))?.sync_all()?;
        return Ok(kept);
    }
    Err(io::ErrorKind::AlreadyExists.into())
}

/// Puts a new file where a kept one is. The old log goes first: SQLite would play it back into the new file.
fn swap(aside: &Path, place: &Path) -> io::Result<()> {
    for end in ["-wal", "-shm"] {
        match fs::remove_file(with_suffix(place, end)) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            outcome => outcome?,
        }
    }
    fs::rename(aside, place)?;
    File::open(folder(place))?.sync_all()
}

/// A second name for a file, or a copy where the disk knows no links; never over another file.
fn link(from: &Path, to: &Path) -> io::Result<()> {
    match fs::hard_link(from, to) {
        Err(error) if matches!(error.kind(), io::ErrorKind::AlreadyExists | io::ErrorKind::NotFound) => Err(error),
        Err(_) => {
            let mut copy = File::create_new(to)?;
            io::copy(&mut File::open(from)?, &mut copy)?;
            copy.sync_all()
        }
        Ok(()) => Ok(()),
    }
}

pub(super) fn refuse_existing(place: &Path) -> Result<(), SafekeepingError> {
    match place.try_exists() {
        Ok(false) => Ok(()),
        Ok(true) => Err(SafekeepingError::Exists(place.to_path_buf())),
        Err(error) => Err(refusal(place, &error)),
    }
}

/// A log without its record would be played back into whatever is put in that place.
pub(super) fn refuse_orphan_log(place: &Path) -> Result<(), SafekeepingError> {
    if has_orphan_log(place) {
        let detail = "this log has lost its record: move it away first".to_owned();
        return Err(SafekeepingError::Disk { place: log_of(place), detail });
    }
    Ok(())
}

pub(super) fn refusal(place: &Path, error: &io::Error) -> SafekeepingError {
    let place = place.to_path_buf();
    match error.kind() {
        io::ErrorKind::AlreadyExists => SafekeepingError::Exists(place),
        _ => SafekeepingError::Disk { place, detail: error.to_string() },
    }
}

fn with_suffix(place: &Path, suffix: &str) -> PathBuf {
    let mut name = OsString::from(place);
    name.push(suffix);
    PathBuf::from(name)
}

/// SQLite's write-ahead log of a record.
fn log_of(place: &Path) -> PathBuf {
    with_suffix(place, "-wal")
}

fn has_log(place: &Path) -> bool {
    fs::metadata(log_of(place)).is_ok_and(|facts| facts.len() > 0)
}

/// Whether a log lies there without its record. SQLite would play it back into any new file of that name.
pub(super) fn has_orphan_log(place: &Path) -> bool {
    has_log(place) && !place.exists()
}

/// A free name beside a file for a copy in the making.
pub(super) fn aside(place: &Path, what: &str) -> PathBuf {
    static MADE: AtomicU32 = AtomicU32::new(0);
    let number = MADE.fetch_add(1, Ordering::Relaxed);
    let aside = with_suffix(place, &format!(".{what}-{}-{number}", process::id()));
    // Another process of the same number may have been killed while it made one.
    clear(&aside);
    aside
}

/// The folder that a file is in.
pub(super) fn folder(place: &Path) -> &Path {
    match place.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

/// Gives a finished file its name, durably, unless that name is taken (`AlreadyExists`).
pub(super) fn put_in_place(aside: &Path, place: &Path) -> io::Result<()> {
    link(aside, place)?;
    fs::remove_file(aside)?;
    File::open(folder(place))?.sync_all()
}

/// Removes what is left of a copy in the making.
pub(super) fn clear(aside: &Path) {
    for end in ["", "-wal", "-shm", "-journal"] {
        // What is not there needs no removing, and what cannot be removed harms nobody.
        let _ = fs::remove_file(with_suffix(aside, end));
    }
}
