//! `fit iso 25 H7/g6`, `fit iso 25 H7`: limits of a hole and a shaft by ISO 286, and how they fit.

use clap::Args;

use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::{OrRefuse, explain};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::iso286::{self, Class, Feature, Kind, Letter, Limits};
use crate::quantity::{Given, Length, System, in_millimetres, show};

/// Nominal size and the classes.
#[derive(Debug, Args)]
#[command(after_help = "fit iso 25 H7/g6")]
pub struct Iso {
    /// Nominal size; a bare number is millimetres, as in the standard.
    #[arg(required = true)]
    pub size: Given<Length>,
    /// Classes: hole and shaft such as H7/g6, or one of them.
    #[arg(required = true)]
    pub class: String,
}

const WANTED: &str = "A hole in capitals, a shaft in small letters, or both: H7/g6. Given here: d e f g h js k m n p r s, grades 5 to 11.";

impl Iso {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let size = context.quantity("size", &self.size, Some(System::Metric))?;
        let lead = context.lead_with(&[self.size.system().or(Some(System::Metric))], None);
        let classes: Vec<Class> = self.class.split(['/', '-']).map(|part| self.one(part)).collect::<Result<_, _>>()?;
        let limits = |class: Class| {
            iso286::limits(size, class).map_err(|unfit| match unfit.input {
                "grade" => Refusal::new("class", name(class), format!("The standard has no such class here. {WANTED}")),
                _ => explain(unfit, &[("size", self.size.written())]),
            })
        };
        let sources =
            ["ISO 286-1: tables of grades and fundamental deviations (from memory, checked against its formulas)"];
        let reply = match classes.as_slice() {
            [class] => {
                let found = limits(*class)?;
                let title = format!("{} {}: {}", nominal(size), name(*class), span(&found, lead));
                edges(Reply::new(title).block(Block::Table(table(&[(*class, found)], lead))), *class, &found, lead)
            }
            [hole, shaft] if hole.feature == Feature::Hole && shaft.feature == Feature::Shaft => {
                let (h, s) = (limits(*hole)?, limits(*shaft)?);
                let fit = iso286::fit(size, *hole, *shaft).or_refuse(&[("size", self.size.written())])?;
                let (kind, said) = match fit.kind {
                    Kind::Clearance => (
                        "clearance",
                        format!("clearance {}", show::length_range(Some(fit.tightest), Some(fit.loosest), lead)),
                    ),
                    Kind::Interference => (
                        "interference",
                        format!("interference {}", show::length_range(Some(-fit.loosest), Some(-fit.tightest), lead)),
                    ),
                    Kind::Transition => (
                        "transition",
                        format!(
                            "from {} tight to {} loose",
                            show::length(-fit.tightest, lead),
                            show::length(fit.loosest, lead)
                        ),
                    ),
                };
                let title = format!("{} {}/{}: {said}", nominal(size), name(*hole), name(*shaft));
                let mut reply =
                    Reply::new(title).block(Block::Table(table(&[(*hole, h), (*shaft, s)], lead))).working([
                        format!(
                            "loosest: largest hole - smallest shaft = {} - {} = {}",
                            show::length_in(h.largest, lead),
                            show::length_in(s.smallest, lead),
                            signed(fit.loosest, lead)
                        ),
                        format!(
                            "tightest: smallest hole - largest shaft = {} - {} = {}",
                            show::length_in(h.smallest, lead),
                            show::length_in(s.largest, lead),
                            signed(fit.tightest, lead)
                        ),
                    ]);
                reply = reply.fields([("Fit", kind)]);
                reply = edges(edges(reply, *hole, &h, lead), *shaft, &s, lead);
                if fit.kind == Kind::Interference {
                    reply = reply.action(Action::form(
                        "What it takes to press",
                        format!(
                            "fit press {}mm interference={}mm",
                            show::number(in_millimetres(size)),
                            show::number(in_millimetres(-fit.tightest))
                        ),
                    ));
                }
                reply.value(Value::length("loosest", fit.loosest, lead)).value(Value::length(
                    "tightest",
                    fit.tightest,
                    lead,
                ))
            }
            _ => {
                return Err(Refusal::new(
                    "class",
                    &self.class,
                    format!("One hole and one shaft make a fit, the hole first. {WANTED}"),
                )
                .into());
            }
        };
        Ok(reply
            .text("Limits hold at 20 °C (68 °F).")
            .caution(Loudness::Important, "The engine maker's sizes win over a class chosen here.")
            .sources(sources))
    }

    fn one(&self, part: &str) -> Result<Class, Refusal> {
        let wrong = || Refusal::new("class", &self.class, WANTED);
        let part = part.trim();
        let at = part.find(|c: char| c.is_ascii_digit()).ok_or_else(wrong)?;
        let (word, grade) = part.split_at(at);
        let letter = Letter::ALL.into_iter().find(|l| l.word().eq_ignore_ascii_case(word)).ok_or_else(wrong)?;
        let feature = match word.chars().next() {
            Some(c) if c.is_ascii_uppercase() => Feature::Hole,
            _ => Feature::Shaft,
        };
        // `Js` and `jS` are a slip of the hand: which was meant cannot be told.
        if word != letter.word() && word != letter.word().to_uppercase() {
            return Err(wrong());
        }
        let grade = grade.parse::<u32>().map_err(|_| wrong())?;
        Ok(Class { feature, letter, grade })
    }
}

/// `H7`, `g6`.
fn name(class: Class) -> String {
    let word = class.letter.word();
    match class.feature {
        Feature::Hole => format!("{}{}", word.to_uppercase(), class.grade),
        Feature::Shaft => format!("{word}{}", class.grade),
    }
}

/// Millimetres without noughts behind, as the standard writes a size.
fn nominal(size: Length) -> String {
    format!("{} mm", show::number(in_millimetres(size)))
}

fn span(limits: &Limits, lead: System) -> String {
    show::length_range(Some(limits.smallest), Some(limits.largest), lead)
}

/// A deviation with its sign, in micrometres.
fn microns(deviation: Length) -> String {
    let um = in_millimetres(deviation) * 1e3;
    let text = show::number((um * 10.0).round() / 10.0);
    if um > 0.05 { format!("+{text} µm") } else { format!("{text} µm") }
}

fn signed(length: Length, lead: System) -> String {
    let text = show::length_in(length, lead);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

fn table(rows: &[(Class, Limits)], lead: System) -> Table {
    let rows = rows
        .iter()
        .map(|(class, limits)| {
            let what = if class.feature == Feature::Hole { "hole" } else { "shaft" };
            [
                format!("{what} {}", name(*class)),
                microns(limits.upper),
                microns(limits.lower),
                show::length(limits.largest, lead),
                show::length(limits.smallest, lead),
            ]
            .into_iter()
            .map(Cell::from)
            .collect()
        })
        .collect();
    Table {
        caption: String::new(),
        header: ["Class", "Upper", "Lower", "Largest", "Smallest"].map(String::from).to_vec(),
        rows,
    }
}

fn edges(reply: Reply, class: Class, limits: &Limits, lead: System) -> Reply {
    let what = if class.feature == Feature::Hole { "hole" } else { "shaft" };
    reply.value(Value::length(&format!("{what}_largest"), limits.largest, lead)).value(Value::length(
        &format!("{what}_smallest"),
        limits.smallest,
        lead,
    ))
}
