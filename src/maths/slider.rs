//! The slider-crank: where a piston is, how fast it goes and how hard it is pulled, with the pin off the bore's centre.
//!
//! Throw r = stroke/2, rod l, pin offset e (positive toward the major thrust face, the side that the crank pin leaves
//! after top dead centre). With the crank pin t past upright, u = r sin t + e and q = sqrt(l^2 - u^2):
//!
//! * pin above the crankshaft s = r cos t + q;
//! * top dead centre, crank pin and gudgeon pin in line: sin t0 = -e / (l + r), s0 = sqrt((l + r)^2 - e^2);
//! * travel = s0 - sqrt((l - r)^2 - e^2): the stroke for e = 0, a hair more otherwise;
//! * drop x = s0 - s; dx/dt = r sin t + u r cos t / q;
//!   d2x/dt2 = r cos t + ((r cos t)^2 - u r sin t)/q + (u r cos t)^2/q^3;
//! * speed = dx/dt w, acceleration = d2x/dt2 w^2 at a steady w; mean speed = 2 travel per turn.
//!
//! Angles are given from the piston's own top dead centre, where a degree wheel is zeroed. Heywood, Internal Combustion
//! Engine Fundamentals, 2.2, has the same for e = 0 (from memory). Lengths in metres, angles in radians.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::{Rule, Unfit, bounds, inside};
use crate::quantity::{Acceleration, Angle, Length, Measure, Turning, Velocity};

/// Throw, rod and pin offset that can turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slider {
    throw: f64,
    rod: f64,
    offset: f64,
}

/// Where the piston is at one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Crank pin past upright.
    pub crank: Angle,
    /// Below top dead centre.
    pub drop: Length,
    /// Drop as a share of the travel.
    pub share: f64,
    /// Rod from the line of the bore; positive leans as the crank pin does after top dead centre.
    pub lean: Angle,
    /// dx/dt, metres per radian; positive going down.
    pub rate: f64,
    /// d2x/dt2, metres per radian squared; positive pulls the piston down.
    pub bend: f64,
}

/// The most of something over a turn, and the angle after top dead centre where it is, 0 to 360 degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak<Q> {
    pub most: Q,
    pub at: Angle,
}

/// What holds over a whole turn at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// 2 x travel per turn.
    pub mean: Velocity,
    /// Fastest on the way down.
    pub down: Peak<Velocity>,
    /// Fastest on the way up; negative.
    pub up: Peak<Velocity>,
    /// Largest acceleration toward the crankshaft.
    pub pull: Peak<Acceleration>,
    /// Largest acceleration toward the head; negative.
    pub push: Peak<Acceleration>,
}

impl Slider {
    /// Refuses sizes no engine has, and a `rod` too short to pass the crankshaft.
    pub fn new(stroke: Length, rod: Length, offset: Length) -> Result<Self, Unfit> {
        inside("stroke", stroke, bounds::STROKE)?;
        inside("rod", rod, bounds::REACH)?;
        inside("offset", offset, bounds::PIN_OFFSET)?;
        let (throw, rod, offset) = (stroke.si() / 2.0, rod.si(), offset.si());
        // A rod that stood square to the bore would lock; a hundredth more is still no engine.
        if rod <= (throw + offset.abs()) * 1.01 {
            return Err(Unfit::new("rod", Rule::MustBeAbove { other: "half stroke and pin offset" }));
        }
        Ok(Self { throw, rod, offset })
    }

    /// Crank pin past upright when the piston is at its top.
    pub fn top(&self) -> Angle {
        Angle::from_si((-self.offset / (self.rod + self.throw)).asin())
    }

    fn height(&self) -> f64 {
        ((self.rod + self.throw).powi(2) - self.offset.powi(2)).sqrt()
    }

    /// Top to bottom dead centre.
    pub fn travel(&self) -> Length {
        Length::from_si(self.height() - ((self.rod - self.throw).powi(2) - self.offset.powi(2)).sqrt())
    }

    /// Rod over stroke.
    pub fn ratio(&self) -> f64 {
        self.rod / (2.0 * self.throw)
    }

    /// The piston at `angle` after its top dead centre; negative is before. Refuses more than two turns.
    pub fn at(&self, angle: Angle) -> Result<Place, Unfit> {
        inside("angle", angle, bounds::CRANK)?;
        Ok(self.place(angle.si()))
    }

    pub(super) fn place(&self, angle: f64) -> Place {
        let crank = angle + self.top().si();
        let (sine, cosine) = crank.sin_cos();
        let u = self.throw * sine + self.offset;
        let q = (self.rod * self.rod - u * u).sqrt();
        let slope = self.throw * cosine;
        let drop = Length::from_si(self.height() - slope - q);
        Place {
            crank: Angle::from_si(crank),
            drop,
            share: drop.si() / self.travel().si(),
            lean: Angle::from_si((u / self.rod).asin()),
            rate: self.throw * sine + u * slope / q,
            bend: slope + (slope * slope - u * self.throw * sine) / q + (u * slope).powi(2) / q.powi(3),
        }
    }

    /// Places over one turn from the top, `steps` apart, both ends included.
    pub fn over_a_turn(&self, steps: u32) -> impl Iterator<Item = (Angle, Place)> {
        (0..=steps)
            .map(move |n| TAU * f64::from(n) / f64::from(steps.max(1)))
            .map(|a| (Angle::from_si(a), self.place(a)))
    }

    /// Speed at a place, the crank turning steadily.
    pub fn speed(place: &Place, turning: Turning) -> Velocity {
        Velocity::new::<uom::si::velocity::meter_per_second>(place.rate * turning.si())
    }

    /// Acceleration at a place, the crank turning steadily.
    pub fn acceleration(place: &Place, turning: Turning) -> Acceleration {
        use uom::si::acceleration::meter_per_second_squared;
        Acceleration::new::<meter_per_second_squared>(place.bend * turning.si().powi(2))
    }

    /// Mean and extremes over one turn. Refuses an `rpm` no such engine runs at.
    pub fn turn(&self, turning: Turning) -> Result<Turn, Unfit> {
        inside("rpm", turning, bounds::TURNING)?;
        let most = |of: fn(&Place) -> f64, sign: f64| {
            let at = self.peak(|place| sign * of(place));
            (self.place(at), Angle::from_si(at))
        };
        let speed = |sign| {
            let (place, at) = most(|p| p.rate, sign);
            Peak { most: Self::speed(&place, turning), at }
        };
        let pull = |sign| {
            let (place, at) = most(|p| p.bend, sign);
            Peak { most: Self::acceleration(&place, turning), at }
        };
        let mean = 2.0 * self.travel().si() * turning.si() / TAU;
        Ok(Turn {
            mean: Velocity::new::<uom::si::velocity::meter_per_second>(mean),
            down: speed(1.0),
            up: speed(-1.0),
            pull: pull(1.0),
            push: pull(-1.0),
        })
    }

    /// The angle, 0 to a turn, where `of` is most. The turn is cut a quarter before the top, where nothing peaks: an offset
    /// moves the peaks at the dead centres to either side of them.
    fn peak(&self, of: impl Fn(&Place) -> f64) -> f64 {
        greatest(-FRAC_PI_2, TAU - FRAC_PI_2, 720, |angle| of(&self.place(angle))).rem_euclid(TAU)
    }

    /// Largest lean of the rod either way.
    pub fn most_lean(&self) -> Angle {
        Angle::from_si(((self.throw + self.offset.abs()) / self.rod).asin())
    }

    /// How many degrees of crank, both sides of the top, the piston stays within `share` of its travel from it.
    pub fn dwell(&self, share: f64) -> Angle {
        let side = |sign: f64| {
            let (mut near, mut far) = (0.0, PI);
            for _ in 0..60 {
                let middle = (near + far) / 2.0;
                if self.place(sign * middle).share < share { near = middle } else { far = middle }
            }
            near
        };
        Angle::from_si(side(1.0) + side(-1.0))
    }
}

/// Where `of` is greatest between two ends: the best of `steps` samples, closed in on by thirds.
pub(super) fn greatest(low: f64, high: f64, steps: usize, of: impl Fn(f64) -> f64) -> f64 {
    let step = (high - low) / steps as f64;
    let samples = (0..=steps).map(|n| low + step * n as f64);
    let best = samples.fold((low, of(low)), |best, at| if of(at) > best.1 { (at, of(at)) } else { best }).0;
    let (mut from, mut to) = ((best - step).max(low), (best + step).min(high));
    for _ in 0..80 {
        let third = (to - from) / 3.0;
        if of(from + third) < of(to - third) { from += third } else { to -= third }
    }
    let found = (from + to) / 2.0;
    if of(best) >= of(found) { best } else { found }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn degrees(d: f64) -> Angle {
        Angle::from_si(d.to_radians())
    }

    #[test]
    fn the_ends_of_the_stroke_are_its_ends() {
        let plain = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
        assert!((plain.travel() - inches(3.48)).si().abs() < 1e-15 && plain.top().si() == 0.0);
        assert!((plain.at(degrees(180.0)).unwrap().drop - inches(3.48)).si().abs() < 1e-15);
        let offset = Slider::new(inches(3.48), inches(5.7), inches(0.06)).unwrap();
        assert!(offset.travel() > plain.travel() && offset.top().si() < 0.0);
        assert!(offset.at(degrees(0.0)).unwrap().drop.si().abs() < 1e-15);
    }

    #[test]
    fn nonsense_is_named() {
        let new = |s, r, e| Slider::new(millimetres(s), millimetres(r), millimetres(e)).unwrap_err();
        assert_eq!(new(3.48, 145.0, 0.0).input, "stroke");
        assert_eq!(new(88.0, 5.7, 0.0).input, "rod");
        assert_eq!(new(88.0, 145.0, 20.0).input, "offset");
        assert_eq!(new(140.0, 70.0, 1.0).rule, Rule::MustBeAbove { other: "half stroke and pin offset" });
        let good = Slider::new(millimetres(88.0), millimetres(145.0), millimetres(1.0)).unwrap();
        assert_eq!(good.at(degrees(721.0)).unwrap_err().input, "angle");
        assert_eq!(good.turn(Turning::from_si(0.0)).unwrap_err().input, "rpm");
        assert_eq!(good.turn(Turning::from_si(f64::NAN)).unwrap_err().rule, Rule::MustBeFinite);
    }

    proptest! {
        /// Central differences of position and of speed.
        #[test]
        fn speed_and_acceleration_are_the_derivatives(stroke in 0.05_f64..0.2, ratio in 1.2_f64..2.5, e in -0.003_f64..0.003, d in -720.0_f64..720.0) {
            let slider = Slider::new(Length::from_si(stroke), Length::from_si(stroke * ratio), Length::from_si(e)).unwrap();
            let (at, h) = (d.to_radians(), 1e-5);
            let (before, here, after) = (slider.place(at - h), slider.place(at), slider.place(at + h));
            prop_assert!(((after.drop - before.drop).si() / (2.0 * h) - here.rate).abs() < 1e-8 * stroke);
            prop_assert!(((after.rate - before.rate) / (2.0 * h) - here.bend).abs() < 1e-8 * stroke);
        }

        #[test]
        fn the_piston_stays_between_its_ends_and_every_turn_is_alike(stroke in 0.05_f64..0.2, ratio in 1.2_f64..2.5, e in -0.003_f64..0.003, d in -360.0_f64..360.0) {
            let slider = Slider::new(Length::from_si(stroke), Length::from_si(stroke * ratio), Length::from_si(e)).unwrap();
            let here = slider.at(degrees(d)).unwrap();
            prop_assert!(here.share > -1e-12 && here.share < 1.0 + 1e-12);
            prop_assert!((slider.at(degrees(d + 360.0)).unwrap().drop - here.drop).si().abs() < 1e-12);
        }

        /// A pin offset one way, run backwards, is one offset the other way.
        #[test]
        fn offset_and_direction_mirror(e in 0.0_f64..0.003, d in -360.0_f64..360.0) {
            let of = |e| Slider::new(inches(3.48), inches(5.7), Length::from_si(e)).unwrap();
            prop_assert!((of(e).at(degrees(d)).unwrap().drop - of(-e).at(degrees(-d)).unwrap().drop).si().abs() < 1e-12);
        }

        #[test]
        fn no_sample_beats_the_peaks(ratio in 1.2_f64..2.5, e in -0.003_f64..0.003, d in 0.0_f64..360.0) {
            let slider = Slider::new(millimetres(90.0), millimetres(90.0 * ratio), Length::from_si(e)).unwrap();
            let turning = Turning::from_si(300.0);
            let (turn, here) = (slider.turn(turning).unwrap(), slider.at(degrees(d)).unwrap());
            let (speed, pull) = (Slider::speed(&here, turning), Slider::acceleration(&here, turning));
            prop_assert!(speed <= turn.down.most * (1.0 + 1e-12) && speed >= turn.up.most * (1.0 + 1e-12));
            prop_assert!(pull <= turn.pull.most * (1.0 + 1e-12) && pull >= turn.push.most * (1.0 + 1e-12));
        }
    }
}
