//! Pushrod length for a rocker that rides on a stud, from where its nose sweeps over the valve tip.
//!
//! The rocker turns about its pivot; the centre of its nose (roller, or the curve of its pad) lies `arm` away from the
//! pivot. With y along the stem and x square to it, a nose that stands y above the pivot touches the flat tip at
//! x = sqrt(arm^2 - y^2) from the pivot. The nose follows the tip, so through a lift L it goes from `rise` to rise - L.
//! The pattern on the tip spans smallest to largest x. It is narrowest where rise = L / 2, when the arm is square to the
//! stem at half lift: width = arm - sqrt(arm^2 - L^2 / 4).
//!
//! A longer pushrod lifts the pivot along its stud, parallel to the stem, while the shut valve's tip stays: `rise` falls
//! by as much. The pushrod's cup is taken opposite the nose on a straight rocker, arm / ratio from the pivot, so it goes
//! up by (1 + 1 / ratio) x the fall of `rise`, and sideways with the turn of the arm. The pushrod leans in the plane of the rocker; its length
//! is the distance from the lifter's cup to the rocker's.
//!
//! Plane geometry. Lengths in metres, the lean in radians.

use super::{Unfit, inside};
use crate::quantity::{Angle, Length, Measure, Number};

const CHECKING: (f64, f64) = (0.060, 0.600);
const ARM: (f64, f64) = (0.015, 0.120);
const RATIO: (f64, f64) = (0.8, 2.5);
const LIFT: (f64, f64) = (0.002, 0.030);
/// 25 degrees either way.
const LEAN: (f64, f64) = (-0.436_332_312_998_582_4, 0.436_332_312_998_582_4);
const STEP: (f64, f64) = (0.0001, 0.010);
/// Readings along one lift.
const STEPS: u32 = 40;

/// A rocker as it stands on the checking pushrod with the valve shut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rocker {
    pub checking: Length,
    /// Pivot centre to the centre of the nose.
    pub arm: Length,
    pub ratio: f64,
    /// At the valve.
    pub lift: Length,
    /// Nose centre above pivot centre along the stem, valve shut; negative below.
    pub rise: Length,
    /// Pushrod to stem.
    pub lean: Angle,
}

/// Where the nose touches the tip over one lift, from the pivot, square to the stem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pattern {
    pub nearest: Length,
    pub farthest: Length,
    pub width: Length,
    pub centre: Length,
}

/// The length that makes the pattern narrowest, and what it was before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pushrod {
    pub now: Pattern,
    pub best: Pattern,
    /// Rise for mid-lift geometry: half the lift.
    pub rise: Length,
    /// Best length - checking length.
    pub change: Length,
    pub length: Length,
}

/// Nose from the pivot, square to the stem, when it stands `rise` above it.
fn reach(arm: f64, rise: f64) -> f64 {
    (arm * arm - rise * rise).max(0.0).sqrt()
}

/// The pattern swept from valve shut to full lift.
pub fn pattern(arm: Length, rise: Length, lift: Length) -> Pattern {
    let at = |step: u32| reach(arm.si(), rise.si() - lift.si() * f64::from(step) / f64::from(STEPS));
    // Steps, and the square position where the sweep passes it.
    let square = (rise.si() > 0.0 && rise < lift).then_some(arm.si());
    let touches: Vec<f64> = (0..=STEPS).map(at).chain(square).collect();
    let nearest = touches.iter().copied().fold(f64::INFINITY, f64::min);
    let farthest = touches.iter().copied().fold(0.0, f64::max);
    Pattern {
        nearest: Length::from_si(nearest),
        farthest: Length::from_si(farthest),
        width: Length::from_si(farthest - nearest),
        centre: Length::from_si((farthest + nearest) / 2.0),
    }
}

/// Length of the pushrod that puts the nose at `rise` with the valve shut.
fn length_at(rocker: &Rocker, rise: f64) -> f64 {
    let (arm, back) = (rocker.arm.si(), rocker.arm.si() / rocker.ratio);
    // The cup from a fixed point of the head: the tip's nose centre is at y = 0.
    let cup = |rise: f64| (-back * (reach(arm, rise) / arm), -rise - back * (rise / arm));
    let (x0, y0) = cup(rocker.rise.si());
    let lean = rocker.lean.si();
    let (foot_x, foot_y) = (x0 - rocker.checking.si() * lean.sin(), y0 - rocker.checking.si() * lean.cos());
    let (x, y) = cup(rise);
    (x - foot_x).hypot(y - foot_y)
}

/// The pushrod that sweeps the narrowest pattern.
///
/// Refuses `checking`, `arm`, `ratio`, `lift`, `lean`, and a `rise` that no rocker near its place has (over half the arm).
pub fn pushrod(rocker: &Rocker) -> Result<Pushrod, Unfit> {
    inside("checking", rocker.checking, CHECKING)?;
    inside("arm", rocker.arm, ARM)?;
    inside("ratio", Number(rocker.ratio), RATIO)?;
    inside("lift", rocker.lift, LIFT)?;
    inside("lift", rocker.lift, (LIFT.0, rocker.arm.si()))?;
    let half_arm = rocker.arm.si() / 2.0;
    inside("rise", rocker.rise, (-half_arm, half_arm))?;
    inside("lean", rocker.lean, LEAN)?;
    let rise = rocker.lift / 2.0;
    let length = Length::from_si(length_at(rocker, rise.si()));
    Ok(Pushrod {
        now: pattern(rocker.arm, rocker.rise, rocker.lift),
        best: pattern(rocker.arm, rise, rocker.lift),
        rise,
        change: length - rocker.checking,
        length,
    })
}

/// The pattern a pushrod of `length` would sweep: by halving, to under a nanometre. Refuses a `length` more than the
/// rocker's half arm from the best.
pub fn swept_by(rocker: &Rocker, length: Length) -> Result<Pattern, Unfit> {
    let best = pushrod(rocker)?;
    let (mut high, mut low) = (rocker.arm.si() * 0.75, -rocker.arm.si() * 0.75);
    // A longer pushrod has the smaller rise.
    inside("length", length, (length_at(rocker, high), length_at(rocker, low)))?;
    if length == best.length {
        return Ok(best.best);
    }
    for _ in 0..60 {
        let middle = (high + low) / 2.0;
        if length_at(rocker, middle) > length.si() { low = middle } else { high = middle }
    }
    Ok(pattern(rocker.arm, Length::from_si((high + low) / 2.0), rocker.lift))
}

/// The nearest length that is a whole number of steps. Refuses a `step` under a tenth of a millimetre or over 10 mm.
pub fn nearest_step(length: Length, step: Length) -> Result<Length, Unfit> {
    inside("step", step, STEP)?;
    Ok(step * (length.si() / step.si()).round())
}

/// Sees that a stem stands where the rocker's nose can reach it.
pub fn stem_place(rocker: &Rocker, stem: Length) -> Result<(), Unfit> {
    inside("stem", stem, (rocker.arm.si() * 0.75, rocker.arm.si() * 1.25)).map(|_| ())
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    fn rocker() -> Rocker {
        Rocker {
            checking: inches(7.8),
            arm: inches(1.5),
            ratio: 1.5,
            lift: inches(0.5),
            rise: inches(0.25),
            lean: Angle::from_si(0.0),
        }
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |r: Rocker| pushrod(&r).unwrap_err().input;
        assert_eq!(fault(Rocker { checking: inches(0.78), ..rocker() }), "checking");
        assert_eq!(fault(Rocker { arm: inches(15.0), ..rocker() }), "arm");
        assert_eq!(fault(Rocker { ratio: 15.0, ..rocker() }), "ratio");
        assert_eq!(fault(Rocker { lift: inches(5.0), ..rocker() }), "lift");
        assert_eq!(fault(Rocker { rise: inches(-0.9), ..rocker() }), "rise");
        assert_eq!(fault(Rocker { lean: Angle::from_si(1.0), ..rocker() }), "lean");
        assert_eq!(swept_by(&rocker(), inches(12.0)).unwrap_err().input, "length");
    }

    proptest! {
        #[test]
        fn no_rise_sweeps_a_narrower_pattern_than_half_the_lift(arm in 0.03_f64..0.06, lift in 0.006_f64..0.018, rise in -0.010_f64..0.014) {
            let (arm, lift, rise) = (Length::from_si(arm), Length::from_si(lift), Length::from_si(rise));
            let best = pattern(arm, lift / 2.0, lift).width;
            prop_assert!(best.si() <= pattern(arm, rise, lift).width.si() + 1e-15);
            let closed = arm.si() - (arm.si().powi(2) - lift.si().powi(2) / 4.0).sqrt();
            prop_assert!((best.si() - closed).abs() < 1e-12);
        }

        #[test]
        fn a_pushrod_of_the_length_said_is_in_its_place(rise in -0.004_f64..0.015, lean in -0.3_f64..0.3) {
            let first = Rocker { rise: Length::from_si(rise), lean: Angle::from_si(lean), ..rocker() };
            let found = pushrod(&first).unwrap();
            let swept = swept_by(&first, found.length).unwrap();
            prop_assert!((swept.width - found.best.width).si().abs() < 1e-9);
            // Measured anew on that pushrod nothing is left to change (a straight one: its lean does not turn).
            if lean.abs() < 1e-3 {
                let again = Rocker { checking: found.length, rise: found.rise, ..first };
                prop_assert!(pushrod(&again).unwrap().change.si().abs() < 1e-12);
            }
        }

        #[test]
        fn a_nose_too_high_wants_a_longer_pushrod(more in 0.0002_f64..0.008) {
            let high = Rocker { rise: rocker().rise + Length::from_si(more), ..rocker() };
            let low = Rocker { rise: rocker().rise - Length::from_si(more), ..rocker() };
            prop_assert!(pushrod(&high).unwrap().change.si() > 0.0);
            prop_assert!(pushrod(&low).unwrap().change.si() < 0.0);
        }
    }
}
