//! `job show 1`: what is out or marginal first, then every reading as a grid.

use clap::Args;

use crate::desk::commands::log::headline;
use crate::desk::form::JobNumber;
use crate::desk::gauges;
use crate::desk::progress::place_mark;
use crate::desk::recorded::{day, standing};
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value, Verdict};
use crate::desk::{Context, Trouble};
use crate::drawing::Mark;
use crate::record::{Entry, Reading};

/// Which job.
#[derive(Debug, Args)]
#[command(after_help = "job show 1")]
pub struct Show {
    /// The job; the current one where left out.
    pub job: Option<JobNumber>,
}

impl Show {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        let progress = context.progress(&job)?;
        let lead = context.lead_with(&[], Some(progress.engine));
        let (done, all) = progress.counts();
        let filled = progress.filled();
        let count = |verdict| progress.standing().filter(|e| e.reading.measured.verdict == verdict).count();
        let (out, marginal) = (count(Verdict::Out), count(Verdict::Marginal));
        let waiting = progress.standing().filter(|e| e.review.is_none()).count();
        let state = if job.is_open() { "" } else { ", closed" };
        let title = format!("Job {}{state}: {}, {out} out, {marginal} marginal, {filled}", job.id, job.title);
        let mut reply = Reply::new(title)
            .fields([
                ("Engine", progress.engine.title.clone()),
                ("Opened", format!("{} by {}", day(job.opened.when), job.opened.by.person)),
                ("Waits for the lead", waiting.to_string()),
            ])
            .value(Value::plain("out", out as f64))
            .value(Value::plain("marginal", marginal as f64))
            .value(Value::plain("posted", done as f64))
            .value(Value::plain("wanted", all as f64))
            .value(Value::plain("waiting", waiting as f64));
        reply.verdict = progress.standing().map(|e| e.reading.measured.verdict).reduce(Verdict::worse);
        if let Some(note) = &job.note {
            reply = reply.text(note);
        }
        let holds = context.holds(&job)?;
        let (reached, ahead): (Vec<_>, Vec<_>) = holds.told().partition(|stage| stage.reached);
        reply = reply.fields(reached.iter().map(|stage| (stage.stage.title(), stage.standing())));
        if !ahead.is_empty() {
            let titles: Vec<&str> = ahead.iter().map(|stage| stage.stage.title()).collect();
            reply = reply.fields([("To come", titles.join(", "))]);
        }
        let mut wrong: Vec<&Entry> = progress
            .standing()
            .filter(|e| matches!(e.reading.measured.verdict, Verdict::Out | Verdict::Marginal))
            .collect();
        wrong.sort_by_key(|e| e.reading.measured.verdict != Verdict::Out);
        if !wrong.is_empty() {
            let rows = wrong.iter().map(|entry| {
                let mut number = Cell::from(entry.reading.id.to_string());
                number.verdict = Some(entry.reading.measured.verdict);
                if number.verdict == Some(Verdict::Out) {
                    number.line = Some(format!("remedy {}", entry.reading.id));
                }
                vec![
                    number,
                    headline(context, &entry.reading, lead).into(),
                    by(&entry.reading).into(),
                    standing(entry).into(),
                ]
            });
            reply = reply.block(Block::Table(Table {
                caption: "Out or marginal".to_owned(),
                header: ["No.", "Reading", "By", "Review"].map(String::from).to_vec(),
                rows: rows.collect(),
            }));
        }
        for entry in wrong.iter().filter(|e| e.reading.measured.verdict == Verdict::Out).take(3) {
            let id = entry.reading.id;
            reply = reply.action(Action::send(format!("What {id} would take"), format!("remedy {id}")));
        }
        let used = gauges::used(progress.standing().map(|entry| &entry.reading.measured), lead);
        if !used.is_empty() {
            reply = reply.block(Block::Heading("Measured with".to_owned())).block(Block::Bullets(used));
        }
        let matrix = progress.matrix();
        if !matrix.rows.is_empty() {
            reply = reply
                .figure(matrix.figure(&format!("Job {}: {}", job.id, job.title)))
                .block(Block::Table(grid(&matrix)));
        }
        if job.is_open() {
            reply = reply.action(Action::send("What is next", format!("next {}", job.id)));
        }
        if waiting > 0 {
            reply = reply.action(Action::send("Review", "review queue"));
        }
        Ok(reply.action(Action::send("The build sheet", format!("sheet {}", job.id))))
    }
}

/// Who, and with what.
fn by(reading: &Reading) -> String {
    match &reading.measured.instrument {
        Some(name) => format!("{}, {}", reading.by.person, gauges::named(name, reading.measured.gauge.as_ref())),
        None => reading.by.person.clone(),
    }
}

fn grid(matrix: &crate::desk::progress::Matrix) -> Table {
    let header = std::iter::once("Check".to_owned()).chain(matrix.columns.iter().cloned()).collect();
    let rows = matrix.rows.iter().map(|(name, cells)| {
        let mut row = vec![Cell::from(name.as_str())];
        row.extend(matrix.columns.iter().map(|column| {
            let Some(place) = cells.iter().find(|place| place.column == *column) else { return Cell::default() };
            match place.entry {
                Some(entry) => Cell {
                    text: reviewed(place_mark(Some(entry))).to_owned(),
                    verdict: Some(entry.reading.measured.verdict),
                    line: None,
                },
                None => Cell::from("·"),
            }
        }));
        row
    });
    Table {
        caption: "W within, M marginal, O out, N no limit; ✓ accepted, R returned, · open".to_owned(),
        header,
        rows: rows.collect(),
    }
}

/// What the lead said of a place, in one sign.
fn reviewed(mark: Mark) -> &'static str {
    match mark {
        Mark::Accepted => "✓",
        Mark::Returned => "R",
        _ => "",
    }
}
