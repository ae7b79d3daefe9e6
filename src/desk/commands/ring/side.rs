//! `ring side groove=0.0805in width=0.0780in ring=top`: side clearance of a ring in its groove.

use clap::Args;

use super::gap::RingName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::ring_fit;
use crate::quantity::{Given, Length, Measure, show};

/// Groove and ring widths. Each may be given more than once.
#[derive(Debug, Args)]
#[command(after_help = "ring side groove=0.0805in width=\"0.0780 0.0781 in\"")]
pub struct Side {
    /// Width of the groove, along the piston.
    #[arg(long, required = true)]
    pub groove: Vec<Given<Length>>,
    /// Width of the ring, flat to flat.
    #[arg(long, required = true)]
    pub width: Vec<Given<Length>>,
    /// Which ring it is.
    #[arg(long, default_value = "top")]
    pub ring: RingName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Side {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.groove.iter().chain(&self.width).find_map(Given::system).or(context.lean(engine));
        let grooves = context.quantities("groove", &self.groove, lean)?;
        let widths = context.quantities("width", &self.width, lean)?;
        let mut typed = Vec::new();
        for (name, given) in [("groove", &self.groove), ("width", &self.width)] {
            typed.extend(given.iter().map(|g| (name, g.written())));
        }
        let sum = ring_fit::side(&grooves, &widths).or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        let title = if sum.smallest.si() <= 0.0 {
            format!("No side clearance: {} tight", show::length(-sum.smallest, lead))
        } else if sum.largest == sum.smallest {
            format!("Side clearance {}", show::length(sum.smallest, lead))
        } else {
            format!("Side clearance {}", show::length_range(Some(sum.smallest), Some(sum.largest), lead))
        };
        let line = |what: &str, groove, width, result| {
            format!(
                "{what}: {} groove - {} ring = {}",
                show::length_in(groove, lead),
                show::length_in(width, lead),
                show::length_in(result, lead)
            )
        };
        let mut reply = Reply::new(title).working([
            line("smallest", sum.groove.smallest, sum.width.largest, sum.smallest),
            line("largest", sum.groove.largest, sum.width.smallest, sum.largest),
        ]);
        reply = reply.value(Value::length("smallest", sum.smallest, lead)).value(Value::length(
            "largest",
            sum.largest,
            lead,
        ));
        let at = match self.ring {
            RingName::Rail => "-",
            ring => ring.word(),
        };
        let wanted =
            Wanted { measure: "ring side clearance", at, engine, duty: None, sizes: Sizes::default(), overrides: None };
        let held = if self.ring == RingName::Rail { None } else { context.limit(wanted) };
        if let Some(held) = held {
            let verdict = held
                .verdict(sum.smallest.si(), context.doubt("smallest"))
                .worse(held.verdict(sum.largest.si(), context.doubt("largest")));
            let tight = held.verdict(sum.smallest.si(), context.doubt("smallest")) == Verdict::Out;
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]).figure(held.strip(
                format!("{}: side clearance", self.ring.title()),
                lead,
                if tight { sum.smallest.si() } else { sum.largest.si() },
                context.doubt("smallest"),
                verdict,
            ));
            if verdict == Verdict::Out {
                reply = reply.text("Clean the groove to bare metal and measure again; then it is the wrong ring, or a worn groove that scraps the piston or is cut for a wider ring.");
            }
        } else {
            reply = reply.text("No limit here for this ring: the ring maker's sheet has it.");
        }
        Ok(reply
            .caution(
                Loudness::Note,
                "Roll the ring round the whole groove as well: a bruised land nips in one place and no width shows it.",
            )
            .action(Action::send("How to measure", "page ring-side-and-back-clearance"))
            .sources(["definition: groove width less ring width"]))
    }
}
