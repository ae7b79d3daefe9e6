//! Which limit holds for a measure here, what it comes to, and where it came from.

use super::Context;
use crate::drawing::clearance_strip::{self, ClearanceStrip};
use crate::drawing::{Figure, Mark};
use crate::engine::limits::{Bounds, Limit, Resolved, Sizes, Source, resolve};
use crate::engine::{Duty, Engine};
use crate::maths::judge::{self, Verdict};
use crate::quantity::{Dimension, Measure, System, inches, show};

/// What a limit is looked up by.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    pub measure: &'a str,
    pub at: &'a str,
    pub engine: Option<&'a Engine>,
    /// The duty general tables are chosen by; the engine's where none is given.
    pub duty: Option<Duty>,
    pub sizes: Sizes,
    /// The job's own limits, oldest first; those of the current job where none are given.
    pub overrides: Option<&'a [Limit]>,
}

/// A limit with its bounds worked out for the sizes at hand.
#[derive(Debug, Clone)]
pub struct Held {
    pub dimension: Dimension,
    pub bounds: Bounds,
    pub basis: String,
    /// `the Skerry V8's page`, `the general table for marine duty`.
    pub from: String,
    /// The row as the page writes it: `0.0045 x bore to 0.005 x bore`.
    pub row: String,
    pub page: String,
}

impl Held {
    /// `0.0202 to 0.0242 in (0.513 to 0.615 mm)`.
    pub fn range(&self, system: System) -> String {
        show::range(self.dimension, self.bounds.min, self.bounds.max, system)
    }

    /// The sentence every reply with a limit carries.
    pub fn said(&self, system: System) -> String {
        let row = if self.row.contains(" x ") { format!(" ({})", self.row) } else { String::new() };
        format!("{}{row}, from {}: {}", self.range(system), self.from, self.basis)
    }

    /// The same with lengths rounded to a tenth of a thou or a micron: a bound that comes of a factor is no finer than
    /// the gauge, and nobody files a millionth.
    pub fn at_gauge_resolution(mut self) -> Self {
        if self.dimension == Dimension::Length && self.row.contains(" x ") {
            let step = inches(0.0001).si();
            let round = |si: f64| (si / step).round() * step;
            self.bounds = Bounds { min: self.bounds.min.map(round), max: self.bounds.max.map(round) };
        }
        self
    }

    /// The clearance strip of an SI reading against this limit.
    pub fn strip(
        &self,
        heading: impl Into<String>,
        system: System,
        reading: f64,
        uncertainty: f64,
        verdict: Verdict,
    ) -> Figure {
        clearance_strip::draw(&ClearanceStrip {
            heading: heading.into(),
            dimension: self.dimension,
            system,
            reading,
            uncertainty,
            min: self.bounds.min,
            max: self.bounds.max,
            mark: mark(verdict),
        })
    }

    /// The verdict on an SI value with its expanded uncertainty.
    pub fn verdict(&self, value: f64, uncertainty: f64) -> Verdict {
        judge::verdict_si(self.dimension, value, uncertainty, self.bounds.min, self.bounds.max)
    }
}

impl Context<'_> {
    /// The limit that holds: the job's own, else the engine's page, else a general table by duty.
    pub fn limit(&self, wanted: Wanted) -> Option<Held> {
        let rows = wanted.engine.map(|e| self.library.engine_limits(&e.id)).unwrap_or_default();
        let duty = wanted.duty.or(wanted.engine.map(|e| e.duty));
        // Without a duty only tables for any duty can speak.
        let general = self.library.general_limits(duty).filter(|(page, _)| duty.is_some() || page.is_none());
        let of_job = self.job.as_ref().is_some_and(|job| wanted.engine.is_some_and(|e| e.id == job.engine));
        let overrides = wanted.overrides.unwrap_or(if of_job { &self.own_limits } else { &[] });
        let measure = self.library.plan().measure(wanted.measure)?;
        let found = resolve(measure, wanted.at, duty.unwrap_or(Duty::Road), overrides, rows, general)?;
        let bounds = found.limit.bounds(&wanted.sizes).ok()?;
        Some(held(found, bounds, wanted.engine))
    }
}

fn held(found: Resolved, bounds: Bounds, engine: Option<&Engine>) -> Held {
    let from = match (found.source, engine) {
        (Source::Override, _) => "this job's own limit".to_owned(),
        (Source::EnginePage, Some(engine)) => format!("the {}'s page", engine.title),
        (Source::EnginePage, None) => "the engine's page".to_owned(),
        (Source::General(Some(duty)), _) => format!("the general table for {} duty", duty.word()),
        (Source::General(None), _) => "the general table for any duty".to_owned(),
    };
    Held {
        dimension: found.limit.measure.dimension,
        bounds,
        basis: found.limit.basis.clone(),
        from,
        row: found.limit.to_string(),
        page: found.limit.page.clone(),
    }
}

/// A verdict as the drawing board marks it.
pub fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Within => Mark::Within,
        Verdict::Marginal => Mark::Marginal,
        Verdict::Out => Mark::Out,
        Verdict::NoLimit => Mark::NoLimit,
    }
}
