//! The `valve` family.

mod guide;
mod height;
mod lash;
mod pushrod;
mod ratio;
mod seat;
mod spring;

pub use height::SHIMS;

use clap::{Subcommand, ValueEnum};

use crate::desk::reply::{Loudness, Reply};
use crate::desk::{Context, Trouble};
use crate::quantity::{Length, System, show};

/// What can be asked of valves.
#[derive(Debug, Subcommand)]
pub enum Valve {
    /// Spring rate, seat and open load, shim for a load, coil-bind margin.
    Spring(spring::Spring),
    /// Shims that bring springs to their installed height.
    Height(height::Height),
    /// Stem clearance in the guide.
    Guide(guide::Guide),
    /// Seat width, and where it sits on the valve.
    Seat(seat::Seat),
    /// Pushrod length for the narrowest pattern on the valve tip.
    Pushrod(pushrod::Pushrod),
    /// Lash at the lobe, and what to set cold for a hot lash.
    Lash(lash::Lash),
    /// Lift at the valve from lobe lift, or the ratio a rocker really has.
    Ratio(ratio::Ratio),
}

impl Valve {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Spring(c) => c.run(context),
            Self::Height(c) => c.run(context),
            Self::Guide(c) => c.run(context),
            Self::Seat(c) => c.run(context),
            Self::Pushrod(c) => c.run(context),
            Self::Lash(c) => c.run(context),
            Self::Ratio(c) => c.run(context),
        }
    }
}

/// Whose limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ValveName {
    Intake,
    Exhaust,
}

impl ValveName {
    /// The part a limits row names.
    fn part(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }
}

/// What goes with every work on a spring.
fn under_load(reply: Reply) -> Reply {
    reply.caution(
        Loudness::Caution,
        "A compressed valve spring takes an eye or a finger: a proper compressor, eye protection, and never in line with the keepers.",
    )
}

/// What goes with every change of lift, lash or pushrod.
fn before_the_starter(reply: Reply) -> Reply {
    reply.caution(
        Loudness::Warning,
        "Check piston-to-valve and coil bind, and turn two full turns by hand, before the starter turns the engine.",
    )
}

fn list(sizes: &[Length], lead: System) -> String {
    sizes.iter().map(|s| show::length_in(*s, lead)).collect::<Vec<_>>().join(", ")
}
