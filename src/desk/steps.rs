//! Turning torque piston by piston: what the last one added.

use super::judging::Judging;
use super::trouble::Trouble;
use crate::engine::Position;
use crate::quantity::{System, show};
use crate::record::{Entry, ReadingId};

/// A step of this many times the mean of the others is a jump. Common practice: one step twice the others is a fault in the
/// piston that went in last.
const JUMP: f64 = 2.0;
/// What one piston adds at most where there is no other step to go by, Nm: 3 lb-ft. Common practice.
const MOST_ADDED: f64 = 3.0 * 1.355_817_948_331_4;

/// The rise since the piston before, in the order they were posted, and whether it is a jump. `before` is the reading that
/// stood here until now.
pub fn rise(judging: &Judging, raw: &[f64], before: Option<ReadingId>, lead: System) -> Result<Vec<String>, Trouble> {
    let (check, Some(now)) = (judging.check, raw.first()) else { return Ok(Vec::new()) };
    // Of places that are posted together the order they were fitted in is not known.
    if check.id != "turning-torque" || judging.position == Position::Number(0) || !judging.with.is_empty() {
        return Ok(Vec::new());
    }
    let here = judging.position.to_string();
    let earlier = |entry: &&Entry| {
        let reading = &entry.reading;
        reading.measured.check == check.id
            && reading.measured.position != here
            && before.is_none_or(|before| reading.id < before)
    };
    let entries = judging.context.desk.record.readings(judging.job.id)?;
    let mut steps: Vec<(&str, f64)> = Vec::new();
    for entry in entries.iter().filter(earlier) {
        let measured = &entry.reading.measured;
        // A place read twice counts as it was read last, in the order it was fitted.
        if let Some(torque) = measured.raw.first() {
            match steps.iter_mut().find(|(place, _)| *place == measured.position) {
                Some(known) => known.1 = *torque,
                None => steps.push((&measured.position, *torque)),
            }
        }
    }
    let Some((place, last)) = steps.last() else { return Ok(Vec::new()) };
    let torque = |si: f64| show::any(check.dimension, si, lead);
    let step = now - last;
    let on = if *place == "0" { "the bare crank".to_owned() } else { format!("cylinder {place}") };
    let way = if step < 0.0 { "less than" } else { "more than" };
    let mut said = vec![format!("{} {way} with {on} before it, {}.", torque(step.abs()), torque(*last))];
    let others: Vec<f64> = steps.windows(2).map(|pair| pair[1].1 - pair[0].1).collect();
    let usual =
        (!others.is_empty()).then(|| others.iter().sum::<f64>() / others.len() as f64).filter(|mean| *mean > 0.0);
    if step < 0.0 {
        said.push("A piston that adds nothing has a ring missing, broken or stuck, or the oil has spread: turn it ten times and read again.".to_owned());
    } else if let Some(usual) = usual.filter(|usual| step >= JUMP * usual) {
        said.push(format!(
            "Stop: that is {} times what the others added, {} each. One step twice the others is a fault in the piston that went in last (common practice): take it out before the next goes in.",
            show::fixed(step / usual, 1),
            torque(usual)
        ));
    } else if usual.is_none() && step > MOST_ADDED {
        said.push(format!("Stop and look: a piston adds {} at the most (common practice).", torque(MOST_ADDED)));
    }
    Ok(said)
}
