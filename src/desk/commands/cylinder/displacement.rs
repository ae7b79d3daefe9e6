//! `cylinder displacement 4.000in 3.480in 8`: swept volume of one cylinder and of the engine.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::cylinders;
use crate::quantity::{Dimension, Given, Length, Measure, show};

/// Sizes, or an engine that has them.
#[derive(Debug, Args)]
#[command(after_help = "cylinder displacement 4.000in 3.480in 8")]
pub struct Displacement {
    /// Bore; the engine's where left out.
    pub bore: Option<Given<Length>>,
    /// Stroke; the engine's where left out.
    pub stroke: Option<Given<Length>>,
    /// How many cylinders; the engine's where left out.
    pub cylinders: Option<u32>,
    /// Take what is left out from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Displacement {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = context.lean(engine);
        let bore = context.size("bore", self.bore.as_ref(), engine.map(|e| e.bore), lean)?;
        let stroke = context.size("stroke", self.stroke.as_ref(), engine.map(|e| e.stroke), lean)?;
        let cylinders = self.cylinders.or(engine.map(|e| u32::from(e.cylinders()))).unwrap_or(1);
        let typed: Vec<_> = [("bore", &self.bore), ("stroke", &self.stroke)]
            .into_iter()
            .filter_map(|(name, given)| given.as_ref().map(|g| (name, g.written())))
            .collect();
        let sum = cylinders::displacement(bore, stroke, cylinders).or_refuse(&typed)?;
        let systems = [&self.bore, &self.stroke].map(|g| g.as_ref().and_then(Given::system));
        let lead = context.lead_with(&systems, engine);
        let title = if cylinders == 1 {
            format!("Displacement {} for one cylinder", show::volume(sum.one, lead))
        } else {
            format!("Displacement {} for {cylinders} cylinders", show::volume(sum.all, lead))
        };
        Ok(Reply::new(title)
            .fields([("One cylinder", show::volume(sum.one, lead))])
            .working([format!(
                "pi/4 x {}² x {} x {cylinders} = {}",
                show::length_in(bore, lead),
                show::length_in(stroke, lead),
                show::volume_in(sum.all, lead)
            )])
            .sources(["definition of swept volume; Heywood, Internal Combustion Engine Fundamentals, 2.2"])
            .value(Value::si("displacement", Dimension::Volume, sum.all.si(), lead))
            .value(Value::si("cylinder", Dimension::Volume, sum.one.si(), lead)))
    }
}
