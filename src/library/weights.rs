//! What each sign weighs: two lines of weights, learnt from questions and their answers by `tests/search/learn.py`.

use std::sync::LazyLock;

use super::confidence::{self, Signs};
use super::evidence::{self, Evidence};

/// How sure it must be that the best passages answer for a question to count as covered, and for what came nearest to be
/// offered.
pub(super) const COVERED: f32 = 0.5;
pub(super) const NEAR: f32 = 0.42;

/// `rank <sign>: <weight>` for each passage, `sure <sign>: <weight>` for the question, `sure -: <weight>` to begin with.
const LEARNT: &str = include_str!("lists/weights.txt");

struct Weights {
    rank: [f32; evidence::NAMES.len()],
    sure: [f32; confidence::NAMES.len()],
    begin: f32,
}

static WEIGHTS: LazyLock<Weights> = LazyLock::new(|| {
    let of = |what: &str, sign: &str| learnt().find(|(w, s, _)| *w == what && *s == sign).map_or(0.0, |(_, _, n)| n);
    Weights {
        rank: evidence::NAMES.map(|sign| of("rank", sign)),
        sure: confidence::NAMES.map(|sign| of("sure", sign)),
        begin: of("sure", "-"),
    }
});

fn learnt() -> impl Iterator<Item = (&'static str, &'static str, f32)> {
    LEARNT.lines().filter_map(|line| {
        let (names, weight) = line.split_once(':')?;
        let (what, sign) = names.split_once(' ')?;
        Some((what, sign, weight.trim().parse().ok()?))
    })
}

/// How well a passage answers; only the order of scores means anything.
pub(super) fn rank(evidence: &Evidence) -> f32 {
    weighed(&evidence.signs(), &WEIGHTS.rank)
}

/// How likely it is that the best passages answer the question, 0 to 1 (logistic regression).
pub(super) fn sure(signs: &Signs) -> f32 {
    1.0 / (1.0 + (-(weighed(signs, &WEIGHTS.sure) + WEIGHTS.begin)).exp())
}

fn weighed(signs: &[f32], weights: &[f32]) -> f32 {
    signs.iter().zip(weights).map(|(sign, weight)| sign * weight).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_has_its_weight_and_no_weight_is_left_over() {
        let rank = evidence::NAMES.map(|sign| ("rank", sign));
        let sure = confidence::NAMES.map(|sign| ("sure", sign));
        let wanted: Vec<(&str, &str)> = rank.into_iter().chain(sure).chain([("sure", "-")]).collect();
        let given: Vec<(&str, &str)> = learnt().map(|(what, sign, _)| (what, sign)).collect();
        assert_eq!(given, wanted);
        assert_eq!(LEARNT.lines().count(), wanted.len(), "a line does not read");
    }
}
