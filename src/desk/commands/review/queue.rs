//! `review`: readings that wait for the lead, the worst first. A reading that was taken again at its place waits no
//! longer: the later one stands in the list and names it.

use clap::Args;

use super::against::{against, lead_of, number};
use crate::desk::commands::log::headline;
use crate::desk::gauges;
use crate::desk::recorded::moment;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value, Verdict};
use crate::desk::{Context, Role, Trouble};
use crate::record::Entry;

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
        let rows = entries.iter().map(|entry| row(context, entry)).collect::<Result<Vec<_>, _>>()?;
        if !rows.is_empty() {
            let header = ["No.", "Job", "Reading", "Against", "Posted"].map(String::from).to_vec();
            reply = reply.block(Block::Table(Table { caption: String::new(), header, rows }));
        }
        for entry in entries.iter().take(3) {
            let id = entry.reading.id;
            reply = reply.action(Action::send(format!("Look at {id}"), format!("review show {id}")));
            reply = reply.action(accept(entry));
            reply = reply.action(Action::form(format!("Return {id}"), format!("review return {id}")));
            if entry.reading.measured.verdict == Verdict::Out {
                reply = reply.action(Action::send(format!("What {id} would take"), format!("remedy {id}")));
            }
        }
        for (line, label) in rows_at_once(context, &entries) {
            reply = reply.action(Action::send(label, line));
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

/// One that is out or marginal is accepted with a reason or not at all.
pub fn accept(entry: &Entry) -> Action {
    let id = entry.reading.id;
    match entry.reading.measured.verdict {
        Verdict::Out | Verdict::Marginal => {
            Action::form(format!("Accept {id} all the same"), format!("review accept {id}"))
        }
        Verdict::Within | Verdict::NoLimit => Action::send(format!("Accept {id}"), format!("review accept {id}")),
    }
}

fn row(context: &Context, entry: &Entry) -> Result<Vec<Cell>, Trouble> {
    let reading = &entry.reading;
    let measured = &reading.measured;
    let lead = lead_of(context, measured)?;
    let mut told = headline(context, reading, lead);
    told.extend(measured.note.as_ref().map(|note| format!(" ({note})")));
    let earlier = replaced(context, entry)?;
    if !earlier.is_empty() {
        told.push_str(&format!(" [taken again; before: {}]", earlier.join(", ")));
    }
    let with = measured.instrument.as_ref().map(|name| format!(", {}", gauges::named(name, measured.gauge.as_ref())));
    let with = with.unwrap_or_default();
    Ok(vec![
        number(entry),
        measured.job.to_string().into(),
        told.into(),
        against(context, reading, lead)?.into(),
        format!("{}, {}{with}", reading.by.person, moment(reading.when)).into(),
    ])
}

/// The numbers of earlier readings at its place that still stand and that nobody has reviewed.
pub fn replaced(context: &Context, entry: &Entry) -> Result<Vec<String>, Trouble> {
    let measured = &entry.reading.measured;
    let history = context.desk.record.history(measured.job, &measured.check, &measured.position)?;
    let spared = |earlier: &&Entry| {
        earlier.reading.id < entry.reading.id && earlier.review.is_none() && earlier.superseded_by.is_none()
    };
    Ok(history.iter().filter(spared).map(|earlier| earlier.reading.id.to_string()).collect())
}

/// Rows with several readings inside, as lines that accept each at once; two at most.
fn rows_at_once(context: &Context, entries: &[Entry]) -> Vec<(String, String)> {
    let mut rows: Vec<(&str, i64, usize)> = Vec::new();
    for entry in entries {
        let measured = &entry.reading.measured;
        if matches!(measured.verdict, Verdict::Out | Verdict::Marginal) {
            continue;
        }
        match rows.iter_mut().find(|(check, job, _)| *check == measured.check && *job == measured.job.0) {
            Some((_, _, count)) => *count += 1,
            None => rows.push((&measured.check, measured.job.0, 1)),
        }
    }
    let several = rows.into_iter().filter(|(_, _, count)| *count > 1).take(2);
    several
        .map(|(check, job, count)| {
            let name = context.library.plan().name_of(check);
            (format!("review accept check={check} job={job}"), format!("Accept {count} of {name}, job #{job}"))
        })
        .collect()
}
