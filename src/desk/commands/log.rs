//! `log main-journal 3 2.4995in 2.4993in`, `log ring-gap 3 top 0.0185in`: posts a reading to the current job.

use clap::Args;

use crate::desk::form::{CheckName, InstrumentName, JobNumber, Place, RawReading};
use crate::desk::judging::{Finding, Judging, at_20};
use crate::desk::line::quoted;
use crate::desk::photos;
use crate::desk::posting::{self, Beside, Prepared};
use crate::desk::recorded::{behind_name, day};
use crate::desk::remedy::Case;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::walk::{Stop, Walk};
use crate::desk::{Context, Refusal, Trouble, unknown};
use crate::engine::derived::made_from;
use crate::engine::measures::kind;
use crate::engine::plan::{Check, Spread};
use crate::maths::judge::Verdict;
use crate::quantity::{Dimension, Given, Measure, Temperature, show};
use crate::record::{Act, Decision, Entry, Job, Judged, Posted, Reading};

/// What was measured, where, and the values.
#[derive(Debug, Args)]
#[command(after_help = "log main-journal 3 2.4495in 2.4493in")]
pub struct Log {
    /// The check, such as main-journal or ring-gap.
    pub check: CheckName,
    /// Where: 3, 3 top, 4 intake. Left out for the whole engine.
    pub position: Option<Place>,
    /// The readings, in the order the plan names them.
    pub values: Vec<RawReading>,
    /// Temperature of the part, where it is not that of the bench; its size is judged at 20 °C.
    #[arg(long)]
    pub temp: Option<Given<Temperature>>,
    /// What it was measured with: one of the register, or your own words.
    #[arg(long)]
    pub instrument: Option<InstrumentName>,
    /// A remark to keep with it.
    #[arg(long)]
    pub note: Option<String>,
    /// The job; the current one where left out.
    #[arg(long)]
    pub job: Option<JobNumber>,
    /// An odd reading is right as it stands.
    #[arg(long)]
    pub sure: bool,
    /// Show the next place of the plan with the answer.
    #[arg(long)]
    pub walk: bool,
}

/// The check that the first words name, as many as do, and the words left over.
pub fn check_and_rest<'a, 'w>(context: &'a Context, words: &'w [String]) -> Result<(&'a Check, &'w [String]), Refusal> {
    let plan = context.library.plan();
    let most = words.len().min(5);
    let found = (1..=most).rev().find_map(|n| Some((plan.check(&words[..n].join(" "))?, &words[n..])));
    match (found, words.first()) {
        (Some(found), _) => Ok(found),
        (None, first) => named_check(context, first.map_or("", String::as_str)).map(|check| (check, &words[most..])),
    }
}

/// The check of that name, or a refusal with the nearest.
pub fn named_check<'a>(context: &'a Context, name: &str) -> Result<&'a Check, Refusal> {
    let plan = context.library.plan();
    plan.check(name).ok_or_else(|| {
        let ids: Vec<&str> = plan.checks().iter().map(|c| c.id).collect();
        unknown("check", name, &ids)
    })
}

impl Log {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let mut words = vec![self.check.0.clone()];
        words.extend(self.position.iter().map(|Place(text)| text.clone()));
        words.extend(self.values.iter().map(|RawReading(text)| text.clone()));
        let (check, rest) = check_and_rest(context, &words)?;
        let job = context.named_job(self.job.as_ref())?;
        let engine = context.engine_of(&job)?;
        let (position, values) = posting::place(engine, check, rest)?;
        let values: Vec<RawReading> = values.into_iter().map(RawReading).collect();
        let temperature = self.temp.as_ref().map(|t| context.quantity("temp", t, Some(engine.unit))).transpose()?;
        let key = request_key(context)?;
        let first = context.desk.record.posted_under(&context.asker.person, &key)?;
        let named = self.instrument.as_ref().map(|InstrumentName(name)| name.as_str());
        let beside = Beside {
            note: self.note.as_deref(),
            sure: self.sure,
            ..Beside::of_line(context, first.as_ref(), temperature.map(Measure::si), named)?
        };
        let prepared = posting::prepare(context, &job, engine, check, position, &values, &beside)?;
        if first.is_none() {
            context.undisturbed(&job, check, &[&prepared.measured])?;
        }
        let (record, measured) = (&context.desk.record, prepared.measured.clone());
        let posted = record.post_with(&context.actor(), &key, measured, &context.enclosed()?, context.arrived)?;
        let reply = told(context, &job, check, &prepared, &posted)?;
        if !self.walk {
            return Ok(reply);
        }
        // What came back stood outside the order: the walk begins again from the top.
        let came_back = prepared.before.as_ref().is_some_and(is_returned);
        let after = (!came_back).then_some(Stop { check, position });
        Walk::new(context, &job)?.go_on(reply, &posted.reading, after)
    }
}

pub fn is_returned(entry: &Entry) -> bool {
    entry.review.as_ref().is_some_and(|review| review.decision == Decision::Returned)
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
pub fn headline(context: &Context, reading: &Reading, lead: crate::quantity::System) -> String {
    let measured = &reading.measured;
    let place = behind_name(&measured.position);
    let name = context.library.plan().name_of(&measured.check);
    format!("{name}{place}: {}", values(context, reading, lead))
}

/// `tech-1, 2026-11-24`; `you, 2026-11-24` where it is the asker's own.
pub fn whose(context: &Context, reading: &Reading) -> String {
    let person = reading.by.person.as_str();
    let by = if person == context.asker.person { "you" } else { person };
    format!("{by}, {}", day(reading.when))
}

/// `2.4493 in (62.212 mm)`, and what is made from it with its partner.
pub fn values(context: &Context, reading: &Reading, lead: crate::quantity::System) -> String {
    let measured = &reading.measured;
    let derived = |name: &str| made_from(&measured.check, name).is_some();
    let (made, own): (Vec<&Judged>, Vec<&Judged>) = measured.measures.iter().partition(|m| derived(&m.measure));
    let low = measured.raw.iter().copied().fold(f64::INFINITY, f64::min);
    let high = measured.raw.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let plan = context.library.plan();
    let check = plan.check(&measured.check);
    let value = match own.first() {
        Some(made) if check.is_some_and(Check::told_by_measure) => show::any(measured.dimension, made.value, lead),
        _ if check.is_some_and(Check::unlike) => {
            let each: Vec<String> = measured.raw.iter().map(|v| show::any(measured.dimension, *v, lead)).collect();
            each.join(", ")
        }
        _ if low == high => show::any(measured.dimension, low, lead),
        _ => show::range(measured.dimension, Some(low), Some(high), lead),
    };
    let mut out = value;
    if let Some(clearance) = made.first() {
        out.push_str(&format!(
            "; {} {}",
            clearance.measure,
            show::any(dimension_of(clearance, measured.dimension), clearance.value, lead)
        ));
    }
    out
}

/// What a judged measure is counted in: a spread of pressures is a share.
pub fn dimension_of(judged: &Judged, of_reading: Dimension) -> Dimension {
    kind(&judged.measure).map_or(of_reading, |kind| kind.dimension)
}

/// What a person hears once the reading is on disk.
pub fn told(
    context: &Context,
    job: &Job,
    check: &Check,
    prepared: &Prepared,
    posted: &Posted,
) -> Result<Reply, Trouble> {
    let engine = context.engine_of(job)?;
    let reading = &posted.reading;
    let lead = prepared.lead;
    let mut reply = Reply::new(headline(context, reading, lead)).verdict(reading.measured.verdict);
    let worst = prepared.findings.iter().max_by_key(|f| (f.held.is_some(), f.verdict.severity()));
    let measured = &reading.measured;
    let position = posting::position(engine, check, &measured.position)?;
    let overrides = context.overrides(job.id)?;
    let judging = Judging { context, job, engine, check, position, overrides: &overrides, with: &[] };
    let raw = at_20(check, &measured.raw, measured.temperature)?;
    if let Some(case) = prepared.findings.iter().find_map(|finding| Case::new(&judging, finding, &raw, lead)) {
        reply = reply.text(format!("{}.", case.miss())).block(ways(&case, MOST_WAYS)?);
    }
    if let Some(near) = prepared.findings.iter().find(|f| f.verdict == Verdict::Marginal) {
        reply = reply.text(format!(
            "Marginal: inside, but nearer to a limit than the gauge can tell, {} (ISO 14253-1). Measure it again, or ask the lead.",
            show::any(near.found.dimension, near.uncertainty, lead)
        ));
    }
    let photos = context.photographs(job, reading)?;
    let beside = match photos.len() {
        0 => String::new(),
        1 => " with its photograph".to_owned(),
        n => format!(" with {n} photographs"),
    };
    let kept = match (reading.id.is_held(), posted.was_retry) {
        (true, _) => "is held on this phone, and posted once the server answers".to_owned(),
        (_, true) => "was already posted; nothing is doubled".to_owned(),
        _ => format!("is on record{beside} and waits for the lead"),
    };
    reply = reply.text(format!("Reading {} {kept}, job {}, {}.", reading.id, job.id, job.title));
    for remark in &prepared.remarks {
        reply = reply.text(remark);
    }
    if let Some(last) = &prepared.last_used {
        reply = reply.text(last_named(check, last));
    }
    if let Some(warning) = &prepared.warning {
        reply = reply.caution(Loudness::Warning, warning);
    }
    let before = prepared.before.as_ref().map(|entry| &entry.reading);
    if let Some(earlier) = before.filter(|before| before.id != reading.id && reading.amends.is_none()) {
        let (by, what) = (whose(context, earlier), values(context, earlier, lead));
        reply = reply.text(format!(
            "Before it, reading {} stood here, posted by {by}: {what}. It stays on record; this one counts.",
            earlier.id
        ));
    }
    reply = match prepared.findings.is_empty() {
        true if check.spread != Spread::Free => reply.text("It is judged beside the others, once a second is in."),
        true => reply.text("It is judged once its partner is measured."),
        false => reply.block(Block::Table(measures(prepared))).sources(bases(&prepared.findings)),
    };
    if let Some(Finding { found, held: Some(held), verdict, uncertainty, .. }) = worst {
        reply = reply.figure(held.strip(
            format!("{} {}", check.name, reading.measured.position.trim_matches('-')).trim().to_owned(),
            lead,
            if held.bounds.max.is_some_and(|max| found.highest > max) { found.highest } else { found.value },
            *uncertainty,
            *verdict,
        ));
    }
    reply.blocks.extend(photos);
    for Finding { found, .. } in &prepared.findings {
        let name = found.measure.replace([' ', '-'], "_");
        reply = reply.value(Value::si(&name, found.dimension, found.value, lead));
    }
    reply = reply.value(Value::plain("reading", reading.id.0 as f64));
    if check.wants_lead() {
        reply = reply.caution(Loudness::Important, "Hold point: the lead accepts this before you go on.");
    }
    let holds = context.holds(job)?;
    let behind: Vec<String> = holds
        .unaccepted_before(check.stage)
        .map(|stage| format!("{}: {}", stage.stage.title(), stage.in_brief()))
        .collect();
    if !behind.is_empty() {
        let text = format!(
            "It is {}, with holds open behind it that the lead has to accept. {}. Ask before you build over them.",
            if reading.id.is_held() { "held" } else { "posted" },
            behind.join(". ")
        );
        reply = reply.caution(Loudness::Warning, text);
    }
    reply = reply.action(Action::send("What is next", format!("next {}", job.id)));
    if check.is_turn() {
        let line = format!("crank runout job={} at={}", job.id.0, measured.position);
        reply = reply.action(Action::send("Where the high spot is", line));
    }
    // Who may not amend is not offered it.
    if !reading.id.is_held() && context.desk.role(context.asker).may(Act::AmendOwn) {
        reply = reply.action(Action::form("Amend it", format!("amend {}", reading.id)));
        if let Some(last) = &prepared.last_used {
            let values = &reading.measured.typed;
            let line = format!("amend {} {values} instrument={} reason=\"instrument named\"", reading.id, quoted(last));
            reply = reply.action(Action::form(format!("It was {last}"), line));
        }
    }
    // What a phone holds has no number on record yet that a photograph could name.
    if !reading.id.is_held() {
        reply = reply.action(photos::add_to(reading));
    }
    if prepared.ask_warmth {
        reply = reply.action(Action::form("How warm is it now", "job temp"));
    }
    Ok(reply.action(Action::send("The job", format!("job show {}", job.id))))
}

/// The instrument is offered, never assumed.
pub fn last_named(check: &Check, last: &str) -> String {
    format!("No instrument named; the last {} here was read with {last}.", check.name.to_lowercase())
}

/// As many as a person with a phone reads at once.
const MOST_WAYS: usize = 4;

/// What it would take, the least costly first.
pub fn ways(case: &Case, most: usize) -> Result<Block, Trouble> {
    let items = case.remedies()?.iter().take(most).map(|remedy| remedy.said(case.lead)).collect();
    Ok(Block::Steps { start: 1, items })
}

fn measures(prepared: &Prepared) -> Table {
    let lead = prepared.lead;
    let rows = prepared.findings.iter().map(|Finding { found, held, verdict, .. }| {
        let value = if found.lowest == found.highest {
            show::any(found.dimension, found.value, lead)
        } else {
            show::range(found.dimension, Some(found.lowest), Some(found.highest), lead)
        };
        let at = behind_name(found.at);
        let mut judged = Cell::from(verdict.as_str());
        judged.verdict = Some(*verdict);
        let limit = held.as_ref().map_or("none known".to_owned(), |h| h.range(lead));
        vec![Cell::from(format!("{}{at}", found.measure)), value.into(), judged, limit.into()]
    });
    Table {
        caption: String::new(),
        header: ["Measure", "Value", "Verdict", "Limit"].map(String::from).to_vec(),
        rows: rows.collect(),
    }
}

/// Where the limits came from, each said once.
pub fn bases<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Vec<String> {
    let mut bases: Vec<String> = Vec::new();
    for held in findings.into_iter().filter_map(|f| f.held.as_ref()) {
        let basis = format!("limits from {}: {}", held.from, held.basis);
        if !bases.contains(&basis) {
            bases.push(basis);
        }
    }
    bases
}
