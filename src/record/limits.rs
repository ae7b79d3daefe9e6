//! Limits that a lead set for one job. The record keeps them; what they judge is worked out elsewhere.

use jiff::Timestamp;

use super::{
    Act, Actor, Event, Happening, JobId, LimitOverride, Overridden, Record, RecordError, chain, jobs,
    trouble::{finite, required},
};

impl Record {
    /// Sets a limit for one job, in place of the library's and of any earlier override of the same measure and part.
    /// The one already in force, said again by the same lead, adds nothing.
    /// Errors: `NotAllowed`, `Unfit`, `NotFound`, `JobClosed`.
    pub fn override_limit(
        &self,
        actor: &Actor,
        limit: LimitOverride,
        now: Timestamp,
    ) -> Result<Overridden, RecordError> {
        actor.must(Act::OverrideLimits)?;
        check(&limit)?;
        self.write(|tx| {
            jobs::require_open(tx, limit.job)?;
            let mut in_force = in_force(tx, limit.job)?.into_iter();
            if let Some(same) = in_force.find(|known| known.limit == limit && known.by.person == actor.person) {
                return Ok(same);
            }
            chain::append(tx, actor, None, &Happening::LimitOverridden(limit.clone()), now)?;
            Ok(Overridden { limit, by: actor.clone(), when: now })
        })
    }

    /// The overrides in force on a job: the last one for each measure and part, in the order they were set.
    /// Errors: `NotFound`.
    pub fn overrides(&self, job: JobId) -> Result<Vec<Overridden>, RecordError> {
        self.read(|tx| {
            jobs::load(tx, job)?;
            in_force(tx, job)
        })
    }
}

fn in_force(tx: &rusqlite::Connection, job: JobId) -> Result<Vec<Overridden>, RecordError> {
    let query = format!(
        "SELECT {} FROM event e WHERE e.job = ? AND e.kind = 'limit-overridden' ORDER BY e.seq",
        Event::columns("e")
    );
    let mut found: Vec<Overridden> = Vec::new();
    for event in tx.prepare_cached(&query)?.query_and_then([job.0], |row| Event::read(row, 0))? {
        let Event { seq, when, by, what, .. } = event?;
        let Happening::LimitOverridden(limit) = what else {
            return Err(RecordError::Damaged { detail: format!("event {seq} is not a limit") });
        };
        found.retain(|known| (&known.limit.measure, &known.limit.at) != (&limit.measure, &limit.at));
        found.push(Overridden { limit, by, when });
    }
    Ok(found)
}

fn check(limit: &LimitOverride) -> Result<(), RecordError> {
    required("measure", &limit.measure)?;
    required("part", &limit.at)?;
    required("reason", &limit.reason)?;
    [limit.min, limit.max].into_iter().flatten().try_for_each(|value| finite("limit", value))?;
    match (limit.min, limit.max) {
        (None, None) => Err(RecordError::Unfit { field: "limit", rule: "is missing: give a least, a most, or both" }),
        (Some(min), Some(max)) if min > max => {
            Err(RecordError::Unfit { field: "limit", rule: "has its least above its most" })
        }
        _ => Ok(()),
    }
}
