//! `pair pistons bore=4.0305in bore=4.0302in skirt=4.0270in skirt=4.0268in`: pistons to bores for the evenest clearance.

use clap::Args;

use super::{Telling, told, typed};
use crate::desk::commands::DutyName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::Duty;
use crate::engine::limits::Sizes;
use crate::maths::pairing;
use crate::quantity::{Given, Length, Measure, show};

/// Bores and pistons in the order they are numbered.
#[derive(Debug, Args)]
#[command(
    after_help = "pair pistons bore=4.0008in bore=4.0003in bore=4.0006in skirt=3.9961in skirt=3.9966in skirt=3.9964in"
)]
pub struct Pistons {
    /// Each bore, across the thrust faces at the gauge line, cylinder 1 first.
    #[arg(long, required = true)]
    pub bore: Vec<Given<Length>>,
    /// Each piston, across the skirt at the maker's gauge point.
    #[arg(long, required = true)]
    pub skirt: Vec<Given<Length>>,
    /// Clearance to aim at; the middle of the limits where left out.
    #[arg(long)]
    pub wanted: Option<Given<Length>>,
    /// What the engine is built to do.
    pub duty: Option<DutyName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Pistons {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let system = context.shared_unit(&self.bore).or(context.shared_unit(&self.skirt));
        let lean = system.or(context.lean(engine));
        let bores = context.quantities("bore", &self.bore, lean)?;
        let skirts = context.quantities("skirt", &self.skirt, lean)?;
        let mut names = typed(&[("bore", &self.bore, &bores), ("skirt", &self.skirt, &skirts)]);
        names.extend(self.wanted.as_ref().map(|given| ("wanted", given.written())));
        // The sizes are proved before a limit is looked up for them.
        pairing::pistons(&bores, &skirts, None).or_refuse(&names)?;
        let lead = context.lead_with(&[system], engine);
        let mean = Length::from_si(bores.iter().map(|bore| bore.si()).sum::<f64>() / bores.len() as f64);
        let duty = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), mean, |e| Some(e.bore), duty)?;
        let sizes = Sizes { bore: Some(mean), ..Sizes::default() };
        let held = context.limit(Wanted { measure: "piston clearance", at: "-", engine, duty, sizes, overrides: None });
        let middle = held.as_ref().and_then(|held| Some((held.bounds.min? + held.bounds.max?) / 2.0));
        let (wanted, why) = match (&self.wanted, middle) {
            (Some(given), _) => (Some(context.quantity("wanted", given, lean)?), "as asked for"),
            (None, Some(middle)) => (Some(Length::from_si(middle)), "the middle of the limits"),
            (None, None) => (None, "the mean of these, so that they come out as even as can be"),
        };
        let sum = pairing::pistons(&bores, &skirts, wanted).or_refuse(&names)?;
        let sized = |list: &[Length]| list.iter().map(|size| show::length_in(*size, lead)).collect();
        let telling = Telling {
            place: "Bore",
            part: "Piston",
            value: "clearance",
            values: "clearances",
            places: sized(&bores),
            parts: sized(&skirts),
            wanted: why.to_owned(),
            held,
            doubt: context.doubt("worst_after"),
            lead,
        };
        Ok(told(&sum, &telling)
            .caution(Loudness::Important, "Pistons of two hands or with a front mark only change places where they may: on a V engine pair each bank by itself if they differ. Measure all at one temperature and number them at once.")
            .action(Action::form("One clearance at its temperature", "piston clearance")))
    }
}
