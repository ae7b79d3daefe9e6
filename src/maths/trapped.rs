//! Compression counted from where the intake valve shuts.
//!
//! With static ratio R and piston still x below its top of a travel L when the valve shuts, the charge that is trapped is
//! squeezed by 1 + (R - 1) x / L: of the swept volume only the share x / L is left, and the bore cancels. The valve shuts
//! an angle past bottom dead centre, 180 degrees plus that on a wheel zeroed at the top. From a cam card:
//! closing = duration/2 + centreline - 180 degrees, all on the seat (definition).

use std::f64::consts::PI;

use super::slider::{Place, Slider};
use super::{Unfit, bounds, inside};
use crate::quantity::{Angle, Measure, Number};

/// Closing of the intake valve past bottom dead centre, rad: negative shuts before it.
const CLOSING: (f64, f64) = (-PI / 2.0, 2.0 * PI / 3.0);
/// Duration on the seat, rad: 150 to 380 degrees.
const DURATION: (f64, f64) = (5.0 * PI / 6.0, 19.0 * PI / 9.0);
/// Intake centreline past top dead centre, rad: 80 to 140 degrees.
const CENTRELINE: (f64, f64) = (4.0 * PI / 9.0, 7.0 * PI / 9.0);

/// What is squeezed once the intake valve is shut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapped {
    pub closing: Angle,
    /// The piston as the valve shuts: its drop is the effective stroke.
    pub place: Place,
    pub fixed: f64,
    pub effective: f64,
}

/// Closing past bottom dead centre from the seat duration and the intake centreline past top dead centre.
pub fn closing(duration: Angle, centreline: Angle) -> Result<Angle, Unfit> {
    inside("duration", duration, DURATION)?;
    inside("centreline", centreline, CENTRELINE)?;
    Ok(duration / 2.0 + centreline - Angle::from_si(PI))
}

/// Effective ratio from the static one, `fixed`.
pub fn trapped(slider: &Slider, closing: Angle, fixed: f64) -> Result<Trapped, Unfit> {
    inside("closing", closing, CLOSING)?;
    inside("ratio", Number(fixed), bounds::RATIO)?;
    let place = slider.place(PI + closing.si());
    Ok(Trapped { closing, place, fixed, effective: 1.0 + (fixed - 1.0) * place.share })
}

/// The static ratio that has the effective ratio `target`; undoes [`trapped`].
pub fn fixed_for(slider: &Slider, closing: Angle, target: f64) -> Result<f64, Unfit> {
    inside("closing", closing, CLOSING)?;
    inside("target", Number(target), bounds::RATIO)?;
    Ok(1.0 + (target - 1.0) / slider.place(PI + closing.si()).share)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{Length, inches};

    fn slider(e: f64) -> Slider {
        Slider::new(inches(3.48), inches(5.7), Length::from_si(e)).unwrap()
    }

    #[test]
    fn nonsense_is_named() {
        let at = |d: f64| Angle::from_si(d.to_radians());
        assert_eq!(trapped(&slider(0.0), at(150.0), 9.5).unwrap_err().input, "closing");
        assert_eq!(trapped(&slider(0.0), at(60.0), 0.95).unwrap_err().input, "ratio");
        assert_eq!(fixed_for(&slider(0.0), at(60.0), 95.0).unwrap_err().input, "target");
        assert_eq!(closing(at(28.0), at(108.0)).unwrap_err().input, "duration");
        assert_eq!(closing(at(280.0), at(10.8)).unwrap_err().input, "centreline");
    }

    proptest! {
        #[test]
        fn the_static_ratio_comes_back(d in -90.0_f64..120.0, fixed in 2.0_f64..20.0, e in -0.003_f64..0.003) {
            let at = Angle::from_si(d.to_radians());
            let sum = trapped(&slider(e), at, fixed).unwrap();
            prop_assert!(sum.effective <= fixed * (1.0 + 1e-12));
            prop_assume!(sum.effective >= 2.0);
            prop_assert!((fixed_for(&slider(e), at, sum.effective).unwrap() - fixed).abs() < 1e-9);
        }

        #[test]
        fn a_later_valve_traps_less(d in 1.0_f64..119.0, fixed in 2.0_f64..20.0) {
            let of = |d: f64| trapped(&slider(0.0), Angle::from_si(d.to_radians()), fixed).unwrap().effective;
            prop_assert!(of(d + 1.0) < of(d));
        }
    }
}
