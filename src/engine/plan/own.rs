//! Checks of the shop's own: what a row of a limits table makes where its words name no check there is.
//!
//! A slip must not make a check in silence: a name counts as a slip of a known one where each of its words, or a slip of one,
//! is a word of that name, words of place left aside. A new check has a word of its own.

use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

use super::super::limits::Limit;
use super::super::measures::{EVERYWHERE, Kind, MEASURES, Sizing, of_check};
use super::super::position::Per;
use super::super::{Stage, plain};
use super::{Check, base, built_ins};
use crate::quantity::show;

/// As many words as `log` looks at for a check.
const MOST_WORDS: usize = 5;
const MOST_LETTERS: usize = 60;

/// The name a row gives its check: `Water-pump  backlash` is `water pump backlash`. Else what is wanted.
pub fn name(cell: &str) -> Result<&'static str, String> {
    let words = words(cell);
    let starts = words.first().is_some_and(|word| word.starts_with(char::is_alphabetic));
    if !starts || words.len() > MOST_WORDS || cell.len() > MOST_LETTERS {
        return Err(format!("the words of a check: a letter first, {MOST_WORDS} words at most"));
    }
    Ok(keep(&words.join(" ")))
}

/// Where a row's check is taken, and the part the row holds for.
pub fn place(cell: &str) -> Result<(Per, &'static str), String> {
    let wanted = plain(cell);
    if let Some(per) = Per::NAMED.into_iter().find(|per| plain(per.word()) == wanted) {
        return Ok((per, EVERYWHERE));
    }
    let of_part = Per::NAMED.into_iter().find_map(|per| {
        let part = parts(per).iter().find(|part| plain(part) == wanted)?;
        Some((per, *part))
    });
    of_part.ok_or_else(|| {
        let places: Vec<&str> = Per::NAMED.into_iter().map(Per::word).collect();
        format!("- or where it is taken: {}, or a part: intake, exhaust, top, second, rail", places.join(", "))
    })
}

/// The parts of a place that a limit may be for.
fn parts(per: Per) -> &'static [&'static str] {
    match per {
        Per::Valve => &["intake", "exhaust"],
        Per::Ring => &["top", "second", "rail"],
        Per::CompressionRing => &["top", "second"],
        _ => &[],
    }
}

/// The check that a row makes at a stage, and its measure.
pub fn make(row: &Limit, stage: Stage) -> (Check, Kind) {
    let name = row.measure.name;
    let per = row.per.unwrap_or(Per::Engine);
    let id = keep(&name.replace(' ', "-"));
    let check = Check {
        dimension: row.measure.dimension,
        own: true,
        ..base(id, keep(&show::capital(name)), per, Sizing::Each(name), stage)
    };
    (check, Kind { parts: parts(per), ..row.measure })
}

/// The built-in measure that a name is a slip of, or another word for.
pub fn near(name: &str) -> Option<&'static str> {
    let measures = MEASURES.iter().map(|kind| (kind.name, kind.name));
    let checks = built_ins().flat_map(|check| {
        let measure = of_check(check).first().copied().unwrap_or(check.name);
        [check.id, check.name].into_iter().chain(check.also.iter().copied()).map(move |word| (word, measure))
    });
    let mut all = measures.chain(checks);
    all.find(|(known, _)| is_slip(name, known)).map(|(_, measure)| measure)
}

/// True where a name has no word that the other has not.
pub fn is_slip(name: &str, other: &str) -> bool {
    let (mut given, known) = (words(name), words(other));
    let of_place = |word: &String| Per::NAMED.into_iter().flat_map(parts).any(|part| part == word);
    if !given.iter().all(of_place) {
        given.retain(|word| !of_place(word));
    }
    given.iter().all(|word| known.iter().any(|other| like(word, other)))
}

/// The same word, or one with a slip in it: a letter in four, two in eight.
fn like(word: &str, other: &str) -> bool {
    let slips = match word.chars().count().max(other.chars().count()) {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    };
    strsim::damerau_levenshtein(word, other) <= slips
}

fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
}

/// A name of the shop's own, kept while the program runs: once each, however often its page is saved. So a check, its limits and
/// every finding name it as they name a built-in one.
fn keep(name: &str) -> &'static str {
    static KEPT: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    match kept.get(name) {
        Some(known) => known,
        None => {
            let name: &'static str = Box::leak(name.to_owned().into_boxed_str());
            kept.insert(name);
            name
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::super::limits::Cells;
    use super::*;

    #[test]
    fn a_slip_is_not_a_check_and_a_word_of_its_own_makes_one() {
        for slip in [
            "ring gaps",
            "squich",
            "rod side clearence",
            "clearance, main oil",
            "ring gap top",
            "oil clearance",
            "end play",
            "rng gap",
            "main jurnal taper",
            "taper",
            "bore tapper",
            "big ends bore",
            "valve stem clearance (intake)",
        ] {
            assert!(near(slip).is_some(), "{slip}");
        }
        assert_eq!(near("end play"), Some("crank end float"));
        for own in
            ["water pump backlash", "cam oil clearance", "starter ring gap", "fuel pressure", "main journal hardness"]
        {
            assert_eq!(near(own), None, "{own}");
        }
        assert!(is_slip("pump backlash", "water pump backlash") && !is_slip("water pump backlash", "pump backlash"));
    }

    #[test]
    fn a_name_is_its_words() {
        assert_eq!(name(" Water-pump  Backlash "), Ok("water pump backlash"));
        for none in ["", " - ", "3 top", "one two three four five six", &"x".repeat(80)] {
            assert!(name(none).is_err(), "{none}");
        }
    }

    #[test]
    fn a_row_makes_a_check_where_it_says() {
        let row = |at| {
            let cells =
                Cells { check: "Spring squareness", at, min: "-", max: "2", unit: "mm", basis: "common practice" };
            Limit::parse(cells, "springs", 12).unwrap()
        };
        let (check, measure) = make(&row("exhaust"), Stage::Heads);
        assert_eq!((check.id, check.name, check.per), ("spring-squareness", "Spring squareness", Per::Valve));
        assert!(check.own && check.hold && measure.parts == ["intake", "exhaust"] && row("exhaust").at == "exhaust");
        assert_eq!(make(&row("-"), Stage::Heads).0.per, Per::Engine);
        assert_eq!(make(&row("Rod bolt"), Stage::Heads).0.per, Per::RodBolt);
        assert_eq!((row("valve").per, row("valve").at), (Some(Per::Valve), EVERYWHERE));
        assert_eq!(of_check(&check), ["spring squareness"]);
    }
}
