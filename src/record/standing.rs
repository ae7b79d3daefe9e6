//! Where things stand, as plain data: what the events come to, whoever works it out.

use jiff::Timestamp;

use super::{
    Actor, Amends, Calibration, Decision, Event, Happening, InstrumentFacts, InstrumentId, JobId, LimitOverride,
    Measured, Pictured, Posting, ReadingId, Record, RecordError, Retirement, Reviewed, StageSigned,
};
use crate::maths::judge::Verdict;

impl Record {
    /// The key of one of several readings that are posted under one, from 1 on.
    pub fn numbered(key: &str, number: usize) -> String {
        format!("{key}-{number}")
    }
}

/// Who did something, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    pub by: Actor,
    pub when: Timestamp,
}

/// A job as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    pub id: JobId,
    /// The engine page's id.
    pub engine: String,
    pub title: String,
    pub note: Option<String>,
    pub opened: Mark,
    pub closed: Option<Mark>,
    /// Why it was closed, if that was said.
    pub closing_reason: Option<String>,
}

/// Which jobs to list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobFilter {
    Open,
    Closed,
    All,
}

impl Job {
    /// Whether readings may still be added.
    pub fn is_open(&self) -> bool {
        self.closed.is_none()
    }
}

/// A reading as it was posted.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub id: ReadingId,
    pub by: Actor,
    pub when: Timestamp,
    pub key: Option<String>,
    pub measured: Measured,
    /// The earlier reading it took the place of.
    pub amends: Option<Amends>,
}

/// A reading and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub reading: Reading,
    /// The latest review of this reading itself; an amendment starts unreviewed.
    pub review: Option<Review>,
    /// The amendment that took its place.
    pub superseded_by: Option<ReadingId>,
}

/// The answer to a post: the reading is on disk.
#[derive(Debug, Clone, PartialEq)]
pub struct Posted {
    pub reading: Reading,
    /// Whether this was a retry, and the reading the one that the first try posted.
    pub was_retry: bool,
}

impl Reading {
    /// The reading that an event posted; what is not a reading is not found.
    pub fn of_event(event: Event) -> Result<Self, RecordError> {
        let Event { seq, when, by, key, what, .. } = event;
        match what {
            Happening::Reading(Posting { measured, amends }) => {
                Ok(Self { id: ReadingId(seq), by, when, key, measured, amends })
            }
            _ => Err(RecordError::NotFound { what: "reading", id: seq }),
        }
    }

    /// Whether a posting says again what this one said: all of it but what it was judged to be, and with how good a gauge.
    pub(super) fn is_retried_by(&self, posting: &Posting) -> bool {
        let mut again = posting.measured.clone();
        again.measures.clone_from(&self.measured.measures);
        again.verdict = self.measured.verdict;
        again.page_revision.clone_from(&self.measured.page_revision);
        again.gauge.clone_from(&self.measured.gauge);
        again.taken.clone_from(&self.measured.taken);
        again == self.measured && posting.amends == self.amends
    }
}

/// A review as it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Review {
    /// The number of its event.
    pub number: i64,
    pub by: Actor,
    pub when: Timestamp,
    pub decision: Decision,
    pub comment: Option<String>,
}

/// What a lead says of readings.
#[derive(Debug, Clone, Copy)]
pub struct Said<'a> {
    pub decision: Decision,
    /// Needed to return one.
    pub comment: Option<&'a str>,
    /// The lead may accept a reading of their own.
    pub own_allowed: bool,
    /// The lead knows that another lead has spoken, and decides anew.
    pub anew: bool,
}

impl Review {
    /// The review that an event gave.
    pub(super) fn of(event: Event) -> Result<Self, RecordError> {
        let Event { seq, when, by, what, .. } = event;
        match what {
            Happening::Review(Reviewed { decision, comment, .. }) => {
                Ok(Self { number: seq, by, when, decision, comment })
            }
            _ => Err(RecordError::Damaged { detail: format!("event {seq} is not a review") }),
        }
    }
}

/// A limit override in force.
#[derive(Debug, Clone, PartialEq)]
pub struct Overridden {
    pub limit: LimitOverride,
    pub by: Actor,
    pub when: Timestamp,
}

/// A stage as it was signed off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignOff {
    /// The number of its event.
    pub number: i64,
    pub signed: StageSigned,
    pub by: Actor,
    pub when: Timestamp,
}

/// Where a current reading stands, without what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stand {
    pub reading: ReadingId,
    /// The check's id in the measuring plan.
    pub check: String,
    pub position: String,
    /// Who posted it.
    pub person: String,
    pub verdict: Verdict,
    pub decision: Option<Decision>,
    /// The number of its latest review.
    pub review: Option<i64>,
}

impl SignOff {
    pub(super) fn of(event: Event) -> Result<Self, RecordError> {
        let Event { seq, when, by, what, .. } = event;
        match what {
            Happening::StageSigned(signed) => Ok(Self { number: seq, signed, by, when }),
            _ => Err(RecordError::Damaged { detail: format!("event {seq} is not a sign-off") }),
        }
    }

    /// Whether a sign-off says again what this one said. What it covers does not count, for that may have changed
    /// between the two tries.
    pub(super) fn is_retried_by(&self, again: &StageSigned) -> bool {
        let known = &self.signed;
        (known.job, &known.stage, &known.reason) == (again.job, &again.stage, &again.reason)
    }
}

/// An instrument as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    pub id: InstrumentId,
    /// As it stands: its uncertainty and due date are those of its last calibration.
    pub facts: InstrumentFacts,
    pub added: Mark,
    /// The last calibration since it was added.
    pub calibrated: Option<Noted<Calibration>>,
    pub retired: Option<Noted<Retirement>>,
}

/// Something that was written down of an instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted<T> {
    /// Its place in the chain.
    pub seq: i64,
    pub by: Actor,
    pub when: Timestamp,
    pub what: T,
}

/// The most photographs beside one reading.
pub const MOST_A_READING: usize = 6;

/// A photograph beside a reading, without its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// The number of its event.
    pub number: i64,
    pub by: Actor,
    pub when: Timestamp,
    pub what: Pictured,
}
