//! A reading against its limit, as a lead's list shows it.

use super::working;
use crate::desk::commands::log::{dimension_of, headline};
use crate::desk::reply::{Cell, Verdict};
use crate::desk::{Context, Trouble};
use crate::engine::derived::made_from;
use crate::quantity::{System, show};
use crate::record::{Entry, Judged, Measured, Reading};

/// The measure that decided the verdict: the worst, and of those the first.
pub fn deciding(measured: &Measured) -> Option<&Judged> {
    let worst = measured.measures.iter().map(|m| m.verdict).reduce(Verdict::worse)?;
    measured.measures.iter().find(|m| m.verdict == worst)
}

/// `0.0020 to 0.0032 in (0.051 to 0.081 mm)`: the limit a measure was judged by on that day.
pub fn limit(measured: &Measured, judged: &Judged, lead: System) -> String {
    let range = show::range(dimension_of(judged, measured.dimension), judged.min, judged.max, lead);
    if range.is_empty() { "no limit known".to_owned() } else { range }
}

/// `bore taper 0.0005 in (0.013 mm): at most 0.0005 in (0.013 mm)`; the value is left out where the reading's own line
/// shows it, and what is judged later says so.
pub fn against(context: &Context, reading: &Reading, lead: System) -> Result<String, Trouble> {
    let measured = &reading.measured;
    let Some(judged) = deciding(measured) else { return Ok("judged once its partner is measured".to_owned()) };
    let job = context.desk.record.job(measured.job)?;
    let findings = match context.library.engine(&job.engine) {
        Some(engine) => working::again(context, engine, reading)?,
        None => Vec::new(),
    };
    let (low, high) = working::ends(&findings, judged);
    let derived = made_from(&measured.check, &judged.measure).is_some();
    let lowest = measured.raw.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = measured.raw.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let known = (derived && low == high) || (low, high) == (lowest, highest);
    let value = if known { String::new() } else { format!(" {}", working::value(&findings, measured, judged, lead)) };
    Ok(format!("{}{value}: {}", judged.measure, limit(measured, judged, lead)))
}

/// The system of units the engine of a reading leads with.
pub fn lead_of(context: &Context, measured: &Measured) -> Result<System, Trouble> {
    let job = context.desk.record.job(measured.job)?;
    Ok(context.lead_with(&[], context.library.engine(&job.engine)))
}

/// The reading's number with its verdict; pressed, it opens the reading.
pub fn number(entry: &Entry) -> Cell {
    let id = entry.reading.id.to_string();
    Cell { line: Some(format!("review show {id}")), verdict: Some(entry.reading.measured.verdict), text: id }
}

/// `4: Main journal 3: 2.4487 to 2.4491 in (62.197 to 62.207 mm), out`.
pub fn line(context: &Context, entry: &Entry) -> Result<String, Trouble> {
    let measured = &entry.reading.measured;
    let told = headline(context, &entry.reading, lead_of(context, measured)?);
    Ok(format!("{}: {told}, {}", entry.reading.id, measured.verdict.as_str()))
}
