//! The `bolt` family.

mod adapter;
mod angle;
mod friction;
mod grade;
mod load;
mod order;
mod parts;
mod preload;
mod stretch;
mod thread;
mod torque;

use clap::Subcommand;

use crate::desk::reply::{Loudness, Reply};
use crate::desk::{Context, Trouble};

/// What can be asked of bolts.
#[derive(Debug, Subcommand)]
pub enum Bolt {
    /// Preload as a share of the proof load.
    Preload(preload::Preload),
    /// Torque for a preload, or preload from a torque; what friction does to it.
    Torque(torque::Torque),
    /// Stretch of a stepped bolt, or the preload that a stretch shows.
    Stretch(stretch::Stretch),
    /// Preload from a snug torque and an angle.
    Angle(angle::Angle),
    /// What to set a wrench to when an adapter is on it.
    Adapter(adapter::Adapter),
    /// Tightening order and stages, drawn.
    Order(order::Order),
    /// Strength of a grade: proof, yield, tensile.
    Grade(grade::Grade),
}

impl Bolt {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Preload(c) => c.run(context),
            Self::Torque(c) => c.run(context),
            Self::Stretch(c) => c.run(context),
            Self::Angle(c) => c.run(context),
            Self::Adapter(c) => c.run(context),
            Self::Order(c) => c.run(context),
            Self::Grade(c) => c.run(context),
        }
    }
}

/// What every sum of a bolt's load ends with.
fn heeded(reply: Reply) -> Reply {
    reply.caution(
        Loudness::Caution,
        "The engine's or bolt maker's figure wins over any sum. Torque-to-yield bolts are not reused; nor is a stretched, necked or nicked one.",
    )
}
