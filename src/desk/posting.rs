//! From a typed line to a judged reading: what `log` and `amend` share.

use super::Context;
use super::form::RawReading;
use super::sense::explain;
use super::trouble::{Refusal, Trouble};
use super::yardstick::{Held, Wanted};
use crate::engine::derived::{Derived, fed_by};
use crate::engine::limits::{Limit, Sizes};
use crate::engine::measures::{self, Measured as Found};
use crate::engine::plan::Check;
use crate::engine::{Engine, Per, Position};
use crate::maths::judge::{self, Verdict};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, Length, Measure, System, inches, looks_numeric, named_in, read, read_si, system_of};
use crate::record::{Job, Judged, Measured};

/// What a person may add to a reading.
#[derive(Debug, Default)]
pub struct Beside<'a> {
    pub temperature: Option<f64>,
    pub instrument: Option<&'a str>,
    pub note: Option<&'a str>,
}

/// One measure of a reading, held against its limit.
pub struct Finding {
    pub found: Found,
    pub held: Option<Held>,
    pub verdict: Verdict,
    /// Expanded uncertainty, SI.
    pub uncertainty: f64,
}

/// A reading, judged, ready to be posted.
pub struct Prepared {
    pub measured: Measured,
    pub findings: Vec<Finding>,
    pub lead: System,
}

/// Which position and which values a line's tokens are: the longest run of them that names a position, the rest values.
pub fn place(engine: &Engine, check: &Check, tokens: &[String]) -> Result<(Position, Vec<String>), Refusal> {
    for cut in (0..tokens.len()).rev() {
        let (words, values) = tokens.split_at(cut);
        let position = match (cut, check.per) {
            (0, Per::Engine) => Some(Position::Engine),
            (0, _) => None,
            _ => Position::parse(engine, check.per, &words.join(" ")).ok(),
        };
        if let Some(position) = position.filter(|_| values.iter().all(|v| looks_numeric(v))) {
            return Ok((position, values.to_vec()));
        }
    }
    let words: Vec<&str> = tokens
        .iter()
        .enumerate()
        .take_while(|(at, t)| *at == 0 || !looks_numeric(t))
        .map(|(_, t)| t.as_str())
        .collect();
    Err(where_else(engine, check, &words.join(" ")))
}

/// The position named, or a refusal with those there are.
pub fn position(engine: &Engine, check: &Check, text: &str) -> Result<Position, Refusal> {
    Position::parse(engine, check.per, text).map_err(|_| where_else(engine, check, text))
}

fn where_else(engine: &Engine, check: &Check, given: &str) -> Refusal {
    let all: Vec<String> = crate::engine::positions(engine, check.per).iter().map(ToString::to_string).collect();
    // Thirty-two places are told by the first few and the last.
    let shown = match all.as_slice() {
        [first @ .., last] if first.len() > 12 => format!("{}, … {last}", first[..5].join(", ")),
        few => few.join(", "),
    };
    let possible = match all.as_slice() {
        [only] if only == "-" => {
            format!("{} is for the whole engine: give the readings alone, each a number.", check.name)
        }
        _ => format!("{} on the {} is at: {shown}.", check.name, engine.title),
    };
    Refusal::new("position", given, possible)
}

/// Expanded uncertainty of one reading, SI. Common practice: a micrometer or bore gauge holds a tenth of a thou, a
/// feeler, a dial or a gauging strip half a thou; a gauge one part in fifty of what it reads.
fn uncertainty(check: &Check, value: f64) -> f64 {
    match (check.dimension, check.expect) {
        (Dimension::Length, Some(_)) => inches(0.0001).si(),
        (Dimension::Length, None) => inches(0.0005).si(),
        (Dimension::Share, _) => 0.01,
        _ => value.abs() * 0.02,
    }
}

/// Reads, checks and judges a set of values.
pub fn prepare(
    context: &Context,
    job: &Job,
    engine: &Engine,
    check: &'static Check,
    position: Position,
    values: &[RawReading],
    beside: &Beside,
) -> Result<Prepared, Trouble> {
    let texts: Vec<&str> = values.iter().map(|RawReading(text)| text.as_str()).collect();
    let raw = raw_values(engine, check, &texts)?;
    let last = texts.last().and_then(|text| read(text).ok());
    let typed_system = last.as_ref().and_then(|written| system_of(check.dimension, written));
    let unit = match last.as_ref().and_then(|written| written.unit.clone()) {
        Some(unit) => unit,
        None => named_in(check.dimension, engine.unit).map_or("", |u| u.symbol).to_owned(),
    };
    let overrides = context.overrides(job.id)?;
    let judging = Judging { context, job, engine, check, position, overrides: &overrides };
    let findings = judging.judge(&raw)?;
    let verdict = findings.iter().map(|f| f.verdict).fold(Verdict::NoLimit, Verdict::worse);
    let page = context.library.engine_page(&engine.id);
    let measured = Measured {
        job: job.id,
        check: check.id.to_owned(),
        position: position.to_string(),
        raw,
        typed: texts.join(" "),
        unit,
        dimension: check.dimension,
        temperature: beside.temperature,
        instrument: beside.instrument.map(str::to_owned),
        note: beside.note.map(str::to_owned),
        photo: None,
        measures: findings.iter().map(kept).collect(),
        verdict,
        page_revision: page.map(|p| p.revision.clone()).unwrap_or_default(),
    };
    Ok(Prepared { measured, findings, lead: context.lead_with(&[typed_system], Some(engine)) })
}

fn kept(finding: &Finding) -> Judged {
    let Finding { found, held, verdict, .. } = finding;
    let held = held.as_ref();
    Judged {
        measure: found.measure.to_owned(),
        at: found.at.to_owned(),
        value: found.value,
        min: held.and_then(|h| h.bounds.min),
        max: held.and_then(|h| h.bounds.max),
        verdict: *verdict,
        basis: held.map(|h| h.basis.clone()).unwrap_or_default(),
        source: held.map(|h| h.from.clone()).unwrap_or_default(),
    }
}

/// The raw values in SI. A bare one takes the unit of the last, else the engine's.
fn raw_values(engine: &Engine, check: &Check, texts: &[&str]) -> Result<Vec<f64>, Trouble> {
    let count = check.least..=check.readings.len();
    if !count.contains(&texts.len()) {
        let wanted = if count.start() == count.end() {
            count.start().to_string()
        } else {
            format!("{} to {}", count.start(), count.end())
        };
        let possible = format!("{} takes {wanted}, in this order: {}.", check.name, check.readings.join(", "));
        return Err(Refusal::new("values", texts.join(" "), possible).into());
    }
    let shared = texts.last().and_then(|text| read(text).ok()).and_then(|w| system_of(check.dimension, &w));
    let lean = shared.or(Some(engine.unit));
    let mut raw = Vec::new();
    for text in texts {
        let si = read_si(check.dimension, text, lean)
            .map_err(|misread| Refusal::new("values", *text, format!("It {misread}.")))?;
        let (low, high) = believable(engine, check);
        if !(low..=high).contains(&si) {
            let written = read(text).map_err(|m| Refusal::new("values", *text, format!("It {m}.")))?;
            let rule = Rule::OutsideRange { low, high, dimension: check.dimension };
            return Err(explain(Unfit { input: "values", rule }, &[("values", &written)]).into());
        }
        raw.push(si);
    }
    Ok(raw)
}

/// What a reading of this check can be at all: near the engine's own size where it has one.
fn believable(engine: &Engine, check: &Check) -> (f64, f64) {
    match (check.dimension, check.expected(engine)) {
        // Worn and reground below, housings with room for shells above.
        (Dimension::Length, Some(size)) => (size.si() * 0.93, size.si() * 1.12),
        (Dimension::Length, None) if check.id == "piston-to-deck" => (inches(-0.25).si(), inches(0.25).si()),
        (Dimension::Length, None) => (0.0, inches(0.25).si()),
        (Dimension::Share, _) => (0.0, 1.0),
        (Dimension::Pressure, _) => (0.0, 5e6),
        (Dimension::Torque, _) => (0.0, 500.0),
        _ => (f64::MIN, f64::MAX),
    }
}

/// What a set of values is judged with.
struct Judging<'a> {
    context: &'a Context<'a>,
    job: &'a Job,
    engine: &'a Engine,
    check: &'static Check,
    position: Position,
    overrides: &'a [Limit],
}

impl Judging<'_> {
    fn judge(&self, raw: &[f64]) -> Result<Vec<Finding>, Trouble> {
        let own = measures::measured(self.check, self.position, raw);
        let single = |value| uncertainty(self.check, value);
        let mut all: Vec<(Found, f64, Position)> =
            own.into_iter().map(|found| (found, single(found.value), self.position)).collect();
        if let Some(derived) = fed_by(self.check) {
            // Two readings, each with its own uncertainty (JCGM 100, 5.1.2).
            let both = single(0.0) * std::f64::consts::SQRT_2;
            all.extend(self.derived(derived, raw)?.into_iter().map(|(found, at)| (found, both, at)));
        }
        let mut judged = Vec::new();
        for (found, uncertainty, at) in all {
            let held = self.limit(&found, at)?;
            let verdict = held.as_ref().map_or(Verdict::NoLimit, |h| {
                let end = |value, min, max| judge::verdict_si(found.dimension, value, uncertainty, min, max);
                end(found.lowest, h.bounds.min, None).worse(end(found.highest, None, h.bounds.max))
            });
            judged.push(Finding { found, held, verdict, uncertainty });
        }
        Ok(judged)
    }

    /// The clearances this set completes, with the position each is at.
    fn derived(&self, derived: &Derived, raw: &[f64]) -> Result<Vec<(Found, Position)>, Trouble> {
        let mut found = Vec::new();
        let record = &self.context.desk.record;
        if derived.outer == self.check.id {
            let Some(inner) = derived.inner_position(self.engine, self.position) else { return Ok(found) };
            if let Some(other) = record.latest(self.job.id, derived.inner, &inner.to_string())? {
                let clearance = derived.clearance(raw, &other.reading.measured.raw);
                found.extend(clearance.map(|c| (c, self.position)));
            }
        } else {
            for outer in derived.outer_positions(self.engine, self.position) {
                if let Some(other) = record.latest(self.job.id, derived.outer, &outer.to_string())? {
                    found.extend(derived.clearance(&other.reading.measured.raw, raw).map(|c| (c, outer)));
                }
            }
        }
        Ok(found)
    }

    fn limit(&self, found: &Found, at: Position) -> Result<Option<Held>, Trouble> {
        let mut sizes = Sizes::from(self.engine);
        // A limit per bore goes by the bore as it is now, once it was measured.
        if let Some(cylinder) = at.number() {
            let bore = self.context.desk.record.latest(self.job.id, "bore", &cylinder.to_string())?;
            if let Some(entry) = bore {
                sizes.bore = entry.reading.measured.raw.iter().copied().reduce(f64::min).map(Length::from_si);
            }
        }
        Ok(self.context.limit(Wanted {
            measure: found.measure,
            at: found.at,
            engine: Some(self.engine),
            duty: None,
            sizes,
            overrides: self.overrides,
        }))
    }
}
