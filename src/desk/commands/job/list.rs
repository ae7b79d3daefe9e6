//! `job list`: jobs on the bench, newest first.

use clap::Args;

use crate::desk::recorded::day;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::walk::Walk;
use crate::desk::{Context, Trouble, clip};
use crate::record::{Job, JobFilter};

/// Which jobs.
#[derive(Debug, Args)]
#[command(after_help = "job list")]
pub struct List {
    /// Closed ones too.
    #[arg(long)]
    pub all: bool,
}

/// As many as are shown at once.
const SHOWN: usize = 40;
/// So much of a job's name stands on a button.
const LABEL: usize = 40;

impl List {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let jobs = context.desk.record.jobs(if self.all { JobFilter::All } else { JobFilter::Open })?;
        let open = jobs.iter().filter(|job| job.is_open()).count();
        let title = match open {
            0 => "No job is open".to_owned(),
            1 => "One job is open".to_owned(),
            n => format!("{n} jobs are open"),
        };
        let mut reply = Reply::new(title).value(Value::plain("open", open as f64));
        if open > 0 {
            reply = reply.text(match &context.job {
                Some(job) => format!(
                    "You work on {}, {}: what you post here without a job's number goes to it.",
                    job.id, job.title
                ),
                None => "You work on none of them here yet: say which, and what you post goes to it.".to_owned(),
            });
        }
        let row = |job: &Job| -> Result<Vec<Cell>, Trouble> {
            let mut called = Cell::from(format!("{} {}", job.id, job.title));
            called.line = Some(format!("job show {}", job.id));
            let next = match &job.closed {
                Some(closed) => format!("closed {}", day(closed.when)),
                None => next(context, job)?,
            };
            Ok(vec![called, job.engine.as_str().into(), next.into()])
        };
        let rows: Vec<Vec<Cell>> = jobs.iter().take(SHOWN).map(row).collect::<Result<_, _>>()?;
        if jobs.len() > SHOWN {
            reply = reply.text(format!("The newest {SHOWN} of {}.", jobs.len()));
        }
        if !rows.is_empty() {
            let header = ["Job", "Engine", "Next"].map(String::from).to_vec();
            reply = reply.block(Block::Table(Table { caption: String::new(), header, rows }));
        }
        let current = |job: &Job| context.job.as_ref().is_some_and(|current| current.id == job.id);
        for job in jobs.iter().filter(|job| job.is_open() && !current(job)).take(3) {
            let label = format!("Work on {}, {}", job.id, clip(&job.title, LABEL));
            reply = reply.action(Action::send(label, format!("job take {}", job.id)));
        }
        Ok(reply.action(Action::form("Open a job", "job open")))
    }
}

/// What is next on a job, or why nothing can be said of it.
fn next(context: &Context, job: &Job) -> Result<String, Trouble> {
    match Walk::new(context, job) {
        Ok(walk) => Ok(walk.in_brief()),
        Err(Trouble::Refused(refusal)) => Ok(refusal.possible),
        Err(fault) => Err(fault),
    }
}
