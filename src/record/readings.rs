//! Readings: posted once, superseded by amendments, never changed.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row};

use super::{
    Act, Actor, Amends, Entry, Event, Happening, JobId, Measured, Picture, Posted, Posting, Reading, ReadingId, Record,
    RecordError, Review, chain, jobs, photos,
    trouble::{finite, required},
};

impl Record {
    /// Posts a reading. A retry with the same person and key returns the first one; the same key with other content is
    /// refused. What a retry was judged to be does not count as content, for a page may have changed meanwhile.
    /// Errors: `NotAllowed`, `NotFound`, `JobClosed`, `Conflict`, `Unfit`.
    pub fn post(&self, actor: &Actor, key: &str, measured: Measured, now: Timestamp) -> Result<Posted, RecordError> {
        self.post_with(actor, key, measured, &[], now)
    }

    /// As [`Self::post`], with photographs beside it: reading and photographs are taken together, or nothing is.
    /// Errors: `Unfit` for too many, too.
    pub fn post_with(
        &self,
        actor: &Actor,
        key: &str,
        measured: Measured,
        pictures: &[Picture],
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        self.take(actor, Act::Log, key, Posting { measured, amends: None }, pictures, now)
    }

    /// Posts a reading in place of an earlier one of the same job, which stays in the history. Retries as
    /// [`Self::post`]. Errors: as there, and `AlreadyAmended` naming the one that stands now.
    pub fn amend(
        &self,
        actor: &Actor,
        key: &str,
        earlier: ReadingId,
        reason: &str,
        measured: Measured,
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        self.amend_with(actor, key, Amends { reading: earlier, reason: reason.to_owned() }, measured, &[], now)
    }

    /// As [`Self::amend`], with photographs beside the new reading.
    pub fn amend_with(
        &self,
        actor: &Actor,
        key: &str,
        amends: Amends,
        measured: Measured,
        pictures: &[Picture],
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        required("reason", &amends.reason)?;
        let amends = Some(amends);
        self.take(actor, Act::AmendOwn, key, Posting { measured, amends }, pictures, now)
    }

    fn take(
        &self,
        actor: &Actor,
        act: Act,
        key: &str,
        posting: Posting,
        pictures: &[Picture],
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        actor.must(act)?;
        required("key", key)?;
        check(&posting.measured)?;
        self.write(|tx| {
            let posted = enter(tx, actor, key, posting, now)?;
            photos::attach(tx, actor, posted.reading.id, pictures, now)?;
            Ok(posted)
        })
    }

    /// Posts several readings as one act: all of them are taken, or none. Each has the key with its number behind it, from 1
    /// on; a retry returns the first ones, and must hold as many. Errors as [`Self::post`].
    pub fn post_all(
        &self,
        actor: &Actor,
        key: &str,
        all: Vec<Measured>,
        now: Timestamp,
    ) -> Result<Vec<Posted>, RecordError> {
        actor.must(Act::Log)?;
        required("key", key)?;
        all.iter().try_for_each(check)?;
        let numbered = |number| Self::numbered(key, number);
        self.write(|tx| {
            let beyond = Event::first_with_key(tx, &actor.person, &numbered(all.len() + 1))?;
            if let Some(first) = beyond {
                return Err(RecordError::Conflict { key: key.to_owned(), first: first.seq });
            }
            let mut posted: Vec<Posted> = Vec::with_capacity(all.len());
            for (before, measured) in all.into_iter().enumerate() {
                let one = enter(tx, actor, &numbered(before + 1), Posting { measured, amends: None }, now)?;
                // Some old and some new: the key was used for fewer.
                if let Some(first) = posted.first().filter(|first| first.was_retry != one.was_retry) {
                    return Err(RecordError::Conflict { key: key.to_owned(), first: first.reading.id.0 });
                }
                posted.push(one);
            }
            Ok(posted)
        })
    }

    /// One reading and where it stands, current or not. Errors: `NotFound`.
    pub fn reading(&self, id: ReadingId) -> Result<Entry, RecordError> {
        self.read(|tx| {
            let found = entries(tx, ALL, "e.seq = ? AND e.kind = 'reading'", [id.0])?;
            found.into_iter().next().ok_or(RecordError::NotFound { what: "reading", id: id.0 })
        })
    }

    /// The current readings of a job, as posted, with their reviews. Errors: `NotFound`.
    pub fn readings(&self, job: JobId) -> Result<Vec<Entry>, RecordError> {
        self.read(|tx| {
            jobs::load(tx, job)?;
            entries(tx, CURRENT, OF_JOB, [job.0])
        })
    }

    /// Every reading at a place, first to last, superseded ones too.
    pub fn history(&self, job: JobId, check: &str, position: &str) -> Result<Vec<Entry>, RecordError> {
        self.read(|tx| entries(tx, ALL, EVER_AT_PLACE, (job.0, check, position)))
    }

    /// What that person posted under that key, if anything: a retry of it.
    pub fn posted_under(&self, person: &str, key: &str) -> Result<Option<Reading>, RecordError> {
        self.read(|tx| Ok(Event::first_with_key(tx, person, key)?.and_then(|event| Reading::of_event(event).ok())))
    }

    /// The last current reading at a place.
    pub fn latest(&self, job: JobId, check: &str, position: &str) -> Result<Option<Entry>, RecordError> {
        self.read(|tx| Ok(entries(tx, CURRENT, LATEST_AT_PLACE, (job.0, check, position))?.into_iter().next()))
    }
}

/// Puts a reading on the end of the chain, or finds the one that the first try put there.
fn enter(tx: &Connection, actor: &Actor, key: &str, posting: Posting, now: Timestamp) -> Result<Posted, RecordError> {
    if let Some(first) = Event::first_with_key(tx, &actor.person, key)? {
        let seq = first.seq;
        return match Reading::of_event(first) {
            Ok(reading) if reading.is_retried_by(&posting) => Ok(Posted { reading, was_retry: true }),
            _ => Err(RecordError::Conflict { key: key.to_owned(), first: seq }),
        };
    }
    jobs::require_open(tx, posting.measured.job)?;
    if let Some(amends) = &posting.amends {
        let earlier = require_current(tx, amends.reading)?;
        if earlier.by.person != actor.person {
            actor.must(Act::AmendAny)?;
        }
        if earlier.measured.job != posting.measured.job {
            return Err(RecordError::Unfit { field: "job", rule: "is not the job of the reading to amend" });
        }
    }
    let what = Happening::Reading(posting);
    let id = ReadingId(chain::append(tx, actor, Some(key), &what, now)?);
    let Happening::Reading(Posting { measured, amends }) = what else {
        return Err(RecordError::Other { detail: "a reading turned into something else".to_owned() });
    };
    if let Some(amends) = &amends {
        stands_no_more(tx, amends.reading)?;
    }
    refresh(tx, id)?;
    if let Some(before) = last_at_place(tx, &measured, id)? {
        refresh(tx, before)?;
    }
    let reading = Reading { id, by: actor.clone(), when: now, key: Some(key.to_owned()), measured, amends };
    Ok(Posted { reading, was_retry: false })
}

/// Where readings are found, for [`entries`]: all that were ever posted, or the current ones.
const ALL: &str = "event e";
pub(super) const CURRENT: &str = "standing s JOIN event e ON e.seq = s.reading";

const OF_JOB: &str = "s.job = ? ORDER BY s.reading";
const EVER_AT_PLACE: &str = "e.kind = 'reading' AND e.job = ? AND e.check_id = ? AND e.position = ? ORDER BY e.seq";
const LATEST_AT_PLACE: &str = "s.job = ? AND s.check_id = ? AND s.position = ? ORDER BY s.reading DESC LIMIT 1";

/// Reads entries from a source that names the reading's event `e`.
pub(super) fn entries(
    conn: &Connection,
    source: &str,
    rest: &str,
    parameters: impl rusqlite::Params,
) -> Result<Vec<Entry>, RecordError> {
    conn.prepare_cached(&query(source, rest))?.query_and_then(parameters, read)?.collect()
}

/// Every reading of a place that was read more than once, by place and in the order they were posted.
pub(super) fn every_repeat(tx: &Connection) -> Result<Vec<Reading>, RecordError> {
    let query = format!(
        "SELECT {} FROM (SELECT job, check_id, position FROM event WHERE kind = 'reading'
                         GROUP BY job, check_id, position HAVING count(*) > 1) p
         JOIN event e ON e.kind = 'reading' AND e.job = p.job AND e.check_id = p.check_id AND e.position = p.position
         ORDER BY e.job, e.check_id, e.position, e.seq",
        Event::columns("e")
    );
    tx.prepare_cached(&query)?.query_and_then([], |row| Reading::of_event(Event::read(row, 0)?))?.collect()
}

fn query(source: &str, rest: &str) -> String {
    format!(
        "SELECT {}, {}, r.seq, (SELECT a.seq FROM event a WHERE a.supersedes = e.seq)
         FROM {source} LEFT JOIN event r ON r.seq = (SELECT max(l.seq) FROM event l WHERE l.reviews = e.seq)
         WHERE {rest}",
        Event::columns("e"),
        Event::columns("r"),
    )
}

fn read(row: &Row<'_>) -> Result<Entry, RecordError> {
    let reading = Reading::of_event(Event::read(row, 0)?)?;
    let reviewed: Option<i64> = row.get(2 * Event::WIDTH)?;
    let review = reviewed.map(|_| Review::of(Event::read(row, Event::WIDTH)?)).transpose()?;
    let superseded_by = row.get::<_, Option<i64>>(2 * Event::WIDTH + 1)?.map(ReadingId);
    Ok(Entry { reading, review, superseded_by })
}

/// The reading, if it stands; if it was amended, the error names the one that does.
pub(super) fn require_current(tx: &Connection, id: ReadingId) -> Result<Reading, RecordError> {
    let event = Event::find(tx, "e.seq = ?", [id.0])?;
    let reading = event.map_or(Err(RecordError::NotFound { what: "reading", id: id.0 }), Reading::of_event)?;
    let mut latest = id;
    let mut after = tx.prepare_cached("SELECT seq FROM event WHERE supersedes = ?")?;
    while let Some(next) = after.query_row([latest.0], |row| row.get(0)).optional()? {
        latest = ReadingId(next);
    }
    if latest == id { Ok(reading) } else { Err(RecordError::AlreadyAmended { reading: id, latest }) }
}

/// Writes down anew where a current reading stands.
pub(super) fn refresh(tx: &Connection, id: ReadingId) -> Result<(), RecordError> {
    tx.prepare_cached("INSERT OR REPLACE INTO standing SELECT * FROM derived_standing WHERE reading = ?")?
        .execute([id.0])?;
    Ok(())
}

/// Takes a reading that was amended from where things stand; the one before it at its place may count again.
fn stands_no_more(tx: &Connection, amended: ReadingId) -> Result<(), RecordError> {
    let gone = "DELETE FROM standing WHERE reading = ? RETURNING job, check_id, position";
    let place = tx.prepare_cached(gone)?.query_row([amended.0], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
    let (job, check, position): (i64, String, String) = place?;
    let last: Option<i64> = tx
        .prepare_cached("SELECT max(reading) FROM standing WHERE job = ? AND check_id = ? AND position = ?")?
        .query_row((job, check, position), |row| row.get(0))?;
    last.map_or(Ok(()), |last| refresh(tx, ReadingId(last)))
}

/// The last current reading before that one at its place.
fn last_at_place(tx: &Connection, measured: &Measured, before: ReadingId) -> Result<Option<ReadingId>, RecordError> {
    let query = "SELECT max(reading) FROM standing WHERE job = ? AND check_id = ? AND position = ? AND reading < ?";
    let place = (measured.job.0, &measured.check, &measured.position, before.0);
    Ok(tx.prepare_cached(query)?.query_row(place, |row| row.get::<_, Option<i64>>(0))?.map(ReadingId))
}

/// Refuses a reading that could not be read back as it was sent.
fn check(measured: &Measured) -> Result<(), RecordError> {
    required("check", &measured.check)?;
    required("position", &measured.position)?;
    if measured.raw.is_empty() {
        return Err(RecordError::Unfit { field: "reading", rule: "holds no value" });
    }
    measured.raw.iter().try_for_each(|value| finite("reading", *value))?;
    measured.temperature.map_or(Ok(()), |value| finite("temperature", value))?;
    measured.gauge.as_ref().map_or(Ok(()), |gauge| finite("uncertainty", gauge.uncertainty))?;
    measured.measures.iter().try_for_each(|judged| {
        required("measure", &judged.measure)?;
        let numbers = [Some(judged.value), judged.min, judged.max];
        numbers.into_iter().flatten().try_for_each(|value| finite("measure", value))
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::record::review::{RETURNED, UNTOLD, WAITING};

    /// However many readings there are, each of these finds its own through an index and sorts no more than those. (The
    /// index of waiting readings holds nothing else, so it is read from its start.)
    #[test]
    fn no_query_walks_all_readings() {
        let record = Record::in_memory().unwrap();
        for (source, rest, sorts) in [
            (ALL, EVER_AT_PLACE, false),
            (CURRENT, OF_JOB, true),
            (CURRENT, LATEST_AT_PLACE, false),
            (CURRENT, WAITING, false),
            (CURRENT, RETURNED, true),
            (CURRENT, UNTOLD, true),
        ] {
            let plan: Vec<String> = record
                .read(|tx| {
                    let mut explained = tx.prepare(&format!("EXPLAIN QUERY PLAN {}", query(source, rest)))?;
                    let none = vec![rusqlite::types::Null; explained.parameter_count()];
                    let steps = explained.query_map(rusqlite::params_from_iter(none), |row| row.get(3))?;
                    Ok(steps.collect::<Result<_, _>>()?)
                })
                .unwrap();
            let few = |step: &str| ["standing_waiting", "standing_returned"].iter().any(|index| step.contains(index));
            let scans = |step: &&String| step.starts_with("SCAN") && !few(step);
            assert_eq!(plan.iter().find(scans), None, "{rest}: {plan:#?}");
            assert!(sorts || !plan.iter().any(|step| step.contains("TEMP B-TREE")), "{rest}: {plan:#?}");
        }
    }
}
