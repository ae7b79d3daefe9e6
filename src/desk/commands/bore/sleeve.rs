//! `bore sleeve hole=4.1880in sleeve=4.1905in`: interference of a dry sleeve, and the heat or cold at which it drops in.

use clap::Args;

use crate::desk::commands::metals::{BlockMetal, expansion, metal};
use crate::desk::form::EngineName;
use crate::desk::reply::{Loudness, Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::sleeves::{self, Part};
use crate::quantity::{Given, Length, Measure, Temperature, show};

/// Hole and sleeve, both at 20 °C, and how it is to go in.
#[derive(Debug, Args)]
#[command(after_help = "bore sleeve hole=4.1880in sleeve=4.1905in drop=0.002in")]
pub struct Sleeve {
    /// The hole cut in the block, at 20 °C.
    #[arg(long, required = true)]
    pub hole: Given<Length>,
    /// The sleeve's outside diameter, at 20 °C.
    #[arg(long, required = true)]
    pub sleeve: Given<Length>,
    /// Clearance to drop it in by.
    #[arg(long, default_value = "0.002in")]
    pub drop: Given<Length>,
    /// Temperature of the block when only the sleeve is chilled.
    #[arg(long, default_value = "20C")]
    pub block_temp: Given<Temperature>,
    /// Temperature of the sleeve when the block is heated.
    #[arg(long, default_value = "20C", allow_hyphen_values = true)]
    pub sleeve_temp: Given<Temperature>,
    /// Metal of the block.
    #[arg(long, default_value = "cast-iron")]
    pub block: BlockMetal,
    /// Metal of the sleeve.
    #[arg(long, default_value = "cast-iron")]
    pub liner: BlockMetal,
    /// Bare numbers take this engine's unit.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Hotter than this a bare block is not taken in a shop's oven without asking, K. Common practice, from memory.
const OVEN: f64 = 473.15;
/// A domestic deep freezer, and dry ice in spirit, K.
const FREEZER: f64 = 255.15;
const DRY_ICE: f64 = 194.65;

impl Sleeve {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.hole.system().or(self.sleeve.system()).or(context.lean(engine));
        let hole = context.quantity("hole", &self.hole, lean)?;
        let outside = context.quantity("sleeve", &self.sleeve, lean)?;
        let drop = context.quantity("drop", &self.drop, lean)?;
        let warm = context.quantity("block-temp", &self.block_temp, None)?;
        let cold = context.quantity("sleeve-temp", &self.sleeve_temp, None)?;
        let (block, liner) = (metal(&self.block)?, metal(&self.liner)?);
        let typed = [
            ("hole", self.hole.written()),
            ("sleeve", self.sleeve.written()),
            ("drop", self.drop.written()),
            ("block temperature", self.block_temp.written()),
            ("sleeve temperature", self.sleeve_temp.written()),
        ];
        let sum = sleeves::sleeve(
            Part { size: hole, temperature: warm, expansion: block.expansion },
            Part { size: outside, temperature: cold, expansion: liner.expansion },
            drop,
        )
        .or_refuse(&typed)?;
        let lead = context.lead_with(&[lean], engine);
        let loose = sum.interference.si() <= 1e-9;
        let degrees = |t: Temperature| show::temperature(t, lead);
        let mut reply = Reply::new(if loose {
            format!("The sleeve is loose by {}", show::length(-sum.interference, lead))
        } else {
            format!(
                "Interference {}: drops in with the block at {}",
                show::length(sum.interference, lead),
                degrees(sum.block)
            )
        })
        .working([format!(
            "{} sleeve - {} hole = {}, {} per unit of the hole",
            show::length_in(outside, lead),
            show::length_in(hole, lead),
            show::length_in(sum.interference, lead),
            show::fixed(sum.per_hole, 5)
        )])
        .value(Value::length("interference", sum.interference, lead))
        .value(Value::plain("per_hole", sum.per_hole))
        .value(Value::length("clearance_now", sum.clearance_now, lead));
        if loose {
            return Ok(reply
                .verdict(Verdict::Out)
                .text("It has nothing to hold it, and no heat path to the block. A thicker sleeve, or another block.")
                .sources(["definition: sleeve less hole, both at 20 °C"]));
        }
        let already = sum.clearance_now.si() >= drop.si() - 1e-9;
        let chilled = match sum.chilled {
            Some(t) if t.si() >= 293.15 => format!("{}: no need to chill it", degrees(t)),
            Some(t) if t.si() >= FREEZER => format!("{}: a deep freezer does it", degrees(t)),
            Some(t) if t.si() >= DRY_ICE => format!("{}: dry ice does it, a freezer does not", degrees(t)),
            Some(t) if t.si() >= 77.0 => format!("{}: dry ice falls short; heat the block as well", degrees(t)),
            _ => "no cold is enough: heat the block".to_owned(),
        };
        let hot =
            if sum.block.si() > OVEN { "; hotter than a block should be made: chill the sleeve as well" } else { "" };
        reply = reply
            .fields([
                ("Heat the block to", format!("{}, sleeve at {}{hot}", degrees(sum.block), degrees(cold))),
                ("Or chill the sleeve to", format!("{chilled} (block at {})", degrees(warm))),
                ("To drop in with", show::length(drop, lead)),
            ])
            .working([
                format!(
                    "to gain: {} interference + {} to drop = {}",
                    show::length_in(sum.interference, lead),
                    show::length_in(drop, lead),
                    show::length_in(sum.to_gain, lead)
                ),
                format!(
                    "block: 20 + (({} + {}) / {} - 1) / {}e-6 = {}",
                    show::length_in(outside * (1.0 + liner.expansion * (cold.si() - 293.15)), lead),
                    show::length_in(drop, lead),
                    show::length_in(hole, lead),
                    show::fixed(block.expansion * 1e6, 1),
                    show::temperature(sum.block, crate::quantity::System::Metric)
                ),
            ])
            .value(Value::si("block_temperature", crate::quantity::Dimension::Temperature, sum.block.si(), lead));
        if let Some(t) = sum.chilled {
            let value = Value::si("sleeve_temperature", crate::quantity::Dimension::Temperature, t.si(), lead);
            reply = reply.value(value);
        }
        if already {
            reply = reply.text("At the temperatures given it drops in already.");
        }
        Ok(reply
            .text("How tight is right is the sleeve maker's word and goes by wall and metal; for dry repair sleeves in iron 0.0005 in for each inch of bore is about the middle (common practice, from memory). Too tight cracks the block or closes the next bore.")
            .caution(Loudness::Warning, "Hot iron and chilled metal both burn: gloves, face shield, and air for anyone near dry ice or nitrogen, which push the oxygen out of a room. Heat the whole block slowly and evenly, plugs and bearings out. Once in contact it grips within seconds: have the stop ready and do not pause.")
            .sources([
                "linear expansion; sizes at 20 °C (ISO 1)".to_owned(),
                format!("{}; means of 20 to 100 °C, a far-chilled metal shrinks rather less", expansion(block, liner)),
            ]))
    }
}
