//! The `measure` family.

mod at20;
mod digits;
mod judge;
mod mean;
mod stack;
mod study;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, Given, Length, Measure, Written};

/// What can be asked of readings themselves.
#[derive(Debug, Subcommand)]
pub enum Measuring {
    /// Mean of several readings and how well it is known.
    Mean(mean::Mean),
    /// A size as it is at 20 °C, by its metal.
    At20(at20::At20),
    /// Gauge repeatability and reproducibility from people, parts and trials.
    Study(study::Study),
    /// What a reading proves of its limits, given its uncertainty.
    Judge(judge::Judge),
    /// A chain of dimensions with tolerances: worst case and root-sum-square.
    Stack(stack::Stack),
}

impl Measuring {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Mean(c) => c.run(context),
            Self::At20(c) => c.run(context),
            Self::Study(c) => c.run(context),
            Self::Judge(c) => c.run(context),
            Self::Stack(c) => c.run(context),
        }
    }
}

/// The reading that a range left out, with the input's name, so that a refusal can show it.
fn at_fault<'a>(unfit: Unfit, given: &'a [Given<Length>], read: &[Length]) -> Option<(&'static str, &'a Written)> {
    let Rule::OutsideRange { low, high, dimension: Dimension::Length } = unfit.rule else { return None };
    let (given, _) = given.iter().zip(read).find(|(_, length)| !(low..=high).contains(&length.si()))?;
    Some((unfit.input, given.written()))
}
