//! Photographs beside readings: put there with a reading or later, never taken away.
//!
//! The bytes lie in the record's own file, so that they and the event that names them are on disk in one step, and a backup
//! is still one file. The same photograph beside the same reading again adds nothing: a retry needs no key of its own.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension};

use super::{
    Act, Actor, Event, Happening, Hash, JobId, Media, Picture, Pictured, Reading, ReadingId, Record, RecordError,
    chain::{self, Fault},
    jobs, readings,
};

/// The most photographs beside one reading.
pub const MOST_A_READING: usize = 6;

/// Those of a reading and of the readings it took the place of: what an earlier one shows is still to be seen.
const OF_READING: &str = "e.pictured IN (
        WITH RECURSIVE same(seq) AS (VALUES (?) UNION
            SELECT a.supersedes FROM same JOIN event a ON a.seq = same.seq WHERE a.supersedes IS NOT NULL)
        SELECT seq FROM same)
    AND e.kind = 'photo' ORDER BY e.seq";
const OF_JOB: &str = "e.job = ? AND e.kind = 'photo' ORDER BY e.seq";
const BY_HASH: &str = "e.picture = ? AND e.kind = 'photo' ORDER BY e.seq LIMIT 1";

/// A photograph beside a reading, without its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// The number of its event.
    pub number: i64,
    pub by: Actor,
    pub when: Timestamp,
    pub what: Pictured,
}

impl Record {
    /// Puts photographs beside a reading that stands, all or none: who may log beside their own, a lead beside any.
    /// Returns them in the order given. One that is there already adds nothing, whatever became of the reading since.
    /// Errors: `NotAllowed`, `NotFound`, `JobClosed`, `AlreadyAmended`, `Unfit` (too many).
    pub fn add_photos(
        &self,
        actor: &Actor,
        of: ReadingId,
        pictures: &[Picture],
        now: Timestamp,
    ) -> Result<Vec<Photo>, RecordError> {
        actor.must(Act::Log)?;
        self.write(|tx| attach(tx, actor, of, pictures, now))
    }

    /// The photographs of a reading and of those it took the place of, in the order they were added.
    pub fn photos(&self, of: ReadingId) -> Result<Vec<Photo>, RecordError> {
        self.read(|tx| found(tx, OF_READING, [of.0]))
    }

    /// Every photograph of a job, in the order they were added.
    pub fn photos_of_job(&self, job: JobId) -> Result<Vec<Photo>, RecordError> {
        self.read(|tx| found(tx, OF_JOB, [job.0]))
    }

    /// The bytes kept under a hash and what they are, if an event names them.
    pub fn photo(&self, hash: &str) -> Result<Option<(Media, Vec<u8>)>, RecordError> {
        self.read(|tx| {
            let Some(photo) = found(tx, BY_HASH, [hash])?.into_iter().next() else { return Ok(None) };
            let kept = tx.prepare_cached("SELECT bytes FROM photo WHERE hash = ?")?;
            let bytes = { kept }.query_row([hash], |row| row.get(0)).optional()?;
            Ok(bytes.map(|bytes| (photo.what.media, bytes)))
        })
    }
}

/// Puts photographs beside a reading, within an act.
pub(super) fn attach(
    tx: &Connection,
    actor: &Actor,
    of: ReadingId,
    pictures: &[Picture],
    now: Timestamp,
) -> Result<Vec<Photo>, RecordError> {
    let before = own(tx, of)?;
    let mut out: Vec<Photo> = Vec::with_capacity(pictures.len());
    let mut beside: Option<(Reading, usize)> = None;
    for picture in pictures {
        let hash = picture.hash().to_hex();
        if let Some(known) = before.iter().chain(&out).find(|photo| photo.what.hash == *hash) {
            out.push(known.clone());
            continue;
        }
        let (reading, count) = match &mut beside {
            Some(beside) => beside,
            none => none.insert((open_to(tx, actor, of)?, before.len())),
        };
        *count += 1;
        if *count > MOST_A_READING {
            return Err(RecordError::Unfit { field: "photograph", rule: "would be the seventh beside this reading" });
        }
        let (width, height) = picture.size();
        let what = Pictured {
            job: reading.measured.job,
            of,
            hash: hash.as_str().to_owned(),
            media: picture.media(),
            size: picture.bytes().len() as u64,
            width,
            height,
        };
        keep(tx, &what.hash, picture.bytes())?;
        let number = chain::append(tx, actor, None, &Happening::Photo(what.clone()), now)?;
        out.push(Photo { number, by: actor.clone(), when: now, what });
    }
    Ok(out)
}

/// The reading, where this person may put a photograph beside it.
fn open_to(tx: &Connection, actor: &Actor, of: ReadingId) -> Result<Reading, RecordError> {
    let reading = readings::require_current(tx, of)?;
    jobs::require_open(tx, reading.measured.job)?;
    if reading.by.person != actor.person {
        actor.must(Act::PictureAny)?;
    }
    Ok(reading)
}

/// The photographs put beside this very reading.
fn own(tx: &Connection, of: ReadingId) -> Result<Vec<Photo>, RecordError> {
    found(tx, "e.pictured = ? AND e.kind = 'photo' ORDER BY e.seq", [of.0])
}

/// Keeps the bytes, once however often they are named.
fn keep(tx: &Connection, hash: &str, bytes: &[u8]) -> Result<(), RecordError> {
    let kept = tx.prepare_cached("SELECT 1 FROM photo WHERE hash = ?")?.exists([hash])?;
    if !kept {
        tx.prepare_cached("INSERT INTO photo (hash, bytes) VALUES (?, ?)")?.execute((hash, bytes))?;
    }
    Ok(())
}

fn found(conn: &Connection, rest: &str, parameters: impl rusqlite::Params) -> Result<Vec<Photo>, RecordError> {
    let query = format!("SELECT {} FROM event e WHERE {rest}", Event::columns("e"));
    conn.prepare_cached(&query)?.query_and_then(parameters, |row| Photo::of(Event::read(row, 0)?))?.collect()
}

impl Photo {
    fn of(event: Event) -> Result<Self, RecordError> {
        let Event { seq, when, by, what, .. } = event;
        match what {
            Happening::Photo(what) => Ok(Self { number: seq, by, when, what }),
            _ => Err(RecordError::Damaged { detail: format!("event {seq} is not a photograph") }),
        }
    }
}

/// The first photograph that is not as it was put there: gone, changed, or named by no event.
pub(super) fn astray(conn: &Connection, tell: &dyn Fn(i64)) -> Result<Option<Fault>, RecordError> {
    let named = "SELECT e.seq, e.picture, p.bytes FROM event e LEFT JOIN photo p ON p.hash = e.picture
                 WHERE e.picture IS NOT NULL AND e.kind = 'photo' ORDER BY e.seq";
    let mut photos = conn.prepare(named)?;
    let mut rows = photos.query([])?;
    while let Some(row) = rows.next()? {
        let seq: i64 = row.get(0)?;
        let expected: String = row.get(1)?;
        let kept = row.get_ref(2)?.as_blob_or_null().ok().flatten().map(blake3::hash);
        if kept.is_none_or(|hash| *hash.to_hex() != *expected) {
            let found = kept.map(|hash: Hash| hash.to_hex().as_str().to_owned());
            return Ok(Some(Fault::Photo { seq, expected, found }));
        }
        tell(seq);
    }
    let unnamed = "SELECT min(p.rowid) FROM photo p
                   WHERE NOT EXISTS (SELECT 1 FROM event e WHERE e.picture = p.hash AND e.kind = 'photo')";
    let id = conn.query_row(unnamed, [], |row| row.get::<_, Option<i64>>(0))?;
    Ok(id.map(|id| Fault::Standing { table: "photo", id }))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// However many readings there are, a photograph is found through an index.
    #[test]
    fn no_query_walks_all_events() {
        let record = Record::in_memory().unwrap();
        for (rest, index) in [(OF_READING, "event_pictured"), (OF_JOB, "event_job"), (BY_HASH, "event_picture")] {
            let plan: Vec<String> = record
                .read(|tx| {
                    let mut explained =
                        tx.prepare(&format!("EXPLAIN QUERY PLAN SELECT * FROM event e WHERE {rest}"))?;
                    let none = vec![rusqlite::types::Null; explained.parameter_count()];
                    let steps = explained.query_map(rusqlite::params_from_iter(none), |row| row.get(3))?;
                    Ok(steps.collect::<Result<_, _>>()?)
                })
                .unwrap();
            assert!(!plan.iter().any(|step| step.starts_with("SCAN e")), "{rest}: {plan:#?}");
            assert!(plan.iter().any(|step| step.contains(index)), "{rest}: {plan:#?}");
        }
    }
}
