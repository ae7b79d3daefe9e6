//! `fit heat 100mm interference=0.08mm clearance=0.05mm ring=aluminium shaft=cast-iron`: oven and freezer for a drop-in fit.

use clap::Args;

use crate::desk::commands::metals::{FitMetal, metal};
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::Rule;
use crate::maths::heating::{self, Parts};
use crate::maths::materials::Material;
use crate::quantity::{Dimension, Given, Length, Measure, System, Temperature, above, show};

/// Sizes, the clearance wanted, metals, and a temperature that is already settled.
#[derive(Debug, Args)]
#[command(after_help = "fit heat 100mm interference=0.08mm clearance=0.05mm ring=aluminium shaft=cast-iron")]
pub struct Heat {
    /// Diameter of the inner part.
    #[arg(required = true)]
    pub joint: Given<Length>,
    /// Interference on diameter, both at room temperature.
    #[arg(long, required = true)]
    pub interference: Given<Length>,
    /// Clearance to drop in with, on diameter.
    #[arg(long, required = true)]
    pub clearance: Given<Length>,
    /// Metal of the outer part.
    #[arg(long, default_value = "steel")]
    pub ring: FitMetal,
    /// Metal of the inner part.
    #[arg(long, default_value = "steel")]
    pub shaft: FitMetal,
    /// Temperature of the inner part, when it comes from a freezer.
    #[arg(long, allow_hyphen_values = true)]
    pub cold: Option<Given<Temperature>>,
    /// Temperature of the outer part, when the oven is settled.
    #[arg(long)]
    pub hot: Option<Given<Temperature>>,
    /// Temperature both were measured at; 20 °C where left out.
    #[arg(long, allow_hyphen_values = true)]
    pub room: Option<Given<Temperature>>,
}

/// A household freezer, and dry ice.
const COLDS: [(&str, f64); 2] = [("freezer, -18 °C", 255.15), ("dry ice, -78 °C", 195.15)];
/// Above this an oven begins to take the temper out of aluminium and hardened steel; common practice.
const SOFTENS: f64 = 473.15;

impl Heat {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let typed_system = [&self.joint, &self.interference, &self.clearance].into_iter().find_map(Given::system);
        let lean = typed_system.or(context.lean(engine));
        let lead = context.lead_with(&[typed_system], engine);
        let mut typed = vec![
            ("joint", self.joint.written()),
            ("interference", self.interference.written()),
            ("clearance", self.clearance.written()),
        ];
        for (name, given) in [("cold", &self.cold), ("hot", &self.hot), ("room", &self.room)] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let temperature = |name, given: &Option<Given<Temperature>>| {
            given.as_ref().map(|g| context.quantity(name, g, lean)).transpose()
        };
        let room = temperature("room", &self.room)?.unwrap_or(Temperature::from_si(293.15));
        let (cold, hot) = (temperature("cold", &self.cold)?, temperature("hot", &self.hot)?);
        let (ring, shaft) = (metal(&self.ring)?, metal(&self.shaft)?);
        let parts = Parts {
            shaft: context.quantity("joint", &self.joint, lean)?,
            interference: context.quantity("interference", &self.interference, lean)?,
            room,
            ring_expansion: ring.expansion,
            shaft_expansion: shaft.expansion,
        };
        let clearance = context.quantity("clearance", &self.clearance, lean)?;
        let refuse = |unfit: crate::maths::Unfit| -> Trouble {
            match (unfit.input, unfit.rule) {
                ("clearance", Rule::MustNotExceed { other }) => {
                    let possible = format!(
                        "It takes more than the {other}: cool the inner part with cold=, heat the outer with hot=, or ask for less."
                    );
                    Refusal::new("clearance", &self.clearance.written().text, possible).into()
                }
                _ => crate::desk::sense::explain(unfit, &typed).into(),
            }
        };
        let mut reply = match (hot, cold) {
            (Some(hot), Some(cold)) => {
                let found = heating::clearance(&parts, hot, cold).or_refuse(&typed)?;
                let title = if found.si() < 0.0 {
                    format!("Still {} tight at those temperatures", show::length(-found, lead))
                } else {
                    format!("Clearance {} at those temperatures", show::length(found, lead))
                };
                Reply::new(title)
                    .text(if found >= clearance { "It drops in." } else { "That is less than the clearance wanted." })
                    .value(Value::length("clearance", found, lead))
                    .working(lines(&parts, hot, cold, found, lead))
            }
            (Some(hot), None) => {
                let cold = heating::freezer(&parts, clearance, hot).map_err(refuse)?;
                let found = heating::clearance(&parts, hot, cold).or_refuse(&typed)?;
                let title = if above(room, cold) {
                    format!("Cool the inner part to {}", show::temperature(cold, lead))
                } else {
                    "No cooling needed: it drops in".to_owned()
                };
                Reply::new(title)
                    .value(Value::si("cold", Dimension::Temperature, cold.si(), lead))
                    .working(lines(&parts, hot, cold, found, lead))
            }
            (None, cold) => {
                let cold = cold.unwrap_or(room);
                let hot = heating::oven(&parts, clearance, cold).map_err(refuse)?;
                let found = heating::clearance(&parts, hot, cold).or_refuse(&typed)?;
                let title = if above(hot, room) {
                    format!("Heat the outer part to {}", show::temperature(hot, lead))
                } else {
                    "No heat needed: it drops in".to_owned()
                };
                let mut reply = Reply::new(title)
                    .value(Value::si("hot", Dimension::Temperature, hot.si(), lead))
                    .working(lines(&parts, hot, cold, found, lead));
                if self.cold.is_none() {
                    reply = reply.block(Block::Table(ways(&parts, clearance, room, lead)));
                }
                if above(hot, Temperature::from_si(SOFTENS)) {
                    reply = reply.caution(Loudness::Warning, "Over 200 °C (392 °F) hardened and tempered parts and aluminium soften: cool the inner part instead.");
                }
                reply
            }
        };
        reply = reply
            .caution(Loudness::Caution, "Hot parts and dry ice burn: gloves, face, air in the room. Have it lined up and a stop under it; it grips within seconds. No open flame near fuel. The maker's temperature wins.")
            .sources([
                "linear expansion; ISO 1: sizes hold at 20 °C".to_owned(),
                expansion(ring, shaft),
                "below freezing metals shrink a little less than this".to_owned(),
            ])
            .action(Action::send("Metals and temperature", "page materials-expansion-and-temperature"));
        Ok(reply)
    }
}

fn expansion(ring: &Material, shaft: &Material) -> String {
    if ring == shaft {
        return format!("expansion of {}: {}", ring.name, ring.source);
    }
    format!("expansion of {}: {}; of {}: {}", ring.name, ring.source, shaft.name, shaft.source)
}

/// Bore and shaft at their temperatures.
fn lines(parts: &Parts, hot: Temperature, cold: Temperature, clearance: Length, lead: System) -> [String; 3] {
    let one = |l: Length| show::length_in(l, lead);
    let grown = |size: Length, expansion: f64, to: Temperature| size * (1.0 + expansion * (to.si() - parts.room.si()));
    let bore = parts.shaft - parts.interference;
    let (wide, narrow) = (grown(bore, parts.ring_expansion, hot), grown(parts.shaft, parts.shaft_expansion, cold));
    let at = |t: Temperature| show::any_in(Dimension::Temperature, t.si(), lead);
    [
        format!("outer {} at {} = {} at {}", one(bore), at(parts.room), one(wide), at(hot)),
        format!("inner {} at {} = {} at {}", one(parts.shaft), at(parts.room), one(narrow), at(cold)),
        format!("{} - {} = {}", one(wide), one(narrow), one(clearance)),
    ]
}

/// The oven for each kind of cold that can be had.
fn ways(parts: &Parts, clearance: Length, room: Temperature, lead: System) -> Table {
    let all = std::iter::once(("room temperature", room.si())).chain(COLDS);
    let rows = all
        .map(|(name, cold)| {
            let oven = match heating::oven(parts, clearance, Temperature::from_si(cold)) {
                Ok(hot) if above(hot, room) => show::temperature(hot, lead),
                Ok(_) => "no heat needed".to_owned(),
                Err(_) => "too hot".to_owned(),
            };
            vec![Cell::from(name), oven.into()]
        })
        .collect();
    Table { caption: String::new(), header: ["Inner part at", "Outer part"].map(String::from).to_vec(), rows }
}
