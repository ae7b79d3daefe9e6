//! Each sum's example through the whole desk, line to reply, beside the smallest sum there is.

use std::hint::black_box;
use std::time::Duration;

use anyhow::{Result, anyhow, bail};
use gudgeon::desk::reply::Block;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply, Settings};
use gudgeon::library::{Library, Shelf};
use gudgeon::maths::slider::Slider;
use gudgeon::quantity::{Measure, Turning, inches};
use gudgeon::record::Record;
use jiff::Timestamp;

use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, worked};
use crate::house_sums::sums;

/// What everything is measured by.
const YARDSTICK: &str = "convert 1in mm";
/// The most that one sum may cost, seconds of CPU.
const MOST: f64 = 1e-3;
/// The largest pairing: it has no limit of its own.
const MANY: usize = 24;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let desk = Desk::new(Settings::default(), Shelf::fixed(Library::embedded()), Record::in_memory()?);
    // Many short looks rather than one long one: there are about eighty sums.
    let effort = Effort { rounds: effort.rounds.min(40), time: effort.time.min(Duration::from_millis(300)) };
    let calls = if effort.rounds > 3 { 5 } else { 1 };
    let lines = sums(&desk).map(|form| (form.words(), form.example.clone(), true));
    let pairing = (format!("pair pistons {MANY} x {MANY}"), largest_pairing(), false);
    let mut figures = Vec::new();
    for (name, line, limited) in lines.chain([pairing]) {
        if answer(&desk, &line)?.blocks.iter().any(|block| matches!(block, Block::Figure(_))) {
            figures.push(name.clone());
        }
        let series = side_by_side(
            effort,
            vec![
                Subject::new(name, || Ok(vec![cpu(&desk, calls, &line)?])),
                Subject::new(YARDSTICK, || Ok(vec![cpu(&desk, calls, YARDSTICK)?])),
            ],
        )?;
        let [ours, foot] = series.as_slice() else { bail!("two subjects, two series") };
        sheet.compare(Unit::Seconds, ours, foot);
        if limited && ours.median() > MOST && !cfg!(debug_assertions) {
            sheet.fail(format!(
                "{} takes {:.2} ms of CPU; {} ms is the most",
                ours.name(),
                ours.median() * 1e3,
                MOST * 1e3
            ));
        }
    }
    let series = side_by_side(
        effort,
        vec![
            Subject::new("piston motion, maths alone", || Ok(vec![worked(calls, whole_turn)?])),
            Subject::new(YARDSTICK, || Ok(vec![cpu(&desk, calls, YARDSTICK)?])),
        ],
    )?;
    let [maths, foot] = series.as_slice() else { bail!("two subjects, two series") };
    sheet.compare(Unit::Seconds, maths, foot);
    sheet.note(format!(
        "sums: CPU time of one thread for a line and its whole reply. With a figure: {}.",
        figures.join(", ")
    ));
    Ok(())
}

fn cpu(desk: &Desk, calls: u32, line: &str) -> Result<f64> {
    worked(calls, || answer(desk, line).map(|reply| drop(black_box(reply))))
}

/// What the dearest sum works out for its figure, without drawing it: the rest of its time is reading and drawing.
fn whole_turn() -> Result<()> {
    let unfit = |unfit| anyhow!("{unfit:?}");
    let slider = Slider::new(black_box(inches(3.48)), inches(5.7), inches(0.06)).map_err(unfit)?;
    let turning = Turning::from_si(4500.0 * std::f64::consts::TAU / 60.0);
    black_box(slider.turn(turning).map_err(unfit)?);
    // Once for each panel of the figure.
    for _ in 0..3 {
        black_box(slider.over_a_turn(120).map(|(_, place)| place.drop.si()).sum::<f64>());
    }
    Ok(())
}

fn answer(desk: &Desk, line: &str) -> Result<Reply> {
    match desk.answer(&Asker::new("tech-1", Front::Terminal), line, Timestamp::UNIX_EPOCH) {
        Outcome::Reply(reply) => Ok(reply),
        other => bail!("“{line}” is not answered: {other:?}"),
    }
}

/// Bores and pistons of which no two are alike, in no order.
fn largest_pairing() -> String {
    let scattered = |at: usize, step: usize| at * step % MANY;
    let mut line = "pair pistons".to_owned();
    for at in 0..MANY {
        line.push_str(&format!(" bore=4.{:04}in skirt=3.{:04}in", scattered(at, 7), 9960 + scattered(at, 11)));
    }
    line
}
