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
        let belongs: Box<dyn Fn(&Check) -> bool> = match (check, stage) {
            (None, None) => return Ok(None),
            (Some(_), Some(stage)) => {
                return Err(Refusal::new("stage", stage, "Name a row by check= or a stage, not both.").into());
            }
            (Some(CheckName(name)), None) => {
                let id = named_check(self, name)?.id;
                Box::new(move |check| check.id == id)
            }
            (None, Some(slug)) => {
                let stage = Stage::named(slug);
                Box::new(move |check| Some(check.stage) == stage)
            }
        };
        let name = match (check, stage.and_then(Stage::named)) {
            (Some(CheckName(name)), _) => named_check(self, name)?.name.to_owned(),
            (None, stage) => stage.map_or(String::new(), |stage| stage.title().to_owned()),
        };
        let job = self.named_job(job)?;
        let of_part = |entry: &&Entry| self.library.plan().check(&entry.reading.measured.check).is_some_and(&*belongs);
        let entries = self.progress(&job)?.standing().filter(of_part).cloned().collect();
        Ok(Some(Part { job, name, entries }))
    }
}

/// What a lead must name when they named nothing, or too much.
pub fn nothing_named(input: &str, example: &str) -> Refusal {
    let possible = format!("Name readings by their numbers, or a row by check= and job=. Write: {example}");
    Refusal::new(input, "", possible)
}
