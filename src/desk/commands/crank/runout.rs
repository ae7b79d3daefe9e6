//! `crank runout 0 3 7 9 8 5 2 -1 tenths`: what a dial says of a journal turned through equal angles.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Wanted, mark};
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::runout_polar;
use crate::engine::limits::Sizes;
use crate::maths::runout::{self, Runout as Sum};
use crate::quantity::{Angle, Dimension, Given, Length, Measure, System, show};

/// Readings of one turn, and what each is worth.
#[derive(Debug, Args)]
#[command(after_help = "crank runout 0 3 7 9 8 5 2 -1 tenths")]
pub struct Runout {
    /// Dial readings at equal angles round one turn, in order; 3 to 72 of them.
    #[arg(required = true)]
    pub readings: Vec<Given<Length>>,
    /// Expanded uncertainty of one reading; none is counted where left out.
    #[arg(long)]
    pub uncertainty: Option<Given<Length>>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Longer tables are for a figure.
const ROWS: usize = 24;
/// A residual above this share of the whole reading is no plain off-centre circle.
const ROUGH: f64 = 0.25;

impl Runout {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let given = in_the_last_unit(&self.readings);
        let lean = context.shared_unit(&given).or(context.lean(engine));
        let readings = context.quantities("readings", &given, lean)?;
        let nothing = Length::from_si(0.0);
        let each = match &self.uncertainty {
            Some(given) => context.quantity("uncertainty", given, lean)?,
            None => nothing,
        };
        // The reading at fault is the one that no turn could hold.
        let odd = given.iter().zip(&readings).find(|(_, r)| runout::runout(&[**r; 3], nothing).is_err());
        let mut typed: Vec<_> = odd.map(|(given, _)| ("readings", given.written())).into_iter().collect();
        typed.extend(self.uncertainty.as_ref().map(|given| ("uncertainty", given.written())));
        let sum = match runout::runout(&readings, each) {
            Err(unfit) if unfit.input == "spread of readings" => return Err(spread(&given).into()),
            other => other.or_refuse(&typed)?,
        };
        let lead = context.lead_with(&[lean], engine);
        let step = 360.0 / readings.len() as f64;
        let title = match sum.high_spot {
            Some(at) => format!("Run-out {} TIR, high spot at {}", show::length(sum.tir, lead), degrees(at)),
            None => format!("Run-out {} TIR, no high spot", show::length(sum.tir, lead)),
        };
        let mut reply = Reply::new(title);
        let mut judged = None;
        let sizes = engine.map(Sizes::from).unwrap_or_default();
        let wanted = Wanted { measure: "crank run-out", at: "-", engine, duty: None, sizes, overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held.verdict(sum.tir.si(), sum.tir_uncertainty.si());
            judged = Some(mark(verdict));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
        }
        let plus = |uncertainty: Length| match self.uncertainty {
            Some(_) => format!(" ± {}", show::length_in(uncertainty, lead)),
            None => String::new(),
        };
        reply = reply
            .fields([
                ("TIR", format!("{}{}", show::length(sum.tir, lead), plus(sum.tir_uncertainty))),
                (
                    "Eccentricity",
                    format!("{}{}", show::length(sum.eccentricity, lead), plus(sum.eccentricity_uncertainty)),
                ),
                ("Left over", format!("{} at worst", show::length(sum.worst_residual, lead))),
            ])
            .working([
                format!(
                    "TIR: {} largest less {} smallest = {}",
                    show::length_in(sum.largest, lead),
                    show::length_in(sum.smallest, lead),
                    show::length_in(sum.tir, lead)
                ),
                format!(
                    "first harmonic of {} readings, {}° apart: a = 2/n sum(y cos) = {}, b = 2/n sum(y sin) = {}",
                    readings.len(),
                    show::number(step),
                    show::length_in(sum.toward, lead),
                    show::length_in(sum.across, lead)
                ),
                format!("eccentricity: root of (a x a + b x b) = {}", show::length_in(sum.eccentricity, lead)),
            ])
            .text(meaning(&sum, readings.len()))
            .figure(runout_polar::draw(&runout_polar::RunoutPolar {
                heading: "Run-out".to_owned(),
                system: lead,
                readings: readings.clone(),
                mean: sum.mean,
                toward: sum.toward,
                across: sum.across,
                high_spot: sum.high_spot,
                findings: vec![
                    (format!("TIR {}", show::length(sum.tir, lead)), judged),
                    (format!("eccentricity {}", show::length(sum.eccentricity, lead)), None),
                    (format!("left over {} at worst", show::length(sum.worst_residual, lead)), None),
                ],
            }));
        if readings.len() <= ROWS {
            reply = reply.block(Block::Table(table(&readings, &sum, lead)));
        }
        reply = reply
            .value(Value::length("tir", sum.tir, lead))
            .value(Value::length("eccentricity", sum.eccentricity, lead))
            .value(Value::length("worst_residual", sum.worst_residual, lead));
        if let Some(at) = sum.high_spot {
            reply = reply.value(Value::si("high_spot", Dimension::Angle, at.si(), lead));
        }
        if self.uncertainty.is_some() {
            reply = reply.value(Value::length("tir_uncertainty", sum.tir_uncertainty, lead)).value(Value::length(
                "eccentricity_uncertainty",
                sum.eccentricity_uncertainty,
                lead,
            ));
        }
        Ok(reply
            .caution(Loudness::Warning, "A bent crank may be cracked: crack-test it before and after. Straightening is the lead's decision and a grinder's work; never by blows on the bench.")
            .sources(["least squares, first harmonic; TIR by definition", "uncertainty by the GUM, first order, readings independent"])
            .action(Action::send("How it is measured", "page measure-crank")))
    }
}

/// Bare numbers in the unit written behind the last: `0 3 7 tenths`.
fn in_the_last_unit(given: &[Given<Length>]) -> Vec<Given<Length>> {
    let unit = given.last().and_then(|last| last.written().unit.clone());
    let dressed = |one: &Given<Length>| match &unit {
        Some(unit) if one.is_bare() => format!("{one} {unit}").parse().unwrap_or_else(|_| one.clone()),
        _ => one.clone(),
    };
    given.iter().map(dressed).collect()
}

fn spread(given: &[Given<Length>]) -> Refusal {
    let list: Vec<String> = given.iter().map(ToString::to_string).collect();
    let possible =
        "Largest less smallest is more than 0.0984 in (2.500 mm): one of them is mistyped, or the dial slipped.";
    Refusal::new("readings", list.join(" "), possible)
}

fn meaning(sum: &Sum, count: usize) -> String {
    let order = "Degrees are counted from the first reading, in the order read.";
    if sum.high_spot.is_none() {
        return if sum.worst_residual.si() > 1e-9 {
            "The readings rise and fall more than once a turn: the journal is out of round, not off centre.".to_owned()
        } else {
            "The journal runs true where it was read.".to_owned()
        };
    }
    if count == 3 {
        return format!("{order} Three readings fit any circle and cannot show a mistake: take six or more.");
    }
    if sum.worst_residual.si() > ROUGH * sum.tir.si() {
        return format!(
            "{order} What is left over is large, so this is not a plain off-centre circle and TIR is not twice the eccentricity: look for out-of-round, dirt or a slipped stand, and read the turn again."
        );
    }
    format!(
        "{order} The journal's centre stands toward the high spot by the eccentricity; the dial shows about twice that."
    )
}

fn table(readings: &[Length], sum: &Sum, lead: System) -> Table {
    let step = 360.0 / readings.len() as f64;
    let rows = readings.iter().zip(&sum.residuals).enumerate().map(|(k, (reading, left))| {
        let at = format!("{}°", show::fixed(step * k as f64, if step.fract() == 0.0 { 0 } else { 1 }));
        [at, show::length_in(*reading, lead), show::length_in(*left, lead)].map(Cell::from).to_vec()
    });
    Table {
        caption: String::new(),
        header: ["At", "Reading", "Left over"].map(String::from).to_vec(),
        rows: rows.collect(),
    }
}

/// To a degree: no dial knows it better.
fn degrees(angle: Angle) -> String {
    let whole = angle.si().to_degrees().round().rem_euclid(360.0);
    format!("{}°", show::fixed(whole, 0))
}
