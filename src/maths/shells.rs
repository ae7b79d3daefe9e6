//! Half-shells: which mix brings a bearing into its limits, and how hard a pair grips its housing.
//!
//! * A shell marked u under is for a journal u smaller, so each half is u / 2 thicker: a pair takes u off the clearance,
//!   one such half with a standard one u / 2 (definition). An oversize mark is a negative u.
//! * Mixes tried: like halves, and halves whose marks are neighbours on the list (never further apart: common practice).
//!   The best is the one inside the limits nearest their middle; between equals, like halves.
//! * Crush per half = length of a half-shell round its outside - half the housing's circumference (pi x housing / 2). A pair
//!   is longer than its hole by twice that, which is what a feeler finds at one joint with its bolt slack and the other
//!   torqued. Crush / pi x 2 is the interference on diameter. Definitions.
//! * Free spread = width of a half-shell across its joint faces, free, - housing: it must be more than nothing.
//!
//! Lengths in metres; clearances on diameter.

use std::f64::consts::PI;

use super::{Rule, Unfit, around, bounds, counted, inside};
use crate::quantity::{Length, Measure, above, below};

/// Undersize mark of a shell that is mixed to trim a clearance, m; negative is oversize.
const MARK: (f64, f64) = (-0.0002, 0.0002);
/// Oil clearance with the shells that are in now, m; interference is a finding.
const CLEARANCE: (f64, f64) = (-0.0005, 0.0005);
/// What a limit of oil clearance can be, m.
const LIMIT: (f64, f64) = (0.0, 0.0005);

/// Two half-shells by their marks and the clearance they give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// Undersize marks of the halves, the smaller first.
    pub marks: (Length, Length),
    pub clearance: Length,
    /// Clearance - middle of the limits.
    pub off_middle: Length,
    pub within: bool,
}

impl Mix {
    /// Both halves alike.
    pub fn is_like(&self) -> bool {
        self.marks.0 == self.marks.1
    }
}

/// The mixes of one bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct Picked {
    /// With standard halves.
    pub standard: Length,
    pub best: Mix,
    /// Every mix tried, the best first.
    pub all: Vec<Mix>,
}

/// The best mix for each bearing, from its clearance with standard halves and the marks on the shelf.
///
/// Refuses `clearance`s no bearing has, `marks` beyond 0.2 mm either way, and limits upside down.
pub fn pick(standard: &[Length], marks: &[Length], min: Length, max: Length) -> Result<Vec<Picked>, Unfit> {
    counted("clearance", standard.len(), 1, 24)?;
    counted("shells", marks.len(), 1, 12)?;
    for clearance in standard {
        inside("clearance", *clearance, CLEARANCE)?;
    }
    for mark in marks {
        inside("shells", *mark, MARK)?;
    }
    inside("min", min, LIMIT)?;
    inside("max", max, LIMIT)?;
    if above(min, max) {
        return Err(Unfit::new("min", Rule::MustNotExceed { other: "max" }));
    }
    let mut marks = marks.to_vec();
    marks.sort_by(|a, b| a.si().total_cmp(&b.si()));
    marks.dedup();
    let like = marks.iter().map(|mark| (*mark, *mark));
    let pairs: Vec<_> = like.chain(marks.windows(2).map(|two| (two[0], two[1]))).collect();
    let middle = (min + max) / 2.0;
    let of = |standard: Length| {
        let mut all: Vec<Mix> = pairs
            .iter()
            .map(|(a, b)| {
                let clearance = standard - (*a + *b) / 2.0;
                let within = !below(clearance, min) && !above(clearance, max);
                Mix { marks: (*a, *b), clearance, off_middle: clearance - middle, within }
            })
            .collect();
        // The pairs stand like halves first, and the sort is stable: equals to a nanometre keep that order.
        all.sort_by_key(|mix| (!mix.within, (mix.off_middle.si().abs() * 1e9).round() as i64));
        Picked { standard, best: all[0], all }
    };
    Ok(standard.iter().map(|clearance| of(*clearance)).collect())
}

/// How a pair of shells sits in its housing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crush {
    /// pi x housing / 2.
    pub half_circumference: Length,
    /// Per half.
    pub per_half: Length,
    /// Both halves, as it shows at one joint.
    pub pair: Length,
    /// Pair / pi: how much bigger the pair is than its hole, on diameter.
    pub on_diameter: Length,
    /// Pair / circumference.
    pub strain: f64,
}

fn crushed(housing: Length, per_half: Length) -> Crush {
    let half_circumference = housing * (PI / 2.0);
    Crush {
        half_circumference,
        per_half,
        pair: per_half * 2.0,
        on_diameter: per_half * (2.0 / PI),
        strain: per_half.si() / half_circumference.si(),
    }
}

/// From the lengths of one half or of both round their outside. Refuses a `length` that is not within a fiftieth of
/// half the housing's circumference.
pub fn crush_of_lengths(housing: Length, lengths: &[Length]) -> Result<Crush, Unfit> {
    inside("housing", housing, bounds::HOUSING)?;
    counted("length", lengths.len(), 1, 2)?;
    let half = housing.si() * PI / 2.0;
    let mut sum = Length::from_si(0.0);
    for length in lengths {
        inside("length", *length, (half * 0.98, half * 1.02))?;
        sum += *length;
    }
    Ok(crushed(housing, sum / lengths.len() as f64 - Length::from_si(half)))
}

/// From the gap at one joint: that bolt slack, the other torqued, both shells in.
pub fn crush_of_gap(housing: Length, gap: Length) -> Result<Crush, Unfit> {
    inside("housing", housing, bounds::HOUSING)?;
    inside("gap", gap, (0.0, 0.001))?;
    Ok(crushed(housing, gap / 2.0))
}

/// Free spread - housing. Refuses a `spread` more than a twentieth off the housing.
pub fn free_spread(housing: Length, spread: Length) -> Result<Length, Unfit> {
    inside("housing", housing, bounds::HOUSING)?;
    inside("spread", spread, around(housing.si()))?;
    Ok(spread - housing)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn between_equals_like_halves_come_first() {
        // 0.0030 with -1/0/+1: middle 0.00275 is a quarter thou from standard and from the mix.
        let marks = [0.0, 0.001, -0.001].map(inches);
        let found = pick(&[inches(0.0030)], &marks, inches(0.0020), inches(0.0035)).unwrap();
        assert_eq!(found[0].best.marks, (inches(0.0), inches(0.0)));
        assert_eq!(found[0].all.len(), 5);
    }

    #[test]
    fn marks_far_apart_are_not_mixed() {
        let marks = [0.0, 0.001, 0.002].map(inches);
        let found = pick(&[inches(0.0030)], &marks, inches(0.0015), inches(0.0025)).unwrap();
        assert!(found[0].all.iter().all(|mix| (mix.marks.1 - mix.marks.0) < inches(0.0011)));
    }

    #[test]
    fn nonsense_is_named() {
        let go = |clearance, mark, min, max| {
            pick(&[inches(clearance)], &[inches(mark)], inches(min), inches(max)).unwrap_err().input
        };
        assert_eq!(go(0.3, 0.0, 0.002, 0.003), "clearance");
        assert_eq!(go(0.003, 0.01, 0.002, 0.003), "shells");
        assert_eq!(go(0.003, 0.0, 0.003, 0.002), "min");
        assert_eq!(go(0.003, 0.0, 0.002, 0.3), "max");
        assert_eq!(pick(&[], &[inches(0.0)], inches(0.002), inches(0.003)).unwrap_err().input, "clearance");
        assert_eq!(crush_of_lengths(inches(2.641), &[inches(4.3)]).unwrap_err().input, "length");
        assert_eq!(crush_of_lengths(millimetres(2.641), &[inches(4.15)]).unwrap_err().input, "housing");
        assert_eq!(crush_of_gap(inches(2.641), inches(0.4)).unwrap_err().input, "gap");
        assert_eq!(free_spread(inches(2.641), inches(3.641)).unwrap_err().input, "spread");
    }

    proptest! {
        #[test]
        fn no_other_mix_is_nearer(standard in 0.00001_f64..0.0001, low in 0.00002_f64..0.00005, span in 0.00001_f64..0.00004) {
            let marks = [-0.025, 0.0, 0.025].map(millimetres);
            let (min, max) = (Length::from_si(low), Length::from_si(low + span));
            let found = pick(&[Length::from_si(standard)], &marks, min, max).unwrap().remove(0);
            for mix in &found.all {
                prop_assert!(found.best.off_middle.si().abs() <= mix.off_middle.si().abs() + 1e-9);
                prop_assert!((mix.clearance.si() + (mix.marks.0 + mix.marks.1).si() / 2.0 - standard).abs() < 1e-15);
            }
            prop_assert!(found.best.within || found.all.iter().all(|mix| !mix.within));
        }

        #[test]
        fn length_and_joint_gap_tell_the_same(housing in 0.03_f64..0.2, over in 0.0_f64..0.0002) {
            let housing = Length::from_si(housing);
            let length = Length::from_si(housing.si() * PI / 2.0 + over);
            let a = crush_of_lengths(housing, &[length]).unwrap();
            let b = crush_of_gap(housing, Length::from_si(2.0 * over)).unwrap();
            prop_assert!((a.per_half - b.per_half).si().abs() < 1e-15 && (a.on_diameter - b.on_diameter).si().abs() < 1e-15);
            prop_assert!((a.strain - b.strain).abs() < 1e-12);
        }
    }
}
