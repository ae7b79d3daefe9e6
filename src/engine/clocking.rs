//! Ring clocking: where each gap sits round the bore, and whether a given set keeps the rules.
//!
//! Angles are seen from above, looking down the bore: degrees clockwise from the engine's front. The gudgeon pin lies
//! front to rear, so its axis is 0 and 180; the thrust axis is 90 (right) and 270 (left).
//!
//! The rules are common practice: top and second gaps about opposite; both rails and the expander's ends away from those and
//! from each other; none on the pin axis or in line with a thrust face. Five gaps cannot all stand the usual 90 apart, so
//! what is held here is stated in figures: [`OPPOSED_WITHIN`], [`APART`], [`CLEAR_OF_AXIS`].

use super::model::{Engine, Side};
use super::position::Ring;

/// Top and second gaps may differ from opposite by this many degrees.
pub const OPPOSED_WITHIN: f64 = 20.0;
/// Any other two gaps stand at least this many degrees apart.
pub const APART: f64 = 45.0;
/// No gap stands nearer to the pin axis or the thrust axis than this many degrees.
pub const CLEAR_OF_AXIS: f64 = 15.0;

/// Angles further round than this are taken for a slip of the finger.
const FARTHEST: f64 = 720.0;

/// One gap and where it sits, degrees from 0 to below 360.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub ring: Ring,
    pub angle: f64,
}

/// A set of gaps, each ring once at most, top to bottom. It may be partial.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Clocking {
    gaps: Vec<Gap>,
}

/// Why a set of gaps cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unplaced {
    /// Not a number, or beyond two turns.
    NotAnAngle { ring: Ring, given: f64 },
    /// The same ring given twice.
    Twice(Ring),
}

/// A rule that a set does not keep. Angles in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finding {
    /// Top and second stand `apart`, too far from 180.
    NotOpposed { apart: f64 },
    /// Two gaps stand only `apart`.
    TooClose { one: Gap, other: Gap, apart: f64 },
    /// A gap stands `off` the pin axis.
    OnPinAxis { gap: Gap, off: f64 },
    /// A gap stands `off` the middle of a thrust face.
    OnThrustFace { gap: Gap, off: f64, side: Side },
}

impl Clocking {
    /// A set as given; angles beyond a turn or below nothing are brought round.
    pub fn new(given: impl IntoIterator<Item = (Ring, f64)>) -> Result<Self, Unplaced> {
        let mut gaps: Vec<Gap> = Vec::new();
        for (ring, angle) in given {
            if !angle.is_finite() || angle.abs() > FARTHEST {
                return Err(Unplaced::NotAnAngle { ring, given: angle });
            }
            if gaps.iter().any(|gap| gap.ring == ring) {
                return Err(Unplaced::Twice(ring));
            }
            gaps.push(Gap { ring, angle: round(angle) });
        }
        gaps.sort_by_key(|gap| gap.ring);
        Ok(Self { gaps })
    }

    /// The set this shop uses: the top gap at the front on the minor thrust side, the second opposite, the oil ring's
    /// ends between them. One setting serves every bore of the engine; reverse rotation mirrors it.
    pub fn usual(engine: &Engine) -> Self {
        let on_minor_left = [
            (Ring::Top, 315.0),
            (Ring::Second, 135.0),
            (Ring::UpperRail, 200.0),
            (Ring::LowerRail, 45.0),
            (Ring::Expander, 250.0),
        ];
        let gaps = on_minor_left
            .map(|(ring, angle)| match engine.major_side() {
                Side::Right => Gap { ring, angle },
                Side::Left => Gap { ring, angle: round(-angle) },
            })
            .to_vec();
        Self { gaps }
    }

    /// The gaps, top to bottom.
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// Where a ring's gap sits, if it is in the set.
    pub fn angle(&self, ring: Ring) -> Option<f64> {
        self.gaps.iter().find(|gap| gap.ring == ring).map(|gap| gap.angle)
    }

    /// The rings that the set leaves out.
    pub fn missing(&self) -> Vec<Ring> {
        Ring::ALL.into_iter().filter(|ring| self.angle(*ring).is_none()).collect()
    }

    /// Every rule the set does not keep; empty when it keeps them all. Only the gaps given are judged.
    pub fn judge(&self) -> Vec<Finding> {
        let mut found = Vec::new();
        for (i, &one) in self.gaps.iter().enumerate() {
            for &other in &self.gaps[i + 1..] {
                let apart = between(one.angle, other.angle);
                if (one.ring, other.ring) == (Ring::Top, Ring::Second) {
                    if apart < 180.0 - OPPOSED_WITHIN - SLACK {
                        found.push(Finding::NotOpposed { apart });
                    }
                } else if apart < APART - SLACK {
                    found.push(Finding::TooClose { one, other, apart });
                }
            }
        }
        for &gap in &self.gaps {
            let off = |axis| between(gap.angle, axis);
            let off_pin = off(0.0).min(off(180.0));
            if off_pin < CLEAR_OF_AXIS - SLACK {
                found.push(Finding::OnPinAxis { gap, off: off_pin });
            }
            for (side, axis) in [(Side::Right, 90.0), (Side::Left, 270.0)] {
                if off(axis) < CLEAR_OF_AXIS - SLACK {
                    found.push(Finding::OnThrustFace { gap, off: off(axis), side });
                }
            }
        }
        found
    }
}

/// An angle typed on the limit keeps it.
const SLACK: f64 = 1e-9;

/// An angle from 0 to below 360.
fn round(angle: f64) -> f64 {
    let angle = angle.rem_euclid(360.0);
    // A hair below nothing comes round to a full turn.
    if angle >= 360.0 { 0.0 } else { angle }
}

/// Degrees between two angles the short way, 0 to 180.
fn between(a: f64, b: f64) -> f64 {
    let apart = (a - b).abs() % 360.0;
    apart.min(360.0 - apart)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::super::demo;
    use super::*;
    use proptest::prelude::*;

    fn set(given: &[(Ring, f64)]) -> Clocking {
        Clocking::new(given.iter().copied()).unwrap()
    }

    #[test]
    fn the_usual_set_keeps_its_own_rules_whole_and_in_part() {
        for engine in demo::engines() {
            let usual = Clocking::usual(&engine);
            assert!(usual.missing().is_empty());
            for mask in 0..32 {
                let part: Vec<_> = usual.gaps().iter().enumerate().filter(|(i, _)| mask >> i & 1 == 1).collect();
                let part = set(&part.iter().map(|(_, g)| (g.ring, g.angle)).collect::<Vec<_>>());
                assert_eq!(part.judge(), [], "{part:?}");
            }
        }
    }

    #[test]
    fn reverse_rotation_mirrors_the_set_and_the_top_gap_keeps_off_the_major_side() {
        let [skerry, _, dunlin] = demo::engines();
        let (usual, mirrored) = (Clocking::usual(&skerry), Clocking::usual(&dunlin));
        for gap in usual.gaps() {
            assert_eq!(mirrored.angle(gap.ring), Some(360.0 - gap.angle));
        }
        // Major thrust is on the right (90) for clockwise, so the top gap is in the left half.
        assert!(usual.angle(Ring::Top).unwrap() > 180.0 && mirrored.angle(Ring::Top).unwrap() < 180.0);
    }

    #[test]
    fn each_rule_by_hand() {
        let on_axis = set(&[(Ring::Top, 0.0), (Ring::Second, 180.0)]).judge();
        assert_eq!(on_axis.len(), 2);
        assert!(on_axis.iter().all(|f| matches!(f, Finding::OnPinAxis { off: 0.0, .. })));

        let facing = set(&[(Ring::Top, 80.0)]).judge();
        assert!(matches!(facing[..], [Finding::OnThrustFace { off: 10.0, side: Side::Right, .. }]));

        assert_eq!(set(&[(Ring::Top, 45.0), (Ring::Second, 135.0)]).judge(), [Finding::NotOpposed { apart: 90.0 }]);
        assert!(set(&[(Ring::Top, 30.0), (Ring::Second, 230.0)]).judge().is_empty(), "160 apart is opposed enough");

        let close = set(&[(Ring::Expander, 20.0), (Ring::UpperRail, 340.0)]).judge();
        assert!(matches!(close[..], [Finding::TooClose { apart: 40.0, .. }]));
        assert!(set(&[(Ring::Expander, 75.0), (Ring::UpperRail, 30.0)]).judge().is_empty(), "45 apart, 15 off: kept");
    }

    #[test]
    fn what_is_no_angle_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, -f64::INFINITY, 1e9] {
            assert!(matches!(Clocking::new([(Ring::Top, bad)]), Err(Unplaced::NotAnAngle { ring: Ring::Top, .. })));
        }
        assert_eq!(Clocking::new([(Ring::Top, 45.0), (Ring::Top, 50.0)]), Err(Unplaced::Twice(Ring::Top)));
        assert_eq!(set(&[(Ring::Top, -45.0)]).angle(Ring::Top), Some(315.0));
        assert_eq!(set(&[(Ring::Top, -1e-20)]).angle(Ring::Top), Some(0.0));
    }

    proptest! {
        #[test]
        fn a_mirrored_set_has_as_many_findings(angles in prop::array::uniform5(0.0..360.0f64)) {
            let given: Vec<_> = Ring::ALL.into_iter().zip(angles).collect();
            let mirrored: Vec<_> = given.iter().map(|&(ring, angle)| (ring, -angle)).collect();
            let (found, reflected) = (set(&given).judge(), set(&mirrored).judge());
            prop_assert_eq!(found.len(), reflected.len());
        }

        #[test]
        fn whole_turns_change_nothing(angle in 0.0..360.0f64, turns in -1i8..=1) {
            let turned = set(&[(Ring::Second, angle + 360.0 * f64::from(turns))]);
            prop_assert!(between(turned.angle(Ring::Second).unwrap(), angle) < 1e-9);
        }
    }
}
