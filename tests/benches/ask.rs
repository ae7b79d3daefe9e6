//! A question to the library, beside the same passages in a plain tantivy index and in SQLite's full-text search.

use std::hint::black_box;

use anyhow::{Result, ensure};
use gudgeon::desk::{Asker, Desk, Front, Outcome, Settings};
use gudgeon::library::{Library, Passage, Shelf};
use gudgeon::record::Record;
use jiff::Timestamp;

use super::bare::{FullText, HITS, PlainTantivy};
use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};

/// What people ask at the bench.
pub const QUESTIONS: [&str; 36] = [
    "how much crank end float is too much",
    "which way does the chamfer on the rod face",
    "ring gap for a marine engine",
    "how do I check a bore for taper",
    "what order do the rings go on",
    "oil pressure low at hot idle",
    "how to measure main bearing clearance",
    "where do the ring gaps point",
    "rod bolt stretch or torque",
    "how far below the deck should the piston sit",
    "can I reuse head gaskets",
    "spun shell what now",
    "piston mark to the front or the flywheel",
    "how to find top dead centre",
    "what is squish",
    "valve stem clearance exhaust",
    "prime the oil system before first start",
    "which side does the rear seal lip face",
    "crank turns tight after the third piston",
    "how to fit wire retainers for the pin",
    "pressed pin temperature of the rod",
    "running in oil and speed",
    "when to bore to the next oversize",
    "grind the crank ten under",
    "side clearance between rods",
    "how flat must a deck be",
    "leak down percent good or bad",
    "smoke on start up only",
    "reverse rotation what changes",
    "assembly lube on which surfaces",
    "torque adapter at right angles",
    "ring side clearance worn groove",
    "scuffed skirt on one side",
    "carbon monoxide in the engine space",
    "how to clean oil galleries",
    "temperature of the block when measuring",
];

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let library = Library::embedded();
    let passages: Vec<&Passage> = library.passages().collect();
    let plain = PlainTantivy::build(&passages)?;
    let full_text = FullText::build(&passages)?;
    let desk = Desk::new(Settings::default(), Shelf::fixed(Library::embedded()), Record::in_memory()?);
    let asker = Asker::new("tech-1", Front::Terminal);

    // Speed is worth nothing where nothing is found.
    let (mut covered, mut in_plain, mut in_full_text) = (0, 0, 0);
    for question in QUESTIONS {
        let answer = library.ask(question, None, HITS);
        let (plain, full_text) = (plain.ask(question)?, full_text.ask(question)?);
        ensure!(!answer.hits.is_empty(), "the library finds nothing for “{question}”");
        ensure!(!plain.is_empty(), "bare tantivy finds nothing for “{question}”");
        ensure!(!full_text.is_empty(), "SQLite finds nothing for “{question}”");
        let best = answer.hits.first().map(|hit| &hit.passage.reference);
        let holds = |found: &[u32]| found.iter().any(|at| passages.get(*at as usize).map(|p| &p.reference) == best);
        covered += usize::from(answer.covered);
        in_plain += usize::from(holds(&plain));
        in_full_text += usize::from(holds(&full_text));
    }

    let series = side_by_side(
        effort,
        vec![
            Subject::new("ask: library", || {
                each_question(|question| Ok(black_box(library.ask(question, None, HITS)).hits.len()))
            }),
            Subject::new("bare tantivy", || each_question(|question| Ok(black_box(plain.ask(question)?).len()))),
            Subject::new("SQLite FTS5", || each_question(|question| Ok(black_box(full_text.ask(question)?).len()))),
            Subject::new("ask: desk, whole reply", || {
                each_question(|question| match black_box(desk.answer(&asker, question, Timestamp::UNIX_EPOCH)) {
                    Outcome::Reply(reply) => Ok(reply.passages.len()),
                    other => anyhow::bail!("“{question}” is not answered: {other:?}"),
                })
            }),
        ],
    )?;
    let [ours, tantivy, sqlite, desk] = series.as_slice() else { anyhow::bail!("four subjects, four series") };
    sheet.compare(Unit::Seconds, ours, tantivy);
    sheet.compare(Unit::Seconds, ours, sqlite);
    sheet.compare(Unit::Seconds, desk, tantivy);
    sheet.note(format!(
        "ask: {} questions on {} passages, {HITS} hits each; {covered} covered. The library's best passage is among the \
         {HITS} of bare tantivy for {in_plain}, of FTS5 for {in_full_text}.",
        QUESTIONS.len(),
        passages.len(),
    ));
    Ok(())
}

pub fn each_question(mut ask: impl FnMut(&str) -> Result<usize>) -> Result<Vec<f64>> {
    QUESTIONS
        .iter()
        .map(|question| {
            let (seconds, hits) = timed(|| ask(question));
            hits.map(|_| seconds)
        })
        .collect()
}
