//! `convert 4.030in mm`, `convert 115 Nm lb-ft`, `convert 0.328in fraction`: the same quantity in another unit.

use clap::Args;

use crate::desk::reply::{Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::convert;
use crate::quantity::{self, Dimension, Length, Measure, System, UNITS, Unit, Written, show, unit_for};

/// The value and where it is to go.
#[derive(Debug, Args)]
#[command(after_help = "convert 4.030in mm")]
pub struct Convert {
    /// What to convert, with its unit.
    pub value: String,
    /// The unit wanted; `fraction` for the nearest 1/64 in. Without one, every unit the shop meets.
    pub to: Vec<String>,
}

impl Convert {
    pub fn run(&self, _: &Context) -> Result<Reply, Trouble> {
        let written =
            quantity::read(&self.value).map_err(|m| Refusal::new("value", &self.value, format!("It {m}.")))?;
        let Some(spelling) = &written.unit else {
            return Err(Refusal::new("value", &self.value, "It has no unit. Write it like 4.030in or 115 Nm.").into());
        };
        // `10 under` is ten thou, `0.010 under` is 0.010 in.
        let spelling = match spelling.as_str() {
            "over" | "under" | "oversize" | "undersize" if written.number.abs() >= 1.0 => "thou",
            "over" | "under" | "oversize" | "undersize" => "in",
            other => other,
        };
        // A pound is a force and a weight: the unit wanted decides which was meant.
        let meanings: Vec<&Unit> =
            UNITS.iter().filter(|u| unit_for(u.dimension, spelling).is_some_and(|found| found == *u)).collect();
        if meanings.is_empty() {
            let possible = format!("The unit \"{spelling}\" is not known here. {}", listed(None));
            return Err(Refusal::new("value", &self.value, possible).into());
        }
        let si = |unit: &Unit| written.number * unit.factor + unit.offset;
        let to: Vec<String> = self.to.iter().map(|word| word.to_lowercase()).collect();
        let to = match to.as_slice() {
            [filler, rest @ ..] if matches!(filler.as_str(), "to" | "into" | "as") => rest.join(" "),
            all => all.join(" "),
        };
        match Some(to.as_str()).filter(|to| !to.is_empty()) {
            Some("fraction" | "fractions" | "64ths") => {
                match meanings.iter().find(|u| u.dimension == Dimension::Length) {
                    Some(unit) => fraction(&written, Length::from_si(si(unit))),
                    None => Err(Refusal::new("to", "fraction", "Only a length has a fraction of an inch.").into()),
                }
            }
            Some(to) => {
                let target = meanings.iter().find_map(|from| unit_for(from.dimension, to).map(|to| (*from, to)));
                let Some((from, to)) = target else {
                    return Err(Refusal::new("to", to, listed(meanings.first().map(|u| u.dimension))).into());
                };
                self.believed(written.number, from)?;
                Ok(one(&self.value, si(from), from, to))
            }
            None => {
                self.believed(written.number, meanings[0])?;
                Ok(every(&self.value, si(meanings[0]), meanings[0]))
            }
        }
    }

    /// Refuses what the maths does: less than absolute zero.
    fn believed(&self, number: f64, unit: &Unit) -> Result<(), Trouble> {
        let coldest = |_| Refusal::new("value", &self.value, "Nothing is colder than -459.67 °F (-273.15 °C).");
        Ok(convert::convert(number, unit, unit).map(drop).map_err(coldest)?)
    }
}

/// Seven significant figures: more than any gauge shows, fewer than binary noise.
fn figures(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let decimals = (6 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    show::trimmed(value, decimals)
}

fn one(given: &str, si: f64, from: &Unit, to: &Unit) -> Reply {
    let value = convert::in_unit(si, to);
    let working = if from.offset == 0.0 && to.offset == 0.0 {
        format!("1 {} = {} {}", from.symbol, figures(from.factor / to.factor), to.symbol)
    } else {
        format!("{given} = {} K = {} {}", figures(si), figures(value), to.symbol)
    };
    Reply::new(format!("{given} = {} {}", figures(value), to.symbol))
        .working([working])
        .sources(["NIST SP 811, appendix B.8: exact factors"])
        .value(Value::counted("converted", value, to.symbol))
}

fn every(given: &str, si: f64, from: &Unit) -> Reply {
    let others: Vec<&Unit> = UNITS.iter().filter(|u| u.dimension == from.dimension && **u != *from).collect();
    let mut reply = match others.first() {
        Some(first) => Reply::new(format!("{given} = {} {}", figures(convert::in_unit(si, first)), first.symbol)),
        None => Reply::new(format!("{given} has no other unit here")),
    };
    reply = reply.fields(others.iter().map(|u| (u.symbol, figures(convert::in_unit(si, u)))));
    for unit in others {
        let value = convert::in_unit(si, unit);
        reply = reply.value(Value::counted(unit.symbol, value, unit.symbol));
    }
    reply.sources(["NIST SP 811, appendix B.8: exact factors"])
}

fn fraction(given: &Written, length: Length) -> Result<Reply, Trouble> {
    let nearest = convert::nearest_64th(length).or_refuse(&[("length", given)])?;
    let text = match (nearest.whole, nearest.numerator) {
        (whole, 0) => whole.to_string(),
        (0, above) => format!("{above}/{}", nearest.denominator),
        (whole, above) => format!("{whole}-{above}/{}", nearest.denominator),
    };
    Ok(Reply::new(format!("{} is nearest to {text} in", given.text))
        .working([format!("the fraction is off by {}", show::length(nearest.error, System::Inch))])
        .value(Value::length("fraction", nearest.value, System::Inch))
        .value(Value::length("error", nearest.error, System::Inch))
        .sources(["definition: 1/64 in = 0.015625 in"]))
}

fn listed(dimension: Option<Dimension>) -> String {
    let symbols: Vec<&str> =
        UNITS.iter().filter(|u| dimension.is_none_or(|d| u.dimension == d)).map(|u| u.symbol).collect();
    format!("Possible: {}.", symbols.join(", "))
}
