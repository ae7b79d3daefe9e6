//! `measure stack 9.0250+-0.0020 -5.7000+-0.0010 -1.7400+-0.0010 -1.5600+-0.0010in`: what a chain of dimensions leaves.

use clap::Args;

use super::digits::fine_in;
use crate::desk::form::RawReading;
use crate::desk::reply::{Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::explain;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::judge::{self, Verdict};
use crate::maths::stack::{self, Link};
use crate::maths::{Rule, Unfit};
use crate::quantity::{Dimension, Given, Length, Measure, System, read, read_si, show, system_of};

/// Dimensions with their tolerances.
#[derive(Debug, Args)]
#[command(after_help = "measure stack 9.0250+-0.0020 -5.7000+-0.0010 -1.7400+-0.0010 -1.5600+-0.0010in")]
pub struct Stack {
    /// Each as 9.025+-0.002, or 25+0.021-0 with two limits; a minus in front takes it away.
    #[arg(required = true)]
    pub dimensions: Vec<RawReading>,
    /// The least that may be left.
    #[arg(long)]
    pub min: Option<Given<Length>>,
    /// The most that may be left.
    #[arg(long)]
    pub max: Option<Given<Length>>,
}

impl Stack {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let written: Vec<Parts> = joined(&self.dimensions)
            .iter()
            .map(|text| Parts::of(text).ok_or_else(|| Refusal::new("dimensions", text, WANTED)))
            .collect::<Result<_, _>>()?;
        let typed = written.last().and_then(|parts| parts.system()).or(context.lean(engine));
        let links: Vec<Link> = written.iter().map(|parts| parts.link(typed)).collect::<Result<_, _>>()?;
        let lead = context.lead_with(&[typed], engine);
        let limit = |name, given: &Option<Given<Length>>| {
            given.as_ref().map(|g| context.quantity(name, g, Some(lead))).transpose()
        };
        let (min, max) = (limit("min", &self.min)?, limit("max", &self.max)?);
        if let (Some(min), Some(max)) = (min, max)
            && min >= max
        {
            let given = self.max.as_ref().map_or("", |g| &g.written().text);
            return Err(Refusal::new("max", given, "It must be more than the min.").into());
        }
        let sum = stack::stack(&links).map_err(|unfit| refused(unfit, &written, &links))?;
        let (worst, likely) = (sum.worst_limits(), sum.likely_limits());
        let span = |(low, high): (Length, Length)| show::length_range(Some(low), Some(high), lead);
        let mut reply = Reply::new(format!("{} in the worst case; {} as a rule", span(worst), span(likely)));
        let judged = |(low, high): (Length, Length)| {
            let nothing = Length::from_si(0.0);
            judge::verdict(low, nothing, min, max).worse(judge::verdict(high, nothing, min, max))
        };
        if min.is_some() || max.is_some() {
            let (by_worst, by_likely) = (judged(worst), judged(likely));
            let verdict = match (by_worst, by_likely) {
                (Verdict::Within, _) => Verdict::Within,
                (_, Verdict::Within) => Verdict::Marginal,
                _ => Verdict::Out,
            };
            reply = reply.verdict(verdict).fields([
                ("Limits", show::length_range(min, max, lead)),
                ("Worst case", by_worst.as_str().to_owned()),
                ("Root-sum-square", by_likely.as_str().to_owned()),
            ]);
            if verdict == Verdict::Marginal {
                reply = reply.text("Most assemblies will do, but not any parts that are to drawing: measure and match, or tighten the biggest share.");
            }
        }
        let rows = links.iter().zip(&sum.links).zip(1..).map(|((link, centred), number)| -> Vec<Cell> {
            vec![
                number.to_string().into(),
                show::length_in(link.size, lead).into(),
                format!("+{} -{}", bare(link.plus, lead), bare(link.minus, lead)).into(),
                show::length_in(centred.middle, lead).into(),
                format!("{} %", show::fixed(centred.share * 100.0, 0)).into(),
            ]
        });
        let header = ["", "Size", "Limits", "Middle", "Share of the spread"].map(String::from).to_vec();
        // All with the digits of the tightest, so that the line adds up as it is read.
        let least = sum.links.iter().map(|l| l.half).filter(|half| half.si() > 0.0).reduce(Length::min);
        let least = least.unwrap_or(sum.worst);
        let halves: Vec<String> = sum.links.iter().map(|l| number(&fine_in(l.half, least, lead))).collect();
        let squares: Vec<String> = halves.iter().map(|half| format!("{half}^2")).collect();
        let table = Table { caption: String::new(), header, rows: rows.collect() };
        Ok(reply
            .block(Block::Table(table))
            .working([
                format!("sum of the middles = {}", show::length_in(sum.middle, lead)),
                format!("worst case: {} = {}", halves.join(" + "), fine_in(sum.worst, least, lead)),
                format!("root-sum-square: sqrt({}) = {}", squares.join(" + "), fine_in(sum.root_sum_square, least, lead)),
            ])
            .caution(Loudness::Note, "Root-sum-square needs parts that vary by chance about the middle of their tolerance. A worn set, or one batch off one machine, does not: then only the worst case is safe.")
            .sources(["definitions; root-sum-square is textbook practice for independent, centred parts"])
            .value(Value::length("middle", sum.middle, lead))
            .value(Value::length("nominal", sum.nominal, lead))
            .value(Value::length("worst", sum.worst, lead))
            .value(Value::length("root_sum_square", sum.root_sum_square, lead))
            .value(Value::length("least", worst.0, lead))
            .value(Value::length("most", worst.1, lead)))
    }
}

const WANTED: &str = "A size with its tolerance, such as 9.025+-0.002in, 9.025±0.002in or 25+0.021-0mm.";

/// `9.025 +/- 0.002in` was cut at its blanks: each sign goes back between its numbers.
fn joined(given: &[RawReading]) -> Vec<String> {
    const SIGNS: [&str; 3] = ["±", "+-", "+/-"];
    let mut out: Vec<String> = Vec::new();
    for RawReading(text) in given {
        match out.last_mut() {
            Some(last)
                if SIGNS.iter().any(|sign| text.starts_with(sign)) || SIGNS.iter().any(|sign| last.ends_with(sign)) =>
            {
                last.push_str(text);
            }
            _ => out.push(text.clone()),
        }
    }
    out
}

/// One dimension as typed: size, plus and minus as numbers, and the unit behind them.
struct Parts {
    text: String,
    size: String,
    plus: String,
    minus: String,
    unit: String,
}

impl Parts {
    /// `9.025+-0.002in`, `9.025±0.002in`, `25+0.021-0mm`, `-24.993+0-0.013`.
    fn of(text: &str) -> Option<Self> {
        let tidy: String = text.trim().replace("+/-", "±").replace("+-", "±").replace("-+", "±");
        let tidy: String = tidy.chars().filter(|c| !c.is_whitespace()).collect();
        let end = tidy.rfind(|c: char| c.is_ascii_digit()).map(|at| at + 1)?;
        let (numbers, unit) = tidy.split_at_checked(end)?;
        // An own unit at the size as well is one too many only where it differs.
        let numbers = if unit.is_empty() { numbers.to_owned() } else { numbers.replace(unit, "") };
        let sign = if numbers.starts_with('-') { "-" } else { "" };
        let body = numbers.strip_prefix(['-', '+']).unwrap_or(&numbers);
        let (size, plus, minus) = match body.split_once('±') {
            Some((size, both)) => (size, both, both),
            None => {
                let (size, two) = body.split_once('+')?;
                let (plus, minus) = two.split_once('-')?;
                (size, plus, minus)
            }
        };
        let plain =
            |number: &str| !number.is_empty() && number.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
        [size, plus, minus].iter().all(|number| plain(number)).then(|| Self {
            text: text.to_owned(),
            size: format!("{sign}{size}"),
            plus: plus.to_owned(),
            minus: minus.to_owned(),
            unit: unit.to_owned(),
        })
    }

    fn system(&self) -> Option<System> {
        system_of(Dimension::Length, &read(&format!("{}{}", self.size, self.unit)).ok()?)
    }

    fn link(&self, lean: Option<System>) -> Result<Link, Refusal> {
        let length = |number: &str| -> Result<Length, Refusal> {
            read_si(Dimension::Length, &format!("{number}{}", self.unit), lean)
                .map(Length::from_si)
                .map_err(|misread| Refusal::new("dimensions", &self.text, format!("It {misread}.")))
        };
        Ok(Link { size: length(&self.size)?, plus: length(&self.plus)?, minus: length(&self.minus)? })
    }
}

/// The number of a length alone, in the unit of a system.
fn bare(length: Length, system: System) -> String {
    number(&show::length_in(length, system))
}

fn number(shown: &str) -> String {
    shown.split(' ').next().unwrap_or_default().to_owned()
}

/// What the chain refuses, by the dimension as it was typed.
fn refused(unfit: Unfit, written: &[Parts], links: &[Link]) -> Refusal {
    if unfit.rule == Rule::Missing {
        return Refusal::new("dimensions", "", "Every tolerance is nothing: there is nothing to stack.");
    }
    if unfit.input != "tolerance" {
        return explain(unfit, &[]);
    }
    let over = |link: &Link| link.plus.max(link.minus) > link.size.abs();
    let text = written.iter().zip(links).find(|(_, link)| over(link)).map_or("", |(parts, _)| &parts.text);
    Refusal::new("dimensions", text, "Its tolerance must not be more than the dimension itself.")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::quantity::in_millimetres;

    fn read(text: &str) -> [f64; 3] {
        let link = Parts::of(text).unwrap().link(Some(System::Metric)).unwrap();
        [link.size, link.plus, link.minus].map(in_millimetres)
    }

    #[test]
    fn every_way_a_tolerance_is_written() {
        for (text, wanted) in [
            ("25+-0.1", [25.0, 0.1, 0.1]),
            ("25±0.1mm", [25.0, 0.1, 0.1]),
            ("25 +/- 0.1 mm", [25.0, 0.1, 0.1]),
            ("-25+-.1", [-25.0, 0.1, 0.1]),
            ("25+0.021-0mm", [25.0, 0.021, 0.0]),
            ("-24.993+0-0.013", [-24.993, 0.0, 0.013]),
            ("1in+-0.1in", [25.4, 2.54, 2.54]),
        ] {
            for (found, wanted) in read(text).iter().zip(wanted) {
                assert!((found - wanted).abs() < 1e-9, "{text}: {found}");
            }
        }
    }

    #[test]
    fn blanks_around_the_sign_do_not_part_a_dimension() {
        let given = ["9.025", "+/-", "0.002in", "-5.7", "±0.001in", "1+-", "0.1in", "25+0.1-0in"];
        let given = given.map(|text| RawReading(text.to_owned()));
        assert_eq!(joined(&given), ["9.025+/-0.002in", "-5.7±0.001in", "1+-0.1in", "25+0.1-0in"]);
    }

    #[test]
    fn what_is_no_toleranced_size_is_not_taken() {
        for text in ["25", "25mm", "", "mm", "25+0.1", "25+-", "+-0.1", "a+-b", "25+-0.1+-0.2", "±", "25±-0.1mm"] {
            assert!(Parts::of(text).is_none(), "{text}");
        }
    }
}
