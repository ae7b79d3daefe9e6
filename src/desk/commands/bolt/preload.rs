//! `bolt preload M10x1.25 10.9`, `bolt preload 3/8-24 proof=120ksi share=70%`: what a bolt may be tightened to.

use clap::Args;

use super::grade::GradeName;
use super::heeded;
use super::load::Asked;
use super::thread::{area, thread};
use crate::desk::reply::{Action, Reply, Value};
use crate::desk::{Context, Trouble};
use crate::quantity::{Dimension, Given, Measure, Pressure, Share, show};

/// Thread, grade and share.
#[derive(Debug, Args)]
#[command(after_help = "bolt preload M10x1.25 10.9")]
pub struct Preload {
    /// Thread, such as M10x1.25, M10 or 3/8-24.
    #[arg(required = true)]
    pub thread: String,
    /// Property class or grade on the head.
    pub grade: Option<GradeName>,
    /// Proof strength from the bolt's sheet, in place of a grade.
    #[arg(long)]
    pub proof: Option<Given<Pressure>>,
    /// Share of the proof load, such as 75%; three quarters where left out.
    #[arg(long)]
    pub share: Option<Given<Share>>,
}

impl Preload {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let named = thread(&self.thread)?;
        let proof_system = self.proof.as_ref().and_then(Given::system);
        let lead = context.lead_with(&[proof_system, Some(named.system())], engine);
        let asked = Asked { grade: self.grade, proof: self.proof.as_ref(), share: self.share.as_ref(), preload: None };
        let (sum, load) = asked.by_share(context, &named, lean, lead)?;
        let mut torque = format!("bolt torque {}", named.text.replace(' ', ""));
        if let Some(grade) = self.grade {
            torque.push_str(&format!(" {}", grade.known()?.id));
        }
        for (name, text) in [
            ("proof", self.proof.as_ref().map(ToString::to_string)),
            ("share", self.share.as_ref().map(ToString::to_string)),
        ] {
            torque.extend(text.map(|text| format!(" {name}={}", text.replace(' ', ""))));
        }
        Ok(heeded(
            Reply::new(format!("Preload {} on {}", show::force(sum.preload, lead), named.text))
                .working(load.working)
                .fields([
                    ("Stress area", area(sum.area, lead)),
                    ("Proof load", show::force(sum.proof_load, lead)),
                    ("Stress", show::pressure(sum.stress, lead)),
                ])
                .sources(load.sources.into_iter().chain([
                    "three quarters of proof: common practice for a joint taken apart again (Shigley)".to_owned(),
                ]))
                .value(Value::si("preload", Dimension::Force, sum.preload.si(), lead))
                .value(Value::si("proof_load", Dimension::Force, sum.proof_load.si(), lead))
                .value(Value::si("stress", Dimension::Pressure, sum.stress.si(), lead))
                .action(Action::send("Torque for it", torque)),
        ))
    }
}
