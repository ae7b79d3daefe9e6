//! Crankshaft sizes: end float and its thrust washers, rod side clearance, stroke as measured.
//!
//! * New end float = measured - sides x (new washer - fitted washer): a thicker washer takes up its own excess on every
//!   side it is fitted (geometry).
//! * Rod side clearance = width of the crank pin between its cheeks - widths of the rods on it (definition).
//! * Stroke = 2 x throw, the throw from main centre to pin centre; or the height over the same side of the pin at top
//!   dead centre less that at bottom dead centre, in which the pin's own size cancels (geometry).
//!
//! Lengths in metres.

use super::{Rule, Spread, Unfit, alike, bounds, counted, finite, inside};
use crate::quantity::{Dimension, Length, Measure, above, below};

/// What a washer would make of the end float.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Washer {
    pub thickness: Length,
    pub float: Length,
    /// Between the limits, ends included.
    pub fits: bool,
}

/// Washers on offer, each with the float it gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Washers {
    pub measured: Length,
    /// Thickness a side that would put the float in the middle of the limits.
    pub ideal: Length,
    /// In the order given, each thickness once.
    pub all: Vec<Washer>,
    /// Those that fit, nearest to the middle of the limits first.
    pub fitting: Vec<Washer>,
}

/// The end float with each washer of `offered` in place of the `fitted` one, on `sides` (1 or 2) of the thrust main.
///
/// Refuses an end `float` no crank has, a washer (`fitted`, `washer`) no crank has, more than 24 of them, and limits
/// (`low`, `high`) upside down.
pub fn washers(
    float: Length,
    fitted: Length,
    offered: &[Length],
    sides: u8,
    (low, high): (Length, Length),
) -> Result<Washers, Unfit> {
    inside("float", float, bounds::END_FLOAT)?;
    inside("fitted", fitted, bounds::WASHER)?;
    counted("washer", offered.len(), 0, 24)?;
    for washer in offered {
        inside("washer", *washer, (fitted.si() * 0.75, fitted.si() * 1.25))?;
    }
    finite("low", low)?;
    finite("high", high)?;
    if above(low, high) {
        return Err(Unfit::new("low", Rule::MustNotExceed { other: "high" }));
    }
    let sides = f64::from(sides);
    let middle = (low + high) / 2.0;
    let mut all: Vec<Washer> = Vec::new();
    for &thickness in offered {
        if all.iter().any(|known| !above(known.thickness, thickness) && !below(known.thickness, thickness)) {
            continue;
        }
        let float = float - sides * (thickness - fitted);
        all.push(Washer { thickness, float, fits: !below(float, low) && !above(float, high) });
    }
    let mut fitting: Vec<Washer> = all.iter().copied().filter(|w| w.fits).collect();
    fitting.sort_by(|a, b| (a.float - middle).abs().si().total_cmp(&(b.float - middle).abs().si()));
    Ok(Washers { measured: float, ideal: fitted + (float - middle) / sides, all, fitting })
}

/// Room on a crank pin beside its rods.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    pub pin: Length,
    /// Widths of the rods, summed.
    pub rods: Length,
    /// Pin - rods; negative means that they do not go in.
    pub clearance: Length,
}

/// Side clearance of one or two `rods` on a `pin` of that width between its cheeks.
///
/// Refuses a `pin` no crank has, no rod or more than two, and `rod` widths that leave over a tenth of the pin free or
/// overlap it by a twentieth: one of them is another size.
pub fn side(pin: Length, rods: &[Length]) -> Result<Side, Unfit> {
    inside("pin", pin, bounds::PIN_WIDTH)?;
    counted("rod", rods.len(), 1, 2)?;
    let mut sum = Length::from_si(0.0);
    for (place, rod) in rods.iter().enumerate() {
        finite("rod", *rod)?;
        let (share, last) = (pin.si() / rods.len() as f64, place + 1 == rods.len());
        let range =
            if last { (pin.si() * 0.9 - sum.si(), pin.si() * 1.05 - sum.si()) } else { (share * 0.75, share * 1.25) };
        inside("rod", *rod, range)?;
        sum += *rod;
    }
    Ok(Side { pin, rods: sum, clearance: pin - sum })
}

/// The stroke of a crank as measured, pin by pin.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    pub throws: Vec<Length>,
    pub strokes: Vec<Length>,
    pub spread: Spread,
}

/// Stroke = 2 x throw of each pin. Refuses a `throw` no crank has, and throws of one crank that differ by over a twentieth.
pub fn stroke(throws: &[Length]) -> Result<Stroke, Unfit> {
    counted("throw", throws.len(), 1, 24)?;
    for throw in throws {
        inside("throw", *throw, (bounds::STROKE.0 / 2.0, bounds::STROKE.1 / 2.0))?;
    }
    alike(&["throw"; 24], throws)?;
    let strokes: Vec<Length> = throws.iter().map(|throw| *throw * 2.0).collect();
    Ok(Stroke { throws: throws.to_vec(), spread: Spread::of("throw", &strokes)?, strokes })
}

/// Throws from the heights over each pin at top and at bottom dead centre, both read from one plate: (top - bottom) / 2.
///
/// Refuses lists of unequal length (`bottom`), and a `top` that is not above its bottom by a stroke.
pub fn throws(top: &[Length], bottom: &[Length]) -> Result<Vec<Length>, Unfit> {
    counted("top", top.len(), 1, 24)?;
    counted("bottom", bottom.len(), top.len(), top.len())?;
    top.iter()
        .zip(bottom)
        .map(|(top, bottom)| {
            inside("top", *top, bounds::HEIGHT)?;
            inside("bottom", *bottom, bounds::HEIGHT)?;
            if !above(*top, *bottom) {
                return Err(Unfit::new("top", Rule::MustBeAbove { other: "bottom" }));
            }
            let (low, high) = (bottom.si() + bounds::STROKE.0, bottom.si() + bounds::STROKE.1);
            if top.si() < low || top.si() > high {
                return Err(Unfit::new("top", Rule::OutsideRange { low, high, dimension: Dimension::Length }));
            }
            Ok((*top - *bottom) / 2.0)
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    const LIMITS: (f64, f64) = (0.004, 0.008);

    fn choose(float: f64, fitted: f64, offered: &[f64], sides: u8) -> Result<Washers, Unfit> {
        let list: Vec<Length> = offered.iter().map(|w| inches(*w)).collect();
        washers(inches(float), inches(fitted), &list, sides, (inches(LIMITS.0), inches(LIMITS.1)))
    }

    #[test]
    fn a_float_on_a_limit_fits() {
        // 0.012 - (0.098 - 0.094) = 0.008; 0.012 - (0.102 - 0.094) = 0.004
        let found = choose(0.012, 0.094, &[0.094, 0.098, 0.102, 0.098], 1).unwrap();
        assert_eq!(found.all.iter().map(|w| w.fits).collect::<Vec<_>>(), [false, true, true]);
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(choose(0.3, 0.094, &[0.094], 1).unwrap_err().input, "float");
        assert_eq!(choose(0.012, 0.94, &[0.094], 1).unwrap_err().input, "fitted");
        assert_eq!(choose(0.012, 0.094, &[0.98], 1).unwrap_err().input, "washer");
        assert_eq!(choose(0.012, 0.094, &[0.094; 25], 1).unwrap_err().input, "washer");
        let crossed = washers(inches(0.01), inches(0.09), &[inches(0.09)], 1, (inches(0.008), inches(0.004)));
        assert_eq!(crossed.unwrap_err().input, "low");
        assert_eq!(side(inches(0.1), &[inches(0.9)]).unwrap_err().input, "pin");
        assert_eq!(side(inches(1.89), &[inches(0.938)]).unwrap_err().input, "rod");
        assert_eq!(side(inches(1.89), &[inches(0.938), inches(0.7)]).unwrap_err().input, "rod");
        assert_eq!(side(inches(1.89), &[inches(0.6); 3]).unwrap_err().input, "rod");
        assert_eq!(stroke(&[millimetres(1.74)]).unwrap_err().input, "throw");
        assert_eq!(stroke(&[inches(1.74), inches(1.94), inches(1.74)]).unwrap_err().input, "throw");
        assert_eq!(throws(&[inches(4.0)], &[inches(5.0)]).unwrap_err().input, "top");
        assert_eq!(throws(&[inches(4.0)], &[]).unwrap_err().input, "bottom");
        assert_eq!(throws(&[inches(5.1)], &[inches(5.0)]).unwrap_err().input, "top");
    }

    proptest! {
        #[test]
        fn the_ideal_washer_sits_in_the_middle(float in 0.001_f64..0.02, fitted in 0.09_f64..0.12, sides in 1_u8..3) {
            let ideal = in_inches(choose(float, fitted, &[fitted], sides).unwrap().ideal);
            let found = choose(float, fitted, &[fitted, ideal], sides).unwrap();
            prop_assert!((in_inches(found.fitting[0].float) - 0.006).abs() < 1e-9);
        }

        #[test]
        fn a_thicker_washer_leaves_less(float in 0.001_f64..0.02, fitted in 0.09_f64..0.12, more in 0.0002_f64..0.02) {
            let found = choose(float, fitted, &[fitted, fitted + more], 2).unwrap();
            prop_assert!((found.all[0].float - inches(float)).si().abs() < 1e-15);
            prop_assert!((in_inches(found.all[0].float - found.all[1].float) - 2.0 * more).abs() < 1e-12);
        }

        #[test]
        fn heights_give_the_throw_back(throw in 0.02_f64..0.2, axis in 0.25_f64..0.4, pin in 0.01_f64..0.04) {
            let over = |centre: f64| Length::from_si(centre + pin);
            let found = throws(&[over(axis + throw)], &[over(axis - throw)]).unwrap();
            prop_assert!((found[0].si() - throw).abs() < 1e-12);
            prop_assert!((stroke(&found).unwrap().strokes[0].si() - 2.0 * throw).abs() < 1e-12);
        }

        #[test]
        fn order_of_the_rods_does_not_matter(pin in 0.03_f64..0.06, one in 0.46_f64..0.5, other in 0.46_f64..0.5) {
            let width = |share: f64| Length::from_si(pin * share);
            let found = |a, b| side(Length::from_si(pin), &[width(a), width(b)]).unwrap().clearance.si();
            prop_assert!((found(one, other) - found(other, one)).abs() < 1e-15);
        }
    }
}
