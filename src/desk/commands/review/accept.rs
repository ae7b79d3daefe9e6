//! `review accept 3`, `review accept 3 4 5`: the lead accepts readings, all or none.

use clap::Args;

use crate::desk::reply::{Action, Reply, Value};
use crate::desk::{Context, Trouble};
use crate::record::{Decision, ReadingId};

/// Which readings.
#[derive(Debug, Args)]
#[command(after_help = "review accept 3")]
pub struct Accept {
    /// Their numbers.
    #[arg(required = true)]
    pub readings: Vec<u32>,
    /// A remark to keep with it.
    #[arg(long)]
    pub comment: Option<String>,
}

impl Accept {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let ids: Vec<ReadingId> = self.readings.iter().map(|n| ReadingId(i64::from(*n))).collect();
        let own = context.desk.settings().own_acceptance;
        let record = &context.desk.record;
        record.review(&context.actor(), &ids, Decision::Accepted, self.comment.as_deref(), own, context.now)?;
        let numbers: Vec<String> = ids.iter().map(ToString::to_string).collect();
        let word = if ids.len() == 1 { "reading" } else { "readings" };
        Ok(Reply::new(format!("Accepted {word} {}", numbers.join(", ")))
            .value(Value::plain("accepted", ids.len() as f64))
            .action(Action::send("What else waits", "review queue")))
    }
}
