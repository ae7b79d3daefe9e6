//! `cam key 4 gear=crank diameter=1.250in`: the offset that moves the cam four crank degrees.

use clap::{Args, ValueEnum};

use super::{careful, degrees};
use crate::desk::reply::{Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::cams;
use crate::quantity::{Angle, Given, Length, Measure, show};

/// How far, on which gear, at what diameter.
#[derive(Debug, Args)]
#[command(after_help = "cam key 4 gear=crank diameter=1.250in")]
pub struct Key {
    /// Crank degrees to move the cam by: advances; negative retards.
    pub by: Given<Angle>,
    /// The gear that is turned on its shaft.
    #[arg(long, required = true)]
    pub gear: GearName,
    /// Of the shaft at its key, or of the circle the dowel hole lies on.
    #[arg(long, required = true)]
    pub diameter: Given<Length>,
    /// A stepped key, or an eccentric bush on a dowel.
    #[arg(long, default_value = "key")]
    pub with: MeansName,
    /// Teeth of the crank gear: what a tooth is worth.
    #[arg(long)]
    pub teeth: Option<u32>,
}

/// Crank or cam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GearName {
    Crank,
    Cam,
}

/// Key or bush.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MeansName {
    Key,
    Bush,
}

impl Key {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let by = context.quantity("by", &self.by, None)?;
        let diameter = context.quantity("diameter", &self.diameter, context.lean(engine))?;
        let gear = if self.gear == GearName::Crank { cams::Gear::Crank } else { cams::Gear::Cam };
        let means = if self.with == MeansName::Key { cams::Means::Key } else { cams::Means::Bush };
        let teeth = self.teeth.map(|teeth| crate::quantity::read(&teeth.to_string())).transpose();
        let teeth = teeth.map_err(|why| crate::desk::Refusal::new("teeth", "", format!("It {why}.")))?;
        let mut typed = vec![("by", self.by.written()), ("diameter", self.diameter.written())];
        typed.extend(teeth.as_ref().map(|written| ("teeth", written)));
        let sum = cams::offset(by, gear, means, diameter, self.teeth).or_refuse(&typed)?;
        let lead = context.lead_with(&[self.diameter.system()], engine);
        let (turn, shaft) = (sum.on_shaft.abs(), if self.gear == GearName::Crank { "crank" } else { "cam" });
        let thing = if self.with == MeansName::Key { "key" } else { "bush" };
        let formula = match self.with {
            MeansName::Key => format!("{} x sin {}", show::length_in(sum.radius, lead), show::angle(turn)),
            MeansName::Bush => {
                format!(
                    "2 x {} x sin {}",
                    show::length_in(sum.radius, lead),
                    show::fixed(turn.si().to_degrees() / 2.0, 2) + "°"
                )
            }
        };
        let way = if by.si() < 0.0 { "retard" } else { "advance" };
        let turned = if self.gear == GearName::Crank {
            format!("{} turned on the {shaft}", show::angle(turn))
        } else {
            format!("{} / 2 = {} turned on the {shaft}", show::angle(by.abs()), show::angle(turn))
        };
        let mut reply = Reply::new(format!(
            "{} offset {} on the {shaft} gear to {way} {}",
            show::capital(thing),
            show::length(sum.offset, lead),
            show::angle(by.abs())
        ))
        .working([turned, format!("{formula} = {}", show::length_in(sum.offset, lead))])
        .text(match (self.gear, by.si() < 0.0) {
            (GearName::Crank, false) => {
                "To advance, the crank gear goes forward on the crank, in the running direction."
            }
            (GearName::Crank, true) => {
                "To retard, the crank gear goes back on the crank, against the running direction."
            }
            (GearName::Cam, false) => "To advance, the cam goes forward in its gear, in its own running direction.",
            (GearName::Cam, true) => "To retard, the cam goes back in its gear, against its own running direction.",
        })
        .value(Value::length("offset", sum.offset, lead))
        .value(degrees("on_shaft", sum.on_shaft));
        if let Some(tooth) = sum.tooth {
            let mut said = format!("{} of crank", show::angle(tooth));
            if by.si().abs() > tooth.si() / 2.0 {
                let rest = Angle::from_si(by.si().abs() - tooth.si());
                said = format!(
                    "{said}: move a tooth first, then {} {}",
                    show::angle(rest.abs()),
                    if (rest.si() < 0.0) == (by.si() < 0.0) { "of advance" } else { "of retard" }
                );
            }
            reply = reply.fields([("One tooth", said)]).value(degrees("tooth", tooth));
        }
        Ok(careful(reply)
            .text("Crank degrees are twice cam degrees: the same move wants half the turn on the cam gear. Degree the cam again with the key in.")
            .sources(["geometry: offset at the radius of the key or dowel; crank degrees"]))
    }
}
