//! `ring oversize 4.030in nominal=4.035in gap=0.018in marine`: what gap a ring of another nominal size has in this bore.

use clap::Args;

use super::gap::{RingName, finish, want};
use crate::desk::commands::DutyName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::engine::Duty;
use crate::maths::ring_fit;
use crate::quantity::{Given, Length, Measure, above, below, show};

/// This bore, the ring's nominal size, and its gap at that size.
#[derive(Debug, Args)]
#[command(after_help = "ring oversize 4.030in 4.035in gap=0.018in marine")]
pub struct Oversize {
    /// The bore it is to run in.
    pub bore: Given<Length>,
    /// The bore it was made for.
    #[arg(required = true)]
    pub nominal: Given<Length>,
    /// What the engine is built to do.
    pub duty: Option<DutyName>,
    /// Its gap in a bore of that nominal size.
    #[arg(long, required = true)]
    pub gap: Given<Length>,
    /// Which ring it is.
    #[arg(long, default_value = "top")]
    pub ring: RingName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Oversize {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.bore.system().or(self.nominal.system()).or(context.lean(engine));
        let bore = context.quantity("bore", &self.bore, lean)?;
        let nominal = context.quantity("nominal", &self.nominal, lean)?;
        let gap = context.quantity("gap", &self.gap, lean)?;
        let typed = [("bore", self.bore.written()), ("nominal", self.nominal.written()), ("gap", self.gap.written())];
        let sum = ring_fit::other_ring(bore, nominal, gap).or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        let title = if sum.gap.si() < 0.0 {
            format!("Its ends overlap by {} before filing", show::length(-sum.gap, lead))
        } else {
            format!("It has a gap of {} here", show::length(sum.gap, lead))
        };
        let mut reply = Reply::new(title)
            .working([
                format!(
                    "pi x ({} bore - {} nominal) = {}",
                    show::length_in(bore, lead),
                    show::length_in(nominal, lead),
                    show::length_in(sum.change, lead)
                ),
                format!(
                    "{} gap at its nominal {} {} = {}",
                    show::length_in(gap, lead),
                    if sum.change.si() < 0.0 { "-" } else { "+" },
                    show::length_in(sum.change.abs(), lead),
                    show::length_in(sum.gap, lead)
                ),
            ])
            .value(Value::length("gap", sum.gap, lead))
            .value(Value::length("change", sum.change, lead));
        let mut sources = vec!["geometry: circumference = pi x diameter".to_owned()];
        let duty = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), duty)?;
        let held = want(context, self.ring, bore, engine, duty.or(engine.map(|e| e.duty)));
        if let Some(want) = held {
            let (low, high) = (want.range.low, want.range.high);
            reply = reply.fields([(
                format!("{} wants", self.ring.title()),
                format!("{} ({})", show::length_range(Some(low), high, lead), want.rule),
            )]);
            reply = if below(sum.gap, low) {
                reply
                    .verdict(Verdict::Out)
                    .text(format!("It can be used: file {} off it.", show::length(low - sum.gap, lead)))
                    .value(Value::length("to_file", low - sum.gap, lead))
            } else if high.is_some_and(|high| above(sum.gap, high)) {
                reply.verdict(Verdict::Out).text("Too wide: filing cannot help. Take a ring of a larger nominal size.")
            } else {
                reply.verdict(Verdict::Within)
            };
            sources.push(want.basis);
        }
        if above(nominal, bore) {
            reply = reply.text("A ring made for a bigger bore is not quite round in this one. A few thou, as file-fit sets have, is common practice; a whole oversize step is not.");
        }
        if sum.gap.si() <= 0.0 {
            reply = reply.text("Never force it in to look: butted ends break the ring or score the bore.");
        }
        Ok(finish(reply.sources(sources)))
    }
}
