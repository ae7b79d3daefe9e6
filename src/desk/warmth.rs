//! How warm the bench is: said once by a person in a channel, then used for every size that is posted without `temp=`.

use jiff::{SignedDuration, Timestamp};

use super::Context;
use super::recorded::moment;
use super::trouble::Trouble;
use crate::quantity::{Measure, System, Temperature, show};

/// How long what was said holds: a working day. The calendar's day would end in the middle of somebody's shift.
pub const HOLDS: SignedDuration = SignedDuration::from_hours(12);
/// From when it is asked for again: a shop warms up and cools down (common practice).
pub const STALE: SignedDuration = SignedDuration::from_hours(4);
/// How long someone is told that what they said holds no longer: they may still count on it.
const MISSED: SignedDuration = SignedDuration::from_hours(48);

/// A temperature as it was said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    pub kelvin: f64,
    pub when: Timestamp,
    /// How long ago; nothing where a clock was set back.
    pub age: SignedDuration,
}

impl Context<'_> {
    /// What this person last said of the bench, in this channel.
    pub fn said_warmth(&self) -> Result<Option<Said>, Trouble> {
        let said = self.desk.record.bench_temperature(&self.asker.person, &self.asker.channel)?;
        Ok(said.map(|(kelvin, when)| Said {
            kelvin,
            when,
            age: self.now.duration_since(when).max(SignedDuration::ZERO),
        }))
    }
}

impl Said {
    pub fn holds(&self) -> bool {
        self.age <= HOLDS
    }

    pub fn is_stale(&self) -> bool {
        self.age > STALE
    }

    /// Whether to tell someone who no longer has a temperature that they had one.
    pub fn is_missed(&self) -> bool {
        !self.holds() && self.age <= MISSED
    }

    /// `72 °F (22 °C), said 2026-11-20 09:00 UTC, 20 minutes ago`.
    pub fn told(&self, lead: System) -> String {
        let warm = show::temperature(Temperature::from_si(self.kelvin), lead);
        format!("{warm}, said {} UTC, {}", moment(self.when), ago(self.age))
    }
}

/// What a size is brought to 20 °C from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Warm {
    /// As it came with the reading, kelvin.
    Typed(f64),
    /// As the bench was said to be.
    Bench(Said),
    /// It is judged as read, though something was said that held until lately.
    Missed(Said),
    Unsaid,
}

impl Warm {
    /// A temperature of its own wins over that of the bench.
    pub fn of(typed: Option<f64>, bench: Option<Said>) -> Self {
        match (typed, bench) {
            (Some(kelvin), _) => Self::Typed(kelvin),
            (None, Some(said)) if said.holds() => Self::Bench(said),
            (None, Some(said)) if said.is_missed() => Self::Missed(said),
            (None, _) => Self::Unsaid,
        }
    }

    pub fn kelvin(self) -> Option<f64> {
        match self {
            Self::Typed(kelvin) => Some(kelvin),
            Self::Bench(said) => Some(said.kelvin),
            Self::Missed(_) | Self::Unsaid => None,
        }
    }

    /// Whether it should be said again.
    pub fn is_asked(self) -> bool {
        match self {
            Self::Bench(said) => said.is_stale(),
            Self::Missed(_) => true,
            Self::Typed(_) | Self::Unsaid => false,
        }
    }

    /// What is said of it beside a size, the part being of that metal.
    pub fn remark(self, metal: &str, lead: System) -> Option<String> {
        match self {
            Self::Unsaid => None,
            Self::Typed(kelvin) => {
                let warm = show::temperature(Temperature::from_si(kelvin), lead);
                Some(format!("Judged at 20 °C, from {warm}, taken as {metal}."))
            }
            Self::Bench(said) => {
                let old =
                    if said.is_stale() { " That is over 4 hours old, and a shop warms up: say it again." } else { "" };
                Some(format!("Judged at 20 °C, from the bench's {}; the part taken as {metal}.{old}", said.told(lead)))
            }
            Self::Missed(said) => Some(format!(
                "Judged as read, without a temperature: {} no longer holds. Say it again.",
                said.told(lead)
            )),
        }
    }
}

/// `just now`, `20 minutes ago`, `5 hours ago`.
pub fn ago(age: SignedDuration) -> String {
    let (hours, minutes) = (age.as_hours(), age.as_mins());
    match (hours, minutes) {
        (0, 0) => "just now".to_owned(),
        (0, 1) => "a minute ago".to_owned(),
        (0, minutes) => format!("{minutes} minutes ago"),
        (1, _) => "an hour ago".to_owned(),
        (hours, _) => format!("{hours} hours ago"),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn it_holds_for_a_working_day_and_is_stale_after_half_a_shift() {
        let said = |minutes: i64| Said {
            kelvin: 295.15,
            when: Timestamp::UNIX_EPOCH,
            age: SignedDuration::from_mins(minutes),
        };
        assert!(said(0).holds() && !said(240).is_stale() && said(241).is_stale());
        assert!(said(720).holds() && !said(720).is_missed() && !said(721).holds() && said(721).is_missed());
        assert!(!said(2881).is_missed());
        let old = |minutes: i64| Warm::of(None, Some(said(minutes)));
        assert_eq!((old(720), old(721), old(2881)), (Warm::Bench(said(720)), Warm::Missed(said(721)), Warm::Unsaid));
        assert_eq!(Warm::of(Some(295.15), Some(said(0))), Warm::Typed(295.15), "the reading's own wins, even if alike");
        let ages = [0, 1, 59, 60, 119, 250].map(|minutes| ago(SignedDuration::from_mins(minutes)));
        let words = ["just now", "a minute ago", "59 minutes ago", "an hour ago", "an hour ago", "4 hours ago"];
        assert_eq!(ages, words);
    }
}
