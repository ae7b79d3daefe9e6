//! The `bore` family.

mod grid;
mod hone;
mod oversize;
mod sleeve;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};
use crate::engine::Engine;
use crate::quantity::{Length, System, inches, millimetres};

/// What can be asked of cylinder bores.
#[derive(Debug, Subcommand)]
pub enum Bore {
    /// Six readings of a bore: out-of-round, taper, and the size that cleans up.
    Grid(grid::Grid),
    /// One oversize for the whole block, from the worst bore.
    Oversize(oversize::Oversize),
    /// How much the hone has to take from each bore.
    Hone(hone::Hone),
    /// Interference of a sleeve, and the heat to drop it in.
    Sleeve(sleeve::Sleeve),
}

impl Bore {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Grid(c) => c.run(context),
            Self::Oversize(c) => c.run(context),
            Self::Hone(c) => c.run(context),
            Self::Sleeve(c) => c.run(context),
        }
    }
}

/// The oversizes pistons come in: the engine's, or common steps where its page names none. Common practice.
fn steps(engine: Option<&Engine>, lead: System) -> Vec<Length> {
    match (engine, lead) {
        (Some(engine), _) if !engine.oversizes.is_empty() => engine.oversizes.clone(),
        (_, System::Inch) => [0.020, 0.030, 0.040, 0.060].map(inches).to_vec(),
        (_, System::Metric) => [0.25, 0.50, 0.75, 1.00].map(millimetres).to_vec(),
    }
}
