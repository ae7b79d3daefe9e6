//! Crankshaft journals and bearing housings from a few diameters.
//!
//! * Journal out-of-round: the larger of |vertical - horizontal| over the places measured.
//! * Journal taper: the larger of |front - rear| over the axes measured at both places.
//! * Housing out-of-round: largest - smallest of the directions.
//!
//! Two-point diameter differences, as the shop means them (ISO 1101 roundness is radial). Common practice. Metres.

use super::{Spread, Unfit, alike, bounds, counted, inside};
use crate::quantity::Length;

/// The readings' names in the order they are given.
pub const READINGS: [&str; 4] = ["front vertical", "front horizontal", "rear vertical", "rear horizontal"];

/// A journal; out-of-round and taper are none where the readings do not reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Journal {
    pub size: Spread,
    pub out_of_round: Option<Length>,
    pub taper: Option<Length>,
}

/// From one to four readings in the order of [`READINGS`].
pub fn journal(readings: &[Length]) -> Result<Journal, Unfit> {
    counted("readings", readings.len(), 1, 4)?;
    for (name, reading) in READINGS.iter().zip(readings) {
        inside(name, *reading, bounds::JOURNAL)?;
    }
    alike(&READINGS, readings)?;
    let apart = |a: usize, b: usize| Some((*readings.get(a)? - *readings.get(b)?).abs());
    let larger = |a: Option<Length>, b: Option<Length>| match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (one, other) => one.or(other),
    };
    Ok(Journal {
        size: Spread::of("readings", readings)?,
        out_of_round: larger(apart(0, 1), apart(2, 3)),
        taper: larger(apart(0, 2), apart(1, 3)),
    })
}

/// A main housing or rod big end, torqued, no shells; out-of-round is none for a single direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Housing {
    pub size: Spread,
    pub out_of_round: Option<Length>,
}

/// From one to three directions.
pub fn housing(directions: &[Length]) -> Result<Housing, Unfit> {
    counted("readings", directions.len(), 1, 3)?;
    for direction in directions {
        inside("readings", *direction, bounds::HOUSING)?;
    }
    alike(&["first direction", "second direction", "third direction"], directions)?;
    let size = Spread::of("readings", directions)?;
    Ok(Housing { size, out_of_round: (directions.len() > 1).then(|| size.range()) })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::super::Rule;
    use super::*;
    use crate::quantity::{in_inches, inches};

    fn thou(length: Option<Length>) -> Option<i64> {
        length.map(|l| (in_inches(l) * 1e5).round() as i64)
    }

    #[test]
    fn what_is_known_grows_with_the_readings() {
        let all = [2.4498, 2.4495, 2.4496, 2.4491].map(inches);
        let of = |n: usize| journal(&all[..n]).unwrap();
        assert_eq!((thou(of(1).out_of_round), thou(of(1).taper)), (None, None));
        assert_eq!((thou(of(2).out_of_round), thou(of(2).taper)), (Some(30), None));
        assert_eq!((thou(of(3).out_of_round), thou(of(3).taper)), (Some(30), Some(20)));
        assert_eq!((thou(of(4).out_of_round), thou(of(4).taper)), (Some(50), Some(40)));
        assert_eq!((of(4).size.smallest, of(4).size.largest), (inches(2.4491), inches(2.4498)));
    }

    #[test]
    fn a_housing_is_judged_over_its_directions() {
        let three = housing(&[2.6905, 2.6909, 2.6902].map(inches)).unwrap();
        assert_eq!(thou(three.out_of_round), Some(70));
        assert_eq!(housing(&[inches(2.6905)]).unwrap().out_of_round, None);
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(journal(&[]).unwrap_err().rule, Rule::CountWanted { low: 1, high: 4, given: 0 });
        assert_eq!(journal(&[inches(2.45); 5]).unwrap_err().input, "readings");
        assert_eq!(journal(&[2.45, 2.45, 24.5].map(inches)).unwrap_err().input, "rear vertical");
        assert_eq!(housing(&[2.69, 2.69, 3.69].map(inches)).unwrap_err().input, "third direction");
    }
}
