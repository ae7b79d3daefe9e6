//! `review return 3 measure again at 20 °C`, `review return check=crank-runout job=1 comment="zero the dial first"`: sends
//! a reading, or a row, back to who posted it, with a comment.

use clap::Args;

use super::chosen::nothing_named;
use crate::desk::form::{CheckName, JobNumber};
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::{Context, Refusal, Trouble};
use crate::record::{Act, Decision, Entry, ReadingId, Said};

/// Which reading, and what is to be done.
#[derive(Debug, Args)]
#[command(after_help = "review return 3 measure again at room temperature")]
pub struct SendBack {
    /// Its number.
    pub reading: Option<u32>,
    /// What is to be done; needed.
    pub comment: Vec<String>,
    /// Instead of a number, a check: its whole row.
    #[arg(long)]
    pub check: Option<CheckName>,
    /// The job of that row; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
    /// Another lead has spoken already, and this is decided anew.
    #[arg(long)]
    pub anew: bool,
}

impl SendBack {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        context.must(Act::Review)?;
        let comment = self.comment.join(" ");
        if comment.trim().is_empty() {
            let possible =
                "Say what is to be done, in a few words. Write: review return 3 measure again at room temperature";
            return Err(Refusal::new("comment", &comment, possible).into());
        }
        let record = &context.desk.record;
        let entries: Vec<Entry> = match (self.reading, context.part(self.job.as_ref(), self.check.as_ref(), None)?) {
            (Some(number), None) => vec![record.reading(ReadingId(i64::from(number)))?],
            (None, Some(part)) => {
                let returned = |entry: &Entry| entry.review.as_ref().is_some_and(|r| r.decision == Decision::Returned);
                let row: Vec<Entry> = part.entries.into_iter().filter(|entry| !returned(entry)).collect();
                if row.is_empty() {
                    let possible = format!("Nothing of it is posted on job {} that could be returned.", part.job.id);
                    return Err(Refusal::new("check", part.name, possible).into());
                }
                row
            }
            _ => return Err(nothing_named("reading", "review return 3 measure again").into()),
        };
        let ids: Vec<ReadingId> = entries.iter().map(|entry| entry.reading.id).collect();
        let said = Said { decision: Decision::Returned, comment: Some(&comment), own_allowed: false, anew: self.anew };
        record.review_so(&context.actor(), &ids, said, context.now)?;
        let mut people: Vec<&str> = entries.iter().map(|entry| entry.reading.by.person.as_str()).collect();
        people.sort_unstable();
        people.dedup();
        let numbers: Vec<String> = ids.iter().map(ToString::to_string).collect();
        let word = if ids.len() == 1 { "reading" } else { "readings" };
        Ok(Reply::new(format!("Returned {word} {} to {}: {comment}", numbers.join(", "), people.join(" and ")))
            .text("They are told where they posted, and it leads their `next` until it is amended or measured again.")
            .value(Value::plain("returned", ids.len() as f64))
            .action(Action::send("What else waits", "review queue")))
    }
}
