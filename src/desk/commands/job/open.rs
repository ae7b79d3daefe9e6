//! `job open skerry-v8 harbour launch, port engine`: opens a job and makes it the current one.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::{Context, Trouble, pictures};
use crate::engine::Rotation;

/// The engine, and what the job is called.
#[derive(Debug, Args)]
#[command(after_help = "job open skerry-v8 harbour launch, port engine")]
pub struct Open {
    /// The engine, by its page.
    pub engine: EngineName,
    /// What the shop calls the job; the engine's name where left out.
    pub title: Vec<String>,
    /// The owner, and what they want done.
    #[arg(long)]
    pub note: Option<String>,
}

impl Open {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.named_engine("engine", &self.engine.0)?;
        let title = if self.title.is_empty() { engine.title.clone() } else { self.title.join(" ") };
        let record = &context.desk.record;
        let actor = context.actor();
        let key = context.asker.key.as_deref();
        let job = record.open_job(&actor, key, &engine.id, &title, self.note.as_deref(), context.now)?;
        // A thread stays its own job's.
        let told = match context.asker.bench {
            Some(bench) => format!("This thread stays that of job {bench}: go to the new job's own, or name it."),
            None => {
                record.set_current(&actor, job.id)?;
                "It is your current job here: `log` and `next` mean it.".to_owned()
            }
        };
        let mut reply = Reply::new(format!("Job {} is open: {title} ({})", job.id, engine.title))
            .text(told)
            .value(Value::plain("job", job.id.0 as f64));
        if engine.rotation == Rotation::CounterClockwise {
            let caution = pictures::caution_words(crate::engine::orientation::Caution::ReverseRotation);
            reply = reply.caution(Loudness::Caution, caution);
        }
        Ok(reply
            .action(Action::send("What to measure first", format!("next {}", job.id)))
            .action(Action::send("Its limits", format!("limits {}", engine.id)))
            .action(Action::send("Which way parts go in", format!("orient {}", engine.id))))
    }
}
