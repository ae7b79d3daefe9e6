//! `paste main-journal 3, 2.4497, 2.4496; 4, 2.4498, 2.4497`: many readings of one check at once, all of them or none.

use clap::Args;

use super::log::{bases, check_and_rest, headline, last_named, request_key};
use crate::desk::form::{CheckName, InstrumentName, JobNumber, RawReading, RawRows};
use crate::desk::judging::{Judging, at_20};
use crate::desk::posting::{self, Beside, Prepared, listed};
use crate::desk::remedy::Case;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::rows::{self, Row};
use crate::desk::values::{Elsewhere, read_values};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::plan::Check;
use crate::engine::{Engine, Position};
use crate::maths::judge::Verdict;
use crate::quantity::{Given, Measure, Temperature};
use crate::record::{Job, Measured, Posted, Reading, Record};

/// Which check, and the rows.
#[derive(Debug, Args)]
#[command(after_help = "paste main-housing 1, 2.6408, 2.6409, 2.6407; 2, 2.6408, 2.6408, 2.6409")]
pub struct Paste {
    /// The check, such as main-journal or ring-gap.
    pub check: CheckName,
    /// A row for each place: the place, then its readings; a line each, or parted by semicolons.
    #[arg(required = true)]
    pub rows: Vec<RawRows>,
    /// Temperature of the parts, where it is not that of the bench; their sizes are judged at 20 °C.
    #[arg(long)]
    pub temp: Option<Given<Temperature>>,
    /// What it was measured with: one of the register, or your own words.
    #[arg(long)]
    pub instrument: Option<InstrumentName>,
    /// The job; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
    /// Odd readings are right as they stand.
    #[arg(long)]
    pub sure: bool,
}

/// A row once it is known what its parts are.
struct Read<'r> {
    row: &'r Row,
    position: Position,
    values: Vec<RawReading>,
    raw: Vec<f64>,
    /// Bare numbers took this unit, the engine's.
    borrowed: Option<String>,
}

impl Paste {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let mut words = vec![self.check.0.clone()];
        words.extend(self.rows.iter().map(|RawRows(text)| text.clone()));
        let (check, rest) = check_and_rest(context, &words)?;
        let job = context.named_job(self.job.as_ref())?;
        let engine = context.engine_of(&job)?;
        let found = rows::read(check, &rest.join(" "))?;
        let read = sound(found.iter().map(|row| (row, read(engine, check, row))))?;
        twice(&read)?;
        let temperature = self.temp.as_ref().map(|t| context.quantity("temp", t, Some(engine.unit))).transpose()?;
        let key = request_key(context)?;
        let first = |before: usize| {
            context.desk.record.posted_under(&context.asker.person, &Record::numbered(&key, before + 1))
        };
        let firsts: Vec<Option<Reading>> = (0..read.len()).map(first).collect::<Result<_, _>>()?;
        let named = self.instrument.as_ref().map(|InstrumentName(name)| name.as_str());
        let prepared = sound(read.iter().zip(&firsts).map(|(one, first)| {
            let others = read.iter().filter(|other| other.position != one.position);
            let with: Elsewhere = others.map(|other| (other.position, other.raw.clone())).collect();
            let prepared = Beside::of_line(context, first.as_ref(), temperature.map(Measure::si), named)
                .map(|line| Beside { sure: self.sure, with: &with, ..line })
                .and_then(|beside| posting::prepare(context, &job, engine, check, one.position, &one.values, &beside));
            (one.row, prepared)
        }))?;
        let measured: Vec<Measured> = prepared.iter().map(|one| one.measured.clone()).collect();
        if firsts.iter().all(Option::is_none) {
            context.undisturbed(&job, check, &measured.iter().collect::<Vec<_>>())?;
        }
        let posted = context.desk.record.post_all(&context.actor(), &key, measured, context.arrived)?;
        told(context, check, (engine, &job), &read, &prepared, &posted)
    }
}

/// What the rows came to, if all of them did; else the first fault by its row, and which others have one.
fn sound<'r, T>(each: impl Iterator<Item = (&'r Row, Result<T, Trouble>)>) -> Result<Vec<T>, Trouble> {
    let (mut whole, mut faults) = (Vec::new(), Vec::new());
    for (row, outcome) in each {
        match outcome {
            Ok(one) => whole.push(one),
            Err(Trouble::Refused(refusal)) => faults.push((row, refusal)),
            Err(fault) => return Err(fault),
        }
    }
    let Some((row, first)) = faults.first() else { return Ok(whole) };
    let others: Vec<String> = faults.iter().skip(1).map(|(row, _)| row.number.to_string()).collect();
    let mut possible = first.sentence();
    match others.as_slice() {
        [] => {}
        [one] => possible.push_str(&format!(" Row {one} has a fault too.")),
        several => possible.push_str(&format!(" Rows {} have faults too.", several.join(", "))),
    }
    let asks = faults.iter().all(|(_, refusal)| refusal.asks);
    Err(Refusal { asks, ..Refusal::new(rows::name(row.number), &row.text, possible) }.into())
}

fn read<'r>(engine: &Engine, check: &Check, row: &'r Row) -> Result<Read<'r>, Trouble> {
    let (position, values) = posting::place(engine, check, &row.tokens)?;
    let values: Vec<RawReading> = values.into_iter().map(RawReading).collect();
    let readings = read_values(engine, check, &values)?;
    let borrowed = readings.borrowed.then_some(readings.unit);
    Ok(Read { row, position, values, raw: readings.raw, borrowed })
}

/// A place that comes twice is a slip of the sheet; a repeat reading is posted by itself.
fn twice(read: &[Read]) -> Result<(), Refusal> {
    for (at, one) in read.iter().enumerate() {
        if let Some(earlier) = read[..at].iter().find(|earlier| earlier.position == one.position) {
            let possible = format!(
                "Row {} is for {} already. Post a repeat reading by itself.",
                earlier.row.number, earlier.position
            );
            return Err(Refusal::new(rows::name(one.row.number), &one.row.text, possible));
        }
    }
    Ok(())
}

/// How many are on record, the worst first, and what to do about what is out.
fn told(
    context: &Context,
    check: &Check,
    (engine, job): (&Engine, &Job),
    read: &[Read],
    prepared: &[Prepared],
    posted: &[Posted],
) -> Result<Reply, Trouble> {
    let mut all: Vec<(&Prepared, &Posted)> = prepared.iter().zip(posted).collect();
    all.sort_by_key(|(_, posted)| std::cmp::Reverse(posted.reading.measured.verdict.severity()));
    let worst = posted.iter().map(|one| one.reading.measured.verdict).fold(Verdict::NoLimit, Verdict::worse);
    let count = |verdict| posted.iter().filter(|one| one.reading.measured.verdict == verdict).count();
    let (out, marginal) = (count(Verdict::Out), count(Verdict::Marginal));
    let noted = [(out, "out"), (marginal, "marginal")].into_iter().filter(|(count, _)| *count > 0);
    let noted: Vec<String> = noted.map(|(count, word)| format!("{count} {word}")).collect();
    let readings = if posted.len() == 1 { "reading" } else { "readings" };
    let held = posted.iter().any(|one| one.reading.id.is_held());
    let kept = if held { "held on this phone" } else { "on record" };
    let mut title = format!("{}: {} {readings} {kept}", check.name, posted.len());
    if !noted.is_empty() {
        title.push_str(&format!(", {}", noted.join(", ")));
    }
    let mut reply = Reply::new(title).verdict(worst);
    for (step, places) in steps(context, check, (engine, job), read, prepared)? {
        reply = reply.text(format!("{} {}, {step}", check.name, listed(&places)));
    }
    if posted.iter().all(|one| one.was_retry) {
        reply = reply.text("They were already posted; nothing is doubled.");
    }
    let rows = all.iter().map(|(one, posted)| {
        let verdict = posted.reading.measured.verdict;
        let judged = Cell { text: verdict.as_str().to_owned(), verdict: Some(verdict), line: None };
        let mut number = Cell::from(posted.reading.id.to_string());
        number.line = (verdict == Verdict::Out).then(|| format!("remedy {}", posted.reading.id));
        vec![number, headline(context, &posted.reading, one.lead).into(), judged]
    });
    reply = reply.block(Block::Table(Table {
        caption: String::new(),
        header: ["No.", "Reading", "Verdict"].map(String::from).to_vec(),
        rows: rows.collect(),
    }));
    let mut said: Vec<&str> = Vec::new();
    for one in prepared {
        // What a row says of its own numbers is said once for all.
        let own = |remark: &&String| !remark.starts_with(&one.measured.typed);
        for remark in one.remarks.iter().filter(own) {
            if !said.contains(&remark.as_str()) {
                said.push(remark);
            }
        }
    }
    for remark in said {
        reply = reply.text(remark);
    }
    if let Some(last) = prepared.iter().find_map(|one| one.last_used.as_ref()) {
        reply = reply.text(last_named(check, last));
    }
    if let Some(warning) = prepared.iter().find_map(|one| one.warning.as_ref()) {
        reply = reply.caution(Loudness::Warning, warning);
    }
    if let Some(unit) = read.iter().find_map(|one| one.borrowed.as_ref()).filter(|unit| !unit.is_empty()) {
        reply = reply.text(format!("Bare numbers are taken as {unit}, the engine's unit."));
    }
    let bases = bases(prepared.iter().flat_map(|one| &one.findings));
    if !bases.is_empty() {
        reply = reply.sources(bases);
    }
    if check.wants_lead() {
        reply = reply.caution(Loudness::Important, "Hold point: the lead accepts these before you go on.");
    }
    for (name, number) in [("readings", posted.len()), ("out", out), ("marginal", marginal)] {
        reply = reply.value(Value::plain(name, number as f64));
    }
    if prepared.iter().any(|one| one.ask_warmth) {
        reply = reply.action(Action::form("How warm is it now", "job temp"));
    }
    Ok(reply
        .action(Action::send("What is next", format!("next {}", job.id)))
        .action(Action::send("The job", format!("job show {}", job.id))))
}

/// The first thing to do about what is out, and where: the same step is told once.
fn steps(
    context: &Context,
    check: &Check,
    (engine, job): (&Engine, &Job),
    read: &[Read],
    prepared: &[Prepared],
) -> Result<Vec<(String, Vec<Position>)>, Trouble> {
    let overrides = context.overrides(job.id)?;
    let mut steps: Vec<(String, Vec<Position>)> = Vec::new();
    for (row, one) in read.iter().zip(prepared) {
        let position = row.position;
        let judging = Judging { context, job, engine, check, position, overrides: &overrides, with: &[] };
        let raw = at_20(check, &one.measured.raw, one.measured.temperature)?;
        let mut cases = one.findings.iter().filter_map(|finding| Case::new(&judging, finding, &raw, one.lead));
        let Some(case) = cases.next() else { continue };
        let first = case.remedies()?.first().map(|remedy| remedy.said(one.lead)).unwrap_or_default();
        let step = format!("{}. {first}", case.miss());
        match steps.iter_mut().find(|(other, _)| *other == step) {
            Some((_, places)) => places.push(position),
            None => steps.push((step, vec![position])),
        }
    }
    Ok(steps)
}
