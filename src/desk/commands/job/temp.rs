//! `job temp 22C`: how warm the bench is, said once for the shift; `job temp` says what holds.

use clap::Args;

use crate::desk::reply::{Action, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::warmth::HOLDS;
use crate::desk::{Context, Trouble};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, Given, Measure, System, Temperature, show};

/// Where people measure, kelvin.
const BENCH: (f64, f64) = (273.15, 323.15);

/// How warm it is.
#[derive(Debug, Args)]
#[command(after_help = "job temp 22C")]
pub struct Temp {
    /// The temperature of parts and gauges on the bench; what holds now where left out.
    pub temperature: Option<Given<Temperature>>,
}

impl Temp {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.job.as_ref().and_then(|job| context.library.engine(&job.engine));
        let Some(given) = &self.temperature else { return now(context, context.lead_with(&[], engine)) };
        let lead = context.lead_with(&[given.system()], engine);
        let bench = context.quantity("temperature", given, context.lean(engine))?;
        if !(BENCH.0..=BENCH.1).contains(&bench.si()) {
            let rule = Rule::OutsideRange { low: BENCH.0, high: BENCH.1, dimension: Dimension::Temperature };
            return Err(Unfit { input: "temperature", rule }).or_refuse(&[("temperature", given.written())]);
        }
        context.desk.record.set_bench_temperature(&context.actor(), bench.si(), context.now)?;
        Ok(Reply::new(format!("The bench is at {}", show::temperature(bench, lead)))
            .text(format!(
                "It holds for what you post here in the next {} hours: every size without temp= of its own is judged at 20 °C from it, and says so. After 4 hours it is asked for again.",
                HOLDS.as_hours()
            ))
            .text("The part's own temperature counts: let it lie on the bench until both are the same, overnight for a block. temp= on a line is for a part that is not.")
            .value(Value::si("temperature", Dimension::Temperature, bench.si(), lead))
            .action(Action::send("What is next", "next")))
    }
}

/// What holds now.
fn now(context: &Context, lead: System) -> Result<Reply, Trouble> {
    let said = context.said_warmth()?;
    let title = match said {
        None => "No temperature was said here".to_owned(),
        Some(said) if said.holds() => format!("The bench is at {}", said.told(lead)),
        Some(said) => format!("No temperature holds: {} is too long ago", said.told(lead)),
    };
    let mut reply = Reply::new(title);
    reply = match said.filter(|said| said.holds()) {
        Some(said) if said.is_stale() => reply.text("That is over 4 hours old, and a shop warms up: say it again."),
        Some(_) => reply.text("Every size that is posted here without temp= is judged at 20 °C from it."),
        None => reply.text("Sizes are judged as they were read. Say it once for the shift: job temp 22C."),
    };
    if let Some(said) = said.filter(|said| said.holds()) {
        reply = reply.value(Value::si("temperature", Dimension::Temperature, said.kelvin, lead));
    }
    Ok(reply.action(Action::form("Say how warm it is", "job temp")))
}
