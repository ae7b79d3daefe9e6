//! `piston deck 0.020in 0.024in 0.018in 0.020in wanted=0.010in`, or from parts: `piston deck engine=skerry-v8 wanted=0.010in`.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::Engine;
use crate::engine::limits::Sizes;
use crate::maths::faces::{self, Corner};
use crate::maths::{Spread, cylinders};
use crate::quantity::{Given, Length, Measure, System, show};

/// Readings at the corners, or the parts that stack up.
#[derive(Debug, Args)]
#[command(after_help = "piston deck 0.020in 0.024in 0.018in 0.020in 0.025in 0.027in 0.021in 0.023in wanted=0.010in")]
pub struct Deck {
    /// Dial at the top, two a corner: both sides of the piston on the pin axis. Proud is negative.
    #[arg(allow_hyphen_values = true)]
    pub readings: Vec<Given<Length>>,
    /// Without readings: block height, crank centre to deck; one, or one a corner.
    #[arg(long)]
    pub block: Vec<Given<Length>>,
    /// Stroke; the engine's where left out.
    #[arg(long)]
    pub stroke: Option<Given<Length>>,
    /// Rod length between centres; the engine's where left out.
    #[arg(long)]
    pub rod: Option<Given<Length>>,
    /// Compression height, pin centre to crown; the engine's where left out.
    #[arg(long)]
    pub height: Option<Given<Length>>,
    /// The deck wanted after a cut.
    #[arg(long, allow_hyphen_values = true)]
    pub wanted: Option<Given<Length>>,
    /// Take sizes and limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// Decks with how they were found.
struct Found {
    decks: Vec<Length>,
    corners: Vec<Corner>,
    working: Vec<String>,
}

impl Deck {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        if !self.readings.is_empty() && !self.block.is_empty() {
            return Err(
                Refusal::new("block", "", "Readings already say where the crown stands: give one of the two.").into()
            );
        }
        let lean = context
            .shared_unit(&self.readings)
            .or_else(|| self.block.iter().find_map(Given::system))
            .or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let found = if self.readings.is_empty() {
            self.stacked(context, engine, lean, lead)?
        } else {
            self.measured(context, lean, lead)?
        };
        let spread = Spread::of("readings", &found.decks).or_refuse(&[])?;
        let stands = |deck: Length| {
            if deck.si() < 0.0 {
                format!("{} proud", show::length(deck.abs(), lead))
            } else {
                format!("{} below", show::length(deck, lead))
            }
        };
        let title = if found.decks.len() == 1 {
            format!("Piston {} the deck", stands(spread.mean)).replace("proud the", "proud of the")
        } else {
            format!("Piston to deck {}", show::length_range(Some(spread.smallest), Some(spread.largest), lead))
        };
        let mut reply = Reply::new(title)
            .working(found.working.clone())
            .value(Value::length("smallest", spread.smallest, lead))
            .value(Value::length("largest", spread.largest, lead))
            .value(Value::length("mean", spread.mean, lead));
        if found.decks.len() > 1 {
            reply = reply.fields([("Between corners", show::length(spread.range(), lead))]);
        }
        let wanted =
            Wanted { measure: "piston to deck", at: "-", engine, duty: None, sizes: Sizes::default(), overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held
                .verdict(spread.smallest.si(), context.doubt("smallest"))
                .worse(held.verdict(spread.largest.si(), context.doubt("largest")));
            reply = reply.verdict(verdict).fields([("Limit", held.said(lead))]);
        }
        let mut cut = None;
        if let Some(given) = &self.wanted {
            let deck = context.quantity("wanted", given, lean)?;
            let sum = faces::cut(&found.decks, deck).or_refuse(&[("wanted", given.written())])?;
            let most = sum.each.iter().copied().fold(sum.level, Length::max);
            let mut fields = vec![(
                "Level cut",
                format!(
                    "{}: brings the corner that stands highest to {}",
                    show::length(sum.level, lead),
                    show::length_in(deck, lead)
                ),
            )];
            if found.decks.len() > 1 {
                fields.push((
                    "Cut square to the crank",
                    format!("{} to bring every corner there", show::length_range(Some(sum.level), Some(most), lead)),
                ));
            }
            reply = reply
                .fields(fields)
                .value(Value::length("level_cut", sum.level, lead))
                .value(Value::length("most_cut", most, lead));
            cut = Some(sum);
        }
        if found.decks.len() > 1 || cut.is_some() {
            reply = reply.block(Block::Table(table(&found, cut.as_ref(), lead)));
        }
        let decks: Vec<String> = found.decks.iter().map(|deck| show::length_in(*deck, lead).replace(' ', "")).collect();
        Ok(reply
            .action(Action::form("Squish with a gasket", format!("cylinder squish {} gasket=", decks.join(" "))))
            .action(Action::form("Volume the cut takes", "cylinder mill"))
            .caution(Loudness::Important, "Swap one piston and rod through the corners first: what then still differs is the block. Before a cut, check squish, compression, piston-to-valve, and how little the block may be decked by its maker.")
            .sources(["definition: block height less half stroke, rod and compression height; both sides of the pin axis to take out rock", "pin offset left out: under 0.0005 in for any usual one"]))
    }

    /// From readings in pairs.
    fn measured(&self, context: &Context, lean: Option<System>, lead: System) -> Result<Found, Trouble> {
        let readings = context.quantities("readings", &self.readings, lean)?;
        let odd = readings
            .chunks_exact(2)
            .zip(self.readings.chunks_exact(2))
            .find(|(pair, _)| (pair[0] - pair[1]).abs() > Length::from_si(0.0015));
        // The reading a refusal shows: the second of a pair that differs too much, else the largest.
        let shown = odd.map(|(_, given)| &given[1]).or_else(|| {
            let largest = readings.iter().zip(&self.readings).max_by(|a, b| a.0.si().abs().total_cmp(&b.0.si().abs()));
            largest.map(|(_, given)| given)
        });
        let shown = shown.filter(|_| readings.len().is_multiple_of(2));
        let typed: Vec<_> = shown.map(|given| ("readings", given.written())).into_iter().collect();
        let corners = faces::corners(&readings).or_refuse(&typed)?;
        let one = |length| show::length_in(length, lead);
        let working = corners.iter().enumerate().map(|(n, corner)| {
            format!(
                "corner {}: ({} + {}) / 2 = {}",
                n + 1,
                one(corner.sides[0]),
                one(corner.sides[1]),
                one(corner.mean)
            )
        });
        Ok(Found { decks: corners.iter().map(|corner| corner.mean).collect(), working: working.collect(), corners })
    }

    /// From the parts, a deck for each block height.
    fn stacked(
        &self,
        context: &Context,
        engine: Option<&Engine>,
        lean: Option<System>,
        lead: System,
    ) -> Result<Found, Trouble> {
        let sizes = [&self.stroke, &self.rod, &self.height];
        if engine.is_none() && self.block.is_empty() && sizes.iter().all(|given| given.is_none()) {
            let possible = "Two dial readings a corner; or block=, stroke=, rod= and height=; or engine=.";
            return Err(Refusal::new("readings", "", possible).into());
        }
        let lean = sizes.iter().find_map(|given| given.as_ref().and_then(Given::system)).or(lean);
        let size = |name, given: &Option<Given<Length>>, own| context.size(name, given.as_ref(), own, lean);
        let stroke = size("stroke", &self.stroke, engine.map(|e| e.stroke))?;
        let rod = size("rod", &self.rod, engine.and_then(|e| e.rod_length))?;
        let height = size("height", &self.height, engine.and_then(|e| e.compression_height))?;
        let blocks = if self.block.is_empty() {
            vec![size("block", &None, engine.and_then(|e| e.deck_height))?]
        } else {
            context.quantities("block", &self.block, lean)?
        };
        let mut found = Found { decks: Vec::new(), corners: Vec::new(), working: Vec::new() };
        for (n, block) in blocks.iter().enumerate() {
            let mut typed: Vec<_> =
                [("stroke", &self.stroke), ("rod", &self.rod), ("compression height", &self.height)]
                    .into_iter()
                    .filter_map(|(name, given)| given.as_ref().map(|g| (name, g.written())))
                    .collect();
            typed.extend(self.block.get(n).map(|given| ("block height", given.written())));
            let stack = cylinders::deck_stack(*block, stroke, rod, height).or_refuse(&typed)?;
            found.decks.push(stack.deck);
            let one = |length| show::length_in(length, lead);
            found.working.push(format!(
                "{} block - ({} half stroke + {} rod + {} height) = {}",
                one(*block),
                one(stack.half_stroke),
                one(rod),
                one(height),
                one(stack.deck)
            ));
        }
        Ok(found)
    }
}

fn table(found: &Found, cut: Option<&faces::Cut>, lead: System) -> Table {
    let mut header = vec!["Corner", "Deck"];
    if !found.corners.is_empty() {
        header.push("Rock");
    }
    if cut.is_some() {
        header.extend(["Cut to wanted", "After the level cut"]);
    }
    let one = |length| Cell::from(show::length_in(length, lead));
    let rows = found.decks.iter().enumerate().map(|(n, deck)| {
        let mut cells = vec![Cell::from((n + 1).to_string()), one(*deck)];
        cells.extend(found.corners.get(n).map(|corner| one(corner.rock.abs())));
        cells.extend(cut.into_iter().flat_map(|cut| [cut.each[n], cut.after[n]]).map(one));
        cells
    });
    Table { caption: String::new(), rows: rows.collect(), header: header.into_iter().map(String::from).collect() }
}
