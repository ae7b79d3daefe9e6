//! The `ring` family.

mod gap;
mod taper;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of rings.
#[derive(Debug, Subcommand)]
pub enum Ring {
    /// The end gap a ring needs, and how much to file.
    Gap(gap::Gap),
    /// Bore taper from one ring's gap at two heights.
    Taper(taper::Taper),
}

impl Ring {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Gap(c) => c.run(context),
            Self::Taper(c) => c.run(context),
        }
    }
}
