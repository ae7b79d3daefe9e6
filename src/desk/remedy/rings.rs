//! Ring gaps: file, change rings between bores, a ring for a larger bore.

use super::{Case, Remedy, mean};
use crate::desk::reply::Verdict;
use crate::desk::trouble::Trouble;
use crate::engine::Position;
use crate::maths::rings;
use crate::quantity::{Length, Measure, System, inches, millimetres, show};

pub fn gap(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let Some(aim) = case.above_least() else { return Ok(Vec::new()) };
    let now = case.found.lowest;
    if case.under().is_some() {
        let doing = format!("File {} off one end, square", case.length(aim - now));
        return Ok(vec![Remedy::new(doing).then([case.would(aim, aim)])]);
    }
    let mut all: Vec<Remedy> = change(case)?.into_iter().collect();
    // A ring to be filed to fit is sold 0.005 in over its bore. Common practice, from memory.
    let step = match case.lead {
        System::Inch => inches(0.005),
        System::Metric => millimetres(0.13),
    };
    if let Ok(less) = rings::gap_change(step) {
        let gap = now - less.si();
        let over = show::length_in(step, case.lead);
        let (doing, end) = if gap < 0.0 {
            (format!("Fit a ring {over} over: its ends overlap by {}, file it to fit", case.length(-gap)), aim)
        } else if gap < aim {
            (format!("Fit a ring {over} over: its gap is {}, file it to fit", case.length(gap)), aim)
        } else {
            (format!("Fit a ring {over} over"), gap)
        };
        all.push(Remedy::new(doing).then([case.would(end, end)]));
    }
    Ok(all)
}

/// The ring of another bore that fits here while this one fits there. A gap grows by pi x the difference of bore.
fn change(case: &Case) -> Result<Option<Remedy>, Trouble> {
    let Position::Ring(here, ring) = case.place else { return Ok(None) };
    let bore = |cylinder| -> Result<Option<f64>, Trouble> {
        Ok(case.posted("bore", Position::Number(cylinder))?.and_then(|raw| mean(&raw)))
    };
    let Some(this_bore) = bore(here)? else { return Ok(None) };
    let mut best: Option<(f64, Remedy)> = None;
    for (place, raw) in case.all_posted("ring-gap")? {
        let Position::Ring(there, other) = place else { continue };
        if other != ring || there == here {
            continue;
        }
        let (Some(other_bore), Some(gap)) = (bore(there)?, raw.first()) else { continue };
        let Ok(grows) = rings::gap_change(Length::from_si(this_bore - other_bore)).map(Measure::si) else { continue };
        let (in_here, in_there) = (gap + grows, case.found.lowest - grows);
        let limit = case.judging.limit("ring gap", case.found.at, place)?;
        let Some(limit) = limit else { continue };
        let here_then = case.would(in_here, in_here);
        let there_then = super::judged(&limit, case.found.dimension, in_there, in_there, case.doubt);
        if here_then.verdict == Verdict::Out || there_then.verdict == Verdict::Out {
            continue;
        }
        let off = case.middle().map_or(0.0, |middle| (in_here - middle).abs());
        if best.as_ref().is_none_or(|(least, _)| off < *least) {
            let doing = format!("Change it with the {} ring of {there}", ring.word());
            best = Some((off, Remedy::new(doing).then([here_then, there_then.called(format!("in {there}"))])));
        }
    }
    Ok(best.map(|(_, remedy)| remedy))
}
