//! `ring back 4.030in root=3.640in depth=0.180in`: the room behind a ring that lies against its bore.

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

/// Bore, groove root and the ring's radial depth.
#[derive(Debug, Args)]
#[command(after_help = "ring back 4.030in root=3.640in depth=0.180in")]
pub struct Back {
    /// The bore the ring runs in.
    pub bore: Given<Length>,
    /// Diameter at the bottom of the groove.
    #[arg(long, required = true)]
    pub root: Given<Length>,
    /// Radial depth of the ring, outside to inside.
    #[arg(long, required = true)]
    pub depth: Given<Length>,
    /// Which ring it is.
    #[arg(long, default_value = "top")]
    pub ring: RingName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Back {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.bore.system().or(context.lean(engine));
        let bore = context.quantity("bore", &self.bore, lean)?;
        let root = context.quantity("root", &self.root, lean)?;
        let depth = context.quantity("depth", &self.depth, lean)?;
        let typed = [("bore", self.bore.written()), ("root", self.root.written()), ("depth", self.depth.written())];
        let sum = ring_fit::back(bore, root, depth).or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        let jams = sum.per_side.si() <= 1e-9;
        let title = if jams {
            format!("No room behind the ring: {} too deep", show::length(-sum.per_side, lead))
        } else {
            format!("Back clearance {} per side", show::length(sum.per_side, lead))
        };
        let mut reply = Reply::new(title)
            .working([
                format!(
                    "({} bore - {} root) / 2 = {}",
                    show::length_in(bore, lead),
                    show::length_in(root, lead),
                    show::length_in(sum.room, lead)
                ),
                format!(
                    "{} - {} deep = {} per side ({} on diameter)",
                    show::length_in(sum.room, lead),
                    show::length_in(depth, lead),
                    show::length_in(sum.per_side, lead),
                    show::length_in(sum.on_diameter, lead)
                ),
            ])
            .value(Value::length("per_side", sum.per_side, lead))
            .value(Value::length("on_diameter", sum.on_diameter, lead));
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), None)?;
        let at = if self.ring == RingName::Rail { "-" } else { self.ring.word() };
        let sizes = Sizes { bore: Some(bore), ..Sizes::default() };
        let wanted = Wanted { measure: "ring back clearance", at, engine, duty: None, sizes, overrides: None };
        let held = if self.ring == RingName::Rail { None } else { context.limit(wanted) };
        let mut verdict = held.as_ref().map(|held| held.verdict(sum.per_side.si(), context.doubt("per_side")));
        if jams {
            verdict = Some(Verdict::Out);
        }
        if let (Some(held), Some(verdict)) = (&held, verdict) {
            reply = reply.fields([("Limit", held.said(lead))]).figure(held.strip(
                format!("{}: back clearance", self.ring.title()),
                lead,
                sum.per_side.si(),
                context.doubt("per_side"),
                verdict,
            ));
        }
        if let Some(verdict) = verdict {
            reply = reply.verdict(verdict);
        }
        if jams {
            reply = reply.text("Wrong ring, or wrong piston. Do not fit it.");
        }
        Ok(reply
            .caution(Loudness::Warning, "A ring with no room behind it stands proud, jams between groove and bore, and breaks its land or seizes the piston on the first turn.")
            .action(Action::send("How to measure", "page ring-side-and-back-clearance"))
            .sources(["definition, per side: (bore - groove root) / 2 - radial depth; ring against the bore, piston in its middle"]))
    }
}
