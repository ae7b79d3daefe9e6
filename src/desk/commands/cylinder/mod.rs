//! The `cylinder` family.

mod compression;
mod displacement;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of a cylinder.
#[derive(Debug, Subcommand)]
pub enum Cylinder {
    /// Swept volume of one cylinder and of the engine.
    Displacement(displacement::Displacement),
    /// Compression ratio and squish, and what to change to hit a target.
    Compression(compression::Compression),
}

impl Cylinder {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Displacement(c) => c.run(context),
            Self::Compression(c) => c.run(context),
        }
    }
}
