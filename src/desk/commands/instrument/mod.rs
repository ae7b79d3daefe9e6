//! The `instrument` family: the shop's register of what it measures with.

mod add;
mod calibrated;
mod check;
mod drift;
mod due;
mod list;
mod retire;
mod show;
mod spread;

use clap::Subcommand;

use crate::desk::gauges::Stood;
use crate::desk::line::quoted;
use crate::desk::reply::Action;
use crate::desk::{Context, Reply, Trouble};
use crate::quantity::System;

/// What can be done with instruments.
#[derive(Debug, Subcommand)]
pub enum Instrument {
    /// Put an instrument in the register (lead).
    Add(add::Add),
    /// The register: what each reads, how well, and when its calibration is due.
    #[command(alias = "_")]
    List(list::List),
    /// One instrument and how it stands.
    Show(show::Show),
    /// It came back from calibration (lead).
    Calibrated(calibrated::Calibrated),
    /// Take an instrument out of use (lead).
    Retire(retire::Retire),
    /// Write down how it reads a setting standard.
    Check(check::Check),
    /// How it drifts against its standard over time (lead).
    Drift(drift::DriftOf),
    /// How well readings repeat, by person and by instrument (lead).
    Spread(spread::Spread),
}

impl Instrument {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Add(c) => c.run(context),
            Self::List(c) => c.run(context),
            Self::Show(c) => c.run(context),
            Self::Calibrated(c) => c.run(context),
            Self::Retire(c) => c.run(context),
            Self::Check(c) => c.run(context),
            Self::Drift(c) => c.run(context),
            Self::Spread(c) => c.run(context),
        }
    }
}

/// The system of units to tell of instruments in: the person's own, else that of the job in hand.
fn lead(context: &Context) -> System {
    let engine = context.job.as_ref().and_then(|job| context.library.engine(&job.engine));
    context.lead_with(&[], engine)
}

/// What can be done next with one.
fn onward(reply: Reply, stood: &Stood) -> Reply {
    let name = quoted(stood.name());
    reply
        .action(Action::send("Show it", format!("instrument show {name}")))
        .action(Action::form("Check it on a standard", format!("instrument check {name}")))
        .action(Action::send("The register", "instrument list"))
}
