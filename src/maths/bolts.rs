//! Preload of a bolt and the torque that makes it.
//!
//! * Preload F = c Sp At: a share of the proof strength over the tensile stress area (Shigley, bolted joints).
//! * Full form (ISO 16047): T = F [ (d2/2) tan(phi + rho) + mu_h Dkm/2 ] with tan phi = P / (pi d2) and
//!   tan rho = mu_t / cos 30 degrees. Head and thread friction are separate.
//! * Its shorthand: T = F (0.159 P + 0.577 mu_t d2 + mu_h Dkm/2), about half a per cent lower at usual friction (VDI 2230).
//! * Nut factor form: T = K d F, all friction in one number.
//!
//! Forces in newtons, torques in newton metres, lengths in metres, friction coefficients plain.

use std::f64::consts::PI;

use super::threads::{Area, Thread};
use super::{Unfit, inside};
use crate::quantity::{Force, Length, Measure, Number, Pressure, Share, Torque};
use uom::si::area::square_meter;

/// Coefficients of friction met on oiled, dry or pasted steel, with room either side.
const FRICTION: (f64, f64) = (0.02, 0.5);
/// Nut factors.
const NUT_FACTOR: (f64, f64) = (0.05, 0.5);
/// Share of the proof load a preload may be.
const SHARE: (f64, f64) = (0.05, 1.0);
/// Proof strengths of bolts, Pa.
const PROOF: (f64, f64) = (100e6, 2e9);
/// Stress over the thread's area that a preload can be: more breaks any bolt, less holds nothing. Pa.
const STRESS: (f64, f64) = (1e6, 2e9);
/// Mean diameter of the head's bearing ring, in thread diameters.
const RING: (f64, f64) = (1.0, 2.5);

/// A preload and what it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Preload {
    pub area: Area,
    /// Sp At.
    pub proof_load: Force,
    pub preload: Force,
    /// Preload over the area.
    pub stress: Pressure,
}

/// F = c Sp At. Refuses `proof` and `share` no bolt can have; more than the proof load is no preload here.
pub fn preload(thread: &Thread, proof: Pressure, share: Share) -> Result<Preload, Unfit> {
    inside("proof", proof, PROOF)?;
    inside("share", share, SHARE)?;
    let area = thread.stress_area();
    let proof_load = proof.si() * area.get::<square_meter>();
    Ok(Preload {
        area,
        proof_load: Force::from_si(proof_load),
        preload: Force::from_si(share.0 * proof_load),
        stress: Pressure::from_si(share.0 * proof.si()),
    })
}

/// Friction in the threads and under the head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    pub thread: f64,
    pub head: f64,
}

/// Torque per unit of preload, part by part: each a lever arm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arms {
    /// P / (2 pi): what stretches the bolt.
    pub pitch: Length,
    /// Pitch and thread friction together: (d2/2) tan(phi + rho).
    pub thread: Length,
    /// mu_h Dkm / 2.
    pub head: Length,
    /// `thread` + `head`.
    pub whole: Length,
    /// 0.159 P + 0.577 mu_t d2 + mu_h Dkm / 2.
    pub shorthand: Length,
}

/// The arms of a thread with `ring`, the mean diameter of the bearing ring under the head.
pub fn arms(thread: &Thread, friction: Friction, ring: Length) -> Result<Arms, Unfit> {
    inside("thread friction", Number(friction.thread), FRICTION)?;
    inside("head friction", Number(friction.head), FRICTION)?;
    inside("ring", ring, (thread.diameter.si() * RING.0, thread.diameter.si() * RING.1))?;
    let d2 = thread.pitch_diameter();
    let lead = (thread.pitch.si() / (PI * d2.si())).atan();
    let rub = (friction.thread / (PI / 6.0).cos()).atan();
    let (in_thread, head) = (d2 / 2.0 * (lead + rub).tan(), ring * friction.head / 2.0);
    Ok(Arms {
        pitch: thread.pitch / (2.0 * PI),
        thread: in_thread,
        head,
        whole: in_thread + head,
        shorthand: thread.pitch * 0.159 + d2 * (0.577 * friction.thread) + head,
    })
}

/// A torque and the preload it makes, with what friction does to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightening {
    pub arms: Arms,
    pub preload: Force,
    pub torque: Torque,
    /// The same preload by the shorthand.
    pub shorthand: Torque,
    /// T / (d F): the nut factor that would say the same.
    pub nut_factor: f64,
    /// Preload at the same torque with both frictions a third lower.
    pub slick: Force,
    /// Preload at the same torque with both frictions a third higher.
    pub rough: Force,
}

/// The torque for a preload. Refuses `preload` that would be no stress or break any bolt.
pub fn torque(thread: &Thread, friction: Friction, ring: Length, preload: Force) -> Result<Tightening, Unfit> {
    possible(thread, preload)?;
    let arms = arms(thread, friction, ring)?;
    tightened(thread, friction, ring, arms, preload)
}

/// The preload a torque makes. Refuses `torque` that would be no stress or break any bolt.
pub fn from_torque(thread: &Thread, friction: Friction, ring: Length, torque: Torque) -> Result<Tightening, Unfit> {
    let arms = arms(thread, friction, ring)?;
    let area = thread.stress_area().get::<square_meter>();
    let arm = arms.whole.si();
    inside("torque", torque, (STRESS.0 * area * arm, STRESS.1 * area * arm))?;
    tightened(thread, friction, ring, arms, Force::from_si(torque.si() / arm))
}

fn tightened(
    thread: &Thread,
    friction: Friction,
    ring: Length,
    whole: Arms,
    preload: Force,
) -> Result<Tightening, Unfit> {
    let torque = preload.si() * whole.whole.si();
    // Friction is scaled past the range it is typed in: the question is what it would do.
    let other = |factor: f64| {
        let d2 = thread.pitch_diameter().si();
        let lead = whole.pitch.si() * 2.0 / d2;
        let rub = friction.thread * factor / (PI / 6.0).cos();
        let arm = d2 / 2.0 * (lead.atan() + rub.atan()).tan() + friction.head * factor * ring.si() / 2.0;
        Force::from_si(torque / arm)
    };
    Ok(Tightening {
        arms: whole,
        preload,
        torque: Torque::from_si(torque),
        shorthand: Torque::from_si(preload.si() * whole.shorthand.si()),
        nut_factor: whole.whole.si() / thread.diameter.si(),
        slick: other(2.0 / 3.0),
        rough: other(4.0 / 3.0),
    })
}

/// T = K d F. Refuses `nut factor` no bolt has.
pub fn by_nut_factor(thread: &Thread, factor: f64, preload: Force) -> Result<Torque, Unfit> {
    inside("nut factor", Number(factor), NUT_FACTOR)?;
    possible(thread, preload)?;
    Ok(Torque::from_si(factor * thread.diameter.si() * preload.si()))
}

/// A preload the thread could carry at all.
pub(super) fn possible(thread: &Thread, preload: Force) -> Result<Force, Unfit> {
    let area = thread.stress_area().get::<square_meter>();
    inside("preload", preload, (STRESS.0 * area, STRESS.1 * area))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::millimetres;

    fn m10() -> Thread {
        Thread::coarse(millimetres(10.0)).unwrap()
    }

    #[test]
    fn nonsense_is_named() {
        let even = |mu| Friction { thread: mu, head: mu };
        let load = Force::from_si(25e3);
        assert_eq!(preload(&m10(), Pressure::from_si(580.0), Share(0.75)).unwrap_err().input, "proof");
        assert_eq!(preload(&m10(), Pressure::from_si(580e6), Share(75.0)).unwrap_err().input, "share");
        let ring = millimetres(13.0);
        assert_eq!(torque(&m10(), even(1.4), ring, load).unwrap_err().input, "thread friction");
        assert_eq!(torque(&m10(), even(0.14), millimetres(1.3), load).unwrap_err().input, "ring");
        assert_eq!(torque(&m10(), even(0.14), ring, Force::from_si(25e6)).unwrap_err().input, "preload");
        assert_eq!(from_torque(&m10(), even(0.14), ring, Torque::from_si(1e6)).unwrap_err().input, "torque");
        assert_eq!(by_nut_factor(&m10(), 2.0, load).unwrap_err().input, "nut factor");
        assert!(torque(&m10(), even(f64::NAN), ring, load).is_err());
    }

    proptest! {
        #[test]
        fn torque_and_back(mu in 0.05_f64..0.3, head in 0.05_f64..0.3, load in 5e3_f64..60e3) {
            let (friction, ring) = (Friction { thread: mu, head }, millimetres(13.0));
            let there = torque(&m10(), friction, ring, Force::from_si(load)).unwrap();
            let back = from_torque(&m10(), friction, ring, there.torque).unwrap();
            prop_assert!((back.preload.si() / load - 1.0).abs() < 1e-12);
            prop_assert!(there.slick > there.preload && there.rough < there.preload);
            // The nut factor found is the one that gives the same torque.
            let same = by_nut_factor(&m10(), there.nut_factor, Force::from_si(load)).unwrap();
            prop_assert!((same.si() / there.torque.si() - 1.0).abs() < 1e-12);
        }

        #[test]
        fn the_shorthand_is_a_little_low_and_never_far_off(mu in 0.05_f64..0.2) {
            let found = torque(&m10(), Friction { thread: mu, head: mu }, millimetres(13.0), Force::from_si(25e3)).unwrap();
            let ratio = found.shorthand.si() / found.torque.si();
            prop_assert!(ratio < 1.0 && ratio > 0.985, "{ratio}");
        }
    }
}
