//! `valve ratio lobe=0.320in ratio=1.5 lash=0.020in`, or the ratio there is: `valve ratio lobe=0.320in measured=0.455in lash=0.020in`.

use clap::Args;

use super::before_the_starter;
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::valves;
use crate::quantity::{Given, Length, Number, System, show};

/// Lobe lift, and a ratio or a lift read at the valve.
#[derive(Debug, Args)]
#[command(after_help = "valve ratio lobe=0.320in ratio=1.5 lash=0.020in")]
pub struct Ratio {
    /// Lift of the lobe, read at the follower.
    #[arg(long, required = true)]
    pub lobe: Given<Length>,
    /// Rocker ratio; 1 where the cam works on the valve.
    #[arg(long)]
    pub ratio: Option<Given<Number>>,
    /// Lash at the valve; none where left out.
    #[arg(long)]
    pub lash: Option<Given<Length>>,
    /// Lift read at the valve, to see what the rocker really has.
    #[arg(long)]
    pub measured: Option<Given<Length>>,
}

impl Ratio {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lengths = [Some(&self.lobe), self.lash.as_ref(), self.measured.as_ref()];
        let lean = lengths.into_iter().flatten().find_map(Given::system).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let mut typed = vec![("lobe", self.lobe.written())];
        typed.extend(self.ratio.as_ref().map(|g| ("ratio", g.written())));
        typed.extend(self.lash.as_ref().map(|g| ("lash", g.written())));
        typed.extend(self.measured.as_ref().map(|g| ("measured", g.written())));
        let lobe = context.quantity("lobe", &self.lobe, lean)?;
        let lash = match &self.lash {
            Some(lash) => context.quantity("lash", lash, lean)?,
            None => Length::default(),
        };
        let nominal = self.ratio.as_ref().map(|g| context.quantity("ratio", g, None)).transpose()?;
        let measured = self.measured.as_ref().map(|g| context.quantity("measured", g, lean)).transpose()?;
        let expected = nominal.map(|ratio| valves::lift(lobe, ratio.0, lash).or_refuse(&typed)).transpose()?;
        let found = measured.map(|lift| valves::ratio(lobe, lift, lash).or_refuse(&typed)).transpose()?;
        let mut working = Vec::new();
        if let (Some(sum), Some(ratio)) = (&expected, &self.ratio) {
            working.push(format!(
                "{} x {} - {} lash = {}",
                show::length_in(lobe, lead),
                ratio.written().text,
                show::length_in(lash, lead),
                show::length_in(sum.net, lead)
            ));
        }
        if let (Some(ratio), Some(lift)) = (found, measured) {
            working.push(format!(
                "({} + {} lash) / {} = {}",
                show::length_in(lift, lead),
                show::length_in(lash, lead),
                show::length_in(lobe, lead),
                show::fixed(ratio, 3)
            ));
        }
        let reply = match (&expected, found) {
            (Some(sum), Some(ratio)) => told_apart(sum, ratio, measured.unwrap_or(sum.net), lead),
            (Some(sum), None) => Reply::new(format!("Lift at the valve {}", show::length(sum.net, lead))).fields([
                ("Without lash", show::length(sum.gross, lead)),
                ("Lash at the lobe", show::length(sum.lash_at_lobe, lead)),
            ]),
            (None, Some(ratio)) => Reply::new(format!("Rocker ratio {} at full lift", show::fixed(ratio, 3))),
            (None, None) => {
                return Err(Refusal::new(
                    "ratio",
                    "",
                    "Give the rocker's ratio, or measured= with the lift at the valve.",
                )
                .into());
            }
        };
        let mut reply = reply.working(working);
        if let Some(sum) = &expected {
            reply = reply
                .value(Value::length("net_lift", sum.net, lead))
                .value(Value::length("gross_lift", sum.gross, lead))
                .value(Value::length("lobe_lash", sum.lash_at_lobe, lead));
        }
        if let Some(ratio) = found {
            reply = reply.value(Value::plain("ratio", ratio));
        }
        Ok(before_the_starter(reply)
            .text("Read the lobe on a solid follower and the valve on a checking spring, in line with the stem; bending under a running spring takes some lift away.")
            .sources(["definition: lobe lift x ratio - lash at the valve; the ratio changes a little through the sweep, this is at full lift"])
            .action(Action::form("Loads at this lift", "valve spring height= lift= load= at=")))
    }
}

fn told_apart(sum: &valves::Lift, ratio: f64, measured: Length, lead: System) -> Reply {
    let off = measured - sum.net;
    let title = format!("Rocker ratio {} at full lift, {} stated", show::fixed(ratio, 3), show::number(sum.ratio));
    let word = if off < Length::default() { "less" } else { "more" };
    Reply::new(title).fields([
        ("Lift stated", show::length(sum.net, lead)),
        ("Lift read", format!("{}: {} {word}", show::length(measured, lead), show::length_in(off.abs(), lead))),
    ])
}
