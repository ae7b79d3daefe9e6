//! `instrument check "micrometer 4" 4in 4.0001in temp=20C`: how it reads a setting standard.

use clap::Args;
use jiff::civil::Date;

use super::{add, lead, onward};
use crate::desk::form::{InstrumentName, RawReading};
use crate::desk::gauges::{deviation, exact, exact_in, signed};
use crate::desk::reply::{Loudness, Reply, Value, Verdict};
use crate::desk::{Context, Refusal, Trouble};
use crate::quantity::{Given, Measure, Temperature, show};
use crate::record::StandardCheck;

/// A deviation of so many times its uncertainty is a slip before it is a fault: a turn of the thimble, another standard.
const SLIP: f64 = 50.0;

/// Which one, the standard and what it read.
#[derive(Debug, Args)]
#[command(after_help = "instrument check \"micrometer 4\" 4in 4.0001in temp=20C")]
pub struct Check {
    /// Its name.
    pub name: InstrumentName,
    /// What the standard is, as marked on it, with its unit.
    pub standard: RawReading,
    /// What the instrument read on it, with its unit.
    pub read: RawReading,
    /// Temperature that both had.
    #[arg(long)]
    pub temp: Option<Given<Temperature>>,
    /// The day, where it is copied from a card; today where left out.
    #[arg(long)]
    pub on: Option<String>,
    /// It was set on the standard just before: what it read earlier counts no more.
    #[arg(long)]
    pub set: bool,
    /// It is right as it stands, far off as it is.
    #[arg(long)]
    pub sure: bool,
}

impl Check {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let before = context.known_instrument(&self.name.0)?;
        let (dimension, lead) = (before.dimension(), lead(context));
        let check = StandardCheck {
            number: before.instrument.id,
            standard: add::value(dimension, "standard", &self.standard)?,
            read: add::value(dimension, "read", &self.read)?,
            temperature: self
                .temp
                .as_ref()
                .map(|t| context.quantity("temp", t, Some(lead)))
                .transpose()?
                .map(Measure::si),
            on: self.on.as_ref().map_or(Ok(context.today()), |text| on(text, context.today()))?,
            set: self.set,
        };
        let (from, to) = before.range();
        if !(from..=to).contains(&check.standard) {
            let possible = format!("{} reads {}.", before.name(), show::range(dimension, Some(from), Some(to), lead));
            return Err(Refusal::new("standard", &self.standard.0, possible).into());
        }
        let own = before.instrument.facts.uncertainty;
        let off = deviation(&check);
        if off.abs() > SLIP * own && !self.sure {
            let possible = format!(
                "That is {} off, over {SLIP} times its ± {}. Read it again; if it reads so, send it again with --sure.",
                signed(dimension, off, lead),
                exact(dimension, own, lead)
            );
            return Err(Refusal::new("read", &self.read.0, possible).into());
        }
        let key = context.asker.key.as_deref();
        let record = &context.desk.record;
        let stood = context.stood(record.try_standard(&context.actor(), key, check.clone(), context.now)?)?;
        let beyond = stood.is_beyond(off);
        let (told, own) = (signed(dimension, off, lead), exact(dimension, own, lead));
        let title = match beyond {
            true => format!(
                "{}: {told} off on its standard, beyond its ± {own}. Do not use it until it is set",
                stood.name()
            ),
            false => format!("{}: {told} off on its standard, inside its ± {own}", stood.name()),
        };
        let mut reply =
            Reply::new(title).verdict(if beyond { Verdict::Out } else { Verdict::Within }).working([format!(
                "read {} - standard {} = {told}",
                exact_in(dimension, check.read, lead),
                exact_in(dimension, check.standard, lead)
            )]);
        if beyond {
            reply = reply.caution(
                Loudness::Warning,
                "Wipe both faces and read again. If it stays, set it on the standard, check it with --set, and read again what was measured with it since its last good check.",
            );
        }
        if stood.dimension() == crate::quantity::Dimension::Length {
            let warm = check.temperature.map(|kelvin| show::temperature(Temperature::from_si(kelvin), lead));
            reply = reply.text(match warm {
                Some(warm) => format!("Both at {warm}: steel on steel grows alike, so nothing is taken off for it (common practice). Let them lie side by side first."),
                None => "Let gauge and standard lie side by side first: steel on steel then grows alike (common practice).".to_owned(),
            });
        }
        let counted = stood.checks.len();
        let since = if counted == 1 {
            "It is the first since the instrument was last set or calibrated.".to_owned()
        } else {
            format!("{counted} checks since it was last set or calibrated.")
        };
        reply = reply.text(since).value(Value::si("deviation", dimension, off, lead));
        Ok(onward(reply, &stood))
    }
}

/// A day that is not ahead.
fn on(text: &str, today: Date) -> Result<Date, Refusal> {
    match text.trim().parse::<Date>() {
        Ok(date) if date <= today && date.year() >= 1990 => Ok(date),
        _ => Err(Refusal::new("on", text, format!("A day that has been, such as {today}."))),
    }
}
