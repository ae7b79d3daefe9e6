//! `fit press 3.5in interference=0.003in outside=4in hole=3.3in length=5in ring=aluminium shaft=cast-iron`: pressure, force,
//! stress of a press fit.

use clap::Args;

use crate::desk::commands::metals::FitMetal;
use crate::desk::reply::{Action, Loudness, Reply, Value, Verdict};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::press::{self, Fit};
use crate::quantity::{Dimension, Given, Length, Measure, Number, Pressure, System, show};

/// Sizes, metals, friction and what the metals can bear.
#[derive(Debug, Args)]
#[command(after_help = "fit press 30mm interference=0.030mm outside=60mm length=30mm")]
pub struct Press {
    /// Diameter where the two meet.
    #[arg(required = true)]
    pub joint: Given<Length>,
    /// Interference on diameter.
    #[arg(long, required = true)]
    pub interference: Given<Length>,
    /// Outside diameter of the ring, or of the metal around the hole.
    #[arg(long, required = true)]
    pub outside: Given<Length>,
    /// Length of the joint along its axis.
    #[arg(long, required = true)]
    pub length: Given<Length>,
    /// Hole in the inner part; none where it is solid.
    #[arg(long)]
    pub hole: Option<Given<Length>>,
    /// Metal of the outer part.
    #[arg(long, default_value = "steel")]
    pub ring: FitMetal,
    /// Metal of the inner part.
    #[arg(long, default_value = "steel")]
    pub shaft: FitMetal,
    /// Friction while pressing: about 0.12 oiled steel; from memory.
    #[arg(long, default_value = "0.12")]
    pub friction: Given<Number>,
    /// Yield strength of the outer part.
    #[arg(long)]
    pub ring_yield: Option<Given<Pressure>>,
    /// Yield strength of the inner part.
    #[arg(long)]
    pub shaft_yield: Option<Given<Pressure>>,
}

/// Yield strengths of metals that are pressed, Pa.
const YIELD: (f64, f64) = (20e6, 2.5e9);

impl Press {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lengths =
            [Some(&self.joint), Some(&self.interference), Some(&self.outside), Some(&self.length), self.hole.as_ref()];
        let typed_system = lengths.into_iter().flatten().find_map(Given::system);
        let lean = typed_system.or(context.lean(engine));
        let lead = context.lead_with(&[typed_system], engine);
        let mut typed = vec![
            ("joint", self.joint.written()),
            ("interference", self.interference.written()),
            ("outside", self.outside.written()),
            ("length", self.length.written()),
            ("friction", self.friction.written()),
        ];
        typed.extend(self.hole.as_ref().map(|g| ("hole", g.written())));
        let fit = Fit {
            joint: context.quantity("joint", &self.joint, lean)?,
            interference: context.quantity("interference", &self.interference, lean)?,
            outside: context.quantity("outside", &self.outside, lean)?,
            hole: self.hole.as_ref().map_or(Ok(Length::from_si(0.0)), |g| context.quantity("hole", g, lean))?,
            length: context.quantity("length", &self.length, lean)?,
            friction: context.quantity("friction", &self.friction, None)?.0,
        };
        let (ring, shaft) = (self.ring.elastic()?, self.shaft.elastic()?);
        let sum = press::press(&fit, ring, shaft).or_refuse(&typed)?;
        let stress = |p: Pressure| show::pressure(p, lead);
        let one = |l: Length| show::length_in(l, lead);
        let title = format!("Pressure {}, force {} to push home", stress(sum.pressure), show::force(sum.force, lead));
        let mut reply = Reply::new(title).working([
            format!(
                "outer: (D² + d²) / (D² - d²) = {}, E {}, Poisson {}; bore opens {}",
                show::fixed(sum.ring_shape, 4),
                stress(ring.modulus()),
                ring.poisson,
                one(sum.opens)
            ),
            format!(
                "inner: (d² + b²) / (d² - b²) = {}, E {}, Poisson {}; it shrinks {}",
                show::fixed(sum.shaft_shape, 4),
                stress(shaft.modulus()),
                shaft.poisson,
                one(sum.shrinks)
            ),
            format!(
                "{} + {} = {} interference at p = {}",
                one(sum.opens),
                one(sum.shrinks),
                one(fit.interference),
                stress(sum.pressure)
            ),
            format!(
                "force {} x p x pi x {} x {} = {}",
                show::number(fit.friction),
                one(fit.joint),
                one(fit.length),
                show::force(sum.force, lead)
            ),
        ]);
        let outer = self.held(context, "ring-yield", self.ring_yield.as_ref(), sum.ring_stress, (lean, lead))?;
        let inner = self.held(context, "shaft-yield", self.shaft_yield.as_ref(), sum.shaft_stress, (lean, lead))?;
        reply = reply.fields([
            ("Outer part, hoop stress at the joint", stress(sum.ring_hoop)),
            ("Outer part, equivalent stress", format!("{}{}", stress(sum.ring_stress), outer.1)),
            ("Inner part, equivalent stress", format!("{}{}", stress(sum.shaft_stress), inner.1)),
            ("Torque before it slips", show::torque(sum.torque, lead)),
        ]);
        if self.ring_yield.is_some() || self.shaft_yield.is_some() {
            reply = reply.verdict(outer.0.worse(inner.0));
            if outer.0.worse(inner.0) == Verdict::Out {
                reply = reply.caution(
                    Loudness::Warning,
                    "Past yield: the part gives for good, and this elastic sum reads too high a grip.",
                );
            }
        }
        for (name, p) in [
            ("pressure", sum.pressure),
            ("ring_hoop", sum.ring_hoop),
            ("ring_stress", sum.ring_stress),
            ("shaft_stress", sum.shaft_stress),
        ] {
            reply = reply.value(Value::si(name, Dimension::Pressure, p.si(), lead));
        }
        let line = format!(
            "fit heat {} interference={}",
            self.joint.written().text.replace(' ', ""),
            self.interference.written().text.replace(' ', "")
        );
        Ok(reply
            .value(Value::si("force", Dimension::Force, sum.force.si(), lead))
            .value(Value::si("torque", Dimension::Torque, sum.torque.si(), lead))
            .text("Smooth round parts of even wall, within their elastic range; roughness crushes some of the interference away.")
            .caution(Loudness::Caution, "A part under a press can fly: guard it, stand clear of the line of force, never press on an edge. The maker's interference wins.")
            .sources([
                "thick cylinders (Lame): Shigley, press and shrink fits",
                "moduli: Shigley, table A-5; nodular iron EN 1563 (from memory); friction: common practice, from memory",
            ])
            .action(Action::form("Drop it in by heat", line)))
    }

    /// A stress against the yield given, and the words for it.
    fn held(
        &self,
        context: &Context,
        name: &'static str,
        given: Option<&Given<Pressure>>,
        stress: Pressure,
        (lean, lead): (Option<System>, System),
    ) -> Result<(Verdict, String), Trouble> {
        let Some(given) = given else { return Ok((Verdict::NoLimit, String::new())) };
        let limit = context.quantity(name, given, lean)?;
        if !(YIELD.0..=YIELD.1).contains(&limit.si()) {
            let range = show::range(Dimension::Pressure, Some(YIELD.0), Some(YIELD.1), lead);
            return Err(Refusal::new(name, &given.written().text, format!("Possible: {range}.")).into());
        }
        let verdict = crate::maths::judge::verdict(stress, Pressure::from_si(0.0), None, Some(limit));
        let share = show::fixed(stress.si() / limit.si() * 100.0, 0);
        Ok((verdict, format!(": {share} % of the yield of {}, {}", show::pressure(limit, lead), verdict.as_str())))
    }
}
