//! `log main-journal 3 2.4995in 2.4993in`, `log ring-gap 3 top 0.0185in`: posts a reading to the current job.

use clap::Args;

use crate::desk::form::{CheckName, JobNumber, Place, RawReading};
use crate::desk::posting::{self, Beside, Finding, Prepared};
use crate::desk::remedy::remedy;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::yardstick::mark;
use crate::desk::{Context, Refusal, Trouble, unknown};
use crate::drawing::clearance_strip;
use crate::engine::Engine;
use crate::engine::derived::DERIVED;
use crate::engine::plan::{self, Check};
use crate::maths::judge::Verdict;
use crate::quantity::{Given, Measure, Temperature, show};
use crate::record::{Judged, Posted, Reading};

/// What was measured, where, and the values.
#[derive(Debug, Args)]
#[command(after_help = "log main-journal 3 2.4495in 2.4493in")]
pub struct Log {
    /// The check, such as main-journal or ring-gap.
    pub check: CheckName,
    /// Where: 3, 3 top, 4 intake. Left out for the whole engine.
    pub position: Place,
    /// The readings, in the order the plan names them.
    pub values: Vec<RawReading>,
    /// Temperature of the part.
    #[arg(long)]
    pub temp: Option<Given<Temperature>>,
    /// What it was measured with.
    #[arg(long)]
    pub instrument: Option<String>,
    /// A remark to keep with it.
    #[arg(long)]
    pub note: Option<String>,
    /// The job; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
}

/// The check of that name, or a refusal with the nearest.
pub fn named_check(name: &str) -> Result<&'static Check, Refusal> {
    plan::check(name).ok_or_else(|| {
        let ids: Vec<&str> = plan::CHECKS.iter().map(|c| c.id).collect();
        unknown("check", name, &ids)
    })
}

impl Log {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let check = named_check(&self.check.0)?;
        let job = context.named_job(self.job.as_ref())?;
        let engine = context.engine_of(&job)?;
        let mut tokens = vec![self.position.0.clone()];
        tokens.extend(self.values.iter().map(|RawReading(text)| text.clone()));
        let (position, values) = posting::place(engine, check, &tokens)?;
        let values: Vec<RawReading> = values.into_iter().map(RawReading).collect();
        let temperature = self.temp.as_ref().map(|t| context.quantity("temp", t, Some(engine.unit))).transpose()?;
        let beside = Beside {
            temperature: temperature.map(Measure::si),
            instrument: self.instrument.as_deref(),
            note: self.note.as_deref(),
        };
        let prepared = posting::prepare(context, &job, engine, check, position, &values, &beside)?;
        let key = request_key(context)?;
        let posted = context.desk.record.post(&context.actor(), &key, prepared.measured.clone(), context.now)?;
        Ok(told(engine, check, &prepared, &posted))
    }
}

/// The key under which this very request is posted once; a fresh one where the front gave none.
pub fn request_key(context: &Context) -> Result<String, Trouble> {
    if let Some(key) = &context.asker.key {
        return Ok(key.clone());
    }
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|e| anyhow::anyhow!("no randomness: {e}"))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

/// `Main journal 3: 2.4493 in (62.212 mm)`.
pub fn headline(check: &Check, reading: &Reading, lead: crate::quantity::System) -> String {
    let measured = &reading.measured;
    let place = if measured.position == "-" { String::new() } else { format!(" {}", measured.position) };
    let derived = |name: &str| DERIVED.iter().any(|derived| derived.measure == name);
    let (made, own): (Vec<&Judged>, Vec<&Judged>) = measured.measures.iter().partition(|m| derived(&m.measure));
    let value = own
        .first()
        .map_or_else(|| measured.raw.iter().sum::<f64>() / measured.raw.len().max(1) as f64, |first| first.value);
    let mut out = format!("{}{place}: {}", check.name, show::any(measured.dimension, value, lead));
    if let Some(clearance) = made.first() {
        out.push_str(&format!("; {} {}", clearance.measure, show::any(measured.dimension, clearance.value, lead)));
    }
    out
}

/// What a person hears once the reading is on disk.
pub fn told(engine: &Engine, check: &Check, prepared: &Prepared, posted: &Posted) -> Reply {
    let reading = &posted.reading;
    let lead = prepared.lead;
    let mut reply = Reply::new(headline(check, reading, lead)).verdict(reading.measured.verdict);
    let kept = if posted.was_retry { "was already posted; nothing is doubled" } else { "is on record" };
    reply = reply.text(format!("Reading {} {kept}, job {}.", reading.id, reading.measured.job));
    if let Some(Finding { found, held: Some(held), .. }) = prepared.findings.iter().find(|f| f.verdict == Verdict::Out)
    {
        reply = reply.text(format!("{}: {}", found.measure, remedy(engine, found, held, lead)));
    }
    if reading.measured.verdict == Verdict::Marginal
        && let Some(near) = prepared.findings.iter().find(|f| f.verdict == Verdict::Marginal)
    {
        reply = reply.text(format!(
            "Marginal: inside, but nearer to a limit than the gauge can tell, {} (ISO 14253-1). Measure it again, or ask the lead.",
            show::any(near.found.dimension, near.uncertainty, lead)
        ));
    }
    let rows = prepared.findings.iter().map(|Finding { found, held, verdict, .. }| {
        let value = if found.lowest == found.highest {
            show::any(found.dimension, found.value, lead)
        } else {
            show::range(found.dimension, Some(found.lowest), Some(found.highest), lead)
        };
        let at = if found.at == "-" { String::new() } else { format!(" {}", found.at) };
        let limit = held.as_ref().map_or("no limit known".to_owned(), |h| h.said(lead));
        let mut judged = Cell::from(verdict.as_str());
        judged.verdict = Some(*verdict);
        vec![Cell::from(format!("{}{at}", found.measure)), value.into(), judged, limit.into()]
    });
    let table = Table {
        caption: String::new(),
        header: ["Measure", "Value", "Verdict", "Limit"].map(String::from).to_vec(),
        rows: rows.collect(),
    };
    if !table.rows.is_empty() {
        reply = reply.block(Block::Table(table));
    } else {
        reply = reply.text("It is judged once its partner is measured.");
    }
    if let Some(Finding { found, held: Some(held), verdict, uncertainty }) =
        prepared.findings.iter().find(|f| f.held.is_some())
    {
        reply = reply.figure(clearance_strip::draw(&clearance_strip::ClearanceStrip {
            heading: format!("{} {}", check.name, reading.measured.position.trim_matches('-')).trim().to_owned(),
            dimension: found.dimension,
            system: lead,
            reading: found.value,
            uncertainty: *uncertainty,
            min: held.bounds.min,
            max: held.bounds.max,
            mark: mark(*verdict),
        }));
    }
    for Finding { found, .. } in &prepared.findings {
        reply = reply.value(Value::si(&found.measure.replace([' ', '-'], "_"), found.dimension, found.value, lead));
    }
    reply = reply.value(Value::plain("reading", reading.id.0 as f64));
    if check.wants_lead() {
        reply = reply.caution(Loudness::Important, "Hold point: the lead accepts this before you go on.");
    }
    reply
        .action(Action::send("What is next", "next"))
        .action(Action::form("Amend it", format!("amend {}", reading.id)))
        .action(Action::send("The job", format!("job show {}", reading.measured.job)))
}
