//! `job take 1`: makes a job the one that `log` and `next` mean here.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Refusal, Trouble};

/// Which job.
#[derive(Debug, Args)]
#[command(after_help = "job take 1")]
pub struct Take {
    /// The job's number.
    pub job: JobNumber,
}

impl Take {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(Some(&self.job))?;
        if let Some(bench) = context.asker.bench.filter(|bench| *bench != job.id) {
            let possible =
                format!("This thread is that of job {bench}. Go to the other job's thread, or name it in the line.");
            return Err(Refusal::new("job", &self.job.0, possible).into());
        }
        context.desk.record.set_current(&context.actor(), job.id)?;
        Ok(Reply::new(format!("Job {} is your current job here: {} ({})", job.id, job.title, job.engine))
            .text("What you post here without a job's number goes to it.")
            .action(Action::send("What is next", "next"))
            .action(Action::form("Post a reading", format!("log job={}", job.id.0)))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}
