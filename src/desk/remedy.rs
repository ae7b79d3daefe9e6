//! What it would take to bring a reading inside its limits. The answers are common practice; sizes come from the maths.

use super::yardstick::Held;
use crate::engine::Engine;
use crate::engine::measures::Measured as Found;
use crate::maths::sizes;
use crate::quantity::{Length, Measure, System, inches, show};

/// One or two sentences for a measure that is out.
pub fn remedy(engine: &Engine, found: &Found, held: &Held, lead: System) -> String {
    let length = |si: f64| show::any(found.dimension, si, lead);
    let under = held.bounds.min.filter(|min| found.lowest < *min).map(|min| min - found.lowest);
    let over = held.bounds.max.filter(|max| found.highest > *max).map(|max| found.highest - max);
    let by = match (under, over) {
        (Some(by), _) => format!("{} under the least", length(by)),
        (None, Some(by)) => format!("{} over the most", length(by)),
        (None, None) => return String::new(),
    };
    let step = match found.measure {
        "ring gap" if under.is_some() => format!("File {} off one end, square, and measure again.", length(under.unwrap_or_default())),
        "ring gap" => "Filing cannot help: fit an oversize ring and file it, or check that it is the right ring.".to_owned(),
        "main journal" | "main journal out-of-round" | "main journal taper" => grind(engine, engine.main_journal, found, lead),
        "rod journal" | "rod journal out-of-round" | "rod journal taper" => grind(engine, engine.rod_journal, found, lead),
        "bore size" | "bore out-of-round" | "bore taper" => bore(engine, found, lead),
        "main oil clearance" | "rod oil clearance" if under.is_some() => {
            "Clean the backs of the shells and the housing, torque again, measure again; then mix in a thinner half-shell; then have the journal polished.".to_owned()
        }
        "main oil clearance" | "rod oil clearance" => {
            "Measure again; then mix in a thicker half-shell; then grind to the next undersize with shells to match.".to_owned()
        }
        "crank end float" if under.is_some() => "Seat the thrust halves and read again; look for dirt or a washer in backwards. Then a thinner washer, dressed on its steel back only: the lead decides.".to_owned(),
        "crank end float" => format!("Fit thrust washers thicker by {} in all.", length(over.unwrap_or_default())),
        "piston clearance" if under.is_some() => format!("Swap pistons between bores first; else hone {} more.", length(under.unwrap_or_default())),
        "piston clearance" => "Swap pistons between bores first; else bore to the next oversize.".to_owned(),
        "rod side clearance" if under.is_some() => "Check that the chamfers face the cheeks before anything is cut.".to_owned(),
        "main housing" | "main housing out-of-round" => "Check cap numbers and torque, then line hone.".to_owned(),
        "big end bore" | "big end out-of-round" => "Check cap and torque, then have the rod resized.".to_owned(),
        "piston to deck" if under.is_some() => "The piston stands higher than the least: check rod, piston and their compression height before the deck is touched.".to_owned(),
        "piston to deck" => format!("It stands too far below: another piston or rod, or {} off the deck; squish decides.", length(over.unwrap_or_default())),
        "squish" if under.is_some() => format!("A gasket thicker by {}.", length(under.unwrap_or_default())),
        "squish" => format!("A gasket thinner by {}, or cut the deck by as much.", length(over.unwrap_or_default())),
        "rod bolt stretch" if under.is_some() => "Tighten on to the figure in one pull; if it will not come, slacken, oil and start again.".to_owned(),
        "rod bolt stretch" => "Slacken it and measure its free length: one that has grown past its maker's limit (0.001 in, common practice) is scrap. Never leave it so.".to_owned(),
        "cranking pressure spread" => "Repeat with the throttle wide open, then a spoon of oil in the low one: if it rises, rings; if not, valves or gasket.".to_owned(),
        "piston to valve" => "Stop: check the cam timing first, then deepen the relief. Never run it so.".to_owned(),
        "ring back clearance" if under.is_some() => "The ring is too deep for its groove: wrong ring or wrong piston. Do not fit it.".to_owned(),
        "ring side clearance" => "Clean the groove and measure again; then reject the ring or the piston.".to_owned(),
        "crank run-out" => "Check it again on its end mains; straightening is the crank grinder's work.".to_owned(),
        "deck flatness" => "Have the face cut, and measure the deck height again.".to_owned(),
        "valve stem clearance" => "Too tight: ream; too loose: new guides, or valves with an oversize stem.".to_owned(),
        "coil bind margin" => "Stop: take shims out, or another spring. It breaks parts the first time it binds.".to_owned(),
        "turning torque" => "Stop and find what tightened: the last thing fitted comes out first.".to_owned(),
        "leak-down" => "Listen for where the air goes: intake, exhaust, breather, radiator.".to_owned(),
        "oil pressure" => "Do not run it on: check level, gauge and relief valve first.".to_owned(),
        _ => "Measure again, then ask the lead.".to_owned(),
    };
    format!("{by}. {step}")
}

/// The next undersize that the smallest reading cleans up at.
fn grind(engine: &Engine, nominal: Option<Length>, found: &Found, lead: System) -> String {
    let Some(nominal) = nominal.filter(|_| !engine.undersizes.is_empty()) else {
        return "Grind to the next undersize: the engine's page does not name them.".to_owned();
    };
    // Out-of-round and taper are differences: the smallest size itself is not in them.
    if !found.measure.ends_with("journal") {
        return "Grind: the next undersize is named with the journal's size.".to_owned();
    }
    match sizes::next_undersize(Length::from_si(found.lowest), nominal, &engine.undersizes).map(|next| next.first) {
        Ok(Some(step)) => format!(
            "Grind to {} under, {}, and fit shells to match; all journals of the set alike.",
            show::length_in(step.step, lead),
            show::length(step.size, lead)
        ),
        _ => "No standard undersize cleans it up: build it up and regrind, or replace the crank.".to_owned(),
    }
}

/// The next oversize, with 0.004 in for the hone (common practice).
fn bore(engine: &Engine, found: &Found, lead: System) -> String {
    if found.measure != "bore size" || engine.oversizes.is_empty() {
        return "Hone if the size allows, else bore to the next oversize.".to_owned();
    }
    let needs = Length::from_si(found.highest) + inches(0.004);
    match sizes::next_oversize(needs, engine.bore, &engine.oversizes).map(|next| next.first) {
        Ok(Some(step)) => {
            format!("Bore to {} over, {}.", show::length_in(step.step, lead), show::length(step.size, lead))
        }
        _ => "No standard oversize cleans it up: sleeve it.".to_owned(),
    }
}
