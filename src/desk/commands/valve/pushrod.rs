//! `valve pushrod 7.800in arm=1.500in ratio=1.5 lift=0.500in rise=0.290in`: the length that sweeps the narrowest pattern.

use clap::Args;

use super::before_the_starter;
use crate::desk::reply::{Action, Block, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::pushrods::{self, Pattern, Rocker};
use crate::quantity::{Angle, Given, Length, Measure, Number, System, show};

/// The checking pushrod and how the rocker stands on it.
#[derive(Debug, Args)]
#[command(after_help = "valve pushrod 7.800in arm=1.500in ratio=1.5 lift=0.500in rise=0.290in")]
pub struct Pushrod {
    /// Length of the checking pushrod, at no lash.
    pub checking: Given<Length>,
    /// Rocker pivot centre to the centre of its roller, or of its pad's curve.
    #[arg(long, required = true)]
    pub arm: Given<Length>,
    /// Rocker ratio.
    #[arg(long, required = true)]
    pub ratio: Given<Number>,
    /// Lift at the valve.
    #[arg(long, required = true)]
    pub lift: Given<Length>,
    /// Roller centre above pivot centre along the stem, valve shut; negative below.
    #[arg(long, required = true, allow_hyphen_values = true)]
    pub rise: Given<Length>,
    /// Angle between pushrod and stem; positive leans away from the valve at the bottom.
    #[arg(long, default_value = "0", allow_hyphen_values = true)]
    pub lean: Given<Angle>,
    /// Pivot centre to the middle of the stem, square to it: is the pattern on the middle?
    #[arg(long)]
    pub stem: Option<Given<Length>>,
    /// Pushrods are sold in steps of this.
    #[arg(long, default_value = "0.050in")]
    pub step: Given<Length>,
}

impl Pushrod {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = [&self.checking, &self.arm, &self.lift, &self.rise].into_iter().find_map(Given::system);
        let lean = lean.or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let rocker = Rocker {
            checking: context.quantity("checking", &self.checking, lean)?,
            arm: context.quantity("arm", &self.arm, lean)?,
            ratio: context.quantity("ratio", &self.ratio, None)?.0,
            lift: context.quantity("lift", &self.lift, lean)?,
            rise: context.quantity("rise", &self.rise, lean)?,
            lean: context.quantity("lean", &self.lean, None)?,
        };
        let mut typed = vec![
            ("checking", self.checking.written()),
            ("arm", self.arm.written()),
            ("ratio", self.ratio.written()),
            ("lift", self.lift.written()),
            ("rise", self.rise.written()),
            ("lean", self.lean.written()),
            ("step", self.step.written()),
        ];
        typed.extend(self.stem.as_ref().map(|g| ("stem", g.written())));
        let sum = pushrods::pushrod(&rocker).or_refuse(&typed)?;
        let step = context.quantity("step", &self.step, lean)?;
        let stock = pushrods::nearest_step(sum.length, step).or_refuse(&typed)?;
        let of_stock = pushrods::swept_by(&rocker, stock).or_refuse(&typed)?;
        let stem = self.stem.as_ref().map(|g| context.quantity("stem", g, lean)).transpose()?;
        if let Some(stem) = stem {
            pushrods::stem_place(&rocker, stem).or_refuse(&typed)?;
        }
        let change = if sum.change.si() < 0.0 { "shorter" } else { "longer" };
        let mut reply = Reply::new(format!(
            "Pushrod {}: {} {change} than the checking one",
            show::length(sum.length, lead),
            show::length(sum.change.abs(), lead)
        ))
        .working([
            format!(
                "mid-lift: roller {} / 2 = {} above the pivot, valve shut; it stands {}",
                show::length_in(rocker.lift, lead),
                show::length_in(sum.rise, lead),
                show::length_in(rocker.rise, lead)
            ),
            format!(
                "pushrod: about (1 + 1 / {}) x ({} - {}) = {}; by the sweep {}",
                show::number(rocker.ratio),
                show::length_in(rocker.rise, lead),
                show::length_in(sum.rise, lead),
                show::length_in((rocker.rise - sum.rise) * (1.0 + 1.0 / rocker.ratio), lead),
                show::length_in(sum.change, lead)
            ),
        ])
        .block(Block::Table(Table {
            caption: "Pattern on the valve tip".to_owned(),
            header: ["Pushrod", "Length", "Width", "Middle, from the pivot"].map(String::from).to_vec(),
            rows: [
                ("checking", rocker.checking, sum.now),
                ("best", sum.length, sum.best),
                ("nearest step", stock, of_stock),
            ]
            .map(|(name, length, pattern)| row(name, length, &pattern, lead).map(Into::into).to_vec())
            .to_vec(),
        }))
        .value(Value::length("length", sum.length, lead))
        .value(Value::length("change", sum.change, lead))
        .value(Value::length("width_now", sum.now.width, lead))
        .value(Value::length("width_best", sum.best.width, lead))
        .value(Value::length("nearest_step", stock, lead));
        if let Some(stem) = stem {
            let off = sum.best.centre - stem;
            let side =
                if off.si() > 0.0 { "beyond the middle of the stem" } else { "short of it, on the pivot's side" };
            reply = reply
                .fields([("Best pattern", format!("{} {side}", show::length(off.abs(), lead)))])
                .text("A narrow pattern off the middle is a matter of the rocker or its stand, not of the pushrod.")
                .value(Value::length("off_stem", off, lead));
        }
        Ok(before_the_starter(reply)
            .text("For a rocker on a stud: a longer pushrod lifts its pivot. On a shaft the stand's height does, and the pushrod only sets the adjuster. A hydraulic lifter's preload is added to this length. Prove it with blue on the tip: the mark narrow and near the middle.")
            .sources(["plane geometry: arm square to the stem at half lift; cup opposite the roller on a straight rocker, pivot moving along the stem", "steps of 0.050 in: common practice, from memory"])
            .action(Action::form("Lift at the valve", "valve ratio lobe= ratio=")))
    }
}

fn row(name: &str, length: Length, pattern: &Pattern, lead: System) -> [String; 4] {
    [
        name.to_owned(),
        show::length_in(length, lead),
        show::length_in(pattern.width, lead),
        show::length_in(pattern.centre, lead),
    ]
}
