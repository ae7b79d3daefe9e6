//! The `review` family: the lead's second pair of eyes.

mod accept;
mod against;
mod chosen;
mod matrix;
mod queue;
mod send_back;
mod show;
mod working;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be done with readings that wait.
#[derive(Debug, Subcommand)]
pub enum Review {
    /// Readings that wait, the worst first.
    #[command(alias = "_")]
    Queue(queue::Queue),
    /// Every open job by its stages, the worst first: what is wrong on which engine.
    Matrix(matrix::Matrix),
    /// One reading with its working, its limits and their basis.
    Show(show::Show),
    /// Accept readings, a row or a stage of a job.
    Accept(accept::Accept),
    /// Return a reading or a row to who posted it, with a comment.
    #[command(name = "return")]
    SendBack(send_back::SendBack),
}

impl Review {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Queue(c) => c.run(context),
            Self::Matrix(c) => c.run(context),
            Self::Show(c) => c.run(context),
            Self::Accept(c) => c.run(context),
            Self::SendBack(c) => c.run(context),
        }
    }
}
