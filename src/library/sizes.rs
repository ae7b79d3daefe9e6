//! Sizes as names: a thread, a fraction of an inch, an oversize. A row of a table that is called by one answers for no other.

/// What people call the parts of an inch after a number: `three eighths`.
const PARTS: [(&str, u32); 7] = [
    ("half", 2),
    ("quarter", 4),
    ("quarters", 4),
    ("eighth", 8),
    ("eighths", 8),
    ("sixteenth", 16),
    ("sixteenths", 16),
];
/// What follows a part that stands alone, so that it is a size: `half inch`, not `half of it`.
const OF: [&str; 8] = ["inch", "in", "unc", "unf", "npt", "bolt", "bolts", "stud"];

/// A fraction of an inch at the head of a text's words, in lowest terms, with how many words it took: `3/8`, `three
/// eighths`, `half` before what may be so thick.
pub(super) fn fraction(first: &str, second: Option<&str>) -> Option<(String, usize)> {
    if let Some((over, under)) = first.split_once('/') {
        return Some((spelt(over.parse().ok()?, under.parse().ok()?)?, 1));
    }
    let part = |word: &str| PARTS.iter().find(|(name, _)| *name == word).map(|(_, part)| *part);
    let numbers = ["one", "three", "five", "seven", "nine", "eleven", "thirteen", "fifteen"];
    match (numbers.iter().position(|number| *number == first), part(first), second) {
        (Some(at), _, Some(word)) => Some((spelt(at as u32 * 2 + 1, part(word)?)?, 2)),
        (_, Some(part), Some(word)) if OF.contains(&word) || is_pitch(word) => Some((spelt(1, part)?, 1)),
        _ => None,
    }
}

/// True for what may be threads to the inch: `half 13`.
fn is_pitch(word: &str) -> bool {
    word.parse::<u32>().is_ok_and(|threads| (8..=40).contains(&threads))
}

/// As drills and threads are named: halves of halves, less than one.
fn spelt(over: u32, under: u32) -> Option<String> {
    let named = under.is_power_of_two() && (2..=64).contains(&under) && (1..under).contains(&over);
    let common = 1u32.checked_shl(over.trailing_zeros().min(under.trailing_zeros()))?;
    named.then(|| format!("{}/{}", over / common, under / common))
}

/// True for the word of a size that can be a row's name; `#` stands before a number.
pub(super) fn names(word: &str) -> bool {
    word.starts_with('#') || is_thread(word)
}

/// True where it can be nothing but the size of a thread or a drill.
pub(super) fn is_thread(word: &str) -> bool {
    let metric =
        word.strip_prefix('m').is_some_and(|digits| !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()));
    metric || (word.starts_with('#') && word.contains('/'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_meet_in_lowest_terms() {
        for (first, second) in [("3/8", None), ("6/16", None), ("three", Some("eighths")), ("24/64", Some("drill"))] {
            assert_eq!(fraction(first, second).map(|(text, _)| text).as_deref(), Some("3/8"), "{first} {second:?}");
        }
        assert_eq!(fraction("half", Some("inch")), Some(("1/2".to_owned(), 1)));
        assert_eq!(fraction("quarter", Some("unf")), Some(("1/4".to_owned(), 1)));
        assert_eq!(fraction("half", Some("13")), Some(("1/2".to_owned(), 1)));
    }

    #[test]
    fn what_is_no_part_of_an_inch_is_left() {
        let left = [("half", Some("way")), ("half", None), ("three", Some("rings")), ("3/7", None), ("24/7", None)];
        for (first, second) in
            left.into_iter().chain([("5/4", None), ("0/8", None), ("3/0", None), ("3/99999999999", None)])
        {
            assert_eq!(fraction(first, second), None, "{first} {second:?}");
        }
    }

    #[test]
    fn a_thread_is_told_from_a_number() {
        assert!(["m8", "m12", "#3/8"].iter().all(|word| is_thread(word)));
        assert!(!["m", "mm", "#0.02", "m8x", "5w30"].iter().any(|word| is_thread(word)));
    }
}
