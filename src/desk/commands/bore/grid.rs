//! `bore grid 4.0312 4.0305 4.0308 4.0303 4.0302 4.0300 in nominal=4.000in`: out-of-round, taper, and what cleans up.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::drawing::{Mark, bore_map};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::bores::{self, Axis, Grid as Six, HEIGHTS, Height, Shape};
use crate::maths::sizes;
use crate::quantity::{Given, Length, Measure, System, show};

/// Six readings, and what the bore started as.
#[derive(Debug, Args)]
#[command(after_help = "bore grid 4.0012in 4.0006in 4.0009in 4.0004in 4.0003in 4.0002in nominal=4.000in")]
pub struct Grid {
    /// Top thrust, top axial, middle thrust, middle axial, bottom thrust, bottom axial.
    #[arg(required = true)]
    pub readings: Vec<Given<Length>>,
    /// Standard size of this bore; the engine's where left out.
    #[arg(long)]
    pub nominal: Option<Given<Length>>,
    /// Stock the hone takes, on diameter.
    #[arg(long, default_value = "0.004in")]
    pub allowance: Given<Length>,
    /// Take size, oversizes and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Grid {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.shared_unit(&self.readings).or(context.lean(engine));
        let readings = context.quantities("readings", &self.readings, lean)?;
        let named: Vec<_> = bores::READINGS
            .iter()
            .zip(&self.readings)
            .map(|(name, given)| (*name, given.written()))
            .chain([("allowance", self.allowance.written())])
            .collect();
        let six = Six::new(&readings).or_refuse(&named)?;
        let shape = bores::shape(&six);
        let systems: Vec<_> = self.readings.iter().map(Given::system).collect();
        let lead = context.lead_with(&systems, engine);

        let engine = context.engine_for(self.engine.as_ref(), shape.size.smallest, |e| Some(e.bore), None)?;
        let reply = Reply::new(format!(
            "Out-of-round {}, taper {}",
            show::length(shape.out_of_round, lead),
            show::length(shape.taper, lead)
        ));
        let reply = judged(context, reply, &shape, engine, lead);
        let reply = reply
            .block(Block::Table(table(&six, lead)))
            .working([
                format!(
                    "out-of-round: thrust - axial at the {} = {}",
                    height(shape.out_of_round_at),
                    show::length_in(shape.out_of_round, lead)
                ),
                format!(
                    "taper: largest - smallest down the {} axis = {} (top - bottom: {})",
                    axis(shape.taper_on),
                    show::length_in(shape.taper, lead),
                    show::length_in(shape.top_less_bottom[usize::from(shape.taper_on == Axis::Axial)], lead)
                ),
                format!(
                    "largest {} at the {} {}, smallest {}",
                    show::length_in(shape.size.largest, lead),
                    height(shape.largest_at.0),
                    axis(shape.largest_at.1),
                    show::length_in(shape.size.smallest, lead)
                ),
            ])
            .value(Value::length("out_of_round", shape.out_of_round, lead))
            .value(Value::length("taper", shape.taper, lead))
            .value(Value::length("largest", shape.size.largest, lead))
            .value(Value::length("smallest", shape.size.smallest, lead));
        let nominal = match &self.nominal {
            Some(given) => Some(context.quantity("nominal", given, lean)?),
            None => engine.map(|e| e.bore),
        };
        let reply = match nominal {
            Some(nominal) => self.clean_up(context, reply, &shape, nominal, engine, lead)?,
            None => reply.action(Action::form("What cleans it up", format!("{} nominal=", self.line()))),
        };
        Ok(reply
            .figure(figure(&six, &shape, lead))
            .caution(Loudness::Note, "Two-point diameters, as the shop means them: ISO 1101 roundness is radial, about half. Measure at one temperature, with the plate torqued on where the block wants one.")
            .sources(["definitions, common practice"]))
    }

    fn line(&self) -> String {
        let readings: Vec<String> = self.readings.iter().map(ToString::to_string).collect();
        format!("bore grid {}", readings.join(" "))
    }

    /// What the bore has to be cut to, and which standard size that is.
    fn clean_up(
        &self,
        context: &Context,
        reply: Reply,
        shape: &Shape,
        nominal: Length,
        engine: Option<&Engine>,
        lead: System,
    ) -> Result<Reply, Trouble> {
        let steps = super::steps(engine, lead);
        let mut typed = vec![("allowance", self.allowance.written())];
        typed.extend(self.nominal.as_ref().map(|given| ("nominal", given.written())));
        typed.extend(self.nominal.as_ref().map(|given| ("machined", given.written())));
        let allowance = context.quantity("allowance", &self.allowance, Some(lead))?;
        let machined = sizes::last_oversize(shape.size.smallest, nominal, &steps);
        let cut = bores::clean_up(shape, machined, allowance).or_refuse(&typed)?;
        let next = sizes::next_oversize(cut.on_worn_centre, nominal, &steps).or_refuse(&typed)?;
        let original = sizes::next_oversize(cut.on_original_centre, nominal, &steps).or_refuse(&typed)?;
        let over = |step: &sizes::Step| {
            format!(
                "{} over = {} ({} to spare)",
                show::length_in(step.step, lead),
                show::length(step.size, lead),
                show::length_in(step.spare, lead)
            )
        };
        let mut fields = vec![
            ("Cleans up at", format!("{} on the worn centre", show::length(cut.on_worn_centre, lead))),
            (
                "Original centre",
                format!("{} if all the wear is on one side", show::length(cut.on_original_centre, lead)),
            ),
            ("Taken as last cut to", show::length(machined, lead)),
        ];
        let (first, second) = (next.first, next.runner_up);
        let none = || "none of the standard steps: sleeve it".to_owned();
        fields.push(("Next oversize", first.as_ref().map_or_else(none, over)));
        if original.first != first {
            fields.push(("On the original centre", original.first.as_ref().map_or_else(none, over)));
        }
        if let Some(second) = &second {
            fields.push(("Runner-up", over(second)));
        }
        let mut reply = reply
            .fields(fields)
            .working([format!(
                "{} largest + {} for the hone = {}",
                show::length_in(cut.largest, lead),
                show::length_in(cut.allowance, lead),
                show::length_in(cut.on_worn_centre, lead)
            )])
            .value(Value::length("clean_up", cut.on_worn_centre, lead))
            .value(Value::length("clean_up_original_centre", cut.on_original_centre, lead));
        if original.first != first {
            reply = reply.caution(
                Loudness::Warning,
                "The two differ. The smaller step only cleans up if the bar follows the worn bore; if the wear is on one side, or the bar is set to the block, order pistons for the bigger.",
            );
        }
        if let Some(step) = first {
            reply = reply.value(Value::length("next_oversize", step.step, lead));
        }
        if let Some(step) = original.first {
            reply = reply.value(Value::length("next_oversize_original_centre", step.step, lead));
        }
        Ok(reply)
    }
}

/// Verdicts on out-of-round and taper, where a limit is known.
fn judged(context: &Context, mut reply: Reply, shape: &Shape, engine: Option<&Engine>, lead: System) -> Reply {
    let sizes = Sizes { bore: Some(shape.size.smallest), ..engine.map(Sizes::from).unwrap_or_default() };
    for (measure, value, name) in
        [("bore out-of-round", shape.out_of_round, "out_of_round"), ("bore taper", shape.taper, "taper")]
    {
        let wanted = Wanted { measure, at: "-", engine, duty: None, sizes, overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held.verdict(value.si(), context.doubt(name));
            reply = reply.fields([(measure, format!("{}: {}", verdict.as_str(), held.said(lead)))]);
            reply.verdict = Some(reply.verdict.map_or(verdict, |v| v.worse(verdict)));
        }
    }
    reply
}

fn table(six: &Six, lead: System) -> Table {
    let rows = HEIGHTS.iter().zip(six.0).map(|(h, row)| {
        let mut cells: Vec<Cell> = vec![height(*h).into()];
        cells.extend(row.map(|reading| Cell::from(show::length_in(reading, lead))));
        cells
    });
    Table { caption: String::new(), header: ["", "Thrust", "Axial"].map(String::from).to_vec(), rows: rows.collect() }
}

fn figure(six: &Six, shape: &Shape, lead: System) -> crate::drawing::Figure {
    let finding = |words: String| bore_map::Finding { words, mark: None::<Mark> };
    bore_map::draw(&bore_map::BoreMap {
        heading: "Bore map".to_owned(),
        system: lead,
        readings: six.0,
        nominal: None,
        findings: vec![
            finding(format!("out-of-round {}", show::length(shape.out_of_round, lead))),
            finding(format!("taper {}", show::length(shape.taper, lead))),
        ],
    })
}

fn height(height: Height) -> &'static str {
    match height {
        Height::Top => "top",
        Height::Middle => "middle",
        Height::Bottom => "bottom",
    }
}

fn axis(axis: Axis) -> &'static str {
    match axis {
        Axis::Thrust => "thrust",
        Axis::Axial => "axial",
    }
}
