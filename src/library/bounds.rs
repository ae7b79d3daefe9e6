//! Where the shelf ends, for the search: how like a question is to those that people ask of what the shelf does not hold.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use super::best;
use super::language::{English, Weight};
use super::leaf::Leaf;
use super::lexer::{Word, parts};
use super::passage::Passage;
use super::reading::Tally;
use super::sense::{Sense, Senses, nearest};

/// Taken for granted of a word, on either side, before anything is counted (in questions).
const BEYOND: f32 = 0.5;
const WITHIN: f32 = 1.5;
/// So much more often a word is asked with beyond the shelf that it names what is there, as a logarithm.
const FAR: f32 = 1.5;

/// How likely a question must be of one subject and no other for that to be told.
const OF_SUBJECT: f32 = 0.5;

/// What speaks for a question being beyond the shelf.
#[derive(Debug, Clone, Default)]
pub(super) struct Beyond {
    /// What its words say for it: on the whole, together, the one that says most; how like it is to the likest question, and
    /// to the next; how near in meaning to the nearest question, and to the nearest three.
    pub signs: [f32; 7],
    /// Stems of the question that are far more often asked with there than here.
    pub far: Vec<String>,
    /// All its stems, for [`Bounds::subject`].
    stems: Vec<String>,
}

/// All that people ask of what the shelf does not hold, word by word.
#[derive(Clone, Default)]
pub(super) struct Bounds {
    pages: Vec<Arc<Leaf>>,
    /// Each stem, and the questions that have it.
    stems: HashMap<String, Vec<u32>>,
    /// How many questions each subject has, by the place of its page among these and of its passage there.
    subjects: BTreeMap<(usize, usize), u32>,
    /// Where each question's subject stands, and what its words carry together.
    asked: Vec<((usize, usize), f32)>,
    /// What each means.
    senses: Vec<Sense>,
}

impl Bounds {
    /// Those of the pages of kind `beyond`; `before` where they are as they were.
    pub fn next(before: &Arc<Self>, pages: Vec<Arc<Leaf>>, english: &mut English, senses: &mut Senses) -> Arc<Self> {
        if pages.len() == before.pages.len() && pages.iter().zip(&before.pages).all(|(a, b)| Arc::ptr_eq(a, b)) {
            return Arc::clone(before);
        }
        let mut bounds = Self { pages, ..Self::default() };
        let mut questions: Vec<Vec<String>> = Vec::new();
        for (page, leaf) in bounds.pages.iter().enumerate() {
            for subject in &leaf.beyond {
                let place = leaf.passages.iter().position(|passage| passage.path == subject.path).unwrap_or(0);
                for question in &subject.questions {
                    let stems = full_stems(english, &parts(question));
                    for stem in &stems {
                        bounds.stems.entry(stem.clone()).or_default().push(questions.len() as u32);
                    }
                    questions.push(stems);
                    bounds.senses.extend(senses.of(question));
                    bounds.asked.push(((page, place), 0.0));
                    *bounds.subjects.entry((page, place)).or_default() += 1;
                }
            }
        }
        for (n, stems) in questions.iter().enumerate() {
            bounds.asked[n].1 = stems.iter().map(|stem| bounds.carries(stem)).sum();
        }
        Arc::new(bounds)
    }

    /// How far beyond the shelf a question is, by its stems and what it means; `tally` says how often the shelf has each stem.
    pub fn measure(&self, tally: &Tally, stems: Vec<String>, sense: &Sense) -> Beyond {
        if self.asked.is_empty() || stems.is_empty() {
            return Beyond::default();
        }
        // Naive Bayes between the two kinds of question, word by word.
        let odds = |stem: &String| {
            let often = self.stems.get(stem).map_or(0, Vec::len) as f32;
            let beyond = (often + BEYOND) / (self.asked.len() as f32 + 2.0 * BEYOND);
            let within = (tally.told(stem) as f32 + WITHIN) / (tally.all_told() as f32 + 2.0 * BEYOND);
            (beyond / within).ln()
        };
        let odds: Vec<f32> = stems.iter().map(odds).collect();
        let far = stems.iter().zip(&odds).filter(|(stem, odds)| **odds > FAR && self.knows(stem));
        let far = far.map(|(stem, _)| stem.clone()).collect();
        let (sum, count) = (odds.iter().sum::<f32>(), odds.len() as f32);
        let whole: f32 = stems.iter().map(|stem| self.carries(stem)).sum();
        let mut shared = vec![0.0; self.asked.len()];
        for stem in &stems {
            let carries = self.carries(stem);
            for question in self.stems.get(stem).into_iter().flatten() {
                shared[*question as usize] += carries;
            }
        }
        let likeness = shared.iter().zip(&self.asked).map(|(shared, (_, theirs))| 2.0 * shared / (whole + theirs));
        let [best, second] = best::few(likeness);
        let farthest = odds.iter().copied().fold(f32::MIN, f32::max);
        let near = nearest(&self.senses, sense);
        let three = near.iter().sum::<f32>() / near.len() as f32;
        let signs = [sum / count, sum / count.sqrt(), farthest, best, second, near[0], three];
        Beyond { signs, far, stems }
    }

    /// The subject that a question is of (naive Bayes between the subjects), where one is likelier than all others together.
    pub fn subject(&self, question: &Beyond) -> Option<(usize, usize)> {
        if question.stems.is_empty() {
            return None;
        }
        let mut scores: BTreeMap<(usize, usize), f32> = self.subjects.keys().map(|subject| (*subject, 0.0)).collect();
        for stem in question.stems.iter().filter_map(|stem| self.stems.get(stem)) {
            let mut often: BTreeMap<(usize, usize), f32> = BTreeMap::new();
            stem.iter().for_each(|question| *often.entry(self.asked[*question as usize].0).or_default() += 1.0);
            for (subject, score) in &mut scores {
                let all = self.subjects.get(subject).copied().unwrap_or(0) as f32;
                *score += ((often.get(subject).copied().unwrap_or(0.0) + BEYOND) / (all + 2.0 * BEYOND)).ln();
            }
        }
        let (best, most) = scores.iter().max_by(|a, b| a.1.total_cmp(b.1))?;
        let all: f32 = scores.values().map(|score| (score - most).exp()).sum();
        (1.0 / all >= OF_SUBJECT).then_some(*best)
    }

    /// True for a stem that people ask with of what is beyond.
    pub fn knows(&self, stem: &str) -> bool {
        self.stems.contains_key(stem)
    }

    /// What a page of kind `beyond` says of a subject.
    pub fn passage(&self, (page, place): (usize, usize)) -> Option<&Passage> {
        self.pages.get(page)?.passages.get(place)
    }

    /// What a stem carries, by its rarity among these questions.
    fn carries(&self, stem: &String) -> f32 {
        let often = self.stems.get(stem).map_or(0, Vec::len) as f32;
        ((self.asked.len() as f32 + 1.0) / (often + 1.0)).ln()
    }
}

/// The stems of words, each once, stop words left out.
pub(super) fn full_stems(english: &mut English, words: &[Word]) -> Vec<String> {
    let full: Vec<&Word> = words.iter().filter(|word| english.weight(&word.text) != Weight::Stop).collect();
    let mut stems: Vec<String> = full.into_iter().map(|word| english.stem(&word.text)).collect();
    stems.sort_unstable();
    stems.dedup();
    stems
}
