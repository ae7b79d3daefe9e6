//! `bore hone bore="4.0285 4.0287 in" piston="4.0262 4.0266 in" clearance=0.0045in`, or `target=4.0310in`: what the hone
//! still has to take from each bore.

use clap::Args;

use crate::desk::commands::DutyName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Duty;
use crate::engine::limits::Sizes;
use crate::maths::blocks::{self, Stock};
use crate::quantity::{Given, Length, Measure, inches, show};

/// Bores as they are, and pistons with a clearance, or a target.
#[derive(Debug, Args)]
#[command(
    after_help = "bore hone bore=\"4.0255 4.0257 4.0254 in\" piston=\"4.0262 4.0266 4.0263 in\" clearance=0.0045in"
)]
pub struct Hone {
    /// Each bore as it is now, its smallest reading, in the order of the cylinders.
    #[arg(long, required = true)]
    pub bore: Vec<Given<Length>>,
    /// Each bore's own piston at its gauge point; one for all, or one each.
    #[arg(long, conflicts_with = "target")]
    pub piston: Vec<Given<Length>>,
    /// Clearance wanted; the middle of the limits where left out.
    #[arg(long, conflicts_with = "target")]
    pub clearance: Option<Given<Length>>,
    /// Finished size in place of pistons and clearance; one for all, or one each.
    #[arg(long)]
    pub target: Vec<Given<Length>>,
    /// What the engine is built to do.
    #[arg(long)]
    pub duty: Option<DutyName>,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// More stock than this, in inches, is bored, not honed. Common practice, from memory.
const HONE_MOST: f64 = 0.010;

impl Hone {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let all = || self.bore.iter().chain(&self.piston).chain(&self.target);
        let lean = all().find_map(Given::system).or(context.lean(engine));
        let bores = context.quantities("bore", &self.bore, lean)?;
        let pistons = context.quantities("piston", &self.piston, lean)?;
        let targets = context.quantities("target", &self.target, lean)?;
        let lead = context.lead_with(&[lean], engine);
        let mut typed = Vec::new();
        for (name, given) in [("bore", &self.bore), ("piston size", &self.piston), ("target", &self.target)] {
            typed.extend(given.iter().map(|g| (name, g.written())));
        }
        typed.extend(self.clearance.as_ref().map(|g| ("clearance", g.written())));
        let (stocks, how, held) = match (pistons.is_empty(), targets.is_empty()) {
            (true, true) => {
                return Err(Refusal::new(
                    "piston",
                    "",
                    "Each bore's piston with clearance=, or target= for the finished size.",
                )
                .into());
            }
            (_, false) => {
                let stocks = blocks::stock(&bores, &targets).or_refuse(&typed)?;
                (stocks, "the target given".to_owned(), None)
            }
            (false, true) => {
                let held = self.limit(context, &bores)?;
                let (clearance, how) = match (&self.clearance, &held) {
                    (Some(given), _) => {
                        let clearance = context.quantity("clearance", given, lean)?;
                        (clearance, format!("{} clearance", show::length_in(clearance, lead)))
                    }
                    (None, Some(held)) => match (held.bounds.min, held.bounds.max) {
                        (Some(min), Some(max)) => {
                            let middle = Length::from_si((min + max) / 2.0);
                            (middle, format!("{} clearance, the middle of the limit", show::length_in(middle, lead)))
                        }
                        _ => return Err(wanted().into()),
                    },
                    (None, None) => return Err(wanted().into()),
                };
                (blocks::stock_for(&bores, &pistons, clearance).or_refuse(&typed)?, how, held)
            }
        };

        let most = stocks.iter().map(|s| s.left).fold(Length::from_si(f64::MIN), Length::max);
        let least = stocks.iter().map(|s| s.left).fold(Length::from_si(f64::MAX), Length::min);
        let over = stocks.iter().filter(|s| s.left.si() < -1e-9).count();
        let title = match (over, stocks.len()) {
            (0, 1) => format!("Hone {} more", show::length(most, lead)),
            (0, _) if (most - least).si() < 1e-9 => format!("Hone {} from each", show::length(most, lead)),
            (0, _) => format!("Hone {}, each to its own target", show::length_range(Some(least), Some(most), lead)),
            (over, all) => format!("{over} of {all} already past the target, by up to {}", show::length(-least, lead)),
        };
        let rows = stocks.iter().enumerate().map(|(at, stock)| {
            let told = if stock.left.si() < -1e-9 {
                format!("{} too big", show::length(-stock.left, lead))
            } else {
                show::length(stock.left, lead)
            };
            vec![
                (at + 1).to_string().into(),
                show::length_in(stock.bore, lead).into(),
                show::length_in(stock.target, lead).into(),
                told.into(),
            ]
        });
        let header = ["Cylinder", "Bore now", "Target", "Stock left"].map(String::from).to_vec();
        let table = Table { caption: String::new(), header, rows: rows.collect() };
        let mut reply = Reply::new(title).block(Block::Table(table)).working(working(&stocks, &pistons, &how, lead));
        for (at, stock) in stocks.iter().enumerate() {
            reply = reply.value(Value::length(&format!("target_{}", at + 1), stock.target, lead)).value(Value::length(
                &format!("stock_{}", at + 1),
                stock.left,
                lead,
            ));
        }
        if let Some(held) = &held {
            // What cannot come right by honing: the clearance it has now is already past the limit.
            let past =
                |stock: &Stock| stock.now.is_some_and(|now| held.bounds.max.is_some_and(|max| now.si() > max + 1e-9));
            let verdict = if stocks.iter().any(past) { Verdict::Out } else { Verdict::Within };
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
        }
        if over > 0 {
            reply = reply.text("Metal does not go back on: swap pistons between bores first; where the limits still hold, leave it; else the next oversize.");
        }
        if most > inches(HONE_MOST) {
            reply = reply.text("That is much for a hone: bore first and leave 0.003 to 0.005 in (0.08 to 0.13 mm) for it (common practice).");
        }
        Ok(reply
            .caution(Loudness::Important, "Measure cold: an iron bore of 4 in reads about 0.0005 in bigger at 10 °C warmer. Let block and pistons come to one temperature, creep up on the last 0.0005 in, and torque the plate on where the block wants one.")
            .action(Action::send("How to measure", "page measure-block"))
            .sources(["definition: target = piston + clearance; stock = target - bore, on diameter"]))
    }

    fn limit(&self, context: &Context, bores: &[Length]) -> Result<Option<Held>, Trouble> {
        let Some(bore) = bores.first().copied() else { return Ok(None) };
        let duty = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), duty)?;
        let sizes = Sizes { bore: Some(bore), ..Sizes::default() };
        Ok(context.limit(Wanted { measure: "piston clearance", at: "-", engine, duty, sizes, overrides: None }))
    }
}

fn wanted() -> Refusal {
    Refusal::new("clearance", "", "The clearance wanted, from the piston maker's card; or duty= or engine= for limits.")
}

fn working(stocks: &[Stock], pistons: &[Length], how: &str, lead: crate::quantity::System) -> Vec<String> {
    let Some(first) = stocks.first() else { return Vec::new() };
    let mut lines = Vec::new();
    if let Some(piston) = pistons.first() {
        lines.push(format!(
            "target 1: {} piston + {how} = {}",
            show::length_in(*piston, lead),
            show::length_in(first.target, lead)
        ));
    }
    lines.push(format!(
        "stock 1: {} target - {} bore = {}",
        show::length_in(first.target, lead),
        show::length_in(first.bore, lead),
        show::length_in(first.left, lead)
    ));
    lines
}
