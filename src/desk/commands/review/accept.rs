//! `review accept 3`, `review accept 3 4 5`: the lead accepts readings, all or none.

use clap::Args;

use crate::desk::commands::log::headline;
use crate::desk::reply::{Action, Block, Reply, Value, Verdict};
use crate::desk::{Context, Refusal, Trouble};
use crate::record::{Decision, ReadingId};

/// Which readings.
#[derive(Debug, Args)]
#[command(after_help = "review accept 3")]
pub struct Accept {
    /// Their numbers.
    #[arg(required = true, value_delimiter = ',')]
    pub readings: Vec<u32>,
    /// Why, or a remark to keep with it; needed for a reading that is out.
    #[arg(long)]
    pub comment: Option<String>,
}

impl Accept {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let ids: Vec<ReadingId> = self.readings.iter().map(|n| ReadingId(i64::from(*n))).collect();
        let own = context.desk.settings().own_acceptance;
        let record = &context.desk.record;
        let mut said = Vec::new();
        for id in &ids {
            let entry = record.reading(*id)?;
            let measured = &entry.reading.measured;
            let engine = context.library.engine(&record.job(measured.job)?.engine);
            let line = headline(context, &entry.reading, context.lead_with(&[], engine));
            if measured.verdict == Verdict::Out && self.comment.is_none() {
                let possible = format!("It is out: {line}. To accept it all the same, say why with comment=.");
                return Err(Refusal::new("comment", id.to_string(), possible).into());
            }
            said.push(format!("{id}: {line}, {}", measured.verdict.as_str()));
        }
        record.review(&context.actor(), &ids, Decision::Accepted, self.comment.as_deref(), own, context.now)?;
        let numbers: Vec<String> = ids.iter().map(ToString::to_string).collect();
        let word = if ids.len() == 1 { "reading" } else { "readings" };
        Ok(Reply::new(format!("Accepted {word} {}", numbers.join(", ")))
            .block(Block::Bullets(said))
            .value(Value::plain("accepted", ids.len() as f64))
            .action(Action::send("What else waits", "review queue")))
    }
}
