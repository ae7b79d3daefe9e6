//! `valve guide guide=0.3438in guide=0.3436in stem=0.3415in stem=0.3418in valve=intake`: stem clearance.

use clap::Args;

use super::{ValveName, list};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::valves;
use crate::quantity::{Given, Length, Measure, above, below, show};

/// Guide bores and stem diameters, each as often as it was read.
#[derive(Debug, Args)]
#[command(after_help = "valve guide guide=0.3435in guide=0.3437in stem=0.3418in stem=0.3415in valve=intake")]
pub struct Guide {
    /// Guide bore: top, middle, bottom, two ways each.
    #[arg(long, required = true)]
    pub guide: Vec<Given<Length>>,
    /// Stem diameter where it runs in the guide.
    #[arg(long, required = true)]
    pub stem: Vec<Given<Length>>,
    /// Whose limits.
    #[arg(long, required = true)]
    pub valve: ValveName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Guide {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.guide.iter().chain(&self.stem).find_map(Given::system).or(context.lean(engine));
        let guides = context.quantities("guide", &self.guide, lean)?;
        let stems = context.quantities("stem", &self.stem, lean)?;
        let lead = context.lead_with(&[lean], engine);
        for (name, sizes, given) in [("guide", &guides, &self.guide), ("stem", &stems, &self.stem)] {
            for (size, given) in sizes.iter().zip(given) {
                valves::stem_size(name, *size).or_refuse(&[(name, given.written())])?;
            }
        }
        // Readings that do not go together have no one culprit, unless there is only one.
        let mut typed = Vec::new();
        for (name, given) in [("guide", &self.guide), ("stem", &self.stem)] {
            if let [only] = given.as_slice() {
                typed.push((name, only.written()));
            }
        }
        let sum = valves::guide(&guides, &stems).or_refuse(&typed)?;
        let title = if sum.smallest.si() < 0.0 {
            format!("No clearance: the stem is {} tight", show::length(-sum.smallest, lead))
        } else if sum.smallest == sum.largest {
            format!("Stem clearance {}", show::length(sum.largest, lead))
        } else {
            format!("Stem clearance {}", show::length_range(Some(sum.smallest), Some(sum.largest), lead))
        };
        let mut reply = Reply::new(title)
            .working([
                format!(
                    "largest: {} guide - {} stem = {}",
                    show::length_in(sum.guide.largest, lead),
                    show::length_in(sum.stem.smallest, lead),
                    show::length_in(sum.largest, lead)
                ),
                format!(
                    "smallest: {} guide - {} stem = {}",
                    show::length_in(sum.guide.smallest, lead),
                    show::length_in(sum.stem.largest, lead),
                    show::length_in(sum.smallest, lead)
                ),
                format!("guide read {}; stem read {}", list(&guides, lead), list(&stems, lead)),
            ])
            .value(Value::length("largest", sum.largest, lead))
            .value(Value::length("smallest", sum.smallest, lead));
        let at = self.valve.part();
        let wanted = Wanted {
            measure: "valve stem clearance",
            at,
            engine,
            duty: None,
            sizes: Sizes::default(),
            overrides: None,
        };
        if let Some(held) = context.limit(wanted) {
            let verdict = held
                .verdict(sum.smallest.si(), context.doubt("smallest"))
                .worse(held.verdict(sum.largest.si(), context.doubt("largest")));
            let past = |bound: Option<f64>| bound.map(Length::from_si);
            let tight = past(held.bounds.min).is_some_and(|min| below(sum.smallest, min));
            let loose = past(held.bounds.max).is_some_and(|max| above(sum.largest, max));
            let (word, reading) = if tight && !loose { ("smallest", sum.smallest) } else { ("largest", sum.largest) };
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]).figure(held.strip(
                format!("Stem clearance, {at} ({word})"),
                lead,
                reading.si(),
                context.doubt("smallest"),
                verdict,
            ));
            if loose {
                reply = reply.text("Loose: measure a new valve first. Then sleeve, thin-wall insert or new guide, and cut the seat again, because it has moved.");
            }
            if tight {
                reply = reply.text(
                    "Tight: ream or hone the guide. A tight exhaust sticks open when hot, and the piston finds it.",
                );
            }
        }
        Ok(reply
            .caution(Loudness::Important, "Guide and valve maker's figures win; the guide's material moves them. Clean guide, stem without carbon, both at one temperature.")
            .sources(["definition: guide bore less stem diameter, worst place against worst place"])
            .action(Action::send("How to measure", "page valve-guides-and-springs")))
    }
}
