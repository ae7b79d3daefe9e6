//! `pair shells housing=… journal=… shell=…`: pairs of half-shells to journals for the evenest oil clearance.

use clap::Args;

use super::{Telling, told, typed};
use crate::desk::commands::bearing::{BearingName, likeliest};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::pairing;
use crate::quantity::{Given, Length, Measure, show};

/// Housings with their journals, and one wall for each pair of shells.
#[derive(Debug, Args)]
#[command(
    after_help = "pair shells housing=2.6905in housing=2.6908in journal=2.4995in journal=2.4992in shell=0.0947in shell=0.0949in"
)]
pub struct Shells {
    /// Each housing bore, torqued, without shells, number 1 first.
    #[arg(long, required = true)]
    pub housing: Vec<Given<Length>>,
    /// The journal that runs in each housing.
    #[arg(long, required = true)]
    pub journal: Vec<Given<Length>>,
    /// Wall of each pair of half-shells, both halves alike.
    #[arg(long, required = true)]
    pub shell: Vec<Given<Length>>,
    /// Clearance to aim at; the middle of the limits where left out.
    #[arg(long)]
    pub wanted: Option<Given<Length>>,
    /// Which bearing, for its limits; told by the journals' size where the engine has one near it.
    #[arg(long)]
    pub of: Option<BearingName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Shells {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lists = [&self.housing, &self.journal, &self.shell];
        let system = lists.into_iter().find_map(|given| context.shared_unit(given));
        let lean = system.or(context.lean(engine));
        let housings = context.quantities("housing", &self.housing, lean)?;
        let journals = context.quantities("journal", &self.journal, lean)?;
        let shells = context.quantities("shell", &self.shell, lean)?;
        let mut names = typed(&[
            ("housing", &self.housing, &housings),
            ("journal", &self.journal, &journals),
            ("shell", &self.shell, &shells),
        ]);
        names.extend(self.wanted.as_ref().map(|given| ("wanted", given.written())));
        pairing::shells(&housings, &journals, &shells, None).or_refuse(&names)?;
        let lead = context.lead_with(&[system], engine);
        let mean = Length::from_si(journals.iter().map(|j| j.si()).sum::<f64>() / journals.len() as f64);
        let of = self.of.unwrap_or_else(|| likeliest(engine, mean));
        let main = of == BearingName::Main;
        let own = |e: &Engine| if main { e.main_journal } else { e.rod_journal };
        let engine = context.engine_for(self.engine.as_ref(), mean, own, None)?;
        let sizes = Sizes { main_journal: Some(mean), rod_journal: Some(mean), ..Sizes::default() };
        let measure = if main { "main oil clearance" } else { "rod oil clearance" };
        let held = context.limit(Wanted { measure, at: "-", engine, duty: None, sizes, overrides: None });
        let middle = held.as_ref().and_then(|held| Some((held.bounds.min? + held.bounds.max?) / 2.0));
        let (wanted, why) = match (&self.wanted, middle) {
            (Some(given), _) => (Some(context.quantity("wanted", given, lean)?), "as asked for"),
            (None, Some(middle)) => (Some(Length::from_si(middle)), "the middle of the limits"),
            (None, None) => (None, "the mean of these, so that they come out as even as can be"),
        };
        let sum = pairing::shells(&housings, &journals, &shells, wanted).or_refuse(&names)?;
        let rooms = housings.iter().zip(&journals).map(|(housing, journal)| show::length_in(*housing - *journal, lead));
        let telling = Telling {
            place: if main { "Main" } else { "Rod" },
            part: "Shells",
            value: "clearance",
            values: "clearances",
            places: rooms.collect(),
            parts: shells.iter().map(|wall| show::length_in(*wall, lead)).collect(),
            wanted: why.to_owned(),
            held,
            doubt: context.doubt("worst_after"),
            lead,
        };
        Ok(told(&sum, &telling)
            .text("Beside each bearing stands its housing less its journal; the clearance is that less two walls.")
            .caution(Loudness::Important, "An upper shell with an oil hole never goes in the cap. Keep both halves of a pair together, and measure with the caps torqued.")
            .action(Action::form("One oil clearance", "bearing clearance")))
    }
}
