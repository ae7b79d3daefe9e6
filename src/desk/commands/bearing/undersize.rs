//! `bearing undersize "2.4478 2.4475 2.4481 in" nominal=2.450in`: the next standard grind at which all of them clean up,
//! in inch and in metric steps.

use clap::Args;

use super::clearance::{BearingName, likeliest};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::{OrRefuse, renamed};
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::Spread;
use crate::maths::grinds::{self, Grind};
use crate::maths::sizes::{self, NextSize, Step};
use crate::quantity::{Given, Length, Measure, System, inches, millimetres, show};

/// The smallest reading of each journal, and what they started as.
#[derive(Debug, Args)]
#[command(after_help = "bearing undersize 2.4478in 2.4475in 2.4481in nominal=2.450in")]
pub struct Undersize {
    /// The smallest reading of each journal of the set: all mains, or all pins.
    #[arg(required = true)]
    pub readings: Vec<Given<Length>>,
    /// Standard size of these journals; the engine's where left out.
    #[arg(long)]
    pub nominal: Option<Given<Length>>,
    /// Size they were last ground to; told by the largest reading where left out.
    #[arg(long)]
    pub machined: Option<Given<Length>>,
    /// Stock the polish takes after the stone, on diameter.
    #[arg(long, default_value = "0.0003in")]
    pub polish: Given<Length>,
    /// Undersizes shells can be bought in; the engine's and the common ones where left out.
    #[arg(long)]
    pub step: Vec<Given<Length>>,
    /// Mains or rod pins; told by their size where the engine has one near it.
    #[arg(long)]
    pub of: Option<BearingName>,
    /// Take sizes and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Steps shells are sold in, in one system.
struct Rack {
    name: &'static str,
    system: System,
    steps: Vec<Length>,
    sizes: grinds::Sizes,
}

impl Undersize {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.shared_unit(&self.readings).or(context.lean(engine));
        let readings = context.quantities("readings", &self.readings, lean)?;
        let lead = context.lead_with(&[lean], engine);
        let mut typed = vec![("polish", self.polish.written())];
        typed.extend(self.readings.iter().map(|g| ("readings", g.written())));
        typed.extend(self.step.iter().map(|g| ("undersizes", g.written())));
        typed.extend(self.nominal.as_ref().map(|g| ("nominal", g.written())));
        typed.extend(self.machined.as_ref().or(self.nominal.as_ref()).map(|g| ("machined", g.written())));
        let spread = Spread::of("readings", &readings).or_refuse(&typed)?;
        let of = self.of.unwrap_or_else(|| likeliest(engine, spread.largest));
        let own = |e: &Engine| match of {
            BearingName::Main => e.main_journal,
            BearingName::Rod => e.rod_journal,
        };
        let engine = context.engine_for(self.engine.as_ref(), spread.largest, own, None)?;
        let nominal = context.size("nominal", self.nominal.as_ref(), engine.and_then(own), lean)?;
        let polish = context.quantity("polish", &self.polish, Some(lead))?;
        let given = context.quantities("step", &self.step, context.shared_unit(&self.step).or(Some(lead)))?;
        let racks = racks(&given, engine, lead);
        let every: Vec<Length> = racks.iter().flat_map(|(_, _, steps)| steps.clone()).collect();
        let machined = match &self.machined {
            Some(given) => context.quantity("machined", given, lean)?,
            None => sizes::last_undersize(spread.largest, nominal, &every),
        };
        let own_word = |trouble| if self.machined.is_some() { renamed(trouble, "machined") } else { trouble };
        let grind = grinds::clean_up(&readings, machined, polish);
        let of_machined = grind.as_ref().is_err_and(|unfit| unfit.input == "machined");
        let grind = grind.or_refuse(&typed).map_err(|t| if of_machined { own_word(t) } else { t })?;
        if let Some(odd) = self.readings.iter().zip(&readings).find(|(_, size)| **size > nominal + inches(0.005)) {
            let most = show::length(nominal, lead);
            let possible =
                format!("No journal grows: its standard size is {most}. Look at the reading again, or at nominal=.");
            return Err(Refusal::new("readings", &odd.0.written().text, possible).into());
        }
        let racks = racks
            .into_iter()
            .map(|(name, system, steps)| {
                Ok(Rack { name, system, sizes: grinds::next(&grind, nominal, &steps).or_refuse(&typed)?, steps })
            })
            .collect::<Result<Vec<Rack>, Trouble>>()?;
        Ok(self.answer(context, &grind, nominal, &racks, of, engine, lead))
    }

    #[allow(clippy::too_many_arguments)]
    fn answer(
        &self,
        context: &Context,
        grind: &Grind,
        nominal: Length,
        racks: &[Rack],
        of: BearingName,
        engine: Option<&Engine>,
        lead: System,
    ) -> Reply {
        let size =
            |step: &Step| format!("{} under, {}", show::length_in(step.step, lead), show::length(step.size, lead));
        let first = racks.first().map(|rack| rack.sizes);
        let title = match first.map(|sizes| (sizes.even.first, sizes.one_sided.first)) {
            Some((Some(even), Some(one))) if even.step == one.step => format!("Grind all to {}", size(&even)),
            Some((Some(even), Some(one))) => format!(
                "Grind all to {} under, or {} under if worn on one side",
                show::length_in(even.step, lead),
                show::length_in(one.step, lead)
            ),
            Some((Some(even), None)) => {
                format!("Grind all to {} under, if worn evenly", show::length_in(even.step, lead))
            }
            _ => "No standard undersize cleans them up".to_owned(),
        };
        let rows = racks.iter().map(|rack| {
            let steps = rack.steps.iter().map(|s| show::length_in(*s, rack.system)).collect::<Vec<_>>().join(", ");
            vec![
                format!("{}: {steps}", rack.name).into(),
                choice(&rack.sizes.even, rack.system, lead).into(),
                choice(&rack.sizes.one_sided, rack.system, lead).into(),
            ]
        });
        let header = ["Steps under", "Worn evenly", "Worn on one side"].map(String::from).to_vec();
        let mut reply = Reply::new(title);
        let (measure, word) = match of {
            BearingName::Main => ("main journal", "main"),
            BearingName::Rod => ("rod journal", "rod"),
        };
        let sizes = Sizes { main_journal: Some(nominal), rod_journal: Some(nominal), ..Sizes::default() };
        let wanted = Wanted { measure, at: "-", engine, duty: None, sizes, overrides: None };
        if let Some(held) = context.limit(wanted) {
            let doubt = context.doubt("clean_up");
            let smallest = held.verdict(grind.readings.smallest.si(), doubt);
            let verdict = smallest.worse(held.verdict(grind.readings.largest.si(), doubt));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
            if verdict == Verdict::Within {
                let polished = held.verdict(grind.even.si(), doubt);
                reply.title = format!("Within size; were they ground: {}", reply.title.to_lowercase());
                reply = reply.text(if polished == Verdict::Within {
                    "They are within size, and still are once polished: no grind for size alone. Shape, scores and hardness decide."
                } else {
                    "They are within size, but a polish takes them out: leave them, or grind."
                });
            }
        }
        reply = reply
            .block(Block::Table(Table { caption: String::new(), header, rows: rows.collect() }))
            .fields([("Taken as last ground to", show::length(grind.machined, lead))])
            .working([
                format!(
                    "worn evenly: {} smallest - {} for the polish = {}",
                    show::length_in(grind.readings.smallest, lead),
                    show::length_in(grind.readings.smallest - grind.even, lead),
                    show::length_in(grind.even, lead)
                ),
                format!(
                    "worn on one side: {} last ground to - 2 x {} wear - polish = {}",
                    show::length_in(grind.machined, lead),
                    show::length_in(grind.wear, lead),
                    show::length_in(grind.one_sided, lead)
                ),
            ])
            .value(Value::length("clean_up", grind.even, lead))
            .value(Value::length("clean_up_one_sided", grind.one_sided, lead));
        for rack in racks {
            for (which, next) in [("even", &rack.sizes.even), ("one_sided", &rack.sizes.one_sided)] {
                if let Some(step) = next.first {
                    reply = reply.value(Value::length(&format!("undersize_{which}_{}", rack.name), step.step, lead));
                }
            }
        }
        if first.is_some_and(|sizes| sizes.even.first.map(|s| s.step) != sizes.one_sided.first.map(|s| s.step)) {
            reply = reply.caution(Loudness::Warning, "The two differ. Pins wear on one side and a crank is ground on its own centres: unless you know the wear is even, buy for the bigger.");
        }
        if first.is_some_and(|sizes| sizes.even.first.is_none()) {
            reply = reply.text("Build up and regrind, or another crank.");
        }
        reply
            .caution(Loudness::Important, "Have the shells in hand and measured before the stone touches. All mains to one size, all pins to one size; fillets kept; a surface-hardened crank may need treating again.")
            .action(Action::send("How to decide", "page oversize-and-undersize-decisions"))
            .action(Action::form("Clearance with the new shells", format!("bearing clearance of={word} journal=")))
            .sources(["common practice: one size for the set, by its smallest journal", "geometry: wear on one side counts twice on the original centre"])
    }
}

/// What shells can be had in: as given; or the engine's own first, then the common inch and metric steps.
fn racks(given: &[Length], engine: Option<&Engine>, lead: System) -> Vec<(&'static str, System, Vec<Length>)> {
    if !given.is_empty() {
        return vec![("given", lead, given.to_vec())];
    }
    let inch = ("inch", System::Inch, [0.010, 0.020, 0.030].map(inches).to_vec());
    let metric = ("metric", System::Metric, [0.25, 0.50, 0.75].map(millimetres).to_vec());
    let own = engine.filter(|e| !e.undersizes.is_empty()).map(|e| ("engine", e.unit, e.undersizes.clone()));
    let common = match lead {
        System::Inch => [inch, metric],
        System::Metric => [metric, inch],
    };
    let mut racks: Vec<_> = own.into_iter().collect();
    for rack in common {
        // The engine's page often names the common steps.
        if racks.iter().all(|(_, _, steps)| *steps != rack.2) {
            racks.push(rack);
        }
    }
    racks
}

/// The step in the system it is sold by.
fn choice(next: &NextSize, sold: System, lead: System) -> String {
    match &next.first {
        Some(step) => format!(
            "{} under = {}, {} to spare",
            show::length_in(step.step, sold),
            show::length(step.size, lead),
            show::length_in(step.spare, lead)
        ),
        None => "none cleans up".to_owned(),
    }
}
