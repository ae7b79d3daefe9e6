//! `instrument drift "micrometer 4"`: what it read on its standard over time, the trend, and when it leaves its bounds.

use clap::Args;
use jiff::civil::Date;

use super::{lead, onward};
use crate::desk::form::InstrumentName;
use crate::desk::gauges::{Stood, deviation, exact, exact_in, signed};
use crate::desk::reply::{Block, Cell, Loudness, Reply, Table, Value, Verdict};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::drift::{self, Drift, Seen};
use crate::quantity::{Number, System};
use crate::record::{Act, Noted, StandardCheck};

const DAYS_A_YEAR: f64 = 365.25;
/// The day that days are counted from; any would do.
const START: Date = Date::constant(2000, 1, 1);

/// Which one.
#[derive(Debug, Args)]
#[command(after_help = "instrument drift \"micrometer 4\"")]
pub struct DriftOf {
    /// Its name.
    pub name: InstrumentName,
}

fn days(date: Date) -> f64 {
    START.duration_until(date).as_hours() as f64 / 24.0
}

impl DriftOf {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let role = context.desk.role(context.asker);
        if !role.may(Act::SeeSpread) {
            let possible = "The trend is the lead's to weigh, since it names who checked. Whether it may be used is open to all: instrument show.";
            return Err(Refusal::new("role", role.word(), possible).into());
        }
        let stood = context.known_instrument(&self.name.0)?;
        let all = context.desk.record.standard_checks(stood.instrument.id)?;
        let (dimension, lead) = (stood.dimension(), lead(context));
        let own = stood.instrument.facts.uncertainty;
        let seen: Vec<Seen<Number>> = stood
            .checks
            .iter()
            .map(|check| Seen { day: days(check.what.on), deviation: Number(deviation(&check.what)) })
            .collect();
        let line = drift::fit(&seen).ok();
        let mut reply = Reply::new(title(&stood, line.as_ref(), lead));
        reply.verdict = stood
            .checks
            .last()
            .map(|last| if stood.is_beyond(deviation(&last.what)) { Verdict::Out } else { Verdict::Within });
        if stood.off().is_some() {
            reply = reply.caution(Loudness::Warning, "Do not use it until it is set: then check it again with --set.");
        }
        reply = match &line {
            Some(line) => fitted(reply, &stood, line, context, lead),
            None => reply.text("A trend takes three checks on different days since it was last set or calibrated: two always lie on a line."),
        };
        if !all.is_empty() {
            reply = reply.block(Block::Table(table(&stood, &all, lead)));
        }
        reply = reply
            .value(Value::plain("checks", stood.checks.len() as f64))
            .value(Value::si("uncertainty", dimension, own, lead))
            .sources(["least squares with Student's t for 95 % (JCGM 100:2008, H.3 and annex G)"]);
        Ok(onward(reply, &stood))
    }
}

fn title(stood: &Stood, line: Option<&Drift<Number>>, lead: System) -> String {
    let (name, dimension) = (stood.name(), stood.dimension());
    let Some(last) = stood.checks.last() else {
        return format!("{name} was not checked on a standard since it was last set or calibrated");
    };
    let off = signed(dimension, deviation(&last.what), lead);
    if stood.off().is_some() {
        return format!("{name}: do not use until set, {off} off on its standard");
    }
    match line {
        Some(line) if line.is_clear() => {
            format!("{name} drifts: {} a year", signed(dimension, line.slope.0 * DAYS_A_YEAR, lead))
        }
        Some(_) => format!("{name} holds: no drift that its checks could show, {off} off at the last"),
        None => format!("{name}: {off} off at its last check"),
    }
}

/// The trend, its uncertainty, and where it leads if it can be told from none.
fn fitted(reply: Reply, stood: &Stood, line: &Drift<Number>, context: &Context, lead: System) -> Reply {
    let dimension = stood.dimension();
    let own = stood.instrument.facts.uncertainty;
    let told = |si: f64| exact(dimension, si, lead);
    let (slope, expanded) = (line.slope.0 * DAYS_A_YEAR, line.expanded.0 * DAYS_A_YEAR);
    let mut working = vec![format!(
        "slope {} a year ± {} (k = {:.2}, {} degrees of freedom)",
        signed(dimension, slope, lead),
        told(expanded),
        line.coverage,
        line.freedom
    )];
    let mut reply = reply.value(Value::si("drift_a_year", dimension, slope, lead)).value(Value::si(
        "drift_uncertainty",
        dimension,
        expanded,
        lead,
    ));
    if !line.is_clear() {
        return reply.working(working).text("The slope is no more than its own uncertainty: it may as well be none.");
    }
    let today = days(context.today());
    let (now, known) = (line.at(today).0, line.expanded_at(today).0);
    working.push(format!(
        "the line today: {} ± {}, against its ± {}",
        signed(dimension, now, lead),
        told(known),
        told(own)
    ));
    reply = reply.working(working).value(Value::si("today", dimension, now, lead));
    let leaves = line.leaves(Number(own), today).filter(|day| day - today < 20.0 * DAYS_A_YEAR);
    let ahead = leaves.and_then(|day| START.checked_add(jiff::Span::new().days(day as i64)).ok());
    match ahead {
        Some(date) => reply.text(format!(
            "At this rate it leaves its ± {} about {}: have it set before then.",
            told(own),
            date.strftime("%B %Y")
        )),
        None if stood.is_beyond(now) => {
            reply.text("By its trend it is beyond its uncertainty today: check it on the standard before it is used.")
        }
        None => reply,
    }
}

fn table(stood: &Stood, all: &[Noted<StandardCheck>], lead: System) -> Table {
    let dimension = stood.dimension();
    let row = |check: &Noted<StandardCheck>| {
        let counts = stood.checks.iter().any(|counted| counted.seq == check.seq);
        let off = deviation(&check.what);
        let mut told = Cell::from(exact_in(dimension, off, lead));
        if counts {
            told.verdict = Some(if stood.is_beyond(off) { Verdict::Out } else { Verdict::Within });
        }
        let set = match (check.what.set, counts) {
            (true, _) => "set just before",
            (false, true) => "",
            (false, false) => "before it was set",
        };
        let standard = exact_in(dimension, check.what.standard, lead);
        vec![check.what.on.to_string().into(), standard.into(), told, check.by.person.as_str().into(), set.into()]
    };
    Table {
        caption: String::new(),
        header: ["Day", "Standard", "Off", "By", ""].map(String::from).to_vec(),
        rows: all.iter().rev().map(row).collect(),
    }
}
