//! What is set, shimmed, trimmed or cut to a figure.

use super::{Case, Remedy};
use crate::desk::commands::valve::SHIMS;
use crate::desk::trouble::Trouble;
use crate::maths::valves;
use crate::quantity::{Length, Measure, inches, show};

pub fn set(case: &Case) -> Result<Vec<Remedy>, Trouble> {
    let (low, high) = (case.found.lowest, case.found.highest);
    let middle = case.middle();
    // To the nearest end, and how far that is.
    let up = case.above_least().filter(|_| case.under().is_some()).map(|aim| (aim, aim - low));
    let down = case.below_most().filter(|_| case.over().is_some()).map(|aim| (aim, high - aim));
    let amount = |si: f64| show::any(case.found.dimension, si, case.lead);
    let to = |doing: String, aim: f64| vec![Remedy::new(doing).then([case.would(aim, aim)])];
    Ok(match (case.found.measure, up, down) {
        ("valve lash" | "lifter preload", ..) => match middle {
            Some(middle) => to("Set it again, to the middle".to_owned(), middle),
            None => Vec::new(),
        },
        ("crank end float", _, Some(_)) => match middle {
            Some(middle) => to(format!("Thrust washers thicker by {} in all", amount(high - middle)), middle),
            None => Vec::new(),
        },
        ("squish", Some((aim, by)), _) => to(format!("A gasket thicker by {}", amount(by)), aim),
        ("squish", _, Some((aim, by))) => {
            let gasket = to(format!("A gasket thinner by {}", amount(by)), aim);
            gasket.into_iter().chain(to(format!("Cut the deck by {}", amount(by)), aim)).collect()
        }
        ("piston to deck", _, Some((aim, by))) => {
            let squish = case.posted("squish", case.place)?.and_then(|raw| raw.first().copied());
            let squish = squish.map(|squish| case.other("squish", squish - by, case.doubt)).transpose()?;
            let cut =
                Remedy::new(format!("Take {} off the deck", amount(by))).then([case.would(aim, aim)]).then(squish);
            vec![Remedy::new("Check rod, piston and their compression height first"), cut]
        }
        ("installed height", _, Some(_)) => shims(case, high, middle),
        ("valve stem clearance", Some((_, by)), _) => ream(case, "Ream the guide by", by),
        ("pin in piston" | "pin in rod", Some((_, by)), _) => {
            let select = Remedy::new("Try the pins of the set: one may be smaller");
            [select].into_iter().chain(ream(case, "Hone the hole by", by)).collect()
        }
        ("oil pump end clearance", _, Some((aim, by))) => {
            to(format!("Rub the body's face down by {}, on a flat plate", amount(by)), aim)
        }
        ("deck flatness" | "head flatness", ..) => {
            let cut = format!("Have the face cut by at least {}, and measure heights and volumes again", amount(high));
            vec![Remedy::new(cut).then([case.would(0.0, 0.0)])]
        }
        (spread, _, Some((aim, by))) if spread.ends_with("weight spread") => trim(case, aim, by)?,
        _ => Vec::new(),
    })
}

/// Off the hole by as much as it is too tight.
fn ream(case: &Case, words: &str, by: f64) -> Vec<Remedy> {
    vec![Remedy::new(format!("{words} {}", case.length(by))).then([case.moved(by)])]
}

/// Under the spring, from the usual stock.
fn shims(case: &Case, height: f64, wanted: Option<f64>) -> Vec<Remedy> {
    let wanted = wanted.map(Length::from_si);
    let pack = wanted.and_then(|wanted| valves::pack(Length::from_si(height), wanted, &SHIMS.map(inches)).ok());
    let Some(pack) = pack.filter(|pack| !pack.shims.is_empty()) else { return Vec::new() };
    let after = pack.after.si();
    vec![Remedy::new(format!("Shim it by {}", case.length(pack.total.si()))).then([case.would(after, after)])]
}

/// Weight off the heaviest of the set.
fn trim(case: &Case, aim: f64, by: f64) -> Result<Vec<Remedy>, Trouble> {
    let set = case.judging.set(case.raw)?;
    let Some((heaviest, _)) = set.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { return Ok(Vec::new()) };
    let off = show::any(case.found.dimension, by, case.lead);
    // Others that are nearly as heavy come next: the figure holds once all are down to that weight.
    let lightest = set.iter().map(|(_, weight)| *weight).fold(f64::INFINITY, f64::min);
    let too_heavy = set.iter().filter(|(_, weight)| weight - lightest > aim).count();
    let doing = match too_heavy {
        0 | 1 => format!("Take {off} off number {heaviest}, where its maker allows it"),
        several => {
            let most = show::any(case.found.dimension, lightest + aim, case.lead);
            format!("Take {several} of them down to {most}; number {heaviest} loses {off}")
        }
    };
    Ok(vec![Remedy::new(doing).then([case.would(aim, aim)])])
}
