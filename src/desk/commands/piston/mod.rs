//! The `piston` family.

mod clearance;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of pistons.
#[derive(Debug, Subcommand)]
pub enum Piston {
    /// Piston-to-bore clearance, both brought to 20 °C.
    Clearance(clearance::Clearance),
}

impl Piston {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Clearance(c) => c.run(context),
        }
    }
}
