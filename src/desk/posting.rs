//! From a typed line to a judged reading: what `log` and `amend` share.

use super::Context;
use super::form::{LEFT_OUT, RawReading};
use super::gauges::{self, Named};
use super::judging::{Finding, Judging, metal};
use super::steps;
use super::trouble::{Refusal, Trouble};
use super::values::{Elsewhere, Readings, apart, question, read_values};
use super::warmth::{Said, Warm};
use crate::engine::plan::{Check, Spread};
use crate::engine::{Engine, Per, Position, plain};
use crate::maths::judge::Verdict;
use crate::quantity::{Dimension, Measure, System, inches, looks_numeric, show};
use crate::record::{Decision, Entry, Job, Judged, Measured, Reading};

/// What a person may add to a reading.
#[derive(Debug)]
pub struct Beside<'a> {
    pub temperature: Option<f64>,
    /// What was said of the bench, for a size that comes without a temperature of its own.
    pub warmth: Option<Said>,
    pub instrument: Named<'a>,
    pub note: Option<&'a str>,
    /// The person says that an odd reading is right.
    pub sure: bool,
    /// The same check at the places that are posted together with this one.
    pub with: &'a [(Position, Vec<f64>)],
}

impl<'a> Beside<'a> {
    /// The temperature and the instrument of a line. Where its first try was posted, it says again what that said, whatever
    /// became of the bench and of the instrument since.
    pub fn of_line(
        context: &Context,
        first: Option<&'a Reading>,
        typed: Option<f64>,
        named: Option<&'a str>,
    ) -> Result<Self, Trouble> {
        let first = first.map(|reading| &reading.measured);
        let same = |first: &&Measured| first.instrument.as_deref().map(plain) == named.map(plain);
        Ok(Self {
            temperature: typed.or(first.and_then(|first| first.temperature)),
            warmth: if first.is_none() { context.said_warmth()? } else { None },
            instrument: first.filter(same).map_or(Named::Anew(named), Named::kept),
            note: None,
            sure: false,
            with: &[],
        })
    }
}

/// A reading, judged, ready to be posted.
pub struct Prepared {
    pub measured: Measured,
    pub findings: Vec<Finding>,
    /// What a person should hear beside the verdict.
    pub remarks: Vec<String>,
    /// What they should heed before they rely on it.
    pub warning: Option<String>,
    /// The bench's temperature should be said again.
    pub ask_warmth: bool,
    /// What was last named here for this check, where this reading names nothing.
    pub last_used: Option<String>,
    /// The reading that stood here until now.
    pub before: Option<Entry>,
    pub lead: System,
}

/// Which position and which values a line's tokens are: the longest run of them that names a position, the rest values.
pub fn place(engine: &Engine, check: &Check, tokens: &[String]) -> Result<(Position, Vec<String>), Refusal> {
    for cut in (0..tokens.len()).rev() {
        let (words, values) = tokens.split_at(cut);
        let position = match (cut, check.per) {
            (0, Per::Engine) => Some(Position::Engine),
            (0, _) => None,
            // A reading that was left out is no part of a place.
            _ if cut > 1 && words.iter().any(|word| word == LEFT_OUT) => None,
            _ => Position::parse(engine, check.per, &words.join(" ")).ok(),
        };
        if let Some(position) = position.filter(|_| values.iter().all(|v| looks_numeric(v) || v == LEFT_OUT)) {
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

/// Positions in a row; of many the first few and the last.
pub fn listed(places: &[Position]) -> String {
    let all: Vec<String> = places.iter().map(ToString::to_string).collect();
    match all.as_slice() {
        [first @ .., last] if first.len() > 12 => format!("{}, … {last}", first[..5].join(", ")),
        few => few.join(", "),
    }
}

fn where_else(engine: &Engine, check: &Check, given: &str) -> Refusal {
    let places = crate::engine::positions(engine, check.per);
    let all: Vec<String> = places.iter().map(ToString::to_string).collect();
    let shown = listed(&places);
    let possible = match (all.as_slice(), check.per) {
        ([only], _) if only == "-" => {
            format!("{} is for the whole engine: give the readings alone, each a number.", check.name)
        }
        (_, Per::Pin) => {
            let rods = |pin: u8| engine.on_pin(pin).iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ");
            let pins: Vec<String> = (1..=engine.pin_count()).map(|pin| format!("{pin} (rods {})", rods(pin))).collect();
            format!("{} on the {} goes by crank pin: {}.", check.name, engine.title, pins.join(", "))
        }
        _ => format!("{} on the {} is at: {shown}.", check.name, engine.title),
    };
    let example = match all.get(1).or(all.first()).map(String::as_str) {
        Some("-") | None => format!(" Write: log {} …", check.id),
        Some(place) => format!(" Write: log {} {place} …", check.id),
    };
    Refusal::new("position", given, possible + &example)
}

/// Reads, checks and judges a set of values.
pub fn prepare(
    context: &Context,
    job: &Job,
    engine: &Engine,
    check: &Check,
    position: Position,
    given: &[RawReading],
    beside: &Beside,
) -> Result<Prepared, Trouble> {
    let values = read_values(engine, check, given)?;
    let lead = context.lead_with(&[values.system], Some(engine));
    let overrides = context.overrides(job.id)?;
    let judging = Judging { context, job, engine, check, position, overrides: &overrides, with: beside.with };
    let warm = Warm::of(beside.temperature, beside.warmth.filter(|_| metal(check).is_some()));
    let with = gauges::read_with(context, check, &beside.instrument, &values.raw, lead)?;
    let gauge = with.gauge(check);
    let findings = judging.judge(&values.raw, warm.kelvin(), gauge.as_ref().map(|gauge| gauge.uncertainty))?;
    if !beside.sure {
        for Finding { found, held, .. } in &findings {
            if let Some(held) = held {
                question(check, &values, found, held, lead)?;
            }
        }
        rock(check, &values, lead)?;
        apart(check, given, &values, &elsewhere(&judging)?, lead)?;
    }
    let verdict = findings.iter().map(|f| f.verdict).fold(Verdict::NoLimit, Verdict::worse);
    let mut remarks = remarks(&judging, &values, warm, lead)?;
    remarks.extend(with.remarks(check, &findings, &values.raw, lead));
    let instrument = with.name();
    let last_used = match instrument {
        Some(_) => None,
        None => context.desk.record.last_used(&context.asker.channel, check.id)?,
    };
    let before = context.desk.record.latest(job.id, check.id, &position.to_string())?;
    remarks.extend(steps::rise(&judging, &values.raw, before.as_ref().map(|entry| entry.reading.id), lead)?);
    let page = context.library.engine_page(&engine.id);
    let measured = Measured {
        job: job.id,
        check: check.id.to_owned(),
        position: position.to_string(),
        raw: values.raw,
        typed: values.typed,
        unit: values.unit,
        dimension: check.dimension,
        temperature: warm.kelvin(),
        instrument,
        gauge,
        note: beside.note.map(str::to_owned),
        taken: context.asker.held.as_ref().map(|held| Box::new(held.taken.clone())),
        photo: None,
        measures: findings.iter().map(kept).collect(),
        verdict,
        page_revision: page.map(|p| p.revision.clone()).unwrap_or_default(),
    };
    let (warning, ask_warmth) = (with.warning(lead), warm.is_asked());
    Ok(Prepared { measured, findings, remarks, warning, ask_warmth, last_used, before, lead })
}

/// Both sides of a piston on its pin axis cannot differ by much: that would be the rod, or a slip.
fn rock(check: &Check, values: &Readings, lead: System) -> Result<(), Refusal> {
    match (check.id, values.raw.as_slice()) {
        ("piston-to-deck", [one, other]) if (one - other).abs() > inches(0.015).si() => {
            let apart = show::any(Dimension::Length, (one - other).abs(), lead);
            let why = format!("The two sides differ by {apart}, more than a piston rocks.");
            Err(Refusal::question("values", values.typed.clone(), why))
        }
        _ => Ok(()),
    }
}

/// A size of the same kind at the job's other places. What was returned waits to be taken again, and does not count.
fn elsewhere(judging: &Judging) -> Result<Elsewhere, Trouble> {
    let Judging { context, job, engine, check, position, with, .. } = judging;
    let mut found = Elsewhere::new();
    let places = if check.expect.is_some() { crate::engine::positions(engine, check.per) } else { Vec::new() };
    for place in places.into_iter().filter(|place| place != position) {
        if let Some(together) = with.iter().find(|(other, _)| *other == place) {
            found.push(together.clone());
            continue;
        }
        let latest = context.desk.record.latest(job.id, check.id, &place.to_string())?;
        let stands = |entry: &Entry| entry.review.as_ref().is_none_or(|r| r.decision != Decision::Returned);
        found.extend(latest.filter(stands).map(|entry| (place, entry.reading.measured.raw)));
    }
    Ok(found)
}

/// What a person should hear beside the verdict.
fn remarks(judging: &Judging, values: &Readings, warm: Warm, lead: System) -> Result<Vec<String>, Trouble> {
    let check = judging.check;
    let mut said = Vec::new();
    if values.borrowed && !values.unit.is_empty() {
        said.push(format!("{} taken as {}, the engine's unit.", values.typed, values.unit));
    }
    said.extend(metal(check).and_then(|metal| warm.remark(metal.name, lead)));
    if check.id == "piston-to-deck" && values.raw.len() == 1 {
        said.push("One side only: the piston's rock is not taken out.".to_owned());
    }
    if check.spread != Spread::Free {
        let all = judging.set(&values.raw)?;
        let places = crate::engine::positions(judging.engine, check.per).len();
        let lowest = all.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        let highest = all.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        if let (Some((low, weak)), Some((high, strong))) = (lowest, highest) {
            said.push(format!(
                "{} of {places} {}s are in: lowest {low} at {}, highest {high} at {}.",
                all.len(),
                check.per.word(),
                show::any(check.dimension, *weak, lead),
                show::any(check.dimension, *strong, lead)
            ));
        }
    }
    Ok(said)
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
