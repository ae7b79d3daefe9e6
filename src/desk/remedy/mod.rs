//! What it would take to bring a reading inside its limits, the least costly first, each with what it would then read and
//! what that would be worth. Which comes first is common practice; sizes come from the maths and from what was posted.

mod bearings;
mod bores;
mod plain;
mod rings;
mod settings;

pub use bearings::mixes;

use super::judging::{Finding, Judging};
use super::reply::Verdict;
use super::trouble::Trouble;
use super::yardstick::Held;
use crate::engine::measures::Measured as Found;
use crate::engine::{Position, positions};
use crate::quantity::{Dimension, Length, Measure, System, inches, show};

/// One way, and what would come of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// `Polish the journal by 0.0003 in`: a sentence without its full stop.
    pub doing: String,
    pub then: Vec<Then>,
}

/// A figure that would result.
#[derive(Debug, Clone, PartialEq)]
pub struct Then {
    /// What it is, where it is not the measure that was out: `squish`, `worst elsewhere`.
    pub what: String,
    /// SI.
    pub lowest: f64,
    pub highest: f64,
    pub dimension: Dimension,
    pub verdict: Verdict,
}

impl Remedy {
    fn new(doing: impl Into<String>) -> Self {
        Self { doing: doing.into(), then: Vec::new() }
    }

    fn then(mut self, then: impl IntoIterator<Item = Then>) -> Self {
        self.then.extend(then);
        self
    }

    /// False where what was out would still be out.
    fn helps(&self) -> bool {
        self.then.first().is_none_or(|then| then.verdict != Verdict::Out)
    }

    /// `Hone 0.0005 in more: 0.0036 in (0.091 mm), within`.
    pub fn said(&self, lead: System) -> String {
        let figures: Vec<String> = self.then.iter().map(|then| then.said(lead)).collect();
        match figures.is_empty() {
            true => format!("{}.", self.doing),
            false => format!("{}: {}.", self.doing, figures.join("; ")),
        }
    }
}

impl Then {
    /// `0.0022 to 0.0026 in (0.056 to 0.066 mm)`.
    pub fn size(&self, lead: System) -> String {
        match self.lowest == self.highest {
            true => show::any(self.dimension, self.lowest, lead),
            false => show::range(self.dimension, Some(self.lowest), Some(self.highest), lead),
        }
    }

    fn said(&self, lead: System) -> String {
        let size = self.size(lead);
        let worth = match self.verdict {
            Verdict::NoLimit => String::new(),
            verdict => format!(", {}", verdict.as_str()),
        };
        let what = if self.what.is_empty() { String::new() } else { format!("{} ", self.what) };
        format!("{what}{size}{worth}")
    }

    fn called(self, what: impl Into<String>) -> Self {
        Self { what: what.into(), ..self }
    }
}

/// A finding that is out, and the job it stands on.
pub struct Case<'a> {
    judging: &'a Judging<'a>,
    pub found: &'a Found,
    held: &'a Held,
    place: Position,
    /// Expanded uncertainty, SI.
    doubt: f64,
    /// The reading itself at 20 °C, SI.
    raw: &'a [f64],
    pub lead: System,
}

impl<'a> Case<'a> {
    /// None for a finding that is not out.
    pub fn new(judging: &'a Judging<'a>, finding: &'a Finding, raw: &'a [f64], lead: System) -> Option<Self> {
        let Finding { found, held: Some(held), verdict: Verdict::Out, uncertainty, place } = finding else {
            return None;
        };
        Some(Self { judging, found, held, place: *place, doubt: *uncertainty, raw, lead })
    }

    /// `main journal: 0.0008 in (0.020 mm) under the least`.
    pub fn miss(&self) -> String {
        // What is too little to be shown is not nothing.
        let least = inches(0.0001).si();
        let by = |si: f64| match self.found.dimension {
            Dimension::Length if si < least / 2.0 => {
                format!("less than {}", show::any(Dimension::Length, least, self.lead))
            }
            dimension => show::any(dimension, si, self.lead),
        };
        match (self.under(), self.over()) {
            (Some(under), _) => format!("{}: {} under the least", self.found.measure, by(under)),
            (None, Some(over)) => format!("{}: {} over the most", self.found.measure, by(over)),
            (None, None) => self.found.measure.to_owned(),
        }
    }

    /// Every way that applies here.
    pub fn remedies(&self) -> Result<Vec<Remedy>, Trouble> {
        let found = match self.found.measure {
            "main oil clearance" | "rod oil clearance" => bearings::clearance(self)?,
            measure if measure.starts_with("main journal") || measure.starts_with("rod journal") => {
                bearings::journal(self)?
            }
            measure if measure.starts_with("main housing") || measure.starts_with("big end") => {
                bearings::housing(self)?
            }
            "bore size" | "bore out-of-round" | "bore taper" => bores::bore(self)?,
            "piston clearance" => bores::clearance(self)?,
            "ring gap" => rings::gap(self)?,
            _ => settings::set(self)?,
        };
        let (helps, leaves): (Vec<Remedy>, Vec<Remedy>) = found.into_iter().partition(Remedy::helps);
        let mut all: Vec<Remedy> = self.again().into_iter().chain(helps).collect();
        // What leaves it out is said only where nothing else can be.
        match (all.is_empty(), leaves.is_empty()) {
            (true, true) => all.push(Remedy::new(plain::advice(self))),
            (true, false) => all.extend(leaves),
            (false, _) => {}
        }
        Ok(all)
    }

    /// Past the limit by less than the gauge can tell: the first thing is to read it once more.
    fn again(&self) -> Option<Remedy> {
        let past = self.under().unwrap_or(0.0).max(self.over().unwrap_or(0.0));
        (past < self.doubt).then(|| {
            let doubt = show::any(self.found.dimension, self.doubt, self.lead);
            Remedy::new(format!("Measure again: it is past by less than the gauge can tell, {doubt}"))
        })
    }

    fn under(&self) -> Option<f64> {
        self.held.bounds.min.map(|min| min - self.found.lowest).filter(|by| *by > 0.0)
    }

    fn over(&self) -> Option<f64> {
        self.held.bounds.max.map(|max| self.found.highest - max).filter(|by| *by > 0.0)
    }

    /// The nearest to the least that is surely inside; the middle where the limits are too close for that.
    fn above_least(&self) -> Option<f64> {
        let min = self.held.bounds.min?;
        let sure = min + self.doubt;
        Some(self.held.bounds.max.filter(|max| sure > max - self.doubt).map_or(sure, |max| (min + max) / 2.0))
    }

    /// The nearest to the most that is surely inside; the middle where the limits are too close for that.
    fn below_most(&self) -> Option<f64> {
        let max = self.held.bounds.max?;
        let sure = max - self.doubt;
        Some(self.held.bounds.min.filter(|min| sure < min + self.doubt).map_or(sure, |min| (min + max) / 2.0))
    }

    fn middle(&self) -> Option<f64> {
        Some((self.held.bounds.min? + self.held.bounds.max?) / 2.0)
    }

    /// This measure at other values, held against its own limit.
    fn would(&self, lowest: f64, highest: f64) -> Then {
        judged(self.held, self.found.dimension, lowest, highest, self.doubt)
    }

    /// This measure moved by so much.
    fn moved(&self, by: f64) -> Then {
        self.would(self.found.lowest + by, self.found.highest + by)
    }

    /// Another measure at this place, held against its limit.
    fn other(&self, measure: &str, value: f64, doubt: f64) -> Result<Then, Trouble> {
        let held = self.judging.limit(measure, self.found.at, self.place)?;
        let then = match &held {
            Some(held) => judged(held, Dimension::Length, value, value, doubt),
            None => sized(value),
        };
        Ok(then.called(measure))
    }

    /// What stands posted for a check at a place, at 20 °C.
    fn posted(&self, check: &str, place: Position) -> Result<Option<Vec<f64>>, Trouble> {
        let record = &self.judging.context.desk.record;
        let entry = record.latest(self.judging.job.id, check, &place.to_string())?;
        entry.map(|entry| self.judging.partner(&entry.reading.measured)).transpose()
    }

    /// The same for every place of a check.
    fn all_posted(&self, check: &str) -> Result<Vec<(Position, Vec<f64>)>, Trouble> {
        let Some(planned) = self.judging.context.library.plan().check(check) else { return Ok(Vec::new()) };
        let mut all = Vec::new();
        for place in positions(self.judging.engine, planned.per) {
            all.extend(self.posted(check, place)?.map(|raw| (place, raw)));
        }
        Ok(all)
    }

    fn length(&self, si: f64) -> String {
        show::length(Length::from_si(si), self.lead)
    }
}

fn judged(held: &Held, dimension: Dimension, lowest: f64, highest: f64, doubt: f64) -> Then {
    let verdict = held.verdict(lowest, doubt).worse(held.verdict(highest, doubt));
    Then { what: String::new(), lowest, highest, dimension, verdict }
}

/// A size that no limit is for yet.
fn sized(value: f64) -> Then {
    Then { what: String::new(), lowest: value, highest: value, dimension: Dimension::Length, verdict: Verdict::NoLimit }
}

fn largest(raw: &[f64]) -> Option<f64> {
    raw.iter().copied().reduce(f64::max)
}

fn smallest(raw: &[f64]) -> Option<f64> {
    raw.iter().copied().reduce(f64::min)
}

fn mean(raw: &[f64]) -> Option<f64> {
    (!raw.is_empty()).then(|| raw.iter().sum::<f64>() / raw.len() as f64)
}
