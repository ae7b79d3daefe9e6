//! `bolt torque M10x1.25 10.9`, `bolt torque 3/8-24 preload=9000lbf thread-friction=0.12`, `bolt torque 3/8-24 torque=45lb-ft`:
//! torque for a preload or preload from a torque, and what a change of friction does.

use clap::Args;

use super::grade::GradeName;
use super::load::{self, Strength};
use super::thread::{Named, area_source, thread};
use super::{friction, heeded};
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::bolts::{self, Tightening};
use crate::quantity::{
    Dimension, Force, Given, Length, Measure, Number, Pressure, Share, System, Torque as Moment, show,
};
use uom::si::area::square_meter;

/// Thread, load, and the friction of thread and head.
#[derive(Debug, Args)]
#[command(after_help = "bolt torque M10x1.25 10.9")]
pub struct Torque {
    /// Thread, such as M10x1.25, M10 or 3/8-24.
    #[arg(required = true)]
    pub thread: String,
    /// Property class or grade on the head.
    pub grade: Option<GradeName>,
    /// Preload wanted, in place of a share of the grade's proof load.
    #[arg(long)]
    pub preload: Option<Given<Force>>,
    /// A torque, to learn the preload it makes.
    #[arg(long, conflicts_with_all = ["preload", "share"])]
    pub torque: Option<Given<Moment>>,
    /// Proof strength from the bolt's sheet, in place of a grade.
    #[arg(long)]
    pub proof: Option<Given<Pressure>>,
    /// Share of the proof load, such as 75%; three quarters where left out.
    #[arg(long)]
    pub share: Option<Given<Share>>,
    #[command(flatten)]
    pub rubbing: friction::Rubbing,
    /// Nut factor for the short form beside it.
    #[arg(long, default_value = "0.2")]
    pub nut_factor: Given<Number>,
}

impl Torque {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let named = thread(&self.thread)?;
        let typed_systems = [
            self.torque.as_ref().and_then(Given::system),
            self.preload.as_ref().and_then(Given::system),
            Some(named.system()),
        ];
        let lead = context.lead_with(&typed_systems, engine);
        let mu = self.rubbing.friction(context)?;
        let (ring, ring_said) = self.rubbing.ring(context, &named, lean, lead)?;
        let mut typed = self.rubbing.typed();
        typed.push(("nut factor", self.nut_factor.written()));
        typed.extend(self.torque.as_ref().map(|t| ("torque", t.written())));
        typed.extend(self.preload.as_ref().map(|t| ("preload", t.written())));
        let asked = load::Asked {
            grade: self.grade,
            proof: self.proof.as_ref(),
            share: self.share.as_ref(),
            preload: self.preload.as_ref(),
        };
        let (sum, mut working, mut sources, strength) = match &self.torque {
            Some(torque) => {
                let torque = context.quantity("torque", torque, lean)?;
                let sum = bolts::from_torque(&named.thread, mu, ring, torque).or_refuse(&typed)?;
                (sum, Vec::new(), Vec::new(), asked.strength(context, &named, lean)?)
            }
            None => {
                let load = asked.load(context, &named, lean, lead)?;
                let sum = bolts::torque(&named.thread, mu, ring, load.force).or_refuse(&typed)?;
                (sum, load.working, load.sources, load.strength)
            }
        };
        let factor = context.quantity("nut-factor", &self.nut_factor, None)?.0;
        let short = bolts::by_nut_factor(&named.thread, factor, sum.preload).or_refuse(&typed)?;
        working.push(ring_said);
        working.extend(self.lines(&named, &sum, ring, lead));
        let title = match &self.torque {
            Some(_) => format!(
                "Preload {} on {} at {}",
                show::force(sum.preload, lead),
                named.text,
                show::torque(sum.torque, lead)
            ),
            None => format!(
                "Torque {} on {} for {}",
                show::torque(sum.torque, lead),
                named.text,
                show::force(sum.preload, lead)
            ),
        };
        let mut fields = vec![
            ("By the shorthand", show::torque(sum.shorthand, lead)),
            (
                "By the nut factor",
                format!(
                    "{} with K = {}; the friction above is K = {}",
                    show::torque(short, lead),
                    show::number(factor),
                    show::fixed(sum.nut_factor, 3)
                ),
            ),
        ];
        fields.extend(strength.share_of(sum.preload).map(|share| ("Of its strength", share)));
        sources.push("full form ISO 16047; shorthand VDI 2230; nut factor Shigley".to_owned());
        sources.push("friction 0.14 with engine oil and K = 0.2 dry: common practice, from memory".to_owned());
        if self.torque.is_some() {
            sources.push(area_source(&named.thread).to_owned());
        }
        let mut reply = Reply::new(title)
            .working(working)
            .fields(fields)
            .block(Block::Table(swing(&sum, strength, lead)))
            .text("Friction is a guess until it is measured: the lubricant the bolt's sheet names, on threads and under the head, and no other.");
        let area = named.thread.stress_area().get::<square_meter>();
        if let Some(warning) = strength.warning(sum.preload, area) {
            reply = reply.caution(Loudness::Warning, warning);
        } else if strength.warning(sum.slick, area).is_some() {
            reply = reply
                .caution(Loudness::Important, "With friction a third lower the same torque goes past the proof load.");
        }
        for (name, torque) in
            [("torque", sum.torque), ("torque_shorthand", sum.shorthand), ("torque_nut_factor", short)]
        {
            reply = reply.value(Value::si(name, Dimension::Torque, torque.si(), lead));
        }
        for (name, force) in
            [("preload", sum.preload), ("preload_friction_low", sum.slick), ("preload_friction_high", sum.rough)]
        {
            reply = reply.value(Value::si(name, Dimension::Force, force.si(), lead));
        }
        reply = reply
            .value(Value::plain("nut_factor", sum.nut_factor))
            .action(Action::form(
                "Through an adapter",
                format!("bolt adapter \"{}\"", show::any_in(Dimension::Torque, sum.torque.si(), lead)),
            ))
            .action(Action::send("Torque and stretch, the basics", "page torque-and-stretch-basics"));
        Ok(heeded(reply.sources(sources)))
    }

    /// The full form and its shorthand, with the numbers in them.
    fn lines(&self, named: &Named, sum: &Tightening, ring: Length, lead: System) -> Vec<String> {
        let length = |l: Length| show::length_in(l, lead);
        let torque = |l: Length| show::any_in(Dimension::Torque, sum.preload.si() * l.si(), lead);
        let d2 = named.thread.pitch_diameter();
        let (mu_t, mu_h) = (
            show::number(self.rubbing.thread_friction.written().number),
            show::number(self.rubbing.head_friction.written().number),
        );
        vec![
            format!(
                "threads: {} x d2/2 x tan(lead + friction angle), d2 = {}, pitch {}, friction {mu_t} = {}",
                show::any_in(Dimension::Force, sum.preload.si(), lead),
                length(d2),
                length(named.thread.pitch),
                torque(sum.arms.thread)
            ),
            format!(
                "head: {} x {mu_h} x {} / 2 = {}",
                show::any_in(Dimension::Force, sum.preload.si(), lead),
                length(ring),
                torque(sum.arms.head)
            ),
            format!(
                "threads + head = {}; only {} of it stretches the bolt",
                show::any_in(Dimension::Torque, sum.torque.si(), lead),
                torque(sum.arms.pitch)
            ),
        ]
    }
}

/// What a third less and a third more friction make of the same torque.
fn swing(sum: &Tightening, strength: Strength, lead: System) -> Table {
    let row = |name: &str, force: Force| {
        let change = (force.si() / sum.preload.si() - 1.0) * 100.0;
        let change = if force == sum.preload { "as meant".to_owned() } else { format!("{change:+.0} %") };
        let mut cells: Vec<Cell> = vec![name.into(), show::force(force, lead).into(), change.into()];
        cells.extend(strength.proof.map(|p| Cell::from(show::share(Share(force.si() / p.si())))));
        cells
    };
    let mut header = ["Friction", "Preload at this torque", "Change"].map(String::from).to_vec();
    if strength.proof.is_some() {
        header.push("Of proof".to_owned());
    }
    let rows = vec![row("a third lower", sum.slick), row("as given", sum.preload), row("a third higher", sum.rough)];
    Table { caption: String::new(), header, rows }
}
