//! Valve springs of constant rate.
//!
//! * Rate from two loads: (F2 - F1) / (H1 - H2), Hooke.
//! * Rate from the wire: k = G d^4 / (8 D^3 n), d wire, D mean coil diameter = outside - d, n active coils, G shear
//!   modulus (Shigley, Mechanical Engineering Design, helical springs; bending and end effects left out).
//! * Load at a height: F = F1 + k (H1 - H). A spring at its free length carries nothing.
//! * Open height = installed height - lift. Coil-bind margin = open height - solid height.
//! * Height for a wanted load: H = H1 - (F - F1) / k; the shim is what the installed height is above it.
//!
//! Beehive and progressive springs have no one rate: their line holds between the two heights it was taken at.
//! Lengths in metres, forces in newtons, rate in newtons per metre.

use super::{Rule, Unfit, inside};
use crate::quantity::{Force, Length, Measure, Number, Pressure, Stiffness, above, below};

/// Free, installed, open or solid height, m.
const HEIGHT: (f64, f64) = (0.010, 0.150);
/// Nothing at the free length, up to a large diesel's nest, N.
const LOAD: (f64, f64) = (0.0, 20e3);
/// 1 to 1000 N/mm.
const RATE: (f64, f64) = (1e3, 1e6);
const WIRE: (f64, f64) = (0.001, 0.015);
/// Mean coil diameter as multiples of the wire: what can be wound.
const INDEX: (f64, f64) = (3.0, 16.0);
const COILS: (f64, f64) = (1.5, 20.0);
const SHEAR: (f64, f64) = (30e9, 90e9);
/// Lift at the valve, m; none for a spring looked at on the seat.
const LIFT: (f64, f64) = (0.0, 0.030);

/// A rate that a valve spring can have.
pub fn rate(rate: Stiffness) -> Result<Stiffness, Unfit> {
    inside("rate", rate, RATE)
}

/// A load and its height as a tester can read them.
pub fn reading(load: Force, at: Length) -> Result<(), Unfit> {
    inside("load", load, LOAD)?;
    inside("at", at, HEIGHT)?;
    Ok(())
}

/// A spring as the line through one known load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    pub rate: Stiffness,
    pub load: Force,
    /// The height `load` was read at.
    pub at: Length,
}

impl Spring {
    /// A spring of known rate that carries `load` at height `at`. Refuses `rate`, `load`, `at`.
    pub fn new(rate: Stiffness, load: Force, at: Length) -> Result<Self, Unfit> {
        self::rate(rate)?;
        reading(load, at)?;
        Ok(Self { rate, load, at })
    }

    /// A spring of known rate and free length.
    pub fn free(rate: Stiffness, free: Length) -> Result<Self, Unfit> {
        inside("free", free, HEIGHT)?;
        Self::new(rate, Force::from_si(0.0), free)
    }

    /// The line through two loads on a tester, in any order. Refuses equal heights (`at`), and a `load` that does not
    /// grow as the spring is pressed.
    pub fn of_loads(first: (Force, Length), second: (Force, Length)) -> Result<Self, Unfit> {
        for (load, at) in [first, second] {
            reading(load, at)?;
        }
        let (tall, short) = if below(first.1, second.1) { (second, first) } else { (first, second) };
        if !above(tall.1, short.1) {
            return Err(Unfit::new("at", Rule::CountWanted { low: 2, high: 2, given: 1 }));
        }
        if !above(short.0, tall.0) {
            return Err(Unfit::new("load", Rule::MustBeAbove { other: "load at the greater height" }));
        }
        let rate = (short.0.si() - tall.0.si()) / (tall.1.si() - short.1.si());
        Self::new(Stiffness(rate), tall.0, tall.1)
    }

    /// Load at a height by the spring's line; negative above its free length.
    pub fn load_at(&self, height: Length) -> Force {
        Force::from_si(self.load.si() + self.rate.0 * (self.at.si() - height.si()))
    }

    /// Height at which it carries `load`.
    pub fn height_for(&self, load: Force) -> Length {
        Length::from_si(self.at.si() - (load.si() - self.load.si()) / self.rate.0)
    }
}

/// A spring as it is wound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wire {
    pub wire: Length,
    /// Outside diameter of the coil.
    pub outside: Length,
    /// Active coils; closed ends do not count.
    pub coils: f64,
    pub shear: Pressure,
}

/// Rate of a spring by its wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wound {
    pub mean: Length,
    /// Mean diameter / wire.
    pub index: f64,
    pub rate: Stiffness,
}

/// k = G d^4 / (8 D^3 n). Refuses `wire`, `outside`, `coils`, `shear`.
pub fn wound(spring: Wire) -> Result<Wound, Unfit> {
    let Wire { wire, outside, coils, shear } = spring;
    inside("wire", wire, WIRE)?;
    inside("outside", outside, (wire.si() * (INDEX.0 + 1.0), wire.si() * (INDEX.1 + 1.0)))?;
    inside("coils", Number(coils), COILS)?;
    inside("shear", shear, SHEAR)?;
    let mean = outside - wire;
    let rate = shear.si() * wire.si().powi(4) / (8.0 * mean.si().powi(3) * coils);
    Ok(Wound { mean, index: mean.si() / wire.si(), rate: Stiffness(rate) })
}

/// A spring in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Installed {
    /// Installed height less the shim.
    pub height: Length,
    pub seat: Force,
    pub open_height: Length,
    pub open: Force,
    /// Open height - solid height. Negative: the coils touch before full lift.
    pub margin: Option<Length>,
}

/// Seat and open load of a spring at `height`, shimmed by `shim`, opened by `lift`; its bind margin where `solid` is known.
///
/// Refuses `height`, `lift`, `shim`, `solid`, a height above the free length, and one not above the solid height.
pub fn installed(
    spring: &Spring,
    height: Length,
    shim: Length,
    lift: Length,
    solid: Option<Length>,
) -> Result<Installed, Unfit> {
    inside("height", height, HEIGHT)?;
    inside("shim", shim, (0.0, height.si() / 4.0))?;
    inside("lift", lift, LIFT)?;
    let at = height - shim;
    inside("lift", lift, (LIFT.0, at.si()))?;
    if let Some(solid) = solid {
        inside("solid", solid, HEIGHT)?;
        if !above(at, solid) {
            return Err(Unfit::new("height", Rule::MustBeAbove { other: "solid height" }));
        }
    }
    let seat = spring.load_at(at);
    if seat.si() < 0.0 {
        return Err(Unfit::new("height", Rule::MustNotExceed { other: "spring's free length" }));
    }
    let open_height = at - lift;
    let open = spring.load_at(open_height);
    Ok(Installed { height: at, seat, open_height, open, margin: solid.map(|solid| open_height - solid) })
}

/// What brings a spring to a wanted seat load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shimmed {
    pub wanted: Force,
    /// Installed height at which it carries it.
    pub height: Length,
    /// Installed height - `height`; negative where the spring already sits too low.
    pub shim: Length,
}

/// Shim for a seat load from an installed height. Refuses `wanted`.
pub fn shim_for(spring: &Spring, height: Length, wanted: Force) -> Result<Shimmed, Unfit> {
    inside("height", height, HEIGHT)?;
    inside("wanted", wanted, LOAD)?;
    // What it carries at the least height a spring can have is the most that can be asked of it.
    inside("wanted", wanted, (0.0, spring.load_at(Length::from_si(HEIGHT.0)).si()))?;
    let at = spring.height_for(wanted);
    Ok(Shimmed { wanted, height: at, shim: height - at })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    fn newtons(value: f64) -> Force {
        Force::from_si(value)
    }

    fn plain() -> Spring {
        Spring::of_loads((newtons(500.0), inches(1.8)), (newtons(1300.0), inches(1.3))).unwrap()
    }

    #[test]
    fn nonsense_is_named() {
        let two = |a: (f64, f64), b: (f64, f64)| {
            Spring::of_loads((newtons(a.0), inches(a.1)), (newtons(b.0), inches(b.1))).unwrap_err()
        };
        assert_eq!(two((500.0, 1.8), (400.0, 1.3)).input, "load");
        assert_eq!(two((500.0, 1.8), (900.0, 1.8)).input, "at");
        assert_eq!(two((500.0, 18.0), (900.0, 1.8)).input, "at");
        let spring = plain();
        let none = inches(0.0);
        let fault = |height, shim, lift, solid| installed(&spring, height, shim, lift, solid).unwrap_err().input;
        assert_eq!(fault(inches(0.1), none, none, None), "height");
        assert_eq!(fault(inches(3.0), none, none, None), "height");
        assert_eq!(fault(inches(1.8), inches(0.9), none, None), "shim");
        assert_eq!(fault(inches(1.8), none, inches(5.0), None), "lift");
        assert_eq!(fault(inches(1.8), none, inches(0.5), Some(inches(1.8))), "height");
        assert_eq!(shim_for(&spring, inches(1.8), newtons(90e3)).unwrap_err().input, "wanted");
        let wire = Wire { wire: inches(0.187), outside: inches(1.5), coils: 4.5, shear: Pressure::from_si(77.2e9) };
        assert_eq!(wound(Wire { outside: inches(0.3), ..wire }).unwrap_err().input, "outside");
        assert_eq!(wound(Wire { coils: 0.0, ..wire }).unwrap_err().input, "coils");
        assert_eq!(wound(Wire { shear: Pressure::from_si(f64::NAN), ..wire }).unwrap_err().rule, Rule::MustBeFinite);
    }

    proptest! {
        #[test]
        fn the_line_goes_through_both_loads(f1 in 100.0_f64..900.0, more in 100.0_f64..2000.0, h1 in 0.030_f64..0.060, less in 0.005_f64..0.015) {
            let (tall, short) = ((newtons(f1), Length::from_si(h1)), (newtons(f1 + more), Length::from_si(h1 - less)));
            let spring = Spring::of_loads(tall, short).unwrap();
            prop_assert!((spring.load_at(short.1) - short.0).si().abs() < 1e-8);
            prop_assert_eq!(Spring::of_loads(short, tall).unwrap(), spring);
            prop_assert!((spring.height_for(spring.load_at(short.1)) - short.1).si().abs() < 1e-12);
        }

        #[test]
        fn the_shim_said_gives_the_load_wanted(height in 0.038_f64..0.046, wanted in 500.0_f64..800.0) {
            let spring = plain();
            let shimmed = shim_for(&spring, Length::from_si(height), newtons(wanted)).unwrap();
            prop_assume!(shimmed.shim.si() >= 0.0 && shimmed.shim.si() < height / 4.0);
            let after = installed(&spring, Length::from_si(height), shimmed.shim, Length::from_si(0.0), None).unwrap();
            prop_assert!((after.seat.si() - wanted).abs() < 1e-8);
        }

        #[test]
        fn a_shim_takes_its_whole_thickness_off_the_margin(shim in 0.0_f64..0.002) {
            let of = |shim| installed(&plain(), inches(1.8), Length::from_si(shim), inches(0.5), Some(inches(1.15))).unwrap();
            prop_assert!((of(0.0).margin.unwrap() - of(shim).margin.unwrap() - Length::from_si(shim)).si().abs() < 1e-15);
            prop_assert!(of(shim).seat >= of(0.0).seat);
        }

        #[test]
        fn twice_the_wire_is_sixteen_times_the_rate(d in 0.002_f64..0.004, mean in 0.025_f64..0.030, n in 3.0_f64..8.0) {
            let of = |d: f64| wound(Wire { wire: Length::from_si(d), outside: Length::from_si(mean + d), coils: n, shear: Pressure::from_si(77.2e9) }).unwrap().rate.0;
            prop_assert!((of(2.0 * d) / of(d) - 16.0).abs() < 1e-9);
        }
    }
}
