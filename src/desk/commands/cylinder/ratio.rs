//! `cylinder ratio rod=5.700in stroke=3.480in`: rod over stroke, and what it means.

use clap::Args;

use crate::desk::commands::crankwork::Crankwork;
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::quantity::{Angle, Dimension, Measure, Turning, show};

/// Rod and stroke.
#[derive(Debug, Args)]
#[command(after_help = "cylinder ratio rod=5.700in stroke=3.480in")]
pub struct Ratio {
    #[command(flatten)]
    pub crankwork: Crankwork,
}

/// Below the first a rod is called short, above the second long. Common practice, from memory.
const USUAL: (f64, f64) = (1.5, 1.8);
/// Near the top, as a share of the travel.
const NEAR: f64 = 0.01;

impl Ratio {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let known = self.crankwork.read(context)?;
        let slider = &known.slider;
        // Any speed will do: angles and shares do not depend on it.
        let turn = slider.turn(Turning::from_si(100.0)).or_refuse(&self.crankwork.typed())?;
        let ratio = slider.ratio();
        let word = if ratio < USUAL.0 {
            "short: more side load on the thrust face, the piston leaves the top faster"
        } else if ratio > USUAL.1 {
            "long: less side load on the thrust face, the piston lingers at the top"
        } else {
            "in the usual range"
        };
        let quarter = slider.at(Angle::from_si(std::f64::consts::FRAC_PI_2)).or_refuse(&self.crankwork.typed())?;
        let lean = slider.most_lean();
        let dwell = slider.dwell(NEAR);
        let harder = 1.0 / (2.0 * ratio);
        Ok(Reply::new(format!("Rod to stroke {} : 1", show::fixed(ratio, 2)))
            .fields([
                ("It is", word.to_owned()),
                ("Usual", format!("{} to {} : 1", USUAL.0, USUAL.1)),
                (
                    "Rod leans at most",
                    format!(
                        "{}: side load up to {} % of the rod's push down the bore",
                        show::angle(lean),
                        show::fixed(lean.si().tan() * 100.0, 0)
                    ),
                ),
                ("Fastest", format!("{} after top going down", show::angle(turn.down.at))),
                ("At 90° after top", format!("{} % of the travel is done", show::fixed(quarter.share * 100.0, 1))),
                ("Within 1 % of the travel from the top", format!("{} of crank", show::angle(dwell))),
                (
                    "Acceleration at the top",
                    format!("{} % more than with an endless rod", show::fixed(harder * 100.0, 0)),
                ),
            ])
            .working([
                format!(
                    "{} rod / {} stroke = {}",
                    show::length_in(known.rod, known.lead),
                    show::length_in(known.stroke, known.lead),
                    show::fixed(ratio, 3)
                ),
                format!("most lean: asin((half stroke + pin offset) / rod) = {}", show::angle(lean)),
            ])
            .value(Value::plain("ratio", ratio))
            .value(Value::si("most_lean", Dimension::Angle, lean.si(), known.lead))
            .value(Value::si("fastest_at", Dimension::Angle, turn.down.at.si(), known.lead))
            .value(Value::plain("share_at_90", quarter.share))
            .action(Action::form("Speed and acceleration at an angle", "piston motion"))
            .sources([
                "definition; slider-crank, Heywood, Internal Combustion Engine Fundamentals, 2.2, from memory",
                "short, usual and long: common practice, from memory; within that range it decides little by itself",
            ]))
    }
}
