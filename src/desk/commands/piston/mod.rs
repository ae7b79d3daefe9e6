//! The `piston` family.

mod clearance;
mod deck;
mod motion;
mod pin;
mod to_valve;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of pistons.
#[derive(Debug, Subcommand)]
pub enum Piston {
    /// Piston-to-bore clearance, both brought to 20 °C.
    Clearance(clearance::Clearance),
    /// Where the piston is at an angle, its speed and its acceleration.
    Motion(motion::Motion),
    /// Smallest piston-to-valve clearance, from readings or estimated from the cam card.
    ToValve(to_valve::ToValve),
    /// Piston to deck from readings or parts, and the cut to a wanted deck.
    Deck(deck::Deck),
    /// Gudgeon pin in piston or rod: clearance or interference, cold and at work.
    Pin(pin::Pin),
}

impl Piston {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Clearance(c) => c.run(context),
            Self::Motion(c) => c.run(context),
            Self::ToValve(c) => c.run(context),
            Self::Deck(c) => c.run(context),
            Self::Pin(c) => c.run(context),
        }
    }
}
