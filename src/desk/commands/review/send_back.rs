//! `review return 3 measure again at 20 °C`: sends a reading back to who posted it, with a comment.

use clap::Args;

use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Trouble};
use crate::record::{Decision, ReadingId};

/// Which reading, and what is to be done.
#[derive(Debug, Args)]
#[command(after_help = "review return 3 measure again at room temperature")]
pub struct SendBack {
    /// Its number.
    pub reading: u32,
    /// What is to be done.
    #[arg(required = true)]
    pub comment: Vec<String>,
}

impl SendBack {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let id = ReadingId(i64::from(self.reading));
        let comment = self.comment.join(" ");
        let record = &context.desk.record;
        record.review(&context.actor(), &[id], Decision::Returned, Some(&comment), false, context.now)?;
        let by = record.reading(id)?.reading.by.person;
        Ok(Reply::new(format!("Returned reading {id} to {by}: {comment}"))
            .text("It leads their `next` until it is amended or measured again.")
            .action(Action::send("What else waits", "review queue")))
    }
}
