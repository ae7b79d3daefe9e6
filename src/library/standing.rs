//! How a passage stands among the others that were found: what speaks for it as a share of what speaks for the best, and
//! what its page has to say on the whole.

use std::collections::HashMap;

use super::best;
use super::evidence::Evidence;
use super::search::Found;

/// So many of a page's best say what it has on the whole.
const BEST: usize = 3;
/// How steeply nearness to the best in meaning falls off: to a third within a twelfth.
const STEEP: f32 = 12.0;

/// Fills in what can only be said of a passage beside the others.
pub(super) fn compare(found: &mut [Found]) {
    let best = |sign: fn(&Evidence) -> f32| {
        let most = found.iter().map(|f| sign(&f.evidence)).fold(0.0, f32::max);
        move |evidence: &Evidence| if most > 0.0 { sign(evidence) / most } else { 0.0 }
    };
    let (own_often, all_often) = (best(|e| e.own_often), best(|e| e.all_often));
    let page_often = best(|e| e.page_often);
    let (own_words, all_words) = (best(|e| e.own_words), best(|e| e.all_words));
    let (own_trade, all_trade) = (best(|e| e.own_trade), best(|e| e.all_trade));
    let mut pages: HashMap<usize, Page> = HashMap::new();
    for f in found.iter() {
        pages.entry(f.page).or_default().add(&f.evidence);
    }
    let most = pages.values().map(Page::words).fold(f32::MIN_POSITIVE, f32::max);
    let nearest = found.iter().map(|f| f.evidence.sense).fold(0.0, f32::max);
    let worded: Vec<f32> = found.iter().filter_map(|f| f.evidence.worded).collect();
    let usual = worded.iter().sum::<f32>() / worded.len().max(1) as f32;
    let most_worded = worded.into_iter().fold(usual, f32::max);
    for f in found {
        let e = &mut f.evidence;
        (e.own_often_of_best, e.all_often_of_best) = (own_often(e), all_often(e));
        e.page_often_of_best = page_often(e);
        (e.own_words_of_best, e.all_words_of_best) = (own_words(e), all_words(e));
        (e.own_trade_of_best, e.all_trade_of_best) = (own_trade(e), all_trade(e));
        e.sense_near_best = (STEEP * (e.sense - nearest)).exp();
        e.wording = e.worded.unwrap_or(usual);
        e.wording_near_best = (STEEP * (e.wording - most_worded)).exp();
        if let Some(page) = pages.get(&f.page) {
            e.page_words_of_best = page.words() / most;
            e.likeness_below_page = page.likeness - e.likeness;
        }
    }
}

/// What the passages of a page hold together.
#[derive(Default)]
struct Page {
    /// The shares of its best, highest first.
    words: [f32; BEST],
    likeness: f32,
}

impl Page {
    fn add(&mut self, evidence: &Evidence) {
        self.likeness = self.likeness.max(evidence.likeness);
        best::keep(&mut self.words, evidence.all_words);
    }

    fn words(&self) -> f32 {
        self.words.iter().sum()
    }
}
