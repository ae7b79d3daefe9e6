//! The values of a reading, from text to SI: counted, believable, and questioned where they are far from what can be.

use super::form::{LEFT_OUT, RawReading};
use super::line;
use super::posting::listed;
use super::sense::explain;
use super::trouble::{Refusal, Trouble};
use super::yardstick::Held;
use crate::engine::measures::Measured as Found;
use crate::engine::plan::{Check, Reach};
use crate::engine::{Engine, Position};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, Length, Measure, System, above, inches, named_in, read, read_si, show, system_of};

/// Readings in SI with how they were written.
#[derive(Debug)]
pub struct Readings {
    pub raw: Vec<f64>,
    pub typed: String,
    /// The unit they were taken in.
    pub unit: String,
    pub system: Option<System>,
    /// True where no unit was typed, so that the engine's was taken.
    pub borrowed: bool,
}

/// Reads the values of a check. A bare one takes the unit of the last, else the engine's.
pub fn read_values(engine: &Engine, check: &Check, given: &[RawReading]) -> Result<Readings, Trouble> {
    let texts: Vec<&str> = given.iter().map(|RawReading(text)| text.as_str()).collect();
    let count = check.least..=check.readings.len();
    if !count.contains(&texts.len()) {
        let wanted = if count.start() == count.end() {
            count.start().to_string()
        } else {
            format!("{} to {}", count.start(), count.end())
        };
        let names = match check.readings {
            [one] => format!("the {one}"),
            several => format!("in this order: {}", several.join(", ")),
        };
        let value = if *count.end() == 1 { "value" } else { "values" };
        let possible = format!("{} takes {wanted} {value}, {names}.", check.name);
        return Err(Refusal::new("values", texts.join(" "), possible).into());
    }
    if let Some(at) = texts.iter().position(|text| *text == LEFT_OUT) {
        let order = check.readings.join(", ");
        let may =
            if check.least == check.readings.len() { "It takes all, in" } else { "Only the last may be missing, in" };
        let possible = format!("The {} is left out. {may} this order: {order}.", check.readings[at]);
        return Err(Refusal::new("values", texts.join(" "), possible).into());
    }
    let last = texts.last().and_then(|text| read(text).ok());
    let system = last.as_ref().and_then(|written| system_of(check.dimension, written));
    let lean = system.or(Some(engine.unit));
    let mut raw = Vec::new();
    for text in &texts {
        // `0 3 7 tenths`: not the system alone, the very unit.
        let shared = last.as_ref().and_then(|last| last.unit.as_deref());
        let bare = read(text).is_ok_and(|written| written.unit.is_none());
        let with_unit = shared.filter(|_| bare).map(|unit| format!("{text} {unit}"));
        raw.push(value(engine, check, with_unit.as_deref().unwrap_or(text), lean)?);
    }
    let typed_unit = last.and_then(|written| written.unit);
    let usual = || named_in(check.dimension, engine.unit).map_or("", |u| u.symbol).to_owned();
    Ok(Readings {
        raw,
        typed: texts.join(" "),
        borrowed: typed_unit.is_none(),
        unit: typed_unit.unwrap_or_else(usual),
        system,
    })
}

fn value(engine: &Engine, check: &Check, text: &str, lean: Option<System>) -> Result<f64, Trouble> {
    if line::split(text).len() > 1 {
        return Err(Refusal::new("values", text, "One value belongs in each place.").into());
    }
    let misread = |m| Refusal::new("values", text, format!("It {m}."));
    let written = read(text).map_err(misread)?;
    let si = read_si(check.dimension, text, lean).map_err(misread)?;
    if check.dimension == Dimension::Share && written.unit.is_none() && written.number > 0.0 && written.number < 1.0 {
        let percent = show::number(written.number * 100.0);
        let possible = format!("A share is given in per cent: {percent}% or {text}%?");
        return Err(Refusal::new("values", text, possible).into());
    }
    let (low, high) = believable(engine, check);
    if (low..=high).contains(&si) {
        return Ok(si);
    }
    let rule = Rule::OutsideRange { low, high, dimension: check.dimension };
    Err(explain(Unfit { input: "values", rule }, &[("values", &written)]).into())
}

/// What a reading of this check can be at all: near the engine's own size where it has one.
fn believable(engine: &Engine, check: &Check) -> (f64, f64) {
    let thou = |n: f64| inches(n / 1000.0).si();
    match (check.dimension, check.expected(engine)) {
        // Worn and reground below, housings with room for shells above.
        (Dimension::Length, Some(size)) => (size.si() * 0.93, size.si() * 1.12),
        // What a check of the shop's own can be only its limits say.
        _ if check.own => (f64::MIN, f64::MAX),
        (Dimension::Length, None) => match check.reach {
            Reach::Clearance => (0.0, thou(250.0)),
            // A piston stands proud; a ring too deep for its groove does too, and that is what its check is for.
            Reach::EitherWay => (thou(-250.0), thou(250.0)),
            // A valve stem's shim to a ship's camshaft.
            Reach::Part => (thou(40.0), thou(10_000.0)),
        },
        // A pin's retainer to a ship's piston; a valve spring of a model to one of a ship.
        (Dimension::Mass, _) => (1e-3, 50.0),
        (Dimension::Force, _) => (1.0, 2e4),
        (Dimension::Share, _) => (0.0, 1.0),
        // From a motorcycle's to a ship's auxiliary: 5 cc to half a litre.
        (Dimension::Volume, _) => (5e-6, 5e-4),
        (Dimension::Pressure, _) => (0.0, 5e6),
        (Dimension::Torque, _) => (0.0, 500.0),
        _ => (f64::MIN, f64::MAX),
    }
}

/// Questions a reading that is far outside its limits, before it is taken: more often a slip than a fault.
pub fn question(check: &Check, values: &Readings, found: &Found, held: &Held, lead: System) -> Result<(), Refusal> {
    if check.dimension != Dimension::Length || check.expect.is_some() {
        return Ok(());
    }
    let odd = held.bounds.max.is_some_and(|max| max > 0.0 && found.highest > 3.0 * max);
    if !odd {
        return Ok(());
    }
    let inside = |si: f64| {
        held.bounds.max.is_none_or(|max| si <= 1.5 * max) && held.bounds.min.is_none_or(|min| si >= min / 1.5)
    };
    let slip = [("mm", 1e-3), ("in", 0.0254), ("thou", 2.54e-5)]
        .into_iter()
        .filter_map(|(unit, factor)| {
            let number = read(&values.typed).ok()?.number;
            inside(number * factor).then(|| format!("{} {unit}", show::number(number)))
        })
        .chain(values.typed.split_whitespace().next().and_then(|first| {
            let si = found.highest / 10.0;
            (values.raw.len() == 1 && inside(si))
                .then(|| format!("{} (not {first})", show::any(found.dimension, si, lead)))
        }))
        .next();
    let meant = slip.map_or(String::new(), |slip| format!("Did you mean {slip}? "));
    let why = format!("{meant}That is over three times the most, {}.", held.range(lead));
    Err(Refusal::question("values", values.typed.clone(), why))
}

/// The same check at other places of the engine.
pub type Elsewhere = Vec<(Position, Vec<f64>)>;

/// How far from its neighbours a size may read before it is questioned, inches: common practice.
const APART: f64 = 0.010;

/// Questions the value of a set that lies farthest from its neighbours: the rest of the set, and the same check at other
/// places. Only sizes have any: a gap or a run-out differs from place to place as it likes.
pub fn apart(
    check: &Check,
    given: &[RawReading],
    values: &Readings,
    elsewhere: &[(Position, Vec<f64>)],
    lead: System,
) -> Result<(), Refusal> {
    if check.expect.is_none() {
        return Ok(());
    }
    let others = |at: usize| {
        let own = values.raw.iter().enumerate().filter(move |(other, _)| *other != at).map(|(_, value)| *value);
        own.chain(elsewhere.iter().flat_map(|(_, raw)| raw.iter().copied())).collect()
    };
    let far = |at: usize, value: f64| Some((at, middle(others(at))?)).map(|(at, mid)| (at, mid, (value - mid).abs()));
    let farthest = values.raw.iter().enumerate().filter_map(|(at, value)| far(at, *value));
    let Some((at, mid, by)) = farthest.max_by(|a, b| a.2.total_cmp(&b.2)) else { return Ok(()) };
    if !above(Length::from_si(by), inches(APART)) {
        return Ok(());
    }
    let places: Vec<Position> = elsewhere.iter().map(|(place, _)| *place).collect();
    let neighbours = match (values.raw.len() > 1, places.as_slice()) {
        (true, []) => "the rest of this set".to_owned(),
        (true, places) => format!("the rest of this set and {} {}", check.name, listed(places)),
        (false, places) => format!("{} {}", check.name, listed(places)),
    };
    let length = |si: f64| show::any(check.dimension, si, lead);
    let why = format!(
        "It is {} from the middle of its neighbours, {}: {neighbours}. Over {} is more often a slip than wear (common practice).",
        length(by),
        length(mid),
        show::any_in(check.dimension, inches(APART).si(), lead),
    );
    let text = given.get(at).map_or(values.typed.as_str(), |RawReading(text)| text);
    Err(Refusal::question("values", text, why))
}

/// The median.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let high = *values.get(values.len() / 2)?;
    let low = *values.get((values.len() - 1) / 2)?;
    Some((low + high) / 2.0)
}
