//! `ring heat 4.030in 250C 120C`: how much a gap closes by heat, and the smallest cold gap that is safe; with
//! `gap=0.018in` what that gap leaves.

use clap::Args;

use super::gap::finish;
use crate::desk::commands::metals::{BlockMetal, RingMetal, expansion, metal};
use crate::desk::form::EngineName;
use crate::desk::reply::{Loudness, Reply, Value, Verdict};
use crate::desk::sense::{OrRefuse, renamed};
use crate::desk::{Context, Trouble};
use crate::maths::ring_fit::{self, Hot};
use crate::maths::rings;
use crate::quantity::{Given, Length, Measure, Temperature, below, show};

/// The bore, how hot ring and bore run, and their metals.
#[derive(Debug, Args)]
#[command(after_help = "ring heat 4.030in 250C 120C gap=0.018in")]
pub struct Heat {
    /// The bore the ring runs in.
    pub bore: Given<Length>,
    /// The hottest the ring gets.
    #[arg(required = true)]
    pub ring_temp: Given<Temperature>,
    /// How hot the bore is then; the coldest believable is the safe side.
    #[arg(required = true)]
    pub bore_temp: Given<Temperature>,
    /// A cold gap, to see what is left of it.
    #[arg(long)]
    pub gap: Option<Given<Length>>,
    /// What must be left of the gap when hot.
    #[arg(long, default_value = "0.002in")]
    pub margin: Given<Length>,
    /// Temperature at which the gap is measured.
    #[arg(long, default_value = "20C")]
    pub bench: Given<Temperature>,
    /// Metal of the ring.
    #[arg(long, default_value = "cast-iron")]
    pub ring: RingMetal,
    /// Metal of the bore.
    #[arg(long, default_value = "cast-iron")]
    pub block: BlockMetal,
    /// Bare numbers take this engine's unit.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Heat {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.bore.system().or(context.lean(engine));
        let bore = context.quantity("bore", &self.bore, lean)?;
        let degrees = |name, given| context.quantity(name, given, None);
        let ring_temp = degrees("ring-temp", &self.ring_temp)?;
        let bore_temp = degrees("bore-temp", &self.bore_temp)?;
        let bench = degrees("bench", &self.bench)?;
        let margin = context.quantity("margin", &self.margin, lean)?;
        let (ring, block) = (metal(&self.ring)?, metal(&self.block)?);
        let mut typed = vec![
            ("bore", self.bore.written()),
            ("ring temperature", self.ring_temp.written()),
            ("bore temperature", self.bore_temp.written()),
            ("bench", self.bench.written()),
            ("margin", self.margin.written()),
        ];
        typed.extend(self.gap.as_ref().map(|g| ("measured", g.written())));
        let sum = ring_fit::cold_gap(
            bore,
            bench,
            Hot { temperature: ring_temp, expansion: ring.expansion },
            Hot { temperature: bore_temp, expansion: block.expansion },
            margin,
        )
        .or_refuse(&typed)?;
        let lead = context.lead_with(&[self.bore.system()], engine);
        let closing = sum.closing.closing;
        let rise = |by: crate::quantity::TemperatureInterval| {
            show::fixed(by.get::<uom::si::temperature_interval::kelvin>(), 0)
        };
        let millionths = |a: f64| show::fixed(a * 1e6, 1);
        let grows = |what: &str, a: f64, by, much| {
            format!(
                "{what}: pi x {} x {}e-6 x {} K = {}",
                show::length_in(bore, lead),
                millionths(a),
                rise(by),
                show::length_in(much, lead)
            )
        };
        let closes = if closing.si() > 0.0 {
            format!("the gap closes {}", show::length(closing, lead))
        } else {
            format!("the gap opens {}", show::length(-closing, lead))
        };
        let mut reply = Reply::new(format!("Cold gap at least {}", show::length(sum.smallest, lead)))
            .text(format!("From bench to running, {closes}."))
            .working([
                grows("ring", ring.expansion, sum.ring_rise, sum.closing.ring),
                grows("bore", block.expansion, sum.bore_rise, sum.closing.bore),
                format!(
                    "closing {} - {} = {}; + {} left when hot = {}",
                    show::length_in(sum.closing.ring, lead),
                    show::length_in(sum.closing.bore, lead),
                    show::length_in(closing, lead),
                    show::length_in(margin, lead),
                    show::length_in(sum.smallest, lead)
                ),
            ])
            .fields([("By bore", format!("{} x bore", show::fixed(sum.per_bore, 5)))])
            .value(Value::length("smallest_cold_gap", sum.smallest, lead))
            .value(Value::length("closing", closing, lead))
            .value(Value::plain("per_bore", sum.per_bore));
        if let Some(given) = &self.gap {
            let gap = context.quantity("gap", given, lean)?;
            // A gap no ring has is refused as the filing sum refuses it.
            let filing = rings::filing(gap, rings::GapRange { low: sum.smallest, high: None }).or_refuse(&typed);
            let filing = filing.map_err(|trouble| renamed(trouble, "gap"))?;
            let left = gap - closing;
            let said = match (left.si() > 0.0, below(left, margin)) {
                (false, _) => format!("{} butts: short by {}", show::length_in(gap, lead), show::length(-left, lead)),
                (true, _) => format!("{} leaves {} when hot", show::length_in(gap, lead), show::length(left, lead)),
            };
            let short = filing.fit == rings::Fit::Short;
            reply.title = said;
            reply = reply
                .verdict(if short { Verdict::Out } else { Verdict::Within })
                .fields([("Smallest safe cold gap", show::length(sum.smallest, lead))])
                .value(Value::length("left_when_hot", left, lead));
            if short {
                reply = reply.text(format!("File {} off it.", show::length(filing.least, lead)));
            }
        }
        Ok(finish(
            reply
                .caution(Loudness::Warning, "An estimate: nobody measures the ring while it runs. Worst is a hot ring in a bore still cold, as on a hard pull before warm-up or with raw-water cooling. Never go below the ring maker's gap or the limits for the duty on the strength of this.")
                .sources([
                    "closing = pi x bore x (a ring x dT ring - a bore x dT bore): linear expansion".to_owned(),
                    format!("{}; means of 20 to 100 °C, metals grow rather more per degree when hotter", expansion(ring, block)),
                    "what must be left when hot: common practice, from memory".to_owned(),
                ]),
        ))
    }
}
