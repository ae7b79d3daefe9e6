//! `review show 4`: one reading with its working, the limits it was judged by, and what they rest on.

use clap::Args;

use super::against::{limit, number};
use super::queue::accept;
use super::working;
use crate::desk::commands::log::headline;
use crate::desk::gauges;
use crate::desk::judging::Finding;
use crate::desk::recorded::{behind_name, moment, standing};
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value, Verdict};
use crate::desk::{Context, Trouble};
use crate::quantity::{Dimension, System, show};
use crate::record::{Entry, Measured, ReadingId};

/// Which reading.
#[derive(Debug, Args)]
#[command(after_help = "review show 4")]
pub struct Show {
    /// Its number.
    pub reading: u32,
}

const GONE: &str =
    "Its check is no longer on the shelf. The reading is shown as it was judged by the limits of its day.";

impl Show {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let entry = record.reading(ReadingId(i64::from(self.reading)))?;
        let reading = &entry.reading;
        let measured = &reading.measured;
        let job = record.job(measured.job)?;
        let engine = context.engine_of(&job)?;
        // A check may have left the shelf since; what was read and judged stands all the same.
        let check = context.library.plan().check(&measured.check);
        let lead = context.lead_with(&[], Some(engine));
        let findings = working::again(context, engine, reading)?;
        let mut reply = Reply::new(format!("{}: {}", reading.id, headline(context, reading, lead)))
            .verdict(measured.verdict)
            .fields(facts(&entry, &format!("{} {}, {}", job.id, job.title, engine.title), lead));
        if !measured.measures.is_empty() {
            reply = reply.block(Block::Table(judged(&findings, measured, lead)));
        }
        reply = reply
            .working(working::lines(context, engine, check.map_or(&[], |check| check.readings), reading, lead)?)
            .sources(bases(measured));
        if check.is_none() {
            reply = reply.text(GONE);
        }
        let name = context.library.plan().name_of(&measured.check);
        reply.blocks.extend(working::strip(name, &findings, measured, lead).map(Block::Figure));
        reply.blocks.extend(context.photographs(&job, reading)?);
        let history = record.history(measured.job, &measured.check, &measured.position)?;
        if history.len() > 1 {
            let row = |one: &Entry| {
                let said = one.superseded_by.map_or_else(|| standing(one), |by| format!("amended by {by}"));
                let posted = format!("{}, {}", one.reading.by.person, moment(one.reading.when));
                vec![number(one), headline(context, &one.reading, lead).into(), posted.into(), said.into()]
            };
            reply = reply.block(Block::Table(Table {
                caption: "All that was ever posted here".to_owned(),
                header: ["No.", "Reading", "Posted", "Review"].map(String::from).to_vec(),
                rows: history.iter().map(row).collect(),
            }));
        }
        reply = reply.value(Value::plain("reading", reading.id.0 as f64));
        if job.is_open() && entry.superseded_by.is_none() {
            let back = Action::form(format!("Return {}", reading.id), format!("review return {}", reading.id));
            reply = reply.action(accept(&entry)).action(back);
        }
        if let Some(add) = context.picture_it(&job, &entry) {
            reply = reply.action(add);
        }
        if measured.verdict == Verdict::Out && entry.superseded_by.is_none() {
            reply = reply.action(Action::send("What it would take", format!("remedy {}", entry.reading.id)));
        }
        if let Some(now) = entry.superseded_by {
            reply = reply.action(Action::send("What took its place", format!("review show {now}")));
        }
        Ok(reply
            .action(Action::send("What waits", "review queue"))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}

fn facts(entry: &Entry, job: &str, lead: System) -> Vec<(&'static str, String)> {
    let reading = &entry.reading;
    let measured = &reading.measured;
    let said = entry.superseded_by.map_or_else(|| standing(entry), |by| format!("amended: reading {by} stands now"));
    let warm = measured.temperature.map(|kelvin| show::any(Dimension::Temperature, kelvin, lead));
    let amends = reading.amends.as_ref().map(|amends| format!("reading {}: {}", amends.reading, amends.reason));
    let instrument = gauges::used_for(measured, lead).unwrap_or_else(|| "not said".to_owned());
    let mut all = vec![
        ("Job", job.to_owned()),
        ("Posted", format!("{}, {}, at the {}", reading.by.person, moment(reading.when), reading.by.front)),
        ("Typed", format!("{} ({})", measured.typed, measured.unit)),
        ("Measured with", instrument),
        ("Review", said),
    ];
    let more = [
        ("Part at", warm),
        ("Takes the place of", amends),
        ("Note", measured.note.clone()),
        ("Photo", measured.photo.clone()),
    ];
    all.extend(more.into_iter().filter_map(|(label, value)| Some((label, value?))));
    all
}

fn judged(findings: &[Finding], measured: &Measured, lead: System) -> Table {
    let rows = measured.measures.iter().map(|m| {
        let part = behind_name(&m.at);
        let mut verdict = Cell::from(m.verdict.as_str());
        verdict.verdict = Some(m.verdict);
        let value = working::value(findings, measured, m, lead);
        vec![format!("{}{part}", m.measure).into(), value.into(), verdict, limit(measured, m, lead).into()]
    });
    Table {
        caption: "As judged on that day".to_owned(),
        header: ["Measure", "Value", "Verdict", "Limit"].map(String::from).to_vec(),
        rows: rows.collect(),
    }
}

/// Where the limits came from, each said once.
fn bases(measured: &Measured) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for judged in measured.measures.iter().filter(|m| !m.source.is_empty()) {
        let basis = format!("limits from {}: {}", judged.source, judged.basis);
        if !all.contains(&basis) {
            all.push(basis);
        }
    }
    all
}
