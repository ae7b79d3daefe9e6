//! `remedy 4`: what it would take to bring a reading inside its limits, every way with its figure.

use clap::Args;

use super::log::{headline, named_check, ways};
use crate::desk::judging::{Judging, at_20};
use crate::desk::posting;
use crate::desk::remedy::{Case, mixes};
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::{Context, Trouble};
use crate::record::ReadingId;

/// Which reading.
#[derive(Debug, Args)]
#[command(after_help = "remedy 4")]
pub struct Remedy {
    /// Its number.
    pub reading: u32,
}

impl Remedy {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let reading = record.reading(ReadingId(i64::from(self.reading)))?.reading;
        let measured = &reading.measured;
        let job = record.job(measured.job)?;
        let engine = context.engine_of(&job)?;
        let check = named_check(context, &measured.check)?;
        let position = posting::position(engine, check, &measured.position)?;
        let overrides = context.overrides(job.id)?;
        let judging = Judging { context, job: &job, engine, check, position, overrides: &overrides, with: &[] };
        let findings = judging.judge_again(measured)?;
        let raw = at_20(check, &measured.raw, measured.temperature)?;
        let lead = context.lead_with(&[], Some(engine));
        let cases: Vec<Case> = findings.iter().filter_map(|found| Case::new(&judging, found, &raw, lead)).collect();
        let mut reply = Reply::new(headline(context, &reading, lead));
        reply = reply.value(Value::plain("out", cases.len() as f64));
        reply.verdict = findings.iter().map(|finding| finding.verdict).reduce(|a, b| a.worse(b));
        if cases.is_empty() {
            reply = reply.text("Nothing of it is out by the limits as they are now.");
        }
        for case in &cases {
            reply = reply.text(format!("{}.", case.miss())).block(ways(case, usize::MAX)?);
            let measure = case.found.measure.replace([' ', '-'], "_");
            for (number, remedy) in (1..).zip(case.remedies()?) {
                if let Some(then) = remedy.then.first() {
                    let name = format!("{measure}_way_{number}");
                    reply = reply.value(Value::si(&name, then.dimension, then.lowest, lead));
                }
            }
            let mixes = mixes(case);
            if !mixes.is_empty() {
                let rows = mixes.iter().map(|(halves, then)| {
                    vec![halves.as_str().into(), Cell { verdict: Some(then.verdict), ..then.size(lead).into() }]
                });
                reply = reply.block(Block::Table(Table {
                    caption: "Half-shells against those that are in".to_owned(),
                    header: ["Halves", "Clearance"].map(String::from).to_vec(),
                    rows: rows.collect(),
                }));
            }
        }
        if !cases.is_empty() {
            reply = reply
                .caution(Loudness::Note, "What each would give is reckoned from what is posted; measure again after it. The maker's manual decides.")
                .sources(["the order, least costly first: common practice; figures from the readings posted on this job"]);
        }
        Ok(reply
            .action(Action::form("Amend it", format!("amend {}", reading.id)))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}
