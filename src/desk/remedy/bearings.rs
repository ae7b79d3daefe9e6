//! Oil clearances, journals and housings: other half-shells, polish, grind, line hone.

use super::{Case, Remedy, Then, largest, mean, smallest};
use crate::desk::commands::bearing::{halves, shelf};
use crate::desk::reply::Verdict;
use crate::desk::trouble::Trouble;
use crate::engine::Position;
use crate::maths::{shells, sizes};
use crate::quantity::{Length, Measure, inches, show};

/// What a polish takes off a journal at most, on diameter, inches. Common practice, from memory.
const MOST_POLISH: f64 = 0.0005;

/// A bearing by the checks that belong to it.
struct Bearing {
    inside: &'static str,
    journal: &'static str,
    housing: &'static str,
    /// The measure of the journal's and the housing's size.
    size: &'static str,
    hole: &'static str,
    hone: &'static str,
}

const MAIN: Bearing = Bearing {
    inside: "main-bearing",
    journal: "main-journal",
    housing: "main-housing",
    size: "main journal",
    hole: "main housing",
    hone: "Line hone the housings back to size",
};

const ROD: Bearing = Bearing {
    inside: "rod-bearing",
    journal: "rod-journal",
    housing: "big-end",
    size: "rod journal",
    hole: "big end bore",
    hone: "Have the big end resized",
};

impl Bearing {
    fn of(measure: &str) -> &'static Self {
        if measure.starts_with("main") { &MAIN } else { &ROD }
    }

    /// Where the journal of a bearing is measured: a rod's on its crank pin.
    fn journal_place(&self, case: &Case, place: Position) -> Option<Position> {
        match place {
            Position::Number(rod) if self.journal == ROD.journal => {
                case.judging.engine.pin_of(rod).map(Position::Number)
            }
            other => Some(other),
        }
    }

    /// Where that bearing is, for a journal: on a crank pin the first of its rods.
    fn place(&self, case: &Case) -> Position {
        match case.place {
            Position::Number(pin) if case.found.measure.starts_with("rod journal") => {
                case.judging.engine.on_pin(pin).first().map_or(case.place, |rod| Position::Number(*rod))
            }
            place => place,
        }
    }

    fn nominal(&self, case: &Case) -> Option<Length> {
        let engine = case.judging.engine;
        if self.journal == MAIN.journal { engine.main_journal } else { engine.rod_journal }
    }
}

/// Every mix of half-shells on the usual shelf, and the clearance it would give here; the best first.
pub fn mixes(case: &Case) -> Vec<(String, Then)> {
    let (Some(min), Some(max)) = (case.held.bounds.min, case.held.bounds.max) else { return Vec::new() };
    if !case.found.measure.ends_with("oil clearance") {
        return Vec::new();
    }
    let both = [case.found.lowest, case.found.highest].map(Length::from_si);
    let middle = [(both[0] + both[1]) / 2.0];
    let picked = shells::pick(&middle, &shelf(case.lead), Length::from_si(min), Length::from_si(max));
    let Some(all) = picked.ok().and_then(|mut picked| picked.pop()).map(|picked| picked.all) else {
        return Vec::new();
    };
    all.iter().map(|mix| (halves(mix, case.lead), case.moved((mix.clearance - middle[0]).si()))).collect()
}

pub fn clearance(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let bearing = Bearing::of(case.found.measure);
    let mut all = Vec::new();
    if case.under().is_some() {
        all.push(Remedy::new("Clean the backs of the shells and the housing, torque again, measure again"));
    }
    if let Some((halves, then)) = mixes(case).into_iter().find(|(_, then)| then.verdict != Verdict::Out) {
        all.push(Remedy::new(format!("Mix shells, {halves}")).then([then]));
    }
    let journal = match bearing.journal_place(case, case.place) {
        Some(place) => case.posted(bearing.journal, place)?,
        None => None,
    };
    all.extend(polish_to_clear(case, bearing, journal.as_deref())?);
    all.extend(grind(case, bearing)?);
    all.extend(hone(case, bearing)?);
    Ok(all)
}

/// Off the journal by as much as the clearance wants, where a polish can and the journal stays in its own limits.
fn polish_to_clear(case: &Case, bearing: &Bearing, journal: Option<&[f64]>) -> Result<Option<Remedy>, Trouble> {
    let (Some(aim), Some(low), true) = (case.above_least(), journal.and_then(smallest), case.under().is_some()) else {
        return Ok(None);
    };
    let by = aim - case.found.lowest;
    let size = case.other(bearing.size, low - by, inches(1e-4).si())?;
    if by > inches(MOST_POLISH).si() || size.verdict == Verdict::Out {
        return Ok(None);
    }
    let doing = format!("Polish the journal by {}", case.length(by));
    Ok(Some(Remedy::new(doing).then([case.moved(by), size])))
}

/// The next undersize at which every journal of the set cleans up, and the clearance with shells to match.
fn grind(case: &Case, bearing: &Bearing) -> Result<Option<Remedy>, Trouble> {
    let engine = case.judging.engine;
    let all = case.all_posted(bearing.journal)?;
    let set: Vec<f64> = all.iter().flat_map(|(_, raw)| raw.iter().copied()).collect();
    let (Some(nominal), Some(least), Some(most)) = (bearing.nominal(case), smallest(&set), largest(&set)) else {
        return Ok(None);
    };
    if engine.undersizes.is_empty() {
        return Ok(Some(Remedy::new("Grind to the next undersize: the engine's page does not name them")));
    }
    let next = sizes::next_undersize(Length::from_si(least), nominal, &engine.undersizes);
    let Some(step) = next.ok().and_then(|next| next.first) else {
        return Ok(Some(Remedy::new(
            "No standard undersize cleans it up: build it up and regrind, or replace the crank",
        )));
    };
    let doing = format!(
        "Grind all of the set to {} under, {}, shells to match",
        show::length_in(step.step, case.lead),
        show::length(step.size, case.lead)
    );
    // Shells to match make up for the cut: what is left is how the ground journal stands in its own limits.
    let now = sizes::last_undersize(Length::from_si(most), nominal, &engine.undersizes);
    let inside = case.posted(bearing.inside, bearing.place(case))?;
    let limit = case.judging.limit(bearing.size, "-", case.place)?.map(|held| held.bounds);
    let (Some(inside), Some((min, max))) = (inside, limit.and_then(|bounds| Some((bounds.min?, bounds.max?)))) else {
        return Ok(Some(Remedy::new(doing)));
    };
    let Some(inside) = mean(&inside) else { return Ok(Some(Remedy::new(doing))) };
    // The limit may be the page's, for a standard journal, or the job's, for a ground one.
    let limit_of = sizes::last_undersize(Length::from_si(max), nominal, &engine.undersizes);
    let at_size = |journal: f64| inside - (journal - limit_of.si() + now.si());
    let measure = if bearing.journal == MAIN.journal { "main oil clearance" } else { "rod oil clearance" };
    let then = match case.judging.limit(measure, "-", case.place)? {
        Some(held) => super::judged(&held, case.found.dimension, at_size(max), at_size(min), inches(1.5e-4).si()),
        None => return Ok(Some(Remedy::new(doing))),
    };
    let name = if measure == case.found.measure { "" } else { measure };
    Ok(Some(Remedy::new(doing).then([then.called(name)])))
}

/// A housing that is out itself, brought back: the clearance follows it.
fn hone(case: &Case, bearing: &Bearing) -> Result<Option<Remedy>, Trouble> {
    let (Some(housing), Some(held)) =
        (case.posted(bearing.housing, case.place)?, case.judging.limit(bearing.hole, "-", case.place)?)
    else {
        return Ok(None);
    };
    let (Some(now), Some(min), Some(max)) = (mean(&housing), held.bounds.min, held.bounds.max) else { return Ok(None) };
    let out = housing.iter().any(|size| held.verdict(*size, 0.0) == Verdict::Out);
    let then = case.would(case.found.lowest - now + min, case.found.highest - now + max);
    Ok(out.then(|| Remedy::new(bearing.hone).then([then])))
}

pub fn journal(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let bearing = Bearing::of(case.found.measure);
    let mut all = Vec::new();
    if let (Some(_), Some(aim)) = (case.over().filter(|_| case.found.measure == bearing.size), case.below_most()) {
        let by = case.found.highest - aim;
        if by <= inches(MOST_POLISH).si() {
            all.push(Remedy::new(format!("Polish it by {}", case.length(by))).then([case.moved(-by)]));
        }
    }
    all.extend(grind(case, bearing)?);
    Ok(all)
}

pub fn housing(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let bearing = Bearing::of(case.found.measure);
    let mut all = vec![Remedy::new("Check cap numbers and torque, and measure again")];
    let held = case.judging.limit(bearing.hole, "-", case.place)?;
    let middle = held.and_then(|held| {
        let middle = (held.bounds.min? + held.bounds.max?) / 2.0;
        Some(super::judged(&held, case.found.dimension, middle, middle, case.doubt))
    });
    all.push(Remedy::new(bearing.hone).then(middle));
    Ok(all)
}
