//! The `job` family.

mod close;
mod limit;
mod list;
mod open;
mod show;
mod sign;
mod take;
mod temp;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be done with jobs.
#[derive(Debug, Subcommand)]
pub enum JobTask {
    /// Open a job for an engine; it becomes your current one.
    Open(open::Open),
    /// Jobs on the bench.
    #[command(alias = "_")]
    List(list::List),
    /// A job's readings and what is out.
    Show(show::Show),
    /// Make a job your current one here.
    Take(take::Take),
    /// How warm the bench is, once for the shift; sizes are judged at 20 °C from it.
    Temp(temp::Temp),
    /// Set a limit for this job alone, with a reason (lead).
    Limit(limit::OwnLimit),
    /// Sign off a stage: its hold points are posted and accepted, or gone over with a reason (lead).
    Sign(sign::Sign),
    /// Close a job (lead).
    Close(close::Close),
}

impl JobTask {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Open(c) => c.run(context),
            Self::List(c) => c.run(context),
            Self::Show(c) => c.run(context),
            Self::Take(c) => c.run(context),
            Self::Temp(c) => c.run(context),
            Self::Limit(c) => c.run(context),
            Self::Sign(c) => c.run(context),
            Self::Close(c) => c.run(context),
        }
    }
}
