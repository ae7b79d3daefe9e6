//! `review accept 3 4 5`, `review accept check=main-journal job=1`, `review accept stage=crank job=1`: the lead accepts
//! readings, all or none.
//!
//! Of a row or a stage only what is inside its limits is taken: what is out or marginal is listed and left, to be accepted
//! by its number, with a comment.

use clap::Args;
use clap::builder::PossibleValuesParser;

use super::against::line;
use super::chosen::{Part, nothing_named};
use crate::desk::form::{CheckName, JobNumber};
use crate::desk::reply::{Action, Block, Reply, Value, Verdict};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Stage;
use crate::record::{Act, Decision, Entry, ReadingId, Said};

/// Which readings.
#[derive(Debug, Args)]
#[command(after_help = "review accept 5 6")]
pub struct Accept {
    /// Their numbers.
    #[arg(value_delimiter = ',')]
    pub readings: Vec<u32>,
    /// A remark to keep with it; needed for a reading that is out or marginal.
    #[arg(long)]
    pub comment: Option<String>,
    /// Instead of numbers, a check: all of its row that is inside.
    #[arg(long)]
    pub check: Option<CheckName>,
    /// Instead of numbers, a stage: all of it that is inside.
    #[arg(long, value_parser = PossibleValuesParser::new(Stage::ALL.map(Stage::slug)))]
    pub stage: Option<String>,
    /// The job of that row or stage; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
    /// Another lead has spoken already, and this is decided anew.
    #[arg(long)]
    pub anew: bool,
}

impl Accept {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        context.must(Act::Review)?;
        match (self.readings.is_empty(), context.part(self.job.as_ref(), self.check.as_ref(), self.stage.as_deref())?) {
            (true, Some(part)) => self.part(context, &part),
            (false, None) => self.numbers(context),
            _ => Err(nothing_named("readings", "review accept 3 4").into()),
        }
    }

    fn numbers(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let ids: Vec<ReadingId> = self.readings.iter().map(|n| ReadingId(i64::from(*n))).collect();
        let entries = ids.iter().map(|id| record.reading(*id)).collect::<Result<Vec<Entry>, _>>()?;
        let comment = self.comment.as_deref().map(str::trim).filter(|comment| !comment.is_empty());
        for entry in &entries {
            let verdict = entry.reading.measured.verdict;
            if matches!(verdict, Verdict::Out | Verdict::Marginal) && comment.is_none() {
                let told = line(context, entry)?;
                let possible = format!("It is {}: {told}. To accept it all the same, say why.", verdict.as_str());
                return Err(Refusal::new("comment", entry.reading.id.to_string(), possible).into());
            }
        }
        let news = self.accept(context, &ids)?;
        let numbers: Vec<String> = ids.iter().map(ToString::to_string).collect();
        let word = if ids.len() == 1 { "reading" } else { "readings" };
        let mut reply = Reply::new(format!("Accepted {word} {}", numbers.join(", ")));
        let known: Vec<String> = ids.iter().filter(|id| !news.contains(id)).map(ToString::to_string).collect();
        if !known.is_empty() {
            reply = reply.text(format!("Accepted before, and nothing is doubled: {}.", known.join(", ")));
        }
        done(reply, context, &entries, ids.len())
    }

    fn part(&self, context: &Context, part: &Part) -> Result<Reply, Trouble> {
        let waiting = || part.entries.iter().filter(|entry| entry.review.is_none());
        let own = |entry: &Entry| entry.reading.by.person == context.asker.person;
        let own_allowed = context.desk.settings().own_acceptance;
        let inside = |entry: &&Entry| {
            !matches!(entry.reading.measured.verdict, Verdict::Out | Verdict::Marginal) && (own_allowed || !own(entry))
        };
        let taken: Vec<Entry> = waiting().filter(inside).cloned().collect();
        let left: Vec<&Entry> = waiting().filter(|entry| !inside(entry)).collect();
        let field = if self.check.is_some() { "check" } else { "stage" };
        if taken.is_empty() {
            let lines = left.iter().map(|entry| line(context, entry)).collect::<Result<Vec<_>, _>>()?;
            let possible = match lines.as_slice() {
                [] => format!("Nothing of it waits on job {}.", part.job.id),
                lines => {
                    format!("Nothing of it can be accepted as a row. By number, with a comment: {}.", lines.join("; "))
                }
            };
            return Err(Refusal::new(field, &part.name, possible).into());
        }
        let ids: Vec<ReadingId> = taken.iter().map(|entry| entry.reading.id).collect();
        self.accept(context, &ids)?;
        let rest = if left.is_empty() { String::new() } else { format!("; {} left", left.len()) };
        let count = if ids.len() == 1 { "1 reading".to_owned() } else { format!("{} readings", ids.len()) };
        let title = format!("{} on job {}: accepted {count}{rest}", part.name, part.job.id);
        let mut reply = done(Reply::new(title), context, &taken, ids.len())?;
        if !left.is_empty() {
            let lines = left.iter().map(|entry| {
                let whose = if own(entry) && !own_allowed { "; your own, another lead has to accept it" } else { "" };
                Ok(format!("{}{whose}", line(context, entry)?))
            });
            reply = reply
                .block(Block::Heading("Left: accept these by number, with a comment".to_owned()))
                .block(Block::Bullets(lines.collect::<Result<_, Trouble>>()?))
                .value(Value::plain("left", left.len() as f64));
            for entry in left.iter().take(3) {
                let id = entry.reading.id;
                reply = reply.action(Action::send(format!("Look at {id}"), format!("review show {id}")));
            }
        }
        Ok(reply)
    }

    fn accept(&self, context: &Context, ids: &[ReadingId]) -> Result<Vec<ReadingId>, Trouble> {
        let said = Said {
            decision: Decision::Accepted,
            comment: self.comment.as_deref(),
            own_allowed: context.desk.settings().own_acceptance,
            anew: self.anew,
        };
        Ok(context.desk.record.review_so(&context.actor(), ids, said, context.now)?)
    }
}

fn done(reply: Reply, context: &Context, entries: &[Entry], accepted: usize) -> Result<Reply, Trouble> {
    let said = entries.iter().map(|entry| line(context, entry)).collect::<Result<_, _>>()?;
    Ok(reply
        .block(Block::Bullets(said))
        .value(Value::plain("accepted", accepted as f64))
        .action(Action::send("What else waits", "review queue")))
}
