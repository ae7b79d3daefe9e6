//! The `bore` family.

mod grid;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of cylinder bores.
#[derive(Debug, Subcommand)]
pub enum Bore {
    /// Six readings of a bore: out-of-round, taper, and the size that cleans up.
    Grid(grid::Grid),
}

impl Bore {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Grid(c) => c.run(context),
        }
    }
}
