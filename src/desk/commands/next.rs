//! `next`: the next place of the measuring plan, with its entry; what came back from the lead first.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::walk::Walk;
use crate::desk::{Context, Reply, Trouble};

/// Which job, and from where.
#[derive(Debug, Args)]
#[command(after_help = "next 1")]
pub struct Next {
    /// The job; the current one where left out.
    pub job: Option<JobNumber>,
    /// Go on behind this place, such as bore 3; what is passed over comes again at the end.
    #[arg(long)]
    pub after: Option<String>,
}

impl Next {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        Walk::new(context, &job)?.next(self.after.as_deref())
    }
}
