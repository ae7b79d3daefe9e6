//! The `crank` family.

mod balance;
mod end_float;
mod runout;
mod side;
mod stroke;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of crankshafts.
#[derive(Debug, Subcommand)]
pub enum Crank {
    /// Dial readings round a journal: run-out, eccentricity, high spot.
    Runout(runout::Runout),
    /// End float, and which thrust washer brings it into limits.
    EndFloat(end_float::EndFloat),
    /// Side clearance of the rods on a crank pin.
    Side(side::Side),
    /// Bobweight card for the crank of a V engine.
    Balance(balance::Balance),
    /// Stroke from measured throws, or from heights at both dead centres.
    Stroke(stroke::Stroke),
}

impl Crank {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Runout(c) => c.run(context),
            Self::EndFloat(c) => c.run(context),
            Self::Side(c) => c.run(context),
            Self::Balance(c) => c.run(context),
            Self::Stroke(c) => c.run(context),
        }
    }
}
