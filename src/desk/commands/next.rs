//! `next`: what the measuring plan still wants, and what came back from the lead.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Trouble};
use crate::engine::Position;
use crate::engine::plan::Check;
use crate::quantity::show;

/// Which job.
#[derive(Debug, Args)]
#[command(after_help = "next 1")]
pub struct Next {
    /// The job; the current one where left out.
    pub job: Option<JobNumber>,
}

impl Next {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        let progress = context.progress(&job)?;
        let wanting = progress.wanting();
        let (done, all) = progress.counts();
        let returned: Vec<_> = context
            .desk
            .record
            .returned_to(&context.asker.person)?
            .into_iter()
            .filter(|entry| entry.reading.measured.job == job.id)
            .collect();
        let mut reply = match (returned.first(), wanting.first()) {
            (Some(entry), _) => {
                let measured = &entry.reading.measured;
                let comment = entry.review.as_ref().and_then(|r| r.comment.clone()).unwrap_or_default();
                let place = if measured.position == "-" { String::new() } else { format!(" {}", measured.position) };
                Reply::new(format!("Came back to you: {}{place}: {comment}", progress.plan.name_of(&measured.check)))
                    .action(Action::form("Amend it", format!("amend {}", entry.reading.id)))
            }
            (None, Some((check, open))) => {
                let first = open.first().copied().unwrap_or(Position::Engine);
                let mut reply = Reply::new(format!("Next: {}{}", check.name, place(first)))
                    .text(format!("Give, in this order: {}.", check.readings.join(", ")))
                    .action(Action::form(format!("Post {}{}", check.name, place(first)), line(check, first)));
                if let Some(size) = check.expected(progress.engine) {
                    let lead = context.lead_with(&[], Some(progress.engine));
                    reply = reply.text(format!("Its size is about {}.", show::length(size, lead)));
                }
                if open.len() > 1 {
                    let others: Vec<String> = open.iter().map(ToString::to_string).collect();
                    reply = reply.text(format!("{} still lacks: {}.", check.name, others.join(", ")));
                }
                reply
            }
            (None, None) => Reply::new("Every check of the plan has a reading"),
        };
        reply = reply.text(format!("Job {}: {done} of {all} readings posted.", job.id));
        let after = wanting
            .iter()
            .skip(1)
            .take(6)
            .map(|(check, open)| (check.name, format!("{} to go, {}", open.len(), check.stage.title())));
        let after: Vec<_> = after.collect();
        if !after.is_empty() {
            reply = reply.fields(after);
        }
        for (check, open) in wanting.iter().skip(1).take(2) {
            let first = open.first().copied().unwrap_or(Position::Engine);
            reply = reply.action(Action::form(format!("Post {}", check.name), line(check, first)));
        }
        Ok(reply.action(Action::send("The job", format!("job show {}", job.id))))
    }
}

fn place(position: Position) -> String {
    if position == Position::Engine { String::new() } else { format!(" {position}") }
}

/// The line of a log form, as far as it is known.
fn line(check: &Check, position: Position) -> String {
    format!("log check={} position=\"{position}\"", check.id)
}
