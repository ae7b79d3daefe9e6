//! The `bearing` family.

mod clearance;
mod film;

pub(super) use clearance::{BearingName, likeliest};

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of plain bearings.
#[derive(Debug, Subcommand)]
pub enum Bearing {
    /// Oil clearance, smallest and largest.
    Clearance(clearance::Clearance),
    /// Thinnest oil film under a steady load, by chart: an estimate.
    Film(film::Film),
}

impl Bearing {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Clearance(c) => c.run(context),
            Self::Film(c) => c.run(context),
        }
    }
}
