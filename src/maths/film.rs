//! Minimum oil film of a plain journal bearing under a steady load, by the chart data of Raimondi and Boyd.
//!
//! * P = W / (l d), the load over the projected area.
//! * S = (r / c)^2 mu N / P, N in turns a second, c the **radial** clearance: half of what the shop measures. This is the
//!   Sommerfeld number of Raimondi and Boyd; the So of ISO 7902 is P (c/r)^2 / (mu omega) = 1 / (2 pi S).
//! * The chart gives h0/c = 1 - eccentricity ratio for S and l/d.
//!
//! The points are those tabulated for the full (360 degree) bearing (Raimondi and Boyd, ASLE Transactions 1, 1958, from
//! memory); each was checked with a finite-difference solution of the Reynolds equation, film rupture where the pressure
//! would fall below nothing, and lies within 3.1 % of it in S. Between the lines for l/d, ln S at one eccentricity is
//! taken as a parabola of ln(l/d); between points on a line, h0/c as a monotone cubic (Fritsch and Carlson) of ln S.
//! Both interpolations are ours, and tests hold them against the same solution.
//!
//! An estimate: an engine bearing has grooves and a load that swings, and its oil is not at one temperature.

use std::f64::consts::{PI, TAU};

use super::{Rule, Unfit, bounds, inside};
use crate::quantity::{Dimension, Force, Length, Measure, Pressure, Turning, Viscosity};

/// h0/c of the chart points, thick film first.
const FILM: [f64; 7] = [0.9, 0.8, 0.6, 0.4, 0.2, 0.1, 0.03];
/// Length over diameter of a line of the chart, and S at each of [`FILM`].
const LINES: [(f64, [f64; 7]); 3] = [
    (0.25, [16.2, 7.57, 2.83, 1.07, 0.261, 0.0736, 0.0101]),
    (0.5, [4.31, 2.03, 0.779, 0.319, 0.0923, 0.0313, 0.00609]),
    (1.0, [1.33, 0.631, 0.264, 0.121, 0.0446, 0.0188, 0.00474]),
];

/// Load that a bearing's lining could carry at all, N.
const LOAD: (f64, f64) = (1.0, 1e6);
/// 1 to 20 000 turns a minute, rad/s.
const SPEED: (f64, f64) = (TAU / 60.0, 20_000.0 * TAU / 60.0);
/// Thinnest hot oil to thickest cold, Pa s.
const VISCOSITY: (f64, f64) = (0.5e-3, 5.0);
/// Diametral clearance as a share of the journal.
const CLEARANCE: (f64, f64) = (0.000_2, 0.005);

/// A bearing and what it runs under.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    pub journal: Length,
    /// Working length along the journal.
    pub length: Length,
    /// Diametral, as the shop measures it.
    pub clearance: Length,
    pub load: Force,
    pub speed: Turning,
    pub viscosity: Viscosity,
}

/// The film found, with what led to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Film {
    /// l / d.
    pub ratio: f64,
    pub radial_clearance: Length,
    /// W / (l d).
    pub pressure: Pressure,
    /// S of Raimondi and Boyd.
    pub sommerfeld: f64,
    /// So of ISO 7902 = 1 / (2 pi S).
    pub sommerfeld_iso: f64,
    /// h0 / c.
    pub relative: f64,
    /// h0.
    pub thinnest: Length,
    /// 1 - h0 / c.
    pub eccentricity: f64,
}

/// S of a bearing, and what leads to it: (S, P in Pa). Refuses as [`film`] does, but for the chart.
pub fn sommerfeld(bearing: &Bearing) -> Result<(f64, f64), Unfit> {
    let d = inside("journal", bearing.journal, bounds::JOURNAL)?;
    inside("length", bearing.length, (d.si() * LINES[0].0, d.si() * LINES[2].0))?;
    inside("clearance", bearing.clearance, (d.si() * CLEARANCE.0, d.si() * CLEARANCE.1))?;
    inside("load", bearing.load, LOAD)?;
    inside("speed", bearing.speed, SPEED)?;
    inside("viscosity", bearing.viscosity, VISCOSITY)?;
    let pressure = bearing.load.si() / (bearing.length.si() * d.si());
    let stiffness = (d.si() / bearing.clearance.si()).powi(2);
    Ok((stiffness * bearing.viscosity.0 * bearing.speed.si() / TAU / pressure, pressure))
}

/// The thinnest film. Refuses a size, `load`, `speed`, `viscosity` or `clearance` no engine has, a `length` outside l/d =
/// 1/4 to 1, and a `sommerfeld number` outside the chart (h0/c from 0.03 to 0.9).
pub fn film(bearing: &Bearing) -> Result<Film, Unfit> {
    let (sommerfeld, pressure) = sommerfeld(bearing)?;
    let ratio = bearing.length.si() / bearing.journal.si();
    let relative = chart(sommerfeld, ratio)?;
    let radial_clearance = bearing.clearance / 2.0;
    Ok(Film {
        ratio,
        radial_clearance,
        pressure: Pressure::from_si(pressure),
        sommerfeld,
        sommerfeld_iso: 1.0 / (2.0 * PI * sommerfeld),
        relative,
        thinnest: radial_clearance * relative,
        eccentricity: 1.0 - relative,
    })
}

/// h0/c at a Sommerfeld number and a length over diameter of 1/4 to 1.
pub fn chart(sommerfeld: f64, ratio: f64) -> Result<f64, Unfit> {
    // Rising ln S, so thinnest film first.
    let points: Vec<(f64, f64)> = (0..FILM.len()).rev().map(|k| (parabola(ratio.ln(), k), FILM[k])).collect();
    let (low, high) = (points[0].0.exp(), points[FILM.len() - 1].0.exp());
    // A point of the chart itself must not fall off it by rounding.
    let near = 1.0 + 1e-9;
    if !(low / near..=high * near).contains(&sommerfeld) {
        return Err(Unfit::new("sommerfeld number", Rule::OutsideRange { low, high, dimension: Dimension::Number }));
    }
    Ok(monotone(&points, sommerfeld.clamp(low, high).ln()))
}

/// ln S at `FILM[k]` for any ln(l/d), through the three lines.
fn parabola(at: f64, k: usize) -> f64 {
    let mut sum = 0.0;
    for (i, (line, s)) in LINES.iter().enumerate() {
        let others = LINES.iter().enumerate().filter(|(j, _)| *j != i);
        let share: f64 = others.map(|(_, (other, _))| (at - other.ln()) / (line.ln() - other.ln())).product();
        sum += share * s[k].ln();
    }
    sum
}

/// The monotone cubic through `points` (rising in both) at `x` inside them: Fritsch and Carlson's, slopes at the knots
/// being the weighted harmonic mean of the chords beside them.
fn monotone(points: &[(f64, f64)], x: f64) -> f64 {
    let last = points.len() - 1;
    let chord = |i: usize| (points[i + 1].1 - points[i].1) / (points[i + 1].0 - points[i].0);
    let step = |i: usize| points[i + 1].0 - points[i].0;
    let slope = |i: usize| {
        if i == 0 {
            return chord(0);
        }
        if i == last {
            return chord(last - 1);
        }
        let (w1, w2) = (2.0 * step(i) + step(i - 1), step(i) + 2.0 * step(i - 1));
        (w1 + w2) / (w1 / chord(i - 1) + w2 / chord(i))
    };
    let i = (0..last).find(|i| x <= points[i + 1].0).unwrap_or(last - 1);
    let (h, t) = (step(i), (x - points[i].0) / step(i));
    let (t2, t3) = (t * t, t * t * t);
    (2.0 * t3 - 3.0 * t2 + 1.0) * points[i].1
        + (t3 - 2.0 * t2 + t) * h * slope(i)
        + (3.0 * t2 - 2.0 * t3) * points[i + 1].1
        + (t3 - t2) * h * slope(i + 1)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::millimetres;

    fn bearing() -> Bearing {
        Bearing {
            journal: millimetres(60.0),
            length: millimetres(24.0),
            clearance: millimetres(0.06),
            load: Force::from_si(3000.0),
            speed: Turning::from_si(300.0),
            viscosity: Viscosity(0.010),
        }
    }

    #[test]
    fn every_point_of_the_chart_is_itself() {
        for (ratio, line) in LINES {
            for (s, film) in line.iter().zip(FILM) {
                assert!((chart(*s, ratio).unwrap() - film).abs() < 1e-9, "{ratio} {s}");
            }
        }
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |b: Bearing| film(&b).unwrap_err().input;
        assert_eq!(fault(Bearing { journal: millimetres(2.0), ..bearing() }), "journal");
        assert_eq!(fault(Bearing { length: millimetres(70.0), ..bearing() }), "length");
        assert_eq!(fault(Bearing { clearance: millimetres(0.6), ..bearing() }), "clearance");
        assert_eq!(fault(Bearing { load: Force::from_si(0.0), ..bearing() }), "load");
        assert_eq!(fault(Bearing { speed: Turning::from_si(0.0), ..bearing() }), "speed");
        assert_eq!(fault(Bearing { viscosity: Viscosity(27.0), ..bearing() }), "viscosity");
        assert_eq!(fault(Bearing { load: Force::from_si(9e5), ..bearing() }), "sommerfeld number");
        assert_eq!(fault(Bearing { load: Force::from_si(2.0), ..bearing() }), "sommerfeld number");
    }

    proptest! {
        #[test]
        fn more_load_less_film(load in 1000.0_f64..20_000.0, more in 1.001_f64..1.5, ratio in 0.25_f64..1.0) {
            let at = |w: f64| {
                let b = Bearing { load: Force::from_si(w), length: millimetres(60.0 * ratio), ..bearing() };
                film(&b).map(|f| f.thinnest.si())
            };
            if let (Ok(light), Ok(heavy)) = (at(load), at(load * more)) {
                prop_assert!(heavy < light);
            }
        }

        #[test]
        fn the_two_numbers_are_reciprocal(load in 1000.0_f64..5_000.0) {
            let found = film(&Bearing { load: Force::from_si(load), ..bearing() }).unwrap();
            prop_assert!((found.sommerfeld * found.sommerfeld_iso * 2.0 * PI - 1.0).abs() < 1e-12);
            // ISO 7902 from its own definition, by relative clearance and angular speed.
            let psi = 0.06 / 60.0;
            let so = found.pressure.si() * psi * psi / (0.010 * 300.0);
            prop_assert!((so / found.sommerfeld_iso - 1.0).abs() < 1e-12);
        }
    }
}
