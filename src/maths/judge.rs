//! Judging a reading by its limits.
//!
//! The idea of ISO 14253-1: a reading proves conformity only when it lies inside the limits by at least its expanded
//! uncertainty U. Inside but nearer than U to a limit is [`Verdict::Marginal`]; past a limit is [`Verdict::Out`],
//! however near. Exactly U away is within, exactly on a limit is inside. U is the caller's (the 2013 edition of the
//! standard takes U = 2u, from memory). Compared on decimal edges, before any rounding.

use serde::{Deserialize, Serialize};

use crate::quantity::{Dimension, Length, Measure, Number, above, below};

/// What a reading is worth against its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    Within,
    Marginal,
    Out,
    #[serde(rename = "no limit")]
    NoLimit,
}

impl Verdict {
    /// The one word for it, as stored and shown.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Marginal => "marginal",
            Self::Out => "out",
            Self::NoLimit => "no limit",
        }
    }

    /// How bad it is: out, then marginal, within, no limit.
    pub fn severity(self) -> u8 {
        match self {
            Self::NoLimit => 0,
            Self::Within => 1,
            Self::Marginal => 2,
            Self::Out => 3,
        }
    }

    /// The worse of two.
    pub fn worse(self, other: Self) -> Self {
        if other.severity() > self.severity() { other } else { self }
    }
}

/// The verdict on a value with expanded uncertainty `uncertainty` (zero or more).
///
/// What is not a number never passes: such a value or limit is out, such an uncertainty leaves a reading marginal.
pub fn verdict<Q: Measure>(value: Q, uncertainty: Q, min: Option<Q>, max: Option<Q>) -> Verdict {
    if min.is_none() && max.is_none() {
        return Verdict::NoLimit;
    }
    let known = |limit: &Option<Q>| limit.is_none_or(|l| l.si().is_finite());
    if !value.si().is_finite() || !known(&min) || !known(&max) || miss(value, min, max).is_some() {
        return Verdict::Out;
    }
    let reach = uncertainty.si().abs();
    let near_min = min.is_some_and(|min| below(value, Q::from_si(min.si() + reach)));
    let near_max = max.is_some_and(|max| above(value, Q::from_si(max.si() - reach)));
    if near_min || near_max || !reach.is_finite() { Verdict::Marginal } else { Verdict::Within }
}

/// [`verdict`] for a value kept as an SI number with its dimension.
pub fn verdict_si(dimension: Dimension, value: f64, uncertainty: f64, min: Option<f64>, max: Option<f64>) -> Verdict {
    fn typed<Q: Measure>(value: f64, uncertainty: f64, min: Option<f64>, max: Option<f64>) -> Verdict {
        verdict(Q::from_si(value), Q::from_si(uncertainty), min.map(Q::from_si), max.map(Q::from_si))
    }
    match dimension {
        Dimension::Length => typed::<Length>(value, uncertainty, min, max),
        // Only lengths have an edge of their own; all others compare as plain numbers do.
        _ => typed::<Number>(value, uncertainty, min, max),
    }
}

/// Past which limit a value lies, and by how much (more than zero).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Miss<Q> {
    Below(Q),
    Above(Q),
}

/// How far a value is past its limits; none where it is inside.
pub fn miss<Q: Measure>(value: Q, min: Option<Q>, max: Option<Q>) -> Option<Miss<Q>> {
    match (min, max) {
        (Some(min), _) if below(value, min) => Some(Miss::Below(Q::from_si(min.si() - value.si()))),
        (_, Some(max)) if above(value, max) => Some(Miss::Above(Q::from_si(value.si() - max.si()))),
        _ => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const ALL: [Verdict; 4] = [Verdict::Within, Verdict::Marginal, Verdict::Out, Verdict::NoLimit];

    #[test]
    fn the_stored_word_is_the_shown_word() {
        for verdict in ALL {
            let json = serde_json::to_string(&verdict).unwrap();
            assert_eq!(json, format!("\"{}\"", verdict.as_str()));
            assert_eq!(serde_json::from_str::<Verdict>(&json).unwrap(), verdict);
        }
    }

    #[test]
    fn the_worse_of_two_is_the_same_either_way_round() {
        for a in ALL {
            assert_eq!((a.worse(Verdict::Out), a.worse(Verdict::NoLimit)), (Verdict::Out, a));
            for b in ALL {
                assert_eq!(a.worse(b), b.worse(a));
            }
        }
    }

    #[test]
    fn what_is_not_a_number_never_passes() {
        let nan = f64::NAN;
        let judge = |v, u, min| verdict_si(Dimension::Length, v, u, min, Some(1.0));
        assert_eq!(judge(nan, 0.0, Some(0.0)), Verdict::Out);
        assert_eq!(judge(f64::INFINITY, 0.0, None), Verdict::Out);
        assert_eq!(judge(0.5, 0.0, Some(nan)), Verdict::Out);
        assert_eq!(judge(0.5, nan, Some(0.0)), Verdict::Marginal);
        assert_eq!(judge(0.5, f64::INFINITY, Some(0.0)), Verdict::Marginal);
    }

    #[test]
    fn a_miss_says_which_way() {
        // Metres that binary holds exactly.
        let (min, max) = (Some(Length::from_si(0.5)), Some(Length::from_si(1.0)));
        assert_eq!(miss(Length::from_si(0.25), min, max), Some(Miss::Below(Length::from_si(0.25))));
        assert_eq!(miss(Length::from_si(1.25), min, max), Some(Miss::Above(Length::from_si(0.25))));
        assert_eq!(miss(Length::from_si(1.0), min, max), None);
        assert_eq!(miss(Length::from_si(1.25), min, None), None);
    }

    proptest! {
        #[test]
        fn more_uncertainty_never_betters_a_verdict(v in -1.0_f64..2.0, u in 0.0_f64..0.5, more in 0.0_f64..0.5) {
            let at = |u: f64| verdict_si(Dimension::Number, v, u, Some(0.0), Some(1.0));
            prop_assert_eq!(at(u).worse(at(u + more)), at(u + more));
        }

        #[test]
        fn typed_and_untyped_agree(v in 0.0_f64..0.01, u in 0.0_f64..0.001, min in 0.0_f64..0.005, span in 0.0_f64..0.005) {
            let q = Length::from_si;
            let typed = verdict(q(v), q(u), Some(q(min)), Some(q(min + span)));
            prop_assert_eq!(typed, verdict_si(Dimension::Length, v, u, Some(min), Some(min + span)));
        }
    }
}
