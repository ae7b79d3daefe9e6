//! `crank end-float 0.012in fitted=0.092in 0.094in 0.098in`: the end float, and which thrust washer puts it right.

use clap::{Args, ValueEnum};

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::cranks::{self, Washers};
use crate::quantity::{Given, Length, Measure, System, show};

/// End float, the washer fitted, and those to hand.
#[derive(Debug, Args)]
#[command(after_help = "crank end-float 0.012in 0.094in 0.096in 0.098in fitted=0.092in")]
pub struct EndFloat {
    /// End float as measured, thrust cap torqued.
    pub float: Given<Length>,
    /// Thickness of each washer to hand.
    pub washer: Vec<Given<Length>>,
    /// Thickness of the washer that was fitted when it was measured.
    #[arg(long)]
    pub fitted: Option<Given<Length>>,
    /// Whether the new washer goes on one side of the thrust main or on both.
    #[arg(long, default_value = "one")]
    pub sides: Sides,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Where new washers go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Sides {
    One,
    Both,
}

impl EndFloat {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let systems = [self.float.system(), self.fitted.as_ref().and_then(Given::system)];
        let lean = context.shared_unit(&self.washer).or(systems[0]).or(context.lean(engine));
        let float = context.quantity("float", &self.float, lean)?;
        let offered = context.quantities("washer", &self.washer, lean)?;
        let lead = context.lead_with(&systems, engine);
        let sizes = engine.map(Sizes::from).unwrap_or_default();
        let wanted = Wanted { measure: "crank end float", at: "-", engine, duty: None, sizes, overrides: None };
        let held = context.limit(wanted);
        let limits = held.as_ref().and_then(|held| Some((held.bounds.min?, held.bounds.max?)));
        let fitted = match &self.fitted {
            Some(fitted) => Some(context.quantity("fitted", fitted, lean)?),
            None if offered.is_empty() => None,
            None => {
                let possible = "The thickness of the washer that was in when the float was measured: fitted=0.092in.";
                return Err(Refusal::new("fitted", "", possible).into());
            }
        };
        let sides = if self.sides == Sides::Both { 2 } else { 1 };
        let mut typed = vec![("float", self.float.written())];
        typed.extend(self.fitted.as_ref().map(|given| ("fitted", given.written())));
        let range = limits.map(|(low, high)| (Length::from_si(low), Length::from_si(high)));
        // Without a washer the float is still held to what a crank can have.
        let probe = fitted.unwrap_or(Length::from_si(0.002));
        let anything = range.unwrap_or((float, float));
        // The washer at fault is the first that does not do by itself.
        let odd = offered
            .iter()
            .zip(&self.washer)
            .find(|(washer, _)| cranks::washers(float, probe, &[**washer], sides, anything).is_err());
        typed.extend(odd.map(|(_, given)| ("washer", given.written())));
        let sum = cranks::washers(float, probe, &offered, sides, anything).or_refuse(&typed)?;

        let mut reply = match (&held, range, fitted) {
            (Some(held), Some(range), Some(fitted)) => choice(&sum, held, range, (fitted, sides), lead),
            (_, None, Some(_)) => {
                let possible = "A washer is chosen by limits both ways: name the engine whose page has them.";
                return Err(Refusal::new("engine", "", possible).into());
            }
            _ => Reply::new(format!("End float {}", show::length(float, lead))),
        };
        reply = reply.value(Value::length("end_float", float, lead));
        if let Some(held) = &held {
            let verdict = held.verdict(float.si(), context.doubt("end_float"));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]).figure(held.strip(
                "End float as measured".to_owned(),
                lead,
                float.si(),
                context.doubt("end_float"),
                verdict,
            ));
            if verdict == Verdict::Out && fitted.is_none() {
                let line = format!("crank end-float {} fitted=", self.float);
                reply = reply.action(Action::form("Which washer", line));
            }
        }
        Ok(reply
            .caution(Loudness::Important, "Both halves of one side are of one thickness, grooves toward the crank. Look for dirt, a lifted half or a scored cheek before buying washers, and measure again with the thrust cap torqued.")
            .sources(["geometry: a thicker washer takes up its own excess on each side it is fitted"])
            .action(Action::send("How it is measured", "page crank-end-float")))
    }
}

/// What the washers to hand would do, the best first.
fn choice(
    sum: &Washers,
    held: &Held,
    (low, high): (Length, Length),
    (fitted, sides): (Length, u8),
    lead: System,
) -> Reply {
    let measured = held.verdict(sum.measured.si(), 0.0);
    let side = if sides == 2 { " on both sides" } else { "" };
    let (now, ideal) = (show::length_in(sum.measured, lead), show::length(sum.ideal, lead));
    let title = match sum.fitting.first() {
        _ if measured == Verdict::Within => {
            format!("End float {} is right: leave the washer", show::length(sum.measured, lead))
        }
        Some(best) => format!(
            "End float {now}: fit the {} washer{side} to make it {}",
            show::length(best.thickness, lead),
            show::length(best.float, lead)
        ),
        None if sum.all.is_empty() => format!("End float {now}: a washer of {ideal}{side} would put it in the middle"),
        None => format!("End float {now}: none of these washers will do, {ideal}{side} is wanted"),
    };
    // The span of washers that stay inside the limits.
    let (half, count) = ((high - low) / 2.0, f64::from(sides));
    let (thin, thick) = (sum.ideal - half / count, sum.ideal + half / count);
    let mut reply = Reply::new(title)
        .fields([
            ("Middle of the limits", format!("with {ideal}{side}")),
            ("Inside the limits", format!("with {}{side}", show::length_range(Some(thin), Some(thick), lead))),
        ])
        .value(Value::length("ideal_washer", sum.ideal, lead));
    let line = |thickness: Length, float: Length| {
        format!(
            "{} measured - {}({} new - {} fitted) = {}",
            show::length_in(sum.measured, lead),
            if sides == 2 { "2 x " } else { "" },
            show::length_in(thickness, lead),
            show::length_in(fitted, lead),
            show::length_in(float, lead)
        )
    };
    if let Some(best) = sum.fitting.first().filter(|_| measured != Verdict::Within) {
        reply = reply
            .working([line(best.thickness, best.float)])
            .value(Value::length("washer", best.thickness, lead))
            .value(Value::length("end_float_with_it", best.float, lead));
    } else if measured != Verdict::Within {
        reply = reply.working([line(sum.ideal, (low + high) / 2.0)]);
    }
    if sum.all.is_empty() {
        return reply;
    }
    let rows = sum.all.iter().map(|washer| {
        let verdict = held.verdict(washer.float.si(), 0.0);
        let judged = Cell { text: verdict.as_str().to_owned(), verdict: Some(verdict), line: None };
        vec![show::length(washer.thickness, lead).into(), show::length_in(washer.float, lead).into(), judged]
    });
    reply.block(Block::Table(Table {
        caption: String::new(),
        header: ["Washer", "End float", ""].map(String::from).to_vec(),
        rows: rows.collect(),
    }))
}
