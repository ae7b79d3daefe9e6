//! `amend 12 2.4496in 2.4494in reason="misread the thimble"`: a corrected reading; the old one stays on record.

use clap::Args;

use super::log::{is_returned, request_key, told};
use crate::desk::form::{InstrumentName, RawReading};
use crate::desk::gauges::Named;
use crate::desk::posting::{self, Beside};
use crate::desk::walk::{Stop, Walk};
use crate::desk::{Context, Refusal, Reply, Trouble};
use crate::quantity::{Given, Measure, Temperature};
use crate::record::{Amends, ReadingId};

/// Which reading, what it should be, and why.
#[derive(Debug, Args)]
#[command(after_help = "amend 2 2.4494in 2.4493in reason=\"misread the thimble\"")]
pub struct Amend {
    /// The reading's number.
    pub reading: u32,
    /// The readings as they should be, all of the set.
    #[arg(required = true)]
    pub values: Vec<RawReading>,
    /// Why it is amended; it stays on the sheet.
    #[arg(long, required = true)]
    pub reason: String,
    /// Temperature of the part, where that was wrong or missing.
    #[arg(long)]
    pub temp: Option<Given<Temperature>>,
    /// What it was measured with, where that was wrong or missing.
    #[arg(long)]
    pub instrument: Option<InstrumentName>,
    /// An odd reading is right as it stands.
    #[arg(long)]
    pub sure: bool,
    /// Show the next place of the plan with the answer.
    #[arg(long)]
    pub walk: bool,
}

impl Amend {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let record = &context.desk.record;
        let earlier = ReadingId(i64::from(self.reading));
        let entry = record.reading(earlier)?;
        let came_back = is_returned(&entry);
        let old = entry.reading.measured;
        let check = context.library.plan().check(&old.check).ok_or_else(|| gone(&earlier, &old.check))?;
        let job = record.job(old.job)?;
        let engine = context.engine_of(&job)?;
        let position = posting::position(engine, check, &old.position)?;
        if self.reason.trim().is_empty() {
            return Err(Refusal::new("reason", &self.reason, "Say why, in a few words.").into());
        }
        let temperature = self.temp.as_ref().map(|t| context.quantity("temp", t, Some(engine.unit))).transpose()?;
        let anew = self.instrument.as_ref().map(|InstrumentName(name)| name.as_str());
        let beside = Beside {
            temperature: temperature.map(Measure::si).or(old.temperature),
            warmth: None,
            instrument: if anew.is_some() { Named::Anew(anew) } else { Named::kept(&old) },
            note: old.note.as_deref(),
            sure: self.sure,
            with: &[],
        };
        let prepared = posting::prepare(context, &job, engine, check, position, &self.values, &beside)?;
        let key = request_key(context)?;
        let measured = prepared.measured.clone();
        let amends = Amends { reading: earlier, reason: self.reason.clone() };
        let (actor, pictures) = (context.actor(), context.enclosed()?);
        let posted = record.amend_with(&actor, &key, amends, measured, &pictures, context.now)?;
        let reply = told(context, &job, check, &prepared, &posted)?
            .text(format!("It takes the place of reading {earlier}: {}.", self.reason));
        if !self.walk {
            return Ok(reply);
        }
        // What came back stood outside the order: the walk begins again from the top.
        let after = (!came_back).then_some(Stop { check, position });
        Walk::new(context, &job)?.go_on(reply, &posted.reading, after)
    }
}

/// There is nothing left to judge it by.
fn gone(reading: &ReadingId, check: &str) -> Refusal {
    let possible = format!(
        "Its check, {check}, is no longer on the shelf, so it stands as it was judged. Put the check's row back in its limits table, then amend it."
    );
    Refusal { line: Some(format!("review show {reading}")), ..Refusal::new("reading", reading.to_string(), possible) }
}
