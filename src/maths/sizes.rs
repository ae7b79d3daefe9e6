//! Standard oversizes of bores and undersizes of journals.
//!
//! Parts are sold in steps over or under a nominal size. The next size is the smallest step that still cleans up: for
//! a bore, nominal + step at or above the clean-up size; for a journal, nominal - step at or below it. A step that
//! cleans up exactly counts (compared on decimal edges). Common practice. Lengths are diameters in metres.

use super::{Unfit, bounds, counted, inside};
use crate::quantity::{Length, Measure, above, below};

/// One standard size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// How far over or under the nominal, positive.
    pub step: Length,
    /// The finished size.
    pub size: Length,
    /// What is left beyond the clean-up size, zero or more.
    pub spare: Length,
}

/// The size to machine to and the one after it; neither where the standard sizes are used up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextSize {
    /// The clean-up size asked for.
    pub needs: Length,
    pub first: Option<Step>,
    pub runner_up: Option<Step>,
}

/// Smallest oversize whose finished bore is at or above `needs`, from `steps` over `nominal`.
pub fn next_oversize(needs: Length, nominal: Length, steps: &[Length]) -> Result<NextSize, Unfit> {
    inside("nominal", nominal, bounds::BORE)?;
    inside("needs", needs, (nominal.si() * 0.9, nominal.si() * 1.1))?;
    let fits = sorted("oversizes", nominal, steps)?.into_iter().filter_map(|step| {
        let size = nominal + step;
        (!below(size, needs)).then(|| Step { step, size, spare: (size - needs).max(Length::from_si(0.0)) })
    });
    Ok(pick(needs, fits))
}

/// Smallest undersize whose finished journal is at or below `needs`, from `steps` under `nominal`.
pub fn next_undersize(needs: Length, nominal: Length, steps: &[Length]) -> Result<NextSize, Unfit> {
    inside("nominal", nominal, bounds::JOURNAL)?;
    inside("needs", needs, (nominal.si() * 0.9, nominal.si() * 1.1))?;
    let fits = sorted("undersizes", nominal, steps)?.into_iter().filter_map(|step| {
        let size = nominal - step;
        (!above(size, needs)).then(|| Step { step, size, spare: (needs - size).max(Length::from_si(0.0)) })
    });
    Ok(pick(needs, fits))
}

/// How far a part may have been left on the wrong side of its standard size, m: half a thou. Common practice.
const LEFT: f64 = 0.0000127;

/// Standard size (nominal or one of the oversizes) a bore was most likely cut to last, for want of a record: the largest that
/// its `smallest` reading is not under, since bores only wear bigger. A guess, to be shown as one.
pub fn last_oversize(smallest: Length, nominal: Length, oversizes: &[Length]) -> Length {
    let sizes = oversizes.iter().map(|step| nominal + *step);
    sizes.filter(|size| smallest + Length::from_si(LEFT) >= *size).fold(nominal, Length::max)
}

/// Standard size (nominal or one of the undersizes) journals were most likely ground to last: the smallest that their
/// `largest` reading is not over, since journals only wear smaller. A guess, to be shown as one.
pub fn last_undersize(largest: Length, nominal: Length, undersizes: &[Length]) -> Length {
    let sizes = undersizes.iter().map(|step| nominal - *step);
    sizes.filter(|size| largest - Length::from_si(LEFT) <= *size).fold(nominal, Length::min)
}

fn pick(needs: Length, mut fits: impl Iterator<Item = Step>) -> NextSize {
    let first = fits.next();
    NextSize { needs, first, runner_up: fits.next() }
}

fn sorted(input: &'static str, nominal: Length, steps: &[Length]) -> Result<Vec<Length>, Unfit> {
    counted(input, steps.len(), 1, 64)?;
    for step in steps {
        inside(input, *step, (1e-6, nominal.si() * bounds::STEP_SHARE))?;
    }
    let mut steps = steps.to_vec();
    steps.sort_by(|a, b| a.si().total_cmp(&b.si()));
    steps.dedup();
    Ok(steps)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::super::Rule;
    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    fn over() -> Vec<Length> {
        [0.060, 0.020, 0.030, 0.010, 0.040].map(inches).to_vec()
    }

    #[test]
    fn a_step_that_cleans_up_exactly_counts() {
        let needs = inches(4.0085) + inches(0.0015);
        let next = next_oversize(needs, inches(4.0), &over()).unwrap();
        assert_eq!(next.first.map(|s| s.step), Some(inches(0.010)));
        assert_eq!(next.runner_up.map(|s| s.step), Some(inches(0.020)));
        let next = next_oversize(needs + inches(0.0001), inches(4.0), &over()).unwrap();
        assert_eq!(next.first.map(|s| s.step), Some(inches(0.020)));
    }

    #[test]
    fn whatever_binary_makes_of_the_decimals() {
        let steps = over();
        for thou in 2000_u32..4500 {
            let nominal = f64::from(thou) / 1000.0;
            let (up, down) = (inches(f64::from(thou + 10) / 1000.0), inches(f64::from(thou - 10) / 1000.0));
            let over = next_oversize(up, inches(nominal), &steps).unwrap().first.unwrap();
            let under = next_undersize(down, inches(nominal), &steps).unwrap().first.unwrap();
            assert_eq!((over.step, under.step), (inches(0.010), inches(0.010)), "{nominal}");
        }
    }

    #[test]
    fn past_the_last_step_there_is_none() {
        let next = next_oversize(inches(4.0601), inches(4.0), &over()).unwrap();
        assert_eq!((next.first, next.runner_up), (None, None));
        let next = next_oversize(inches(4.0599), inches(4.0), &over()).unwrap();
        assert_eq!((next.first.map(|s| s.step), next.runner_up), (Some(inches(0.060)), None));
    }

    #[test]
    fn journals_go_the_other_way() {
        let under = [0.010, 0.020, 0.030].map(inches);
        let next = next_undersize(inches(2.4385), inches(2.45), &under).unwrap();
        let first = next.first.unwrap();
        assert!((in_inches(first.size) - 2.43).abs() < 1e-12 && (in_inches(first.spare) - 0.0085).abs() < 1e-12);
        let exact = next_undersize(inches(2.44), inches(2.45), &under).unwrap().first.unwrap();
        assert_eq!(exact.step, inches(0.010));
    }

    #[test]
    fn nonsense_is_named() {
        let fault = |needs, nominal, steps: &[Length]| next_oversize(needs, nominal, steps).unwrap_err();
        assert_eq!(
            fault(inches(4.01), inches(4.0), &[]),
            Unfit::new("oversizes", Rule::CountWanted { low: 1, high: 64, given: 0 })
        );
        assert_eq!(fault(inches(4.01), inches(4.0), &[inches(4.03)]).input, "oversizes");
        assert_eq!(fault(inches(5.01), inches(4.0), &over()).input, "needs");
        assert_eq!(fault(inches(4.01), millimetres(4.0), &over()).input, "nominal");
    }

    #[test]
    fn wear_goes_one_way_and_tells_the_last_size() {
        let cut = |smallest| in_inches(last_oversize(inches(smallest), inches(4.0), &over()));
        for (smallest, size) in
            [(4.0306, 4.030), (4.0299, 4.030), (4.0004, 4.0), (4.0062, 4.0), (4.0190, 4.010), (3.9990, 4.0)]
        {
            assert!((cut(smallest) - size).abs() < 1e-12, "{smallest}");
        }
        let steps = [0.010, 0.020, 0.030].map(inches);
        let ground = |largest| in_inches(last_undersize(inches(largest), inches(2.45), &steps));
        for (largest, size) in
            [(2.4498, 2.45), (2.4420, 2.45), (2.4402, 2.44), (2.4390, 2.44), (2.4196, 2.42), (2.46, 2.45)]
        {
            assert!((ground(largest) - size).abs() < 1e-12, "{largest}");
        }
    }

    proptest! {
        #[test]
        fn the_first_is_the_smallest_that_cleans_up(worn in 0.0_f64..0.06) {
            let needs = inches(4.0 + worn);
            let first = next_oversize(needs, inches(4.0), &over()).unwrap().first.unwrap();
            prop_assert!(!below(first.size, needs));
            for step in over() {
                prop_assert!(step >= first.step || below(inches(4.0) + step, needs));
            }
        }
    }
}
