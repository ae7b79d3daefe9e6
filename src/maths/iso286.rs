//! ISO 286-1 limits and fits: sizes 1 to 500 mm, grades IT5 to IT11, the letters engine work uses.
//!
//! A tolerance zone is a letter and a grade. The grade's width is the standard's table of IT values; the letter puts one
//! edge at the standard's fundamental deviation:
//!
//! * shafts d, e, f, g, h: es from the table (h: 0), ei = es - IT; k, m, n, p, r, s: ei from the table, es = ei + IT;
//! * holes D to H: EI = -es of the shaft's letter; K, M, N to IT8 and P, R, S to IT7: ES = -ei + D with D = ITn - IT(n-1)
//!   above 3 mm; above those grades ES = -ei, but N has ES = 0 above 3 mm; M6 from 250 to 315 mm is -9, not -11;
//! * js and JS: half the grade either side. (The 1988 edition rounded odd grades from IT7 down; not done here.)
//!
//! The tables are written from memory and held in tests against the formulas they were rounded from. Micrometres inside,
//! lengths in metres outside.

use super::{Rule, Unfit, inside};
use crate::quantity::{Dimension, Length, Number, in_millimetres, millimetres};

/// Upper ends of the main steps of nominal size, mm; each includes its end.
const STEPS: [f64; 13] = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0];

/// Widths by grade, IT4 to IT11, over the main steps, um. IT4 serves the holes of IT5 alone.
const WIDTHS: [[i32; 13]; 8] = [
    [3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20],
    [4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27],
    [6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40],
    [10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63],
    [14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97],
    [25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155],
    [40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250],
    [60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400],
];

/// Upper deviations of shafts, um below nominal.
const D: [i32; 13] = [20, 30, 40, 50, 65, 80, 100, 120, 145, 170, 190, 210, 230];
const E: [i32; 13] = [14, 20, 25, 32, 40, 50, 60, 72, 85, 100, 110, 125, 135];
const F: [i32; 13] = [6, 10, 13, 16, 20, 25, 30, 36, 43, 50, 56, 62, 68];
const G: [i32; 13] = [2, 4, 5, 6, 7, 9, 10, 12, 14, 15, 17, 18, 20];
/// Lower deviations of shafts, um above nominal.
const K: [i32; 13] = [0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5];
const M: [i32; 13] = [2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23];
const N: [i32; 13] = [4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40];
const P: [i32; 13] = [6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68];

/// Above 50 mm r and s change in finer steps.
const FINE: [f64; 22] = [
    3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 65.0, 80.0, 100.0, 120.0, 140.0, 160.0, 180.0, 200.0, 225.0, 250.0, 280.0, 315.0,
    355.0, 400.0, 450.0, 500.0,
];
const R: [i32; 22] = [10, 15, 19, 23, 28, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132];
const S: [i32; 22] =
    [14, 19, 23, 28, 35, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232, 252];

/// The letters that are given here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Letter {
    D,
    E,
    F,
    G,
    H,
    Js,
    K,
    M,
    N,
    P,
    R,
    S,
}

impl Letter {
    /// Every letter, in the standard's order.
    pub const ALL: [Self; 12] =
        [Self::D, Self::E, Self::F, Self::G, Self::H, Self::Js, Self::K, Self::M, Self::N, Self::P, Self::R, Self::S];

    /// As a shaft writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::D => "d",
            Self::E => "e",
            Self::F => "f",
            Self::G => "g",
            Self::H => "h",
            Self::Js => "js",
            Self::K => "k",
            Self::M => "m",
            Self::N => "n",
            Self::P => "p",
            Self::R => "r",
            Self::S => "s",
        }
    }
}

/// Inside or outside: a capital or a small letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Feature {
    Hole,
    Shaft,
}

/// A tolerance class, such as H7.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Class {
    pub feature: Feature,
    pub letter: Letter,
    pub grade: u32,
}

/// Limits of one class at one nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Upper and lower deviation from nominal, signed.
    pub upper: Length,
    pub lower: Length,
    pub largest: Length,
    pub smallest: Length,
    /// The grade's width.
    pub width: Length,
}

fn step(size: f64, ends: &[f64]) -> usize {
    ends.iter().position(|end| size <= end + 1e-6).unwrap_or(ends.len() - 1)
}

fn width(size: f64, grade: u32) -> i32 {
    WIDTHS[grade as usize - 4][step(size, &STEPS)]
}

/// Fundamental deviation of a shaft in um: es for d to h (not above nominal), ei for k to s.
fn shaft_deviation(letter: Letter, grade: u32, size: f64) -> i32 {
    let at = step(size, &STEPS);
    let fine = step(size, &FINE);
    match letter {
        Letter::D => -D[at],
        Letter::E => -E[at],
        Letter::F => -F[at],
        Letter::G => -G[at],
        Letter::H | Letter::Js => 0,
        // k is its table's value for the grades of a fit, and nominal for coarse ones.
        Letter::K if grade > 7 => 0,
        Letter::K => K[at],
        Letter::M => M[at],
        Letter::N => N[at],
        Letter::P => P[at],
        Letter::R => R[fine],
        Letter::S => S[fine],
    }
}

/// Upper deviation of a hole K to S in um; none where the standard has no such hole.
fn hole_deviation(letter: Letter, grade: u32, size: f64) -> Option<i32> {
    let small = size <= 3.0 + 1e-6;
    let fine = match letter {
        Letter::K | Letter::M | Letter::N => grade <= 8,
        _ => grade <= 7,
    };
    if letter == Letter::K && !fine {
        return None;
    }
    if letter == Letter::N && !fine && !small {
        return Some(0);
    }
    if letter == Letter::M && grade == 6 && size > 250.0 + 1e-6 && size <= 315.0 + 1e-6 {
        return Some(-9);
    }
    // The hole is told from the shaft's table value, whatever the grade of the shaft it meets.
    let shaft = shaft_deviation(letter, 7, size);
    let delta = if fine && !small { width(size, grade) - width(size, grade - 1) } else { 0 };
    Some(delta - shaft)
}

/// The limits of a class. Refuses `size` outside 1 to 500 mm, `grade` outside IT5 to IT11, and K holes coarser than IT8.
pub fn limits(size: Length, class: Class) -> Result<Limits, Unfit> {
    inside("size", size, (1e-3, 0.5))?;
    inside("grade", Number(f64::from(class.grade)), (5.0, 11.0))?;
    let mm = in_millimetres(size);
    let it = width(mm, class.grade);
    let (wide, half) = (f64::from(it), f64::from(it) / 2.0);
    let (lower, upper) = match (class.feature, class.letter) {
        (_, Letter::Js) => (-half, half),
        (Feature::Shaft, Letter::D | Letter::E | Letter::F | Letter::G | Letter::H) => {
            let es = f64::from(shaft_deviation(class.letter, class.grade, mm));
            (es - wide, es)
        }
        (Feature::Shaft, letter) => {
            let ei = f64::from(shaft_deviation(letter, class.grade, mm));
            (ei, ei + wide)
        }
        (Feature::Hole, Letter::D | Letter::E | Letter::F | Letter::G | Letter::H) => {
            let ei = -f64::from(shaft_deviation(class.letter, class.grade, mm));
            (ei, ei + wide)
        }
        (Feature::Hole, letter) => {
            let range = Rule::OutsideRange { low: 5.0, high: 8.0, dimension: Dimension::Number };
            let es = hole_deviation(letter, class.grade, mm).ok_or(Unfit::new("grade", range))?;
            (f64::from(es) - wide, f64::from(es))
        }
    };
    let micron = |um: f64| millimetres(um * 1e-3);
    Ok(Limits {
        upper: micron(upper),
        lower: micron(lower),
        largest: size + micron(upper),
        smallest: size + micron(lower),
        width: micron(wide),
    })
}

/// What a hole and a shaft make together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Clearance,
    Transition,
    Interference,
}

/// A hole and a shaft of one nominal size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    pub hole: Limits,
    pub shaft: Limits,
    /// Largest hole less smallest shaft; negative is interference.
    pub loosest: Length,
    /// Smallest hole less largest shaft.
    pub tightest: Length,
    pub kind: Kind,
}

/// The fit of two classes; which is the hole is told by the caller.
pub fn fit(size: Length, hole: Class, shaft: Class) -> Result<Fit, Unfit> {
    let (hole, shaft) = (limits(size, hole)?, limits(size, shaft)?);
    let (loosest, tightest) = (hole.upper - shaft.lower, hole.lower - shaft.upper);
    let nothing = millimetres(1e-6);
    // The standard counts zero at the tight end as a clearance fit, and zero at the loose end as interference.
    let kind = if tightest > -nothing {
        Kind::Clearance
    } else if loosest < nothing {
        Kind::Interference
    } else {
        Kind::Transition
    };
    Ok(Fit { hole, shaft, loosest, tightest, kind })
}

#[cfg(test)]
#[path = "iso286_tests.rs"]
mod tests;
