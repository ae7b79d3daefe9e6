//! `instrument spread`: how well sizes repeat when they are read again, by person and by instrument.

use std::collections::BTreeMap;

use clap::Args;

use crate::desk::commands::log::named_check;
use crate::desk::form::{CheckName, JobNumber};
use crate::desk::gauges::{exact, exact_in};
use crate::desk::judging::{at_20, uncertainty};
use crate::desk::reply::{Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::gauges::stays_put;
use crate::engine::plan::{Check, Plan};
use crate::maths::repeats::{Pooled, pooled, runs};
use crate::quantity::{Dimension, Length, Measure, System};
use crate::record::{Act, Reading};

/// Two readings of one place that differ by more than so many times the usual uncertainty were not of one size.
const JUMP: f64 = 10.0;

/// Of which readings.
#[derive(Debug, Args)]
#[command(after_help = "instrument spread")]
pub struct Spread {
    /// Of one check alone, such as main-journal.
    pub check: Option<CheckName>,
    /// Of one job alone.
    #[arg(long)]
    pub job: Option<JobNumber>,
}

/// One value of one reading.
#[derive(Clone, Copy)]
struct Once<'a> {
    size: Length,
    person: &'a str,
    instrument: &'a str,
}

impl Spread {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let role = context.desk.role(context.asker);
        if !role.may(Act::SeeSpread) {
            let possible = "How each person's readings repeat is for the lead alone, to see where a better gauge or some practice would help. Your own readings are on the job, as always.";
            return Err(Refusal::new("role", role.word(), possible).into());
        }
        let check = self.check.as_ref().map(|CheckName(name)| named_check(context, name)).transpose()?;
        if let Some(check) = check.filter(|check| !stays_put(check)) {
            let sizes: Vec<&str> =
                context.library.plan().checks().iter().filter(|c| stays_put(c)).map(|c| c.id).collect();
            let possible = format!(
                "{} changes as parts are fitted, so reading it again is no repeat. Possible: {}.",
                check.name,
                sizes.join(", ")
            );
            return Err(Refusal::new("check", check.id, possible).into());
        }
        let job = self.job.as_ref().map(|job| context.named_job(Some(job))).transpose()?;
        let mut readings = context.desk.record.repeats(&context.actor())?;
        readings.retain(|reading| {
            let measured = &reading.measured;
            check.is_none_or(|check| measured.check == check.id)
                && job.as_ref().is_none_or(|job| measured.job == job.id)
        });
        let (features, jumps) = features(context.library.plan(), &readings)?;
        let lead = super::lead(context);
        let all = spread(features.iter().map(|feature| feature.iter().map(|once| once.size).collect()).collect());
        let Some(all) = all else {
            return Ok(Reply::new("No size was read twice yet, so there is no spread to show")
                .text("Read a place again and post it again: the last one counts, and both show how well it repeats.")
                .caution(Loudness::Note, WHAT));
        };
        let mut reply = Reply::new(format!(
            "{} repeat readings of {} sizes: spread {}",
            all.readings,
            all.features,
            told(all.deviation, lead)
        ));
        let by_person = by(&features, |once| once.person);
        let by_instrument = by(&features, |once| once.instrument);
        for (caption, who, rows) in [("By person", "Who", by_person), ("By instrument", "With", by_instrument)] {
            if !rows.is_empty() {
                reply = reply.block(Block::Table(table(caption, who, &rows, lead)));
            }
        }
        if jumps > 0 {
            let times =
                if jumps == 1 { "Once a size jumped".to_owned() } else { format!("{jumps} times a size jumped") };
            reply = reply.text(format!(
                "{times} by more than {JUMP} times the usual uncertainty: taken as work done on the part or a slip, not as spread."
            ));
        }
        Ok(reply
            .caution(Loudness::Note, WHAT)
            .sources([
                "pooled variance (NIST/SEMATECH e-Handbook 1.3.5.3; JCGM 100:2008, 4.2.4); bounds by chi-squared",
            ])
            .value(Value::length("spread", all.deviation, lead))
            .value(Value::plain("freedom", all.freedom as f64))
            .value(Value::plain("jumps", jumps as f64)))
    }
}

const WHAT: &str = "One standard deviation of a single reading: gauge, part and hand together, each against their own repeats. It says where a better gauge or some practice would help; with few repeats it says little, as the bounds show.";

/// Every value that was read more than once, as the row of its readings at 20 °C, parted where it jumped; and how often
/// that was.
fn features<'a>(plan: &Plan, readings: &'a [Reading]) -> Result<(Vec<Vec<Once<'a>>>, usize), Trouble> {
    let same = |a: &Reading, b: &Reading| {
        let place = |r: &Reading| (r.measured.job, r.measured.check.clone(), r.measured.position.clone());
        place(a) == place(b)
    };
    let (mut features, mut jumps) = (Vec::new(), 0);
    for place in readings.chunk_by(same) {
        let Some(check) = place.first().and_then(|r| plan.check(&r.measured.check)).filter(|c| stays_put(c)) else {
            continue;
        };
        for row in rows(check, place)? {
            let sizes: Vec<Length> = row.iter().map(|once| once.size).collect();
            let parted = runs(&sizes, Length::from_si(JUMP * uncertainty(check, 0.0)));
            jumps += parted.len().saturating_sub(1);
            let mut rest = row.as_slice();
            for run in parted {
                let (own, after) = rest.split_at(run.len());
                features.push(own.to_vec());
                rest = after;
            }
        }
    }
    Ok((features, jumps))
}

/// A row for each value of the check: all that was read there, in the order it was posted.
fn rows<'a>(check: &Check, place: &'a [Reading]) -> Result<Vec<Vec<Once<'a>>>, Trouble> {
    let mut rows: Vec<Vec<Once>> = vec![Vec::new(); check.readings.len()];
    for reading in place {
        let measured = &reading.measured;
        let sizes = at_20(check, &measured.raw, measured.temperature)?;
        let instrument = measured.instrument.as_deref().unwrap_or("none named");
        for (row, size) in rows.iter_mut().zip(sizes) {
            row.push(Once { size: Length::from_si(size), person: &reading.by.person, instrument });
        }
    }
    Ok(rows)
}

fn spread(features: Vec<Vec<Length>>) -> Option<Pooled<Length>> {
    pooled(&features).ok()
}

/// The spread of each name's own repeats.
fn by<'a>(features: &[Vec<Once<'a>>], name: fn(&Once<'a>) -> &'a str) -> Vec<(&'a str, Pooled<Length>)> {
    let mut groups: BTreeMap<&str, Vec<Vec<Length>>> = BTreeMap::new();
    for feature in features {
        let mut own: BTreeMap<&str, Vec<Length>> = BTreeMap::new();
        for once in feature {
            own.entry(name(once)).or_default().push(once.size);
        }
        for (name, sizes) in own {
            groups.entry(name).or_default().push(sizes);
        }
    }
    groups.into_iter().filter_map(|(name, features)| Some((name, spread(features)?))).collect()
}

fn told(deviation: Length, lead: System) -> String {
    exact(Dimension::Length, deviation.si(), lead)
}

fn table(caption: &str, who: &str, rows: &[(&str, Pooled<Length>)], lead: System) -> Table {
    let short = |length: Length| exact_in(Dimension::Length, length.si(), lead);
    let row = |(name, spread): &(&str, Pooled<Length>)| {
        vec![
            Cell::from(*name),
            format!("{} of {}", spread.readings, spread.features).into(),
            short(spread.deviation).into(),
            format!("{} to {}", short(spread.low), short(spread.high)).into(),
        ]
    };
    Table {
        caption: caption.to_owned(),
        header: [who, "Readings of sizes", "Spread", "95 %"].map(String::from).to_vec(),
        rows: rows.iter().map(row).collect(),
    }
}
