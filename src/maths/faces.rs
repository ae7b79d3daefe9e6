//! Piston to deck at the corners, and what a cut of the deck does.
//!
//! * A corner's deck = mean of the dial on both sides, on the pin axis: the piston's rock drops out.
//! * Cut for a wanted deck = deck - wanted, corner by corner; a level cut takes the smallest of them everywhere.
//! * Squish = deck + gasket; gaskets that suit every corner: from least squish - smallest deck to most - largest.
//! * Volume a cut takes = area of the opening x cut. Definitions.
//!
//! Lengths in metres; deck positive below the face.

use super::cylinders::circle;
use super::{Rule, Spread, Unfit, bounds, counted, finite, inside};
use crate::quantity::{Area, Length, Measure, Share, Volume, above};

/// How far two sides of one crown may differ, m: more is a slip, no rock.
const ROCK: f64 = 0.0015;

/// One corner's readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    pub sides: [Length; 2],
    /// The deck, rock removed.
    pub mean: Length,
    /// Second side - first.
    pub rock: Length,
}

/// Corners from readings in pairs, both sides of each piston on the pin axis.
pub fn corners(readings: &[Length]) -> Result<Vec<Corner>, Unfit> {
    counted("readings", readings.len(), 2, 48)?;
    let even = readings.len().next_multiple_of(2);
    counted("readings", readings.len(), even, even)?;
    let mut found = Vec::new();
    for pair in readings.chunks_exact(2) {
        let (first, second) = (inside("readings", pair[0], bounds::DECK)?, inside("readings", pair[1], bounds::DECK)?);
        inside("readings", second, (first.si() - ROCK, first.si() + ROCK))?;
        found.push(Corner { sides: [first, second], mean: (first + second) / 2.0, rock: second - first });
    }
    Ok(found)
}

/// What brings decks to a wanted one.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    pub wanted: Length,
    /// Deck - wanted for each: what a cut set square to the crankshaft takes there.
    pub each: Vec<Length>,
    /// The smallest of them: what can come off all over.
    pub level: Length,
    /// Each deck after the level cut.
    pub after: Vec<Length>,
}

/// Cuts for one wanted deck. Refuses a `wanted` that is more than the smallest deck: no cut lowers a piston.
pub fn cut(decks: &[Length], wanted: Length) -> Result<Cut, Unfit> {
    inside("wanted", wanted, bounds::DECK)?;
    let spread = Spread::of("readings", decks)?;
    if above(wanted, spread.smallest) {
        return Err(Unfit::new("wanted", Rule::MustNotExceed { other: "smallest deck" }));
    }
    let level = spread.smallest - wanted;
    let (each, after) = decks.iter().map(|deck| (*deck - wanted, *deck - level)).unzip();
    Ok(Cut { wanted, each, level, after })
}

/// Squish over several decks with one gasket.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Squish {
    pub smallest: Length,
    pub largest: Length,
}

/// Smallest and largest squish. Refuses a piston that would touch the head.
pub fn squish(decks: &[Length], gasket: Length) -> Result<Squish, Unfit> {
    counted("deck", decks.len(), 1, 24)?;
    for deck in decks {
        super::cylinders::squish(*deck, gasket)?;
    }
    let spread = Spread::of("deck", decks)?;
    Ok(Squish { smallest: spread.smallest + gasket, largest: spread.largest + gasket })
}

/// Crushed gaskets that keep every squish inside `low..=high`, thinnest and thickest; none where no one gasket can.
pub fn gaskets(decks: &[Length], low: Length, high: Length) -> Result<Option<(Length, Length)>, Unfit> {
    let spread = Spread::of("deck", decks)?;
    let thinnest = (finite("low", low)? - spread.smallest).max(Length::from_si(bounds::GASKET.0));
    let thickest = (finite("high", high)? - spread.largest).min(Length::from_si(bounds::GASKET.1));
    Ok((!above(thinnest, thickest)).then_some((thinnest, thickest)))
}

/// Area that a cut lays bare: a share of the circle of a bore.
pub fn face(bore: Length, share: f64) -> Result<Area, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("share", Share(share), (0.2, 1.5))?;
    Ok(circle(bore) * share)
}

/// A cut and the volume it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Milling {
    pub area: Area,
    pub cut: Length,
    pub volume: Volume,
}

/// Volume that a cut takes: area x cut.
pub fn volume_of(area: Area, cut: Length) -> Result<Milling, Unfit> {
    inside("area", area, bounds::FACE)?;
    inside("cut", cut, bounds::CUT)?;
    Ok(Milling { area, cut, volume: area * cut })
}

/// Cut that takes a volume: volume / area. Undoes [`volume_of`].
pub fn cut_for(area: Area, volume: Volume) -> Result<Milling, Unfit> {
    inside("area", area, bounds::FACE)?;
    inside("volume", volume, (area.si() * bounds::CUT.0, area.si() * bounds::CUT.1))?;
    Ok(Milling { area, cut: volume / area, volume })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    fn list(of: &[f64]) -> Vec<Length> {
        of.iter().map(|v| inches(*v)).collect()
    }

    #[test]
    fn nonsense_is_named() {
        let odd = corners(&list(&[0.02, 0.022, 0.021])).unwrap_err();
        assert_eq!(odd.rule, Rule::CountWanted { low: 4, high: 4, given: 3 });
        assert_eq!(corners(&list(&[0.02, 0.2])).unwrap_err().input, "readings");
        assert_eq!(cut(&list(&[0.02, 0.025]), inches(0.021)).unwrap_err().input, "wanted");
        assert!(cut(&list(&[0.02, 0.025]), inches(0.020)).unwrap().level.si().abs() < 1e-12);
        assert_eq!(squish(&list(&[0.01, -0.05]), inches(0.04)).unwrap_err().input, "deck");
        assert_eq!(volume_of(face(inches(4.0), 1.0).unwrap(), inches(0.25)).unwrap_err().input, "cut");
        assert_eq!(cut_for(face(inches(4.0), 1.0).unwrap(), Volume::from_si(1e-3)).unwrap_err().input, "volume");
        assert_eq!(face(millimetres(4.0), 1.0).unwrap_err().input, "bore");
    }

    #[test]
    fn no_gasket_suits_decks_too_far_apart() {
        let (low, high) = (inches(0.040), inches(0.060));
        let (thin, thick) = gaskets(&list(&[0.005, 0.015]), low, high).unwrap().unwrap();
        assert!((in_inches(thin) - 0.035).abs() < 1e-12 && (in_inches(thick) - 0.045).abs() < 1e-12);
        assert_eq!(gaskets(&list(&[0.0, 0.025]), low, high).unwrap(), None);
    }

    proptest! {
        #[test]
        fn a_cut_and_its_volume_undo_each_other(area in 0.001_f64..0.1, cut in 0.0001_f64..0.004) {
            let there = volume_of(Area::from_si(area), Length::from_si(cut)).unwrap();
            prop_assert!((cut_for(there.area, there.volume).unwrap().cut.si() - cut).abs() < 1e-15);
        }

        #[test]
        fn the_level_cut_leaves_the_lowest_corner_at_the_wanted_deck(decks in proptest::collection::vec(0.0002_f64..0.002, 1..9)) {
            let decks: Vec<Length> = decks.into_iter().map(Length::from_si).collect();
            let cut = cut(&decks, Length::from_si(0.0001)).unwrap();
            let least = cut.after.iter().copied().reduce(Length::min).unwrap();
            prop_assert!((least.si() - 0.0001).abs() < 1e-12);
            prop_assert!(cut.each.iter().all(|each| *each >= cut.level - Length::from_si(1e-15)));
        }
    }
}
