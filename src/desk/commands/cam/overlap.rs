//! `cam overlap intake-opens=30 exhaust-closes=30`, or `cam overlap intake=280 exhaust=280 separation=110`.

use clap::Args;

use super::{careful, degrees};
use crate::desk::reply::Reply;
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::cams;
use crate::quantity::{Angle, Given, Measure, show};

/// The two events about top, or both durations and the separation.
#[derive(Debug, Args)]
#[command(after_help = "cam overlap intake-opens=30 exhaust-closes=30")]
pub struct Overlap {
    /// Intake opens, crank degrees before top; negative if after.
    #[arg(long, requires = "exhaust_closes", allow_hyphen_values = true)]
    pub intake_opens: Option<Given<Angle>>,
    /// Exhaust closes, crank degrees after top; negative if before.
    #[arg(long, requires = "intake_opens", allow_hyphen_values = true)]
    pub exhaust_closes: Option<Given<Angle>>,
    /// Intake duration, crank degrees.
    #[arg(long, conflicts_with = "intake_opens")]
    pub intake: Option<Given<Angle>>,
    /// Exhaust duration at the same lift; the intake's where left out.
    #[arg(long, requires = "intake")]
    pub exhaust: Option<Given<Angle>>,
    /// Lobe separation, cam degrees.
    #[arg(long, requires = "intake")]
    pub separation: Option<Given<Angle>>,
}

impl Overlap {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let mut typed = Vec::new();
        for (name, given) in [
            ("intake opens", &self.intake_opens),
            ("exhaust closes", &self.exhaust_closes),
            ("intake", &self.intake),
            ("exhaust", &self.exhaust),
            ("separation", &self.separation),
        ] {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let read = |name: &str, given: &Given<Angle>| context.quantity(name, given, None);
        let (overlap, working) = match (&self.intake_opens, &self.exhaust_closes, &self.intake, &self.separation) {
            (Some(opens), Some(closes), ..) => {
                let (opens, closes) = (read("intake-opens", opens)?, read("exhaust-closes", closes)?);
                let overlap = cams::overlap(opens, closes).or_refuse(&typed)?;
                (
                    overlap,
                    format!(
                        "{} before top + {} after top = {}",
                        show::angle(opens),
                        show::angle(closes),
                        show::angle(overlap)
                    ),
                )
            }
            (_, _, Some(intake), Some(apart)) => {
                let (given, apart) = (read("intake", intake)?, read("separation", apart)?);
                let exhaust = read("exhaust", self.exhaust.as_ref().unwrap_or(intake))?;
                let overlap = cams::overlap_by_durations(given, exhaust, apart).or_refuse(&typed)?;
                (
                    overlap,
                    format!(
                        "({} + {}) / 2 - 2 x {} = {}",
                        show::angle(given),
                        show::angle(exhaust),
                        show::angle(apart),
                        show::angle(overlap)
                    ),
                )
            }
            (_, _, Some(_), None) => {
                return Err(
                    Refusal::new("separation", "", "With durations goes the lobe separation, in cam degrees.").into()
                );
            }
            _ => {
                let possible =
                    "Give intake-opens= and exhaust-closes=, or intake= and exhaust= durations with separation=.";
                return Err(Refusal::new("intake-opens", "", possible).into());
            }
        };
        let title = if overlap.si() < 0.0 {
            format!("No overlap: both valves shut for {} about top", show::angle(-overlap))
        } else {
            format!("Overlap {} of crank", show::angle(overlap))
        };
        Ok(careful(
            Reply::new(title)
                .working([working])
                .text("Both events at one lift. At 0.050 in of follower lift the overlap is far less than at advertised lift, and a mild cam has none.")
                .sources(["definition: intake opens before top + exhaust closes after top; crank degrees"])
                .value(degrees("overlap", overlap)),
        ))
    }
}
