//! What can go wrong with the record, each with a message that says what to do.

#[cfg(feature = "shop")]
use std::path::PathBuf;

use super::{Act, Decision, JobId, ReadingId, Role};

/// Why an act on the record was refused or failed. After any of these nothing of the act is in the record.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecordError {
    #[error("there is no {what} {id} in the record")]
    NotFound { what: &'static str, id: i64 },
    #[error("job {0} is closed, so nothing can be added to it")]
    JobClosed(JobId),
    #[error("the role {role} may not {act}: that takes the role {}", act.least())]
    NotAllowed { act: Act, role: Role },
    #[error("reading {0} is your own, and another lead has to accept it")]
    OwnReading(ReadingId),
    #[error("reading {reading} was already {} by {by}: to decide otherwise, look at it and say so", decision.word())]
    AlreadyReviewed { reading: ReadingId, by: String, decision: Decision },
    #[error(
        "the key {key:?} was already used for something else, kept as number {first}: send this one with a new key"
    )]
    Conflict { key: String, first: i64 },
    #[error("reading {reading} was already amended, and reading {latest} now stands in its place: work on that one")]
    AlreadyAmended { reading: ReadingId, latest: ReadingId },
    #[error("the {field} {rule}")]
    Unfit { field: &'static str, rule: &'static str },
    #[error("the disk is full, so nothing was recorded: make room and send it again")]
    DiskFull,
    #[error("the disk failed ({detail}), so nothing was recorded: see to the disk and send it again")]
    Disk { detail: String },
    #[error("the record is busy with another program's work, so nothing was recorded: send it again")]
    Busy,
    #[error("the record cannot be written to, so nothing was recorded: check the rights on its folder and disk")]
    NotWritable,
    #[error("the record is damaged ({detail}): stop, keep the files as they are, and restore a backup")]
    Damaged { detail: String },
    #[error(
        "the shop's server keeps this and cannot be reached, so nothing was changed: send it again when it answers"
    )]
    OutOfReach,
    #[error("the record failed: {detail}")]
    Other { detail: String },
}

/// Why the record could not be opened. The file is as it was.
#[cfg(feature = "shop")]
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OpenTrouble {
    #[error(
        "{} was written by a newer Gudgeon (layout {found}; this one knows up to {known}), and is left as it is: \
         run the newer program, or choose another data folder", place.display()
    )]
    Newer { place: PathBuf, found: i64, known: i64 },
    #[error(
        "{} is damaged ({detail}), and is left as it is: restore a backup with `gudgeon restore FILE`, which keeps \
         this file aside", place.display()
    )]
    Damaged { place: PathBuf, detail: String },
    #[error(
        "{} is not a Gudgeon record, and is left as it is: choose another data folder, or move that file away",
        place.display()
    )]
    Foreign { place: PathBuf },
    #[error("{} is in use by another program that lets nobody else in: close it and try again", place.display())]
    Locked { place: PathBuf },
    #[error(
        "{} cannot be written to: give this user the right to write the file and its folder, or choose another data \
         folder", place.display()
    )]
    NotWritable { place: PathBuf },
    #[error("the disk is full, so {} cannot be opened: make room and try again", place.display())]
    DiskFull { place: PathBuf },
    #[error("{} cannot be opened: {detail}", place.display())]
    Other { place: PathBuf, detail: String },
}

/// Why a backup, a restore, an export or an import did not happen. What was there before is still there.
#[cfg(feature = "shop")]
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SafekeepingError {
    #[error("{} is already there and is not overwritten: name a new file", .0.display())]
    Exists(PathBuf),
    #[error("{} already holds a record, and an import only fills an empty place: choose another data folder", .0.display())]
    Occupied(PathBuf),
    #[error("{}:{line}: {detail}: choose a whole export", place.display())]
    NotAnExport { place: PathBuf, line: usize, detail: String },
    #[error("{} is in use: stop the program that serves it, then restore", .0.display())]
    InUse(PathBuf),
    #[error("the copy does not hold together ({0}): choose an earlier backup")]
    Broken(super::Fault),
    #[error(transparent)]
    Open(#[from] OpenTrouble),
    #[error(transparent)]
    Record(#[from] RecordError),
    #[error("{}: {detail}", place.display())]
    Disk { place: PathBuf, detail: String },
}

#[cfg(feature = "shop")]
impl SafekeepingError {
    /// Whether what was asked cannot be done, and not that the machine failed.
    pub fn is_refusal(&self) -> bool {
        match self {
            Self::Exists(_)
            | Self::Occupied(_)
            | Self::NotAnExport { .. }
            | Self::InUse(_)
            | Self::Broken(_)
            | Self::Open(OpenTrouble::Newer { .. } | OpenTrouble::Foreign { .. } | OpenTrouble::Damaged { .. }) => true,
            Self::Open(_) | Self::Record(_) | Self::Disk { .. } => false,
        }
    }
}

/// Refuses an empty or blank text.
pub(super) fn required(field: &'static str, value: &str) -> Result<(), RecordError> {
    if value.trim().is_empty() { Err(RecordError::Unfit { field, rule: "is missing" }) } else { Ok(()) }
}

/// Refuses a number that is not finite.
pub(super) fn finite(field: &'static str, value: f64) -> Result<(), RecordError> {
    if value.is_finite() { Ok(()) } else { Err(RecordError::Unfit { field, rule: "is not a finite number" }) }
}
