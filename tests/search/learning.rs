//! What the weights of the search are learnt from.

use std::path::Path;

use gudgeon::library::{Passage, Weighed};
use serde_json::json;

use super::questions::Set;
use crate::talks;

/// Of the questions that are covered, how many must have a passage that answers among those that are weighed at all.
const FOUND: f64 = 0.97;

/// Writes for each question that may be learnt from its signs, and for each passage that was weighed its own, whether it
/// fits and whether a reader found that it answers; `learn.py` reads it.
#[test]
fn what_answers_is_among_what_is_weighed() {
    let library = talks::shelf();
    let (mut asked, mut found) = (0, 0);
    let mut questions = Vec::new();
    let sets = Set::all();
    let learnt = sets.iter().filter(|set| !set.secret);
    for (set, question) in learnt.flat_map(|set| set.questions.iter().map(move |question| (set.name, question))) {
        let weighed = library.weigh(&question.q);
        let fits = |passage: &Passage| !question.outside() && question.accepts(passage);
        let fit: Vec<bool> = weighed.passages.iter().map(|(p, _)| fits(p)).collect();
        asked += usize::from(!question.outside());
        found += usize::from(fit.contains(&true));
        let passages = weighed.passages.iter().zip(&fit);
        let passages: Vec<_> = passages
            .map(|((passage, signs), fits)| {
                json!({ "fits": fits, "answers": question.answered_by(passage), "signs": signs })
            })
            .collect();
        questions.push(json!({ "set": set, "outside": question.outside(), "signs": weighed.signs, "found": passages }));
    }
    let out = json!({ "rank": Weighed::OF_PASSAGE, "sure": Weighed::OF_QUESTION, "questions": questions });
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("signs.json");
    std::fs::write(file, out.to_string()).unwrap();
    assert!(f64::from(found as u32) >= FOUND * f64::from(asked as u32), "{found} of {asked}");
}
