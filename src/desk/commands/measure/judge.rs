//! `measure judge 2.4990in uncertainty=0.0001in min=2.4985in max=2.4995in`: what a reading proves.

use clap::Args;

use super::digits::{fine as fine_both, fine_in};
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::mark;
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::clearance_strip;
use crate::maths::proof::{self, Proof, Zone};
use crate::quantity::{Dimension, Given, Length, Measure, System, show};

/// A reading, its uncertainty, and one limit or two.
#[derive(Debug, Args)]
#[command(after_help = "measure judge 2.4990in uncertainty=0.0001in min=2.4985in max=2.4995in")]
pub struct Judge {
    /// The reading, or the mean of several.
    pub reading: Given<Length>,
    /// Its expanded uncertainty U, for k = 2.
    #[arg(long, conflicts_with = "standard")]
    pub uncertainty: Option<Given<Length>>,
    /// Its standard uncertainty u, in place of U.
    #[arg(long)]
    pub standard: Option<Given<Length>>,
    /// Lower limit.
    #[arg(long)]
    pub min: Option<Given<Length>>,
    /// Upper limit.
    #[arg(long)]
    pub max: Option<Given<Length>>,
}

impl Judge {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let all = || [&self.min, &self.max, &self.uncertainty, &self.standard].into_iter().flatten();
        let lean = std::iter::once(&self.reading).chain(all()).find_map(Given::system).or(context.lean(engine));
        let lead = context.lead_with(&[self.reading.system(), lean], engine);
        let reading = context.quantity("reading", &self.reading, lean)?;
        let read =
            |name, given: &Option<Given<Length>>| given.as_ref().map(|g| context.quantity(name, g, lean)).transpose();
        let (min, max) = (read("min", &self.min)?, read("max", &self.max)?);
        if min.is_none() && max.is_none() {
            return Err(Refusal::new("max", "", "One limit at least: min=, max= or both.").into());
        }
        let (uncertainty, input) = match (read("uncertainty", &self.uncertainty)?, read("standard", &self.standard)?) {
            (Some(uncertainty), _) => (uncertainty, "uncertainty"),
            (None, Some(standard)) => (standard * 2.0, "standard"),
            (None, None) => {
                let possible = "How well the reading is known: U for k = 2, such as 0.0001in; or standard= for u.";
                return Err(Refusal::new("uncertainty", "", possible).into());
            }
        };
        let mut typed = vec![("reading", self.reading.written())];
        typed.extend(self.min.as_ref().map(|g| ("min", g.written())));
        typed.extend(self.max.as_ref().map(|g| ("max", g.written())));
        let given = self.uncertainty.as_ref().or(self.standard.as_ref());
        typed.extend(given.map(|g| (input, g.written())));
        let sum = proof::proof(reading, uncertainty, min, max)
            .map_err(|mut unfit| {
                if unfit.input == "uncertainty" {
                    unfit.input = input;
                }
                unfit
            })
            .or_refuse(&typed)?;

        let fine = |l: Length| fine_in(l, uncertainty, lead);
        let reply = Reply::new(title(&sum, lead, uncertainty)).verdict(sum.verdict).text(meaning(&sum));
        let mut fields = vec![
            ("Limits", show::length_range(min, max, lead)),
            ("Guard band U = 2u", format!("{} inside each limit", fine(sum.guard))),
            ("Proven inside", proven(&sum, lead, uncertainty)),
            (
                "By the 2017 edition",
                format!(
                    "guard band 1.65 u = {}: {}",
                    fine_in(sum.guard_2017, sum.guard_2017, lead),
                    sum.verdict_2017.as_str()
                ),
            ),
        ];
        if let Some(ratio) = sum.tolerance_per_guard {
            fields.push(("Tolerance / U", show::fixed(ratio, 1)));
        }
        let mut working = Vec::new();
        if let Some((min, least)) = min.zip(sum.least) {
            working.push(format!("least that proves it: {} + {} = {}", fine(min), fine(uncertainty), fine(least)));
        }
        if let Some((max, most)) = max.zip(sum.most) {
            working.push(format!("most that proves it: {} - {} = {}", fine(max), fine(uncertainty), fine(most)));
        }
        let past = if sum.to_limit.si() < 0.0 { "past the limit" } else { "to the nearer limit" };
        working.push(format!("{} {past}, U = {}", fine(sum.to_limit.abs()), fine(uncertainty)));
        let mut reply = reply
            .fields(fields)
            .working(working)
            .figure(clearance_strip::draw(&clearance_strip::ClearanceStrip {
                heading: "Reading with its uncertainty".to_owned(),
                dimension: Dimension::Length,
                system: lead,
                reading: reading.si(),
                uncertainty: uncertainty.si(),
                min: min.map(Measure::si),
                max: max.map(Measure::si),
                mark: mark(sum.verdict),
            }))
            .value(Value::length("to_limit", sum.to_limit, lead))
            .value(Value::length("guard_band", sum.guard, lead))
            .value(Value::length("guard_band_2017", sum.guard_2017, lead));
        for (name, end) in [("proven_from", sum.least), ("proven_to", sum.most)] {
            if let Some(end) = end {
                reply = reply.value(Value::length(name, end, lead));
            }
        }
        if matches!(sum.zone, Zone::InsideUnproven | Zone::OutsideUnproven) {
            reply = reply.action(Action::form("Read it several times", "measure mean"));
        }
        Ok(reply
            .caution(Loudness::Note, "A reading past a limit is out on this bench, proven or not. Where it is not proven either way, measure again with a better gauge before the part is scrapped or fitted.")
            .sources([
                "ISO 14253-1:2013: the guard band is U = 2u, taken off the tolerance by whoever proves that a part conforms",
                "ISO 14253-1:2017: 1.65 u by default (from memory)",
            ]))
    }
}

fn title(sum: &Proof, lead: System, uncertainty: Length) -> String {
    let away = fine_both(sum.to_limit.abs(), uncertainty, lead);
    match sum.zone {
        Zone::Conforms => format!("Proven inside: {away} from the nearer limit"),
        Zone::InsideUnproven => format!("Inside, not proven: {away} from the nearer limit"),
        Zone::OutsideUnproven => format!("Past the limit by {away}: less than its uncertainty"),
        Zone::Fails => format!("Proven out: {away} past the limit"),
    }
}

fn meaning(sum: &Proof) -> &'static str {
    match sum.zone {
        Zone::Conforms => "Whoever makes or passes the part may say that it conforms.",
        Zone::InsideUnproven => {
            "The reading is inside, but the size may be past the limit: the maker cannot prove that it conforms, nor the buyer that it does not."
        }
        Zone::OutsideUnproven => {
            "The reading is past the limit, but the size may be inside: a buyer cannot prove by it that the part is bad, nor a maker that it is good."
        }
        Zone::Fails => "Whoever receives the part may send it back: it does not conform.",
    }
}

fn proven(sum: &Proof, lead: System, uncertainty: Length) -> String {
    let fine = |l: Length| fine_in(l, uncertainty, lead);
    match (sum.least, sum.most) {
        (Some(least), Some(most)) if least > most => {
            "nothing: U is over half the tolerance, so a better gauge is needed".to_owned()
        }
        (Some(least), Some(most)) => format!("{} to {}", fine(least), fine(most)),
        (Some(least), None) => format!("{} or more", fine(least)),
        (None, Some(most)) => format!("{} or less", fine(most)),
        (None, None) => String::new(),
    }
}
