//! The `pair` family.

mod pistons;
mod shells;
mod weights;

use clap::Subcommand;

use crate::desk::reply::{Block, Cell, Reply, Table, Value};
use crate::desk::sense::odd_one;
use crate::desk::yardstick::Held;
use crate::desk::{Context, Trouble};
use crate::maths::pairing::Pairing;
use crate::quantity::{Given, Measure, System, Written, show};

/// What can be put together by size or weight.
#[derive(Debug, Subcommand)]
pub enum Pair {
    /// Which piston goes to which bore.
    Pistons(pistons::Pistons),
    /// Which pair of shells goes to which journal.
    Shells(shells::Shells),
    /// Which piston assembly goes on which rod, by weight.
    Weights(weights::Weights),
}

impl Pair {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Pistons(c) => c.run(context),
            Self::Shells(c) => c.run(context),
            Self::Weights(c) => c.run(context),
        }
    }
}

/// How a pairing is told.
struct Telling<'a> {
    /// What the parts go to, and what they are: `Bore`, `Piston`.
    place: &'a str,
    part: &'a str,
    /// What each pair comes to: `clearance`, and what several are called.
    value: &'a str,
    values: &'a str,
    /// What a place and a part measure, as shown in the table.
    places: Vec<String>,
    parts: Vec<String>,
    /// Where the value wanted comes from.
    wanted: String,
    held: Option<Held>,
    /// Expanded uncertainty of one value, SI.
    doubt: f64,
    lead: System,
}

/// Before and after, a row a place.
fn told<Q: Measure>(pairing: &Pairing<Q>, telling: &Telling) -> Reply {
    let lead = telling.lead;
    let both = |value: Q| show::any(Q::DIMENSION, value.si(), lead);
    let one = |value: Q| show::any_in(Q::DIMENSION, value.si(), lead);
    let (before, after) = (&pairing.before, &pairing.after);
    let moved = after.part.iter().enumerate().filter(|(place, part)| place != *part).count();
    let title = if moved == 0 {
        format!("Leave them: no other order does better than {} off", both(before.worst))
    } else {
        format!(
            "Move {moved} of {}: the worst {} is {} off, was {}",
            after.part.len(),
            telling.value,
            both(after.worst),
            one(before.worst)
        )
    };
    let mut reply = Reply::new(title).fields([("Wanted", format!("{}: {}", both(pairing.wanted), telling.wanted))]);
    if let Some(held) = &telling.held {
        let verdicts = after.value.iter().map(|value| held.verdict(value.si(), telling.doubt));
        if let Some(worst) = verdicts.reduce(|a, b| a.worse(b)) {
            reply = reply.verdict(worst);
        }
        reply = reply.fields([("Limit", held.said(lead))]);
    }
    let rows = (0..after.part.len()).map(|place| {
        let part = after.part[place];
        let verdict = telling.held.as_ref().map(|held| held.verdict(after.value[place].si(), telling.doubt));
        let star = if part == place { "" } else { " *" };
        let got = Cell { text: one(after.value[place]), verdict, line: None };
        vec![
            format!("{}: {}", place + 1, telling.places[place]).into(),
            format!("{}: {}{star}", part + 1, telling.parts[part]).into(),
            got,
            one(before.value[place]).into(),
        ]
    });
    let table = Table {
        caption: "* moved from where it was given".to_owned(),
        header: [
            telling.place.to_owned(),
            telling.part.to_owned(),
            show::capital(telling.value),
            "As given".to_owned(),
        ]
        .to_vec(),
        rows: rows.collect(),
    };
    reply = reply.block(Block::Table(table)).working([
        format!("{} as given: worst {} off {}", telling.values, one(before.worst), one(pairing.wanted)),
        format!("{} as paired: worst {} off {}", telling.values, one(after.worst), one(pairing.wanted)),
    ]);
    reply = reply
        .value(Value::si("wanted", Q::DIMENSION, pairing.wanted.si(), lead))
        .value(Value::si("worst_before", Q::DIMENSION, before.worst.si(), lead))
        .value(Value::si("worst_after", Q::DIMENSION, after.worst.si(), lead));
    for (place, part) in after.part.iter().enumerate() {
        let name = format!("{}_{}", telling.place.to_lowercase(), place + 1);
        reply = reply.value(Value::plain(&name, (part + 1) as f64)).value(Value::si(
            &format!("{}_{}", telling.value.replace(' ', "_"), place + 1),
            Q::DIMENSION,
            after.value[place].si(),
            lead,
        ));
    }
    reply.sources([
        "smallest worst error, then smallest sum of squares, then fewest moved: assignment (Kuhn and Munkres)",
    ])
}

/// A list by its name: as typed, and what that came to.
type List<'g, Q> = (&'static str, &'g [Given<Q>], &'g [Q]);

/// The lists by name with the one that is refused in each; none where their lengths are what is wrong.
fn typed<'g, Q: Measure>(lists: &[List<'g, Q>]) -> Vec<(&'static str, &'g Written)> {
    let count = lists.first().map_or(0, |(_, given, _)| given.len());
    if count < 2 || lists.iter().any(|(_, given, _)| given.len() != count) {
        return Vec::new();
    }
    lists.iter().filter_map(|(name, given, values)| Some((*name, odd_one(given, values)?))).collect()
}
