//! Scores of a search: what it answers first, within three, and what it claims to cover and does not.

use std::collections::HashMap;
use std::fmt;
use std::path::Path;

use gudgeon::library::Passage;
use serde::Deserialize;

use super::questions::{Question, Set};

#[derive(Default)]
pub struct Score {
    asked: usize,
    first: usize,
    third: usize,
    reciprocal: f64,
    outside: usize,
    claimed: usize,
    /// What was not answered first, or claimed; of a set never looked at, nothing.
    pub missed: Vec<String>,
}

impl Score {
    /// `ask` says whether an answer is claimed, and the place of the first passage that answers.
    pub fn of(set: &Set, ask: impl Fn(&Question) -> (bool, Option<usize>)) -> Self {
        let mut score = Self::default();
        for question in &set.questions {
            let (claims, rank) = ask(question);
            let right = if question.outside() {
                score.outside += 1;
                score.claimed += usize::from(claims);
                !claims
            } else {
                score.asked += 1;
                score.first += usize::from(rank == Some(0));
                score.third += usize::from(rank.is_some_and(|rank| rank < 3));
                score.reciprocal += rank.map_or(0.0, |rank| 1.0 / (rank + 1) as f64);
                rank == Some(0)
            };
            if !right && !set.secret {
                score.missed.push(format!("  {} \"{}\": {rank:?}, claimed {claims}", question.id, question.q));
            }
        }
        score
    }

    pub fn first(&self) -> f64 {
        share(self.first, self.asked)
    }

    pub fn third(&self) -> f64 {
        share(self.third, self.asked)
    }

    /// How many of the questions outside the shelf it claims to cover, and of how many.
    pub fn claimed(&self) -> (usize, usize) {
        (self.claimed, self.outside)
    }
}

/// All of none is all.
fn share(part: usize, all: usize) -> f64 {
    if all == 0 { 1.0 } else { part as f64 / all as f64 }
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, third, mean) = (self.first(), self.third(), self.reciprocal / self.asked.max(1) as f64);
        write!(f, "hit@1 {first:.3}  hit@3 {third:.3}  mrr {mean:.3}  of {}; ", self.asked)?;
        match self.claimed {
            0 if self.outside == 0 => f.write_str("nothing outside"),
            all if all == self.outside => f.write_str("false confident always"),
            some => write!(f, "false confident {some} of {}", self.outside),
        }
    }
}

/// What it gave back: passages by number, best first, for each question.
#[derive(Deserialize)]
struct Ranked {
    /// Which passages and questions it was given.
    given: String,
    found: HashMap<String, Vec<u32>>,
}

/// Writes passages and questions out for `embed.py`, and reads what that found, if it was run on these very ones.
pub fn embedded(passages: &[&Passage], sets: &[Set]) -> Option<HashMap<String, Vec<u32>>> {
    let text = |p: &&Passage| format!("{}\n{}\n{}", p.title, p.path.join("\n"), p.text);
    let mut questions: Vec<&Question> = sets.iter().flat_map(|set| &set.questions).collect();
    questions.sort_by(|a, b| a.id.cmp(&b.id));
    let texts: Vec<String> = passages.iter().map(text).collect();
    let asked: HashMap<&str, &str> = questions.iter().map(|q| (q.id.as_str(), q.q.as_str())).collect();
    assert_eq!(asked.len(), questions.len(), "two questions share an id");
    let told: String = questions.iter().map(|q| format!("{}\n{}\n", q.id, q.q)).collect();
    let hash = blake3::hash((texts.join("\n") + &told).as_bytes()).to_hex().to_string();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let out = serde_json::json!({ "hash": hash, "passages": texts, "questions": asked });
    std::fs::write(folder.join("embed-in.json"), out.to_string()).unwrap();
    let back = std::fs::read_to_string(folder.join("embed-out.json")).ok()?;
    let ranked: Ranked = serde_json::from_str(&back).ok()?;
    (ranked.given == hash).then_some(ranked.found)
}
