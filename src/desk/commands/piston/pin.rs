//! `piston pin 0.9277in 0.9272in hot=150C`: a gudgeon pin in its hole, cold and at work.

use clap::{Args, ValueEnum};

use crate::desk::commands::metals::{PistonMetal, metal};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::clearance::Measured;
use crate::maths::{materials, pins};
use crate::quantity::{Dimension, Given, Length, Measure, Temperature, show};

/// Hole, pin, and how hot they get.
#[derive(Debug, Args)]
#[command(after_help = "piston pin 0.9277in 0.9272in hot=150C")]
pub struct Pin {
    /// The hole: pin bore of the piston, bush or eye of the rod.
    pub hole: Given<Length>,
    /// The pin; the engine's where left out.
    pub pin: Option<Given<Length>>,
    /// What the pin goes in.
    #[arg(long, default_value = "piston")]
    pub into: Eye,
    /// Metal of the piston.
    #[arg(long, default_value = "cast-piston")]
    pub metal: PistonMetal,
    /// Temperature both were measured at; 20 °C where left out.
    #[arg(long, allow_hyphen_values = true)]
    pub measured_at: Option<Given<Temperature>>,
    /// Temperature of the hole to work the fit out for.
    #[arg(long, allow_hyphen_values = true)]
    pub hot: Option<Given<Temperature>>,
    /// Temperature of the pin then; the hole's where left out.
    #[arg(long, allow_hyphen_values = true)]
    pub pin_hot: Option<Given<Temperature>>,
    /// Take the pin from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// What a gudgeon pin goes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Eye {
    Piston,
    RodBush,
    RodPress,
}

impl Pin {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let systems = [self.hole.system(), self.pin.as_ref().and_then(Given::system)];
        let lean = systems.into_iter().flatten().next().or(context.lean(engine));
        let lead = context.lead_with(&systems, engine);
        let hole = context.quantity("hole", &self.hole, lean)?;
        let pin = context.size("pin", self.pin.as_ref(), engine.and_then(|e| e.pin), lean)?;
        let warm = |name, given: &Option<Given<Temperature>>, or| -> Result<Temperature, Refusal> {
            given.as_ref().map_or(Ok(or), |g| context.quantity(name, g, Some(lead)))
        };
        let room = Temperature::from_si(293.15);
        let bench = warm("measured-at", &self.measured_at, room)?;
        let hot = warm("hot", &self.hot, room)?;
        let pin_hot = warm("pin-hot", &self.pin_hot, hot)?;
        let steel =
            || materials::material("alloy-steel").ok_or_else(|| anyhow::anyhow!("the metal table has no alloy steel"));
        // A bush held in a steel eye can grow no more than the eye lets it.
        let around = if self.into == Eye::Piston { metal(&self.metal)? } else { steel()? };
        let of_pin = steel()?;
        let mut typed = vec![("hole", self.hole.written())];
        typed.extend(self.pin.as_ref().map(|g| ("pin", g.written())));
        for (name, given) in [("measured at", &self.measured_at), ("hot", &self.hot), ("pin hot", &self.pin_hot)] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let part = |size, expansion| Measured { size, temperature: bench, expansion };
        let sum =
            pins::fit(part(hole, around.expansion), part(pin, of_pin.expansion), hot, pin_hot).or_refuse(&typed)?;
        let said = |fit: Length| {
            let word = if fit.si() < 0.0 { "interference" } else { "clearance" };
            format!("{word} {}", show::length(fit.abs(), lead))
        };
        let cold = format!("Pin {} at 20 °C", said(sum.at_20));
        let asked = self.hot.is_some() || self.pin_hot.is_some();
        let temperature = |t| show::temperature(t, lead);
        let title = if asked { format!("{cold}, {} hot", said(sum.hot)) } else { cold };
        let one = |length| show::length_in(length, lead);
        let mut lines =
            vec![format!("at 20 °C: {} hole - {} pin = {}", one(sum.hole_at_20), one(sum.pin_at_20), one(sum.at_20))];
        if asked {
            lines.push(format!(
                "hot: {} hole at {} - {} pin at {} = {}",
                one(sum.hole_hot),
                temperature(hot),
                one(sum.pin_hot),
                temperature(pin_hot),
                one(sum.hot)
            ));
        }
        let mut reply = Reply::new(title)
            .working(lines)
            .value(Value::length("fit_at_20", sum.at_20, lead))
            .value(Value::length("fit_hot", sum.hot, lead));
        if let Some(level) = sum.level.filter(|_| sum.hot.si() < 0.0 || sum.at_20.si() < 0.0) {
            let at = format!("the hole at {}, the pin at {}", temperature(level), temperature(pin_hot));
            reply = reply.fields([("Size for size with", format!("{at}: go beyond it for room"))]).value(Value::si(
                "size_for_size_at",
                Dimension::Temperature,
                level.si(),
                lead,
            ));
        }
        let (wrong, right) = match self.into {
            Eye::RodPress => {
                (sum.at_20.si() >= 0.0, "A pressed pin must be tight in its rod: this one would walk into the bore.")
            }
            _ => (
                sum.at_20.si() < 0.0,
                "A pin that floats here must have clearance cold, unless its maker fits it warm.",
            ),
        };
        if wrong {
            reply = reply.text(right);
        }
        if !asked {
            reply = reply.action(Action::form(
                "At work",
                format!(
                    "piston pin {} {} hot=",
                    self.hole,
                    self.pin.as_ref().map(ToString::to_string).unwrap_or_default()
                ),
            ));
        }
        let caution = match self.into {
            Eye::RodPress => {
                "A hot rod burns: gloves, a stop for the pin ready, one movement. The rod or piston maker's interference and heat win; blued steel has lost its temper."
            }
            _ => {
                "The piston or rod maker's fit wins: a tenth matters here. Measure pin and hole at one temperature, the pin in several places for wear."
            }
        };
        Ok(reply
            .text("No limit is kept for pins: hold it against the maker's sheet.")
            .caution(Loudness::Important, caution)
            .sources([
                "d = d20 (1 + a (T - 20)), ISO 1 reference temperature".to_owned(),
                format!("hole as {}: {}", around.name, around.source),
                format!("pin as {}: {}; a hole in a rod as steel, bush or not", of_pin.name, of_pin.source),
                "coefficients are means of 20 to 100 °C: an estimate above that".to_owned(),
            ]))
    }
}
