//! The record's answers in the desk's words: what it refuses is told as a refusal, what broke stays a fault.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::Context;
use super::trouble::{Refusal, Trouble};
use crate::engine::limits::{Bound, Limit};
use crate::engine::measures::EVERYWHERE;
use crate::quantity::{show, unit_for};
use crate::record::{Act, Entry, RecordError, Taken};

impl From<RecordError> for Trouble {
    fn from(error: RecordError) -> Self {
        let sentence = |e: &RecordError| show::capital(&e.to_string()) + ".";
        let refusal = match &error {
            RecordError::NotFound { what, id } => Refusal::new(*what, id.to_string(), sentence(&error)),
            RecordError::JobClosed(id) => Refusal::new("job", id.to_string(), sentence(&error)),
            RecordError::NotAllowed { role, .. } => Refusal::new("role", role.word(), sentence(&error)),
            RecordError::AlreadyReviewed { reading, .. } => {
                let mut refusal = Refusal::new("reading", reading.to_string(), sentence(&error) + " Write --anew.");
                refusal.line = Some(format!("review show {reading}"));
                refusal
            }
            RecordError::OwnReading(id) => Refusal::new("reading", id.to_string(), sentence(&error)),
            RecordError::Conflict { .. } => Refusal::new("request", "", sentence(&error)),
            RecordError::AlreadyAmended { reading, .. } => {
                Refusal::new("reading", reading.to_string(), sentence(&error))
            }
            RecordError::Unfit { field, .. } => Refusal::new(*field, "", sentence(&error)),
            // These are no fault of the line, and none of ours: the person has to know, word for word.
            RecordError::DiskFull
            | RecordError::Disk { .. }
            | RecordError::Busy
            | RecordError::NotWritable
            | RecordError::OutOfReach => Refusal::new("record", "", sentence(&error)),
            RecordError::Damaged { .. } | RecordError::Other { .. } => return Self::Fault(anyhow::anyhow!(error)),
        };
        Self::Refused(refusal)
    }
}

impl Context<'_> {
    /// Refuses what the asker's role may not do, before anything else is looked at.
    pub fn must(&self, act: Act) -> Result<(), Trouble> {
        let role = self.desk.role(self.asker);
        if role.may(act) { Ok(()) } else { Err(RecordError::NotAllowed { act, role }.into()) }
    }

    /// A job's own limits, oldest first.
    pub fn overrides(&self, job: crate::record::JobId) -> Result<Vec<Limit>, Trouble> {
        let kept = self.desk.record.overrides(job)?;
        Ok(kept
            .into_iter()
            .filter_map(|own| {
                let measure = *self.library.plan().measure(&own.limit.measure)?;
                let at = measure.parts.iter().find(|part| **part == own.limit.at).copied().unwrap_or(EVERYWHERE);
                let unit = unit_for(measure.dimension, &own.limit.unit)?;
                Some(Limit {
                    measure,
                    per: None,
                    at,
                    min: own.limit.min.map(Bound::Fixed),
                    max: own.limit.max.map(Bound::Fixed),
                    unit,
                    basis: format!("{}, {} on {}", own.limit.reason, own.by.person, day(own.when)),
                    page: String::new(),
                    line: 0,
                })
            })
            .collect())
    }
}

/// A place or part as it stands behind a name: ` 3 top`; nothing for the whole engine.
pub fn behind_name(at: &str) -> String {
    if at == EVERYWHERE { String::new() } else { format!(" {at}") }
}

/// `2026-11-20`, UTC: one calendar for every front and for the sheet.
pub fn day(when: Timestamp) -> String {
    when.strftime("%Y-%m-%d").to_string()
}

/// The same as a date.
pub fn date(when: Timestamp) -> Date {
    when.to_zoned_datetime(TimeZone::UTC).date()
}

/// `2026-11-20 09:00`, UTC.
pub fn moment(when: Timestamp) -> String {
    when.strftime("%Y-%m-%d %H:%M").to_string()
}

/// `2026-11-20 09:00 UTC, held on a phone until it was posted`, and how far that phone's clock was off.
pub fn taken(taken: &Taken) -> String {
    let off = match taken.ahead {
        0 => String::new(),
        ahead => {
            let minutes = ahead.unsigned_abs().div_ceil(60);
            let way = if ahead > 0 { "fast" } else { "slow" };
            format!("; its clock was {minutes} min {way}, and the time is put right by that")
        }
    };
    format!("{} UTC, held on a phone until it was posted{off}", moment(taken.at))
}

/// `accepted by lead`, `returned by lead: measure again`, `waits for the lead`.
pub fn standing(entry: &Entry) -> String {
    match &entry.review {
        None => "waits for the lead".to_owned(),
        Some(review) => {
            let word = review.decision.word();
            let comment = review.comment.as_ref().map(|c| format!(": {c}")).unwrap_or_default();
            format!("{word} by {}{comment}", review.by.person)
        }
    }
}
