//! The job record: what was measured, by whom, when, judged by which limit, and who accepted it.
//!
//! One table of events is the record. It only grows: triggers refuse to change or delete a row, and each event's hash
//! covers the one before it, so that [`Record::verify`] can name the first one that was tampered with. Where things
//! stand (open jobs, current readings, the review queue) is derived from the events in the same transaction.
//!
//! The record is told the time and the verdicts; it reads no clock and judges nothing. Every method that adds to it
//! takes an [`Actor`] and refuses what the role may not do, and returns only once its event is on disk.

#[cfg(feature = "shop")]
mod chain;
mod events;
mod extract;
#[cfg(feature = "shop")]
mod instruments;
#[cfg(feature = "shop")]
mod jobs;
#[cfg(feature = "shop")]
mod keys;
#[cfg(feature = "shop")]
mod limits;
#[cfg(feature = "shop")]
mod open;
#[cfg(feature = "shop")]
mod outbox;
#[cfg(feature = "shop")]
mod photos;
mod picture;
#[cfg(not(feature = "shop"))]
mod pocket;
#[cfg(feature = "shop")]
mod readings;
#[cfg(feature = "shop")]
mod review;
mod roles;
#[cfg(feature = "shop")]
mod rows;
#[cfg(feature = "shop")]
mod safekeeping;
#[cfg(feature = "shop")]
mod schema;
#[cfg(feature = "shop")]
mod stages;
mod standing;
#[cfg(feature = "shop")]
mod store;
#[cfg(feature = "shop")]
mod threads;
#[cfg(feature = "shop")]
mod told;
#[cfg(feature = "shop")]
mod transfer;
mod trouble;
mod words;

pub use blake3::Hash;
pub use events::{
    Amends, Calibration, Decision, Event, Gauge, Happening, InstrumentFacts, InstrumentId, JobClosed, JobId, JobOpened,
    Judged, LimitOverride, Measured, OpenHold, Pictured, Posting, ReadingId, Retirement, Reviewed, StageSigned,
    StandardCheck, Taken,
};
pub use extract::Extract;
pub use picture::{MOST_BYTES, Media, Picture};
pub use roles::{Act, Actor, Role};
pub use standing::{
    Entry, Instrument, Job, JobFilter, MOST_A_READING, Mark, Noted, Overridden, Photo, Posted, Reading, Review, Said,
    SignOff, Stand,
};
pub use trouble::RecordError;

#[cfg(not(feature = "shop"))]
pub use pocket::Record;
#[cfg(feature = "shop")]
pub use {
    chain::{Chain, Fault},
    keys::{Device, Invitation, KeyBook},
    outbox::{Aside, Notice, Offer, Outbox, Place},
    safekeeping::{Report, Restored, quietly, restore, verify},
    store::Record,
    threads::{Thread, Wanted},
    transfer::import,
    trouble::{OpenTrouble, SafekeepingError},
};
