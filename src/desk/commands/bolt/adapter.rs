//! `bolt adapter 50lb-ft length=18in reach=2in angle=45`: what to set the wrench to.

use clap::Args;

use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::tightening;
use crate::quantity::{Angle, Dimension, Given, Length, Measure, Torque, show};

/// The bolt's torque, the wrench, and the adapter.
#[derive(Debug, Args)]
#[command(after_help = "bolt adapter 50lb-ft length=18in reach=2in angle=45")]
pub struct Adapter {
    /// Torque the bolt wants.
    #[arg(required = true)]
    pub torque: Given<Torque>,
    /// Wrench, from the middle of its drive to the middle of your hand.
    #[arg(long, required = true)]
    pub length: Given<Length>,
    /// Adapter, from the middle of the drive to the middle of the bolt.
    #[arg(long, required = true)]
    pub reach: Given<Length>,
    /// Angle between handle and adapter: 0 straight on, 90 square, 180 folded back.
    #[arg(long, default_value = "0")]
    pub angle: Given<Angle>,
}

impl Adapter {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let typed = [
            ("torque", self.torque.written()),
            ("length", self.length.written()),
            ("reach", self.reach.written()),
            ("angle", self.angle.written()),
        ];
        let torque = context.quantity("torque", &self.torque, lean)?;
        let length = context.quantity("length", &self.length, lean)?;
        let reach = context.quantity("reach", &self.reach, lean)?;
        let angle = context.quantity("angle", &self.angle, lean)?;
        let torque = tightening::believable("torque", torque).or_refuse(&typed)?;
        let sum = tightening::adapted(length, reach, angle).or_refuse(&typed)?;
        let set = Torque::from_si(torque.si() * sum.ratio);
        let lead = context.lead_with(&[self.torque.system()], engine);
        let sizes = context.lead_with(&[self.length.system()], engine);
        let one = |t: Torque| show::any_in(Dimension::Torque, t.si(), lead);
        let (arm, long) = (show::length_in(sum.arm, sizes), show::length_in(length, sizes));
        Ok(Reply::new(format!("Set the wrench to {}", show::torque(set, lead)))
            .working([
                format!("arm: {long} + {} x cos {} = {arm}", show::length_in(reach, sizes), show::angle(angle)),
                format!("{} x {long} / {arm} = {}", one(torque), one(set)),
            ])
            .text("Hold the wrench where its length was measured to, and keep the adapter at that angle until the click.")
            .caution(Loudness::Caution, "Never two adapters, never a pipe on a torque wrench. Pull towards you, feet braced. The maker's figure wins, and a torque-to-yield bolt wants a socket.")
            .sources(["statics: moments of the hand's force about drive and bolt"])
            .value(Value::si("set", Dimension::Torque, set.si(), lead))
            .value(Value::plain("ratio", sum.ratio))
            .action(Action::send("How to measure the lengths", "page torque-adapters")))
    }
}
