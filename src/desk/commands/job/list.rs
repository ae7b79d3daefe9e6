//! `job list`: jobs on the bench, newest first.

use clap::Args;

use crate::desk::recorded::day;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::{Context, Trouble};
use crate::record::JobFilter;

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
        let rows: Vec<Vec<Cell>> = jobs
            .iter()
            .take(SHOWN)
            .map(|job| {
                let mut id = Cell::from(job.id.to_string());
                id.line = Some(format!("job show {}", job.id));
                let state = job.closed.as_ref().map_or("open".to_owned(), |c| format!("closed {}", day(c.when)));
                let current = if context.job.as_ref().is_some_and(|c| c.id == job.id) { ", yours here" } else { "" };
                vec![id, job.title.as_str().into(), job.engine.as_str().into(), format!("{state}{current}").into()]
            })
            .collect();
        if jobs.len() > SHOWN {
            reply = reply.text(format!("The newest {SHOWN} of {}.", jobs.len()));
        }
        if !rows.is_empty() {
            let header = ["Job", "Called", "Engine", ""].map(String::from).to_vec();
            reply = reply.block(Block::Table(Table { caption: String::new(), header, rows }));
        }
        for job in jobs.iter().filter(|job| job.is_open()).take(3) {
            reply = reply.action(Action::send(format!("Take up {}", job.id), format!("job take {}", job.id)));
        }
        Ok(reply.action(Action::form("Open a job", "job open")))
    }
}
