//! `bearing crush 2.6409in length=4.1500in spread=2.660in`, or `bearing crush 2.6409in gap=0.003in`: how much longer the shells are than
//! their housing.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::shells;
use crate::quantity::{Given, Length, Measure, show};

/// The housing, and the shells' length or the gap they leave at one joint.
#[derive(Debug, Args)]
#[command(after_help = "bearing crush 2.6409in gap=0.003in")]
pub struct Crush {
    /// Housing bore, torqued, without shells.
    pub housing: Given<Length>,
    /// Gap at one joint: its bolt slack, the other torqued, both shells in.
    #[arg(long)]
    pub gap: Option<Given<Length>>,
    /// Or the length of a half-shell round its outside; one for both, or one each.
    #[arg(long, conflicts_with = "gap")]
    pub length: Vec<Given<Length>>,
    /// Width of a half-shell across its ends, free.
    #[arg(long)]
    pub spread: Option<Given<Length>>,
    /// Bare numbers take this engine's unit.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Crush {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.housing.system().or(context.lean(engine));
        let housing = context.quantity("housing", &self.housing, lean)?;
        let lead = context.lead_with(&[lean], engine);
        let mut typed = vec![("housing", self.housing.written())];
        typed.extend(self.gap.as_ref().map(|g| ("gap", g.written())));
        typed.extend(self.length.iter().map(|g| ("length", g.written())));
        typed.extend(self.spread.as_ref().map(|g| ("spread", g.written())));
        let (sum, line) = match (&self.gap, self.length.is_empty()) {
            (Some(given), _) => {
                let gap = context.quantity("gap", given, lean)?;
                let sum = shells::crush_of_gap(housing, gap).or_refuse(&typed)?;
                (
                    sum,
                    format!(
                        "{} at one joint / 2 = {} per half",
                        show::length_in(gap, lead),
                        show::length_in(sum.per_half, lead)
                    ),
                )
            }
            (None, false) => {
                let lengths = context.quantities("length", &self.length, lean)?;
                let sum = shells::crush_of_lengths(housing, &lengths).or_refuse(&typed)?;
                let length = sum.per_half + sum.half_circumference;
                let line = format!(
                    "{} half-shell - pi x {} / 2 = {} per half",
                    show::length_in(length, lead),
                    show::length_in(housing, lead),
                    show::length_in(sum.per_half, lead)
                );
                (sum, line)
            }
            (None, true) => {
                let possible = "The gap at one joint with its bolt slack and the other torqued; or length= of a half-shell round its outside.";
                return Err(Refusal::new("gap", "", possible).into());
            }
        };
        let none = sum.per_half.si() <= 1e-9;
        let title = if none {
            format!("No crush: {} short per half", show::length(-sum.per_half, lead))
        } else {
            format!("Crush {} per half", show::length(sum.per_half, lead))
        };
        let mut reply = Reply::new(title)
            .working([
                line,
                format!(
                    "pair {}; / pi = {} bigger than its hole on diameter",
                    show::length_in(sum.pair, lead),
                    show::length_in(sum.on_diameter, lead)
                ),
            ])
            .fields([
                ("Both halves", show::length(sum.pair, lead)),
                ("On diameter", show::length(sum.on_diameter, lead)),
                ("Of the circumference", format!("{} %", show::fixed(sum.strain * 100.0, 3))),
            ])
            .value(Value::length("crush_per_half", sum.per_half, lead))
            .value(Value::length("crush_pair", sum.pair, lead))
            .value(Value::length("on_diameter", sum.on_diameter, lead))
            .value(Value::plain("strain", sum.strain));
        if none {
            reply = reply.verdict(Verdict::Out).text("Nothing holds these shells: they will spin. Measure the housing again; line hone it to its low limit, or other shells.");
        }
        if let Some(given) = &self.spread {
            let spread = context.quantity("spread", given, lean)?;
            let over = shells::free_spread(housing, spread).or_refuse(&typed)?;
            let said = if over.si() > 1e-9 {
                format!("{} wider than the housing: it springs in and stays", show::length(over, lead))
            } else {
                reply = reply.verdict(Verdict::Out);
                format!("{} narrower than the housing: it falls out, and its ends stand off", show::length(-over, lead))
            };
            reply = reply.fields([("Free spread", said)]).value(Value::length("free_spread", over, lead));
        }
        Ok(reply
            .text("For housings of 2 to 3 in, 0.001 to 0.002 in (0.025 to 0.05 mm) a half is about usual, more for bigger ones (common practice, from memory). The shell maker's figure wins, and a maker may state it for a test load in a checking block, which is another figure.")
            .caution(Loudness::Warning, "Never file shell ends or caps to alter crush, and never pack behind a shell. Too little and the shell spins; too much and it buckles inward at the joint and wipes.")
            .action(Action::send("A spun shell", "page spun-shell"))
            .sources(["definition, per half: length round the outside less half the housing's circumference; twice that shows at one joint"]))
    }
}
