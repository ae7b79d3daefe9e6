//! `bolt stretch 3/8-24 length=1.3in diameter=0.310in threaded=0.3in preload=10000lbf`, or with `measured=0.006in` the load
//! that a stretch shows.

use clap::Args;

use super::grade::GradeName;
use super::thread::{area_source, thread};
use super::{heeded, load, parts};
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::stretch;
use crate::quantity::{Dimension, Force, Given, Length, Measure, Pressure, Share, show};
use uom::si::area::square_meter;

/// The parts that stretch, and a load or a measured stretch.
#[derive(Debug, Args)]
#[command(after_help = "bolt stretch 3/8-24 length=1.3in diameter=0.310in threaded=0.3in preload=10000lbf")]
pub struct Stretch {
    /// Thread, such as M10x1.25, M10 or 3/8-24.
    #[arg(required = true)]
    pub thread: String,
    /// Property class or grade on the head.
    pub grade: Option<GradeName>,
    #[command(flatten)]
    pub parts: parts::Parts,
    /// Preload, in place of a share of the grade's proof load.
    #[arg(long)]
    pub preload: Option<Given<Force>>,
    /// The stretch as measured, to learn the preload it shows.
    #[arg(long, conflicts_with_all = ["preload", "share"])]
    pub measured: Option<Given<Length>>,
    /// Proof strength from the bolt's sheet, in place of a grade.
    #[arg(long)]
    pub proof: Option<Given<Pressure>>,
    /// Share of the proof load, such as 75%; three quarters where left out.
    #[arg(long)]
    pub share: Option<Given<Share>>,
    /// Elastic modulus of the bolt.
    #[arg(long, default_value = "205GPa")]
    pub modulus: Given<Pressure>,
    /// Hold the stretch against this engine's limit for rod bolts.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Stretch {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let named = thread(&self.thread)?;
        let typed_system = self.parts.system().or(self.measured.as_ref().and_then(Given::system));
        let lean = typed_system.or(context.lean(engine));
        let lead = context.lead_with(&[typed_system, Some(named.system())], engine);
        let (spring, mut working) = self.parts.spring(context, &named, &self.modulus, lean, lead)?;
        let mut typed = self.parts.typed(&self.modulus);
        typed.extend(self.measured.as_ref().map(|g| ("stretch", g.written())));
        typed.extend(self.preload.as_ref().map(|g| ("preload", g.written())));
        let bearing = load::Asked {
            grade: self.grade,
            proof: self.proof.as_ref(),
            share: self.share.as_ref(),
            preload: self.preload.as_ref(),
        };
        let area = named.thread.stress_area().get::<square_meter>();
        let (mut reply, sources, judged) = match &self.measured {
            Some(measured) => {
                let measured = context.quantity("measured", measured, lean)?;
                let found = stretch::preload(&spring, measured).map_err(|mut unfit| {
                    unfit.input = if unfit.input == "stretch" { "measured" } else { unfit.input };
                    unfit
                });
                typed.extend(self.measured.as_ref().map(|g| ("measured", g.written())));
                let found = found.or_refuse(&typed)?;
                working.push(format!(
                    "stretch / sum = {} without the allowance, {} with it",
                    show::force(found.bare, lead),
                    show::force(found.allowed, lead)
                ));
                let strength = bearing.strength(context, &named, lean)?;
                let title = format!(
                    "Preload {} at {} of stretch",
                    show::range(Dimension::Force, Some(found.allowed.si()), Some(found.bare.si()), lead),
                    show::length_in(measured, lead)
                );
                let mut reply = Reply::new(title).working(working);
                let fields = vec![
                    ("Without allowance", share_said(strength.share_of(found.bare), show::force(found.bare, lead))),
                    ("With allowance", share_said(strength.share_of(found.allowed), show::force(found.allowed, lead))),
                ];
                reply = reply.fields(fields);
                if let Some(warning) = strength.warning(found.bare, area) {
                    reply = reply.caution(Loudness::Warning, warning);
                }
                for (name, force) in [("preload", found.bare), ("preload_with_allowance", found.allowed)] {
                    reply = reply.value(Value::si(name, Dimension::Force, force.si(), lead));
                }
                (reply, Vec::new(), Some(measured))
            }
            None => {
                let load = bearing.load(context, &named, lean, lead)?;
                let found = stretch::stretch(&named.thread, &spring, load.force).or_refuse(&typed)?;
                let mut lines = load.working;
                lines.append(&mut working);
                lines.push(format!(
                    "{} x sum = {} without the allowance, {} with it",
                    show::any_in(Dimension::Force, load.force.si(), lead),
                    show::length_in(found.bare, lead),
                    show::length_in(found.allowed, lead)
                ));
                let title = format!(
                    "Stretch {} at {}",
                    show::length_range(Some(found.bare), Some(found.allowed), lead),
                    show::any_in(Dimension::Force, load.force.si(), lead)
                );
                let mut fields = vec![
                    ("Without allowance", show::length(found.bare, lead)),
                    ("With allowance", show::length(found.allowed, lead)),
                ];
                fields.extend(load.strength.share_of(load.force).map(|share| ("Of its strength", share)));
                let mut reply = Reply::new(title).working(lines).fields(fields);
                if let Some(warning) = load.strength.warning(load.force, area) {
                    reply = reply.caution(Loudness::Warning, warning);
                }
                reply = reply
                    .value(Value::length("stretch", found.bare, lead))
                    .value(Value::length("stretch_with_allowance", found.allowed, lead))
                    .value(Value::si("preload", Dimension::Force, load.force.si(), lead));
                (reply, load.sources, None)
            }
        };
        if let Some(engine) = engine.filter(|_| self.engine.is_some()) {
            let wanted = Wanted {
                measure: "rod bolt stretch",
                at: "-",
                engine: Some(engine),
                duty: None,
                sizes: Sizes::default(),
                overrides: None,
            };
            if let Some(held) = context.limit(wanted) {
                reply = reply.fields([("Limit for its rod bolts", held.said(lead))]);
                // A sum is not a reading: only what was measured is judged.
                if let Some(measured) = judged {
                    let verdict = held.verdict(measured.si(), context.doubt("measured"));
                    reply = reply.verdict(verdict).value(Value::length("measured", measured, lead));
                }
            }
        }
        let bases =
            ["stretch = F x sum of L / (A E): Shigley, bolted joints", parts::ALLOWANCE, area_source(&named.thread)];
        let mut said: Vec<String> = bases.map(String::from).to_vec();
        said.extend(sources.into_iter().filter(|s| s != area_source(&named.thread)));
        Ok(heeded(
            reply
                .text("A gauge on both ends reads something near the figure with the allowance; the bolt's sheet says which it means. Slacken and measure again: longer than free is used up.")
                .sources(said)
                .action(Action::send("Rod bolts", "page rod-bolts")),
        ))
    }
}

fn share_said(share: Option<String>, force: String) -> String {
    match share {
        Some(share) => format!("{force}, {share}"),
        None => force,
    }
}
