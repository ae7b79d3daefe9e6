//! Press fits: a thick ring on a shaft, by Lame's thick cylinders (Shigley, press and shrink fits).
//!
//! With d the joint's diameter, D the outside of the ring, b the hole in the shaft (0 for a solid one), i the interference
//! on diameter:
//!
//! * p = i / ( d [ ((D^2 + d^2) / (D^2 - d^2) + nu_o) / E_o + ((d^2 + b^2) / (d^2 - b^2) - nu_i) / E_i ] )
//! * Ring, at the joint: hoop p (D^2 + d^2) / (D^2 - d^2), radial -p.
//! * Shaft, at its hole: hoop -2 p d^2 / (d^2 - b^2), radial 0; a solid shaft is -p in both.
//! * Held against yield as equivalent stress (distortion energy, no stress along the axis).
//! * Force to push home F = mu p pi d L; torque before it slips F d / 2.
//!
//! Lengths in metres, stresses in pascals. Elastic throughout.

use std::f64::consts::PI;

use super::elastic::Elastic;
use super::{Rule, Unfit, inside};
use crate::quantity::{Force, Length, Measure, Number, Pressure, Torque, above, below};

/// Diameter of a joint, m.
const JOINT: (f64, f64) = (0.003, 0.5);
/// Interference as a share of the diameter: more cannot be pressed or shrunk.
const INTERFERENCE: (f64, f64) = (1e-5, 0.005);
/// Coefficient of friction while pressing.
const FRICTION: (f64, f64) = (0.02, 0.5);

/// Sizes of a press fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Diameter where the two meet.
    pub joint: Length,
    pub interference: Length,
    /// Outside of the ring.
    pub outside: Length,
    /// Hole in the shaft; nothing for a solid one.
    pub hole: Length,
    /// How far they overlap along the axis.
    pub length: Length,
    /// Friction while pressing.
    pub friction: f64,
}

/// Pressure, stresses and force.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressed {
    pub pressure: Pressure,
    /// (D^2 + d^2) / (D^2 - d^2).
    pub ring_shape: f64,
    /// (d^2 + b^2) / (d^2 - b^2).
    pub shaft_shape: f64,
    /// Hoop stress of the ring at the joint: it pulls.
    pub ring_hoop: Pressure,
    /// Hoop stress of the shaft where it is greatest: it presses, so it is negative.
    pub shaft_hoop: Pressure,
    /// Equivalent stresses, to hold against yield.
    pub ring_stress: Pressure,
    pub shaft_stress: Pressure,
    /// How much the ring's bore opens and the shaft shrinks: together the interference.
    pub opens: Length,
    pub shrinks: Length,
    pub force: Force,
    pub torque: Torque,
}

/// Pressure, stress and force of a press fit. Refuses sizes that cannot be pressed, each by name.
pub fn press(fit: &Fit, ring: &Elastic, shaft: &Elastic) -> Result<Pressed, Unfit> {
    let d = inside("joint", fit.joint, JOINT)?.si();
    inside("interference", fit.interference, (d * INTERFERENCE.0, d * INTERFERENCE.1))?;
    inside("outside", fit.outside, (0.0, d * 20.0))?;
    if !above(fit.outside, fit.joint * 1.01) {
        return Err(Unfit::new("outside", Rule::MustBeAbove { other: "joint" }));
    }
    inside("hole", fit.hole, (0.0, d))?;
    if !below(fit.hole, fit.joint * 0.99) {
        return Err(Unfit::new("joint", Rule::MustBeAbove { other: "hole" }));
    }
    inside("length", fit.length, (d * 0.02, d * 6.0))?;
    inside("friction", Number(fit.friction), FRICTION)?;

    let (outside, hole) = (fit.outside.si(), fit.hole.si());
    let shape = |outer: f64, inner: f64| (outer * outer + inner * inner) / (outer * outer - inner * inner);
    let (ring_shape, shaft_shape) = (shape(outside, d), shape(d, hole));
    let ring_gives = (ring_shape + ring.poisson) / ring.modulus().si();
    let shaft_gives = (shaft_shape - shaft.poisson) / shaft.modulus().si();
    let p = fit.interference.si() / (d * (ring_gives + shaft_gives));
    let hoop = p * ring_shape;
    // A solid shaft feels p all round; at a hole, however small, it doubles.
    let shaft_hoop = if hole > 0.0 { -2.0 * p * d * d / (d * d - hole * hole) } else { -p };
    let equivalent = |hoop: f64, radial: f64| (hoop * hoop - hoop * radial + radial * radial).sqrt();
    let force = fit.friction * p * PI * d * fit.length.si();
    let stress = Pressure::from_si;
    Ok(Pressed {
        pressure: stress(p),
        ring_shape,
        shaft_shape,
        ring_hoop: stress(hoop),
        shaft_hoop: stress(shaft_hoop),
        ring_stress: stress(equivalent(hoop, -p)),
        shaft_stress: stress(shaft_hoop.abs()),
        opens: Length::from_si(p * d * ring_gives),
        shrinks: Length::from_si(p * d * shaft_gives),
        force: Force::from_si(force),
        torque: Torque::from_si(force * d / 2.0),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::super::elastic::elastic;
    use super::*;
    use crate::quantity::millimetres;

    fn fit(joint: f64, interference: f64, outside: f64, hole: f64) -> Fit {
        Fit {
            joint: millimetres(joint),
            interference: millimetres(interference),
            outside: millimetres(outside),
            hole: millimetres(hole),
            length: millimetres(joint),
            friction: 0.12,
        }
    }

    fn steel() -> &'static Elastic {
        elastic("steel").unwrap()
    }

    #[test]
    fn nonsense_is_named() {
        let refused = |f: Fit| press(&f, steel(), steel()).unwrap_err().input;
        assert_eq!(refused(fit(2000.0, 0.05, 3000.0, 0.0)), "joint");
        assert_eq!(refused(fit(50.0, 0.0, 80.0, 0.0)), "interference");
        assert_eq!(refused(fit(50.0, -0.05, 80.0, 0.0)), "interference");
        assert_eq!(refused(fit(50.0, 2.0, 80.0, 0.0)), "interference");
        assert_eq!(refused(fit(50.0, 0.05, 45.0, 0.0)), "outside");
        assert_eq!(refused(fit(50.0, 0.05, 80.0, 49.9)), "joint");
        assert_eq!(refused(Fit { length: millimetres(0.0), ..fit(50.0, 0.05, 80.0, 0.0) }), "length");
        assert_eq!(refused(Fit { friction: f64::NAN, ..fit(50.0, 0.05, 80.0, 0.0) }), "friction");
    }

    proptest! {
        #[test]
        fn what_opens_and_what_shrinks_is_the_interference(d in 10.0_f64..200.0, thick in 1.05_f64..4.0, bored in 0.0_f64..0.9) {
            let f = fit(d, d * 0.001, d * thick, d * bored);
            let found = press(&f, elastic("aluminium").unwrap(), elastic("cast-iron").unwrap()).unwrap();
            prop_assert!(((found.opens + found.shrinks) / f.interference).value - 1.0 < 1e-12);
            prop_assert!(found.opens.si() > 0.0 && found.shrinks.si() > 0.0);
        }

        #[test]
        fn pressure_goes_with_interference_and_with_a_thicker_ring(d in 10.0_f64..200.0, thick in 1.1_f64..3.0) {
            let p = |i: f64, t: f64| press(&fit(d, d * i, d * t, 0.0), steel(), steel()).unwrap().pressure.si();
            prop_assert!((p(0.002, thick) / p(0.001, thick) - 2.0).abs() < 1e-9);
            prop_assert!(p(0.001, thick * 1.1) > p(0.001, thick));
        }

        /// A thin ring is a boiler: hoop stress p d / (2 t), and strain about i / d.
        #[test]
        fn a_thin_ring_is_a_boiler(d in 20.0_f64..200.0) {
            let thin = press(&fit(d, d * 0.0005, d * 1.02, 0.0), steel(), steel()).unwrap();
            let boiler = thin.pressure.si() * d / (2.0 * 0.01 * d);
            prop_assert!((thin.ring_hoop.si() / boiler - 1.0).abs() < 0.02);
        }
    }
}
