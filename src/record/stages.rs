//! Stages of a job: a lead signs one off, over the readings that count on that day. Which checks make up a stage, and
//! which of them hold the work, is worked out elsewhere; the record keeps what was signed, and over what.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension};

use super::{
    Act, Actor, Decision, Event, Happening, JobId, ReadingId, Record, RecordError, SignOff, StageSigned, Stand, chain,
    jobs, readings, trouble::required,
};
use crate::maths::judge::Verdict;

const OF_JOB: &str = "SELECT reading, check_id, position, person, severity, decision, review FROM standing
    WHERE job = ? ORDER BY reading";

impl Record {
    /// Signs off a stage over the readings named, which must all stand. Where no hold point is named as open each of them
    /// must be accepted; where one is, it takes a reason. With a key, a retry by the same person returns the first
    /// sign-off; the one in force, said again, adds nothing.
    /// Errors: `NotAllowed`, `Unfit`, `NotFound`, `JobClosed`, `AlreadyAmended`, `Conflict`.
    pub fn sign_stage(
        &self,
        actor: &Actor,
        key: Option<&str>,
        signed: StageSigned,
        now: Timestamp,
    ) -> Result<SignOff, RecordError> {
        actor.must(Act::SignStage)?;
        required("stage", &signed.stage)?;
        if !signed.open.is_empty() {
            required("reason", signed.reason.as_deref().unwrap_or_default())?;
        }
        self.write(|tx| {
            if let Some(key) = key {
                required("key", key)?;
                if let Some(first) = Event::first_with_key(tx, &actor.person, key)? {
                    let seq = first.seq;
                    return match SignOff::of(first) {
                        Ok(known) if known.is_retried_by(&signed) => Ok(known),
                        _ => Err(RecordError::Conflict { key: key.to_owned(), first: seq }),
                    };
                }
            }
            jobs::require_open(tx, signed.job)?;
            for reading in &signed.readings {
                check(tx, &signed, *reading)?;
            }
            let same = in_force(tx, signed.job)?.into_iter().find(|known| known.signed == signed);
            if let Some(same) = same
                && !is_shaken(tx, &same)?
            {
                return Ok(same);
            }
            let what = Happening::StageSigned(signed.clone());
            let number = chain::append(tx, actor, key, &what, now)?;
            Ok(SignOff { number, signed, by: actor.clone(), when: now })
        })
    }

    /// The sign-offs of a job: the last one of each stage, in the order they were given. Errors: `NotFound`.
    pub fn sign_offs(&self, job: JobId) -> Result<Vec<SignOff>, RecordError> {
        self.read(|tx| {
            jobs::load(tx, job)?;
            in_force(tx, job)
        })
    }

    /// Where the current readings of a job stand, as posted.
    pub fn stands(&self, job: JobId) -> Result<Vec<Stand>, RecordError> {
        self.read(|tx| {
            let mut found = tx.prepare_cached(OF_JOB)?;
            let rows = found.query_map([job.0], |row| {
                let severity: i64 = row.get(4)?;
                Ok(Stand {
                    reading: ReadingId(row.get(0)?),
                    check: row.get(1)?,
                    position: row.get(2)?,
                    person: row.get(3)?,
                    verdict: match severity {
                        3 => Verdict::Out,
                        2 => Verdict::Marginal,
                        1 => Verdict::Within,
                        _ => Verdict::NoLimit,
                    },
                    decision: match row.get::<_, Option<String>>(5)?.as_deref() {
                        Some("accepted") => Some(Decision::Accepted),
                        Some("returned") => Some(Decision::Returned),
                        _ => None,
                    },
                    review: row.get(6)?,
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }
}

fn in_force(tx: &Connection, job: JobId) -> Result<Vec<SignOff>, RecordError> {
    let query = format!(
        "SELECT {} FROM event e WHERE e.job = ? AND e.kind = 'stage-signed' ORDER BY e.seq",
        Event::columns("e")
    );
    let mut found: Vec<SignOff> = Vec::new();
    for event in tx.prepare_cached(&query)?.query_and_then([job.0], |row| Event::read(row, 0))? {
        let sign_off = SignOff::of(event?)?;
        found.retain(|known| known.signed.stage != sign_off.signed.stage);
        found.push(sign_off);
    }
    Ok(found)
}

/// Refuses a reading that the sign-off cannot cover.
fn check(tx: &Connection, signed: &StageSigned, id: ReadingId) -> Result<(), RecordError> {
    let reading = readings::require_current(tx, id)?;
    if reading.measured.job != signed.job {
        return Err(RecordError::Unfit { field: "stage", rule: "covers a reading of another job" });
    }
    let decision: Option<String> = tx
        .prepare_cached("SELECT decision FROM standing WHERE reading = ?")?
        .query_row([id.0], |row| row.get(0))
        .optional()?
        .flatten();
    if signed.open.is_empty() && decision.as_deref() != Some(Decision::Accepted.word()) {
        return Err(RecordError::Unfit { field: "stage", rule: "covers a reading that no lead has accepted" });
    }
    Ok(())
}

/// Whether a lead has spoken anew of a reading since the sign-off covered it.
fn is_shaken(tx: &Connection, sign_off: &SignOff) -> Result<bool, RecordError> {
    let mut since = tx.prepare_cached("SELECT 1 FROM standing WHERE reading = ? AND review > ?")?;
    for reading in &sign_off.signed.readings {
        if since.exists((reading.0, sign_off.number))? {
            return Ok(true);
        }
    }
    Ok(false)
}
