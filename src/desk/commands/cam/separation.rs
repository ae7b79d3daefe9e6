//! `cam separation intake=106 exhaust=114`: lobe separation and how the cam stands.

use clap::Args;

use super::{ahead, careful, degrees};
use crate::desk::reply::{Action, Reply};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::cams;
use crate::quantity::{Angle, Given, show};

/// The centrelines of one cylinder's lobes.
#[derive(Debug, Args)]
#[command(after_help = "cam separation intake=106 exhaust=114")]
pub struct Separation {
    /// Intake centreline, crank degrees after top.
    pub intake: Given<Angle>,
    /// Exhaust centreline, crank degrees before top.
    pub exhaust: Given<Angle>,
}

impl Separation {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let intake = context.quantity("intake", &self.intake, None)?;
        let exhaust = context.quantity("exhaust", &self.exhaust, None)?;
        let sum = cams::separation(intake, exhaust)
            .or_refuse(&[("intake", self.intake.written()), ("exhaust", self.exhaust.written())])?;
        let (inlet, outlet) = (show::angle(intake), show::angle(exhaust));
        Ok(careful(
            Reply::new(format!("Lobe separation {} of cam, {}", show::angle(sum.separation), ahead(sum.advance)))
                .working([
                    format!("({inlet} after top + {outlet} before top) / 2 = {} of cam", show::angle(sum.separation)),
                    format!("advance = ({outlet} - {inlet}) / 2 = {} of crank", show::angle(sum.advance)),
                ])
                .text("Separation is ground into the cam: no key changes it. Advance moves both lobes together; straight up is where both centrelines are equal, which is not always what the card asks for.")
                .sources(["definitions of valve timing"])
                .value(degrees("separation", sum.separation))
                .value(degrees("advance", sum.advance))
                .action(Action::form("Against the card", "cam degree rising= falling= card=")),
        ))
    }
}
