//! Cam timing on the degree wheel.
//!
//! All angles are **crank** degrees, twice what the cam turns, except lobe separation, which the trade gives in cam
//! degrees. An event is counted from the dead centre it lies next to: the intake opens before top and closes after
//! bottom, the exhaust opens before bottom and closes after top; on the other side of it the event is negative. Every
//! event belongs to the lift it was read at (0.050 in, advertised); events at different lifts cannot be mixed.
//!
//! * Duration = opens + 180 + closes.
//! * Intake centreline, after top = duration / 2 - opens. Exhaust centreline, before top = duration / 2 - closes.
//! * Centreline from two wheel readings at one lift before and after the peak = their mean.
//! * Overlap = intake opens + exhaust closes = (intake + exhaust duration) / 2 - 2 x separation.
//! * Separation = (intake + exhaust centreline) / 2, in cam degrees. Advance as it stands = (exhaust - intake) / 2.
//! * Offset that turns a gear by an angle on its shaft: a stepped key, r sin(angle) at the shaft's surface; an eccentric
//!   bush on a dowel, the chord 2 r sin(angle / 2) of the dowel's circle. Angle on the crank gear = crank degrees, on the
//!   cam gear half of them.
//!
//! Definitions of valve timing and plane geometry. Angles in radians, lengths in metres.

use super::{Rule, Unfit, finite, inside};
use crate::quantity::{Angle, Length, Measure, Number};

const fn degrees(low: f64, high: f64) -> (f64, f64) {
    (low.to_radians(), high.to_radians())
}

/// One valve event, from its dead centre.
const EVENT: (f64, f64) = degrees(-90.0, 130.0);
const DURATION: (f64, f64) = degrees(100.0, 420.0);
/// A lobe's centreline: two teeth out is still found.
const CENTRELINE: (f64, f64) = degrees(60.0, 160.0);
/// A wheel reading beside the peak.
const BESIDE: (f64, f64) = degrees(-60.0, 250.0);
const SEPARATION: (f64, f64) = degrees(85.0, 130.0);
const MOVE: (f64, f64) = degrees(-30.0, 30.0);
/// Shaft at its key, or circle of a dowel, on diameter: m.
const CIRCLE: (f64, f64) = (0.008, 0.150);
/// Where events are read, at the follower: m.
const CHECKING_LIFT: (f64, f64) = (0.000_05, 0.006);
const LOBE_LIFT: (f64, f64) = (0.0015, 0.025);
const TEETH: (f64, f64) = (12.0, 80.0);

/// Which lobe of a cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lobe {
    Intake,
    Exhaust,
}

/// Events of one lobe, with what they come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timing {
    pub opens: Angle,
    pub closes: Angle,
    pub duration: Angle,
    /// Intake: after top. Exhaust: before top.
    pub centreline: Angle,
}

/// Duration and centreline from the events of a lobe. Refuses `opens`, `closes`, and events that no lobe has together.
pub fn timing(lobe: Lobe, opens: Angle, closes: Angle) -> Result<Timing, Unfit> {
    inside("opens", opens, EVENT)?;
    inside("closes", closes, EVENT)?;
    let half_turn = Angle::from_si(std::f64::consts::PI);
    let duration = opens + half_turn + closes;
    // What `closes` may be for this opening, so that the duration is one a lobe has.
    let rest = (opens + half_turn).si();
    inside("closes", closes, (DURATION.0 - rest, DURATION.1 - rest))?;
    let towards_top = if lobe == Lobe::Intake { opens } else { closes };
    let centreline = duration / 2.0 - towards_top;
    Ok(Timing { opens, closes, duration, centreline })
}

/// The centreline half-way between two wheel readings at one lift, `rising` before the peak and `falling` after it.
///
/// Intake readings are after top, so `falling` is the larger; exhaust readings are before top, so `rising` is.
pub fn peak(lobe: Lobe, rising: Angle, falling: Angle) -> Result<Angle, Unfit> {
    inside("rising", rising, BESIDE)?;
    inside("falling", falling, BESIDE)?;
    match lobe {
        Lobe::Intake if falling <= rising => {
            return Err(Unfit::new("falling", Rule::MustBeAbove { other: "reading before the peak" }));
        }
        Lobe::Exhaust if rising <= falling => {
            return Err(Unfit::new("rising", Rule::MustBeAbove { other: "reading past the peak" }));
        }
        _ => {}
    }
    let centreline = (rising + falling) / 2.0;
    inside("falling", falling, (2.0 * CENTRELINE.0 - rising.si(), 2.0 * CENTRELINE.1 - rising.si()))?;
    Ok(centreline)
}

/// How far a lobe is ahead of its card, crank degrees; negative is retarded.
pub fn advance(lobe: Lobe, centreline: Angle, card: Angle) -> Result<Angle, Unfit> {
    inside("card", card, CENTRELINE)?;
    finite("centreline", centreline)?;
    Ok(match lobe {
        Lobe::Intake => card - centreline,
        Lobe::Exhaust => centreline - card,
    })
}

/// Sees that the lift the events were read `at`, and the greatest `lift`, are what a follower has.
pub fn lifts(at: Length, lift: Option<Length>) -> Result<(), Unfit> {
    inside("at", at, CHECKING_LIFT)?;
    if let Some(lift) = lift {
        inside("lift", lift, LOBE_LIFT)?;
        if lift <= at {
            return Err(Unfit::new("lift", Rule::MustBeAbove { other: "lift the events were read at" }));
        }
    }
    Ok(())
}

/// Overlap from the two events about top: negative where both valves are shut for a while.
pub fn overlap(intake_opens: Angle, exhaust_closes: Angle) -> Result<Angle, Unfit> {
    Ok(inside("intake opens", intake_opens, EVENT)? + inside("exhaust closes", exhaust_closes, EVENT)?)
}

/// The same from durations at one lift and the lobe separation (cam degrees).
pub fn overlap_by_durations(intake: Angle, exhaust: Angle, separation: Angle) -> Result<Angle, Unfit> {
    inside("intake", intake, DURATION)?;
    inside("exhaust", exhaust, DURATION)?;
    inside("separation", separation, SEPARATION)?;
    Ok((intake + exhaust) / 2.0 - separation * 2.0)
}

/// How the two lobes of a cylinder stand to one another and to the crank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Separation {
    /// Cam degrees.
    pub separation: Angle,
    /// Crank degrees ahead of straight up, where both centrelines would be equal; negative is retarded.
    pub advance: Angle,
}

/// Lobe separation from the intake centreline (after top) and the exhaust's (before top).
pub fn separation(intake: Angle, exhaust: Angle) -> Result<Separation, Unfit> {
    inside("intake", intake, CENTRELINE)?;
    inside("exhaust", exhaust, CENTRELINE)?;
    Ok(Separation { separation: (intake + exhaust) / 2.0, advance: (exhaust - intake) / 2.0 })
}

/// The gear that is turned on its shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gear {
    Crank,
    Cam,
}

/// What turns it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// A stepped key at the shaft's surface.
    Key,
    /// An eccentric bush in a dowel hole.
    Bush,
}

/// What moves a cam by so much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// Crank degrees asked for; positive advances.
    pub by: Angle,
    /// How far the gear turns on its own shaft.
    pub on_shaft: Angle,
    pub radius: Length,
    /// Always positive; the sign of `by` says which way.
    pub offset: Length,
    /// What one tooth is worth in crank degrees.
    pub tooth: Option<Angle>,
}

/// The offset of a key or bush that moves the cam `by` crank degrees; `diameter` is the shaft's at the key, or that of
/// the dowel's circle; `teeth` those of the crank gear.
pub fn offset(by: Angle, gear: Gear, means: Means, diameter: Length, teeth: Option<u32>) -> Result<Offset, Unfit> {
    inside("by", by, MOVE)?;
    inside("diameter", diameter, CIRCLE)?;
    let tooth = match teeth {
        Some(teeth) => {
            inside("teeth", Number(f64::from(teeth)), TEETH)?;
            Some(Angle::from_si(std::f64::consts::TAU / f64::from(teeth)))
        }
        None => None,
    };
    let on_shaft = if gear == Gear::Crank { by } else { by / 2.0 };
    let radius = diameter / 2.0;
    let turn = on_shaft.si().abs();
    let offset = match means {
        Means::Key => radius * turn.sin(),
        Means::Bush => radius * 2.0 * (turn / 2.0).sin(),
    };
    Ok(Offset { by, on_shaft, radius, offset, tooth })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn deg(degrees: f64) -> Angle {
        Angle::from_si(degrees.to_radians())
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(timing(Lobe::Intake, deg(200.0), deg(40.0)).unwrap_err().input, "opens");
        assert_eq!(timing(Lobe::Intake, deg(-60.0), deg(-60.0)).unwrap_err().input, "closes");
        assert_eq!(timing(Lobe::Intake, deg(f64::NAN), deg(40.0)).unwrap_err().rule, Rule::MustBeFinite);
        let swapped = peak(Lobe::Intake, deg(146.0), deg(68.0)).unwrap_err();
        assert_eq!(swapped, Unfit::new("falling", Rule::MustBeAbove { other: "reading before the peak" }));
        assert_eq!(peak(Lobe::Exhaust, deg(72.0), deg(150.0)).unwrap_err().input, "rising");
        assert_eq!(peak(Lobe::Intake, deg(0.0), deg(20.0)).unwrap_err().input, "falling");
        assert_eq!(advance(Lobe::Intake, deg(107.0), deg(10.0)).unwrap_err().input, "card");
        assert_eq!(offset(deg(45.0), Gear::Crank, Means::Key, inches(1.25), None).unwrap_err().input, "by");
        assert_eq!(offset(deg(4.0), Gear::Crank, Means::Key, millimetres(1.25), None).unwrap_err().input, "diameter");
        assert_eq!(offset(deg(4.0), Gear::Crank, Means::Key, inches(1.25), Some(2)).unwrap_err().input, "teeth");
        assert_eq!(separation(deg(10.0), deg(110.0)).unwrap_err().input, "intake");
        assert_eq!(overlap_by_durations(deg(280.0), deg(280.0), deg(20.0)).unwrap_err().input, "separation");
    }

    proptest! {
        #[test]
        fn events_come_back_from_centreline_and_duration(opens in -20.0_f64..60.0, closes in 0.0_f64..90.0) {
            let t = timing(Lobe::Intake, deg(opens), deg(closes)).unwrap();
            prop_assert!((t.duration.si() / 2.0 - t.centreline.si() - t.opens.si()).abs() < 1e-12);
            // The same lobe read from the other end: centreline + half the duration is the closing, 180 after bottom.
            let end = (t.centreline + t.duration / 2.0).si().to_degrees();
            prop_assert!((end - 180.0 - closes).abs() < 1e-9);
            // The exhaust lobe is its mirror image.
            let mirror = timing(Lobe::Exhaust, deg(closes), deg(opens)).unwrap();
            prop_assert!((mirror.centreline - t.centreline).si().abs() < 1e-12);
        }

        #[test]
        fn both_ways_to_overlap_agree(io in -10.0_f64..50.0, ic in 20.0_f64..80.0, eo in 20.0_f64..80.0, ec in -10.0_f64..50.0) {
            let intake = timing(Lobe::Intake, deg(io), deg(ic)).unwrap();
            let exhaust = timing(Lobe::Exhaust, deg(eo), deg(ec)).unwrap();
            let lobes = separation(intake.centreline, exhaust.centreline).unwrap();
            prop_assume!((85.0..130.0).contains(&lobes.separation.si().to_degrees()));
            let by_durations = overlap_by_durations(intake.duration, exhaust.duration, lobes.separation).unwrap();
            prop_assert!((by_durations - overlap(deg(io), deg(ec)).unwrap()).si().abs() < 1e-12);
        }

        #[test]
        fn advancing_the_cam_moves_both_lobes_and_keeps_their_separation(by in -10.0_f64..10.0, icl in 95.0_f64..125.0, ecl in 95.0_f64..125.0) {
            let before = separation(deg(icl), deg(ecl)).unwrap();
            let after = separation(deg(icl - by), deg(ecl + by)).unwrap();
            prop_assert!((after.separation - before.separation).si().abs() < 1e-12);
            prop_assert!((after.advance - before.advance - deg(by)).si().abs() < 1e-12);
            prop_assert!((advance(Lobe::Intake, deg(icl - by), deg(icl)).unwrap() - deg(by)).si().abs() < 1e-12);
            prop_assert!((advance(Lobe::Exhaust, deg(ecl + by), deg(ecl)).unwrap() - deg(by)).si().abs() < 1e-12);
        }

        #[test]
        fn the_cam_gear_turns_half_as_far(by in 0.1_f64..30.0, diameter in 0.01_f64..0.14) {
            let on = |gear, by| offset(deg(by), gear, Means::Key, Length::from_si(diameter), None).unwrap().offset;
            prop_assert!((on(Gear::Cam, by) - on(Gear::Crank, by / 2.0)).si().abs() < 1e-15);
            prop_assert!(on(Gear::Crank, by) > on(Gear::Crank, by * 0.9));
            prop_assert_eq!(on(Gear::Crank, by), on(Gear::Crank, -by));
        }
    }
}
