//! Bobweights for balancing the crank of a V engine with two rods to a pin.
//!
//! * Bobweight = rotating + share x reciprocating, for all that one pin carries: rotating = 2 (big end + shells) + oil,
//!   reciprocating = 2 (piston + pin + locks + rings + small end).
//! * Why a half: to the first order a piston pulls with m r w^2 cos(angle) along its bore, which is one half turning with
//!   the crank and one half against it. Two bores at bank angle B on one pin give forward m r w^2 whatever B is, and
//!   backward m r w^2 cos B. A counterweight reaches the forward part alone: m is 50 % of both reciprocating weights.
//! * At 90 degrees the backward part is nothing: the textbook 100 % of the rotating + 50 % of the reciprocating weight.
//! * A share s other than a half is a choice (overbalance above it): forward (2 s - 1) m then stays.
//!
//! Weights in kilograms, angles in radians. Source: the geometry above; Den Hartog, Mechanical Vibrations, and Norton,
//! Design of Machinery, on the V-twin (from memory).

use super::{Unfit, inside};
use crate::quantity::{Angle, Mass, Measure, Share};

/// What one cylinder and one rod weigh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    pub piston: Mass,
    pub pin: Mass,
    /// Both retainers of one pin.
    pub locks: Mass,
    /// The whole set of one piston.
    pub rings: Mass,
    pub small_end: Mass,
    pub big_end: Mass,
    /// Both halves of one rod.
    pub shells: Mass,
    /// Oil allowed for, for the whole crank pin.
    pub oil: Mass,
}

/// A bobweight card.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card {
    /// Of the whole pin.
    pub rotating: Mass,
    /// Of one cylinder.
    pub reciprocating_each: Mass,
    /// Of the whole pin.
    pub reciprocating: Mass,
    /// `share` x `reciprocating`.
    pub counted: Mass,
    pub bobweight: Mass,
    /// Counterweight beyond what the forward half of the pistons asks for, as a weight at the throw; negative: short of it.
    pub left_forward: Mass,
    /// What turns against the crank and no counterweight reaches, as a weight at the throw; its sign is its phase.
    pub left_backward: Mass,
}

const PISTON: (f64, f64) = (0.05, 10.0);
const PIN: (f64, f64) = (0.01, 5.0);
const SMALL: (f64, f64) = (0.0, 1.0);
const SMALL_END: (f64, f64) = (0.03, 5.0);
const BIG_END: (f64, f64) = (0.05, 10.0);
const SHARE: (f64, f64) = (0.40, 0.60);
const BANK: (f64, f64) = (10.0, 180.0);

/// The card of one crank pin. `bank` is the angle between the banks, `share` of the reciprocating weight that counts.
///
/// Refuses a part no engine has, a `bank` outside 10 to 180 degrees and a `share` outside 40 to 60 %.
pub fn card(parts: &Parts, bank: Angle, share: Share) -> Result<Card, Unfit> {
    inside("piston weight", parts.piston, PISTON)?;
    inside("pin", parts.pin, PIN)?;
    inside("locks", parts.locks, SMALL)?;
    inside("rings", parts.rings, SMALL)?;
    inside("small end", parts.small_end, SMALL_END)?;
    inside("big end", parts.big_end, BIG_END)?;
    inside("shells", parts.shells, SMALL)?;
    inside("oil", parts.oil, SMALL)?;
    inside("bank", bank, (BANK.0.to_radians(), BANK.1.to_radians()))?;
    inside("share", share, SHARE)?;
    let each = parts.piston + parts.pin + parts.locks + parts.rings + parts.small_end;
    let rotating = (parts.big_end + parts.shells) * 2.0 + parts.oil;
    let reciprocating = each * 2.0;
    let counted = reciprocating * share.0;
    Ok(Card {
        rotating,
        reciprocating_each: each,
        reciprocating,
        counted,
        bobweight: rotating + counted,
        left_forward: counted - each,
        left_backward: each * bank.si().cos(),
    })
}

/// True where a single-rod crank with its pins at these angles (degrees, front to rear, equally spaced) balances its own
/// rotating weights in force and in couple about its middle, so that it is spun without bobweights.
pub fn balances_itself(pins: &[f64]) -> bool {
    let middle = (pins.len() as f64 - 1.0) / 2.0;
    let mut sums = [0.0; 4];
    for (place, pin) in pins.iter().enumerate() {
        let (sin, cos) = pin.to_radians().sin_cos();
        let arm = place as f64 - middle;
        for (sum, part) in sums.iter_mut().zip([cos, sin, arm * cos, arm * sin]) {
            *sum += part;
        }
    }
    pins.len() > 1 && sums.iter().all(|sum| sum.abs() < 1e-6)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn parts(piston: f64) -> Parts {
        let g = |value: f64| Mass::from_si(value * 1e-3);
        Parts {
            piston: g(piston),
            pin: g(145.0),
            locks: g(4.0),
            rings: g(52.0),
            small_end: g(180.0),
            big_end: g(420.0),
            shells: g(44.0),
            oil: g(5.0),
        }
    }

    fn degrees(value: f64) -> Angle {
        Angle::from_si(value.to_radians())
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(card(&parts(5.0), degrees(90.0), Share(0.5)).unwrap_err().input, "piston weight");
        assert_eq!(card(&parts(560.0), degrees(5.0), Share(0.5)).unwrap_err().input, "bank");
        assert_eq!(card(&parts(560.0), degrees(90.0), Share(0.7)).unwrap_err().input, "share");
        assert_eq!(card(&parts(f64::NAN), degrees(90.0), Share(0.5)).unwrap_err().input, "piston weight");
    }

    /// Textbook: the flat four and the 120 degree six are in balance; three, five and both twins rock or shake.
    #[test]
    fn which_cranks_in_line_are_spun_bare() {
        for pins in [&[0.0, 180.0, 180.0, 0.0][..], &[0.0, 120.0, 240.0, 240.0, 120.0, 0.0]] {
            assert!(balances_itself(pins), "{pins:?}");
        }
        for pins in [
            &[0.0][..],
            &[0.0, 0.0],
            &[0.0, 180.0],
            &[0.0, 120.0, 240.0],
            &[0.0, 144.0, 288.0, 72.0, 216.0],
            &[0.0, 90.0, 270.0, 180.0],
            &[],
        ] {
            assert!(!balances_itself(pins), "{pins:?}");
        }
    }

    proptest! {
        /// The two pistons' primary forces, added as vectors at any crank angle, less the counterweight at a half, leave
        /// a vector as long as `left_backward` says.
        #[test]
        fn what_is_left_is_what_the_forces_leave(
            piston in 100.0_f64..3000.0, bank in 15.0_f64..175.0, crank in 0.0_f64..360.0, share in 0.4_f64..0.6,
        ) {
            let found = card(&parts(piston), degrees(bank), Share(share)).unwrap();
            let m = found.reciprocating_each.si();
            let (half, theta) = (bank.to_radians() / 2.0, crank.to_radians());
            let (left, right) = (m * (theta - half).cos(), m * (theta + half).cos());
            let balance = found.counted.si();
            let x = (left + right) * half.cos() - balance * theta.cos();
            let y = (left - right) * half.sin() - balance * theta.sin();
            let (f, b) = (-found.left_forward.si(), found.left_backward.si());
            prop_assert!((x - (f + b) * theta.cos()).abs() < 1e-9);
            prop_assert!((y - (f - b) * theta.sin()).abs() < 1e-9);
        }

        #[test]
        fn a_gram_of_piston_is_a_gram_of_bobweight_at_a_half(piston in 100.0_f64..3000.0, more in 0.1_f64..50.0) {
            let weight = |p: f64| card(&parts(p), degrees(90.0), Share(0.5)).unwrap().bobweight.si() * 1e3;
            prop_assert!((weight(piston + more) - weight(piston) - more).abs() < 1e-9);
        }
    }
}
