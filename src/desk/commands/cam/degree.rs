//! `cam degree opens=6 closes=40 card=107`, or off the peak: `cam degree rising=68 falling=146 card=107`.

use clap::Args;

use super::{LobeName, ahead, careful, degrees};
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::cams::{self, Lobe};
use crate::quantity::{Angle, Given, Length, Measure, show};

/// Events, or two readings beside the peak; both may be given.
#[derive(Debug, Args)]
#[command(after_help = "cam degree rising=68 falling=146 card=105")]
pub struct Degree {
    /// Opens, crank degrees: intake before top, exhaust before bottom; negative if after.
    #[arg(long, requires = "closes", allow_hyphen_values = true)]
    pub opens: Option<Given<Angle>>,
    /// Closes, crank degrees: intake after bottom, exhaust after top; negative if before.
    #[arg(long, requires = "opens", allow_hyphen_values = true)]
    pub closes: Option<Given<Angle>>,
    /// Wheel before the peak: intake after top, exhaust before top.
    #[arg(long, requires = "falling", allow_hyphen_values = true)]
    pub rising: Option<Given<Angle>>,
    /// Wheel past the peak at the same lift: intake after top, exhaust before top.
    #[arg(long, requires = "rising", allow_hyphen_values = true)]
    pub falling: Option<Given<Angle>>,
    /// Which lobe was read.
    #[arg(long, default_value = "intake")]
    pub lobe: LobeName,
    /// Centreline on the cam card.
    #[arg(long)]
    pub card: Option<Given<Angle>>,
    /// Greatest lift read at the follower.
    #[arg(long)]
    pub lift: Option<Given<Length>>,
    /// Follower lift at which the events were read; the card's must be the same.
    #[arg(long, default_value = "0.050in")]
    pub at: Given<Length>,
}

impl Degree {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let lobe = Lobe::from(self.lobe);
        let (name, side) = match lobe {
            Lobe::Intake => ("Intake", "after top"),
            Lobe::Exhaust => ("Exhaust", "before top"),
        };
        let angle = |name: &str, given: &Option<Given<Angle>>| {
            given.as_ref().map(|g| context.quantity(name, g, None)).transpose()
        };
        let mut typed = Vec::new();
        for (input, given) in [
            ("opens", &self.opens),
            ("closes", &self.closes),
            ("rising", &self.rising),
            ("falling", &self.falling),
            ("card", &self.card),
        ] {
            typed.extend(given.as_ref().map(|g| (input, g.written())));
        }
        let at = context.quantity("at", &self.at, lean)?;
        let lift = self.lift.as_ref().map(|g| context.quantity("lift", g, lean)).transpose()?;
        cams::lifts(at, lift)
            .or_refuse(&[("at", self.at.written()), ("lift", self.lift.as_ref().unwrap_or(&self.at).written())])?;
        let lead = context.lead_with(&[self.lift.as_ref().and_then(Given::system)], engine);
        let mut working = Vec::new();
        let timing = match (angle("opens", &self.opens)?, angle("closes", &self.closes)?) {
            (Some(opens), Some(closes)) => Some(cams::timing(lobe, opens, closes).or_refuse(&typed)?),
            _ => None,
        };
        if let Some(t) = &timing {
            let (near, word) = if lobe == Lobe::Intake { (t.opens, "opens") } else { (t.closes, "closes") };
            working.push(format!(
                "duration = {} + 180° + {} = {}",
                show::angle(t.opens),
                show::angle(t.closes),
                show::angle(t.duration)
            ));
            working.push(format!(
                "centreline = {} / 2 - {} {word} = {} {side}",
                show::angle(t.duration),
                show::angle(near),
                show::angle(t.centreline)
            ));
        }
        let peak = match (angle("rising", &self.rising)?, angle("falling", &self.falling)?) {
            (Some(rising), Some(falling)) => {
                let peak = cams::peak(lobe, rising, falling).or_refuse(&typed)?;
                working.push(format!(
                    "off the peak: ({} + {}) / 2 = {} {side}",
                    show::angle(rising),
                    show::angle(falling),
                    show::angle(peak)
                ));
                Some(peak)
            }
            _ => None,
        };
        let Some(centreline) = peak.or(timing.map(|t| t.centreline)) else {
            let possible = "Give opens= and closes=, or rising= and falling= at one lift either side of the peak.";
            return Err(Refusal::new("opens", "", possible).into());
        };
        let mut title = format!("{name} centreline {} {side}", show::angle(centreline));
        let advance = match angle("card", &self.card)? {
            Some(card) => {
                let advance = cams::advance(lobe, centreline, card).or_refuse(&typed)?;
                let verdict = if advance.si().abs().to_degrees() < 0.05 {
                    "as the card says".to_owned()
                } else {
                    format!("{} from the card", ahead(advance))
                };
                title = format!("{title}: {verdict}");
                working.push(match lobe {
                    Lobe::Intake => {
                        format!("card {} - {} = {}", show::angle(card), show::angle(centreline), signed(advance))
                    }
                    Lobe::Exhaust => {
                        format!("{} - card {} = {}", show::angle(centreline), show::angle(card), signed(advance))
                    }
                });
                Some(advance)
            }
            None => None,
        };
        let mut reply = Reply::new(title).working(working).value(degrees("centreline", centreline));
        if let Some(t) = &timing {
            reply = reply
                .fields([(
                    "Duration",
                    format!("{} of crank at {} of follower lift", show::angle(t.duration), show::length(at, lead)),
                )])
                .value(degrees("duration", t.duration));
        }
        if let (Some(peak), Some(t)) = (peak, timing)
            && (peak - t.centreline).abs().si().to_degrees() > 1.0
        {
            reply = reply.text(format!(
                "The peak lies {} from the middle of the events: the lobe is made uneven, or a reading slipped. Hold like against like: the card says by which it was drawn.",
                show::angle((peak - t.centreline).abs())
            ));
        }
        if let Some(lift) = lift {
            reply = reply
                .fields([("Lift", format!("{} at the follower", show::length(lift, lead)))])
                .value(Value::length("lobe_lift", lift, lead))
                .action(Action::form(
                    "Lift at the valve",
                    format!(
                        "valve ratio lobe={} ratio=",
                        self.lift.as_ref().map_or(String::new(), |g| g.to_string().replace(' ', ""))
                    ),
                ));
        }
        if let Some(advance) = advance {
            reply = reply.value(degrees("advance", advance));
            let off = advance.si().to_degrees();
            if off.abs() > 8.0 {
                reply = reply.text("Nearly a tooth or more: look at the timing marks and at which top the wheel was set before any key.");
            } else if off.abs() > 1.0 + 1e-9 {
                reply = reply
                    .text(format!(
                        "To meet the card {} the cam by {}.",
                        if off > 0.0 { "retard" } else { "advance" },
                        show::angle(advance.abs())
                    ))
                    .action(Action::form(
                        "Which offset",
                        format!("cam key by={} gear=crank diameter=", show::fixed(-off, 1)),
                    ));
            } else {
                reply = reply.text("Within a degree is as near as a wheel reads (common practice).");
            }
        }
        Ok(careful(reply)
            .sources([
                "definitions of valve timing; crank degrees",
                "events and card at one lift: at 0.050 in and at advertised lift they differ",
            ])
            .action(Action::send("How to degree a cam", "page degreeing-and-finding-tdc")))
    }
}

/// `+2.0° (advanced)`.
fn signed(advance: Angle) -> String {
    let degrees = advance.si().to_degrees();
    format!("{}{}°", if degrees > 0.05 { "+" } else { "" }, show::fixed(degrees, 1))
}
