//! The wrench and the order: torque through an adapter, which bolt after which, and in what stages.
//!
//! * Adapter: Tset = T L / (L + E cos angle), the moment of the hand's force about drive and bolt (statics).
//! * Order (common practice): from the middle outwards, each bolt followed by the one opposite across the middle. On a circle
//!   across and across; with an odd number, by the longest step that visits all.
//! * Stages (common practice): shares of the final torque; three are 40, 70 and 100 per cent.

use super::{Unfit, inside};
use crate::quantity::{Angle, Length, Measure, Number, Torque};

/// Torque of a fastener of an engine, N m.
const TORQUE: (f64, f64) = (0.5, 3000.0);
/// Wrench from drive to hand, m.
const HANDLE: (f64, f64) = (0.08, 2.0);
/// Drive to bolt, as a share of the wrench: longer is no adapter.
const REACH: f64 = 0.75;

/// A wrench with something between its drive and the bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adapted {
    /// L + E cos angle: hand to bolt along the handle.
    pub arm: Length,
    /// L / arm: the wrench's torque over the bolt's.
    pub ratio: f64,
}

/// The ratio for a wrench of `length` (drive to hand), an adapter of `reach` (drive to bolt) at `angle` (0: straight on).
///
/// Refuses `length`, `reach` and `angle` no wrench has.
pub fn adapted(length: Length, reach: Length, angle: Angle) -> Result<Adapted, Unfit> {
    inside("length", length, HANDLE)?;
    inside("reach", reach, (0.0, length.si() * REACH))?;
    inside("angle", angle, (0.0, std::f64::consts::PI))?;
    let arm = length + reach * angle.si().cos();
    Ok(Adapted { arm, ratio: length.si() / arm.si() })
}

/// A torque an engine's fastener can have.
pub fn believable(input: &'static str, torque: Torque) -> Result<Torque, Unfit> {
    inside(input, torque, TORQUE)
}

/// How bolts lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Bolts in straight rows along the engine, `columns` from front to rear in each.
    Grid {
        rows: u32,
        columns: u32,
    },
    Circle(u32),
}

/// Bolts in the order they are tightened, each by its place: on a grid `row * columns + column`, row 0 on the left and
/// column 0 at the front; on a circle clockwise from the top. Refuses `rows`, `columns`, `circle`.
pub fn order(pattern: Pattern) -> Result<Vec<usize>, Unfit> {
    let count = |input, n: u32, range| inside(input, Number(f64::from(n)), range).map(|_| n as usize);
    match pattern {
        Pattern::Grid { rows, columns } => {
            let least = if rows == 1 { 2.0 } else { 1.0 };
            Ok(outwards(count("rows", rows, (1.0, 6.0))?, count("columns", columns, (least, 16.0))?))
        }
        Pattern::Circle(bolts) => Ok(across(count("circle", bolts, (3.0, 24.0))?)),
    }
}

/// A grid by distance from its middle. Places are told in half steps, so that the middle is always a whole number.
fn outwards(rows: usize, columns: usize) -> Vec<usize> {
    let place = |at: usize| {
        let half = |n: usize, of: usize| 2 * n as i64 - (of as i64 - 1);
        (half(at / columns, rows), half(at % columns, columns))
    };
    // Of two opposite bolts the one on the left comes first, or in a middle row the one in front.
    let mut firsts: Vec<usize> = (0..rows * columns).filter(|at| place(*at) <= (0, 0)).collect();
    firsts.sort_by_key(|at| {
        let (row, column) = place(*at);
        (row * row + column * column, row * row, column)
    });
    let last = rows * columns - 1;
    firsts.into_iter().flat_map(|at| if at == last - at { vec![at] } else { vec![at, last - at] }).collect()
}

/// A circle: each bolt and its opposite, the next pair as far from those done as can be.
fn across(bolts: usize) -> Vec<usize> {
    if bolts % 2 == 1 {
        let step = bolts / 2;
        return (0..bolts).map(|turn| turn * step % bolts).collect();
    }
    let pairs = bolts / 2;
    let apart = |a: usize, b: usize| a.abs_diff(b).min(pairs - a.abs_diff(b));
    let mut done: Vec<usize> = vec![0];
    while done.len() < pairs {
        let free = (0..pairs).filter(|a| !done.contains(a));
        let last = done[done.len() - 1];
        let next = free.max_by_key(|a| {
            let nearest = done.iter().map(|b| apart(*a, *b)).min().unwrap_or(0);
            (nearest, apart(*a, last), std::cmp::Reverse(*a))
        });
        done.extend(next);
    }
    done.into_iter().flat_map(|a| [a, a + pairs]).collect()
}

/// Shares of the final torque, stage by stage. Refuses `stages` other than 1 to 5.
pub fn stages(count: u32) -> Result<&'static [f64], Unfit> {
    inside("stages", Number(f64::from(count)), (1.0, 5.0))?;
    Ok(match count {
        1 => &[1.0],
        2 => &[0.5, 1.0],
        3 => &[0.4, 0.7, 1.0],
        4 => &[0.3, 0.55, 0.8, 1.0],
        _ => &[0.2, 0.4, 0.6, 0.8, 1.0],
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::inches;

    #[test]
    fn nonsense_is_named() {
        let angle = Angle::from_si;
        assert_eq!(adapted(inches(0.5), inches(0.1), angle(0.0)).unwrap_err().input, "length");
        assert_eq!(adapted(inches(18.0), inches(20.0), angle(0.0)).unwrap_err().input, "reach");
        assert_eq!(adapted(inches(18.0), inches(-2.0), angle(0.0)).unwrap_err().input, "reach");
        assert_eq!(adapted(inches(18.0), inches(2.0), angle(4.0)).unwrap_err().input, "angle");
        assert_eq!(order(Pattern::Circle(2)).unwrap_err().input, "circle");
        assert_eq!(order(Pattern::Grid { rows: 9, columns: 2 }).unwrap_err().input, "rows");
        assert_eq!(order(Pattern::Grid { rows: 1, columns: 1 }).unwrap_err().input, "columns");
        assert_eq!(stages(0).unwrap_err().input, "stages");
    }

    #[test]
    fn stages_rise_to_the_whole() {
        for count in 1..=5 {
            let shares = stages(count).unwrap();
            assert_eq!((shares.len(), shares[shares.len() - 1]), (count as usize, 1.0));
            assert!(shares.windows(2).all(|w| w[0] < w[1]));
        }
    }

    proptest! {
        #[test]
        fn every_bolt_once(rows in 1_u32..=6, columns in 2_u32..=16, circle in 3_u32..=24) {
            for (pattern, count) in
                [(Pattern::Grid { rows, columns }, rows * columns), (Pattern::Circle(circle), circle)]
            {
                let mut found = order(pattern).unwrap();
                found.sort_unstable();
                prop_assert_eq!(found, (0..count as usize).collect::<Vec<_>>());
            }
        }

        #[test]
        fn a_grid_goes_outwards_and_crosses_over(rows in 1_u32..=6, columns in 2_u32..=16) {
            let found = order(Pattern::Grid { rows, columns }).unwrap();
            let (rows, columns) = (rows as usize, columns as usize);
            let far = |at: usize| {
                let (r, c) = ((at / columns) as f64 - (rows as f64 - 1.0) / 2.0, (at % columns) as f64 - (columns as f64 - 1.0) / 2.0);
                r * r + c * c
            };
            prop_assert!(found.windows(2).all(|w| far(w[0]) <= far(w[1])));
            let alone = rows * columns % 2;
            for pair in found[alone..].chunks(2) {
                prop_assert_eq!(pair[0] + pair[1], rows * columns - 1);
            }
        }

        #[test]
        fn an_even_circle_goes_straight_across(half in 2_u32..=12) {
            for pair in order(Pattern::Circle(2 * half)).unwrap().chunks(2) {
                prop_assert_eq!(pair[0] + half as usize, pair[1]);
            }
        }

        #[test]
        fn a_right_angle_changes_nothing(length in 0.1_f64..1.0, share in 0.0_f64..0.7) {
            let found = adapted(Length::from_si(length), Length::from_si(length * share), Angle::from_si(std::f64::consts::FRAC_PI_2)).unwrap();
            prop_assert!((found.ratio - 1.0).abs() < 1e-12);
        }
    }
}
