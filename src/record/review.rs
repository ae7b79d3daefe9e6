//! Review: a lead accepts a reading or returns it with a comment. The latest review of a current reading counts.

use jiff::Timestamp;

use super::{
    Act, Actor, Decision, Entry, Event, Happening, ReadingId, Record, RecordError, Reviewed, chain, jobs,
    readings::{self, CURRENT, entries},
    trouble::required,
};

pub(super) const WAITING: &str = "s.waiting = 1 ORDER BY s.severity DESC, s.reading LIMIT ?";
pub(super) const RETURNED: &str = "s.person = ? AND s.decision = 'returned'
    AND EXISTS (SELECT 1 FROM job j WHERE j.id = s.job AND j.closed IS NULL) ORDER BY s.reading";

/// A review as it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Review {
    pub by: Actor,
    pub when: Timestamp,
    pub decision: Decision,
    pub comment: Option<String>,
}

impl Record {
    /// Reviews readings, all or none. To return one takes a comment; to accept one's own takes `own_allowed`. A lead
    /// who says the same again of the same reading adds nothing.
    /// Errors: `NotAllowed`, `Unfit`, `NotFound`, `JobClosed`, `AlreadyAmended`, `OwnReading`.
    pub fn review(
        &self,
        actor: &Actor,
        ids: &[ReadingId],
        decision: Decision,
        comment: Option<&str>,
        own_allowed: bool,
        now: Timestamp,
    ) -> Result<(), RecordError> {
        actor.must(Act::Review)?;
        if ids.is_empty() {
            return Err(RecordError::Unfit { field: "reading to review", rule: "is missing" });
        }
        if decision == Decision::Returned {
            required("comment", comment.unwrap_or_default())?;
        }
        self.write(|tx| {
            for &id in ids {
                let reading = readings::require_current(tx, id)?;
                let job = reading.measured.job;
                jobs::require_open(tx, job)?;
                if decision == Decision::Accepted && reading.by.person == actor.person && !own_allowed {
                    return Err(RecordError::OwnReading(id));
                }
                let said = entries(tx, CURRENT, "s.reading = ?", [id.0])?.into_iter().find_map(|entry| entry.review);
                let again = said.is_some_and(|review| {
                    review.by.person == actor.person
                        && review.decision == decision
                        && review.comment.as_deref() == comment
                });
                if !again {
                    let comment = comment.map(str::to_owned);
                    let what = Happening::Review(Reviewed { job, reading: id, decision, comment });
                    chain::append(tx, actor, None, &what, now)?;
                    readings::refresh(tx, id)?;
                }
            }
            Ok(())
        })
    }

    /// The unreviewed current readings of open jobs: worst verdict first, and of those the oldest; at most `limit`.
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

impl Review {
    /// The review that an event gave.
    pub(super) fn of(event: Event) -> Result<Self, RecordError> {
        let Event { seq, when, by, what, .. } = event;
        match what {
            Happening::Review(Reviewed { decision, comment, .. }) => Ok(Self { by, when, decision, comment }),
            _ => Err(RecordError::Damaged { detail: format!("event {seq} is not a review") }),
        }
    }
}
