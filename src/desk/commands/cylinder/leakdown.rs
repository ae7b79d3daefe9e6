//! `cylinder leakdown 8 10 9 26 24 8`: per cent lost in each cylinder, judged, and what the pattern points to.

use clap::{Args, ValueEnum};

use super::which::{Which, judged};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::compare::{self, Leakage, Pattern};
use crate::maths::judge;
use crate::quantity::{Dimension, Given, Share, show};

/// Leakage in the order of the cylinders.
#[derive(Debug, Args)]
#[command(after_help = "cylinder leakdown 8% 10% 9% 26% 24% 8% 9% 8% heard=next-plug")]
pub struct Leakdown {
    /// Per cent lost in each cylinder, on top at its compression stroke.
    #[arg(required = true)]
    pub leakage: Vec<Given<Share>>,
    /// Which cylinders they are, in that order; 1, 2, 3 and so on where left out.
    #[arg(long)]
    pub cylinders: Vec<u32>,
    /// Where the air of the worst one is heard.
    #[arg(long)]
    pub heard: Option<Heard>,
    /// Take banks and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Where air comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Heard {
    Intake,
    Exhaust,
    OilFiller,
    Coolant,
    NextPlug,
}

impl Heard {
    /// Common practice.
    fn points_to(self) -> &'static str {
        match self {
            Self::Intake => "air at the intake: its intake valve",
            Self::Exhaust => "air at the exhaust: its exhaust valve",
            Self::OilFiller => "air at the oil filler: rings and bore, or a cracked piston",
            Self::Coolant => "bubbles in the coolant: gasket or a crack",
            Self::NextPlug => "air at the next plug hole: gasket blown between the two",
        }
    }
}

/// The trade's rule, where no page has a limit.
const ALLOWED: f64 = 0.20;

impl Leakdown {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        for given in &self.leakage {
            let written = given.written();
            if written.unit.is_none() && written.number > 0.0 && written.number < 1.0 {
                let percent = show::number(written.number * 100.0);
                let possible = format!("Leakage is given in per cent: {percent}% or {}%?", written.text);
                return Err(crate::desk::Refusal::new("leakage", &written.text, possible).into());
            }
        }
        let leakage = context.quantities("leakage", &self.leakage, None)?;
        let which = Which::new(engine, leakage.len(), &self.cylinders)?;
        let lead = context.lead_with(&[], engine);
        let wanted =
            Wanted { measure: "leak-down", at: "-", engine, duty: None, sizes: Sizes::default(), overrides: None };
        let held = context.limit(wanted);
        let allowed = held.as_ref().and_then(|held| held.bounds.max).unwrap_or(ALLOWED);
        // Whatever lies outside nought to a hundred per cent lies farthest from fifty.
        let off = |share: &Share| (share.0 - 0.5).abs();
        let farthest = leakage.iter().zip(&self.leakage).max_by(|a, b| off(a.0).total_cmp(&off(b.0)));
        let typed: Vec<_> = farthest.map(|(_, given)| ("leakage", given.written())).into_iter().collect();
        let sum = compare::leakage(&leakage, Share(allowed), &|a, b| which.neighbours(a, b)).or_refuse(&typed)?;
        let worst = leakage[sum.worst];
        let verdict = match &held {
            Some(held) => held.verdict(worst.0, context.doubt("worst")),
            None => judge::verdict_si(Dimension::Share, worst.0, 0.0, None, Some(ALLOWED)),
        };
        let limit = held.as_ref().map_or_else(
            || format!("at most {}: common practice", show::share(Share(ALLOWED))),
            |held| held.said(lead),
        );
        let rows = leakage
            .iter()
            .enumerate()
            .map(|(n, leak)| vec![which.numbers[n].to_string().into(), judged(show::share(*leak), sum.weak[n])]);
        let table = Table {
            caption: String::new(),
            header: ["Cylinder", "Leakage"].map(String::from).to_vec(),
            rows: rows.collect(),
        };
        let mut reply = Reply::new(format!("Worst leak {}, {}", show::share(worst), which.name(sum.worst)))
            .verdict(verdict)
            .fields([("Limit", limit)])
            .text(points_to(&sum, &which));
        if let Some(heard) = self.heard {
            reply = reply.fields([("Heard", heard.points_to())]);
        }
        Ok(reply
            .block(Block::Table(table))
            .working([
                format!("worst {} - best {} = spread {}", show::share(worst), show::share(leakage[sum.best]), show::share(sum.spread)),
                format!("middle one {}; worst stands {} above it", show::share(sum.middle), show::share(Share(worst.0 - sum.middle.0))),
            ])
            .value(Value::si("worst", Dimension::Share, worst.0, lead))
            .value(Value::si("spread", Dimension::Share, sum.spread.0, lead))
            .value(Value::si("middle", Dimension::Share, sum.middle.0, lead))
            .value(Value::plain("worst_cylinder", f64::from(which.numbers[sum.worst])))
            .action(Action::send("How the test is done", "page leak-down-and-compression-test"))
            .caution(Loudness::Caution, "Air on a piston turns the crank with great force: lock it, no spanner on the nose, no hands near fan or belts, ignition and fuel off. Air off before anything moves.")
            .sources(["common practice: under 10 % good, over 20 % wants a reason; what counts is one that stands apart".to_owned(), which.basis(), "testers differ: per cents of two testers do not compare".to_owned()]))
    }
}

fn points_to(sum: &Leakage, which: &Which) -> String {
    match &sum.pattern {
        Pattern::Even => "None over the limit. Listen all the same where one stands apart.".to_owned(),
        Pattern::One(n) | Pattern::OneAbove(n) => {
            format!(
                "One over, {}: its own valves, rings or piston. Where the air is heard tells which.",
                which.name(*n)
            )
        }
        Pattern::Neighbours(a, b) => format!(
            "Two neighbours over, {}: the gasket between them first. Air at the next plug hole proves it.",
            which.names(&[*a, *b])
        ),
        Pattern::Several(over) => format!("Over: {}, not side by side. Listen at each.", which.names(over)),
        Pattern::Most(over) => format!(
            "Over: {}, half of them or more. Wear all over, rings not yet bedded, or a cold engine; first see that each stood on its top.",
            which.names(over)
        ),
    }
}
