//! Stretch of a bolt under load, and load from stretch or from an angle of turn.
//!
//! * A stepped bolt is springs in a row: stretch = F sum(L / (A E)). Plain parts by their own diameter, free thread by its
//!   tensile stress area (Shigley, bolted joints).
//! * Allowance: the stretch does not end where the nut and the head begin. Half a diameter of engaged thread at the stress
//!   area and half a diameter of head at the nominal area (after VDI 2230, from memory). Both sums are given.
//! * Angle: a turn of the head beyond snug is taken up by bolt and joint together:
//!   dF = P (angle / 360) / (bolt compliance + joint compliance), elastic only.
//!
//! Compliances in metres per newton.

use std::f64::consts::TAU;

use uom::si::area::square_meter;

use super::bolts::possible;
use super::threads::{Area, Thread, disc};
use super::{Rule, Unfit, counted, inside};
use crate::quantity::{Angle, Force, Length, Measure, Number, Pressure, above};

/// Elastic modulus of bolt metals, Pa: titanium to steel with room either side.
const MODULUS: (f64, f64) = (60e9, 250e9);
/// The stretched length in thread diameters.
const GRIP: (f64, f64) = (0.5, 60.0);
/// Diameter of a plain part in thread diameters.
const PLAIN: (f64, f64) = (0.4, 2.0);
/// Most strain a stretch may be: past it the bolt has yielded long ago.
const STRAIN: f64 = 0.01;
/// How many times as stiff as its bolt a joint can be.
const JOINT: (f64, f64) = (0.5, 1000.0);

/// A plain part of the bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plain {
    pub length: Length,
    pub diameter: Length,
}

/// One part as it counts in the sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    pub length: Length,
    pub area: Area,
    /// L / (A E).
    pub compliance: f64,
}

/// The bolt as a spring.
#[derive(Debug, Clone, PartialEq)]
pub struct Spring {
    /// Plain parts in the order given, then the free thread where there is some.
    pub parts: Vec<Part>,
    /// What is stretched, end to end of the parts.
    pub grip: Length,
    /// Sum over the parts.
    pub bare: f64,
    /// The same with the allowance for engaged thread and head.
    pub allowed: f64,
}

/// The spring of a bolt: its plain parts and its free thread. Refuses `length`, `diameter`, `threaded`, `modulus`.
pub fn spring(thread: &Thread, plain: &[Plain], threaded: Length, modulus: Pressure) -> Result<Spring, Unfit> {
    inside("modulus", modulus, MODULUS)?;
    counted("length", plain.len(), 0, 8)?;
    let d = thread.diameter;
    let most = (0.0, d.si() * GRIP.1);
    inside("threaded", threaded, most)?;
    let part = |length: Length, area: Area| Part {
        length,
        area,
        compliance: length.si() / (area.get::<square_meter>() * modulus.si()),
    };
    let mut parts = Vec::with_capacity(plain.len() + 1);
    for piece in plain {
        inside("length", piece.length, most)?;
        inside("diameter", piece.diameter, (d.si() * PLAIN.0, d.si() * PLAIN.1))?;
        parts.push(part(piece.length, disc(piece.diameter)));
    }
    if threaded.si() > 0.0 {
        parts.push(part(threaded, thread.stress_area()));
    }
    let grip = parts.iter().map(|p| p.length).fold(Length::from_si(0.0), |sum, l| sum + l);
    let longest = if plain.is_empty() { "threaded" } else { "length" };
    inside(longest, grip, (d.si() * GRIP.0, d.si() * GRIP.1))?;
    let bare = parts.iter().map(|p| p.compliance).sum::<f64>();
    let allowance = part(d / 2.0, thread.stress_area()).compliance + part(d / 2.0, disc(d)).compliance;
    Ok(Spring { parts, grip, bare, allowed: bare + allowance })
}

/// A load and the stretch that goes with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair<Q> {
    /// By the parts alone.
    pub bare: Q,
    /// With the allowance.
    pub allowed: Q,
}

/// Stretch under a preload, without and with the allowance.
pub fn stretch(thread: &Thread, spring: &Spring, preload: Force) -> Result<Pair<Length>, Unfit> {
    possible(thread, preload)?;
    let by = |compliance: f64| Length::from_si(preload.si() * compliance);
    Ok(Pair { bare: by(spring.bare), allowed: by(spring.allowed) })
}

/// Preload that a stretch shows, without and with the allowance (with it, the same stretch is a smaller load).
///
/// Refuses a `stretch` past one per cent: no bolt is elastic there.
pub fn preload(spring: &Spring, stretch: Length) -> Result<Pair<Force>, Unfit> {
    if !above(stretch, Length::from_si(0.0)) {
        return Err(Unfit::new("stretch", Rule::MustBePositive));
    }
    inside("stretch", stretch, (0.0, spring.grip.si() * STRAIN))?;
    let by = |compliance: f64| Force::from_si(stretch.si() / compliance);
    Ok(Pair { bare: by(spring.bare), allowed: by(spring.allowed) })
}

/// Preload after an angle past snug.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned {
    /// P x angle / 360: what bolt and joint share.
    pub advance: Length,
    pub gain: Force,
    pub preload: Force,
    /// The preload if the joint did not give at all: the most it could be.
    pub rigid: Force,
    /// How much of the advance is stretch of the bolt, from snug.
    pub stretch: Length,
}

/// Preload by angle from `snug`; `joint` is how many times as stiff as the bolt the joint is. The bolt counts with its
/// allowance. Refuses `angle` and `joint`.
pub fn turned(thread: &Thread, spring: &Spring, snug: Force, angle: Angle, joint: f64) -> Result<Turned, Unfit> {
    inside("angle", angle, (1_f64.to_radians(), 360_f64.to_radians()))?;
    inside("joint", Number(joint), JOINT)?;
    let advance = thread.pitch * (angle.si() / TAU);
    let gain = advance.si() / (spring.allowed * (1.0 + 1.0 / joint));
    Ok(Turned {
        advance,
        gain: Force::from_si(gain),
        preload: snug + Force::from_si(gain),
        rigid: snug + Force::from_si(advance.si() / spring.allowed),
        stretch: Length::from_si(gain * spring.allowed),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn bolt(lengths: &[(f64, f64)], threaded: f64) -> Result<Spring, Unfit> {
        let plain: Vec<Plain> =
            lengths.iter().map(|(l, d)| Plain { length: inches(*l), diameter: inches(*d) }).collect();
        spring(&Thread::inch(inches(0.375), 24.0).unwrap(), &plain, inches(threaded), Pressure::from_si(205e9))
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(bolt(&[(1.6 / 25.4, 0.31)], 0.0).unwrap_err().input, "length");
        assert_eq!(bolt(&[(1.6, 3.1)], 0.0).unwrap_err().input, "diameter");
        assert_eq!(bolt(&[], 0.0).unwrap_err().input, "threaded");
        let one = bolt(&[(1.6, 0.31)], 0.2).unwrap();
        assert_eq!(preload(&one, millimetres(6.0)).unwrap_err().input, "stretch");
        assert_eq!(preload(&one, millimetres(0.0)).unwrap_err().rule, Rule::MustBePositive);
        let thread = Thread::inch(inches(0.375), 24.0).unwrap();
        let snug = Force::from_si(5e3);
        assert_eq!(turned(&thread, &one, snug, Angle::from_si(7.0), 4.0).unwrap_err().input, "angle");
        assert_eq!(turned(&thread, &one, snug, Angle::from_si(1.0), 0.0).unwrap_err().input, "joint");
        assert_eq!(stretch(&thread, &one, Force::from_si(1e9)).unwrap_err().input, "preload");
    }

    proptest! {
        #[test]
        fn stretch_and_back(length in 0.5_f64..4.0, d in 0.25_f64..0.4, threaded in 0.0_f64..0.5, load in 5e3_f64..60e3) {
            let one = bolt(&[(length, d)], threaded).unwrap();
            let thread = Thread::inch(inches(0.375), 24.0).unwrap();
            let there = stretch(&thread, &one, Force::from_si(load)).unwrap();
            prop_assert!(there.allowed > there.bare);
            prop_assume!(there.allowed.si() < one.grip.si() * STRAIN);
            prop_assert!((preload(&one, there.bare).unwrap().bare.si() / load - 1.0).abs() < 1e-12);
            prop_assert!((preload(&one, there.allowed).unwrap().allowed.si() / load - 1.0).abs() < 1e-12);
        }

        #[test]
        fn a_part_cut_in_two_is_the_same_spring(length in 0.6_f64..4.0, cut in 0.1_f64..0.9, d in 0.25_f64..0.4) {
            let whole = bolt(&[(length, d)], 0.2).unwrap();
            let halves = bolt(&[(length * cut, d), (length * (1.0 - cut), d)], 0.2).unwrap();
            prop_assert!((whole.bare / halves.bare - 1.0).abs() < 1e-12);
        }

        #[test]
        fn a_softer_joint_gains_less_and_never_more_than_a_rigid_one(joint in 0.5_f64..500.0, angle in 0.1_f64..3.0) {
            let one = bolt(&[(1.6, 0.31)], 0.2).unwrap();
            let thread = Thread::inch(inches(0.375), 24.0).unwrap();
            let at = |j| turned(&thread, &one, Force::from_si(5e3), Angle::from_si(angle), j).unwrap();
            prop_assert!(at(joint).preload < at(joint * 1.5).preload);
            prop_assert!(at(joint).preload < at(joint).rigid);
            // What the bolt takes and what the joint takes is the whole advance.
            let joint_gives = at(joint).gain.si() * one.allowed / joint;
            prop_assert!(((at(joint).stretch.si() + joint_gives) / at(joint).advance.si() - 1.0).abs() < 1e-12);
        }
    }
}
