//! All bores of a block together: one oversize for the lot, and how much the hone has left to take.
//!
//! * One size for the block: the standard oversize at which the worst bore cleans up. Clean-up of each is
//!   [`super::bores::clean_up_from`], on the worn and on the original centre; the worst decides (common practice).
//! * Target of a bore = its own piston + clearance; stock left = target - bore, on diameter (definition).
//!
//! Lengths are diameters in metres.

use super::bores::{CleanUp, clean_up_from};
use super::sizes::{NextSize, next_oversize};
use super::{Unfit, around, bounds, counted, inside};
use crate::quantity::{Length, Measure};

/// What a block is bored to.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// One for each bore, in the order given.
    pub bores: Vec<CleanUp>,
    /// The place (from 0) of the bore with the largest reading: it decides.
    pub worst: usize,
    /// The size for all, the bar following each worn bore.
    pub worn: NextSize,
    /// The size for all, each bore on its original centre with its wear all on one side.
    pub original: NextSize,
    /// The size, on the worn centre, if the worst bore were sleeved; none for a single bore.
    pub without_worst: Option<NextSize>,
}

/// One oversize for bores whose largest readings are `readings`, last cut to `machined`, from `steps` over `nominal`.
pub fn one_size(
    readings: &[Length],
    machined: Length,
    allowance: Length,
    nominal: Length,
    steps: &[Length],
) -> Result<Block, Unfit> {
    counted("readings", readings.len(), 1, 24)?;
    for reading in readings {
        inside("readings", *reading, bounds::BORE)?;
    }
    let mut sorted: Vec<f64> = readings.iter().map(|r| r.si()).collect();
    sorted.sort_by(f64::total_cmp);
    if let Some(median) = sorted.get(sorted.len() / 2) {
        for reading in readings {
            inside("readings", *reading, around(*median))?;
        }
    }
    let bores = readings.iter().map(|r| clean_up_from(*r, machined, allowance)).collect::<Result<Vec<_>, _>>()?;
    let needs = |skip: Option<usize>, of: fn(&CleanUp) -> Length| {
        let kept = bores.iter().enumerate().filter(|(place, _)| Some(*place) != skip);
        kept.map(|(_, bore)| of(bore)).fold(Length::from_si(0.0), Length::max)
    };
    let worst = (0..readings.len()).fold(0, |worst, at| if readings[at] > readings[worst] { at } else { worst });
    let worn = next_oversize(needs(None, |b| b.on_worn_centre), nominal, steps)?;
    let original = next_oversize(needs(None, |b| b.on_original_centre), nominal, steps)?;
    let without_worst = match readings.len() {
        1 => None,
        _ => Some(next_oversize(needs(Some(worst), |b| b.on_worn_centre), nominal, steps)?),
    };
    Ok(Block { bores, worst, worn, original, without_worst })
}

/// What the hone has to take from one bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    pub bore: Length,
    pub target: Length,
    /// Target - bore: negative is too big already.
    pub left: Length,
    /// The clearance the bore has now, where a piston was given.
    pub now: Option<Length>,
}

/// Stock left to a `target` for each bore, one target standing for all or one each.
pub fn stock(bores: &[Length], targets: &[Length]) -> Result<Vec<Stock>, Unfit> {
    for_each("target", bores, targets, |bore, target| Stock { bore, target, left: target - bore, now: None })
}

/// Stock left where each bore is made to fit its own piston with `clearance`.
pub fn stock_for(bores: &[Length], pistons: &[Length], clearance: Length) -> Result<Vec<Stock>, Unfit> {
    inside("clearance", clearance, (0.0, 0.001))?;
    for_each("piston size", bores, pistons, |bore, piston| {
        let target = piston + clearance;
        Stock { bore, target, left: target - bore, now: Some(bore - piston) }
    })
}

fn for_each(
    input: &'static str,
    bores: &[Length],
    others: &[Length],
    of: impl Fn(Length, Length) -> Stock,
) -> Result<Vec<Stock>, Unfit> {
    counted("bore", bores.len(), 1, 24)?;
    if others.len() != 1 {
        counted(input, others.len(), bores.len(), bores.len())?;
    }
    for bore in bores {
        inside("bore", *bore, bounds::BORE)?;
        inside("bore", *bore, around(bores[0].si()))?;
    }
    bores
        .iter()
        .enumerate()
        .map(|(place, bore)| {
            let other = others[if others.len() == 1 { 0 } else { place }];
            inside(input, other, bounds::BORE)?;
            inside(input, other, around(bore.si()))?;
            Ok(of(*bore, other))
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::super::Rule;
    use super::*;
    use crate::quantity::{inches, millimetres};

    #[test]
    fn nonsense_is_named() {
        let steps = [0.020, 0.030].map(inches);
        let go = |readings: &[Length], machined, allowance| {
            one_size(readings, machined, allowance, inches(4.0), &steps).unwrap_err().input
        };
        assert_eq!(go(&[], inches(4.0), inches(0.004)), "readings");
        assert_eq!(go(&[inches(4.006), millimetres(4.006)], inches(4.0), inches(0.004)), "readings");
        assert_eq!(go(&[inches(4.006), inches(4.006), inches(4.6)], inches(4.0), inches(0.004)), "readings");
        assert_eq!(go(&[inches(4.006)], inches(3.0), inches(0.004)), "machined");
        assert_eq!(go(&[inches(4.006)], inches(4.0), inches(0.04)), "allowance");
        let two = [inches(4.02), inches(4.021)];
        assert_eq!(
            stock_for(&two, &[inches(4.018); 3], inches(0.003)).unwrap_err(),
            Unfit::new("piston size", Rule::CountWanted { low: 2, high: 2, given: 3 })
        );
        assert_eq!(stock_for(&two, &[inches(4.018)], inches(0.3)).unwrap_err().input, "clearance");
        assert_eq!(stock(&two, &[inches(3.02)]).unwrap_err().input, "target");
        assert_eq!(stock(&[], &[inches(4.02)]).unwrap_err().input, "bore");
    }

    proptest! {
        #[test]
        fn every_bore_cleans_up_at_the_size_told(wear in proptest::collection::vec(0.0_f64..0.0004, 1..9)) {
            let steps = [0.25, 0.5, 0.75, 1.0].map(millimetres);
            let readings: Vec<Length> = wear.iter().map(|w| Length::from_si(0.1 + w)).collect();
            let found = one_size(&readings, millimetres(100.0), millimetres(0.1), millimetres(100.0), &steps).unwrap();
            if let Some(step) = found.worn.first {
                for bore in &found.bores {
                    prop_assert!(bore.on_worn_centre.si() <= step.size.si() + 1e-9);
                }
            }
            if let (Some(worn), Some(original)) = (found.worn.first, found.original.first) {
                prop_assert!(original.step >= worn.step);
            }
            prop_assert!(readings.iter().all(|r| *r <= readings[found.worst]));
        }

        #[test]
        fn honing_the_stock_leaves_the_clearance_asked(bores in proptest::collection::vec(0.1000_f64..0.1002, 1..9), clearance in 0.0_f64..0.0001) {
            let bores: Vec<Length> = bores.iter().map(|b| Length::from_si(*b)).collect();
            let piston = Length::from_si(0.1001);
            for found in stock_for(&bores, &[piston], Length::from_si(clearance)).unwrap() {
                prop_assert!((found.bore + found.left - piston).si() - clearance < 1e-15);
                prop_assert!((found.now.unwrap() + found.left).si() - clearance < 1e-15);
            }
        }
    }
}
