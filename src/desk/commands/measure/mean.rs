//! `measure mean 2.4995 2.4993 2.4996 2.4994in instrument=0.0001in`: the mean, its spread and its uncertainty.

use clap::Args;

use super::at_fault;
use super::digits::{fine, fine_in, plus_minus};
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::explain;
use crate::desk::{Context, Trouble};
use crate::maths::readings::{self, Known};
use crate::quantity::{Given, Length, Measure, Number, show};

/// Readings of one size, and what is known of the instrument.
#[derive(Debug, Args)]
#[command(after_help = "measure mean 2.4995 2.4993 2.4996 2.4994in instrument=0.0001in")]
pub struct Mean {
    /// The readings, all of one size; a unit behind the last holds for all.
    #[arg(required = true)]
    pub readings: Vec<Given<Length>>,
    /// Expanded uncertainty (k = 2) of the instrument, from its certificate.
    #[arg(long)]
    pub instrument: Option<Given<Length>>,
    /// Smallest step the instrument shows.
    #[arg(long)]
    pub resolution: Option<Given<Length>>,
    /// Coverage factor to use, such as 2; Student's t for 95 % where left out.
    #[arg(long)]
    pub k: Option<Given<Number>>,
}

impl Mean {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.shared_unit(&self.readings).or(context.lean(engine));
        let readings = context.quantities("readings", &self.readings, lean)?;
        let given =
            |name, value: &Option<Given<Length>>| value.as_ref().map(|g| context.quantity(name, g, lean)).transpose();
        let known = Known {
            instrument: given("instrument", &self.instrument)?,
            resolution: given("resolution", &self.resolution)?,
            coverage: self.k.as_ref().map(|k| context.quantity("k", k, None)).transpose()?.map(|k| k.0),
        };
        let mut typed = Vec::new();
        typed.extend(self.instrument.as_ref().map(|g| ("instrument", g.written())));
        typed.extend(self.resolution.as_ref().map(|g| ("resolution", g.written())));
        typed.extend(self.k.as_ref().map(|g| ("k", g.written())));
        let sum = readings::mean_size(&readings, known).map_err(|unfit| {
            typed.extend(at_fault(unfit, &self.readings, &readings));
            explain(unfit, &typed)
        })?;

        let systems: Vec<_> = self.readings.iter().map(Given::system).chain([lean]).collect();
        let lead = context.lead_with(&systems, engine);
        let bit = |value: Length| fine_in(value, value, lead);
        let length = |name, value| Value::length(name, value, lead);
        let mut fields = vec![
            ("Readings", sum.count.to_string()),
            ("Smallest to largest", show::length_range(Some(sum.smallest), Some(sum.largest), lead)),
        ];
        if sum.standard.si() == 0.0 {
            return Ok(Reply::new(format!("Mean {}: the readings do not differ", show::length(sum.mean, lead)))
                .fields(fields)
                .caution(Loudness::Important, "That they agree does not make them right: the gauge's step hides their scatter. Give instrument= from its certificate, or resolution=, for an uncertainty.")
                .sources(["JCGM 100:2008 (GUM), F.2.2.1: the step of an indication is an uncertainty of its own"])
                .value(length("mean", sum.mean))
                .value(length("deviation", sum.deviation)));
        }
        let (how, factor) = match &self.k {
            Some(_) => (format!("k = {}", show::number(sum.coverage)), "k as given".to_owned()),
            None if sum.freedom.is_finite() => {
                ("95 %".to_owned(), format!("k by Student's t, 95 %, {} degrees of freedom", show::number(sum.freedom)))
            }
            None => ("95 %".to_owned(), "k of the normal, 95 %".to_owned()),
        };
        let mut parts = vec![format!("{} from scatter", bit(sum.scatter))];
        parts.extend(known.instrument.map(|_| format!("{} from the instrument", bit(sum.instrument))));
        parts.extend(known.resolution.map(|_| format!("{} from its step", bit(sum.resolution))));
        fields.extend([
            ("Spread (standard deviation)", fine(sum.deviation, sum.deviation, lead)),
            ("Standard uncertainty u", fine(sum.standard, sum.standard, lead)),
            ("Expanded uncertainty U", fine(sum.expanded, sum.expanded, lead)),
        ]);
        let mut reply = Reply::new(format!("Mean {}, {how}", plus_minus(sum.mean, sum.expanded, lead)))
            .fields(fields)
            .working([
                format!("{} spread / sqrt({}) = {} from scatter", bit(sum.deviation), sum.count, bit(sum.scatter)),
                format!("u = {} = {}", rooted(&parts), bit(sum.standard)),
                format!(
                    "U = k u = {} x {} = {}; {factor}",
                    show::fixed(sum.coverage, 2),
                    bit(sum.standard),
                    bit(sum.expanded)
                ),
            ])
            .value(length("mean", sum.mean))
            .value(length("deviation", sum.deviation))
            .value(length("standard_uncertainty", sum.standard))
            .value(length("expanded_uncertainty", sum.expanded))
            .value(Value::plain("coverage_factor", sum.coverage));
        // JSON has no word for endless.
        if sum.freedom.is_finite() {
            reply = reply.value(Value::plain("degrees_of_freedom", sum.freedom));
        }
        if known.instrument.is_none() {
            reply = reply.caution(
                Loudness::Note,
                "Scatter alone: an instrument that reads wrong reads wrong every time. Give instrument= from its certificate.",
            );
        }
        let plain = |length: Length| fine_in(length, sum.expanded, lead).replace(' ', "");
        Ok(reply
            .sources(["JCGM 100:2008 (GUM), 4.2, 4.3 and annex G: type A from scatter, with the instrument's own"])
            .action(Action::form(
                "Hold it against limits",
                format!("measure judge {} uncertainty={} min= max=", plain(sum.mean), plain(sum.expanded)),
            ))
            .action(Action::form(
                "Bring it to 20 °C",
                format!("measure at20 {} uncertainty={} temperature=", plain(sum.mean), plain(sum.expanded)),
            )))
    }
}

/// What several contributions come to, in words; one alone is itself.
fn rooted(parts: &[String]) -> String {
    match parts {
        [one] => one.clone(),
        several => format!("root of the squares of {}", several.join(", ")),
    }
}
