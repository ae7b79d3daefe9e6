//! `instrument calibrated "micrometer 4" due="12 months" uncertainty=0.0001in`: back from calibration.

use clap::Args;

use super::{add, due, onward};
use crate::desk::form::{InstrumentName, RawReading};
use crate::desk::reply::Reply;
use crate::desk::{Context, Refusal, Trouble};
use crate::record::Calibration;

/// Which one, until when, and what the certificate says.
#[derive(Debug, Args)]
#[command(
    after_help = "instrument calibrated \"micrometer 4\" due=\"12 months\" uncertainty=0.0001in note=\"certificate 114\""
)]
pub struct Calibrated {
    /// Its name.
    pub name: InstrumentName,
    /// When the next is due: a date, or how long from today.
    #[arg(long, required = true)]
    pub due: String,
    /// Its expanded uncertainty (k = 2), where the certificate gives another.
    #[arg(long)]
    pub uncertainty: Option<RawReading>,
    /// The certificate's number, or where it was done.
    #[arg(long)]
    pub note: Option<String>,
}

impl Calibrated {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let stood = context.known_instrument(&self.name.0)?;
        let (from, to) = stood.range();
        let due = due::read("due", &self.due, context.today())?;
        if due <= context.today() {
            return Err(Refusal::new("due", &self.due, "The next calibration must lie ahead.").into());
        }
        let own = |given: &RawReading| add::part_of(stood.dimension(), "uncertainty", given, to - from);
        let calibration = Calibration {
            number: stood.instrument.id,
            due,
            uncertainty: self.uncertainty.as_ref().map(own).transpose()?,
            note: self.note.clone(),
        };
        let key = context.asker.key.as_deref();
        let record = &context.desk.record;
        let stood = context.stood(record.calibrate(&context.actor(), key, calibration, context.now)?)?;
        let reply = Reply::new(format!("{}: {}", stood.name(), stood.state()))
            .fields(add::told(context, &stood))
            .text("Readings from now on are judged by it; those already posted keep how it stood on their day. What it read on a standard before counts no more: check it once, for a start.");
        Ok(onward(reply, &stood))
    }
}
