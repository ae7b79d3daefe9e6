//! `instrument add "micrometer 5" kind=micrometer from=2in to=3in step=0.0001in uncertainty=0.0001in due="12 months"`.

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};

use super::{due, lead, onward};
use crate::desk::form::RawReading;
use crate::desk::gauges::{Stood, exact};
use crate::desk::line::quoted;
use crate::desk::reply::{Reply, Value};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::gauges::Kind;
use crate::quantity::{Dimension, read_si, show};
use crate::record::InstrumentFacts;

/// What it is, what it reads, how well, and until when that is known.
#[derive(Debug, Args)]
#[command(
    after_help = "instrument add \"micrometer 5\" kind=micrometer from=4in to=5in step=0.0001in uncertainty=0.0002in due=\"12 months\""
)]
pub struct Add {
    /// What the shop calls it, as it is marked on it: no other ever has that name.
    pub name: String,
    /// What it is.
    #[arg(long, required = true, value_parser = kinds())]
    pub kind: String,
    /// The least it reads, with its unit.
    #[arg(long, required = true)]
    pub from: RawReading,
    /// The most it reads, with its unit.
    #[arg(long, required = true)]
    pub to: RawReading,
    /// The smallest step it shows, with its unit.
    #[arg(long, required = true)]
    pub step: RawReading,
    /// Its expanded uncertainty (k = 2) from the certificate, with its unit.
    #[arg(long, required = true)]
    pub uncertainty: RawReading,
    /// When its calibration is due: a date, or how long from today.
    #[arg(long, required = true)]
    pub due: String,
    /// Maker's number, certificate, where it is kept.
    #[arg(long)]
    pub note: Option<String>,
}

/// The kinds by their word, and by what else people call them.
fn kinds() -> PossibleValuesParser {
    PossibleValuesParser::new(Kind::ALL.map(|kind| PossibleValue::new(kind.word()).aliases(kind.also())))
}

/// A value in the dimension of an instrument, with its unit.
pub fn value(dimension: Dimension, input: &str, RawReading(text): &RawReading) -> Result<f64, Refusal> {
    read_si(dimension, text, None).map_err(|misread| Refusal::new(input, text, format!("It {misread}.")))
}

/// An uncertainty or a step: more than nothing, and less than what is read.
pub fn part_of(dimension: Dimension, input: &str, given: &RawReading, range: f64) -> Result<f64, Refusal> {
    let value = value(dimension, input, given)?;
    if value > 0.0 && value < range {
        return Ok(value);
    }
    Err(Refusal::new(input, &given.0, "It is more than nothing and less than the whole range."))
}

impl Add {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let kind = Kind::named(&self.kind).ok_or_else(|| {
            let words: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
            crate::desk::unknown("kind", &self.kind, &words)
        })?;
        let dimension = kind.dimension();
        let (from, to) = (value(dimension, "from", &self.from)?, value(dimension, "to", &self.to)?);
        if from >= to {
            return Err(Refusal::new("to", &self.to.0, format!("It must be more than from, {}.", self.from.0)).into());
        }
        let facts = InstrumentFacts {
            name: self.name.trim().to_owned(),
            sort: kind.word().to_owned(),
            dimension,
            from,
            to,
            step: part_of(dimension, "step", &self.step, to - from)?,
            uncertainty: part_of(dimension, "uncertainty", &self.uncertainty, to - from)?,
            due: due::read("due", &self.due, context.today())?,
            note: self.note.clone(),
        };
        let key = context.asker.key.as_deref();
        let added = context.desk.record.add_instrument(&context.actor(), key, facts, context.now)?;
        let stood = context.stood(added)?;
        let reply = Reply::new(format!("{} is in the register, {}", stood.name(), stood.state()))
            .fields(told(context, &stood))
            .text(format!("A reading names it: log … instrument={}", quoted(stood.name())))
            .value(Value::plain("instrument", stood.instrument.id.0 as f64));
        Ok(onward(reply, &stood))
    }
}

/// The facts of an instrument, a line each.
pub fn told(context: &Context, stood: &Stood) -> Vec<(&'static str, String)> {
    let (facts, dimension, lead) = (&stood.instrument.facts, stood.dimension(), lead(context));
    let mut all = vec![
        ("Kind", show::capital(&stood.kind.name())),
        ("Reads", show::range(dimension, Some(facts.from), Some(facts.to), lead)),
        ("Shows steps of", exact(dimension, facts.step, lead)),
        ("Uncertainty", format!("± {} (k = 2)", exact(dimension, facts.uncertainty, lead))),
        ("State", show::capital(&stood.state())),
    ];
    all.extend(facts.note.clone().map(|note| ("Note", note)));
    all
}
