//! `cylinder effective 9.5 62 stroke=3.480in rod=5.700in`: compression counted from where the intake valve shuts.

use clap::Args;

use crate::desk::commands::crankwork::Crankwork;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::trapped;
use crate::quantity::{Angle, Given, Measure, Number, show};

/// Static ratio and where the intake valve shuts.
#[derive(Debug, Args)]
#[command(after_help = "cylinder effective 9.5 62 stroke=3.480in rod=5.700in target=8")]
pub struct Effective {
    /// Static compression ratio, as cylinder compression works it out.
    pub ratio: Given<Number>,
    /// Intake valve on its seat, degrees after bottom dead centre; before it is negative.
    #[arg(allow_hyphen_values = true)]
    pub closing: Option<Given<Angle>>,
    /// In place of closing: duration of the intake on the seat, degrees.
    #[arg(long, conflicts_with = "closing")]
    pub duration: Option<Given<Angle>>,
    /// With duration: intake centreline, degrees after top dead centre.
    #[arg(long, conflicts_with = "closing")]
    pub centreline: Option<Given<Angle>>,
    /// Effective ratio wanted: the static one that gives it.
    #[arg(long)]
    pub target: Option<Given<Number>>,
    #[command(flatten)]
    pub crankwork: Crankwork,
}

impl Effective {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let known = self.crankwork.read(context)?;
        let lead = known.lead;
        let mut typed = self.crankwork.typed();
        typed.push(("ratio", self.ratio.written()));
        typed.extend(self.target.as_ref().map(|g| ("target", g.written())));
        for (name, given) in
            [("closing", &self.closing), ("duration", &self.duration), ("centreline", &self.centreline)]
        {
            typed.extend(given.as_ref().map(|g| (name, g.written())));
        }
        let (closing, card) = self.shuts(context, &typed)?;
        let fixed = context.quantity("ratio", &self.ratio, None)?.0;
        let sum = trapped::trapped(&known.slider, closing, fixed).or_refuse(&typed)?;
        let two = |ratio| show::fixed(ratio, 2);
        let side = if closing.si() < 0.0 { "before" } else { "after" };
        let shuts = format!("{} {side} bottom", show::angle(closing.abs()));
        let mut reply =
            Reply::new(format!("Effective compression {} : 1 (static {} : 1)", two(sum.effective), two(fixed)))
                .working(card.into_iter().chain([
                    format!("{}: travel {}", known.said(), show::length_in(known.slider.travel(), lead)),
                    format!(
                        "valve shut {shuts}: piston {} below the top, {} % of the travel",
                        show::length(sum.place.drop, lead),
                        show::fixed(sum.place.share * 100.0, 1)
                    ),
                    format!("1 + ({} - 1) x {} = {}", two(fixed), show::fixed(sum.place.share, 4), two(sum.effective)),
                ]))
                .value(Value::plain("effective_ratio", sum.effective))
                .value(Value::length("effective_stroke", sum.place.drop, lead))
                .value(Value::plain("share_of_travel", sum.place.share));
        if let Some(target) = &self.target {
            let target = context.quantity("target", target, None)?.0;
            let wanted = trapped::fixed_for(&known.slider, closing, target).or_refuse(&typed)?;
            reply = reply
                .fields([(format!("For {} : 1 effective", two(target)), format!("static {} : 1", two(wanted)))])
                .value(Value::plain("static_for_target", wanted))
                .action(Action::form("What to change for it", format!("cylinder compression target={}", two(wanted))));
        }
        Ok(reply
            .caution(Loudness::Important, "Only closing on the seat counts. A card's events at 0.050 in of lift shut the valve 25° or so too early, and the ratio comes out too high. What the fuel will bear goes by more than a ratio: chamber, heat, spark, load.")
            .sources(["definition: volume when the intake valve shuts over volume at the top; slider-crank, Heywood 2.2, from memory", "degrees from the piston's own top, as a wheel is zeroed"]))
    }

    /// Closing as given, or from the cam card with its line of working.
    fn shuts(
        &self,
        context: &Context,
        typed: &[(&str, &crate::quantity::Written)],
    ) -> Result<(Angle, Option<String>), Trouble> {
        match (&self.closing, &self.duration, &self.centreline) {
            (Some(closing), ..) => Ok((context.quantity("closing", closing, None)?, None)),
            (None, Some(duration), Some(centreline)) => {
                let duration = context.quantity("duration", duration, None)?;
                let centreline = context.quantity("centreline", centreline, None)?;
                let closing = trapped::closing(duration, centreline).or_refuse(typed)?;
                let line = format!(
                    "{} duration / 2 + {} centreline - 180° = {} after bottom",
                    show::angle(duration),
                    show::angle(centreline),
                    show::angle(closing)
                );
                Ok((closing, Some(line)))
            }
            (None, Some(_), None) => Err(Refusal::new("centreline", "", "With a duration goes the intake centreline.").into()),
            (None, None, Some(_)) => Err(Refusal::new("duration", "", "With a centreline goes the duration on the seat.").into()),
            (None, None, None) => Err(Refusal::new("closing", "", "Degrees after bottom dead centre at which the intake valve is on its seat; or duration= and centreline=.").into()),
        }
    }
}
