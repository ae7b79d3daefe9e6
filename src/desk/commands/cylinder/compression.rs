//! `cylinder compression bore=4.030in stroke=3.48in chamber=64cc gasket=0.040in deck=0.010in dish=5cc target=9.5`:
//! compression ratio, squish, and what to change to hit a target.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Block, Cell, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sense::{Inputs, OrRefuse, explain};
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::compression::{self, Change, Compression as Sum, Cylinder, Gasket};
use crate::maths::{Rule, Unfit, cylinders};
use crate::quantity::{Dimension, Given, Length, Measure, Number, System, Volume, show};

/// Sizes and volumes of one cylinder. What is left out comes from the engine's page.
#[derive(Debug, Args)]
#[command(
    after_help = "cylinder compression bore=4.030in stroke=3.480in chamber=64cc gasket=0.040in deck=0.010in dish=5cc target=9.5"
)]
pub struct Compression {
    /// Bore; the engine's where left out.
    #[arg(long)]
    pub bore: Option<Given<Length>>,
    /// Stroke; the engine's where left out.
    #[arg(long)]
    pub stroke: Option<Given<Length>>,
    /// Chamber in the head, poured with plug and valves in.
    #[arg(long, required = true)]
    pub chamber: Given<Volume>,
    /// Head gasket, crushed thickness.
    #[arg(long)]
    pub gasket: Option<Given<Length>>,
    /// Hole in the gasket; the bore where left out.
    #[arg(long)]
    pub gasket_bore: Option<Given<Length>>,
    /// Head gasket as a volume, in place of its thickness.
    #[arg(long, conflicts_with_all = ["gasket", "gasket_bore"])]
    pub gasket_volume: Option<Given<Volume>>,
    /// Piston below the deck at top dead centre; negative when it stands proud.
    #[arg(long, allow_hyphen_values = true)]
    pub deck: Option<Given<Length>>,
    /// Block height, crank centre to deck: with rod and compression height it gives the deck.
    #[arg(long, conflicts_with = "deck")]
    pub block: Option<Given<Length>>,
    /// Rod length between centres.
    #[arg(long)]
    pub rod: Option<Given<Length>>,
    /// Compression height, pin centre to crown.
    #[arg(long)]
    pub height: Option<Given<Length>>,
    /// Dish and valve reliefs; a dome is negative.
    #[arg(long, allow_hyphen_values = true)]
    pub dish: Option<Given<Volume>>,
    /// The ratio wanted: what to change to reach it.
    #[arg(long)]
    pub target: Option<Given<Number>>,
    /// Take sizes and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Compression {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let lean = self.lengths().find_map(|(_, g)| g.system()).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let mut typed: Vec<(&str, _)> = self.lengths().map(|(name, given)| (name, given.written())).collect();
        typed.push(("chamber", self.chamber.written()));
        typed.extend(self.dish.as_ref().map(|g| ("dish", g.written())));
        typed.extend(self.target.as_ref().map(|g| ("target", g.written())));
        let asked = Asked { context, engine, lean };

        let bore = asked.size("bore", &self.bore, engine.map(|e| e.bore))?;
        let stroke = asked.size("stroke", &self.stroke, engine.map(|e| e.stroke))?;
        let (deck, stack) = self.deck(&asked, stroke, &typed, lead)?;
        let cylinder = Cylinder {
            bore,
            stroke,
            chamber: context.quantity("chamber", &self.chamber, lean.or(Some(lead)))?,
            gasket: self.gasket(&asked, bore)?,
            deck,
            dish: match &self.dish {
                Some(dish) => context.quantity("dish", dish, Some(lead))?,
                None => Volume::from_si(0.0),
            },
            crevice: Volume::from_si(0.0),
        };
        let sum = compression::compression(&cylinder).or_refuse(&typed)?;
        let ratio = show::fixed(sum.ratio, 2);
        let squish = sum.squish.map(|s| format!(", squish {}", show::length(s, lead))).unwrap_or_default();
        let mut reply = Reply::new(format!("Compression {ratio} : 1{squish}")).block(Block::Table(volumes(&sum, lead)));
        reply = reply.working(stack.into_iter().chain([
            format!("clearance {} = chamber + gasket + deck + dish", show::volume_in(sum.clearance, System::Metric)),
            format!(
                "({} swept + {} clearance) / {} = {ratio}",
                show::volume_in(sum.swept, System::Metric),
                show::volume_in(sum.clearance, System::Metric),
                show::volume_in(sum.clearance, System::Metric)
            ),
        ]));
        reply = reply
            .value(Value::plain("ratio", sum.ratio))
            .value(Value::si("swept", Dimension::Volume, sum.swept.si(), lead))
            .value(Value::si("clearance_volume", Dimension::Volume, sum.clearance.si(), lead))
            .value(Value::length("deck", cylinder.deck, lead));
        if let Some(squish) = sum.squish {
            reply = reply.value(Value::length("squish", squish, lead));
            let wanted =
                Wanted { measure: "squish", at: "-", engine, duty: None, sizes: Sizes::default(), overrides: None };
            if let Some(held) = context.limit(wanted) {
                let verdict = held.verdict(squish.si(), context.doubt("squish"));
                reply =
                    reply.verdict(verdict).fields([("Squish", format!("{}: {}", verdict.as_str(), held.said(lead)))]);
            }
        }
        if let Some(target) = &self.target {
            let target = context.quantity("target", target, None)?.0;
            // A target that no part can reach is no target.
            if let (Err(unfit), true) = (
                compression::chamber_for(&cylinder, target),
                compression::dish_for(&cylinder, target).is_err()
                    && compression::gasket_for(&cylinder, target).is_err()
                    && compression::deck_for(&cylinder, target).is_err(),
            ) {
                return Err(explain(unfit, &typed).into());
            }
            let squish = context.limit(Wanted {
                measure: "squish",
                at: "-",
                engine,
                duty: None,
                sizes: Sizes::default(),
                overrides: None,
            });
            reply = changes(reply, &cylinder, target, &typed, (lead, squish.as_ref()));
        }
        Ok(reply
            .caution(Loudness::Important, "Pour the chamber and the dish; a catalogue volume is a starting point. Check piston-to-valve after any cut, and the fuel the ratio asks for.")
            .sources(["definition; Heywood, Internal Combustion Engine Fundamentals, 2.2", "the space above the top ring is left out"]))
    }

    fn lengths(&self) -> impl Iterator<Item = (&'static str, &Given<Length>)> {
        [
            ("bore", &self.bore),
            ("stroke", &self.stroke),
            ("gasket", &self.gasket),
            ("gasket bore", &self.gasket_bore),
            ("deck", &self.deck),
            ("block height", &self.block),
            ("rod", &self.rod),
            ("compression height", &self.height),
        ]
        .into_iter()
        .filter_map(|(name, given)| given.as_ref().map(|g| (name, g)))
    }

    /// The deck as given, or from the stack of parts, with its line of working.
    fn deck(
        &self,
        asked: &Asked,
        stroke: Length,
        typed: Inputs,
        lead: System,
    ) -> Result<(Length, Option<String>), Trouble> {
        if let Some(deck) = &self.deck {
            return Ok((asked.context.quantity("deck", deck, asked.lean)?, None));
        }
        if asked.engine.is_none() && self.block.is_none() && self.rod.is_none() && self.height.is_none() {
            let possible =
                "How far the piston stands below the deck; or block=, rod= and height= to work it out; or engine=.";
            return Err(Refusal::new("deck", "", possible).into());
        }
        let own = |part: fn(&Engine) -> Option<Length>| asked.engine.and_then(part);
        let block = asked.size("block", &self.block, own(|e| e.deck_height))?;
        let rod = asked.size("rod", &self.rod, own(|e| e.rod_length))?;
        let height = asked.size("height", &self.height, own(|e| e.compression_height))?;
        let stack = cylinders::deck_stack(block, stroke, rod, height).or_refuse(typed)?;
        let line = format!(
            "deck: {} block - ({} half stroke + {} rod + {} height) = {}",
            show::length_in(block, lead),
            show::length_in(stack.half_stroke, lead),
            show::length_in(rod, lead),
            show::length_in(height, lead),
            show::length_in(stack.deck, lead)
        );
        Ok((stack.deck, Some(line)))
    }

    fn gasket(&self, asked: &Asked, bore: Length) -> Result<Gasket, Trouble> {
        if let Some(volume) = &self.gasket_volume {
            return Ok(Gasket::Volume(asked.context.quantity("gasket-volume", volume, asked.lean)?));
        }
        let thickness = asked.size("gasket", &self.gasket, None)?;
        Ok(Gasket::Sized { bore: asked.size("gasket-bore", &self.gasket_bore, Some(bore))?, thickness })
    }
}

/// Where a size left out may come from.
struct Asked<'a> {
    context: &'a Context<'a>,
    engine: Option<&'a Engine>,
    lean: Option<System>,
}

impl Asked<'_> {
    fn size(&self, name: &str, given: &Option<Given<Length>>, own: Option<Length>) -> Result<Length, Refusal> {
        self.context.size(name, given.as_ref(), own, self.lean)
    }
}

fn volumes(sum: &Sum, lead: System) -> Table {
    let row = |name: &str, volume: Volume| vec![Cell::from(name), show::volume(volume, lead).into()];
    Table {
        caption: String::new(),
        header: ["Part", "Volume"].map(String::from).to_vec(),
        rows: vec![
            row("Swept", sum.swept),
            row("Chamber", sum.chamber),
            row("Gasket", sum.gasket),
            row("Deck", sum.deck),
            row("Dish (dome negative)", sum.dish),
            row("Clearance, all four", sum.clearance),
        ],
    }
}

/// What a change does to the squish; one that leaves its limits is no way to reach a ratio.
fn becomes(after: Length, squish: Option<&Held>, lead: System) -> String {
    let judged = squish.filter(|held| held.verdict(after.si(), 0.0) == Verdict::Out);
    let no = judged.map_or(String::new(), |held| format!(", OUT of {}: do not", held.range(lead)));
    format!("; squish becomes {}{no}", show::length(after, lead))
}

/// Each single change that would reach the target, or why that part cannot.
fn changes(
    reply: Reply,
    cylinder: &Cylinder,
    target: f64,
    typed: Inputs,
    (lead, squish): (System, Option<&Held>),
) -> Reply {
    let mut reply = reply.block(Block::Heading(format!("To reach {} : 1, change one of these", show::number(target))));
    let cannot = |unfit: Unfit| match unfit.rule {
        Rule::OutsideRange { low, high, .. } if unfit.input == "target" => {
            format!("by this alone only {} to {} : 1", show::fixed(low, 2), show::fixed(high, 2))
        }
        _ => format!("not by this alone: {}", explain(unfit, typed).possible),
    };
    let volume = |change: Result<Change<Volume>, Unfit>| match change {
        Ok(c) => (
            format!(
                "{} (now {}, {:+.1} cc)",
                show::volume(c.wanted, lead),
                show::volume_in(c.now, System::Metric),
                c.change.si() * 1e6
            ),
            Some(c.wanted),
        ),
        Err(unfit) => (cannot(unfit), None),
    };
    let (chamber, chamber_value) = volume(compression::chamber_for(cylinder, target));
    let (dish, dish_value) = volume(compression::dish_for(cylinder, target));
    let length = |change: &Result<Change<Length>, Unfit>, verb: &str| match change {
        Ok(c) => format!(
            "{} (now {}; {verb} {}){}",
            show::length(c.wanted, lead),
            show::length_in(c.now, lead),
            show::length_in(c.change.abs(), lead),
            c.squish.map(|s| becomes(s, squish, lead)).unwrap_or_default()
        ),
        Err(unfit) => cannot(*unfit),
    };
    let (gasket, deck) = (compression::gasket_for(cylinder, target), compression::deck_for(cylinder, target));
    let thinner = gasket.as_ref().is_ok_and(|c| c.change.si() < 0.0);
    reply = reply.fields([
        ("Chamber", chamber),
        ("Dish", dish),
        ("Gasket", length(&gasket, if thinner { "thinner by" } else { "thicker by" })),
        ("Deck", length(&deck, "cut")),
    ]);
    for (name, value) in [("chamber_for_target", chamber_value), ("dish_for_target", dish_value)] {
        if let Some(value) = value {
            reply = reply.value(Value::si(name, Dimension::Volume, value.si(), lead));
        }
    }
    for (name, change) in [("gasket_for_target", gasket), ("deck_for_target", deck)] {
        if let Ok(change) = change {
            reply = reply.value(Value::length(name, change.wanted, lead));
        }
    }
    reply
}
