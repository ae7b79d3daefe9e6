//! The `ring` family.

mod back;
mod file;
mod gap;
mod heat;
mod oversize;
mod side;
mod taper;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of rings.
#[derive(Debug, Subcommand)]
pub enum Ring {
    /// The end gap a ring needs, and how much to file.
    Gap(gap::Gap),
    /// A whole set of measured gaps: how much to file off each.
    File(file::File),
    /// The smallest cold gap that does not close when hot.
    Heat(heat::Heat),
    /// The gap a ring of another nominal size has in this bore.
    Oversize(oversize::Oversize),
    /// Side clearance of a ring in its groove.
    Side(side::Side),
    /// Back clearance: the room behind a ring.
    Back(back::Back),
    /// Bore taper from one ring's gap at two heights.
    Taper(taper::Taper),
}

impl Ring {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Gap(c) => c.run(context),
            Self::File(c) => c.run(context),
            Self::Heat(c) => c.run(context),
            Self::Oversize(c) => c.run(context),
            Self::Side(c) => c.run(context),
            Self::Back(c) => c.run(context),
            Self::Taper(c) => c.run(context),
        }
    }
}
