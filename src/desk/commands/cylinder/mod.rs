//! The `cylinder` family.

mod compression;
mod compression_test;
mod displacement;
mod effective;
mod leakdown;
mod mill;
mod ratio;
mod squish;
mod which;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of a cylinder.
#[derive(Debug, Subcommand)]
pub enum Cylinder {
    /// Swept volume of one cylinder and of the engine.
    Displacement(displacement::Displacement),
    /// Compression ratio and squish, and what to change to hit a target.
    Compression(compression::Compression),
    /// Compression counted from where the intake valve shuts.
    Effective(effective::Effective),
    /// Crown to head at the top, and the gasket that would do.
    Squish(squish::Squish),
    /// Volume that a cut takes off a chamber or a deck, or the cut for a volume.
    Mill(mill::Mill),
    /// Leak-down of every cylinder, and what its pattern points to.
    Leakdown(leakdown::Leakdown),
    /// Cranking pressures: their spread, and what the pattern points to.
    CompressionTest(compression_test::CompressionTest),
    /// Rod over stroke, and what it means.
    Ratio(ratio::Ratio),
}

impl Cylinder {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Displacement(c) => c.run(context),
            Self::Compression(c) => c.run(context),
            Self::Effective(c) => c.run(context),
            Self::Squish(c) => c.run(context),
            Self::Mill(c) => c.run(context),
            Self::Leakdown(c) => c.run(context),
            Self::CompressionTest(c) => c.run(context),
            Self::Ratio(c) => c.run(context),
        }
    }
}
