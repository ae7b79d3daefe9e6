//! How a sum from a job is told: its answer, and which reading each number came from.

use super::{Route, Sum, Taken};
use crate::desk::recorded::{behind_name, standing};
use crate::desk::reply::{Block, Cell, Reply, Table, Value};
use crate::desk::{Context, line};
use crate::engine::Position;
use crate::engine::plan::built_in;
use crate::quantity::{Dimension, System, read, show};
use crate::record::Job;

/// A single sum: its own reply, and the readings beneath.
pub fn one(job: &Job, route: &Route, sum: &Sum, mut reply: Reply) -> Reply {
    if let Some(at) = sum.at {
        reply.title = format!("{} {at}: {}", show::capital(route.per.word()), reply.title);
    }
    let mut sets: Vec<Vec<&Taken>> = Vec::new();
    for taken in &sum.taken {
        let same = |set: &&mut Vec<&Taken>| {
            set.iter().all(|other| other.field == taken.field && other.entry.reading.id == taken.entry.reading.id)
        };
        match sets.iter_mut().find(same) {
            Some(set) => set.push(taken),
            None => sets.push(vec![taken]),
        }
    }
    let rows = sets.iter().map(|set| origin(set)).collect();
    reply.block(Block::Table(Table {
        caption: format!("Read from job {}, {}", job.id, job.title),
        header: ["For", "Value", "Reading", "Check", "Stands"].map(String::from).to_vec(),
        rows,
    }))
}

/// The same sum at every position: the range first, then a row each.
pub fn many(
    context: &Context,
    job: &Job,
    route: &Route,
    sums: &[Sum],
    replies: &[Reply],
    missing: &[(Position, Vec<&'static str>)],
) -> Reply {
    let first: Vec<Option<&Value>> = replies.iter().map(|reply| reply.values.first()).collect();
    let known: Vec<&Value> = first.iter().copied().flatten().collect();
    let lead = context.lead_with(&[], context.library.engine(&job.engine));
    let name = known.first().map_or(String::new(), |value| show::capital(&value.name.replace('_', " ")));
    let ends = known.iter().map(|v| v.as_si()).fold(None, |ends: Option<(f64, f64)>, si| {
        Some(ends.map_or((si, si), |(low, high)| (low.min(si), high.max(si))))
    });
    let dimension = known.first().map(|value| value.dimension);
    let range = match (ends, dimension) {
        (Some((low, high)), Some(Dimension::Number)) => format!("{} to {}", show::fixed(low, 2), show::fixed(high, 2)),
        (Some((low, high)), Some(dimension)) => show::range(dimension, Some(low), Some(high), lead),
        _ => String::new(),
    };
    let mut reply = Reply::new(format!("{name} {range} over {} {}s", sums.len(), route.per.word()));
    reply.verdict = replies.iter().filter_map(|r| r.verdict).reduce(|a, b| a.worse(b));
    let rows = sums.iter().zip(replies).zip(&first).map(|((sum, told), value)| {
        let at = sum.at.map(|at| at.to_string()).unwrap_or_default();
        let mut place = Cell::from(at.clone());
        place.line = Some(format!("{} job={} at={}", route.command, job.id, line::quoted(&at)));
        let mut answer = Cell::from(value.map_or(told.title.clone(), |v| in_doubt(v, told, lead)));
        answer.verdict = told.verdict;
        let mut ids: Vec<i64> = sum.taken.iter().map(|taken| taken.entry.reading.id.0).collect();
        ids.sort_unstable();
        ids.dedup();
        let ids: Vec<String> = ids.iter().map(|id| format!("#{id}")).collect();
        vec![place, answer, Cell::from(ids.join(" "))]
    });
    reply = reply.block(Block::Table(Table {
        caption: format!("Job {}, {}", job.id, job.title),
        header: vec![show::capital(route.per.word()), name, "From readings".to_owned()],
        rows: rows.collect(),
    }));
    if !missing.is_empty() {
        reply = reply.text(format!("Not measured yet: {}.", lacking(route, missing)));
    }
    // What is said of one holds for all.
    if let Some(told) = replies.first() {
        let said = told.blocks.iter().filter(|block| matches!(block, Block::Caution(_) | Block::Sources(_)));
        reply.blocks.extend(said.cloned());
    }
    for (sum, told) in sums.iter().zip(replies) {
        let at = sum.at.map(|at| at.to_string().replace(' ', "_")).unwrap_or_default();
        reply.values.extend(told.values.iter().map(|v| Value { name: format!("{}_{at}", v.name), ..v.clone() }));
    }
    reply
}

/// `cylinders 5 and 6: Bore`, parts of the same lack together.
pub fn lacking(route: &Route, missing: &[(Position, Vec<&str>)]) -> String {
    let mut groups: Vec<(&Vec<&str>, Vec<String>)> = Vec::new();
    for (place, lacks) in missing {
        match groups.iter_mut().find(|(same, _)| *same == lacks) {
            Some((_, places)) => places.push(place.to_string()),
            None => groups.push((lacks, vec![place.to_string()])),
        }
    }
    let told = groups.iter().map(|(lacks, places)| {
        let lacks = lacks.join(" and ").to_lowercase();
        match places.as_slice() {
            [one] if one == "-" => lacks,
            [one] => format!("{lacks} of {} {one}", route.per.word()),
            several => format!("{lacks} of {}s {}", route.per.word(), several.join(", ")),
        }
    });
    told.collect::<Vec<_>>().join("; ")
}

/// The values of one field out of one reading.
fn origin(set: &[&Taken]) -> Vec<Cell> {
    let Some(first) = set.first() else { return Vec::new() };
    let reading = &first.entry.reading;
    let measured = &reading.measured;
    let check = built_in(&measured.check).map_or(measured.check.as_str(), |check| check.name);
    let place = behind_name(&measured.position);
    let spread = first.text.split_once('±').map(|(_, spread)| format!(" ±{spread}")).unwrap_or_default();
    let values: Vec<String> = set.iter().map(|taken| short(&taken.text)).collect();
    vec![
        Cell::from(first.field),
        Cell::from(format!("{}{spread}", values.join(" "))),
        Cell::from(format!("#{} by {}", reading.id.0, reading.by.person)),
        Cell::from(format!("{check}{place}")),
        Cell::from(standing(first.entry)),
    ]
}

/// A value as taken, without its spread; a mean to five decimals, which no gauge reaches.
fn short(text: &str) -> String {
    let text = text.split('±').next().unwrap_or_default().trim();
    match read(text) {
        Ok(written) if written.decimals > 5 => {
            let number = show::fixed(written.number, 5);
            format!("{}{}", number.trim_end_matches('0'), written.unit.unwrap_or_default())
        }
        _ => text.to_owned(),
    }
}

/// A result; a plain number with its uncertainty, and no more digits than that leaves.
fn in_doubt(value: &Value, told: &Reply, lead: System) -> String {
    let spread = told.values.iter().find(|other| other.name == format!("{}_uncertainty", value.name));
    match spread.filter(|_| value.dimension == Dimension::Number) {
        Some(spread) => format!("{} ± {}", show::fixed(value.value, 2), show::fixed(spread.value, 2)),
        None => value.shown(lead),
    }
}
