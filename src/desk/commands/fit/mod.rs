//! The `fit` family.

mod heat;
mod iso;
mod press;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of fits.
#[derive(Debug, Subcommand)]
pub enum Fit {
    /// Press fit: pressure, stress, and the force to push it home.
    Press(press::Press),
    /// How hot or cold until one part drops into the other.
    Heat(heat::Heat),
    /// ISO 286 limits and fit from a designation such as 25 H7/g6.
    Iso(iso::Iso),
}

impl Fit {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Press(c) => c.run(context),
            Self::Heat(c) => c.run(context),
            Self::Iso(c) => c.run(context),
        }
    }
}
