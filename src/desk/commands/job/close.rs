//! `job close 1 reason="handed over"`: closes a job; nothing can be added to it any more.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::holds::points;
use crate::desk::reply::{Action, Block, Loudness, Reply};
use crate::desk::{Context, Refusal, Trouble};
use crate::record::Act;

/// Which job, and why.
#[derive(Debug, Args)]
#[command(after_help = "job close 1 reason=\"handed over\"")]
pub struct Close {
    /// The job's number.
    pub job: JobNumber,
    /// Why it is closed; needed while a hold point is open, or anything is out, unreviewed or unmeasured.
    #[arg(long)]
    pub reason: Option<String>,
}

impl Close {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        context.must(Act::CloseJob)?;
        let job = context.named_job(Some(&self.job))?;
        let progress = context.progress(&job)?;
        let holds = context.holds(&job)?;
        let (done, all) = progress.counts();
        let waiting = progress.standing().filter(|e| e.review.is_none()).count();
        let out: usize = holds.stages.iter().map(|stage| stage.out().count()).sum();
        let open = holds.open();
        let counts = [(out, "out and not accepted"), (waiting, "not reviewed"), (all - done, "not measured")];
        let left: Vec<String> = std::iter::once(points(open.len()))
            .filter(|_| !open.is_empty())
            .chain(counts.into_iter().filter(|(n, _)| *n > 0).map(|(n, words)| format!("{n} {words}")))
            .collect();
        let (left, faulty) = (left.join(", "), !left.is_empty());
        let reason = self.reason.as_deref().map(str::trim).filter(|reason| !reason.is_empty());
        let stages = || holds.told().filter(|stage| stage.unaccepted().next().is_some());
        if faulty && reason.is_none() {
            let names: Vec<&str> = stages().map(|stage| stage.stage.title()).collect();
            let of = if names.is_empty() { String::new() } else { format!(" (of: {})", names.join(", ")) };
            let possible =
                format!("The job still has {left}{of}. To close it all the same, say why; it stays on the sheet.");
            return Err(Refusal::new("reason", "", possible).into());
        }
        let closed = context.desk.record.close_job_over(&context.actor(), job.id, open, reason, context.now)?;
        let mut reply = Reply::new(format!("Job {} is closed: {}", closed.id, closed.title))
            .text(format!("{done} of {all} places of the plan were filled."));
        if faulty {
            let named = stages().map(|stage| format!("{}: {}", stage.stage.title(), stage.in_brief()));
            reply = reply
                .caution(Loudness::Warning, format!("Closed with {left}; the build sheet says so."))
                .block(Block::Bullets(named.collect()));
        }
        Ok(reply.action(Action::send("The build sheet", format!("sheet {}", job.id))))
    }
}
