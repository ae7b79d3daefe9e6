//! `measure at20 4.0270in 28C cast-piston`: a size as it is at 20 °C.

use clap::Args;
use uom::si::temperature_interval::kelvin;

use super::digits::{fine_in, plus_minus};
use crate::desk::commands::metals::{self, AnyMetal};
use crate::desk::reply::{Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::materials;
use crate::maths::reference;
use crate::quantity::{Given, Length, Measure, Number, Temperature, TemperatureInterval, show};

/// Size, temperature and metal.
#[derive(Debug, Args)]
#[command(after_help = "measure at20 4.0270in 28C cast-piston")]
pub struct At20 {
    /// The size as read.
    pub size: Given<Length>,
    /// Temperature of the part when it was read.
    pub temperature: Given<Temperature>,
    /// What it is made of.
    pub metal: Option<AnyMetal>,
    /// Expansion in millionths per °C, from the alloy's own sheet; it wins over the metal.
    #[arg(long)]
    pub expansion: Option<Given<Number>>,
    /// Expanded uncertainty (k = 2) of the reading.
    #[arg(long)]
    pub uncertainty: Option<Given<Length>>,
    /// How near the temperature is known, in °C either way.
    #[arg(long, default_value = "1")]
    pub within: Given<Number>,
}

impl At20 {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let size = context.quantity("size", &self.size, lean)?;
        let lead = context.lead_with(&[self.size.system()], engine);
        let temp = context.quantity("temperature", &self.temperature, lean)?;
        let reading = match &self.uncertainty {
            Some(given) => context.quantity("uncertainty", given, Some(lead))?,
            None => Length::from_si(0.0),
        };
        let within = TemperatureInterval::new::<kelvin>(context.quantity("within", &self.within, None)?.0);
        let (expansion, named, basis) = match (&self.expansion, self.metal) {
            (Some(given), _) => {
                let millionths = context.quantity("expansion", given, None)?.0;
                (millionths * 1e-6, "as given".to_owned(), "the expansion given".to_owned())
            }
            (None, Some(metal)) => {
                let metal = metals::metal(&metal)?;
                (
                    metal.expansion,
                    format!("for {}", metal.name),
                    format!("expansion of {}: {}", metal.name, metal.source),
                )
            }
            (None, None) => {
                let known: Vec<&str> = materials::MATERIALS.iter().map(|m| m.id).collect();
                let possible = format!("What it is made of, one of: {}; or expansion=.", known.join(", "));
                return Err(Refusal::new("metal", "", possible).into());
            }
        };
        let mut typed = vec![("size", self.size.written()), ("temperature", self.temperature.written())];
        typed.push(("within", self.within.written()));
        typed.extend(self.expansion.as_ref().map(|g| ("expansion", g.written())));
        typed.extend(self.uncertainty.as_ref().map(|g| ("uncertainty", g.written())));
        // The coefficient's range is per kelvin, a person gives millionths.
        if let Some(given) = self.expansion.as_ref().filter(|g| !(0.0..=50.0).contains(&g.written().number)) {
            return Err(Refusal::new(
                "expansion",
                &given.written().text,
                "Possible: 0 to 50 millionths per °C; steel is near 12.",
            )
            .into());
        }
        let sum = reference::at_reference(size, temp, expansion, reading, within).or_refuse(&typed)?;
        let bit = |l: Length| fine_in(l, l, lead);
        // Without the reading's own uncertainty no digits past the gauge's are earned.
        let title = match &self.uncertainty {
            Some(_) => format!("{} at 20 °C", plus_minus(sum.at_20, sum.expanded, lead)),
            None => format!("{} at 20 °C", show::length(sum.at_20, lead)),
        };
        let celsius = temp.si() - 273.15;
        let mut from = vec![
            format!("{} from the temperature within {} °C", bit(sum.from_temperature), self.within),
            format!("{} from the coefficient, good to 5 %", bit(sum.from_coefficient)),
        ];
        if reading.si() > 0.0 {
            from.insert(0, format!("{} from the reading", bit(sum.from_reading)));
        }
        let reply = Reply::new(title)
            .fields([
                ("As read", format!("{} at {}", show::length(size, lead), show::temperature(temp, lead))),
                ("Change", show::length(sum.change, lead)),
            ])
            .working([
                format!(
                    "{} / (1 + {} x ({} - 20)) = {}, with {} millionths per °C {named}",
                    show::length_in(size, lead),
                    show::fixed(expansion, 7),
                    show::number((celsius * 10.0).round() / 10.0),
                    show::length_in(sum.at_20, lead),
                    show::number(expansion * 1e6),
                ),
                format!(
                    "U{} = root of the squares of {} = {}",
                    if reading.si() > 0.0 { "" } else { " of the correction" },
                    from.join(", "),
                    bit(sum.expanded)
                ),
            ])
            .value(Value::length("at_20", sum.at_20, lead))
            .value(Value::length("change", sum.change, lead))
            .value(Value::length("expanded_uncertainty", sum.expanded, lead));
        let reply = if self.uncertainty.is_none() {
            reply.text("U is that of the correction alone: give uncertainty= for the reading's own.")
        } else {
            reply
        };
        Ok(reply
            .caution(Loudness::Note, "The part's own temperature counts, not the room's: let it lie beside the instrument until both are the same, overnight for a block.")
            .sources([
                "ISO 1: sizes hold at 20 °C; d20 = d / (1 + a (T - 20))".to_owned(),
                basis,
                "uncertainty: JCGM 100:2008, 5.1.2, first order".to_owned(),
            ]))
    }
}
