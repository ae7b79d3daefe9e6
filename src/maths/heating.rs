//! Heating the ring or cooling the shaft until one drops into the other.
//!
//! At temperatures Th and Ts, from T0 where both were measured, the clearance is
//! (d - i) (1 + a_h (Th - T0)) - d (1 + a_s (Ts - T0)): linear expansion of each, d the shaft, i the interference on
//! diameter. The two inverses solve it for the one temperature. Coefficients are means near room temperature.
//!
//! Lengths in metres, temperatures in kelvins, coefficients per kelvin.

use super::{Rule, Unfit, bounds, inside};
use crate::quantity::{Length, Measure, Number, Temperature, above, below};

/// Diameter of a joint, m.
const JOINT: (f64, f64) = (0.003, 0.5);
/// Interference as a share of the diameter.
const INTERFERENCE: (f64, f64) = (0.0, 0.005);
/// Drop-in clearance as a share of the diameter.
const CLEARANCE: (f64, f64) = (0.0, 0.01);
/// Where the two are measured, K: -10 to 45 degrees C.
const ROOM: (f64, f64) = (263.15, 318.15);
/// The hottest a part is made to drop in by, K: 350 degrees C.
pub const OVEN: f64 = 623.15;
/// The coldest the coefficients still hold for, K: dry ice at -80 degrees C.
pub const FREEZER: f64 = 193.15;

/// Two parts that interfere at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    /// The shaft's diameter.
    pub shaft: Length,
    pub interference: Length,
    /// Where both were measured.
    pub room: Temperature,
    /// Expansion of the ring and of the shaft, per kelvin.
    pub ring_expansion: f64,
    pub shaft_expansion: f64,
}

impl Parts {
    fn checked(&self) -> Result<(), Unfit> {
        let d = inside("joint", self.shaft, JOINT)?.si();
        inside("interference", self.interference, (d * INTERFERENCE.0, d * INTERFERENCE.1))?;
        inside("room", self.room, ROOM)?;
        inside("ring", Number(self.ring_expansion), (1e-6, bounds::EXPANSION.1))?;
        inside("shaft", Number(self.shaft_expansion), (1e-6, bounds::EXPANSION.1))?;
        Ok(())
    }

    fn bore(&self) -> f64 {
        self.shaft.si() - self.interference.si()
    }

    fn rise(&self, to: Temperature) -> f64 {
        to.si() - self.room.si()
    }
}

/// Clearance with the ring at `hot` and the shaft at `cold`; negative while they interfere. Refuses `hot` and `cold`
/// outside what can be done.
pub fn clearance(parts: &Parts, hot: Temperature, cold: Temperature) -> Result<Length, Unfit> {
    parts.checked()?;
    let room = parts.room.si();
    inside("hot", hot, (room, OVEN))?;
    inside("cold", cold, (FREEZER, room))?;
    let bore = parts.bore() * (1.0 + parts.ring_expansion * parts.rise(hot));
    let shaft = parts.shaft.si() * (1.0 + parts.shaft_expansion * parts.rise(cold));
    Ok(Length::from_si(bore - shaft))
}

fn wanted(parts: &Parts, clearance: Length) -> Result<(), Unfit> {
    parts.checked()?;
    let d = parts.shaft.si();
    inside("clearance", clearance, (d * CLEARANCE.0, d * CLEARANCE.1))?;
    Ok(())
}

/// How hot the ring must be for `clearance`, the shaft being at `cold`; room where it drops in without heat.
///
/// Refuses `clearance` where the oven it takes is too hot: [`Rule::MustNotExceed`] names `oven`.
pub fn oven(parts: &Parts, clearance: Length, cold: Temperature) -> Result<Temperature, Unfit> {
    wanted(parts, clearance)?;
    inside("cold", cold, (FREEZER, parts.room.si()))?;
    let shaft = parts.shaft.si() * (1.0 + parts.shaft_expansion * parts.rise(cold));
    let rise = ((clearance.si() + shaft) / parts.bore() - 1.0) / parts.ring_expansion;
    let hot = Temperature::from_si(parts.room.si() + rise.max(0.0));
    if above(hot, Temperature::from_si(OVEN)) {
        return Err(Unfit::new("clearance", Rule::MustNotExceed { other: "growth at 350 °C" }));
    }
    Ok(hot)
}

/// How cold the shaft must be for `clearance`, the ring being at `hot`; room where it drops in without cooling.
pub fn freezer(parts: &Parts, clearance: Length, hot: Temperature) -> Result<Temperature, Unfit> {
    wanted(parts, clearance)?;
    inside("hot", hot, (parts.room.si(), OVEN))?;
    let bore = parts.bore() * (1.0 + parts.ring_expansion * parts.rise(hot));
    let rise = ((bore - clearance.si()) / parts.shaft.si() - 1.0) / parts.shaft_expansion;
    let cold = Temperature::from_si(parts.room.si() + rise.min(0.0));
    if below(cold, Temperature::from_si(FREEZER)) {
        return Err(Unfit::new("clearance", Rule::MustNotExceed { other: "shrinkage at -80 °C" }));
    }
    Ok(cold)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::millimetres;

    fn celsius(degrees: f64) -> Temperature {
        Temperature::from_si(degrees + 273.15)
    }

    fn liner() -> Parts {
        Parts {
            shaft: millimetres(100.0),
            interference: millimetres(0.08),
            room: celsius(20.0),
            ring_expansion: 21.5e-6,
            shaft_expansion: 11.4e-6,
        }
    }

    #[test]
    fn nonsense_is_named() {
        let c = millimetres(0.05);
        assert_eq!(oven(&Parts { shaft: millimetres(1.0), ..liner() }, c, celsius(20.0)).unwrap_err().input, "joint");
        let far = Parts { interference: millimetres(3.0), ..liner() };
        assert_eq!(oven(&far, c, celsius(20.0)).unwrap_err().input, "interference");
        assert_eq!(oven(&Parts { room: celsius(120.0), ..liner() }, c, celsius(20.0)).unwrap_err().input, "room");
        assert_eq!(oven(&liner(), c, celsius(-150.0)).unwrap_err().input, "cold");
        assert_eq!(oven(&liner(), millimetres(5.0), celsius(20.0)).unwrap_err().input, "clearance");
        assert_eq!(oven(&liner(), millimetres(0.9), celsius(20.0)).unwrap_err().input, "clearance");
        assert_eq!(freezer(&liner(), c, celsius(20.0)).unwrap_err().input, "clearance");
        assert_eq!(freezer(&liner(), c, celsius(500.0)).unwrap_err().input, "hot");
        assert_eq!(clearance(&liner(), celsius(100.0), celsius(100.0)).unwrap_err().input, "cold");
    }

    proptest! {
        #[test]
        fn oven_and_freezer_undo_the_clearance(want in 0.0_f64..0.15, cold in -75.0_f64..20.0) {
            let hot = oven(&liner(), millimetres(want), celsius(cold)).unwrap();
            let found = clearance(&liner(), hot, celsius(cold)).unwrap();
            // Where cold alone is enough the oven stays at room temperature and the clearance is larger.
            if above(hot, celsius(20.0)) {
                prop_assert!((found - millimetres(want)).abs() < millimetres(1e-9));
                let back = freezer(&liner(), millimetres(want), hot).unwrap();
                prop_assert!((back.si() - celsius(cold).si()).abs() < 1e-6);
            } else {
                prop_assert!(found >= millimetres(want));
            }
        }

        #[test]
        fn a_colder_shaft_needs_a_cooler_oven(cold in -70.0_f64..10.0) {
            let at = |c: f64| oven(&liner(), millimetres(0.15), celsius(c)).unwrap();
            prop_assert!(at(cold) < at(cold + 5.0));
        }
    }
}
