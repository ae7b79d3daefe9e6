//! What a phone searches by while the server cannot be reached: words in titles, headings and text, with no ranking learnt.

use std::convert::Infallible;
use std::sync::Arc;

use super::language::{LIGHT, STOP};
use super::leaf::Leaf;
use super::lexer::parts;
use super::page::Kind;
use super::passage::Passage;

/// What a word of a question is worth in a heading, in the page's title, and in the text.
const HEADING: f32 = 3.0;
const TITLE: f32 = 2.0;
const TEXT: f32 = 1.0;

/// The words of every passage, as [`bare`] leaves them.
pub(super) struct Index {
    leaves: Vec<Arc<Leaf>>,
}

/// A passage found.
pub(super) struct Found {
    pub page: usize,
    pub place: usize,
    /// Never another passage with it.
    pub beside: Option<usize>,
    pub score: f32,
}

/// The outcome of a search.
#[derive(Default)]
pub(super) struct Finding {
    /// Every word of the question stands in title or heading of the best passage.
    pub covered: bool,
    pub near: bool,
    pub sure: f32,
    pub found: Vec<Found>,
    /// Where the shelf says that it does not hold what is asked, and who does.
    pub beyond: Option<(usize, usize)>,
    pub read_as: Vec<(String, String)>,
}

impl Index {
    pub fn empty() -> Result<Self, Infallible> {
        Ok(Self { leaves: Vec::new() })
    }

    pub fn next(&self, leaves: &[Arc<Leaf>], mut done: impl FnMut()) -> Result<(Self, usize), Infallible> {
        leaves.iter().for_each(|_| done());
        Ok((Self { leaves: leaves.to_vec() }, leaves.len()))
    }

    pub fn passage(&self, page: usize, place: usize) -> Option<&Passage> {
        self.leaves.get(page)?.passages.get(place)
    }

    /// What the shelf says of a subject that it does not hold.
    pub fn beyond(&self, (page, place): (usize, usize)) -> Option<&Passage> {
        self.passage(page, place)
    }
}

/// The best `n` passages for a question; the page of the engine in hand goes before its equals.
pub(super) fn search(index: &Index, text: &str, engine: Option<&str>, n: usize) -> Finding {
    let asked: Vec<String> =
        parts(text).iter().filter(|word| !is_idle(&word.text)).map(|word| bare(&word.text)).collect();
    if asked.is_empty() {
        return Finding::default();
    }
    let mut found: Vec<(Found, usize)> = Vec::new();
    for (page, leaf) in index.leaves.iter().enumerate() {
        for (place, passage) in leaf.passages.iter().enumerate() {
            let title = words(&passage.title);
            let heading: Vec<String> =
                passage.path.iter().chain([&passage.subject]).flat_map(|path| words(path)).collect();
            let body = words(&passage.text);
            let (mut score, mut named) = (0.0, 0);
            for word in &asked {
                let worth = [(&heading, HEADING), (&title, TITLE), (&body, TEXT)];
                score += worth.iter().filter(|(words, _)| words.contains(word)).map(|(_, worth)| worth).sum::<f32>();
                named += usize::from(heading.contains(word) || title.contains(word));
            }
            if engine == Some(leaf.page.slug.as_str()) {
                score *= 1.01;
            }
            if named > 0 {
                found.push((Found { page, place, beside: None, score }, named));
            }
        }
    }
    // Of equals the first of the shelf.
    found.sort_by(|(a, _), (b, _)| b.score.total_cmp(&a.score).then((a.page, a.place).cmp(&(b.page, b.place))));
    let is_beyond = |found: &Found| index.leaves.get(found.page).is_some_and(|leaf| leaf.page.kind == Kind::Beyond);
    let beyond = found.first().filter(|(best, _)| is_beyond(best)).map(|(best, _)| (best.page, best.place));
    found.retain(|(found, _)| !is_beyond(found));
    let covered = beyond.is_none() && found.first().is_some_and(|(_, named)| *named == asked.len());
    found.truncate(n);
    let found: Vec<Found> = found.into_iter().map(|(found, _)| found).collect();
    Finding { covered, near: !covered && !found.is_empty(), found, beyond, ..Finding::default() }
}

fn words(text: &str) -> Vec<String> {
    parts(text).iter().map(|word| bare(&word.text)).collect()
}

fn is_idle(word: &str) -> bool {
    STOP.split_whitespace().chain(LIGHT.split_whitespace()).any(|known| known == word)
}

/// A word without the commonest endings, so that `gaps` finds `gap`.
fn bare(word: &str) -> String {
    let ended =
        ["ings", "ing", "es", "ed", "s"].iter().find_map(|end| word.strip_suffix(end).filter(|left| left.len() > 2));
    ended.unwrap_or(word).to_owned()
}
