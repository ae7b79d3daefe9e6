//! Limits: one row of a table, typed; its bounds on a given engine; and which of several rows counts.

mod resolve;
mod row;

pub use resolve::{Resolved, Source, resolve};
pub use row::{Cells, RowFault};

use std::fmt;

use super::measures::{Journal, Kind};
use super::model::Engine;
use super::position::Per;
use crate::quantity::{Length, Unit, show};

/// One end of a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// A value in SI.
    Fixed(f64),
    /// Times the bore.
    PerBore(f64),
    /// Times the journal that the measure belongs to.
    PerJournal(Journal, f64),
}

/// One row of a limits table.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    pub measure: Kind,
    /// Where the shop's own check of that name is taken, as the row says it; none where it says nothing, and for a built-in measure.
    pub per: Option<Per>,
    /// The part, or [`super::measures::EVERYWHERE`].
    pub at: &'static str,
    pub min: Option<Bound>,
    pub max: Option<Bound>,
    /// The unit the row is written in.
    pub unit: &'static Unit,
    pub basis: String,
    pub page: String,
    pub line: usize,
}

/// The sizes that a bound may be stated by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sizes {
    pub bore: Option<Length>,
    pub main_journal: Option<Length>,
    pub rod_journal: Option<Length>,
}

impl From<&Engine> for Sizes {
    /// The engine's standard sizes.
    fn from(engine: &Engine) -> Self {
        Self { bore: Some(engine.bore), main_journal: engine.main_journal, rod_journal: engine.rod_journal }
    }
}

/// The size a bound is stated by, and that was not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsized {
    Bore,
    Journal(Journal),
}

/// Smallest and largest allowed, in SI.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bounds {
    pub min: Option<f64>,
    pub max: Option<f64>,
}

impl Bound {
    /// The value in SI for these sizes.
    pub fn on(self, sizes: &Sizes) -> Result<f64, Unsized> {
        let times = |factor: f64, size: Option<Length>, missing| {
            size.map(|size| factor * crate::quantity::Measure::si(size)).ok_or(missing)
        };
        match self {
            Self::Fixed(si) => Ok(si),
            Self::PerBore(factor) => times(factor, sizes.bore, Unsized::Bore),
            Self::PerJournal(Journal::Main, factor) => {
                times(factor, sizes.main_journal, Unsized::Journal(Journal::Main))
            }
            Self::PerJournal(Journal::Rod, factor) => times(factor, sizes.rod_journal, Unsized::Journal(Journal::Rod)),
        }
    }

    /// As a page writes it: `0.0025` in the row's unit, or `0.0045 x bore`.
    fn written(self, unit: &Unit) -> String {
        match self {
            Self::Fixed(si) => figures((si - unit.offset) / unit.factor),
            Self::PerBore(factor) => format!("{} x bore", figures(factor)),
            Self::PerJournal(_, factor) => format!("{} x journal", figures(factor)),
        }
    }
}

/// Up to six decimals, without trailing noise.
fn figures(value: f64) -> String {
    show::trimmed(value, 6)
}

impl Limit {
    /// True for a row of a check of the shop's own.
    pub fn is_own(&self) -> bool {
        super::measures::kind(self.measure.name).is_none()
    }

    /// The row's bounds for these sizes (a job's actual bore, or the engine's own).
    pub fn bounds(&self, sizes: &Sizes) -> Result<Bounds, Unsized> {
        let on = |bound: Option<Bound>| bound.map(|b| b.on(sizes)).transpose();
        Ok(Bounds { min: on(self.min)?, max: on(self.max)? })
    }
}

impl fmt::Display for Limit {
    /// The bounds as the page states them: `0.002 to 0.0032 in`, `at least 0.015 in`, `at most 0.001 in`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = |bound: Bound| bound.written(self.unit);
        let fixed = |bound: Option<Bound>| matches!(bound, None | Some(Bound::Fixed(_)));
        let unit = if fixed(self.min) && fixed(self.max) { format!(" {}", self.unit.symbol) } else { String::new() };
        match (self.min, self.max) {
            (Some(min), Some(max)) => write!(f, "{} to {}{unit}", text(min), text(max)),
            (Some(min), None) => write!(f, "at least {}{unit}", text(min)),
            (None, Some(max)) => write!(f, "at most {}{unit}", text(max)),
            (None, None) => f.write_str("-"),
        }
    }
}
