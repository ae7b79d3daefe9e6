//! `measure study tech-1="…" tech-2="…" parts=5 trials=2 tolerance=0.0010in`: how much of what is read is the gauge's own.

use clap::{Args, ValueEnum};

use super::at_fault;
use super::digits::fine_in;
use crate::desk::line;
use crate::desk::reply::{Block, Cell, Loudness, Reply, Table as Shown, Value};
use crate::desk::sense::{OrRefuse, explain};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::Unfit;
use crate::maths::judge::Verdict;
use crate::maths::study::{self, Order, Table, Variation, rated};
use crate::quantity::{Given, Length, Measure, System, show};

/// Everybody's readings of the same parts.
#[derive(Debug, Args)]
#[command(
    after_help = "measure study tech-1=\"2.4995 2.4991 2.4986 2.4994 2.4991 2.4986\" tech-2=\"2.4996 2.4991 2.4985 2.4995 2.4992 2.4986in\" parts=3 trials=2 tolerance=0.0015in"
)]
pub struct Study {
    /// All readings in one list, person by person; or give each person's in a field of their own.
    pub values: Vec<Given<Length>>,
    /// The first person's readings.
    #[arg(long)]
    pub tech_1: Option<String>,
    /// The second person's.
    #[arg(long)]
    pub tech_2: Option<String>,
    /// The third person's.
    #[arg(long)]
    pub tech_3: Option<String>,
    /// How many people read, where all readings are in one list.
    #[arg(long)]
    pub appraisers: Option<u32>,
    /// How many parts each of them read.
    #[arg(long, required = true)]
    pub parts: u32,
    /// How often each read each part.
    #[arg(long, default_value = "2")]
    pub trials: u32,
    /// How a person's readings are listed: round after round, or all trials of a part together.
    #[arg(long, default_value = "rounds")]
    pub order: OrderName,
    /// Width of the tolerance the gauge is to judge, max less min.
    #[arg(long)]
    pub tolerance: Option<Given<Length>>,
}

/// What follows what in a person's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OrderName {
    Rounds,
    Parts,
}

impl From<OrderName> for Order {
    fn from(name: OrderName) -> Self {
        match name {
            OrderName::Rounds => Self::Rounds,
            OrderName::Parts => Self::Parts,
        }
    }
}

impl Study {
    /// Every reading, person by person, and how many people.
    fn given(&self) -> Result<(Vec<Given<Length>>, usize), Refusal> {
        let rows: Vec<(&str, &String)> = [("tech-1", &self.tech_1), ("tech-2", &self.tech_2), ("tech-3", &self.tech_3)]
            .into_iter()
            .filter_map(|(name, row)| Some((name, row.as_ref()?)))
            .collect();
        if rows.is_empty() {
            let Some(appraisers) = self.appraisers else {
                let possible =
                    "How many people read: appraisers=; or each one's readings as tech-1=, tech-2=, tech-3=.";
                return Err(Refusal::new("appraisers", "", possible));
            };
            return Ok((self.values.clone(), appraisers as usize));
        }
        if let Some(stray) = self.values.first() {
            let possible =
                "It belongs to nobody: put it in quotes with that person's, as in tech-1=\"2.4995 2.4991in\".";
            return Err(Refusal::new("values", &stray.written().text, possible));
        }
        let wanted = u64::from(self.parts) * u64::from(self.trials);
        let mut all = Vec::new();
        for (name, row) in &rows {
            let tokens = line::split(row);
            if tokens.len() as u64 != wanted {
                let possible = format!(
                    "It takes {wanted} values, {} parts x {} trials; {} came.",
                    self.parts,
                    self.trials,
                    tokens.len()
                );
                return Err(Refusal::new(*name, row.as_str(), possible));
            }
            for token in tokens {
                all.push(token.parse().map_err(|misread| Refusal::new(*name, &token, format!("It {misread}.")))?);
            }
        }
        if let Some(appraisers) = self.appraisers.filter(|a| *a as usize != rows.len()) {
            let possible = format!("Readings of {} people came.", rows.len());
            return Err(Refusal::new("appraisers", appraisers.to_string(), possible));
        }
        Ok((all, rows.len()))
    }

    /// A reading that cannot be is shown, under the name it was given by.
    fn refused(&self, unfit: Unfit, given: &[Given<Length>], values: &[Length]) -> Refusal {
        let fault = at_fault(unfit, given, values);
        let mut refusal = explain(unfit, fault.as_slice());
        let at = fault.and_then(|(_, fault)| given.iter().position(|g| std::ptr::eq(g.written(), fault)));
        if let Some(at) = at.filter(|_| self.values.is_empty()) {
            let rows = [&self.tech_1, &self.tech_2, &self.tech_3];
            let mut names = ["tech-1", "tech-2", "tech-3"].into_iter().zip(rows).filter(|(_, row)| row.is_some());
            let each = (self.parts as usize).saturating_mul(self.trials as usize).max(1);
            if let Some((name, _)) = names.nth(at / each) {
                refusal.input = name.to_owned();
            }
        }
        refusal
    }

    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let (given, appraisers) = self.given()?;
        let lean = given.iter().rev().find_map(Given::system).or(context.lean(engine));
        let values = context.quantities("values", &given, lean)?;
        let lead = context.lead_with(&[lean], engine);
        let (parts, trials) = (self.parts as usize, self.trials as usize);
        let table = Table::new(&values, appraisers, parts, trials, self.order.into())
            .map_err(|unfit| self.refused(unfit, &given, &values))?;
        let sum = study::study(&table).map_err(|_| {
            let possible =
                "They are all the same: the gauge is too coarse for these parts, so nothing can be told of it.";
            Refusal::new("values", "", possible)
        })?;
        let tolerance = match &self.tolerance {
            Some(given) => Some((context.quantity("tolerance", given, lean)?, given.written())),
            None => None,
        };
        let anova = &sum.anova.variation;
        let of_tolerance = |v: &Variation| -> Result<Option<f64>, Trouble> {
            let share = |(width, written)| v.gauge_of_tolerance(width).or_refuse(&[("tolerance", written)]);
            tolerance.map(share).transpose()
        };
        let by_tolerance = of_tolerance(anova)?;
        let (share, of) = match by_tolerance {
            Some(share) => (share, "the tolerance"),
            None => (anova.gauge_of_total, "the total variation"),
        };
        let verdict = rated(share);
        let mut reply = Reply::new(format!("The gauge takes {} of {of}: {}", percent(share), word(verdict)))
            .verdict(verdict)
            .block(Block::Table(self.readings(&table, &sum, lead)))
            .block(Block::Table(variations(&sum, lead)));
        let mut fields = vec![("Of the total variation", both(&sum, |v| percent(v.gauge_of_total)))];
        if let Some(share) = by_tolerance {
            let other = match &sum.average_range {
                Some(found) => of_tolerance(&found.variation)?.map(percent),
                None => None,
            };
            fields.push(("Of the tolerance (6 GRR)", told(percent(share), other)));
        }
        fields
            .push(("Distinct categories", both(&sum, |v| v.categories.map_or("no end of".into(), |n| n.to_string()))));
        reply = reply.fields(fields).working(working(&sum, lead));
        if by_tolerance.is_none() {
            reply = reply.text("Against these parts only: give tolerance= (max less min) to see whether the gauge can judge the limit.");
        }
        if verdict != Verdict::Within {
            reply = reply.text(advice(anova));
        }
        if sum.flat_ranges >= 0.5 {
            reply = reply.caution(
                Loudness::Important,
                "Half of the ranges or more are nothing: the gauge's step is too coarse to show its scatter, and the study flatters it.",
            );
        }
        if anova.categories.is_some_and(|n| n < 5) {
            reply = reply.caution(
                Loudness::Note,
                "Under 5 distinct categories: this gauge cannot sort these parts by size. Parts that span the tolerance make a fairer study.",
            );
        }
        reply = reply
            .value(Value::length("equipment_variation", anova.equipment, lead))
            .value(Value::length("appraiser_variation", anova.appraisers, lead))
            .value(Value::length("interaction", anova.interaction, lead))
            .value(Value::length("gauge", anova.gauge, lead))
            .value(Value::length("part_variation", anova.part, lead))
            .value(Value::length("total_variation", anova.total, lead))
            .value(Value::plain("gauge_of_total", anova.gauge_of_total));
        if let Some(share) = by_tolerance {
            reply = reply.value(Value::plain("gauge_of_tolerance", share));
        }
        if let Some(categories) = anova.categories {
            reply = reply.value(Value::plain("categories", f64::from(categories)));
        }
        if let Some(found) = &sum.average_range {
            reply = reply
                .value(Value::length("gauge_average_range", found.variation.gauge, lead))
                .value(Value::plain("gauge_of_total_average_range", found.variation.gauge_of_total));
        }
        Ok(reply.sources([
            "average and range with the published constants K1, K2, K3 (AIAG measurement systems analysis, from memory); ANOVA: two-way crossed, random effects",
            "10 and 30 %, and 5 categories: published convention, not proof",
        ]))
    }

    /// The readings as they were understood: a row a round, a column a part.
    fn readings(&self, table: &Table, sum: &study::Study, lead: System) -> Shown {
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        let plain = |l: Length| fine_in(l, Length::from_si(0.0), lead).split(' ').next().unwrap_or_default().to_owned();
        for a in 0..table.appraisers {
            for t in 0..table.trials {
                let mut row: Vec<Cell> = vec![format!("tech-{} round {}", a + 1, t + 1).into()];
                row.extend((0..table.parts).map(|p| Cell::from(plain(table.reading(a, t, p)))));
                rows.push(row);
            }
        }
        let mut means: Vec<Cell> = vec!["mean".into()];
        means.extend(sum.part_means.iter().map(|m| Cell::from(plain(*m))));
        rows.push(means);
        let mut header = vec![String::new()];
        header.extend((1..=table.parts).map(|p| format!("Part {p}")));
        Shown { caption: "As read".to_owned(), header, rows }
    }
}

fn percent(share: f64) -> String {
    format!("{} %", show::fixed(share * 100.0, 1))
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "good",
        Verdict::Marginal => "may do, for what matters less",
        _ => "not fit for it",
    }
}

fn told(anova: String, other: Option<String>) -> String {
    match other {
        Some(other) => format!("{anova} by ANOVA, {other} by average and range"),
        None => format!("{anova} by ANOVA"),
    }
}

fn both(sum: &study::Study, of: impl Fn(&Variation) -> String) -> String {
    told(of(&sum.anova.variation), sum.average_range.as_ref().map(|found| of(&found.variation)))
}

fn variations(sum: &study::Study, lead: System) -> Shown {
    type Of = fn(&Variation) -> Length;
    let rows: [(&str, Of); 6] = [
        ("Repeatability (EV)", |v| v.equipment),
        ("Reproducibility (AV)", |v| v.appraisers),
        ("People x parts", |v| v.interaction),
        ("Gauge (GRR)", |v| v.gauge),
        ("Parts (PV)", |v| v.part),
        ("Total (TV)", |v| v.total),
    ];
    // Digits of the gauge's own variation, or of the whole where it has none.
    let least =
        if sum.anova.variation.gauge.si() > 0.0 { sum.anova.variation.gauge } else { sum.anova.variation.total };
    let fine = |l: Length| fine_in(l, least, lead);
    let rows = rows.into_iter().map(|(name, of)| -> Vec<Cell> {
        let anova = of(&sum.anova.variation);
        let range = sum.average_range.as_ref().map_or("-".to_owned(), |found| match name {
            "People x parts" => "-".to_owned(),
            _ => fine(of(&found.variation)),
        });
        vec![name.into(), fine(anova).into(), range.into()]
    });
    let header = ["Standard deviation", "ANOVA", "Average and range"].map(String::from).to_vec();
    Shown { caption: "Where the variation comes from".to_owned(), header, rows: rows.collect() }
}

fn working(sum: &study::Study, lead: System) -> Vec<String> {
    let fine = |l: Length| fine_in(l, l, lead);
    let mut lines = Vec::new();
    if let Some(found) = &sum.average_range {
        let v = &found.variation;
        lines.push(format!(
            "EV = mean range {} x K1 {} = {}",
            fine(sum.mean_range),
            show::fixed(found.k1, 4),
            fine(v.equipment)
        ));
        lines.push(format!(
            "AV = sqrt((range of people's means {} x K2 {})^2 - EV^2 / readings of each) = {}",
            fine(sum.appraiser_range),
            show::fixed(found.k2, 4),
            fine(v.appraisers)
        ));
        lines.push(format!(
            "PV = range of the part means {} x K3 {} = {}",
            fine(sum.part_range),
            show::fixed(found.k3, 4),
            fine(v.part)
        ));
        lines.push("GRR = sqrt(EV^2 + AV^2); TV = sqrt(GRR^2 + PV^2)".to_owned());
    }
    let kept = if sum.anova.pooled { "pooled with the error" } else { "kept" };
    lines.push(match (sum.anova.f, sum.anova.p) {
        (Some(f), Some(p)) => {
            format!("ANOVA: people x parts F = {}, p = {}: {kept}", show::fixed(f, 2), show::fixed(p, 3))
        }
        _ => format!("ANOVA: no scatter within a person and part; people x parts {kept}"),
    });
    lines
}

/// What the larger part of the gauge's own variation points to.
fn advice(v: &Variation) -> &'static str {
    if v.equipment.si() >= v.appraisers.si().hypot(v.interaction.si()) {
        "Most of it is repeatability: look at the gauge, its wear and clamping, and where on the part it sits."
    } else {
        "Most of it is between people: agree the feel, the spot and the zero, and set the gauge on one master."
    }
}
