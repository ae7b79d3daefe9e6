//! Screw threads of the 60 degree profile, metric (ISO 68-1) and inch (ASME B1.1): the sizes that strength and torque go by.
//!
//! * Tensile stress area, metric: pi/4 (d - 0.9382 P)^2 (ISO 898-1). Inch: pi/4 (d - 0.9743 / n)^2 (ASME B1.1). They differ
//!   in the fourth figure, so each series keeps its own.
//! * Pitch diameter d2 = d - 0.649519 P, three quarters of the height 0.866025 P of the sharp triangle taken off.
//! * Coarse pitches: ISO 262.
//!
//! Lengths in metres, areas in square metres.

use std::f64::consts::FRAC_PI_4;

use uom::si::area::square_meter;
pub use uom::si::f64::Area;

use super::{Unfit, inside};
use crate::quantity::{Length, Measure, inches, millimetres};

/// Which of the two families a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    Metric,
    Inch,
}

/// A thread by its nominal diameter and pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    pub series: Series,
    pub diameter: Length,
    pub pitch: Length,
}

/// Nominal diameters held possible, m.
const DIAMETER: (f64, f64) = (0.0016, 0.0640);
/// Pitch as a share of the diameter: M30 x 1 is 0.033, M1.6 x 0.35 is 0.22.
const PITCH_SHARE: (f64, f64) = (0.025, 0.26);

/// Coarse metric pitches by nominal diameter, both in mm (ISO 262).
const COARSE: &[(f64, f64)] = &[
    (1.6, 0.35),
    (2.0, 0.4),
    (2.5, 0.45),
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
    (39.0, 4.0),
];

impl Thread {
    /// A metric thread. Refuses `thread` for a diameter and `pitch` for a pitch that no bolt has.
    pub fn metric(diameter: Length, pitch: Length) -> Result<Self, Unfit> {
        Self::checked(Series::Metric, diameter, pitch)
    }

    /// A metric thread of the coarse pitch; none where ISO 262 has no such size.
    pub fn coarse(diameter: Length) -> Option<Self> {
        let (_, pitch) = COARSE.iter().find(|(d, _)| (millimetres(*d) - diameter).abs() < millimetres(1e-6))?;
        Self::metric(diameter, millimetres(*pitch)).ok()
    }

    /// An inch thread by its threads to the inch. Refuses `thread` and `pitch` as [`Thread::metric`] does.
    pub fn inch(diameter: Length, per_inch: f64) -> Result<Self, Unfit> {
        Self::checked(Series::Inch, diameter, inches(1.0 / per_inch))
    }

    fn checked(series: Series, diameter: Length, pitch: Length) -> Result<Self, Unfit> {
        inside("thread", diameter, DIAMETER)?;
        inside("pitch", pitch, (diameter.si() * PITCH_SHARE.0, diameter.si() * PITCH_SHARE.1))?;
        Ok(Self { series, diameter, pitch })
    }

    /// Tensile stress area by the formula of its own series.
    pub fn stress_area(&self) -> Area {
        let factor = match self.series {
            Series::Metric => 0.9382,
            Series::Inch => 0.9743,
        };
        disc(self.diameter - self.pitch * factor)
    }

    /// d2 = d - 0.649519 P.
    pub fn pitch_diameter(&self) -> Length {
        self.diameter - self.pitch * (0.75 * 0.75_f64.sqrt())
    }
}

/// Area of a round section.
pub fn disc(diameter: Length) -> Area {
    Area::new::<square_meter>(FRAC_PI_4 * diameter.si() * diameter.si())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_thread_no_bolt_has_is_named() {
        assert_eq!(Thread::metric(millimetres(200.0), millimetres(1.5)).unwrap_err().input, "thread");
        assert_eq!(Thread::metric(millimetres(10.0), millimetres(15.0)).unwrap_err().input, "pitch");
        assert_eq!(Thread::inch(inches(0.375), 0.0).unwrap_err().input, "pitch");
        assert_eq!(Thread::inch(inches(0.375), 2.4).unwrap_err().input, "pitch");
        assert!(Thread::coarse(millimetres(9.5)).is_none());
    }

    #[test]
    fn every_coarse_pitch_makes_a_thread() {
        for (diameter, pitch) in COARSE {
            assert_eq!(Thread::coarse(millimetres(*diameter)).unwrap().pitch, millimetres(*pitch));
        }
    }

    proptest! {
        #[test]
        fn the_stress_area_lies_between_root_and_shank(d in 3.0_f64..39.0, share in 0.03_f64..0.2) {
            let thread = Thread::metric(millimetres(d), millimetres(d * share)).unwrap();
            let area = thread.stress_area();
            prop_assert!(area < disc(thread.pitch_diameter()));
            prop_assert!(area > disc(thread.diameter - thread.pitch * 1.2269));
        }
    }
}
