//! The `cam` family: all angles are crank degrees, but for lobe separation.

mod degree;
mod key;
mod overlap;
mod separation;

use clap::{Subcommand, ValueEnum};

use crate::desk::reply::{Loudness, Reply};
use crate::desk::{Context, Trouble};
use crate::maths::cams::Lobe;
use crate::quantity::{Angle, Dimension, Measure, show};

use super::super::reply::Value;

/// What can be asked of cam timing.
#[derive(Debug, Subcommand)]
pub enum Cam {
    /// Centreline and duration from the degree wheel, and how far off the card.
    Degree(degree::Degree),
    /// Crank degrees with both valves open.
    Overlap(overlap::Overlap),
    /// Lobe separation and advance from the two centrelines.
    Separation(separation::Separation),
    /// Offset key or bush that moves the cam by so many degrees.
    Key(key::Key),
}

impl Cam {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Degree(c) => c.run(context),
            Self::Overlap(c) => c.run(context),
            Self::Separation(c) => c.run(context),
            Self::Key(c) => c.run(context),
        }
    }
}

/// Which lobe was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LobeName {
    Intake,
    Exhaust,
}

impl From<LobeName> for Lobe {
    fn from(name: LobeName) -> Self {
        match name {
            LobeName::Intake => Self::Intake,
            LobeName::Exhaust => Self::Exhaust,
        }
    }
}

/// `4.0° advanced`, `2.0° retarded`, `straight up`.
fn ahead(advance: Angle) -> String {
    let degrees = advance.si().to_degrees();
    if degrees.abs() < 0.05 {
        return "straight up".to_owned();
    }
    format!("{} {}", show::angle(advance.abs()), if degrees > 0.0 { "advanced" } else { "retarded" })
}

fn degrees(name: &str, angle: Angle) -> Value {
    Value::si(name, Dimension::Angle, angle.si(), crate::quantity::System::Inch)
}

/// What goes with every change or reading of the timing.
fn careful(reply: Reply) -> Reply {
    reply.caution(
        Loudness::Warning,
        "Turn by hand, in the running direction, plugs out. After the cam is moved, check piston-to-valve and turn two full turns by hand before the starter turns it.",
    )
}
