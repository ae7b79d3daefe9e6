//! `ring taper 0.020in 0.016in`: one ring squared at two depths tells how much wider the bore is at the top.

use clap::Args;

use crate::desk::reply::{Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::rings;
use crate::quantity::{Given, Length, show};

/// The two gaps, of the same ring.
#[derive(Debug, Args)]
#[command(after_help = "ring taper 0.020in 0.016in")]
pub struct Taper {
    /// End gap with the ring squared near the top of its travel.
    pub top: Given<Length>,
    /// End gap of the same ring near the bottom.
    pub bottom: Given<Length>,
}

impl Taper {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let top = context.quantity("top", &self.top, lean)?;
        let bottom = context.quantity("bottom", &self.bottom, lean)?;
        let sum =
            rings::taper(top, bottom).or_refuse(&[("top", self.top.written()), ("bottom", self.bottom.written())])?;
        let lead = context.lead_with(&[self.top.system(), self.bottom.system()], engine);
        let which = match sum.taper.value {
            t if t > 0.0 => "wider at the top",
            t if t < 0.0 => "wider at the bottom",
            _ => "no taper",
        };
        Ok(Reply::new(format!("Bore taper {}: {which}", show::length(sum.taper.abs(), lead)))
            .working([format!(
                "({} - {}) / pi = {} / 3.1416 = {}",
                show::length_in(top, lead),
                show::length_in(bottom, lead),
                show::length_in(sum.difference, lead),
                show::length_in(sum.taper, lead)
            )])
            .text("The gap is an arc of the circumference, so the bore differs by the difference of the gaps over pi. A quick look only: a bore gauge on both axes decides.")
            .caution(Loudness::Note, "Square the ring with a piston crown at both depths; a tilted ring reads wide.")
            .sources(["geometry: circumference = pi x diameter"])
            .value(Value::length("taper", sum.taper, lead))
            .value(Value::length("difference", sum.difference, lead)))
    }
}
