//! `bolt angle M10x1.25 10.9 snug=30Nm turn=90 length=40mm threaded=10mm`: preload from a snug torque and an angle.

use clap::Args;

use super::grade::GradeName;
use super::thread::{area_source, thread};
use super::{friction, heeded, load, parts};
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::{bolts, stretch};
use crate::quantity::{Angle as Turn, Dimension, Given, Measure, Number, Pressure, Torque, show};
use uom::si::area::square_meter;

/// Snug torque, angle, and what stretches.
#[derive(Debug, Args)]
#[command(after_help = "bolt angle M10x1.25 10.9 snug=20Nm turn=60 length=60mm threaded=15mm")]
pub struct Angle {
    /// Thread, such as M10x1.25, M10 or 3/8-24.
    #[arg(required = true)]
    pub thread: String,
    /// Property class or grade on the head, to see how near to yield it comes.
    pub grade: Option<GradeName>,
    /// Snug torque before the turn.
    #[arg(long, required = true)]
    pub snug: Given<Torque>,
    /// Angle past snug.
    #[arg(long, required = true)]
    pub turn: Given<Turn>,
    #[command(flatten)]
    pub parts: parts::Parts,
    /// How many times as stiff as the bolt the joint is; about 4 for iron and steel without a gasket.
    #[arg(long, default_value = "4")]
    pub joint: Given<Number>,
    /// Proof strength from the bolt's sheet, in place of a grade.
    #[arg(long)]
    pub proof: Option<Given<Pressure>>,
    #[command(flatten)]
    pub rubbing: friction::Rubbing,
    /// Elastic modulus of the bolt.
    #[arg(long, default_value = "205GPa")]
    pub modulus: Given<Pressure>,
}

impl Angle {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let named = thread(&self.thread)?;
        let lean = self.parts.system().or(self.snug.system()).or(context.lean(engine));
        let lead = context.lead_with(&[self.parts.system(), self.snug.system(), Some(named.system())], engine);
        let mu = self.rubbing.friction(context)?;
        let (ring, ring_said) = self.rubbing.ring(context, &named, lean, lead)?;
        let mut typed = self.rubbing.typed();
        typed.extend([("snug", self.snug.written()), ("turn", self.turn.written()), ("joint", self.joint.written())]);
        let snug_torque = context.quantity("snug", &self.snug, lean)?;
        let turn = context.quantity("turn", &self.turn, lean)?;
        let joint = context.quantity("joint", &self.joint, None)?.0;
        let (spring, spring_lines) = self.parts.spring(context, &named, &self.modulus, lean, lead)?;
        // The maths says torque and angle; this command calls them snug and turn.
        let as_here = |mut unfit: crate::maths::Unfit| {
            unfit.input = match unfit.input {
                "torque" => "snug",
                "angle" => "turn",
                other => other,
            };
            unfit
        };
        let snug = bolts::from_torque(&named.thread, mu, ring, snug_torque).map_err(as_here).or_refuse(&typed)?;
        let sum =
            stretch::turned(&named.thread, &spring, snug.preload, turn, joint).map_err(as_here).or_refuse(&typed)?;
        let bearing = load::Asked { grade: self.grade, proof: self.proof.as_ref(), share: None, preload: None };
        let strength = bearing.strength(context, &named, lean)?;
        let force = |f: crate::quantity::Force| show::any_in(Dimension::Force, f.si(), lead);
        let mut working = vec![
            ring_said,
            format!(
                "snug {} = {} of preload",
                show::any_in(Dimension::Torque, snug_torque.si(), lead),
                force(snug.preload)
            ),
        ];
        working.extend(spring_lines);
        working.push(format!(
            "{} / 360° x {} pitch = {} for bolt and joint to share",
            show::angle(turn),
            show::length_in(named.thread.pitch, lead),
            show::length_in(sum.advance, lead)
        ));
        working.push(format!(
            "joint {} times as stiff: the bolt takes {} of it = {} more",
            show::number(joint),
            show::length_in(sum.stretch, lead),
            force(sum.gain)
        ));
        working.push(format!("{} snug + {} by angle = {}", force(snug.preload), force(sum.gain), force(sum.preload)));
        let area = named.thread.stress_area().get::<square_meter>();
        // Past yield a turn makes the bolt longer, not tighter.
        let yields = strength.yields_at(area).filter(|limit| sum.preload > *limit);
        let title = match yields {
            Some(limit) => {
                format!("It yields before {}: preload stays near {}", show::angle(turn), show::force(limit, lead))
            }
            None => format!("Preload about {} after {}", show::force(sum.preload, lead), show::angle(turn)),
        };
        let mut fields = vec![
            ("From snug", show::force(snug.preload, lead)),
            ("From the angle", show::force(sum.gain, lead)),
            ("If the joint did not give", show::force(sum.rigid, lead)),
        ];
        fields.extend(strength.share_of(sum.preload).map(|share| ("Of its strength", share)));
        let mut reply = Reply::new(title).working(working).fields(fields);
        if yields.is_some() {
            reply = reply.caution(Loudness::Warning, "Past yield the bolt stays longer for good and the elastic figures above no longer hold. Only a bolt made for it is turned so far, by its own sheet, and once.");
        } else if let Some(warning) = strength.warning(sum.preload, area) {
            reply = reply.caution(Loudness::Warning, warning);
        } else if strength.warning(sum.rigid, area).is_some() {
            reply = reply.caution(
                Loudness::Important,
                "If the joint gives less than said, this angle goes past the proof load.",
            );
        }
        let elastic = match yields {
            Some(limit) => {
                reply = reply.value(Value::si("yield_load", Dimension::Force, limit.si(), lead));
                "preload_elastic"
            }
            None => "preload",
        };
        for (name, f) in [(elastic, sum.preload), ("preload_snug", snug.preload), ("preload_rigid", sum.rigid)] {
            reply = reply.value(Value::si(name, Dimension::Force, f.si(), lead));
        }
        Ok(heeded(
            reply
                .value(Value::length("stretch_from_snug", sum.stretch, lead))
                .text("An estimate: how far the joint gives is the least known of it. An angle is never worked out for a bolt whose sheet gives one.")
                .sources([
                    "snug by the full form of ISO 16047; friction 0.14 with engine oil: common practice, from memory",
                    "pitch x angle / 360 shared by bolt and joint as springs in a row: Shigley, bolted joints; elastic only",
                    parts::ALLOWANCE,
                    area_source(&named.thread),
                ])
                .action(Action::send("Rod bolts: torque, stretch, angle", "page rod-bolts")),
        ))
    }
}
