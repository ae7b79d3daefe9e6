//! `bore oversize "4.0062 4.0071 4.0125 4.0058 in" nominal=4.000in`: the one oversize at which every bore of the block
//! cleans up.

use clap::Args;

use super::steps;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block as Part, Loudness, Reply, Table, Value};
use crate::desk::sense::{OrRefuse, renamed};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::sizes::{self, NextSize, Step};
use crate::maths::{Spread, blocks};
use crate::quantity::{Given, Length, System, inches, show};

/// The largest reading of each bore, and what the block started as.
#[derive(Debug, Args)]
#[command(after_help = "bore oversize 4.0062in 4.0071in 4.0125in 4.0058in nominal=4.000in")]
pub struct Oversize {
    /// The largest reading of each bore, in the order of the cylinders.
    #[arg(required = true)]
    pub readings: Vec<Given<Length>>,
    /// Standard size of these bores; the engine's where left out.
    #[arg(long)]
    pub nominal: Option<Given<Length>>,
    /// Size they were last cut to; the standard size next below the readings where left out.
    #[arg(long)]
    pub machined: Option<Given<Length>>,
    /// Stock the hone takes, on diameter.
    #[arg(long, default_value = "0.004in")]
    pub allowance: Given<Length>,
    /// Oversizes that can be bought; the engine's or the common ones where left out.
    #[arg(long)]
    pub step: Vec<Given<Length>>,
    /// Take size and oversizes from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Oversize {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.shared_unit(&self.readings).or(context.lean(engine));
        let readings = context.quantities("readings", &self.readings, lean)?;
        let lead = context.lead_with(&[lean], engine);
        let mut typed = vec![("allowance", self.allowance.written())];
        typed.extend(self.readings.iter().map(|g| ("readings", g.written())));
        typed.extend(self.step.iter().map(|g| ("oversizes", g.written())));
        if let Some(nominal) = &self.nominal {
            typed.extend([("nominal", nominal.written())]);
        }
        if let Some(machined) = self.machined.as_ref().or(self.nominal.as_ref()) {
            typed.push(("machined", machined.written()));
        }
        let spread = Spread::of("readings", &readings).or_refuse(&typed)?;
        let engine = context.engine_for(self.engine.as_ref(), spread.smallest, |e| Some(e.bore), None)?;
        let nominal = context.size("nominal", self.nominal.as_ref(), engine.map(|e| e.bore), lean)?;
        let steps = match self.step.is_empty() {
            true => steps(engine, lead),
            false => context.quantities("step", &self.step, context.shared_unit(&self.step).or(Some(lead)))?,
        };
        let allowance = context.quantity("allowance", &self.allowance, Some(lead))?;
        let machined = match &self.machined {
            Some(given) => context.quantity("machined", given, lean)?,
            None => sizes::last_oversize(spread.smallest, nominal, &steps),
        };
        let sum = blocks::one_size(&readings, machined, allowance, nominal, &steps);
        let own_word = self.machined.is_some() && sum.as_ref().is_err_and(|unfit| unfit.input == "machined");
        let sum = sum.or_refuse(&typed).map_err(|t| if own_word { renamed(t, "machined") } else { t })?;
        // A bore a little under its standard size is a new one, or a cold one.
        if let Some(odd) = self.readings.iter().zip(&readings).find(|(_, size)| **size < nominal - inches(0.005)) {
            let least = show::length(nominal, lead);
            let possible =
                format!("No bore shrinks: its standard size is {least}. Look at the reading again, or at nominal=.");
            return Err(Refusal::new("readings", &odd.0.written().text, possible).into());
        }

        let size =
            |step: &Step| format!("{} over, {}", show::length_in(step.step, lead), show::length(step.size, lead));
        let title = match (&sum.worn.first, &sum.original.first) {
            (Some(worn), Some(original)) if worn == original || worn.step == original.step => {
                format!("Bore all to {}", size(worn))
            }
            (Some(worn), Some(original)) => format!(
                "Bore all to {} over, or {} over to keep the centres",
                show::length_in(worn.step, lead),
                show::length_in(original.step, lead)
            ),
            (Some(worn), None) => {
                format!("Bore all to {} over on the worn centres only", show::length_in(worn.step, lead))
            }
            _ => "No standard oversize cleans this block up: sleeve it".to_owned(),
        };
        let worst = &sum.bores[sum.worst];
        let rows = sum.bores.iter().enumerate().map(|(at, bore)| {
            let mark = if at == sum.worst { "  worst" } else { "" };
            vec![
                format!("{}{mark}", at + 1).into(),
                show::length_in(bore.largest, lead).into(),
                show::length_in(bore.wear, lead).into(),
                show::length_in(bore.on_worn_centre, lead).into(),
                show::length_in(bore.on_original_centre, lead).into(),
            ]
        });
        let header = ["Cylinder", "Largest", "Wear", "Worn centre", "Original centre"].map(String::from).to_vec();
        let table = Table { caption: "Cleans up at".to_owned(), header, rows: rows.collect() };
        let mut fields = vec![
            ("On the worn centres".to_owned(), choice(&sum.worn, lead)),
            ("On the original centres".to_owned(), choice(&sum.original, lead)),
            ("Taken as last cut to".to_owned(), show::length(machined, lead)),
        ];
        let one_spoils = match (&sum.without_worst, &sum.worn.first) {
            (Some(NextSize { first: Some(rest), .. }), Some(all)) => rest.step < all.step,
            (Some(NextSize { first: Some(_), .. }), None) => true,
            _ => false,
        };
        if one_spoils && let Some(rest) = &sum.without_worst {
            fields.push((format!("With cylinder {} sleeved", sum.worst + 1), choice(rest, lead)));
        }
        let mut reply = Reply::new(title)
            .block(Part::Table(table))
            .fields(fields)
            .working([
                format!(
                    "worn centre: {} largest + {} for the hone = {}",
                    show::length_in(worst.largest, lead),
                    show::length_in(allowance, lead),
                    show::length_in(worst.on_worn_centre, lead)
                ),
                format!(
                    "original centre: {} last cut to + 2 x {} wear + {} = {}",
                    show::length_in(machined, lead),
                    show::length_in(worst.wear, lead),
                    show::length_in(allowance, lead),
                    show::length_in(worst.on_original_centre, lead)
                ),
            ])
            .value(Value::plain("worst_cylinder", (sum.worst + 1) as f64))
            .value(Value::length("clean_up", worst.on_worn_centre, lead))
            .value(Value::length("clean_up_original_centre", worst.on_original_centre, lead));
        for (name, next) in [("worn", &sum.worn), ("original", &sum.original)] {
            for (which, step) in [("oversize", next.first), ("runner_up", next.runner_up)] {
                if let Some(step) = step {
                    reply = reply.value(Value::length(&format!("{which}_{name}_centre"), step.step, lead));
                }
            }
        }
        if one_spoils {
            reply = reply.text(format!(
                "One bore alone asks for this: sleeving cylinder {} may save the block a size.",
                sum.worst + 1
            ));
        }
        if sum.worn.first.map(|s| s.step) != sum.original.first.map(|s| s.step) {
            reply = reply.caution(
                Loudness::Warning,
                "The two differ. The smaller step only cleans up if the bar follows each worn bore; if the wear is on one side, or the bar is set to the block, order pistons for the bigger.",
            );
        }
        Ok(reply
            .caution(Loudness::Important, "Have the walls measured by ultrasound before the last steps, and pistons in hand and measured before anything is cut.")
            .action(Action::send("How to decide", "page oversize-and-undersize-decisions"))
            .sources(["common practice: one size for the block, by its worst bore", "geometry: wear on one side counts twice on the original centre"]))
    }
}

/// The step, what it has to spare, and the one after it.
fn choice(next: &NextSize, lead: System) -> String {
    let told = |step: &Step| format!("{} over = {}", show::length_in(step.step, lead), show::length(step.size, lead));
    match (&next.first, &next.runner_up) {
        (Some(first), Some(second)) => {
            format!("{}, {} to spare; runner-up {}", told(first), show::length_in(first.spare, lead), told(second))
        }
        (Some(first), None) => {
            format!("{}, {} to spare; no size after it", told(first), show::length_in(first.spare, lead))
        }
        (None, _) => "none of the standard steps: sleeve it".to_owned(),
    }
}
