//! Bores and the pistons in them: swap, hone, bore over, sleeve.

use super::{Case, Remedy, largest, sized};
use crate::desk::reply::Verdict;
use crate::desk::trouble::Trouble;
use crate::engine::Position;
use crate::maths::{pairing, sizes};
use crate::quantity::{Length, Measure, inches, show};

/// What is left for the hone after boring, on diameter, inches. Common practice.
const FOR_THE_HONE: f64 = 0.004;
/// The middle of a bore across the thrust faces: where a piston's clearance is told.
const THRUST_MIDDLE: usize = 2;

pub fn bore(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let mut all = Vec::new();
    if let (Some(high), Some(size)) = (largest(case.raw), case.judging.limit("bore size", "-", case.place)?) {
        // Round and straight at its largest reading, and at the least of the limits if that is more.
        let aim = size.bounds.min.map_or(high, |min| high.max(min + case.doubt));
        let then = super::judged(&size, case.found.dimension, aim, aim, case.doubt);
        if then.verdict != Verdict::Out {
            let name = if case.found.measure == "bore size" { "" } else { "bore size" };
            let mut remedy = Remedy::new("Hone it round and straight").then([then.called(name)]);
            if let Some(skirt) = case.posted("piston-skirt", case.place)?.and_then(|raw| raw.first().copied()) {
                let doubt = case.doubt * std::f64::consts::SQRT_2;
                remedy = remedy.then([case.other("piston clearance", aim - skirt, doubt)?]);
            }
            all.push(remedy);
        }
    }
    all.push(over(case)?);
    Ok(all)
}

/// The next oversize at which the largest bore of all cleans up.
fn over(case: &Case) -> Result<Remedy, Trouble> {
    let engine = case.judging.engine;
    let set: Vec<f64> = case.all_posted("bore")?.into_iter().flat_map(|(_, raw)| raw).collect();
    let (Some(high), false) = (largest(&set), engine.oversizes.is_empty()) else {
        return Ok(Remedy::new("Bore to the next oversize: the engine's page does not name them"));
    };
    let needs = Length::from_si(high) + inches(FOR_THE_HONE);
    Ok(match sizes::next_oversize(needs, engine.bore, &engine.oversizes).ok().and_then(|next| next.first) {
        Some(step) => {
            let doing = format!("Bore all of them {} over, with new pistons", show::length_in(step.step, case.lead));
            Remedy::new(doing).then([sized(step.size.si()).called("bore")])
        }
        None => Remedy::new("No standard oversize cleans it up: sleeve it"),
    })
}

pub fn clearance(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let mut all: Vec<Remedy> = swap(case)?.into_iter().collect();
    let bore = case.posted("bore", case.place)?.and_then(|raw| raw.get(THRUST_MIDDLE).copied());
    match (case.under(), case.above_least(), bore) {
        (Some(_), Some(aim), Some(bore)) => {
            let by = aim - case.found.lowest;
            let size = case.other("bore size", bore + by, inches(1e-4).si())?;
            all.push(Remedy::new(format!("Hone {} more", case.length(by))).then([case.moved(by), size]));
        }
        (None, ..) => {
            let then = case.middle().map(|middle| case.would(middle, middle));
            let over = over(case)?;
            // Honed to fit its new piston: the middle is the hone's to reach.
            all.push(if over.then.is_empty() { over } else { over.then(then.map(|then| then.called("clearance"))) });
        }
        _ => {}
    }
    Ok(all)
}

/// The order of pistons that makes the worst clearance best, among bores whose pistons may change places: those of one
/// bank. None where this bore would not be helped.
fn swap(case: &Case) -> Result<Option<Remedy>, Trouble> {
    let engine = case.judging.engine;
    let Position::Number(here) = case.place else { return Ok(None) };
    let bank = |cylinder: u8| engine.seat(cylinder).and_then(|seat| seat.bank);
    let (mut numbers, mut bores, mut skirts) = (Vec::new(), Vec::new(), Vec::new());
    for cylinder in (1..=engine.cylinders()).filter(|cylinder| bank(*cylinder) == bank(here)) {
        let place = Position::Number(cylinder);
        let bore = case.posted("bore", place)?.and_then(|raw| raw.get(THRUST_MIDDLE).copied());
        let skirt = case.posted("piston-skirt", place)?.and_then(|raw| raw.first().copied());
        if let (Some(bore), Some(skirt)) = (bore, skirt) {
            numbers.push(cylinder);
            bores.push(Length::from_si(bore));
            skirts.push(Length::from_si(skirt));
        }
    }
    let (Some(at), Ok(paired)) = (
        numbers.iter().position(|cylinder| *cylinder == here),
        pairing::pistons(&bores, &skirts, case.middle().map(Length::from_si)),
    ) else {
        return Ok(None);
    };
    let order = paired.after;
    let value = |place: usize| order.value[place].si();
    let then = case.would(value(at), value(at));
    if order.part[at] == at || then.verdict == Verdict::Out {
        return Ok(None);
    }
    let rest = (0..numbers.len()).filter(|place| *place != at);
    let off = |place: usize| (value(place) - paired.wanted.si()).abs();
    let worst = rest.max_by(|a, b| off(*a).total_cmp(&off(*b)));
    let elsewhere = worst.map(|place| {
        case.would(value(place), value(place)).called(format!("worst elsewhere, bore {},", numbers[place]))
    });
    let doing = format!("Swap pistons, by `pair pistons`, so that piston {} runs here", numbers[order.part[at]]);
    Ok(Some(Remedy::new(doing).then([then]).then(elsewhere)))
}
