//! `piston clearance 4.0305in 4.0270in`, with temperatures: `piston clearance 4.0305in 4.0270in bore-temp=15C piston-temp=28C`.

use clap::Args;

use crate::desk::commands::DutyName;
use crate::desk::commands::metals::{BlockMetal, PistonMetal, metal};
use crate::desk::form::EngineName;
use crate::desk::reply::{Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Duty;
use crate::engine::limits::Sizes;
use crate::maths::clearance::{self, Measured};
use crate::quantity::{Given, Length, Measure, Temperature, show};

/// Sizes, temperatures and metals.
#[derive(Debug, Args)]
#[command(after_help = "piston clearance 4.0305in 4.0270in marine")]
pub struct Clearance {
    /// Bore, across the thrust faces at the gauge line.
    pub bore: Given<Length>,
    /// Piston, across the skirt at the maker's gauge point.
    pub skirt: Given<Length>,
    /// What the engine is built to do.
    pub duty: Option<DutyName>,
    /// Temperature of the block when measured; 20 °C where left out.
    #[arg(long)]
    pub bore_temp: Option<Given<Temperature>>,
    /// Temperature of the piston when measured; the block's where left out.
    #[arg(long)]
    pub piston_temp: Option<Given<Temperature>>,
    /// Metal of the block.
    #[arg(long, default_value = "cast-iron")]
    pub block: BlockMetal,
    /// Metal of the piston.
    #[arg(long, default_value = "cast-piston")]
    pub piston: PistonMetal,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Clearance {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.lean(engine);
        let bore = context.quantity("bore", &self.bore, lean)?;
        let skirt = context.quantity("skirt", &self.skirt, lean)?;
        let room = Temperature::from_si(293.15);
        let warm = |name, given: &Option<Given<Temperature>>, or| -> Result<Temperature, Refusal> {
            given.as_ref().map_or(Ok(or), |g| context.quantity(name, g, lean))
        };
        let bore_temp = warm("bore-temp", &self.bore_temp, room)?;
        let piston_temp = warm("piston-temp", &self.piston_temp, bore_temp)?;
        let (block, piston) = (metal(&self.block)?, metal(&self.piston)?);
        let mut typed = vec![("bore", self.bore.written()), ("piston", self.skirt.written())];
        typed.extend(self.bore_temp.as_ref().map(|t| ("bore temperature", t.written())));
        typed.extend(self.piston_temp.as_ref().map(|t| ("piston temperature", t.written())));
        let sum = clearance::piston(
            Measured { size: bore, temperature: bore_temp, expansion: block.expansion },
            Measured { size: skirt, temperature: piston_temp, expansion: piston.expansion },
        )
        .or_refuse(&typed)?;
        let lead = context.lead_with(&[self.bore.system(), self.skirt.system()], engine);
        let title = if sum.at_20.si() < 0.0 {
            format!("The piston is {} bigger than the bore at 20 °C", show::length(-sum.at_20, lead))
        } else {
            format!("Piston clearance {} at 20 °C", show::length(sum.at_20, lead))
        };
        let mut reply = Reply::new(title)
            .working([
                format!(
                    "bore {} at {} = {} at 20 °C",
                    show::length_in(bore, lead),
                    show::temperature(bore_temp, lead),
                    show::length_in(sum.bore_at_20, lead)
                ),
                format!(
                    "skirt {} at {} = {} at 20 °C",
                    show::length_in(skirt, lead),
                    show::temperature(piston_temp, lead),
                    show::length_in(sum.piston_at_20, lead)
                ),
                format!(
                    "as read {}; at 20 °C {}",
                    show::length_in(sum.as_measured, lead),
                    show::length_in(sum.at_20, lead)
                ),
            ])
            .value(Value::length("clearance", sum.at_20, lead))
            .value(Value::length("as_measured", sum.as_measured, lead))
            .value(Value::plain("per_bore", sum.per_bore));
        let sizes = Sizes { bore: Some(sum.bore_at_20), ..Sizes::default() };
        let duty = self.duty.map(Duty::from);
        let engine = context.engine_for(self.engine.as_ref(), bore, |e| Some(e.bore), duty)?;
        let wanted = Wanted { measure: "piston clearance", at: "-", engine, duty, sizes, overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held.verdict(sum.at_20.si(), context.doubt("clearance"));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]).figure(held.strip(
                "Piston clearance at 20 °C".to_owned(),
                lead,
                sum.at_20.si(),
                context.doubt("clearance"),
                verdict,
            ));
        } else {
            reply = reply.text("No limit: name the duty or the engine, or hold it against the piston maker's sheet.");
        }
        Ok(reply
            .caution(Loudness::Important, "The piston maker's clearance and gauge point win. Let block and pistons lie together overnight before measuring.")
            .sources([
                "ISO 1: sizes hold at 20 °C; d20 = d / (1 + a (T - 20))".to_owned(),
                format!("expansion of {} and {}: {}", block.name, piston.name, piston.source),
            ]))
    }
}
