//! How often a text says the words of a question, for its length: BM25 (Robertson and Zaragoza 2009), between 0 and 1.
//!
//! Whether a passage has a word at all is weighed elsewhere (`evidence`); a long list of steps has a little of everything.

use super::index::Index;
use super::question::Question;

/// How soon a word said again counts no more, and how much of a text's length is held against it (both as usual, the
/// second a little higher: steps and tables run from ten words to three hundred).
const SOON: f32 = 1.2;
const LENGTH: f32 = 0.9;

/// Tokens of a text with how often each stands there, sorted, and how many there are in all.
#[derive(Debug, Default)]
pub(super) struct Counts {
    each: Vec<(u32, f32)>,
    length: f32,
}

impl Counts {
    pub fn of(tokens: impl IntoIterator<Item = u32>) -> Self {
        Self::sum(tokens.into_iter().map(|token| (token, 1.0)).collect())
    }

    /// Those of several texts as one.
    pub fn together<'a>(texts: impl IntoIterator<Item = &'a Self>) -> Self {
        Self::sum(texts.into_iter().flat_map(|text| text.each.iter().copied()).collect())
    }

    fn sum(mut each: Vec<(u32, f32)>) -> Self {
        each.sort_unstable_by_key(|(token, _)| *token);
        each.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            kept.1 += if same { next.1 } else { 0.0 };
            same
        });
        each.shrink_to_fit();
        let length = each.iter().map(|(_, often)| often).sum();
        Self { each, length }
    }

    pub fn tokens(&self) -> impl Iterator<Item = u32> {
        self.each.iter().map(|(token, _)| *token)
    }

    fn often(&self, token: u32) -> f32 {
        self.each.binary_search_by_key(&token, |(token, _)| *token).map_or(0.0, |at| self.each[at].1)
    }
}

/// The share of the question's words, stop words too, each by its rarity, that a text says; `usual` is the length of a usual
/// text.
pub(super) fn share(index: &Index, question: &Question, text: &Counts, usual: f32) -> f32 {
    let long = SOON * (1.0 - LENGTH + LENGTH * text.length / usual);
    let (mut said, mut all) = (0.0, 0.0);
    for stem in &question.stems {
        let rarity = index.rarity(index.tally.met_of(*stem));
        let often = text.often(*stem);
        all += rarity;
        said += rarity * often / (often + long);
    }
    if all > 0.0 { said / all } else { 0.0 }
}
