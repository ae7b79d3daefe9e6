//! The `review` family: the lead's second pair of eyes.

mod accept;
mod queue;
mod send_back;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be done with readings that wait.
#[derive(Debug, Subcommand)]
pub enum Review {
    /// Readings that wait, the worst first.
    #[command(alias = "_")]
    Queue(queue::Queue),
    /// Accept readings.
    Accept(accept::Accept),
    /// Return a reading to who posted it, with a comment.
    #[command(name = "return")]
    SendBack(send_back::SendBack),
}

impl Review {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Queue(c) => c.run(context),
            Self::Accept(c) => c.run(context),
            Self::SendBack(c) => c.run(context),
        }
    }
}
