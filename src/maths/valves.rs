//! Valves in their head: shims, guides, seats, lift and lash.
//!
//! * Shims = installed height - wanted height; the pack is the combination of stock thicknesses nearest to it.
//! * Guide clearance, on diameter: smallest = smallest guide - largest stem, largest = largest guide - smallest stem.
//! * Seat width along the face = (outer - inner diameter) / 2 / cos(angle), the angle counted from the plane of the
//!   valve head, as a 45 degree seat is called.
//! * Lift at the valve = lobe lift x ratio - lash (lash measured at the valve). Lash at the lobe = lash / ratio.
//! * Lash as parts warm: the valve side of the rocker opens by what the head grows between seat and pivot, less what
//!   the valve grows; the pushrod side by what the structure between lifter and pivot grows, less what the pushrod
//!   grows, and that comes out at the valve times the ratio. Growth = a L dT. Cold lash = hot lash - change.
//!
//! Definitions, plane geometry, linear expansion, levers. Lengths in metres, temperatures in kelvin.

use super::{Rule, Spread, Unfit, around, counted, finite, inside};
use crate::quantity::{Angle, Length, Measure, Number, Temperature, below};

const SPRING_HEIGHT: (f64, f64) = (0.015, 0.120);
const SHIM: (f64, f64) = (0.0001, 0.006);
const STEM: (f64, f64) = (0.0045, 0.025);
/// Valve head or seat, on diameter, m.
const HEAD: (f64, f64) = (0.012, 0.150);
const SEAT_ANGLE: (f64, f64) = (15.0_f64.to_radians(), 60.0_f64.to_radians());
/// Along the face, m.
const SEAT_WIDTH: (f64, f64) = (0.0002, 0.0045);
const LOBE: (f64, f64) = (0.0015, 0.025);
const LIFT: (f64, f64) = (0.0015, 0.035);
/// Rocker ratio; one where the cam works straight on the valve.
const RATIO: (f64, f64) = (0.8, 2.5);
const LASH: (f64, f64) = (0.0, 0.0015);
/// Part of a valve train, m.
const PART: (f64, f64) = (0.010, 0.800);
/// A mean temperature of a part at work, K: -40 to 900 degrees C.
const WORK: (f64, f64) = (233.15, 1173.15);
/// Most shims under one spring.
const MOST_SHIMS: usize = 3;

/// What goes under one spring.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    pub height: Length,
    /// Height - wanted; negative where the spring already sits too low.
    pub needed: Length,
    /// Thickest first; empty where none is best.
    pub shims: Vec<Length>,
    pub total: Length,
    /// Height with the pack in.
    pub after: Length,
    /// After - wanted.
    pub left: Length,
}

/// Pack of up to three of the stock `thicknesses` that comes nearest to `wanted`; of two as near, the fewer shims.
///
/// Refuses `wanted`, a `heights` more than a fifth off it, `shim`.
pub fn pack(height: Length, wanted: Length, thicknesses: &[Length]) -> Result<Pack, Unfit> {
    inside("wanted", wanted, SPRING_HEIGHT)?;
    inside("heights", height, (wanted.si() * 0.8, wanted.si() * 1.2))?;
    counted("shim", thicknesses.len(), 1, 12)?;
    for thickness in thicknesses {
        inside("shim", *thickness, SHIM)?;
    }
    let needed = height - wanted;
    let mut best: Vec<Length> = Vec::new();
    let mut packs: Vec<Vec<Length>> = vec![Vec::new()];
    for _ in 0..MOST_SHIMS {
        packs = packs.iter().flat_map(|pack| thicknesses.iter().map(|t| [pack.as_slice(), &[*t]].concat())).collect();
        for pack in &packs {
            let miss = |pack: &[Length]| (needed - sum(pack)).abs();
            if below(miss(pack), miss(&best)) {
                best.clone_from(pack);
            }
        }
    }
    best.sort_by(|a, b| b.si().total_cmp(&a.si()));
    let total = sum(&best);
    Ok(Pack { height, needed, total, after: height - total, left: needed - total, shims: best })
}

fn sum(lengths: &[Length]) -> Length {
    lengths.iter().fold(Length::from_si(0.0), |total, one| total + *one)
}

/// Clearance of a stem in its guide, on diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GuideClearance {
    pub guide: Spread,
    pub stem: Spread,
    pub smallest: Length,
    pub largest: Length,
}

/// A guide's or a stem's reading, by its name; refuses one no valve has.
pub fn stem_size(input: &'static str, size: Length) -> Result<Length, Unfit> {
    inside(input, size, STEM)
}

/// Stem clearance from guide bores and stem diameters. Refuses sizes no valve has, and a `stem` more than a twentieth
/// off the guide.
pub fn guide(guides: &[Length], stems: &[Length]) -> Result<GuideClearance, Unfit> {
    for (input, sizes) in [("guide", guides), ("stem", stems)] {
        counted(input, sizes.len(), 1, 32)?;
        for size in sizes {
            stem_size(input, *size)?;
        }
    }
    let (guide, stem) = (Spread::of("guide", guides)?, Spread::of("stem", stems)?);
    inside("guide", guide.largest, around(guide.smallest.si()))?;
    for size in [stem.smallest, stem.largest] {
        inside("stem", size, around(guide.mean.si()))?;
    }
    Ok(GuideClearance { guide, stem, smallest: guide.smallest - stem.largest, largest: guide.largest - stem.smallest })
}

/// The ring on which a valve shuts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// Along the face.
    pub width: Length,
    /// Seen along the stem: (outer - inner) / 2.
    pub radial: Length,
    pub mean_diameter: Length,
    /// From the contact's outer edge to the edge of the valve's face, radially.
    pub to_edge: Option<Length>,
}

/// Seat width and place from the contact's outer and inner diameter; `head` is the valve's, at the outer edge of its face.
///
/// Refuses `outer`, `inner`, `angle`, `head`, and a width no seat has (as `inner`).
pub fn seat(outer: Length, inner: Length, angle: Angle, head: Option<Length>) -> Result<Seat, Unfit> {
    inside("outer", outer, HEAD)?;
    inside("angle", angle, SEAT_ANGLE)?;
    finite("inner", inner)?;
    if inner >= outer {
        return Err(Unfit::new("outer", Rule::MustBeAbove { other: "inner diameter" }));
    }
    let across = 2.0 * angle.si().cos();
    inside("inner", inner, (outer.si() - SEAT_WIDTH.1 * across, outer.si() - SEAT_WIDTH.0 * across))?;
    let to_edge = match head {
        Some(head) => {
            inside("head", head, HEAD)?;
            if below(head, outer) {
                return Err(Unfit::new("outer", Rule::MustNotExceed { other: "valve's head" }));
            }
            Some((head - outer) / 2.0)
        }
        None => None,
    };
    let radial = (outer - inner) / 2.0;
    Ok(Seat { width: radial / angle.si().cos(), radial, mean_diameter: (outer + inner) / 2.0, to_edge })
}

/// A seat width measured along the face; refuses one no seat has.
pub fn seat_width(width: Length) -> Result<Length, Unfit> {
    inside("width", width, SEAT_WIDTH)
}

/// Lift as it comes through the rocker.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    pub ratio: f64,
    /// Lobe lift x ratio.
    pub gross: Length,
    /// Gross - lash.
    pub net: Length,
    pub lash_at_lobe: Length,
}

/// Lift at the valve. Refuses `lobe`, `ratio`, `lash`.
pub fn lift(lobe: Length, ratio: f64, lash: Length) -> Result<Lift, Unfit> {
    inside("lobe", lobe, LOBE)?;
    let lash_at_lobe = lobe_lash(lash, ratio)?;
    let gross = lobe * ratio;
    Ok(Lift { ratio, gross, net: gross - lash, lash_at_lobe })
}

/// The ratio a rocker really has: (lift at the valve + lash) / lobe lift. Refuses `measured`, and a ratio no rocker has.
pub fn ratio(lobe: Length, measured: Length, lash: Length) -> Result<f64, Unfit> {
    inside("lobe", lobe, LOBE)?;
    inside("lash", lash, LASH)?;
    inside("measured", measured, LIFT)?;
    inside("measured", measured, (lobe.si() * RATIO.0 - lash.si(), lobe.si() * RATIO.1 - lash.si()))?;
    Ok((measured + lash).si() / lobe.si())
}

/// Lash at the lobe from lash at the valve.
pub fn lobe_lash(lash: Length, ratio: f64) -> Result<Length, Unfit> {
    inside("lash", lash, LASH)?;
    inside("ratio", Number(ratio), RATIO)?;
    Ok(lash / ratio)
}

/// A part of the train or of what carries it, with its mean temperature at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    pub length: Length,
    /// Per kelvin.
    pub expansion: f64,
    pub hot: Temperature,
}

/// The parts on either side of a rocker; what is left out does not count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Train {
    /// Seat to tip.
    pub valve: Option<Part>,
    /// Seat to rocker pivot, along the stem.
    pub head: Option<Part>,
    pub pushrod: Option<Part>,
    /// Lifter to rocker pivot, along the pushrod.
    pub block: Option<Part>,
}

/// How a lash changes as its parts warm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warming {
    pub valve: Length,
    pub head: Length,
    pub pushrod: Length,
    pub block: Length,
    /// Hot - cold lash, at the valve: (head - valve) + ratio x (block - pushrod). Negative closes.
    pub change: Length,
    /// What to set cold; below zero where the hot lash cannot be had.
    pub cold: Length,
}

/// Cold lash from the hot one, both at the valve. Refuses `lash`, `ratio`, and lengths and temperatures by their part
/// (`valve`, `valve-temp`).
pub fn cold_lash(hot: Length, ratio: f64, train: &Train, cold: Temperature) -> Result<Warming, Unfit> {
    lobe_lash(hot, ratio)?;
    inside("cold", cold, super::bounds::BENCH)?;
    let grown = |input, warm_input, part: &Option<Part>| -> Result<Length, Unfit> {
        let Some(part) = part else { return Ok(Length::from_si(0.0)) };
        inside(input, part.length, PART)?;
        inside(warm_input, part.hot, WORK)?;
        inside(input, Number(part.expansion), super::bounds::EXPANSION)?;
        Ok(part.length * (part.expansion * (part.hot.si() - cold.si())))
    };
    let valve = grown("valve", "valve-temp", &train.valve)?;
    let head = grown("head", "head-temp", &train.head)?;
    let pushrod = grown("pushrod", "pushrod-temp", &train.pushrod)?;
    let block = grown("block", "block-temp", &train.block)?;
    let change = (head - valve) + (block - pushrod) * ratio;
    Ok(Warming { valve, head, pushrod, block, change, cold: hot - change })
}

#[cfg(test)]
#[path = "valves_tests.rs"]
mod tests;
