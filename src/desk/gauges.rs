//! The shop's instruments at the bench: which one a reading names, how it stands on that day, and what has to be said of it.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::Context;
use super::judging::{Finding, uncertainty};
use super::recorded::{date, day};
use super::trouble::{Refusal, Trouble};
use crate::engine::gauges::Kind;
use crate::engine::plain;
use crate::engine::plan::Check;
use crate::maths::judge::{Verdict, verdict_si};
use crate::quantity::{Dimension, System, named_in, show};
use crate::record::{Gauge, Instrument, Measured, Noted, StandardCheck};

/// An instrument and how it stands today.
pub struct Stood {
    pub instrument: Instrument,
    pub kind: Kind,
    /// Its calibration was due before today.
    pub overdue: bool,
    /// Its checks against a standard since it was last set or calibrated, by day.
    pub checks: Vec<Noted<StandardCheck>>,
}

impl Context<'_> {
    /// Today, by the one calendar of every front and of the sheet.
    pub fn today(&self) -> Date {
        date(self.now)
    }

    /// The instrument of that name and how it stands; case, blanks and hyphens do not matter.
    pub fn instrument(&self, name: &str) -> Result<Option<Stood>, Trouble> {
        let wanted = plain(name);
        let all = self.desk.record.instruments()?;
        let found = all.into_iter().find(|one| plain(&one.facts.name) == wanted);
        found.map(|instrument| self.stood(instrument)).transpose()
    }

    /// The same, or a refusal with the nearest.
    pub fn known_instrument(&self, name: &str) -> Result<Stood, Trouble> {
        if let Some(stood) = self.instrument(name)? {
            return Ok(stood);
        }
        let all = self.desk.record.instruments()?;
        let names: Vec<&str> = all.iter().filter(|i| i.retired.is_none()).map(|i| i.facts.name.as_str()).collect();
        let mut refusal = match names.is_empty() {
            true => Refusal::new(
                "name",
                name,
                "The register is empty: the lead puts an instrument in with `instrument add`.",
            ),
            false => super::unknown("name", name, &names),
        };
        refusal.line = Some("instrument list".to_owned());
        Err(refusal.into())
    }

    /// How an instrument stands today.
    pub fn stood(&self, instrument: Instrument) -> Result<Stood, Trouble> {
        let checks = self.desk.record.standard_checks(instrument.id)?;
        let kind = Kind::named(&instrument.facts.sort).ok_or_else(|| {
            anyhow::anyhow!("instrument {} is of an unknown kind, {}", instrument.id.0, instrument.facts.sort)
        })?;
        let checks = since_set(&instrument, checks);
        let overdue = self.today() > instrument.facts.due;
        Ok(Stood { instrument, kind, overdue, checks })
    }
}

/// The checks that tell of an instrument as it is now: from the last that it was set on, and none from before its
/// calibration.
fn since_set(instrument: &Instrument, checks: Vec<Noted<StandardCheck>>) -> Vec<Noted<StandardCheck>> {
    let calibrated = instrument.calibrated.as_ref().map(|noted| (date(noted.when), noted.seq));
    let counts = |check: &Noted<StandardCheck>| calibrated.is_none_or(|then| (check.what.on, check.seq) > then);
    let mut counting: Vec<_> = checks.into_iter().filter(counts).collect();
    let set = counting.iter().rposition(|check| check.what.set).unwrap_or(0);
    counting.split_off(set)
}

/// What an instrument read less what the standard is, SI.
pub fn deviation(check: &StandardCheck) -> f64 {
    check.read - check.standard
}

impl Stood {
    pub fn name(&self) -> &str {
        &self.instrument.facts.name
    }

    pub fn dimension(&self) -> Dimension {
        self.instrument.facts.dimension
    }

    pub fn range(&self) -> (f64, f64) {
        (self.instrument.facts.from, self.instrument.facts.to)
    }

    /// `2.0000 to 3.0000 in`: its range, one system only.
    pub fn range_in(&self, system: System) -> String {
        let (from, to) = self.range();
        let both = show::range(self.dimension(), Some(from), Some(to), system);
        both.split_once(" (").map_or(both.clone(), |(first, _)| first.to_owned())
    }

    /// Whether a deviation is more than its uncertainty allows it.
    pub fn is_beyond(&self, deviation: f64) -> bool {
        let own = self.instrument.facts.uncertainty;
        verdict_si(self.dimension(), deviation, 0.0, Some(-own), Some(own)) == Verdict::Out
    }

    /// The deviation of its last check, where that is more than its uncertainty: it is not to be used until it is set.
    pub fn off(&self) -> Option<f64> {
        self.checks.last().map(|check| deviation(&check.what)).filter(|deviation| self.is_beyond(*deviation))
    }

    /// Expanded uncertainty (k = 2) of one value of that check: of a difference of two readings, root two of its own
    /// (JCGM 100, 5.1.2).
    pub fn uncertainty(&self, check: &Check) -> f64 {
        self.instrument.facts.uncertainty * f64::from(self.kind.readings_of(check)).sqrt()
    }

    /// `calibration due 2027-03-01`, `CALIBRATION OVERDUE since 2026-09-30, DO NOT USE until it is set`.
    pub fn state(&self) -> String {
        match &self.instrument.retired {
            Some(retired) => format!("retired on {}: {}", day(retired.when), retired.what.reason),
            None => told(self.instrument.facts.due, self.overdue, self.off().is_some()),
        }
    }

    /// What a reading keeps of it.
    fn gauge(&self, check: &Check) -> Gauge {
        Gauge {
            number: self.instrument.id,
            uncertainty: self.uncertainty(check),
            due: self.instrument.facts.due,
            overdue: self.overdue,
            off: self.off().is_some(),
        }
    }
}

fn told(due: Date, overdue: bool, off: bool) -> String {
    let calibration =
        if overdue { format!("CALIBRATION OVERDUE since {due}") } else { format!("calibration due {due}") };
    if off { format!("{calibration}, DO NOT USE until it is set") } else { calibration }
}

/// How the instrument of a reading stood on its day.
pub fn state(gauge: &Gauge) -> String {
    match gauge.off {
        true => told(gauge.due, gauge.overdue, false) + ", OFF on its standard",
        false => told(gauge.due, gauge.overdue, false),
    }
}

/// An uncertainty or a step with all the digits it was given, in one system: `0.00005 in`.
pub fn exact_in(dimension: Dimension, si: f64, system: System) -> String {
    let Some(unit) = named_in(dimension, system) else { return show::trimmed(si, 6) };
    format!("{} {}", show::trimmed(si / unit.factor, if unit.symbol == "in" { 6 } else { 5 }), unit.symbol)
}

/// The same in both: `0.00005 in (0.00127 mm)`.
pub fn exact(dimension: Dimension, si: f64, lead: System) -> String {
    let (first, other) = match lead {
        System::Inch => (System::Inch, System::Metric),
        System::Metric => (System::Metric, System::Inch),
    };
    let (first, other) = (exact_in(dimension, si, first), exact_in(dimension, si, other));
    if first == other { first } else { format!("{first} ({other})") }
}

/// A deviation with its sign: `+0.0001 in (0.00254 mm)`.
pub fn signed(dimension: Dimension, si: f64, lead: System) -> String {
    let plus = if si > 0.0 { "+" } else { "" };
    format!("{plus}{}", exact(dimension, si, lead))
}

/// What a reading names.
#[derive(Debug)]
pub enum Named<'a> {
    /// Words of the line: one of the register, or any.
    Anew(Option<&'a str>),
    /// What an earlier reading named, as that stood on its day.
    Kept(Option<&'a str>, Option<&'a Gauge>),
}

impl<'a> Named<'a> {
    pub fn kept(measured: &'a Measured) -> Self {
        Self::Kept(measured.instrument.as_deref(), measured.gauge.as_ref())
    }
}

/// What a reading was taken with.
pub enum With {
    /// One of the register.
    Known(Box<Stood>),
    /// Words for one that is not.
    Words(String),
    Kept(Option<String>, Option<Gauge>),
    Nothing,
}

/// Finds the instrument that a reading names; one that is retired, reads something else or does not reach is refused.
pub fn read_with(context: &Context, check: &Check, named: &Named, raw: &[f64], lead: System) -> Result<With, Trouble> {
    let named = match named {
        Named::Kept(name, gauge) => return Ok(With::Kept(name.map(str::to_owned), gauge.cloned())),
        Named::Anew(name) => name.map(str::trim).filter(|name| !name.is_empty()),
    };
    let Some(named) = named else { return Ok(With::Nothing) };
    let Some(stood) = context.instrument(named)? else { return Ok(With::Words(named.to_owned())) };
    let refused = |possible: String| Err(Refusal::new("instrument", named, possible).into());
    let name = stood.name();
    if stood.instrument.retired.is_some() {
        return refused(format!("{name} is {}. Name the one it was read with.", stood.state()));
    }
    if stood.dimension() != check.dimension {
        let (own, wanted) = (stood.dimension().one(), check.dimension.one());
        return refused(format!("{name} reads {own}; {} is {wanted}.", check.name));
    }
    if let Some(value) = raw.iter().find(|value| !stood.kind.can_show(check, stood.range(), **value)) {
        let range = show::range(stood.dimension(), Some(stood.range().0), Some(stood.range().1), lead);
        let value = show::any(check.dimension, *value, lead);
        return refused(format!("{name} reads {range}: {value} is outside that. Name the one it was read with."));
    }
    Ok(With::Known(Box::new(stood)))
}

impl With {
    /// The name to keep with a reading.
    pub fn name(&self) -> Option<String> {
        match self {
            Self::Known(stood) => Some(stood.name().to_owned()),
            Self::Words(words) => Some(words.clone()),
            Self::Kept(name, _) => name.clone(),
            Self::Nothing => None,
        }
    }

    pub fn gauge(&self, check: &Check) -> Option<Gauge> {
        match self {
            Self::Known(stood) => Some(stood.gauge(check)),
            Self::Kept(_, gauge) => gauge.clone(),
            Self::Words(_) | Self::Nothing => None,
        }
    }

    /// What is said of it beside the verdict.
    pub fn remarks(&self, check: &Check, findings: &[Finding], raw: &[f64], lead: System) -> Vec<String> {
        match self {
            Self::Kept(..) | Self::Nothing => Vec::new(),
            Self::Words(words) => {
                let usual = exact(check.dimension, raw.first().map_or(0.0, |value| uncertainty(check, *value)), lead);
                vec![format!("{words} is not in the register: judged with the usual ± {usual} (common practice).")]
            }
            Self::Known(stood) => {
                let own = exact(check.dimension, stood.uncertainty(check), lead);
                let pair = if stood.kind.readings_of(check) > 1 { " for the difference of two readings" } else { "" };
                let mut said = vec![format!("Read with {}: ± {own}{pair}, {}.", stood.name(), stood.state())];
                said.extend(coarse(stood, check, findings, lead));
                said
            }
        }
    }

    /// What has to be heeded before the reading is relied on.
    pub fn warning(&self, lead: System) -> Option<String> {
        let Self::Known(stood) = self else { return None };
        let name = stood.name();
        let off = stood.off().map(|off| {
            let (off, own) = (signed(stood.dimension(), off, lead), stood.instrument.facts.uncertainty);
            format!("{name} was {off} off on its standard, more than its ± {}: do not use it until it is set, then read this again.", exact(stood.dimension(), own, lead))
        });
        let overdue = stood.overdue.then(|| {
            let due = stood.instrument.facts.due;
            format!("{name} was due for calibration on {due}. That stays with this reading: check it on a standard, or read again with another.")
        });
        match (off, overdue) {
            (None, None) => None,
            (off, overdue) => Some([off, overdue].into_iter().flatten().collect::<Vec<_>>().join(" ")),
        }
    }
}

/// An instrument should show a tenth of the tolerance (the rule of ten, common practice). A limit with one end has no
/// tolerance.
fn coarse(stood: &Stood, check: &Check, findings: &[Finding], lead: System) -> Option<String> {
    let step = stood.instrument.facts.step;
    let tolerance = |finding: &Finding| {
        let bounds = finding.held.as_ref().map(|held| held.bounds)?;
        Some((finding.found.measure, bounds.max? - bounds.min?))
    };
    let own = findings.iter().filter(|finding| finding.found.dimension == check.dimension);
    let (measure, tolerance) = own.filter_map(tolerance).min_by(|a, b| a.1.total_cmp(&b.1))?;
    (step * 10.0 > tolerance * (1.0 + 1e-6)).then(|| {
        let (step, tolerance) = (exact(check.dimension, step, lead), exact(check.dimension, tolerance, lead));
        format!(
            "It shows steps of {step}, coarser than a tenth of the tolerance of the {measure}, {tolerance} (rule of ten, common practice)."
        )
    })
}

/// What a reading was taken with, and how that stood on its day: `micrometer 4: ± 0.0001 in (0.00254 mm), calibration due
/// 2027-03-01`; none where nothing was named.
pub fn used_for(measured: &Measured, lead: System) -> Option<String> {
    let name = measured.instrument.as_ref()?;
    Some(match &measured.gauge {
        Some(gauge) => format!("{name}: ± {}, {}", exact(measured.dimension, gauge.uncertainty, lead), state(gauge)),
        None => format!("{name}: not in the register"),
    })
}

/// The same of many readings, each told once with how many there are: `…, 12 readings`. One that has to be heeded is told
/// apart from itself on a good day.
pub fn used<'a>(readings: impl Iterator<Item = &'a Measured>, lead: System) -> Vec<String> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for told in readings.filter_map(|measured| used_for(measured, lead)) {
        *counts.entry(told).or_default() += 1;
    }
    let plural = |count: usize| if count == 1 { "one reading".to_owned() } else { format!("{count} readings") };
    counts.into_iter().map(|(told, count)| format!("{told}, {}", plural(count))).collect()
}

/// `micrometer 4`, or `micrometer 4 (calibration due 2027-03-01)` where it is one of the register.
pub fn named(instrument: &str, gauge: Option<&Gauge>) -> String {
    match gauge {
        Some(gauge) => format!("{instrument} ({})", state(gauge)),
        None => instrument.to_owned(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_fine_uncertainty_keeps_its_digits() {
        let tenth = 0.0001 * 0.0254;
        assert_eq!(exact(Dimension::Length, tenth, System::Inch), "0.0001 in (0.00254 mm)");
        assert_eq!(exact(Dimension::Length, tenth / 2.0, System::Inch), "0.00005 in (0.00127 mm)");
        assert_eq!(exact(Dimension::Length, 2e-6, System::Metric), "0.002 mm (0.000079 in)");
        assert_eq!(exact(Dimension::Share, 0.01, System::Inch), "1 %");
    }
}
