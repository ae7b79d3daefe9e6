//! A bore measured at three heights on two axes.
//!
//! * Out-of-round: the largest of |thrust - axial| over the heights. This is the shop's two-point **diameter**
//!   difference, not the radial roundness of ISO 1101.
//! * Taper: largest - smallest over the heights on one axis, the worse axis. Top - bottom, the other meaning in use, is
//!   given beside it with its sign.
//! * Clean-up size on the worn centre: largest reading + hone allowance. Where all the wear is on one side and the bore is
//!   cut on its original centre, the depth of wear counts twice: size last machined to + 2 x depth + allowance (geometry).
//!
//! Definitions are common practice. Lengths are diameters in metres.

use super::{Spread, Unfit, alike, bounds, counted, inside};
use crate::quantity::{Length, Measure};

/// Where down the bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Height {
    Top,
    Middle,
    Bottom,
}

/// Across which line: the thrust faces, or along the crankshaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    Thrust,
    Axial,
}

pub const HEIGHTS: [Height; 3] = [Height::Top, Height::Middle, Height::Bottom];
pub const AXES: [Axis; 2] = [Axis::Thrust, Axis::Axial];

/// The readings' names in the order they are given.
pub const READINGS: [&str; 6] =
    ["top thrust", "top axial", "middle thrust", "middle axial", "bottom thrust", "bottom axial"];

/// Six diameters: rows top, middle, bottom; columns thrust, axial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid(pub [[Length; 2]; 3]);

impl Grid {
    /// From six readings in the order of [`READINGS`]; refuses another count, a size no bore has, and a reading more
    /// than a twentieth away from the rest.
    pub fn new(readings: &[Length]) -> Result<Self, Unfit> {
        counted("readings", readings.len(), 6, 6)?;
        for (name, reading) in READINGS.iter().zip(readings) {
            inside(name, *reading, bounds::BORE)?;
        }
        alike(&READINGS, readings)?;
        let mut grid = [[Length::from_si(0.0); 2]; 3];
        for (cell, reading) in grid.as_flattened_mut().iter_mut().zip(readings) {
            *cell = *reading;
        }
        Ok(Self(grid))
    }

    /// Each reading less `from`: what a bore map shows.
    pub fn deviations(&self, from: Length) -> [[Length; 2]; 3] {
        self.0.map(|row| row.map(|reading| reading - from))
    }
}

/// What the six readings say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    pub size: Spread,
    pub largest_at: (Height, Axis),
    pub smallest_at: (Height, Axis),
    /// Thrust - axial at each height, with its sign.
    pub thrust_less_axial: [Length; 3],
    pub out_of_round: Length,
    pub out_of_round_at: Height,
    /// Largest - smallest down each axis (thrust, axial).
    pub taper_by_axis: [Length; 2],
    pub taper: Length,
    pub taper_on: Axis,
    /// Top - bottom on each axis, with its sign: taper in the other sense in use.
    pub top_less_bottom: [Length; 2],
}

/// Out-of-round, taper and sizes of a bore.
pub fn shape(grid: &Grid) -> Shape {
    let cells = grid.0;
    let mut size = Spread { smallest: cells[0][0], largest: cells[0][0], mean: Length::from_si(0.0) };
    let (mut largest_at, mut smallest_at) = ((Height::Top, Axis::Thrust), (Height::Top, Axis::Thrust));
    for (height, row) in HEIGHTS.into_iter().zip(cells) {
        for (axis, reading) in AXES.into_iter().zip(row) {
            size.mean += reading / 6.0;
            if reading > size.largest {
                (size.largest, largest_at) = (reading, (height, axis));
            }
            if reading < size.smallest {
                (size.smallest, smallest_at) = (reading, (height, axis));
            }
        }
    }
    let thrust_less_axial = cells.map(|[thrust, axial]| thrust - axial);
    let (out_of_round_at, out_of_round) =
        worst(HEIGHTS.into_iter().zip(thrust_less_axial.map(Length::abs)), Height::Top);
    let taper_by_axis = [0, 1].map(|axis| {
        let [top, middle, bottom] = cells.map(|row| row[axis]);
        top.max(middle).max(bottom) - top.min(middle).min(bottom)
    });
    let (taper_on, taper) = worst(AXES.into_iter().zip(taper_by_axis), Axis::Thrust);
    Shape {
        size,
        largest_at,
        smallest_at,
        thrust_less_axial,
        out_of_round,
        out_of_round_at,
        taper_by_axis,
        taper,
        taper_on,
        top_less_bottom: [0, 1].map(|axis| cells[0][axis] - cells[2][axis]),
    }
}

/// The place of the largest value, the first of equals.
fn worst<P>(values: impl Iterator<Item = (P, Length)>, none: P) -> (P, Length) {
    values.fold((none, Length::from_si(0.0)), |best, next| if next.1 > best.1 { next } else { best })
}

/// The least finished size that takes every mark of wear out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CleanUp {
    /// The largest reading.
    pub largest: Length,
    /// Stock for the hone, on diameter.
    pub allowance: Length,
    /// Largest reading - size last machined to, never below zero.
    pub wear: Length,
    /// Largest + allowance: the boring bar follows the worn bore.
    pub on_worn_centre: Length,
    /// Machined size + 2 x wear + allowance: all wear on one side, the bar on the original centre.
    pub on_original_centre: Length,
}

/// Clean-up size of a bore last machined to `machined` (nominal, or nominal + the oversize already in it).
pub fn clean_up(shape: &Shape, machined: Length, allowance: Length) -> Result<CleanUp, Unfit> {
    clean_up_from(shape.size.largest, machined, allowance)
}

/// The same from the largest reading alone.
pub fn clean_up_from(largest: Length, machined: Length, allowance: Length) -> Result<CleanUp, Unfit> {
    inside("machined", machined, bounds::BORE)?;
    inside("machined", machined, super::around(largest.si()))?;
    inside("allowance", allowance, bounds::ALLOWANCE)?;
    let wear = (largest - machined).max(Length::from_si(0.0));
    Ok(CleanUp {
        largest,
        allowance,
        wear,
        on_worn_centre: largest + allowance,
        on_original_centre: machined + wear * 2.0 + allowance,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::super::Rule;
    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn six_readings_and_no_other_count() {
        for given in [0, 5, 7] {
            let fault = Grid::new(&vec![inches(4.03); given]).unwrap_err();
            assert_eq!(fault, Unfit::new("readings", Rule::CountWanted { low: 6, high: 6, given }));
        }
    }

    #[test]
    fn a_slip_names_its_reading() {
        let mut readings = [inches(4.03); 6];
        readings[3] = inches(4.301);
        assert_eq!(Grid::new(&readings).unwrap_err().input, "middle axial");
        assert_eq!(Grid::new(&[millimetres(4.03); 6]).unwrap_err().input, "top thrust");
        readings[3] = inches(f64::NAN);
        assert_eq!(Grid::new(&readings).unwrap_err().input, "middle axial");
    }

    #[test]
    fn a_perfect_bore_has_no_shape() {
        let shape = shape(&Grid::new(&[inches(4.03); 6]).unwrap());
        assert_eq!((shape.out_of_round, shape.taper), (inches(0.0), inches(0.0)));
        assert_eq!((shape.out_of_round_at, shape.taper_on), (Height::Top, Axis::Thrust));
    }

    #[test]
    fn a_bore_below_its_machined_size_has_no_wear() {
        let shape = shape(&Grid::new(&[inches(3.9998); 6]).unwrap());
        let clean = clean_up(&shape, inches(4.0), inches(0.002)).unwrap();
        assert_eq!(clean.wear, inches(0.0));
        assert_eq!(clean_up(&shape, inches(3.0), inches(0.002)).unwrap_err().input, "machined");
        assert_eq!(clean_up(&shape, inches(4.0), inches(0.2)).unwrap_err().input, "allowance");
    }

    proptest! {
        #[test]
        fn shape_is_the_same_wherever_the_bore_is(wear in proptest::array::uniform6(0.0_f64..0.0005), shift in 0.0_f64..0.001) {
            let of = |base: f64| shape(&Grid::new(&wear.map(|w| Length::from_si(base + w))).unwrap());
            let (a, b) = (of(0.1), of(0.1 + shift));
            prop_assert!((a.taper - b.taper).si().abs() < 1e-15);
            prop_assert!((a.out_of_round - b.out_of_round).si().abs() < 1e-15);
            prop_assert!(a.taper <= a.size.range() && a.out_of_round <= a.size.range());
            prop_assert!(a.size.smallest <= a.size.mean && a.size.mean <= a.size.largest);
        }

        #[test]
        fn the_original_centre_never_needs_less(wear in proptest::array::uniform6(0.0_f64..0.0005), allowance in 0.0_f64..0.0003) {
            let shape = shape(&Grid::new(&wear.map(|w| Length::from_si(0.1 + w))).unwrap());
            let clean = clean_up(&shape, Length::from_si(0.1), Length::from_si(allowance)).unwrap();
            prop_assert!(clean.on_original_centre.si() >= clean.on_worn_centre.si() - 1e-15);
            prop_assert!(clean.on_worn_centre >= shape.size.largest);
        }
    }
}
