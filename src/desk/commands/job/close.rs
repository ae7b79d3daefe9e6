//! `job close 1 reason="handed over"`: closes a job; nothing can be added to it any more.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Loudness, Reply, Verdict};
use crate::desk::{Context, Refusal, Trouble};

/// Which job, and why.
#[derive(Debug, Args)]
#[command(after_help = "job close 1 reason=\"handed over\"")]
pub struct Close {
    /// The job's number.
    pub job: JobNumber,
    /// Why it is closed; needed while anything is out, unreviewed or unmeasured.
    #[arg(long)]
    pub reason: Option<String>,
}

impl Close {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(Some(&self.job))?;
        let progress = context.progress(&job)?;
        let (done, all) = progress.counts();
        let waiting = progress.entries.iter().filter(|e| e.review.is_none()).count();
        let out = progress.standing().filter(|e| e.reading.measured.verdict == Verdict::Out).count();
        let open = format!("{out} out of limits, {waiting} not reviewed, {} not measured", all - done);
        let faulty = out > 0 || waiting > 0 || done < all;
        if faulty && self.reason.as_ref().is_none_or(|reason| reason.trim().is_empty()) {
            let possible =
                format!("The job still has {open}. To close it all the same, say why; it stays on the sheet.");
            return Err(Refusal::new("reason", "", possible).into());
        }
        let job = context.desk.record.close_job(&context.actor(), job.id, self.reason.as_deref(), context.now)?;
        let mut reply = Reply::new(format!("Job {} is closed: {}", job.id, job.title))
            .text(format!("{done} of {all} readings of the plan were posted."));
        if faulty {
            reply = reply.caution(Loudness::Warning, format!("Closed with {open}; the build sheet says so."));
        }
        Ok(reply.action(Action::send("The build sheet", format!("sheet {}", job.id))))
    }
}
