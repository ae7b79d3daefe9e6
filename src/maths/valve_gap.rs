//! Piston to valve: the smallest clearance along the valve over a range of crank angles.
//!
//! * From a table: clearance = drop - lift at each angle, drop being the travel from the seat to the touch (definition). A
//!   parabola through the smallest row and the rows beside it says how small it may be between them.
//! * From sizes, an estimate: clearance = drop at top dead centre + x cos(tilt) - lift, x the piston's drop by the
//!   slider-crank, for a relief cut square to the valve; a flat crown leaves more (x / cos tilt).
//! * Lift as a parabola from the full lift to the events at the checking lift, and straight from there to the seat events.
//!   Against 3-4-5, 4-5-6-7, cycloidal and harmonic lobes of the same events it reads too much lift, never too little,
//!   round overlap (see the checks), so that the clearance comes out small.
//!
//! Angles from top dead centre at overlap, negative before. Lengths in metres along the valve.

use std::f64::consts::PI;

use super::slider::{Slider, greatest};
use super::{Rule, Unfit, above, bounds, counted, inside};
use crate::quantity::{Angle, Length, Measure, below};

/// One row of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    pub angle: Angle,
    /// From the seat to the touch.
    pub drop: Length,
    /// Where the cam holds the valve.
    pub lift: Length,
}

/// A clearance at an angle; less than nothing is a touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub angle: Angle,
    pub clearance: Length,
}

/// The smallest clearance of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub rows: Vec<Row>,
    pub gaps: Vec<Gap>,
    /// Place of the smallest row.
    pub smallest: usize,
    /// True where it is the first or the last row: it may be smaller beyond.
    pub at_end: bool,
    /// What a parabola through it and its neighbours says.
    pub between: Option<Gap>,
}

/// Smallest over 3 to 200 rows in order of angle.
pub fn table(rows: &[Row]) -> Result<Table, Unfit> {
    counted("rows", rows.len(), 3, 200)?;
    for row in rows {
        inside("angle", row.angle, bounds::CRANK)?;
        inside("drop", row.drop, bounds::VALVE_DROP)?;
        inside("lift", row.lift, bounds::LIFT)?;
    }
    if rows.windows(2).any(|pair| !above(pair[1].angle, pair[0].angle)) {
        return Err(Unfit::new("angle", Rule::MustBeAbove { other: "angle of the row before" }));
    }
    let gaps: Vec<Gap> = rows.iter().map(|row| Gap { angle: row.angle, clearance: row.drop - row.lift }).collect();
    let smallest = (0..gaps.len()).fold(0, |best, n| if gaps[n].clearance < gaps[best].clearance { n } else { best });
    let at_end = smallest == 0 || smallest + 1 == gaps.len();
    let between = if at_end { None } else { lowest(&gaps[smallest - 1..=smallest + 1]) };
    Ok(Table { rows: rows.to_vec(), gaps, smallest, at_end, between })
}

/// Vertex of the parabola through three gaps; none where they lie on a line.
fn lowest(three: &[Gap]) -> Option<Gap> {
    let [(x0, y0), (x1, y1), (x2, y2)] = [0, 1, 2].map(|n| (three[n].angle.si(), three[n].clearance.si()));
    let (first, second) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
    let bend = (second - first) / (x2 - x0);
    if bend <= 0.0 {
        return None;
    }
    let at = (x0 + x1) / 2.0 - first / (2.0 * bend);
    let value = y0 + first * (at - x0) + bend * (at - x0) * (at - x1);
    Some(Gap { angle: Angle::from_si(at), clearance: Length::from_si(value) })
}

/// A valve's lift by what its cam card says, all at the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lobe {
    /// Full lift, lash taken off.
    pub lift: Length,
    /// Lift at which `duration` is counted.
    pub checked: Length,
    pub duration: Angle,
    /// Duration on the seat.
    pub seat: Angle,
    /// Full lift from top dead centre at overlap: after for an intake, before (negative) for an exhaust.
    pub centre: Angle,
}

impl Lobe {
    fn sound(&self) -> Result<(), Unfit> {
        inside("lift", self.lift, (0.001, bounds::LIFT.1))?;
        inside("checked", self.checked, (0.0, bounds::LIFT.1))?;
        if !above(self.lift, self.checked) {
            return Err(Unfit::new("lift", Rule::MustBeAbove { other: "checked lift" }));
        }
        inside("duration", self.duration, (PI / 2.0, 2.0 * PI))?;
        inside("seat", self.seat, (PI / 2.0, 2.5 * PI))?;
        if below(self.seat, self.duration) {
            return Err(Unfit::new("seat", Rule::MustBeAbove { other: "duration" }));
        }
        inside("centreline", self.centre.abs(), (4.0 * PI / 9.0, 7.0 * PI / 9.0))?;
        Ok(())
    }

    /// Lift at an angle.
    pub fn at(&self, angle: Angle) -> Length {
        let from = (angle - self.centre).abs();
        let (half, end) = (self.duration / 2.0, self.seat / 2.0);
        if from <= half {
            return self.lift - (self.lift - self.checked) * (from / half).value.powi(2);
        }
        if from >= end { Length::from_si(0.0) } else { self.checked * ((end - from) / (end - half)).value }
    }
}

/// An estimate over a quarter turn either side of the top.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    pub smallest: Gap,
    /// Lift and piston drop there.
    pub lift: Length,
    pub drop: Length,
    /// Every degree, forty either side of the top.
    pub curve: Vec<Gap>,
}

/// Estimated clearance from the drop at top dead centre (seat to crown along the valve) and the valve's tilt from the bore.
pub fn estimate(slider: &Slider, lobe: &Lobe, drop: Length, tilt: Angle) -> Result<Estimate, Unfit> {
    lobe.sound()?;
    inside("drop", drop, bounds::VALVE_DROP)?;
    inside("tilt", tilt, (0.0, PI / 4.0))?;
    let gap = |at: f64| {
        let angle = Angle::from_si(at);
        drop + slider.place(at).drop * tilt.si().cos() - lobe.at(angle)
    };
    let at = greatest(-PI / 2.0, PI / 2.0, 360, |at| -gap(at).si());
    let curve = (-40..=40).map(|n| f64::from(n).to_radians());
    Ok(Estimate {
        smallest: Gap { angle: Angle::from_si(at), clearance: gap(at) },
        lift: lobe.at(Angle::from_si(at)),
        drop: slider.place(at).drop,
        curve: curve.map(|at| Gap { angle: Angle::from_si(at), clearance: gap(at) }).collect(),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    fn degrees(d: f64) -> Angle {
        Angle::from_si(d.to_radians())
    }

    fn lobe() -> Lobe {
        Lobe {
            lift: inches(0.5),
            checked: inches(0.075),
            duration: degrees(230.0),
            seat: degrees(290.0),
            centre: degrees(108.0),
        }
    }

    fn row(angle: f64, drop: f64, lift: f64) -> Row {
        Row { angle: degrees(angle), drop: inches(drop), lift: inches(lift) }
    }

    #[test]
    fn nonsense_is_named() {
        let rows = [row(0.0, 0.2, 0.1), row(5.0, 0.2, 0.1), row(5.0, 0.2, 0.1)];
        assert_eq!(table(&rows).unwrap_err().rule, Rule::MustBeAbove { other: "angle of the row before" });
        assert_eq!(table(&rows[..2]).unwrap_err().input, "rows");
        assert_eq!(table(&[row(0.0, 9.0, 0.1), row(5.0, 0.2, 0.1), row(6.0, 0.2, 0.1)]).unwrap_err().input, "drop");
        let slider = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
        let of = |lobe: Lobe| estimate(&slider, &lobe, inches(0.3), degrees(0.0)).unwrap_err().input;
        assert_eq!(of(Lobe { checked: inches(0.6), ..lobe() }), "lift");
        assert_eq!(of(Lobe { seat: degrees(220.0), ..lobe() }), "seat");
        assert_eq!(of(Lobe { centre: degrees(10.8), ..lobe() }), "centreline");
        assert_eq!(estimate(&slider, &lobe(), inches(0.3), degrees(80.0)).unwrap_err().input, "tilt");
    }

    proptest! {
        #[test]
        fn the_smallest_row_is_the_smallest(drops in proptest::collection::vec(0.1_f64..0.5, 3..20)) {
            let rows: Vec<Row> = drops.iter().enumerate().map(|(n, d)| row(n as f64 * 2.0, *d, 0.05)).collect();
            let found = table(&rows).unwrap();
            prop_assert!(found.gaps.iter().all(|gap| gap.clearance >= found.gaps[found.smallest].clearance));
            if let Some(between) = found.between {
                prop_assert!(between.clearance <= found.gaps[found.smallest].clearance + Length::from_si(1e-12));
            }
        }

        /// The two valves of one cam, mirrored about overlap, come equally close with no pin offset.
        #[test]
        fn intake_and_exhaust_mirror(drop in 0.1_f64..0.5, tilt in 0.0_f64..25.0) {
            let slider = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
            let of = |sign: f64| estimate(&slider, &Lobe { centre: lobe().centre * sign, ..lobe() }, inches(drop), degrees(tilt)).unwrap();
            let (intake, exhaust) = (of(1.0), of(-1.0));
            prop_assert!((intake.smallest.clearance - exhaust.smallest.clearance).si().abs() < 1e-9);
            prop_assert!(intake.smallest.angle.si() > 0.0 && exhaust.smallest.angle.si() < 0.0);
        }

        #[test]
        fn more_lift_leaves_less(more in 0.001_f64..0.1) {
            let slider = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
            let of = |lobe: Lobe| estimate(&slider, &lobe, inches(0.3), degrees(0.0)).unwrap().smallest.clearance;
            let higher = of(Lobe { lift: inches(0.5 + more), ..lobe() });
            prop_assert!(higher < of(lobe()));
        }
    }
}
