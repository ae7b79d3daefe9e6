//! `clock skerry-v8`: where each ring gap sits, seen from above with the front marked.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::pictures;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::{Context, Trouble};
use crate::drawing::ring_clock;
use crate::engine::clocking::Clocking;
use crate::engine::{Engine, Ring};
use crate::quantity::show;

/// Which engine.
#[derive(Debug, Args)]
#[command(after_help = "clock show skerry-v8")]
pub struct Show {
    /// The engine.
    pub engine: EngineName,
}

/// The rules, said once for both commands of the family.
pub const RULES: &str = "common practice: top and second about opposite, rails and expander ends away from both and from each other, none on the pin axis or a thrust face";

impl Show {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.named_engine("engine", &self.engine.0)?;
        let set = Clocking::usual(engine);
        let at = |ring| set.angle(ring).map(degrees).unwrap_or_default();
        let mut reply = Reply::new(format!("Top gap at {}, second at {}", at(Ring::Top), at(Ring::Second)))
            .text("Degrees clockwise from the engine's front, looking down the bore. The same on every cylinder.")
            .fields(set.gaps().iter().map(|gap| (gap.ring.word(), degrees(gap.angle))))
            .figure(figure(&set, Some(engine), Vec::new(), |_| None));
        for gap in set.gaps() {
            reply = reply.value(Value::counted(&gap.ring.word().replace(' ', "_"), gap.angle, "deg"));
        }
        let given: Vec<String> = set
            .gaps()
            .iter()
            .map(|gap| format!("{}={}", gap.ring.word().replace(' ', "-"), show::number(gap.angle)))
            .collect();
        Ok(reply
            .caution(Loudness::Important, "Set them again just before the piston goes in. The ring maker's sheet wins.")
            .sources([RULES])
            .action(Action::form("Check a set of your own", format!("clock check {}", given.join(" "))))
            .action(Action::send("How to set them", "page ring-clocking")))
    }
}

/// `45°`.
pub fn degrees(angle: f64) -> String {
    format!("{}°", show::number((angle * 10.0).round() / 10.0))
}

/// The set from above; `fault` numbers the reason a gap is faulted by.
pub fn figure(
    set: &Clocking,
    engine: Option<&Engine>,
    reasons: Vec<String>,
    fault: impl Fn(Ring) -> Option<u8>,
) -> crate::drawing::Figure {
    ring_clock::draw(&ring_clock::RingClock {
        heading: engine.map_or("Ring gaps".to_owned(), |e| format!("Ring gaps, {}", e.title)),
        gaps: set
            .gaps()
            .iter()
            .map(|gap| ring_clock::Gap { ring: pictures::ring(gap.ring), degrees: gap.angle, fault: fault(gap.ring) })
            .collect(),
        thrust: engine.map(|e| pictures::side(e.major_side())),
        reasons,
        notes: Vec::new(),
    })
}
