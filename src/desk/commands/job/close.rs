//! `job close 1 reason="handed over"`: closes a job; nothing can be added to it any more.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::{Context, Trouble};

/// Which job, and why.
#[derive(Debug, Args)]
#[command(after_help = "job close 1 reason=\"handed over\"")]
pub struct Close {
    /// The job's number.
    pub job: JobNumber,
    /// Why it is closed.
    #[arg(long)]
    pub reason: Option<String>,
}

impl Close {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(Some(&self.job))?;
        let progress = context.progress(&job)?;
        let (done, all) = progress.counts();
        let waiting = progress.entries.iter().filter(|e| e.review.is_none()).count();
        let job = context.desk.record.close_job(&context.actor(), job.id, self.reason.as_deref(), context.now)?;
        let mut reply = Reply::new(format!("Job {} is closed: {}", job.id, job.title))
            .text(format!("{done} of {all} readings of the plan were posted."));
        if waiting > 0 || done < all {
            let text = format!(
                "Closed with {} readings missing and {waiting} not reviewed; the build sheet says so.",
                all - done
            );
            reply = reply.caution(Loudness::Warning, text);
        }
        Ok(reply.action(Action::send("The build sheet", format!("sheet {}", job.id))))
    }
}
