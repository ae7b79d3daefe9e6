//! `bolt grade 10.9`, `bolt grade grade-8 3/8-24`, `bolt grade`: proof, yield and tensile strength of a grade.

use clap::{Args, ValueEnum};

use super::heeded;
use super::thread::{Named, area_source, area_working, thread};
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::sense::explain;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::bolts;
use crate::maths::grades::{self, Band, GRADES, Standard};
use crate::maths::threads::Series;
use crate::quantity::{Dimension, Measure, Pressure, Share, System, show};

/// The mark on the head, and a thread for its proof load.
#[derive(Debug, Args)]
#[command(after_help = "bolt grade 10.9 M10x1.25")]
pub struct Grade {
    /// Property class or grade; every one known where left out.
    pub grade: Option<GradeName>,
    /// Thread, such as M10x1.25 or 3/8-24, for the proof load.
    pub thread: Option<String>,
}

/// The grades whose strength is known here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GradeName {
    #[value(name = "4.6")]
    Class4_6,
    #[value(name = "4.8")]
    Class4_8,
    #[value(name = "5.6")]
    Class5_6,
    #[value(name = "5.8")]
    Class5_8,
    #[value(name = "6.8")]
    Class6_8,
    #[value(name = "8.8")]
    Class8_8,
    #[value(name = "9.8")]
    Class9_8,
    #[value(name = "10.9")]
    Class10_9,
    #[value(name = "12.9")]
    Class12_9,
    #[value(name = "grade-1", aliases = ["1", "gr1"])]
    Grade1,
    #[value(name = "grade-2", aliases = ["2", "gr2"])]
    Grade2,
    #[value(name = "grade-4", aliases = ["4", "gr4"])]
    Grade4,
    #[value(name = "grade-5", aliases = ["5", "gr5"])]
    Grade5,
    #[value(name = "grade-5.2", aliases = ["5.2", "gr5.2"])]
    Grade5_2,
    #[value(name = "grade-7", aliases = ["7", "gr7"])]
    Grade7,
    #[value(name = "grade-8", aliases = ["8", "gr8"])]
    Grade8,
    #[value(name = "grade-8.2", aliases = ["8.2", "gr8.2"])]
    Grade8_2,
}

impl GradeName {
    /// The grade of the table.
    pub fn known(self) -> Result<&'static grades::Grade, Trouble> {
        let value = self.to_possible_value().ok_or_else(|| anyhow::anyhow!("a grade is hidden"))?;
        Ok(grades::grade(value.get_name())
            .ok_or_else(|| anyhow::anyhow!("the grade {} is not in the table", value.get_name()))?)
    }

    /// The row of its table for a thread; a class of the other series is refused.
    pub fn band(self, named: &Named) -> Result<(&'static grades::Grade, &'static Band), Trouble> {
        let grade = self.known()?;
        match (grade.standard, named.thread.series) {
            (Standard::Iso898, Series::Inch) => {
                let possible = "It is a class of metric bolts; an inch thread has a grade, such as grade-8.";
                Err(Refusal::new("grade", grade.id, possible).into())
            }
            (Standard::SaeJ429, Series::Metric) => {
                let possible = "It is a grade of inch bolts; a metric thread has a class, such as 10.9.";
                Err(Refusal::new("grade", grade.id, possible).into())
            }
            _ => {
                let band = grade.at(named.thread.diameter).map_err(|unfit| {
                    let range = explain(unfit, &[]).possible;
                    Refusal::new("thread", &named.text, format!("{} does not cover this size. {range}", source(grade)))
                })?;
                Ok((grade, band))
            }
        }
    }
}

/// `ISO 898-1, class 10.9`.
pub fn source(grade: &grades::Grade) -> String {
    match grade.standard {
        Standard::Iso898 => format!("ISO 898-1, class {}", grade.id),
        Standard::SaeJ429 => format!("SAE J429, {}", grade.id.replace('-', " ")),
    }
}

fn system(standard: Standard) -> System {
    match standard {
        Standard::Iso898 => System::Metric,
        Standard::SaeJ429 => System::Inch,
    }
}

fn sizes(grade: &grades::Grade, at: usize) -> String {
    let Some(band) = grade.bands.get(at) else { return String::new() };
    let from = if at == 0 { "from" } else { "over" };
    let one = |l| show::any_in(Dimension::Length, Measure::si(l), system(grade.standard));
    let plain = |text: String| {
        let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
        format!("{} {unit}", number.trim_end_matches('0').trim_end_matches('.'))
    };
    format!("{from} {} to {}", plain(one(band.over())), plain(one(band.to())))
}

fn rows(grade: &grades::Grade, lead: System) -> Vec<Vec<Cell>> {
    let bands = grade.bands.iter().enumerate();
    bands
        .map(|(at, band)| {
            let strength = |p: Pressure| Cell::from(show::pressure(p, lead));
            let mut cells: Vec<Cell> = vec![grade.id.into(), sizes(grade, at).into()];
            cells.extend([band.proof(), band.yielding(), band.tensile()].map(strength));
            cells
        })
        .collect()
}

impl Grade {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let header = ["Grade", "Size", "Proof", "Yield", "Tensile"].map(String::from).to_vec();
        let sources = ["ISO 898-1 (from memory): metric classes", "SAE J429 (from memory): inch grades"];
        let named = self.thread.as_deref().map(thread).transpose()?;
        let Some(name) = self.grade else {
            if named.is_some() {
                return Err(Refusal::new("grade", "", "Which grade is on the head? Such as 10.9 or grade-8.").into());
            }
            let lead = |g: &grades::Grade| context.lead_with(&[Some(system(g.standard))], None);
            let rows = GRADES.iter().flat_map(|g| rows(g, lead(g))).collect();
            let table = Table { caption: String::new(), header, rows };
            return Ok(heeded(
                Reply::new(format!("{} grades known", GRADES.len())).block(Block::Table(table)).sources(sources),
            ));
        };
        let grade = name.known()?;
        let lead = context.lead_with(&[Some(system(grade.standard))], None);
        let mut table = Table { caption: String::new(), header, rows: rows(grade, lead) };
        let mut band = grade.bands.first();
        let mut working = Vec::new();
        let mut load = None;
        if let Some(named) = &named {
            let (_, found) = name.band(named)?;
            let at = grade.bands.iter().position(|b| b == found).unwrap_or(0);
            table.rows = table.rows.into_iter().skip(at).take(1).collect();
            band = Some(found);
            let sum = bolts::preload(&named.thread, found.proof(), Share(1.0)).map_err(|u| explain(u, &[]))?;
            working = vec![
                area_working(&named.thread, lead),
                format!(
                    "{} proof x area = {}",
                    show::any_in(Dimension::Pressure, found.proof().si(), lead),
                    show::force(sum.proof_load, lead)
                ),
            ];
            load = Some(sum.proof_load);
        }
        let band = band.ok_or_else(|| anyhow::anyhow!("the grade {} has no row", grade.id))?;
        let proof = show::pressure(band.proof(), lead);
        let title = match (&named, load) {
            (Some(named), Some(load)) => format!("{} {}: proof load {}", named.text, grade.id, show::force(load, lead)),
            _ if grade.bands.len() > 1 => format!("{}: proof {proof} in the smaller sizes", grade.id),
            _ => format!("{}: proof {proof}", grade.id),
        };
        let mut reply = Reply::new(title).block(Block::Table(table));
        if !working.is_empty() {
            reply = reply.working(working);
        }
        for (value, strength) in [("proof", band.proof()), ("yield", band.yielding()), ("tensile", band.tensile())] {
            reply = reply.value(Value::si(value, Dimension::Pressure, strength.si(), lead));
        }
        let mut bases = vec![format!("{} (from memory)", source(grade))];
        if let (Some(named), Some(load)) = (&named, load) {
            reply = reply
                .value(Value::si("proof_load", Dimension::Force, load.si(), lead))
                .action(Action::send("Preload", format!("bolt preload {} {}", named.text, grade.id)));
            bases.push(area_source(&named.thread).to_owned());
        }
        Ok(heeded(
            reply
                .text("Minimum strengths, for the bolt alone: threads in aluminium or iron may strip first.")
                .sources(bases),
        ))
    }
}
