//! Whether the best passages found answer a question: what speaks for it, as numbers.

use super::evidence::Evidence;
use super::question::{Asked, Question};

/// The names of the signs, in the order of [`Signs`].
pub(super) const NAMES: [&str; 35] = [
    "unknown words",
    "unknown words that are not everyday",
    "trade words",
    "number of trade words",
    "everyday words",
    "names from beyond",
    "engine named",
    "own trade",
    "all trade",
    "all trade of the first",
    "held",
    "meant",
    "likeness",
    "second likeness",
    "heading likeness",
    "beside",
    "elsewhere of the first",
    "trade not elsewhere",
    "says",
    "score",
    "all often",
    "page often",
    "all words",
    "words",
    "words beyond",
    "words beyond together",
    "word farthest beyond",
    "likeness beyond",
    "second likeness beyond",
    "sense",
    "sense of the first",
    "sense beyond",
    "three senses beyond",
    "wording",
    "wording of the first",
];

pub(super) type Signs = [f32; NAMES.len()];

/// So many words make a question as long as any: the longer, the less of it will any passage hold.
const LONG: usize = 12;

/// What a question and the evidence of its best passages, best first, say of its being answered; `score` is that of the first.
pub(super) fn signs(question: &Question, best: &[&Evidence], score: f32) -> Signs {
    let full: Vec<&Asked> = question.asked.iter().filter(|asked| !asked.light).collect();
    let count = |is: fn(&Asked) -> bool| full.iter().filter(|asked| is(asked)).count() as f32;
    let all = full.len().max(1) as f32;
    let trade = count(|asked| asked.trade);
    let yes = |so: bool| f32::from(u8::from(so));
    let most = |sign: fn(&Evidence) -> f32| best.iter().map(|evidence| sign(evidence)).fold(0.0, f32::max);
    let first = |sign: fn(&Evidence) -> f32| best.first().map_or(0.0, |evidence| sign(evidence));
    let [odds, together, farthest, likeness, second, sense, senses] = question.beyond.signs;
    [
        count(|asked| !asked.known) / all,
        count(|asked| !asked.known && !asked.everyday) / all,
        trade / all,
        trade.min(3.0) / 3.0,
        count(|asked| asked.everyday) / all,
        yes(!question.beyond.far.is_empty()),
        yes(!question.engines.is_empty() || !question.alike.is_empty()),
        most(|e| e.own_trade),
        most(|e| e.all_trade),
        first(|e| e.all_trade),
        most(|e| e.held),
        most(|e| e.meant),
        most(|e| e.likeness),
        most(|e| e.second_likeness),
        most(|e| e.heading_likeness),
        most(|e| e.beside),
        first(|e| e.elsewhere),
        most(|e| e.all_trade * e.elsewhere),
        first(|e| e.says),
        score,
        most(|e| e.all_often),
        most(|e| e.page_often),
        most(|e| e.all_words),
        question.asked.len().min(LONG) as f32 / LONG as f32,
        odds,
        together,
        farthest,
        likeness,
        second,
        most(|e| e.sense),
        first(|e| e.sense),
        sense,
        senses,
        most(|e| e.wording),
        first(|e| e.wording),
    ]
}
