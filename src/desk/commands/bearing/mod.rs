//! The `bearing` family.

mod clearance;
mod crush;
mod film;
mod pick;
mod undersize;

pub(super) use clearance::{BearingName, likeliest};
pub use pick::{halves, shelf};

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of plain bearings.
#[derive(Debug, Subcommand)]
pub enum Bearing {
    /// Oil clearance, smallest and largest.
    Clearance(clearance::Clearance),
    /// The next standard grind at which a set of journals cleans up.
    Undersize(undersize::Undersize),
    /// Which half-shells bring each journal into its limits.
    Pick(pick::Pick),
    /// How hard a pair of shells grips its housing.
    Crush(crush::Crush),
    /// Thinnest oil film under a steady load, by chart: an estimate.
    Film(film::Film),
}

impl Bearing {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Clearance(c) => c.run(context),
            Self::Undersize(c) => c.run(context),
            Self::Pick(c) => c.run(context),
            Self::Crush(c) => c.run(context),
            Self::Film(c) => c.run(context),
        }
    }
}
