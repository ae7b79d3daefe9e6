//! The job record: what was measured, by whom, when, judged by which limit, and who accepted it.
//!
//! One table of events is the record. It only grows: triggers refuse to change or delete a row, and each event's hash
//! covers the one before it, so that [`Record::verify`] can name the first one that was tampered with. Where things
//! stand (open jobs, current readings, the review queue) is derived from the events in the same transaction.
//!
//! The record is told the time and the verdicts; it reads no clock and judges nothing. Every method that adds to it
//! takes an [`Actor`] and refuses what the role may not do, and returns only once its event is on disk.

mod chain;
mod events;
mod instruments;
mod jobs;
mod keys;
mod limits;
mod open;
mod outbox;
mod photos;
mod picture;
mod readings;
mod review;
mod roles;
mod safekeeping;
mod schema;
mod stages;
mod store;
mod threads;
mod told;
mod transfer;
mod trouble;
mod words;

pub use blake3::Hash;
pub use chain::{Chain, Fault};
pub use events::{
    Amends, Calibration, Decision, Event, Gauge, Happening, InstrumentFacts, InstrumentId, JobClosed, JobId, JobOpened,
    Judged, LimitOverride, Measured, OpenHold, Pictured, Posting, ReadingId, Retirement, Reviewed, StageSigned,
    StandardCheck,
};
pub use instruments::{Instrument, Noted};
pub use jobs::{Job, JobFilter, Mark};
pub use keys::{Device, Invitation, KeyBook};
pub use limits::Overridden;
pub use outbox::{Aside, Notice, Offer, Outbox, Place};
pub use photos::{MOST_A_READING, Photo};
pub use picture::{MOST_BYTES, Media, Picture};
pub use readings::{Entry, Posted, Reading};
pub use review::{Review, Said};
pub use roles::{Act, Actor, Role};
pub use safekeeping::{Report, Restored, quietly, restore, verify};
pub use stages::{SignOff, Stand};
pub use store::Record;
pub use threads::{Thread, Wanted};
pub use transfer::import;
pub use trouble::{OpenTrouble, RecordError, SafekeepingError};
