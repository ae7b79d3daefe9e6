//! Gauge repeatability and reproducibility: appraisers x parts x trials, each appraiser reading each part as often.
//!
//! Average and range (as the published gauge study manuals do it; constants 1/d2*):
//! * EV = mean range x K1; AV = sqrt((X x K2)^2 - EV^2 / (parts x trials)), X the range of the appraisers' means; GRR =
//!   sqrt(EV^2 + AV^2); PV = range of the part means x K3; TV = sqrt(GRR^2 + PV^2).
//!
//! ANOVA, two-way crossed with random effects: the interaction is kept where its F test gives p of 0.05 or less, else
//! pooled with the error. Kept: var_e = MSe, var_ap = (MSap - MSe) / t, var_a = (MSa - MSap) / (p t), var_p = (MSp - MSap)
//! / (a t); pooled: MSe and MSap both become (SSe + SSap) / (their degrees of freedom). Less than nothing is nothing.
//!
//! Distinct categories = 1.41 PV / GRR, cut to a whole number. Share of a tolerance = 6 GRR / its width. All lengths are
//! standard deviations in metres.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::judge::Verdict;
use super::readings::one_size;
use super::{Rule, Unfit, counted, finite, inside};
use crate::quantity::{Length, Measure, Number, above, below};

/// Limits of what can be studied at once.
const APPRAISERS: (f64, f64) = (2.0, 8.0);
const PARTS: (f64, f64) = (2.0, 30.0);
const TRIALS: (f64, f64) = (2.0, 10.0);
/// An interaction is kept at this p or less.
pub const SIGNIFICANT: f64 = 0.05;
/// K1 for 2 and 3 trials; K2 for 2 and 3 appraisers; K3 for 2 to 10 parts. Published to four places: 0.7071 is meant.
const K1: [f64; 2] = [0.8862, 0.5908];
#[allow(clippy::approx_constant)]
const K2: [f64; 2] = [0.7071, 0.5231];
#[allow(clippy::approx_constant)]
const K3: [f64; 9] = [0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146];

/// What stands next to what in a list of readings. Appraisers always come one after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Once round all the parts, then round them again.
    Rounds,
    /// Every trial of the first part, then of the second.
    Parts,
}

/// Readings by appraiser, part and trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub appraisers: usize,
    pub parts: usize,
    pub trials: usize,
    /// Appraiser by appraiser, round by round, part by part.
    values: Vec<Length>,
}

impl Table {
    /// From a flat list. Refuses a count of `appraisers`, `parts` or `trials` that is no study, and a list that is not
    /// their product.
    pub fn new(values: &[Length], appraisers: usize, parts: usize, trials: usize, order: Order) -> Result<Self, Unfit> {
        for (input, count, range) in
            [("appraisers", appraisers, APPRAISERS), ("parts", parts, PARTS), ("trials", trials, TRIALS)]
        {
            inside(input, Number(count as f64), range)?;
        }
        let wanted = appraisers * parts * trials;
        counted("values", values.len(), wanted, wanted)?;
        one_size("values", values)?;
        let at = |a: usize, t: usize, p: usize| match order {
            Order::Rounds => (a * trials + t) * parts + p,
            Order::Parts => (a * parts + p) * trials + t,
        };
        let mut sorted = Vec::with_capacity(wanted);
        for a in 0..appraisers {
            for t in 0..trials {
                sorted.extend((0..parts).map(|p| values[at(a, t, p)]));
            }
        }
        Ok(Self { appraisers, parts, trials, values: sorted })
    }

    /// One reading, all counted from zero.
    pub fn reading(&self, appraiser: usize, trial: usize, part: usize) -> Length {
        self.values[(appraiser * self.trials + trial) * self.parts + part]
    }

    fn cell(&self, appraiser: usize, part: usize) -> impl Iterator<Item = f64> + '_ {
        (0..self.trials).map(move |trial| self.reading(appraiser, trial, part).si())
    }
}

/// Standard deviations by where they come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variation {
    /// EV, repeatability: one appraiser, one part, again.
    pub equipment: Length,
    /// AV, reproducibility: one appraiser and another.
    pub appraisers: Length,
    /// Appraisers who differ on some parts only; zero by average and range, and where it was pooled.
    pub interaction: Length,
    /// GRR: the three together.
    pub gauge: Length,
    pub part: Length,
    pub total: Length,
    /// GRR / total, 0 to 1.
    pub gauge_of_total: f64,
    /// Distinct categories, whole; none where the gauge shows no variation of its own.
    pub categories: Option<u32>,
}

impl Variation {
    /// From variances.
    fn of(equipment: f64, appraisers: f64, interaction: f64, part: f64) -> Self {
        let gauge = equipment + appraisers + interaction;
        let root = |variance: f64| Length::from_si(variance.sqrt());
        let categories = (gauge > 0.0).then(|| (1.41 * (part / gauge).sqrt()).min(1e6) as u32);
        Self {
            equipment: root(equipment),
            appraisers: root(appraisers),
            interaction: root(interaction),
            gauge: root(gauge),
            part: root(part),
            total: root(gauge + part),
            gauge_of_total: (gauge / (gauge + part)).sqrt(),
            categories,
        }
    }

    /// 6 GRR / width of the tolerance. Refuses a `tolerance` of nothing or less.
    pub fn gauge_of_tolerance(&self, tolerance: Length) -> Result<f64, Unfit> {
        if finite("tolerance", tolerance)?.si() <= 0.0 {
            return Err(Unfit::new("tolerance", Rule::MustBePositive));
        }
        Ok(6.0 * self.gauge.si() / tolerance.si())
    }
}

/// The usual rule on a gauge's share: under 10 % good, 10 to 30 % may do, over 30 % not. Published convention.
pub fn rated(share: f64) -> Verdict {
    if above(Number(share), Number(0.30)) {
        Verdict::Out
    } else if below(Number(share), Number(0.10)) {
        Verdict::Within
    } else {
        Verdict::Marginal
    }
}

/// One line of an analysis of variance; sums of squares in square metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    pub freedom: usize,
    pub squares: f64,
    pub mean_square: f64,
}

impl Source {
    fn new(freedom: usize, squares: f64) -> Self {
        Self { freedom, squares, mean_square: squares / freedom as f64 }
    }
}

/// Analysis of variance of a study.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anova {
    pub appraisers: Source,
    pub parts: Source,
    pub interaction: Source,
    pub error: Source,
    /// F of the interaction against the error and its p; none where neither varies.
    pub f: Option<f64>,
    pub p: Option<f64>,
    /// True where the interaction was pooled with the error.
    pub pooled: bool,
    pub variation: Variation,
}

/// Average and range of a study.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AverageRange {
    pub k1: f64,
    pub k2: f64,
    pub k3: f64,
    pub variation: Variation,
}

/// A study with both ways of working it.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    pub appraiser_means: Vec<Length>,
    pub part_means: Vec<Length>,
    /// Mean of every range of one appraiser on one part.
    pub mean_range: Length,
    /// Largest less smallest appraiser's mean, and part's mean.
    pub appraiser_range: Length,
    pub part_range: Length,
    /// Share of the ranges that are zero: at a half the gauge is too coarse to see its own scatter.
    pub flat_ranges: f64,
    pub anova: Anova,
    /// None where the constants are not published: 2 or 3 appraisers, 2 or 3 trials, 2 to 10 parts.
    pub average_range: Option<AverageRange>,
}

/// Works a study both ways. Refuses `values` that are all the same.
pub fn study(table: &Table) -> Result<Study, Unfit> {
    let (a, p, t) = (table.appraisers, table.parts, table.trials);
    let first = table.reading(0, 0, 0).si();
    // Differences to the first reading, so that small scatter on a large size keeps its digits.
    let mean = |sum: f64, count: usize| sum / count as f64;
    let cells: Vec<Vec<f64>> =
        (0..a).map(|i| (0..p).map(|j| mean(table.cell(i, j).map(|x| x - first).sum(), t)).collect()).collect();
    let by_appraiser: Vec<f64> = cells.iter().map(|row| mean(row.iter().sum(), p)).collect();
    let by_part: Vec<f64> = (0..p).map(|j| mean(cells.iter().map(|row| row[j]).sum(), a)).collect();
    let grand = mean(by_part.iter().sum(), p);

    let square = |x: f64| x * x;
    let appraisers = (p * t) as f64 * by_appraiser.iter().map(|x| square(x - grand)).sum::<f64>();
    let parts = (a * t) as f64 * by_part.iter().map(|x| square(x - grand)).sum::<f64>();
    let (mut interaction, mut error, mut ranges) = (0.0, 0.0, Vec::with_capacity(a * p));
    for (i, row) in cells.iter().enumerate() {
        for (j, cell) in row.iter().enumerate() {
            interaction += t as f64 * square(cell - by_appraiser[i] - by_part[j] + grand);
            error += table.cell(i, j).map(|x| square(x - first - cell)).sum::<f64>();
            ranges.push(range(table.cell(i, j)));
        }
    }
    // Binary noise of readings that are equal on the bench: a nanometre.
    if range(table.values.iter().map(|v| v.si())) < 1e-9 {
        return Err(Unfit::new("values", Rule::MustBePositive));
    }
    let anova = analysed(
        Source::new(a - 1, appraisers),
        Source::new(p - 1, parts),
        Source::new((a - 1) * (p - 1), interaction),
        Source::new(a * p * (t - 1), error),
        (a, p, t),
    )?;
    let mean_range = mean(ranges.iter().sum(), ranges.len());
    let appraiser_range = range(by_appraiser.iter().copied());
    let part_range = range(by_part.iter().copied());
    let average_range = constants(a, p, t).map(|(k1, k2, k3)| {
        let equipment = square(mean_range * k1);
        let appraisers = (square(appraiser_range * k2) - equipment / (p * t) as f64).max(0.0);
        let variation = Variation::of(equipment, appraisers, 0.0, square(part_range * k3));
        AverageRange { k1, k2, k3, variation }
    });
    let back = |list: &[f64]| list.iter().map(|x| Length::from_si(x + first)).collect();
    let flat = ranges.iter().filter(|range| **range < 1e-9).count();
    Ok(Study {
        appraiser_means: back(&by_appraiser),
        part_means: back(&by_part),
        mean_range: Length::from_si(mean_range),
        appraiser_range: Length::from_si(appraiser_range),
        part_range: Length::from_si(part_range),
        flat_ranges: flat as f64 / ranges.len() as f64,
        anova,
        average_range,
    })
}

fn range(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    high - low
}

fn constants(appraisers: usize, parts: usize, trials: usize) -> Option<(f64, f64, f64)> {
    let of = |table: &'static [f64], count: usize| count.checked_sub(2).and_then(|at| table.get(at)).copied();
    Some((of(&K1, trials)?, of(&K2, appraisers)?, of(&K3, parts)?))
}

fn analysed(
    appraisers: Source,
    parts: Source,
    interaction: Source,
    error: Source,
    (a, p, t): (usize, usize, usize),
) -> Result<Anova, Unfit> {
    let f = (error.mean_square > 0.0).then(|| interaction.mean_square / error.mean_square);
    let probability = match f {
        Some(f) => {
            let known = FisherSnedecor::new(interaction.freedom as f64, error.freedom as f64);
            Some(known.map_err(|_| Unfit::new("values", Rule::MustBeFinite))?.sf(f))
        }
        // A gauge that repeats exactly leaves whatever is left to the appraisers and parts together.
        None if interaction.mean_square > 0.0 => Some(0.0),
        None => None,
    };
    let pooled = probability.is_none_or(|p| p > SIGNIFICANT);
    let positive = |x: f64| x.max(0.0);
    let (per_appraiser, per_part) = ((p * t) as f64, (a * t) as f64);
    let variation = if pooled {
        let both = (error.squares + interaction.squares) / (error.freedom + interaction.freedom) as f64;
        Variation::of(
            both,
            positive(appraisers.mean_square - both) / per_appraiser,
            0.0,
            positive(parts.mean_square - both) / per_part,
        )
    } else {
        Variation::of(
            error.mean_square,
            positive(appraisers.mean_square - interaction.mean_square) / per_appraiser,
            positive(interaction.mean_square - error.mean_square) / t as f64,
            positive(parts.mean_square - interaction.mean_square) / per_part,
        )
    };
    Ok(Anova { appraisers, parts, interaction, error, f, p: probability, pooled, variation })
}

#[cfg(test)]
#[path = "study_tests.rs"]
mod tests;
