//! `crank side 1.890in 0.938in 0.938in`: room beside the rods of one crank pin.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::cranks;
use crate::maths::judge::Verdict;
use crate::quantity::{Given, Length, Measure, show};

/// The pin and its rods.
#[derive(Debug, Args)]
#[command(after_help = "crank side 1.890in 0.938in 0.938in")]
pub struct Side {
    /// Width of the crank pin between its cheeks, clear of the fillets.
    pub pin: Given<Length>,
    /// Width of each rod's big end: one rod, or both of a pin.
    #[arg(required = true)]
    pub rod: Vec<Given<Length>>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Side {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.pin.system().or(context.shared_unit(&self.rod)).or(context.lean(engine));
        let pin = context.quantity("pin", &self.pin, lean)?;
        let rods = context.quantities("rod", &self.rod, lean)?;
        let mut typed = vec![("pin", self.pin.written())];
        // The rod that is refused is the one farthest from its share of the pin.
        let off = |rod: &Length| (rod.si() - pin.si() / rods.len() as f64).abs();
        let farthest = rods.iter().zip(&self.rod).max_by(|a, b| off(a.0).total_cmp(&off(b.0)));
        typed.extend(farthest.filter(|_| rods.len() <= 2).map(|(_, given)| ("rod", given.written())));
        let sum = cranks::side(pin, &rods).or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        // Limits for two rods on a pin say nothing of one.
        let alike = |e: &Engine| usize::from(e.cylinders() / e.pin_count().max(1)) == rods.len();
        if let Some(engine) = engine.filter(|e| self.engine.is_some() && !alike(e)) {
            let count = if rods.len() == 1 { "two rods on each pin" } else { "one rod on each pin" };
            return Err(Refusal::new("rod", "", format!("The {} has {count}.", engine.title)).into());
        }
        let engine = engine.filter(|e| alike(e));
        let title = if sum.clearance.si() < 0.0 {
            format!("No side clearance: {} tight", show::length(-sum.clearance, lead))
        } else {
            format!("Rod side clearance {}", show::length(sum.clearance, lead))
        };
        let widths: Vec<String> = rods.iter().map(|rod| show::length_in(*rod, lead)).collect();
        let mut reply = Reply::new(title)
            .working([format!(
                "{} pin - {} rod{} = {}",
                show::length_in(pin, lead),
                if rods.len() > 1 { format!("({})", widths.join(" + ")) } else { widths.concat() },
                if rods.len() > 1 { "s" } else { "" },
                show::length_in(sum.clearance, lead)
            )])
            .value(Value::length("side_clearance", sum.clearance, lead));
        let sizes = engine.map(Sizes::from).unwrap_or_default();
        let wanted = Wanted { measure: "rod side clearance", at: "-", engine, duty: None, sizes, overrides: None };
        let held = context.limit(wanted).filter(|_| rods.len() == 2 || engine.is_some());
        if let Some(held) = held {
            let verdict = held.verdict(sum.clearance.si(), context.doubt("side_clearance"));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
            if let (Verdict::Out, Some(min)) = (verdict, held.bounds.min) {
                let short = Length::from_si(min) - sum.clearance;
                if short.si() > 0.0 {
                    reply = reply
                        .text(format!(
                            "{} short. Look first for mixed rods, a cap turned round, a rod the wrong way with its chamfer, or a fillet ground too large.",
                            show::length(short, lead)
                        ))
                        .value(Value::length("short_by", short, lead));
                }
            }
            reply = reply.figure(held.strip("Rod side clearance".to_owned(), lead, sum.clearance.si(), 0.0, verdict));
        } else if sum.clearance.si() < 0.0 {
            reply = reply.verdict(Verdict::Out).text("The rod does not go in.");
        } else {
            reply = reply.text("No limit is held: the general one is for two rods on a pin. Take this engine's own.");
        }
        Ok(reply
            .caution(Loudness::Important, "Dressing a rod's side is the lead's decision. A feeler beside the fitted rods, bolts torqued, has the last word.")
            .sources(["definition: pin width less rod widths"])
            .action(Action::send("How it is measured", "page rod-side-clearance-and-turning")))
    }
}
