//! Stroke, rod and pin offset as several sums take them, and how speeds and angles of a piston are said.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::Value;
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::engine::Engine;
use crate::maths::slider::Slider;
use crate::quantity::{Acceleration, Angle, Given, Length, Measure, System, Velocity, Written, show};

/// What turns. What is left out comes from the engine's page.
#[derive(Debug, Args)]
pub struct Crankwork {
    /// Stroke; the engine's where left out.
    #[arg(long)]
    pub stroke: Option<Given<Length>>,
    /// Rod length between centres; the engine's where left out.
    #[arg(long)]
    pub rod: Option<Given<Length>>,
    /// Pin off the bore's centre, toward the major thrust face; away from it is negative.
    #[arg(long, allow_hyphen_values = true)]
    pub offset: Option<Given<Length>>,
    /// Take sizes from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The same, read.
pub struct Known<'a> {
    pub slider: Slider,
    pub stroke: Length,
    pub rod: Length,
    pub offset: Length,
    pub engine: Option<&'a Engine>,
    /// The unit a bare length takes.
    pub lean: Option<System>,
    pub lead: System,
}

impl Crankwork {
    pub fn read<'a>(&self, context: &'a Context) -> Result<Known<'a>, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let systems = [&self.stroke, &self.rod, &self.offset].map(|g| g.as_ref().and_then(Given::system));
        let lean = systems.into_iter().flatten().next().or(context.lean(engine));
        let stroke = context.size("stroke", self.stroke.as_ref(), engine.map(|e| e.stroke), lean)?;
        let rod = context.size("rod", self.rod.as_ref(), engine.and_then(|e| e.rod_length), lean)?;
        let offset = match &self.offset {
            Some(given) => context.quantity("offset", given, lean)?,
            None => engine.and_then(|e| e.pin_offset).unwrap_or_else(|| Length::from_si(0.0)),
        };
        let slider = Slider::new(stroke, rod, offset).or_refuse(&self.typed())?;
        Ok(Known { slider, stroke, rod, offset, engine, lean, lead: context.lead_with(&systems, engine) })
    }

    /// What was typed, for a refusal.
    pub fn typed(&self) -> Vec<(&'static str, &Written)> {
        [("stroke", &self.stroke), ("rod", &self.rod), ("offset", &self.offset)]
            .into_iter()
            .filter_map(|(name, given)| given.as_ref().map(|g| (name, g.written())))
            .collect()
    }
}

impl Known<'_> {
    /// `stroke 3.4800 in, rod 5.7000 in, pin offset 0.0600 in`.
    pub fn said(&self) -> String {
        let one = |length| show::length_in(length, self.lead);
        let offset = if self.offset.si() == 0.0 {
            "no pin offset".to_owned()
        } else {
            format!("pin offset {}", one(self.offset))
        };
        format!("stroke {}, rod {}, {offset}", one(self.stroke), one(self.rod))
    }
}

/// `75.0° after top`, `12.0° before top`.
pub fn from_top(angle: Angle) -> String {
    let side = if angle.si() < 0.0 { "before" } else { "after" };
    format!("{} {side} top", show::angle(angle.abs()))
}

fn feet_per_minute(speed: Velocity) -> f64 {
    speed.value * 60.0 / 0.3048
}

/// `3742 ft/min (19.01 m/s)`.
pub fn speed(speed: Velocity, system: System) -> String {
    let (inch, metric) =
        (format!("{} ft/min", show::fixed(feet_per_minute(speed), 0)), format!("{} m/s", show::fixed(speed.value, 2)));
    match system {
        System::Inch => format!("{inch} ({metric})"),
        System::Metric => format!("{metric} ({inch})"),
    }
}

/// A speed as the figure counts it, with its unit.
pub fn speed_in(speed: Velocity, system: System) -> (f64, &'static str) {
    match system {
        System::Inch => (feet_per_minute(speed), "ft/min"),
        System::Metric => (speed.value, "m/s"),
    }
}

pub fn speed_value(name: &str, speed: Velocity, system: System) -> Value {
    let (value, unit) = speed_in(speed, system);
    Value::counted(name, value, unit)
}

/// In times the standard fall, 9.80665 m/s2.
pub fn in_g(acceleration: Acceleration) -> f64 {
    acceleration.value / 9.806_65
}

/// `1479 g (14504 m/s2)`.
pub fn acceleration(acceleration: Acceleration) -> String {
    format!("{} g ({} m/s2)", show::fixed(in_g(acceleration), 0), show::fixed(acceleration.value, 0))
}
