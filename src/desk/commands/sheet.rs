//! `sheet 1`: the build sheet of a job, as text here and as an HTML document that prints.

use clap::Args;

use super::log::{dimension_of, named_check};
use crate::desk::form::JobNumber;
use crate::desk::recorded::{day, moment, standing};
use crate::desk::reply::{Action, Block, Cell, Document, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sheet_page::{self, Line, SheetPage};
use crate::desk::{Context, Trouble};
use crate::quantity::show;
use crate::record::{Decision, Entry, Event, Happening};

/// Which job.
#[derive(Debug, Args)]
#[command(after_help = "sheet 1")]
pub struct Sheet {
    /// The job; the current one where left out.
    pub job: Option<JobNumber>,
}

impl Sheet {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        let progress = context.progress(&job)?;
        let engine = progress.engine;
        let lead = context.lead_with(&[], Some(engine));
        let record = &context.desk.record;
        let (done, all) = progress.counts();
        let lines = progress.standing().map(|entry| line(entry, lead)).collect::<Result<Vec<_>, Trouble>>()?;
        let accepted = progress
            .entries
            .iter()
            .filter(|e| e.review.as_ref().is_some_and(|r| r.decision == Decision::Accepted))
            .count();
        let out = progress.standing().filter(|e| e.reading.measured.verdict == Verdict::Out).count();
        let events = record.events(job.id)?;
        let changes: Vec<String> = events.iter().filter_map(change).collect();
        let seal = events.last().map(|event| event.hash.to_hex().to_string()).unwrap_or_default();
        let mut identity = vec![
            ("Engine".to_owned(), engine.title.clone()),
            (
                "Bore x stroke".to_owned(),
                format!("{} x {}", show::length(engine.bore, lead), show::length(engine.stroke, lead)),
            ),
            ("Opened".to_owned(), format!("{} by {}", day(job.opened.when), job.opened.by.person)),
        ];
        match &job.closed {
            Some(closed) => {
                identity.push(("Closed".to_owned(), format!("{} by {}", day(closed.when), closed.by.person)))
            }
            None => identity.push(("State".to_owned(), "open: this sheet is not final".to_owned())),
        }
        identity.extend(job.closing_reason.clone().map(|r| ("Closed because".to_owned(), r)));
        identity.extend(job.note.clone().map(|n| ("Asked for".to_owned(), n)));
        let summary = format!(
            "{done} of {all} readings of the plan posted, {accepted} of {} accepted, {out} out of limits",
            progress.entries.len()
        );
        let missing: Vec<String> =
            progress.wanting().iter().map(|(check, open)| format!("{} ({})", check.name, open.len())).collect();
        let page = SheetPage {
            shop: context.desk.settings().shop.clone(),
            demo: context.desk.settings().demo,
            title: format!("Build sheet, job {}", job.id),
            subtitle: job.title.clone(),
            identity: identity.clone(),
            summary: summary.clone(),
            lines,
            sources: sources(&progress.entries),
            changes: changes.clone(),
            missing: missing.clone(),
            printed: moment(context.now),
            seal: seal.clone(),
        };
        let mut reply = Reply::new(format!("Build sheet of job {}: {summary}", job.id)).fields(identity);
        let rows = page.lines.iter().map(|line| {
            let mut verdict = Cell::from(line.verdict.as_str());
            verdict.verdict = Some(line.verdict);
            vec![
                line.what.as_str().into(),
                line.value.as_str().into(),
                line.brief.as_str().into(),
                verdict,
                line.review.as_str().into(),
            ]
        });
        reply = reply.block(Block::Table(Table {
            caption: "Readings".to_owned(),
            header: ["Check", "Reading", "Limit", "Verdict", "Review"].map(String::from).to_vec(),
            rows: rows.collect(),
        }));
        if !changes.is_empty() {
            reply = reply
                .block(Block::Heading("Amendments and limits of this job".to_owned()))
                .block(Block::Bullets(changes));
        }
        if !missing.is_empty() {
            reply = reply.caution(Loudness::Warning, format!("Not measured: {}.", missing.join(", ")));
        }
        let document = Document {
            name: format!("build-sheet-job-{}.html", job.id.0),
            media: "text/html; charset=utf-8",
            content: sheet_page::html(&page),
        };
        Ok(reply
            .text(format!("Seal of the record: {}", &seal.get(..16).unwrap_or_default()))
            .block(Block::Document(document))
            .value(Value::plain("readings", progress.entries.len() as f64))
            .value(Value::plain("accepted", accepted as f64))
            .value(Value::plain("out", out as f64))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}

fn line(entry: &Entry, lead: crate::quantity::System) -> Result<Line, Trouble> {
    let measured = &entry.reading.measured;
    let check = named_check(&measured.check)?;
    let place = if measured.position == "-" { String::new() } else { format!(" {}", measured.position) };
    let raw = measured.raw.iter().map(|si| show::any_in(measured.dimension, *si, lead)).collect::<Vec<_>>().join(", ");
    let brief =
        measured.measures.iter().filter(|m| m.min.is_some() || m.max.is_some()).map(|m| {
            format!("{}: {}", m.measure, show::range(dimension_of(m, measured.dimension), m.min, m.max, lead))
        });
    let judged = measured.measures.iter().map(|m| {
        let dimension = dimension_of(m, measured.dimension);
        let limit = show::range(dimension, m.min, m.max, lead);
        let value = show::any_in(dimension, m.value, lead);
        if limit.is_empty() {
            format!("{} {value}: no limit", m.measure)
        } else {
            format!("{} {value}: {limit}", m.measure)
        }
    });
    let by = format!("{}, {}", entry.reading.by.person, moment(entry.reading.when));
    let with = measured.instrument.as_ref().map(|i| format!(", {i}")).unwrap_or_default();
    Ok(Line {
        what: format!("{}{place}", check.name),
        value: raw,
        brief: brief.collect::<Vec<_>>().join("; "),
        limits: judged.collect(),
        verdict: measured.verdict,
        by: format!("{by}{with}"),
        review: standing(entry),
        note: measured.note.clone().unwrap_or_default(),
    })
}

/// Where the limits of these readings came from, each said once.
fn sources(entries: &[Entry]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for judged in entries.iter().flat_map(|entry| &entry.reading.measured.measures).filter(|m| !m.source.is_empty()) {
        let source = format!("{} ({})", judged.source, judged.basis);
        if !found.contains(&source) {
            found.push(source);
        }
    }
    found
}

/// What has to stay visible: amendments, and limits set for this job.
fn change(event: &Event) -> Option<String> {
    let who = format!("{}, {}", event.by.person, moment(event.when));
    match &event.what {
        Happening::Reading(posting) => {
            let amends = posting.amends.as_ref()?;
            let place = &posting.measured.position;
            Some(format!(
                "Reading {} ({} {place}) amended: {} ({who})",
                amends.reading, posting.measured.check, amends.reason
            ))
        }
        Happening::LimitOverridden(own) => Some(format!("{} set for this job: {} ({who})", own.measure, own.reason)),
        _ => None,
    }
}
