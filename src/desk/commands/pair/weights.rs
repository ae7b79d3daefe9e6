//! `pair weights assembly=560.2g assembly=561.8g rod=611.3g rod=609.8g`: piston assemblies to rods, for even sums.

use clap::Args;

use super::{Telling, told, typed};
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::pairing;
use crate::quantity::{Dimension, Given, Mass, Measure, System, show};

/// Two lists of weights, as many of one as of the other.
#[derive(Debug, Args)]
#[command(after_help = "pair weights assembly=760.2g assembly=761.8g assembly=759.6g rod=611.3g rod=609.8g rod=612.1g")]
pub struct Weights {
    /// Each piston with pin, rings and retainers; or each bare piston.
    #[arg(long, required = true)]
    pub assembly: Vec<Given<Mass>>,
    /// Each rod, or its small end alone, rod 1 first.
    #[arg(long, required = true)]
    pub rod: Vec<Given<Mass>>,
}

impl Weights {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        // Balance scales read grams everywhere, so a bare number is grams.
        let lean = Some(System::Metric);
        let assemblies = context.quantities("assembly", &self.assembly, lean)?;
        let rods = context.quantities("rod", &self.rod, lean)?;
        let names = typed(&[("assembly", &self.assembly, &assemblies), ("rod", &self.rod, &rods)]);
        let sum = pairing::weights(&assemblies, &rods).or_refuse(&names)?;
        let shown =
            |list: &[Mass]| list.iter().map(|mass| show::any_in(Dimension::Mass, mass.si(), System::Metric)).collect();
        let telling = Telling {
            place: "Rod",
            part: "Assembly",
            value: "sum",
            values: "sums",
            places: shown(&rods),
            parts: shown(&assemblies),
            wanted: "the mean, which no order changes".to_owned(),
            held: None,
            doubt: 0.0,
            lead: System::Metric,
        };
        Ok(told(&sum, &telling)
            .text("What is still uneven comes off the heavy ones, where their maker allows it.")
            .caution(Loudness::Important, "Big ends are matched by themselves: a whole rod that weighs right can still be heavy at the wrong end. Number the parts at once, and keep to the hands of a V engine.")
            .action(Action::form("The bobweight card", "crank balance")))
    }
}
