//! What can happen, as the record keeps it: each event's payload is one of these as JSON.
//!
//! A field may be added with a default; none is renamed or removed, for the events already written must still read.

use std::{fmt, str::FromStr};

use jiff::{Timestamp, civil::Date};
use rusqlite::{Connection, Params, Row};
use serde::{Deserialize, Serialize};

use super::{Actor, Hash, Media, Record, RecordError, words};
use crate::{maths::judge::Verdict, quantity::Dimension};

/// A job's number, shown as `#7`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct JobId(pub i64);

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{}", self.0)
    }
}

impl FromStr for JobId {
    type Err = std::num::ParseIntError;

    /// Reads `7` or `#7`.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        text.strip_prefix('#').unwrap_or(text).parse().map(Self)
    }
}

/// A reading's number: that of the event that posted it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ReadingId(pub i64);

impl fmt::Display for ReadingId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// An instrument's number: that of the event that put it in the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct InstrumentId(pub i64);

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Happening {
    JobOpened(JobOpened),
    JobClosed(JobClosed),
    Reading(Posting),
    Review(Reviewed),
    LimitOverridden(LimitOverride),
    StageSigned(StageSigned),
    InstrumentAdded(InstrumentFacts),
    InstrumentCalibrated(Calibration),
    InstrumentRetired(Retirement),
    StandardCheck(StandardCheck),
    Photo(Pictured),
}

/// A job was opened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobOpened {
    pub job: JobId,
    /// The engine page's id.
    pub engine: String,
    pub title: String,
    /// The owner, and what they want done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A job was closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JobClosed {
    pub job: JobId,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The hold points it was closed over.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub open: Vec<OpenHold>,
}

/// A lead signed off a stage of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StageSigned {
    pub job: JobId,
    /// The stage's word.
    pub stage: String,
    /// The readings it covers: those of the stage that counted on that day.
    pub readings: Vec<ReadingId>,
    /// The hold points it was signed off over.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub open: Vec<OpenHold>,
    /// Why, where a hold point was open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A hold point that was open when a lead went over it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenHold {
    /// The check's id in the measuring plan.
    pub check: String,
    /// Positions without a reading, or whose reading was returned.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<String>,
    /// Positions whose reading no lead had accepted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waiting: Vec<String>,
}

/// What a person measured, and what it was judged to be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    pub job: JobId,
    /// The check's id in the measuring plan.
    pub check: String,
    /// The position as the measuring plan shows it.
    pub position: String,
    /// The readings in SI, in the check's order.
    #[serde(with = "words::exact::list")]
    pub raw: Vec<f64>,
    /// The readings as the person wrote them.
    pub typed: String,
    /// The unit they were taken in, as written.
    pub unit: String,
    #[serde(with = "words::KeptDimension")]
    pub dimension: Dimension,
    /// Kelvin.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub temperature: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// How that instrument stood in the register; none for one that is not in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge: Option<Gauge>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Where its photo is kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// The measures derived from the readings.
    pub measures: Vec<Judged>,
    /// The verdict on the whole reading.
    pub verdict: Verdict,
    /// The revision of the page that it was judged by.
    pub page_revision: String,
}

/// A registered instrument as it stood on the day it was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gauge {
    pub number: InstrumentId,
    /// Expanded uncertainty (k = 2) of one value of the reading, SI.
    #[serde(with = "words::exact")]
    pub uncertainty: f64,
    /// When its calibration is due.
    pub due: Date,
    /// It was due before that day.
    pub overdue: bool,
    /// Its last check against a standard was off by more than its uncertainty.
    #[serde(default)]
    pub off: bool,
}

/// One measure, and the limits it was judged by on that day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Judged {
    /// The limits table's `Check`.
    pub measure: String,
    /// The limits table's `At`.
    pub at: String,
    /// SI.
    #[serde(with = "words::exact")]
    pub value: f64,
    /// SI.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub min: Option<f64>,
    /// SI.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub max: Option<f64>,
    pub verdict: Verdict,
    /// What the limit rests on.
    pub basis: String,
    /// Where the limit came from: the job's override, the engine page, a general page.
    pub source: String,
}

/// A reading was posted, perhaps in place of an earlier one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Posting {
    #[serde(flatten)]
    pub measured: Measured,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amends: Option<Amends>,
}

/// The earlier reading that one supersedes, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Amends {
    pub reading: ReadingId,
    pub reason: String,
}

/// A photograph was put beside a reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pictured {
    pub job: JobId,
    /// The reading it is of.
    pub of: ReadingId,
    /// What its bytes are kept under: their BLAKE3 hash in hexadecimal digits.
    pub hash: String,
    pub media: Media,
    /// How many bytes it has.
    pub size: u64,
    pub width: u32,
    pub height: u32,
}

/// A lead's decision on a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Decision {
    Accepted,
    Returned,
}

impl Decision {
    /// The word for it, as it is kept and shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::Returned => "returned",
        }
    }
}

/// A reading was reviewed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reviewed {
    pub job: JobId,
    pub reading: ReadingId,
    pub decision: Decision,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comment: Option<String>,
}

/// A limit set for one job in place of the library's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LimitOverride {
    pub job: JobId,
    /// The limits table's `Check`.
    pub measure: String,
    /// The limits table's `At`.
    pub at: String,
    /// SI; none for no lower limit.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub min: Option<f64>,
    /// SI; none for no upper limit.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub max: Option<f64>,
    /// The unit it was given in, as written.
    pub unit: String,
    pub reason: String,
}

/// An instrument was put in the register.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct InstrumentFacts {
    /// What the shop calls it; no other ever has that name.
    pub name: String,
    /// The word for its kind.
    pub sort: String,
    #[serde(with = "words::KeptDimension")]
    pub dimension: Dimension,
    /// Its range, SI.
    #[serde(with = "words::exact")]
    pub from: f64,
    #[serde(with = "words::exact")]
    pub to: f64,
    /// The smallest step it shows, SI.
    #[serde(with = "words::exact")]
    pub step: f64,
    /// Expanded uncertainty (k = 2), SI.
    #[serde(with = "words::exact")]
    pub uncertainty: f64,
    pub due: Date,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// An instrument came back from calibration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    pub number: InstrumentId,
    pub due: Date,
    /// Expanded uncertainty (k = 2), SI, where the certificate gives another.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<f64>,
    /// The certificate's number, or where it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// An instrument was taken out of use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Retirement {
    pub number: InstrumentId,
    pub reason: String,
}

/// An instrument was tried on a setting standard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandardCheck {
    pub number: InstrumentId,
    /// What the standard is, SI.
    #[serde(with = "words::exact")]
    pub standard: f64,
    /// What the instrument showed, SI.
    #[serde(with = "words::exact")]
    pub read: f64,
    /// Kelvin.
    #[serde(default, with = "words::exact::option", skip_serializing_if = "Option::is_none")]
    pub temperature: Option<f64>,
    /// The day it was done, which may be before it was written down.
    pub on: Date,
    /// It was set on the standard just before: what it read earlier says nothing of it any more.
    #[serde(default)]
    pub set: bool,
}

/// An event as the record holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Its place in the chain, from 1.
    pub seq: i64,
    pub when: Timestamp,
    pub by: Actor,
    /// What a retry of the same act would carry again.
    pub key: Option<String>,
    pub what: Happening,
    pub hash: Hash,
}

impl Event {
    /// How many columns [`Self::columns`] names.
    pub(super) const WIDTH: usize = 9;

    /// The columns to select for one, from the event table under that alias.
    pub(super) fn columns(alias: &str) -> String {
        ["seq", "at", "person", "role", "front", "channel", "key", "payload", "hash"]
            .map(|column| format!("{alias}.{column}"))
            .join(", ")
    }

    /// Reads one from a row, its columns starting at `from`. What cannot be read is damage.
    pub(super) fn read(row: &Row<'_>, from: usize) -> Result<Self, RecordError> {
        let seq: i64 = row.get(from)?;
        let unreadable = |what: &str| RecordError::Damaged { detail: format!("event {seq} has an unreadable {what}") };
        let when: String = row.get(from + 1)?;
        let role: String = row.get(from + 3)?;
        let payload: String = row.get(from + 7)?;
        let hash: [u8; 32] = row.get(from + 8)?;
        Ok(Self {
            seq,
            when: when.parse().map_err(|_| unreadable("time"))?,
            by: Actor {
                person: row.get(from + 2)?,
                role: role.parse().map_err(|_| unreadable("role"))?,
                front: row.get(from + 4)?,
                channel: row.get(from + 5)?,
            },
            key: row.get(from + 6)?,
            what: serde_json::from_str(&payload).map_err(|_| unreadable("payload"))?,
            hash: Hash::from_bytes(hash),
        })
    }

    /// The first event, under the alias `e`, that the rest of the query picks.
    pub(super) fn find(conn: &Connection, rest: &str, parameters: impl Params) -> Result<Option<Self>, RecordError> {
        let query = format!("SELECT {} FROM event e WHERE {rest}", Self::columns("e"));
        conn.prepare_cached(&query)?.query_and_then(parameters, |row| Self::read(row, 0))?.next().transpose()
    }

    /// What that person did first under that key.
    pub(super) fn first_with_key(conn: &Connection, person: &str, key: &str) -> Result<Option<Self>, RecordError> {
        Self::find(conn, "e.person = ? AND e.key = ?", (person, key))
    }
}

impl Record {
    /// Events from that number on, in order, at most `most` of them.
    pub fn events_from(&self, seq: i64, most: u32) -> Result<Vec<Event>, RecordError> {
        let query = format!("SELECT {} FROM event e WHERE e.seq >= ? ORDER BY e.seq LIMIT ?", Event::columns("e"));
        self.read(|tx| tx.prepare_cached(&query)?.query_and_then((seq, most), |row| Event::read(row, 0))?.collect())
    }
}
