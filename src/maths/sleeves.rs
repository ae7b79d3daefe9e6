//! A dry sleeve in its hole: interference, and the temperatures at which it drops in.
//!
//! * Interference = outside diameter of the sleeve - hole, both at 20 degrees C (ISO 1).
//! * It drops in with clearance c when hole (1 + a_b (T_b - 20)) = sleeve (1 + a_s (T_s - 20)) + c: linear expansion, solved for the
//!   block's temperature with the sleeve at its own, and for the sleeve's with the block at its own.
//!
//! Lengths are diameters in metres, temperatures in kelvin, expansion per kelvin. Coefficients of [`super::materials`] are
//! means of 20 to 100 degrees C; a metal chilled far shrinks rather less than they say.

use super::{Unfit, bounds, inside};
use crate::quantity::{Length, Measure, Number, Temperature};

const REFERENCE: f64 = 293.15;
/// Clearance to drop a sleeve in, m.
const DROP: (f64, f64) = (0.0, 0.0005);
/// Temperature a part is brought to, K: liquid nitrogen to 300 degrees C.
const WORKED: (f64, f64) = (77.0, 573.15);

/// A part at the temperature it is brought to, with its size at 20 degrees C and its expansion per kelvin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    pub size: Length,
    pub temperature: Temperature,
    pub expansion: f64,
}

impl Part {
    fn now(&self) -> f64 {
        self.size.si() * (1.0 + self.expansion * (self.temperature.si() - REFERENCE))
    }

    /// The temperature at which it has `size` (m).
    fn temperature_for(&self, size: f64) -> Temperature {
        Temperature::from_si(REFERENCE + (size / self.size.si() - 1.0) / self.expansion)
    }
}

/// How a sleeve goes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sleeve {
    /// Sleeve - hole at 20 degrees C. Nothing or less: it is loose.
    pub interference: Length,
    /// Interference per unit of the hole.
    pub per_hole: f64,
    /// Hole - sleeve with both at the temperatures given; negative: it does not drop in.
    pub clearance_now: Length,
    /// Interference + drop-in clearance.
    pub to_gain: Length,
    /// Block, with the sleeve at its given temperature.
    pub block: Temperature,
    /// Sleeve, with the block at its given temperature; none where that is below absolute zero.
    pub chilled: Option<Temperature>,
}

/// Interference and drop-in temperatures. Refuses a `sleeve` more than half a per cent off the `hole`.
pub fn sleeve(block: Part, sleeve: Part, drop: Length) -> Result<Sleeve, Unfit> {
    inside("hole", block.size, bounds::BORE)?;
    inside("sleeve", sleeve.size, bounds::BORE)?;
    inside("sleeve", sleeve.size, (block.size.si() * 0.995, block.size.si() * 1.005))?;
    inside("drop", drop, DROP)?;
    inside("block temperature", block.temperature, WORKED)?;
    inside("sleeve temperature", sleeve.temperature, WORKED)?;
    for part in [block, sleeve] {
        inside("expansion", Number(part.expansion), (1e-6, bounds::EXPANSION.1))?;
    }
    let interference = sleeve.size - block.size;
    let chilled = sleeve.temperature_for(block.now() - drop.si());
    Ok(Sleeve {
        interference,
        per_hole: interference.si() / block.size.si(),
        clearance_now: Length::from_si(block.now() - sleeve.now()),
        to_gain: interference + drop,
        block: block.temperature_for(sleeve.now() + drop.si()),
        chilled: (chilled.si() > 0.0).then_some(chilled),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn part(size: Length, celsius: f64, expansion: f64) -> Part {
        Part { size, temperature: Temperature::from_si(celsius + 273.15), expansion }
    }

    #[test]
    fn nonsense_is_named() {
        let go = |hole, outside, drop, warm, cold| {
            sleeve(part(hole, warm, 11.4e-6), part(outside, cold, 11.4e-6), drop).unwrap_err().input
        };
        assert_eq!(go(millimetres(4.188), inches(4.19), inches(0.002), 20.0, 20.0), "hole");
        assert_eq!(go(inches(4.188), inches(4.288), inches(0.002), 20.0, 20.0), "sleeve");
        assert_eq!(go(inches(4.188), inches(4.19), inches(-0.002), 20.0, 20.0), "drop");
        assert_eq!(go(inches(4.188), inches(4.19), inches(0.002), 700.0, 20.0), "block temperature");
        assert_eq!(go(inches(4.188), inches(4.19), inches(0.002), 20.0, -250.0), "sleeve temperature");
        let still = sleeve(part(inches(4.188), 20.0, 0.0), part(inches(4.19), 20.0, 11e-6), inches(0.002));
        assert_eq!(still.unwrap_err().input, "expansion");
    }

    proptest! {
        #[test]
        fn at_the_temperature_told_it_drops_in_with_the_clearance_asked(
            hole in 0.05_f64..0.2, tight in 0.0_f64..0.0002, drop in 0.0_f64..0.0001, cold in -80.0_f64..20.0,
        ) {
            let (hole, outside) = (Length::from_si(hole), Length::from_si(hole + tight));
            let (warm, chilled) = (part(hole, 20.0, 11.4e-6), part(outside, cold, 11.2e-6));
            let drop = Length::from_si(drop);
            let found = sleeve(warm, chilled, drop).unwrap();
            prop_assume!(found.block.si() < 573.0);
            let again = sleeve(Part { temperature: found.block, ..warm }, chilled, drop).unwrap();
            prop_assert!((again.clearance_now - drop).si().abs() < 1e-15 + 1e-13);
            if let Some(t) = found.chilled.filter(|t| t.si() > 77.0) {
                let again = sleeve(warm, Part { temperature: t, ..chilled }, drop).unwrap();
                prop_assert!((again.clearance_now - drop).si().abs() < 1e-13);
            }
        }
    }
}
