//! `cylinder squish 0.010in 0.012in gasket=0.040in`: crown to head at the top, smallest and largest.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::faces;
use crate::quantity::{Given, Length, Measure, System, show};

/// Decks and the gasket.
#[derive(Debug, Args)]
#[command(after_help = "cylinder squish 0.010in 0.012in gasket=0.040in")]
pub struct Squish {
    /// Piston below the deck, one or several; negative when it stands proud.
    #[arg(required = true, allow_hyphen_values = true)]
    pub deck: Vec<Given<Length>>,
    /// Head gasket, crushed thickness.
    #[arg(long, required = true)]
    pub gasket: Given<Length>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Squish {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.shared_unit(&self.deck).or(self.gasket.system()).or(context.lean(engine));
        let decks = context.quantities("deck", &self.deck, lean)?;
        let gasket = context.quantity("gasket", &self.gasket, lean)?;
        let mut typed = vec![("gasket", self.gasket.written())];
        // The deck a refusal is about is the one that stands highest.
        let highest = decks.iter().zip(&self.deck).min_by(|a, b| a.0.si().total_cmp(&b.0.si()));
        typed.extend(highest.map(|(_, given)| ("deck", given.written())));
        let sum = faces::squish(&decks, gasket).or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        let range = if sum.smallest == sum.largest {
            show::length(sum.smallest, lead)
        } else {
            show::length_range(Some(sum.smallest), Some(sum.largest), lead)
        };
        let line = |name: &str, squish: Length| {
            format!(
                "{name}: {} deck + {} gasket = {}",
                show::length_in(squish - gasket, lead),
                show::length_in(gasket, lead),
                show::length_in(squish, lead)
            )
        };
        let mut lines = vec![line("smallest", sum.smallest)];
        if sum.largest != sum.smallest {
            lines.push(line("largest", sum.largest));
        }
        let mut reply = Reply::new(format!("Squish {range}"))
            .working(lines)
            .value(Value::length("smallest", sum.smallest, lead))
            .value(Value::length("largest", sum.largest, lead));
        let wanted =
            Wanted { measure: "squish", at: "-", engine, duty: None, sizes: Sizes::default(), overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held
                .verdict(sum.smallest.si(), context.doubt("smallest"))
                .worse(held.verdict(sum.largest.si(), context.doubt("largest")));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
            if verdict == Verdict::Out {
                reply = better(reply, &held, &decks, lead).or_refuse(&typed)?;
            }
        }
        Ok(reply
            .action(Action::form("Compression with it", format!("cylinder compression deck={} gasket={}", self.deck.first().map(ToString::to_string).unwrap_or_default(), self.gasket)))
            .caution(Loudness::Important, "Take the deck with the piston's rock out of it, both sides on the pin axis, and the gasket as crushed. Rods stretch and pistons rock at speed; aluminium rods want more. Check piston-to-valve after any change.")
            .sources(["definition: deck + crushed gasket"]))
    }
}

/// Which gaskets would bring every squish inside.
fn better(reply: Reply, held: &Held, decks: &[Length], lead: System) -> Result<Reply, crate::maths::Unfit> {
    let (Some(min), Some(max)) = (held.bounds.min, held.bounds.max) else { return Ok(reply) };
    let found = faces::gaskets(decks, Length::from_si(min), Length::from_si(max))?;
    let said = match found {
        Some((thin, thick)) => show::length_range(Some(thin), Some(thick), lead),
        None => "no one gasket: the decks differ too much, or stand too far off; cut the deck level first".to_owned(),
    };
    let reply = reply.fields([("Gasket that would do", said)]);
    Ok(match found {
        Some((thin, thick)) => {
            reply.value(Value::length("gasket_min", thin, lead)).value(Value::length("gasket_max", thick, lead))
        }
        None => reply.action(Action::form("What to cut", "piston deck")),
    })
}
