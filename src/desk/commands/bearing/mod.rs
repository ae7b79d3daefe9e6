//! The `bearing` family.

mod clearance;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of plain bearings.
#[derive(Debug, Subcommand)]
pub enum Bearing {
    /// Oil clearance, smallest and largest.
    Clearance(clearance::Clearance),
}

impl Bearing {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Clearance(c) => c.run(context),
        }
    }
}
