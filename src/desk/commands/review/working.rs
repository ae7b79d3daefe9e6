//! How the measures of a kept reading came out of what was read.

use crate::desk::commands::log::{dimension_of, headline};
use crate::desk::judging::{Finding, Judging};
use crate::desk::yardstick::mark;
use crate::desk::{Context, Trouble};
use crate::drawing::Figure;
use crate::drawing::clearance_strip::{self, ClearanceStrip};
use crate::engine::derived::{Derived, Partner, made_from};
use crate::engine::{Engine, Position};
use crate::quantity::{System, show};
use crate::record::{Judged, Measured, Reading};

use super::against::deciding;

/// What was read, by its `names` in the set, then how each measure follows from it.
pub fn lines(
    context: &Context,
    engine: &Engine,
    names: &[&str],
    reading: &Reading,
    lead: System,
) -> Result<Vec<String>, Trouble> {
    let measured = &reading.measured;
    let read = measured.raw.iter().enumerate().map(|(at, si)| {
        let name = names.get(at).copied().unwrap_or_default();
        format!("{name} {}", show::any_in(measured.dimension, *si, lead)).trim_start().to_owned()
    });
    let read: Vec<String> = read.collect();
    let mut lines = vec![read.join(", ")];
    for judged in &measured.measures {
        let how = match made_from(&measured.check, &judged.measure) {
            Some(derived) => Some(difference(context, engine, derived, reading, lead)?),
            None => own(&measured.check, &judged.measure, measured.raw.len()).map(str::to_owned),
        };
        lines.extend(how.map(|how| format!("{} = {how}", judged.measure)));
    }
    Ok(lines)
}

/// How a measure follows from its own readings, where it is not the reading itself.
fn own(check: &str, measure: &str, readings: usize) -> Option<&'static str> {
    if measure.ends_with("out-of-round") {
        Some("largest difference between two directions at one place (two-point, as the shop means it)")
    } else if measure.ends_with("taper") {
        Some("difference between the ends along one axis, the worse axis")
    } else {
        match check {
            "piston-to-deck" if readings > 1 => {
                Some("mean of the two sides on the pin axis, so that the rock is out of it")
            }
            "ring-groove" => Some("the groove less the ring"),
            "crank-dial" => Some("largest less smallest reading of the turn (full indicator movement)"),
            _ => (readings > 1).then_some("the reading nearest to its limit"),
        }
    }
}

/// `main bearing inside diameter 3 … less main journal 3 …`, with the readings that stood then.
fn difference(
    context: &Context,
    engine: &Engine,
    derived: &Derived,
    reading: &Reading,
    lead: System,
) -> Result<String, Trouble> {
    let measured = &reading.measured;
    let is_outer = measured.check == derived.outer;
    let plan = context.library.plan();
    let other = plan.check(if is_outer { derived.inner } else { derived.outer });
    let here = plan.check(&measured.check).and_then(|c| Position::parse(engine, c.per, &measured.position).ok());
    let places = here.map(|here| derived.partners(engine, &measured.check, here)).unwrap_or_default();
    let mut partners = Vec::new();
    for Partner { place, .. } in places {
        let Some(check) = other else { continue };
        let history = context.desk.record.history(measured.job, check.id, &place.to_string())?;
        let then = history.into_iter().rev().find(|entry| entry.reading.id < reading.id);
        partners
            .extend(then.map(|e| format!("{} [reading {}]", headline_alone(context, &e.reading, lead), e.reading.id)));
    }
    let partner = if partners.is_empty() { "its partner".to_owned() } else { partners.join(" or ") };
    Ok(match (derived.inner, is_outer) {
        ("ring-root", true) => format!("half of this less the root and twice the ring of {partner}"),
        ("ring-root", false) => format!("half of what {partner} leaves over the root and twice the ring"),
        (_, true) => format!("this less {partner}"),
        (_, false) => format!("{partner} less this"),
    })
}

/// The reading's own size, without the clearance it made.
fn headline_alone(context: &Context, reading: &Reading, lead: System) -> String {
    let told = headline(context, reading, lead);
    told.split(';').next().unwrap_or_default().to_owned()
}

/// The measures of a kept reading worked out again, for what the record does not keep of them: their ends and their
/// uncertainty. One that comes out otherwise by now, since its partner was read anew, is left out.
pub fn again(context: &Context, engine: &Engine, reading: &Reading) -> Result<Vec<Finding>, Trouble> {
    let measured = &reading.measured;
    let Some(check) = context.library.plan().check(&measured.check) else { return Ok(Vec::new()) };
    let Ok(position) = Position::parse(engine, check.per, &measured.position) else { return Ok(Vec::new()) };
    let job = context.desk.record.job(measured.job)?;
    let judging = Judging { context, job: &job, engine, check, position, overrides: &[], with: &[] };
    let mut findings = judging.judge_again(measured)?;
    let kept = |finding: &Finding| measured.measures.iter().find(|kept| kept.measure == finding.found.measure);
    let same = |finding: &Finding| kept(finding).is_some_and(|kept| (kept.value - finding.found.value).abs() < 1e-9);
    findings.retain(same);
    Ok(findings)
}

/// The ends of a measure, where they are known; else its value twice.
pub fn ends(findings: &[Finding], judged: &Judged) -> (f64, f64) {
    let found = findings.iter().find(|finding| finding.found.measure == judged.measure);
    found.map_or((judged.value, judged.value), |finding| (finding.found.lowest, finding.found.highest))
}

/// The value of a measure, or both its ends.
pub fn value(findings: &[Finding], measured: &Measured, judged: &Judged, lead: System) -> String {
    let (low, high) = ends(findings, judged);
    let dimension = dimension_of(judged, measured.dimension);
    if low == high { show::any(dimension, low, lead) } else { show::range(dimension, Some(low), Some(high), lead) }
}

/// The measure that decided, on the limits of that day; none where it had none.
pub fn strip(name: &str, findings: &[Finding], measured: &Measured, lead: System) -> Option<Figure> {
    let worst = deciding(measured).filter(|m| m.min.is_some() || m.max.is_some())?;
    let (_, high) = ends(findings, worst);
    let same = |finding: &&Finding| finding.found.measure == worst.measure;
    Some(clearance_strip::draw(&ClearanceStrip {
        heading: format!("{name} {}", measured.position.trim_matches('-')).trim().to_owned(),
        dimension: dimension_of(worst, measured.dimension),
        system: lead,
        reading: if worst.max.is_some_and(|max| high > max) { high } else { worst.value },
        uncertainty: findings.iter().find(same).map_or(0.0, |finding| finding.uncertainty),
        min: worst.min,
        max: worst.max,
        mark: mark(worst.verdict),
    }))
}
