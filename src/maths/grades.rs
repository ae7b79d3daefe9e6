//! Strength of bolts by the mark on the head: ISO 898-1 property classes (metric) and SAE J429 grades (inch).
//!
//! Each band is a range of nominal diameters with stress under proof load, yield (or 0.2 % proof) strength and tensile
//! strength, all minima, in pascals. ISO 898-1: sizes to M39; 8.8 changes above M16, 9.8 ends there.

use super::{Rule, Unfit, finite};
use crate::quantity::{Dimension, Length, Measure, Pressure, above, below};

/// Whose table a grade stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standard {
    Iso898,
    SaeJ429,
}

/// One row of a table: diameters over `over` (the first row: from it) up to and including `to`, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    over: f64,
    to: f64,
    proof: f64,
    yielding: f64,
    tensile: f64,
}

/// A property class or grade.
#[derive(Debug, PartialEq)]
pub struct Grade {
    /// The word it is asked for by.
    pub id: &'static str,
    pub standard: Standard,
    pub bands: &'static [Band],
}

impl Band {
    pub fn over(&self) -> Length {
        Length::from_si(self.over)
    }
    pub fn to(&self) -> Length {
        Length::from_si(self.to)
    }
    pub fn proof(&self) -> Pressure {
        Pressure::from_si(self.proof)
    }
    pub fn yielding(&self) -> Pressure {
        Pressure::from_si(self.yielding)
    }
    pub fn tensile(&self) -> Pressure {
        Pressure::from_si(self.tensile)
    }
}

impl Grade {
    /// The row for a nominal diameter. Refuses `thread` outside the standard's sizes for this grade.
    pub fn at(&self, diameter: Length) -> Result<&'static Band, Unfit> {
        finite("thread", diameter)?;
        let (low, high) = (self.bands.first().map_or(0.0, |b| b.over), self.bands.last().map_or(0.0, |b| b.to));
        let fits = |band: &&Band| !above(diameter, band.to());
        match self.bands.iter().find(fits).filter(|_| !below(diameter, Length::from_si(low))) {
            Some(band) => Ok(band),
            None => Err(Unfit::new("thread", Rule::OutsideRange { low, high, dimension: Dimension::Length })),
        }
    }
}

const KSI: f64 = 6_894_757.293_168_361;

const fn mm(over: f64, to: f64, proof: f64, yielding: f64, tensile: f64) -> Band {
    Band { over: over * 1e-3, to: to * 1e-3, proof: proof * 1e6, yielding: yielding * 1e6, tensile: tensile * 1e6 }
}

const fn inch(over: f64, to: f64, proof: f64, yielding: f64, tensile: f64) -> Band {
    Band { over: over * 0.0254, to: to * 0.0254, proof: proof * KSI, yielding: yielding * KSI, tensile: tensile * KSI }
}

const fn iso(id: &'static str, bands: &'static [Band]) -> Grade {
    Grade { id, standard: Standard::Iso898, bands }
}

const fn sae(id: &'static str, bands: &'static [Band]) -> Grade {
    Grade { id, standard: Standard::SaeJ429, bands }
}

/// Every grade known here, metric first, weakest first.
pub static GRADES: &[Grade] = &[
    iso("4.6", &[mm(1.6, 39.0, 225.0, 240.0, 400.0)]),
    iso("4.8", &[mm(1.6, 39.0, 310.0, 340.0, 420.0)]),
    iso("5.6", &[mm(1.6, 39.0, 280.0, 300.0, 500.0)]),
    iso("5.8", &[mm(1.6, 39.0, 380.0, 420.0, 520.0)]),
    iso("6.8", &[mm(1.6, 39.0, 440.0, 480.0, 600.0)]),
    iso("8.8", &[mm(1.6, 16.0, 580.0, 640.0, 800.0), mm(16.0, 39.0, 600.0, 660.0, 830.0)]),
    iso("9.8", &[mm(1.6, 16.0, 650.0, 720.0, 900.0)]),
    iso("10.9", &[mm(1.6, 39.0, 830.0, 940.0, 1040.0)]),
    iso("12.9", &[mm(1.6, 39.0, 970.0, 1100.0, 1220.0)]),
    sae("grade-1", &[inch(0.25, 1.5, 33.0, 36.0, 60.0)]),
    sae("grade-2", &[inch(0.25, 0.75, 55.0, 57.0, 74.0), inch(0.75, 1.5, 33.0, 36.0, 60.0)]),
    sae("grade-4", &[inch(0.25, 1.5, 65.0, 100.0, 115.0)]),
    sae("grade-5", &[inch(0.25, 1.0, 85.0, 92.0, 120.0), inch(1.0, 1.5, 74.0, 81.0, 105.0)]),
    sae("grade-5.2", &[inch(0.25, 1.0, 85.0, 92.0, 120.0)]),
    sae("grade-7", &[inch(0.25, 1.5, 105.0, 115.0, 133.0)]),
    sae("grade-8", &[inch(0.25, 1.5, 120.0, 130.0, 150.0)]),
    sae("grade-8.2", &[inch(0.25, 1.0, 120.0, 130.0, 150.0)]),
];

/// The grade asked for by its id.
pub fn grade(id: &str) -> Option<&'static Grade> {
    GRADES.iter().find(|g| g.id == id)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn proof_is_below_yield_below_tensile_and_bands_join() {
        for grade in GRADES {
            for band in grade.bands {
                assert!(band.proof < band.yielding && band.yielding < band.tensile, "{}", grade.id);
            }
            for pair in grade.bands.windows(2) {
                assert_eq!(pair[0].to, pair[1].over, "{}", grade.id);
            }
            assert_eq!(GRADES.iter().filter(|g| g.id == grade.id).count(), 1);
        }
    }

    #[test]
    fn a_size_on_the_edge_belongs_to_the_smaller_band() {
        let proof = |id, d| grade(id).unwrap().at(d).unwrap().proof;
        assert_eq!(proof("8.8", millimetres(16.0)), 580e6);
        assert_eq!(proof("8.8", millimetres(18.0)), 600e6);
        assert_eq!(proof("grade-5", inches(1.0)), 85.0 * KSI);
        assert_eq!(proof("grade-5", inches(1.125)), 74.0 * KSI);
    }

    #[test]
    fn outside_the_standard_is_refused() {
        for (id, d) in [("9.8", millimetres(18.0)), ("8.8", millimetres(42.0)), ("grade-5.2", inches(1.25))] {
            assert_eq!(grade(id).unwrap().at(d).unwrap_err().input, "thread", "{id}");
        }
        assert!(grade("grade-8").unwrap().at(inches(0.19)).is_err());
        assert!(grade("8.8").unwrap().at(millimetres(f64::NAN)).is_err());
    }
}
