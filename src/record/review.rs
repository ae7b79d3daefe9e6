//! Review: a lead accepts a reading or returns it with a comment. The latest review of a current reading counts.
//!
//! Of two leads who decide at once the first one's word stands: the other is told, and has to say that they decide anew.

use jiff::Timestamp;
use rusqlite::Connection;

use super::{
    Act, Actor, Decision, Entry, Happening, ReadingId, Record, RecordError, Reviewed, Said, chain, jobs,
    readings::{self, CURRENT, entries},
    trouble::required,
};

pub(super) const WAITING: &str = "s.waiting = 1 ORDER BY s.severity DESC, s.reading LIMIT ?";
pub(super) const RETURNED: &str = "s.person = ? AND s.decision = 'returned'
    AND EXISTS (SELECT 1 FROM job j WHERE j.id = s.job AND j.closed IS NULL) ORDER BY s.reading";
/// Readings that came back to a person, posted at a place of a front, and that they were not told of yet.
pub(super) const UNTOLD: &str = "s.person = ? AND s.decision = 'returned' AND e.front = ? AND e.channel = ?
    AND EXISTS (SELECT 1 FROM job j WHERE j.id = s.job AND j.closed IS NULL)
    AND NOT EXISTS (SELECT 1 FROM told t WHERE t.review = s.review) ORDER BY s.reading";

impl Record {
    /// Reviews readings, all or none. To return one takes a comment; to accept one's own takes `own_allowed`. A lead
    /// who says the same again of the same reading adds nothing, nor does one who accepts what another has accepted.
    /// Errors: `NotAllowed`, `Unfit`, `NotFound`, `JobClosed`, `AlreadyAmended`, `OwnReading`, `AlreadyReviewed`.
    pub fn review(
        &self,
        actor: &Actor,
        ids: &[ReadingId],
        decision: Decision,
        comment: Option<&str>,
        own_allowed: bool,
        now: Timestamp,
    ) -> Result<(), RecordError> {
        self.review_so(actor, ids, Said { decision, comment, own_allowed, anew: false }, now).map(drop)
    }

    /// As [`Self::review`], of all that a lead may say; returns the readings of which this was news.
    pub fn review_so(
        &self,
        actor: &Actor,
        ids: &[ReadingId],
        said: Said<'_>,
        now: Timestamp,
    ) -> Result<Vec<ReadingId>, RecordError> {
        actor.must(Act::Review)?;
        if ids.is_empty() {
            return Err(RecordError::Unfit { field: "reading to review", rule: "is missing" });
        }
        if said.decision == Decision::Returned {
            required("comment", said.comment.unwrap_or_default())?;
        }
        self.write(|tx| {
            let mut news = Vec::new();
            for &id in ids {
                if review_one(tx, actor, id, said, now)? {
                    news.push(id);
                }
            }
            Ok(news)
        })
    }

    /// The unreviewed readings of open jobs that count: worst verdict first, and of those the oldest; at most `limit`.
    /// One that a later reading at its place has replaced waits no longer.
    pub fn queue(&self, limit: u32) -> Result<Vec<Entry>, RecordError> {
        self.read(|tx| entries(tx, CURRENT, WAITING, [limit]))
    }

    /// How many readings wait for review.
    pub fn waiting(&self) -> Result<u64, RecordError> {
        self.read(|tx| {
            Ok(tx.query_row("SELECT count(*) FROM standing WHERE waiting = 1", [], |row| row.get::<_, u32>(0))?.into())
        })
    }

    /// The readings of a person that a lead returned and nobody has amended since, on open jobs, oldest first.
    pub fn returned_to(&self, person: &str) -> Result<Vec<Entry>, RecordError> {
        self.read(|tx| entries(tx, CURRENT, RETURNED, [person]))
    }
}

/// Reviews one reading; false where that says nothing new.
fn review_one(
    tx: &Connection,
    actor: &Actor,
    id: ReadingId,
    said: Said<'_>,
    now: Timestamp,
) -> Result<bool, RecordError> {
    let Said { decision, comment, own_allowed, anew } = said;
    let reading = readings::require_current(tx, id)?;
    let job = reading.measured.job;
    jobs::require_open(tx, job)?;
    if decision == Decision::Accepted && reading.by.person == actor.person && !own_allowed {
        return Err(RecordError::OwnReading(id));
    }
    let before = entries(tx, CURRENT, "s.reading = ?", [id.0])?.into_iter().find_map(|entry| entry.review);
    if let Some(before) = before {
        let own = before.by.person == actor.person;
        let same = before.decision == decision;
        if same && (own && before.comment.as_deref() == comment || !own && decision == Decision::Accepted) {
            return Ok(false);
        }
        if !own && !anew {
            return Err(RecordError::AlreadyReviewed { reading: id, by: before.by.person, decision: before.decision });
        }
    }
    let what = Happening::Review(Reviewed { job, reading: id, decision, comment: comment.map(str::to_owned) });
    chain::append(tx, actor, None, &what, now)?;
    readings::refresh(tx, id)?;
    Ok(true)
}
