//! `review`: readings that wait for the lead, the worst first.

use clap::Args;

use crate::desk::commands::log::headline;
use crate::desk::gauges;
use crate::desk::recorded::moment;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value, Verdict};
use crate::desk::{Context, Role, Trouble};

/// How many are shown at once.
#[derive(Debug, Args)]
#[command(after_help = "review queue")]
pub struct Queue {
    /// At most this many.
    #[arg(long, default_value = "20")]
    pub most: u32,
}

impl Queue {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let waiting = record.waiting()?;
        let entries = record.queue(self.most.clamp(1, 100))?;
        let title = match waiting {
            0 => "Nothing waits for review".to_owned(),
            1 => "One reading waits for review".to_owned(),
            n => format!("{n} readings wait for review"),
        };
        let mut reply = Reply::new(title).value(Value::plain("waiting", waiting as f64));
        let mut rows = Vec::new();
        for entry in &entries {
            let reading = &entry.reading;
            let lead = context.lead_with(&[], context.library.engine(&record.job(reading.measured.job)?.engine));
            let mut number = Cell::from(reading.id.to_string());
            number.verdict = Some(reading.measured.verdict);
            let note = reading.measured.note.as_ref().map(|n| format!(" ({n})")).unwrap_or_default();
            let with =
                reading.measured.instrument.as_ref().map(|name| gauges::named(name, reading.measured.gauge.as_ref()));
            let with = with.map(|with| format!(", {with}")).unwrap_or_default();
            rows.push(vec![
                number,
                reading.measured.job.to_string().into(),
                format!("{}{note}", headline(context, reading, lead)).into(),
                format!("{}, {}{with}", reading.by.person, moment(reading.when)).into(),
            ]);
        }
        if !rows.is_empty() {
            let header = ["No.", "Job", "Reading", "Posted"].map(String::from).to_vec();
            reply = reply.block(Block::Table(Table { caption: String::new(), header, rows }));
        }
        for entry in entries.iter().take(3) {
            let id = entry.reading.id;
            // One that is out is accepted with a reason or not at all.
            let accept = match entry.reading.measured.verdict {
                Verdict::Out => Action::form(format!("Accept {id} all the same"), format!("review accept {id}")),
                _ => Action::send(format!("Accept {id}"), format!("review accept {id}")),
            };
            reply = reply.action(accept).action(Action::form(format!("Return {id}"), format!("review return {id}")));
        }
        // A page that broke answers as it last was: the lead has to know.
        if context.desk.role(context.asker) == Role::Lead && !context.library.faults().is_empty() {
            let faults = context.library.faults().iter().map(ToString::to_string);
            reply = reply
                .block(Block::Heading("Pages to mend".to_owned()))
                .block(Block::Bullets(faults.take(20).collect()));
        }
        Ok(reply.action(Action::send("Jobs", "job list")))
    }
}
