//! `clock check top=315 second=135 upper-rail=200 lower-rail=45`: whether a set of gaps keeps the rules.

use clap::Args;

use super::show::{RULES, degrees, figure};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value, Verdict};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::clocking::{APART, CLEAR_OF_AXIS, Clocking, Finding, OPPOSED_WITHIN, Unplaced};
use crate::engine::{Ring, Side};
use crate::quantity::{Angle, Given, Measure};

/// Degrees clockwise from the front, looking down the bore; give those you have.
#[derive(Debug, Args)]
#[command(after_help = "clock check top=315 second=135 upper-rail=200 lower-rail=45")]
pub struct Check {
    /// Top ring gap.
    #[arg(long)]
    pub top: Option<Given<Angle>>,
    /// Second ring gap.
    #[arg(long)]
    pub second: Option<Given<Angle>>,
    /// Upper oil rail gap.
    #[arg(long)]
    pub upper_rail: Option<Given<Angle>>,
    /// Lower oil rail gap.
    #[arg(long)]
    pub lower_rail: Option<Given<Angle>>,
    /// Where the expander's ends butt.
    #[arg(long)]
    pub expander: Option<Given<Angle>>,
    /// The engine, to mark its thrust side.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Check {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let mut given = Vec::new();
        for (ring, name, angle) in [
            (Ring::Top, "top", &self.top),
            (Ring::Second, "second", &self.second),
            (Ring::UpperRail, "upper-rail", &self.upper_rail),
            (Ring::LowerRail, "lower-rail", &self.lower_rail),
            (Ring::Expander, "expander", &self.expander),
        ] {
            if let Some(angle) = angle {
                given.push((ring, context.quantity(name, angle, None)?.si().to_degrees()));
            }
        }
        if given.len() < 2 {
            return Err(Refusal::new("top", "", "Give at least two gaps, such as top=315 second=135.").into());
        }
        let set = Clocking::new(given).map_err(|unplaced| match unplaced {
            Unplaced::NotAnAngle { ring, given } => Refusal::new(
                ring.word().replace(' ', "-"),
                given.to_string(),
                "An angle lies within two turns, 0 to 360 for choice.",
            ),
            Unplaced::Twice(ring) => Refusal::new(ring.word().replace(' ', "-"), "", "It is given twice."),
        })?;
        let findings = set.judge();
        let reasons: Vec<String> = findings.iter().map(reason).collect();
        let fault = |ring| {
            let at = findings.iter().position(|finding| rings(finding).contains(&ring))?;
            u8::try_from(at + 1).ok()
        };
        let picture = figure(&set, engine, reasons.clone(), fault);
        let mut reply = match findings.len() {
            0 => Reply::new("These gaps keep the rules").verdict(Verdict::Within),
            1 => Reply::new(format!("Move one: {}", reasons[0].trim_end_matches('.'))).verdict(Verdict::Out),
            n => Reply::new(format!("{n} things to put right: {}", reasons[0].trim_end_matches('.')))
                .verdict(Verdict::Out),
        };
        for other in reasons.iter().skip(1) {
            reply = reply.text(other);
        }
        let missing: Vec<&str> = set.missing().iter().map(|ring| ring.word()).collect();
        if !missing.is_empty() {
            reply = reply.text(format!("Not given, so not judged: {}.", missing.join(", ")));
        }
        for gap in set.gaps() {
            reply = reply.value(Value::counted(&gap.ring.word().replace(' ', "_"), gap.angle, "deg"));
        }
        reply = reply
            .figure(picture)
            .text(format!(
                "Held here: top and second within {OPPOSED_WITHIN}° of opposite, any other two {APART}° apart, every gap {CLEAR_OF_AXIS}° clear of the pin axis and the thrust faces."
            ))
            .caution(Loudness::Important, "The ring maker's sheet wins over these rules.")
            .sources([RULES]);
        if let Some(engine) = engine {
            reply = reply.action(Action::send("The usual set", format!("clock {}", engine.id)));
        }
        Ok(reply.action(Action::send("How to set them", "page ring-clocking")))
    }
}

fn rings(finding: &Finding) -> Vec<Ring> {
    match finding {
        Finding::NotOpposed { .. } => vec![Ring::Top, Ring::Second],
        Finding::TooClose { one, other, .. } => vec![one.ring, other.ring],
        Finding::OnPinAxis { gap, .. } | Finding::OnThrustFace { gap, .. } => vec![gap.ring],
    }
}

fn reason(finding: &Finding) -> String {
    match finding {
        Finding::NotOpposed { apart } => format!("top and second stand {} apart, not about 180°.", degrees(*apart)),
        Finding::TooClose { one, other, apart } => {
            format!("{} and {} stand only {} apart.", one.ring.word(), other.ring.word(), degrees(*apart))
        }
        Finding::OnPinAxis { gap, off } => {
            format!("{} at {} is {} from the pin axis.", gap.ring.word(), degrees(gap.angle), degrees(*off))
        }
        Finding::OnThrustFace { gap, off, side } => format!(
            "{} at {} is {} from the {} thrust face.",
            gap.ring.word(),
            degrees(gap.angle),
            degrees(*off),
            match side {
                Side::Left => "left",
                Side::Right => "right",
            }
        ),
    }
}
