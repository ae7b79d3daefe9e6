//! The stretched length of a bolt as a command is given it: plain parts and free thread.

use clap::Args;

use super::thread::{Named, area};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::stretch::{self, Plain, Spring};
use crate::quantity::{Given, Length, Measure, Pressure, System, Written, show};

/// What is typed for it.
#[derive(Debug, Args)]
pub struct Parts {
    /// Length of a plain part; once for each part of a stepped bolt.
    #[arg(long)]
    pub length: Vec<Given<Length>>,
    /// Diameter of that part, in the same order; the thread's where left out.
    #[arg(long)]
    pub diameter: Vec<Given<Length>>,
    /// Thread that is stretched and in no nut.
    #[arg(long)]
    pub threaded: Option<Given<Length>>,
}

/// What the sum adds beyond the parts.
pub const ALLOWANCE: &str =
    "allowance: half a diameter of engaged thread and half a diameter of head (after VDI 2230, from memory)";

impl Parts {
    /// The system of the first length that has one.
    pub fn system(&self) -> Option<System> {
        self.length.iter().chain(&self.diameter).chain(&self.threaded).find_map(Given::system)
    }

    pub fn typed<'a>(&'a self, modulus: &'a Given<Pressure>) -> Vec<(&'static str, &'a Written)> {
        let mut typed = vec![("modulus", modulus.written())];
        typed.extend(self.length.first().map(|g| ("length", g.written())));
        typed.extend(self.diameter.first().map(|g| ("diameter", g.written())));
        typed.extend(self.threaded.as_ref().map(|g| ("threaded", g.written())));
        typed
    }

    /// The bolt as a spring, with its lines of working. A part without a diameter is as thick as the thread.
    pub fn spring(
        &self,
        context: &Context,
        named: &Named,
        modulus: &Given<Pressure>,
        lean: Option<System>,
        lead: System,
    ) -> Result<(Spring, Vec<String>), Trouble> {
        let lengths = context.quantities("length", &self.length, lean)?;
        let mut diameters = context.quantities("diameter", &self.diameter, lean)?;
        if self.length.is_empty() && self.threaded.is_none() {
            let possible = "The plain length that stretches, and threaded= for the free thread of it.";
            return Err(Refusal::new("length", "", possible).into());
        }
        if diameters.is_empty() {
            diameters = vec![named.thread.diameter; lengths.len()];
        }
        if diameters.len() != lengths.len() {
            let possible = format!(
                "Each plain part has a length and a diameter, in the same order: {} and {} came.",
                lengths.len(),
                diameters.len()
            );
            return Err(Refusal::new("diameter", "", possible).into());
        }
        let plain: Vec<Plain> =
            lengths.into_iter().zip(diameters).map(|(length, diameter)| Plain { length, diameter }).collect();
        let threaded =
            self.threaded.as_ref().map_or(Ok(Length::from_si(0.0)), |t| context.quantity("threaded", t, lean))?;
        let elastic = context.quantity("modulus", modulus, lean)?;
        // The one at fault is shown, not the first of its kind.
        let found = stretch::spring(&named.thread, &plain, threaded, elastic).or_refuse(&self.typed(modulus))?;
        let mut lines: Vec<String> = found
            .parts
            .iter()
            .enumerate()
            .map(|(at, part)| {
                let what = match plain.get(at) {
                    Some(plain) => format!("plain {} diameter", show::length_in(plain.diameter, lead)),
                    None => "free thread".to_owned(),
                };
                format!("{what}: L / A = {} / {}", show::length_in(part.length, lead), area(part.area, lead))
            })
            .collect();
        lines.push(format!(
            "sum of L / (A E), E = {}: {}; with the allowance {}",
            show::pressure(elastic, lead),
            give(found.bare, lead),
            give(found.allowed, lead)
        ));
        Ok((found, lines))
    }
}

/// A compliance as people can picture it: stretch for a round load.
fn give(compliance: f64, lead: System) -> String {
    match lead {
        System::Inch => format!("{} in for each 1000 lbf", show::fixed(compliance * 4_448.221_615 / 0.0254, 5)),
        System::Metric => format!("{} mm for each kN", show::fixed(compliance * 1e6, 5)),
    }
}
