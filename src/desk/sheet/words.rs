//! What the sheet says, said once for screen and paper.

use super::{Check, Gap, Measure, Photo, Reading, Sheet, SignedStage, Stage};
use crate::desk::gauges;
use crate::desk::holds;
use crate::desk::recorded::{day, moment};
use crate::quantity::show;

pub const DEMO: &str = "DEMO: an invented shop, an invented engine, invented readings. Build nothing to it.";
pub const NOT_FINAL: &str =
    "NOT FINAL: the job is open. Readings may be added, amended and reviewed after this was printed.";
pub const CHANGES: &str = "Amendments, limits set for this job, and what was let pass or gone over";
pub const NOTES: &str = "Notes from the bench";
pub const PHOTOGRAPHS: &str = "Photographs";
pub const INSTRUMENTS: &str = "Measured with";
pub const LEGEND: &str = "W within its limit; M marginal: inside, but nearer to the limit than the gauge can tell (ISO 14253-1); \
                          O out; N no limit known. Each reading was judged by the limit beside it, on the day it was posted.";

/// `Job #1, Harbour launch: seal 3ed9b1c0f95b4e09, printed 2026-11-20 09:00 UTC`.
pub fn foot(sheet: &Sheet) -> String {
    let short = sheet.seal.hash.get(..16).unwrap_or(&sheet.seal.hash);
    format!("Job #{}, seal {short}, printed {} UTC. {}", sheet.job, moment(sheet.printed), sheet.title)
}

/// The columns of the overview, and how much of the paper's width each takes.
pub const OVERVIEW: [(&str, f64); 5] =
    [("Stage", 0.21), ("Checks", 0.35), ("Accepted", 0.13), ("Out of limits", 0.11), ("Signed off", 0.20)];

/// Stage, its checks, how many accepted, how many out, and who signed it off.
pub fn overview(sheet: &Sheet, stage: &Stage) -> [String; 5] {
    let (accepted, out) = stage.tally();
    let posted = stage.readings().count();
    let checks = stage.checks.iter().map(|check| check.name.to_lowercase()).collect::<Vec<_>>().join(", ");
    let accepted = if accepted == posted { format!("all {posted}") } else { format!("{accepted} of {posted}") };
    let out = if out == 0 { "none".to_owned() } else { out.to_string() };
    [stage.name.to_owned(), checks, accepted, out, sheet.signed(stage.name).map_or("no".to_owned(), signed)]
}

/// `Bore, read in this order: top thrust, top axial, …`.
pub fn check(check: &Check) -> String {
    match check.order {
        [] | [_] => check.name.to_owned(),
        several => format!("{}: {}", check.name, several.join(", ")),
    }
}

pub fn place(reading: &Reading) -> String {
    match reading.place.as_str() {
        "" => "engine".to_owned(),
        "0" => "bare crank".to_owned(),
        place => place.to_owned(),
    }
}

/// `Main journal 3, reading 12: tech-1, 2026-11-20`, and what is not shown.
pub fn photo(check: &Check, reading: &Reading, photo: &Photo, more: usize) -> String {
    let place = format!("{} {}", check.name, reading.place);
    let lacking = if photo.small.is_none() { ". It cannot be drawn here" } else { "" };
    let more = match more {
        0 => String::new(),
        n => format!(". {n} more in the record"),
    };
    format!("{}, reading {}: {}, {}{lacking}{more}", place.trim_end(), photo.of, photo.by, day(photo.when))
}

/// With what, by whom.
pub fn posted(reading: &Reading) -> String {
    if reading.instrument.is_empty() { reading.by.clone() } else { format!("{}, {}", instrument(reading), reading.by) }
}

/// The instrument; how it stood only where that has to be heeded, for the list of them tells the rest.
pub fn instrument(reading: &Reading) -> String {
    match reading.gauge.as_ref().filter(|gauge| gauge.overdue || gauge.off) {
        Some(gauge) => gauges::named(&reading.instrument, Some(gauge)),
        None => reading.instrument.clone(),
    }
}

/// The values as read, the unit once, and the temperature where it was taken.
pub fn raw(sheet: &Sheet, check: &Check, reading: &Reading) -> String {
    let values: Vec<String> = reading.raw.iter().map(|si| show::any_in(reading.dimension, *si, sheet.lead)).collect();
    let unit = values.last().and_then(|last| last.split_once(' ')).map(|(_, unit)| unit.to_owned());
    let told = match (&unit, values.len() > 1 && check.order.len() > 1) {
        (Some(unit), true) => {
            let bare: Vec<&str> = values.iter().map(|v| v.trim_end_matches(unit.as_str()).trim_end()).collect();
            format!("{} {unit}", bare.join("  "))
        }
        _ => values.join(", "),
    };
    match reading.temperature {
        Some(kelvin) => {
            format!("{told}, at {}", show::any_in(crate::quantity::Dimension::Temperature, kelvin, sheet.lead))
        }
        None => told,
    }
}

/// `bore out-of-round 0.005 mm (0.0002 in)`.
pub fn measure(sheet: &Sheet, measure: &Measure) -> String {
    let name = format!("{} {}", measure.name, measure.part);
    format!("{} {}", name.trim_end(), show::any(measure.dimension, measure.value, sheet.lead))
}

pub fn limit(sheet: &Sheet, measure: &Measure) -> String {
    let range = show::range(measure.dimension, measure.min, measure.max, sheet.lead);
    if range.is_empty() { "none known".to_owned() } else { range }
}

pub fn missing(sheet: &Sheet) -> String {
    let all: Vec<String> = sheet.missing.iter().map(|(check, places)| format!("{check} ({places})")).collect();
    format!("{}.", all.join(", "))
}

pub fn changes(sheet: &Sheet) -> Vec<String> {
    let change = |c: &super::Change| format!("{}. Reason: {} ({}, {})", c.what, c.reason, c.by, moment(c.when));
    sheet.changes.iter().map(change).collect()
}

pub fn notes(sheet: &Sheet) -> Vec<String> {
    sheet.notes.iter().map(|note| format!("{}: {} ({})", note.at, note.text, note.by)).collect()
}

pub fn sources(sheet: &Sheet) -> String {
    format!("Limits from {}.", sheet.sources.join("; "))
}

/// Who accepted what; and, first, what nobody did.
pub fn acceptances(sheet: &Sheet) -> Vec<String> {
    let waiting = sheet.count.posted.saturating_sub(sheet.count.accepted);
    let mut all = Vec::new();
    if waiting > 0 {
        all.push(format!("{waiting} of {} readings are not accepted by a lead", sheet.count.posted));
    }
    all.extend(sheet.acceptances.iter().map(|one| {
        let (first, last) = (day(one.first), day(one.last));
        let when = if first == last { format!("on {first}") } else { format!("from {first} to {last}") };
        let role = if one.role == one.by { String::new() } else { format!(" ({})", one.role) };
        format!("{}{role} accepted {} readings {when}", one.by, one.readings)
    }));
    all.extend(sign_offs(sheet));
    all
}

/// `lead, 2026-11-20`; over open hold points, or changed since, it says so.
fn signed(signed: &SignedStage) -> String {
    let who = format!("{}, {}", signed.by, day(signed.when));
    match (signed.stale, signed.open.is_empty()) {
        (true, _) => format!("{who}; changed since"),
        (false, true) => who,
        (false, false) => format!("{who}, over {}", holds::points(signed.open.len())),
    }
}

/// A line for each stage that was signed off.
fn sign_offs(sheet: &Sheet) -> impl Iterator<Item = String> {
    sheet.sign_offs.iter().map(|one| {
        let role = if one.role == one.by { String::new() } else { format!(" ({})", one.role) };
        let over = if one.open.is_empty() {
            String::new()
        } else {
            format!(" over {}. Reason: {}", gone_over(&one.open), one.reason)
        };
        let stale = if one.stale { "; a reading it covers was changed since, and it was not signed again" } else { "" };
        format!("{} signed off by {}{role} on {}{over}{stale}", one.name, one.by, day(one.when))
    })
}

/// `2 open hold points: Main journal: 3 waits for the lead; Crank end float: not posted`.
pub fn gone_over(open: &[Gap]) -> String {
    let named: Vec<String> = open.iter().map(gap).collect();
    format!("{}: {}", holds::points(open.len()), named.join("; "))
}

pub fn gap(gap: &Gap) -> String {
    holds::told(&gap.name, &gap.missing, &gap.waiting)
}

/// What the hash and the code are for.
pub fn seal(sheet: &Sheet) -> String {
    format!(
        "The last event of this job is number {} of the shop's record. Its hash below covers that event and every one before \
         it: the shop can show that none was changed since. The code on the first page says: {}",
        sheet.seal.event, sheet.seal.code
    )
}
