//! From raw values to judged measures: each with its limit, its uncertainty and its verdict.

use super::Context;
use super::sense::OrRefuse;
use super::trouble::Trouble;
use super::yardstick::{Held, Wanted};
use crate::engine::derived::{Derived, fed_by};
use crate::engine::limits::{Limit, Sizes};
use crate::engine::measures::{self, Measured as Found};
use crate::engine::plan::{Check, Reach, Spread};
use crate::engine::{Engine, Position};
use crate::maths::clearance;
use crate::maths::judge::{self, Verdict};
use crate::maths::materials::{self, Material};
use crate::quantity::{Dimension, Length, Measure, Temperature, inches};
use crate::record::{Job, Measured};

/// One measure of a reading, held against its limit.
pub struct Finding {
    pub found: Found,
    pub held: Option<Held>,
    pub verdict: Verdict,
    /// Expanded uncertainty, SI.
    pub uncertainty: f64,
    /// Where it is: of a clearance, where its outer part is.
    pub place: Position,
}

/// What a set of values is judged with.
pub struct Judging<'a> {
    pub context: &'a Context<'a>,
    pub job: &'a Job,
    pub engine: &'a Engine,
    pub check: &'a Check,
    pub position: Position,
    pub overrides: &'a [Limit],
    /// The same check at the places that are posted together with this one.
    pub with: &'a [(Position, Vec<f64>)],
}

/// The metal a part of this check is taken to be, for bringing its size to 20 °C: iron block, steel crank and rods, cast
/// piston. Common practice; none for what is not a size of the engine.
pub fn metal(check: &Check) -> Option<&'static Material> {
    check.expect?;
    materials::material(match check.id {
        "main-journal" | "rod-journal" | "big-end" | "rod-bearing" | "small-end" | "piston-pin" | "rod-length" => {
            "alloy-steel"
        }
        "piston-skirt" | "pin-bore" => "cast-piston",
        _ => "cast-iron",
    })
}

/// Raw sizes at 20 °C (ISO 1), where a temperature was given and the part is a size of the engine.
pub fn at_20(check: &Check, raw: &[f64], temperature: Option<f64>) -> Result<Vec<f64>, Trouble> {
    let (Some(kelvin), Some(metal)) = (temperature, metal(check)) else { return Ok(raw.to_vec()) };
    raw.iter()
        .map(|si| {
            let size = clearance::at_20(Length::from_si(*si), Temperature::from_si(kelvin), metal.expansion);
            Ok(size.or_refuse(&[])?.si())
        })
        .collect()
}

/// Expanded uncertainty of one value of a reading that is on record, SI: of its registered instrument, or else the usual.
pub fn kept_uncertainty(check: &Check, measured: &Measured, value: f64) -> f64 {
    measured.gauge.as_ref().map_or_else(|| uncertainty(check, value), |gauge| gauge.uncertainty)
}

/// Expanded uncertainty of one reading whose instrument is not in the register, SI. Common practice: micrometer, bore
/// gauge and stretch gauge hold a tenth of a thou, a dial two, a gauging strip a quarter of a thou, a feeler half a thou,
/// a rule or a height stick five; a scale a tenth of a gram; a gauge a fiftieth of what it reads.
pub fn uncertainty(check: &Check, value: f64) -> f64 {
    let tenths = match (check.dimension, check.id) {
        (Dimension::Length, "rod-length") => 5.0,
        (Dimension::Length, "installed-height" | "pick-up-depth" | "seat-width") => 50.0,
        (Dimension::Length, _) if check.expect.is_some() || check.reach == Reach::Part => 1.0,
        (Dimension::Length, "bolt-stretch" | "valve-guide") => 1.0,
        (Dimension::Length, "crank-end-float" | "crank-runout" | "crank-dial" | "piston-to-deck") => 2.0,
        (Dimension::Length, "cam-end-float" | "rod-bend" | "rod-twist" | "seat-runout" | "lifter-preload") => 2.0,
        (Dimension::Length, "main-oil-clearance" | "rod-oil-clearance") => 2.5,
        (Dimension::Length, _) => 5.0,
        (Dimension::Share, _) => return 0.01,
        (Dimension::Mass, _) => return 1e-4,
        // A burette is read to half a cc.
        (Dimension::Volume, _) => return 0.5e-6,
        _ => return value.abs() * 0.02,
    };
    inches(tenths * 1e-4).si()
}

impl Judging<'_> {
    /// The measures of a set of values, and the clearances it completes. `own` is the expanded uncertainty of one value
    /// (SI) where its instrument is in the register.
    pub fn judge(&self, raw: &[f64], temperature: Option<f64>, own: Option<f64>) -> Result<Vec<Finding>, Trouble> {
        let raw = at_20(self.check, raw, temperature)?;
        let single = |value| own.unwrap_or_else(|| uncertainty(self.check, value));
        let mut all: Vec<(Found, f64, Position)> = measures::measured(self.check, self.position, &raw)
            .into_iter()
            .map(|found| (found, single(found.value) * self.check.readings_apart().sqrt(), self.position))
            .collect();
        for derived in fed_by(self.check) {
            all.extend(self.derived(derived, &raw, single(0.0))?);
        }
        if self.check.spread != Spread::Free {
            let set: Vec<f64> = self.set(&raw)?.into_iter().map(|(_, value)| value).collect();
            if let Some(spread) = measures::spread(self.check, &set) {
                // Of a share the gauge's own share counts, of a difference what it reads to.
                let one = match own {
                    _ if spread.dimension == self.check.dimension => single(set[0]),
                    Some(own) => own / set.iter().copied().fold(own, f64::max),
                    None => uncertainty(self.check, 1.0),
                };
                all.push((spread, one * std::f64::consts::SQRT_2, self.position));
            }
        }
        all.into_iter()
            .map(|(found, uncertainty, at)| {
                let held = self.limit(found.measure, found.at, at)?;
                let verdict = held.as_ref().map_or(Verdict::NoLimit, |h| {
                    let end = |value, min, max| judge::verdict_si(found.dimension, value, uncertainty, min, max);
                    end(found.lowest, h.bounds.min, None).worse(end(found.highest, None, h.bounds.max))
                });
                Ok(Finding { found, held, verdict, uncertainty, place: at })
            })
            .collect()
    }

    /// A reading that is on record, judged again with the instrument it was read with.
    pub fn judge_again(&self, measured: &Measured) -> Result<Vec<Finding>, Trouble> {
        let own = measured.gauge.as_ref().map(|gauge| gauge.uncertainty);
        self.judge(&measured.raw, measured.temperature, own)
    }

    /// Another reading's values at 20 °C.
    pub fn partner(&self, measured: &Measured) -> Result<Vec<f64>, Trouble> {
        match self.context.library.plan().check(&measured.check) {
            Some(check) => at_20(check, &measured.raw, measured.temperature),
            None => Ok(measured.raw.clone()),
        }
    }

    /// The same, with the uncertainty of one of them.
    fn partner_with(&self, measured: &Measured) -> Result<(Vec<f64>, f64), Trouble> {
        let check = self.context.library.plan().check(&measured.check).unwrap_or(self.check);
        Ok((self.partner(measured)?, kept_uncertainty(check, measured, 0.0)))
    }

    /// The clearances this set completes, each with its uncertainty and the place it is at. `one` is the uncertainty of one
    /// value of this set.
    fn derived(&self, derived: &Derived, raw: &[f64], one: f64) -> Result<Vec<(Found, f64, Position)>, Trouble> {
        let mut all = Vec::new();
        let is_outer = derived.outer == self.check.id;
        let other_check = if is_outer { derived.inner } else { derived.outer };
        for partner in derived.partners(self.engine, self.check.id, self.position) {
            let latest = self.context.desk.record.latest(self.job.id, other_check, &partner.place.to_string())?;
            let Some(other) = latest else { continue };
            let (values, own) = self.partner_with(&other.reading.measured)?;
            let (outer, inner) = if is_outer { (raw, &values[..]) } else { (&values[..], raw) };
            let uncertainty = if is_outer { derived.uncertainty(one, own) } else { derived.uncertainty(own, one) };
            let found = derived.clearance(outer, inner, partner.clearance_at);
            all.extend(found.map(|found| (found, uncertainty, partner.clearance_at)));
        }
        Ok(all)
    }

    /// The readings of the set so far, by place: this one and the last of each other.
    pub fn set(&self, raw: &[f64]) -> Result<Vec<(Position, f64)>, Trouble> {
        let mut all = Vec::new();
        for position in crate::engine::positions(self.engine, self.check.per) {
            if position == self.position {
                all.extend(raw.first().map(|own| (position, *own)));
            } else if let Some((_, raw)) = self.with.iter().find(|(place, _)| *place == position) {
                all.extend(raw.first().map(|value| (position, *value)));
            } else if let Some(other) =
                self.context.desk.record.latest(self.job.id, self.check.id, &position.to_string())?
            {
                all.extend(self.partner(&other.reading.measured)?.first().map(|value| (position, *value)));
            }
        }
        Ok(all)
    }

    /// The limit that holds for a measure and its part at a place.
    pub fn limit(&self, measure: &str, part: &str, at: Position) -> Result<Option<Held>, Trouble> {
        let mut sizes = Sizes::from(self.engine);
        // A limit per bore goes by the bore as it is now, once it was measured.
        if let Some(cylinder) = at.number() {
            let bore = self.context.desk.record.latest(self.job.id, "bore", &cylinder.to_string())?;
            if let Some(entry) = bore {
                sizes.bore = entry.reading.measured.raw.iter().copied().reduce(f64::min).map(Length::from_si);
            }
        }
        let held = self.context.limit(Wanted {
            measure,
            at: part,
            engine: Some(self.engine),
            duty: None,
            sizes,
            overrides: Some(self.overrides),
        });
        Ok(held.map(Held::at_gauge_resolution))
    }
}
