//! `cylinder compression-test 150psi 148psi 110psi 152psi`: the spread judged, and what the pattern points to.

use clap::Args;

use super::which::{Which, judged};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::compare::{self, Cranking, Pattern};
use crate::maths::judge;
use crate::quantity::{Dimension, Given, Measure, Pressure, Share, show};

/// Pressures in the order of the cylinders.
#[derive(Debug, Args)]
#[command(after_help = "cylinder compression-test 150psi 148psi 110psi 112psi 151psi 149psi 150psi 152psi")]
pub struct CompressionTest {
    /// Gauge reading of each cylinder, the same strokes each, throttle open.
    #[arg(required = true)]
    pub pressures: Vec<Given<Pressure>>,
    /// Which cylinders they are, in that order; 1, 2, 3 and so on where left out.
    #[arg(long)]
    pub cylinders: Vec<u32>,
    /// The same again with a spoonful of oil in each, in that order.
    #[arg(long)]
    pub wet: Vec<Given<Pressure>>,
    /// Take banks and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The trade's 75 per cent rule, where no page has a limit.
const ALLOWED: f64 = 0.25;

impl CompressionTest {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.shared_unit(&self.pressures).or(context.lean(engine));
        let pressures = context.quantities("pressures", &self.pressures, lean)?;
        let wet = context.quantities("wet", &self.wet, lean)?;
        if !wet.is_empty() && wet.len() != pressures.len() {
            let possible = format!("As many as there are dry ones, {}; {} came.", pressures.len(), wet.len());
            return Err(Refusal::new("wet", "", possible).into());
        }
        let which = Which::new(engine, pressures.len(), &self.cylinders)?;
        let lead = context.lead_with(&[lean], engine);
        let wanted = Wanted {
            measure: "cranking pressure spread",
            at: "-",
            engine,
            duty: None,
            sizes: Sizes::default(),
            overrides: None,
        };
        let held = context.limit(wanted);
        let allowed = held.as_ref().and_then(|held| held.bounds.max).unwrap_or(ALLOWED);
        // The pressure a refusal shows: one below nothing, else the highest.
        let paired = || pressures.iter().zip(&self.pressures);
        let odd = paired().find(|(p, _)| p.si() < 0.0).or(paired().max_by(|a, b| a.0.si().total_cmp(&b.0.si())));
        let typed: Vec<_> = odd.map(|(_, given)| ("pressures", given.written())).into_iter().collect();
        let sum = compare::cranking(&pressures, Share(allowed), &|a, b| which.neighbours(a, b)).or_refuse(&typed)?;

        let percent = |share: f64| format!("{} %", show::fixed(share * 100.0, 0));
        let title = format!(
            "Lowest is {} of the best ({})",
            percent(1.0 - sum.spread.0),
            if sum.spread.0 <= 0.0 { "all alike".to_owned() } else { which.name(sum.lowest) }
        );
        let verdict = match &held {
            Some(held) => held.verdict(sum.spread.0, context.doubt("spread")),
            None => judge::verdict_si(Dimension::Share, sum.spread.0, 0.0, None, Some(ALLOWED)),
        };
        let limit = held.as_ref().map_or_else(
            || format!("at most {}: common practice, the 75 % rule", show::share(Share(ALLOWED))),
            |held| held.said(lead),
        );
        let one = |pressure: Pressure| show::any_in(Dimension::Pressure, pressure.si(), lead);
        let mut reply = Reply::new(title)
            .verdict(verdict)
            .fields([("Spread", show::share(sum.spread)), ("Limit", limit)])
            .text(points_to(&sum, &which))
            .block(Block::Table(self.table(&sum, &which, &pressures, &wet, one)))
            .working([format!(
                "1 - {} lowest / {} best = {}; mean {}",
                one(pressures[sum.lowest]),
                one(pressures[sum.best]),
                show::share(sum.spread),
                one(sum.mean)
            )])
            .value(Value::si("spread", Dimension::Share, sum.spread.0, lead))
            .value(Value::si("mean", Dimension::Pressure, sum.mean.si(), lead))
            .value(Value::plain("lowest_cylinder", f64::from(which.numbers[sum.lowest])))
            .value(Value::plain("best_cylinder", f64::from(which.numbers[sum.best])));
        if !wet.is_empty() {
            reply = wet_test(reply, &sum, &which, &pressures, &wet);
        }
        Ok(reply
            .action(Action::form("Leak-down on the weak ones", "cylinder leakdown"))
            .action(Action::send("How the test is done", "page leak-down-and-compression-test"))
            .caution(Loudness::Caution, "Ignition and fuel off, plug leads earthed, hands clear of fan and belts: the engine turns under power. A boat's bilge aired first.")
            .sources(["common practice: the lowest at least 75 % of the best; patterns are pointers, no proof".to_owned(), which.basis(), "a spread says nothing of all being low alike: hold the pressures against this engine's own history".to_owned()]))
    }

    fn table(
        &self,
        sum: &Cranking,
        which: &Which,
        pressures: &[Pressure],
        wet: &[Pressure],
        one: impl Fn(Pressure) -> String,
    ) -> Table {
        let mut header = vec!["Cylinder", "Dry", "Of the best"];
        if !wet.is_empty() {
            header.push("Wet");
        }
        let rows = pressures.iter().enumerate().map(|(n, pressure)| {
            let share = format!("{} %", show::fixed(sum.shares[n].0 * 100.0, 0));
            let mut cells: Vec<Cell> =
                vec![which.numbers[n].to_string().into(), one(*pressure).into(), judged(share, sum.weak[n])];
            cells.extend(wet.get(n).map(|wet| Cell::from(one(*wet))));
            cells
        });
        Table { caption: String::new(), rows: rows.collect(), header: header.into_iter().map(String::from).collect() }
    }
}

/// What the pattern points to, in the trade's words.
fn points_to(sum: &Cranking, which: &Which) -> String {
    match &sum.pattern {
        Pattern::Even => "Even: nothing stands out.".to_owned(),
        Pattern::One(n) => {
            format!("One low, {}: its own valves, rings or piston. Wet test and leak-down there.", which.name(*n))
        }
        Pattern::Neighbours(a, b) => format!(
            "Two neighbours low, {}: the gasket between them first, or a crack across. Leak-down: air at the next plug hole proves it.",
            which.names(&[*a, *b])
        ),
        Pattern::OneAbove(n) => format!(
            "The others agree and {} stands above them: carbon, oil or fuel in it, or another gasket or piston. It may be the odd one, not they.",
            which.name(*n)
        ),
        Pattern::Several(low) => format!(
            "{} low, not side by side: each for its own reason. Wet test and leak-down each.",
            show::capital(&which.names(low))
        ),
        Pattern::Most(low) => format!(
            "{} low, half of them or more: look for what they share before what each has. Cranking speed, throttle shut, cam timing, a tired gasket, wear all over.",
            show::capital(&which.names(low))
        ),
    }
}

/// What oil in the bore did for the weak ones. Half of what was missing counts as a rise: a line of our own, practice says "a lot".
fn wet_test(mut reply: Reply, sum: &Cranking, which: &Which, dry: &[Pressure], wet: &[Pressure]) -> Reply {
    for n in (0..dry.len()).filter(|n| sum.weak[*n]) {
        let Some(share) = compare::recovery(dry[n], wet[n], dry[sum.best]) else { continue };
        let found = if share >= 0.5 { "rings and bore leak" } else { "a valve or the gasket, rather than the rings" };
        let gained = format!("{} % of what it lacked came back with oil: {found}", show::fixed(share * 100.0, 0));
        reply = reply.fields([(show::capital(&which.name(n)), gained)]);
    }
    reply
}
