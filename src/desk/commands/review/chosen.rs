//! Which readings a lead means: by number, or a row or a stage of a job.

use crate::desk::commands::log::named_check;
use crate::desk::form::{CheckName, JobNumber};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Stage;
use crate::engine::plan::Check;
use crate::record::{Entry, Job};

/// A part of a job, and its readings that count.
pub struct Part {
    pub job: Job,
    /// `Main journal`, `Lay the crank`.
    pub name: String,
    pub entries: Vec<Entry>,
}

impl Context<'_> {
    /// The row or the stage named; none where neither is.
    pub fn part(
        &self,
        job: Option<&JobNumber>,
        check: Option<&CheckName>,
        stage: Option<&str>,
    ) -> Result<Option<Part>, Trouble> {
        let plan = self.library.plan();
        let (name, checks): (&str, Vec<&Check>) = match (check, stage.and_then(Stage::named)) {
            (None, None) => return Ok(None),
            (Some(_), Some(stage)) => {
                return Err(Refusal::new("stage", stage.slug(), "Name a row by check= or a stage, not both.").into());
            }
            (Some(CheckName(name)), None) => {
                let check = named_check(self, name)?;
                (check.name, vec![check])
            }
            (None, Some(stage)) => (stage.title(), plan.checks().iter().filter(|c| c.stage == stage).collect()),
        };
        let job = self.named_job(job)?;
        let of_part = |entry: &&Entry| checks.iter().any(|check| check.id == entry.reading.measured.check);
        let entries = self.progress(&job)?.standing().filter(of_part).cloned().collect();
        Ok(Some(Part { job, name: name.to_owned(), entries }))
    }
}

/// What a lead must name when they named nothing, or too much.
pub fn nothing_named(input: &str, example: &str) -> Refusal {
    let possible = format!("Name readings by their numbers, or a row by check= and job=. Write: {example}");
    Refusal::new(input, "", possible)
}
