//! What the uncertainty of each value does to the answer: `piston clearance 4.0305in±0.0001in 4.0270in±0.0001in`.
//!
//! First order: the sum is done again with each value in turn a standard uncertainty up and down, and the changes are
//! added in quadrature (JCGM 100, 5.1.2 and 5.1.3 note 2). What is typed and what is told is expanded, k = 2; values
//! count as independent. Where the two sides differ the larger counts.

use super::context::Context;
use super::form::{Field, Form, Kind};
use super::reply::{Block, Reply, Value};
use super::tree::{Given, Tree};
use super::trouble::{Refusal, Trouble};
use crate::quantity::{Dimension, System, named_in, read, show, unit_for};

/// The uncertainty of one typed value.
struct Doubt {
    /// Its place among what was given.
    at: usize,
    field: String,
    number: f64,
    unit: String,
    /// Expanded, in the unit of the value.
    expanded: f64,
}

impl Doubt {
    /// The value moved by so many standard uncertainties, as it would be typed.
    fn moved(&self, standard: f64) -> String {
        format!("{} {}", self.number + standard * self.expanded / 2.0, self.unit).trim_end().to_owned()
    }
}

/// What a result's uncertainty came to.
struct Known<'r> {
    value: &'r Value,
    /// Expanded, in the unit of the value.
    expanded: f64,
    /// Share of the variance by field.
    shares: Vec<(String, f64)>,
    /// The result does not change in step with a value over its uncertainty.
    bent: bool,
}

/// The answer to a command, with its uncertainty where a value carries one.
pub fn answer(context: &Context, tree: &Tree, form: &Form, given: &Given) -> Result<Reply, Trouble> {
    let (plain, doubts) = parted(form, given)?;
    let command = tree.command(form, &plain)?;
    if doubts.is_empty() {
        return command.run(context);
    }
    if !command.is_sum() {
        let possible = "Only a sum takes ±. A reading that is posted carries the uncertainty of its gauge.";
        return Err(Refusal::new(&doubts[0].field, &given[doubts[0].at].1, possible).into());
    }
    let middle = command.run(context)?;
    let mut moves = Vec::new();
    for doubt in &doubts {
        let aside = |standard: f64| -> Result<Vec<Value>, Trouble> {
            let mut moved = plain.clone();
            moved[doubt.at].1 = doubt.moved(standard);
            let reply = tree.command(form, &moved)?.run(context).map_err(|trouble| match trouble {
                Trouble::Refused(refusal) => {
                    let possible = format!("Within its uncertainty it cannot be worked out. {}", refusal.possible);
                    Refusal::new(&doubt.field, &given[doubt.at].1, possible).into()
                }
                fault => fault,
            })?;
            Ok(reply.values)
        };
        moves.push((doubt.field.as_str(), aside(-1.0)?, aside(1.0)?));
    }
    let known: Vec<Known> = middle.values.iter().filter_map(|value| known(value, &moves)).collect();
    let expanded = known.iter().map(|k| (k.value.name.clone(), k.expanded * k.value.factor())).collect();
    let reply = command.run(&context.with_doubts(expanded))?;
    Ok(told(reply, &known))
}

/// Values without their `±`, and the uncertainties that stood there.
fn parted(form: &Form, given: &Given) -> Result<(Given, Vec<Doubt>), Refusal> {
    let (mut plain, mut doubts) = (Given::new(), Vec::new());
    for (at, (id, value)) in given.iter().enumerate() {
        let field = form.field(id).filter(|field| matches!(field.kind, Kind::Quantity(_)));
        match (field, value.split_once('±')) {
            (Some(field), Some((number, spread))) => {
                doubts.push(doubt(field, at, number, spread).map_err(|possible| Refusal::new(id, value, possible))?);
                plain.push((id.clone(), number.trim().to_owned()));
            }
            _ => plain.push((id.clone(), value.clone())),
        }
    }
    Ok((plain, doubts))
}

fn doubt(field: &Field, at: usize, number: &str, spread: &str) -> Result<Doubt, String> {
    let Kind::Quantity(dimension) = field.kind else { return Err(field.wanted()) };
    let value = read(number).map_err(|misread| format!("It {misread}. {}", field.wanted()))?;
    let spread = read(spread).map_err(|misread| format!("What follows ± {misread}: ±0.0001in, for example."))?;
    let factor = |unit: &Option<String>| unit.as_deref().and_then(|u| unit_for(dimension, u)).map(|u| u.factor);
    let scale = match (&value.unit, &spread.unit) {
        (_, None) => 1.0,
        // A share of the value itself.
        (_, Some(share)) if share == "%" && dimension != Dimension::Share => value.number.abs() / 100.0,
        (Some(one), Some(other)) if one == other => 1.0,
        _ => match (factor(&value.unit), factor(&spread.unit)) {
            (Some(one), Some(other)) => other / one,
            _ => return Err("Give the value and what follows ± the same unit.".to_owned()),
        },
    };
    if spread.number <= 0.0 {
        return Err("What follows ± must be more than nothing; leave it out where there is none.".to_owned());
    }
    let unit = value.unit.unwrap_or_default();
    Ok(Doubt { at, field: field.id.clone(), number: value.number, unit, expanded: spread.number * scale })
}

fn known<'r>(value: &'r Value, moves: &[(&str, Vec<Value>, Vec<Value>)]) -> Option<Known<'r>> {
    let mut shares: Vec<(String, f64)> = Vec::new();
    let mut bent = false;
    for (field, low, high) in moves {
        let off = |side: &[Value]| side.iter().find(|v| v.name == value.name).map(|v| v.value - value.value);
        let (low, high) = (off(low).unwrap_or(0.0), off(high).unwrap_or(0.0));
        let change = low.abs().max(high.abs());
        bent |= change > 0.0 && (low + high).abs() > change / 4.0;
        match shares.iter_mut().find(|(name, _)| name == field) {
            Some((_, variance)) => *variance += change * change,
            None => shares.push(((*field).to_owned(), change * change)),
        }
    }
    let variance: f64 = shares.iter().map(|(_, one)| one).sum();
    let expanded = 2.0 * variance.sqrt();
    // What only rounding moved is not in doubt.
    if expanded <= 1e-9 * value.value.abs() || expanded == 0.0 {
        return None;
    }
    shares.iter_mut().for_each(|(_, one)| *one /= variance);
    shares.retain(|(_, one)| *one >= 0.005);
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    Some(Known { value, expanded, shares, bent })
}

fn told(mut reply: Reply, known: &[Known]) -> Reply {
    let Some(main) = known.first() else {
        return reply.text("What is in doubt here does not change the answer.");
    };
    let parts: Vec<String> =
        main.shares.iter().map(|(field, share)| format!("{field} {:.0} %", share * 100.0)).collect();
    let because = if parts.len() > 1 { format!(" Of that: {}.", parts.join(", ")) } else { String::new() };
    let bent = if known.iter().any(|k| k.bent) {
        " It does not change evenly over that doubt: the larger side is taken."
    } else {
        ""
    };
    let line = format!("{} is known to {} (k = 2).{because}{bent}", words(main.value), main.shown());
    reply.blocks.insert(0, Block::Text(line));
    let rest: Vec<(String, String)> =
        known[1..].iter().map(|k| (format!("± {}", words(k.value).to_lowercase()), k.shown())).collect();
    if !rest.is_empty() {
        let end = |block: &Block| matches!(block, Block::Caution(_) | Block::Sources(_));
        let at = reply.blocks.iter().position(end).unwrap_or(reply.blocks.len());
        reply.blocks.insert(at, Block::Fields(rest));
    }
    for k in known {
        let name = format!("{}_uncertainty", k.value.name);
        reply = reply.value(Value { name, value: k.expanded, ..k.value.clone() });
    }
    let source = "uncertainty: JCGM 100, first order, values taken as independent, k = 2 (about 95 %)";
    match reply.blocks.iter_mut().rev().find_map(|block| if let Block::Sources(all) = block { Some(all) } else { None })
    {
        Some(sources) => sources.push(source.to_owned()),
        None => reply = reply.sources([source]),
    }
    reply
}

fn words(value: &Value) -> String {
    show::capital(&value.name.replace('_', " "))
}

impl Known<'_> {
    /// `± 0.00014 in (0.0036 mm)`, led by the unit of the answer itself.
    fn shown(&self) -> String {
        let metric = named_in(self.value.dimension, System::Metric).is_some_and(|u| u.symbol == self.value.unit);
        let lead = if metric { System::Metric } else { System::Inch };
        let unit =
            |system| named_in(self.value.dimension, system).filter(|_| self.value.dimension != Dimension::Number);
        let si = self.expanded * self.value.factor();
        let one = |system| match unit(system) {
            Some(unit) => format!("{} {}", two_figures(si / unit.factor), unit.symbol),
            None => format!("{} {}", two_figures(self.expanded), self.value.unit).trim_end().to_owned(),
        };
        let other = if lead == System::Inch { System::Metric } else { System::Inch };
        let (first, second) = (one(lead), one(other));
        if first == second { format!("± {first}") } else { format!("± {first} ({second})") }
    }
}

/// Two significant figures, as an uncertainty is told (JCGM 100, 7.2.6).
fn two_figures(value: f64) -> String {
    // A hair up, so that 0.000 099 999 is a tenth.
    let decimals = (1 - (value.abs() * (1.0 + 1e-6)).log10().floor() as i32).clamp(0, 9) as usize;
    format!("{value:.decimals$}")
}
