//! `crank stroke 1.740in 1.7405in`, or from heights over a pin: `crank stroke top=9.490in bottom=6.010in`.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::{OrRefuse, odd_one};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::cranks;
use crate::quantity::{Given, Length, Measure, System, above, below, show};

/// Throws, or heights over each pin at top and bottom.
#[derive(Debug, Args)]
#[command(after_help = "crank stroke 1.7400in 1.7405in 1.7395in 1.7400in")]
pub struct Stroke {
    /// Throw of each pin: main centre to pin centre.
    pub throw: Vec<Given<Length>>,
    /// Height over the pin at top dead centre, from a plate; one for each pin.
    #[arg(long, conflicts_with = "throw")]
    pub top: Vec<Given<Length>>,
    /// Height over the same side of the pin at bottom dead centre.
    #[arg(long, conflicts_with = "throw")]
    pub bottom: Vec<Given<Length>>,
    /// Compare with this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Stroke {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = [&self.throw, &self.top, &self.bottom]
            .into_iter()
            .find_map(|given| context.shared_unit(given))
            .or(context.lean(engine));
        let read = |name, given: &[Given<Length>]| context.quantities(name, given, lean);
        let (throw, top, bottom) =
            (read("throw", &self.throw)?, read("top", &self.top)?, read("bottom", &self.bottom)?);
        let mut typed = Vec::new();
        for (name, given, values) in
            [("throw", &self.throw, &throw), ("top", &self.top, &top), ("bottom", &self.bottom, &bottom)]
        {
            typed.extend(odd_one(given, values).map(|written| (name, written)));
        }
        let lead = context.lead_with(&[lean], engine);
        let throws = match (throw.is_empty(), top.is_empty() && bottom.is_empty()) {
            (false, _) => throw,
            (true, false) => cranks::throws(&top, &bottom).or_refuse(&typed)?,
            (true, true) => {
                let possible = "The throw of each pin; or top= and bottom=, heights over the pin at both dead centres.";
                return Err(Refusal::new("throw", "", possible).into());
            }
        };
        let sum = cranks::stroke(&throws).or_refuse(&typed)?;
        let spread = sum.spread;
        let title = if sum.strokes.len() == 1 {
            format!("Stroke {}", show::length(spread.mean, lead))
        } else {
            format!("Stroke {}, pins within {}", show::length(spread.mean, lead), show::length(spread.range(), lead))
        };
        let mut reply = Reply::new(title).value(Value::length("stroke", spread.mean, lead)).value(Value::length(
            "spread",
            spread.range(),
            lead,
        ));
        reply = match (top.first(), bottom.first(), sum.throws.first(), sum.strokes.first()) {
            (Some(top), Some(bottom), _, Some(stroke)) => reply.working([format!(
                "pin 1: {} top - {} bottom = {}",
                show::length_in(*top, lead),
                show::length_in(*bottom, lead),
                show::length_in(*stroke, lead)
            )]),
            (_, _, Some(throw), Some(stroke)) => reply.working([format!(
                "pin 1: 2 x {} throw = {}",
                show::length_in(*throw, lead),
                show::length_in(*stroke, lead)
            )]),
            _ => reply,
        };
        let engine = context.engine_for(self.engine.as_ref(), spread.mean, |e| Some(e.stroke), None)?;
        if sum.strokes.len() > 1 {
            reply = reply.block(Block::Table(table(&sum.strokes, engine.map(|e| e.stroke), lead)));
        }
        for (place, stroke) in sum.strokes.iter().enumerate().filter(|_| sum.strokes.len() > 1) {
            reply = reply.value(Value::length(&format!("stroke_{}", place + 1), *stroke, lead));
        }
        if let Some(engine) = engine {
            let off = spread.mean - engine.stroke;
            let (stroke, half) = (show::length(engine.stroke, lead), show::length((off / 2.0).abs(), lead));
            let said = if above(off, Length::from_si(0.0)) {
                format!("{} over: every crown stands {half} higher at top dead centre", show::length(off, lead))
            } else if below(off, Length::from_si(0.0)) {
                format!("{} under: every crown stands {half} lower at top dead centre", show::length(-off, lead))
            } else {
                "to size".to_owned()
            };
            reply = reply
                .fields([(format!("The {}'s page", engine.title), stroke), ("As measured".to_owned(), said)])
                .value(Value::length("off_standard", off, lead));
        }
        Ok(reply
            .caution(Loudness::Note, "Regrinding on a shifted centre changes the stroke, and with it deck, squish and compression: measure before and after, every pin.")
            .sources(["geometry: twice the throw; heights over one side of a pin, so that the pin's size cancels"])
            .action(Action::form("What it makes of the deck", "cylinder compression")))
    }
}

fn table(strokes: &[Length], standard: Option<Length>, lead: System) -> Table {
    let rows = strokes.iter().enumerate().map(|(place, stroke)| {
        let mut row: Vec<Cell> = vec![(place + 1).to_string().into(), show::length(*stroke, lead).into()];
        row.extend(standard.map(|standard| Cell::from(show::length_in(*stroke - standard, lead))));
        row
    });
    let mut header = vec!["Pin".to_owned(), "Stroke".to_owned()];
    header.extend(standard.map(|_| "Off standard".to_owned()));
    Table { caption: String::new(), header, rows: rows.collect() }
}
