//! Piston ring end gaps.
//!
//! * Wanted gap = factor x bore, the factor per unit of bore (in per in, mm per mm). Common practice; a ring maker's
//!   sheet wins over any factor.
//! * To file = wanted - measured.
//! * A ring of fixed length in a bore larger by dD opens its gap by pi dD, since the circumference is pi D (geometry).
//!   So a taper of the bore is the difference of two gaps / pi = 0.318 x difference.
//! * Closing by heat = pi D (a_ring dT_ring - a_bore dT_bore): linear expansion of ring and of bore, dL = a L dT.
//!
//! Lengths in metres, expansion coefficients per kelvin.

use std::f64::consts::PI;

use uom::si::temperature_interval::kelvin;

use super::{Rule, Unfit, bounds, finite, inside};
use crate::quantity::{Length, Measure, Number, TemperatureInterval, above, below};

/// The gap wanted: at least `low`, at most `high` where there is an upper limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapRange {
    pub low: Length,
    pub high: Option<Length>,
}

/// Wanted gap from factors per unit of bore. `high` none: no upper limit.
///
/// Refuses `bore`, `low factor`, `high factor` outside what an engine has, and a low factor above the high one.
pub fn gap_range(bore: Length, low: f64, high: Option<f64>) -> Result<GapRange, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("low factor", Number(low), bounds::GAP_FACTOR)?;
    if let Some(high) = high {
        inside("high factor", Number(high), bounds::GAP_FACTOR)?;
        if above(Number(low), Number(high)) {
            return Err(Unfit::new("low factor", Rule::MustNotExceed { other: "high factor" }));
        }
    }
    Ok(GapRange { low: bore * low, high: high.map(|factor| bore * factor) })
}

/// How a measured gap stands to the one wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fit {
    /// Below the low end: file it.
    Short,
    /// Inside, ends included: leave it.
    Right,
    /// Above the high end: filing cannot help.
    Wide,
}

/// What filing a ring would take. Negative means that the gap is already that much past that end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filing {
    pub measured: Length,
    pub wanted: GapRange,
    /// `low` - measured: what must come off.
    pub least: Length,
    /// `high` - measured: what may come off.
    pub most: Option<Length>,
    pub fit: Fit,
}

/// What to file from a measured gap. Refuses a `measured` no ring has, and a range upside down.
pub fn filing(measured: Length, wanted: GapRange) -> Result<Filing, Unfit> {
    inside("measured", measured, bounds::GAP)?;
    finite("wanted", wanted.low)?;
    if let Some(high) = wanted.high {
        finite("wanted", high)?;
        if above(wanted.low, high) {
            return Err(Unfit::new("wanted low", Rule::MustNotExceed { other: "wanted high" }));
        }
    }
    let fit = if below(measured, wanted.low) {
        Fit::Short
    } else if wanted.high.is_some_and(|high| above(measured, high)) {
        Fit::Wide
    } else {
        Fit::Right
    };
    let (least, most) = (wanted.low - measured, wanted.high.map(|high| high - measured));
    Ok(Filing { measured, wanted, least, most, fit })
}

/// How much the same ring's gap opens when its bore grows by `change` on diameter: pi x change. Negative closes.
pub fn gap_change(change: Length) -> Result<Length, Unfit> {
    Ok(finite("change", change)? * PI)
}

/// Bore taper read with one ring at two depths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taper {
    /// Top gap - bottom gap.
    pub difference: Length,
    /// Difference / pi, on diameter: positive is wider at the top.
    pub taper: Length,
}

/// Taper from the gap of one ring squared at the top and at the bottom of its bore.
pub fn taper(top: Length, bottom: Length) -> Result<Taper, Unfit> {
    inside("top", top, bounds::GAP)?;
    inside("bottom", bottom, bounds::GAP)?;
    let difference = top - bottom;
    Ok(Taper { difference, taper: difference / PI })
}

/// A part's expansion coefficient (per kelvin) and how much hotter it runs than when it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    pub expansion: f64,
    pub rise: TemperatureInterval,
}

/// How far a gap closes between bench and running temperature. Negative opens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closing {
    /// pi D a_ring dT_ring: what the ring gains in length.
    pub ring: Length,
    /// pi D a_bore dT_bore: what the bore gains in circumference.
    pub bore: Length,
    pub closing: Length,
}

/// Closing of the gap by heat, for a ring in `bore` (m on diameter).
pub fn closing(bore: Length, ring: Heating, cylinder: Heating) -> Result<Closing, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    let growth = |input: &'static str, part: Heating| {
        inside(input, Number(part.expansion), bounds::EXPANSION)?;
        finite(input, Number(part.rise.get::<kelvin>()))?;
        Ok(Length::from_si(PI * bore.si() * part.expansion * part.rise.get::<kelvin>()))
    };
    let (ring, bore) = (growth("ring", ring)?, growth("cylinder", cylinder)?);
    Ok(Closing { ring, bore, closing: ring - bore })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{in_inches, inches, millimetres};

    #[test]
    fn a_gap_at_either_end_of_the_range_is_right() {
        let wanted = gap_range(inches(4.0), 0.0045, Some(0.0050)).unwrap();
        let fit = |gap: f64| filing(inches(gap), wanted).unwrap().fit;
        assert_eq!(
            [0.0179, 0.018, 0.019, 0.020, 0.0201].map(fit),
            [Fit::Short, Fit::Right, Fit::Right, Fit::Right, Fit::Wide]
        );
    }

    #[test]
    fn what_is_past_the_wanted_gap_is_negative() {
        let wanted = GapRange { low: inches(0.018), high: None };
        let file = filing(inches(0.021), wanted).unwrap();
        assert!((in_inches(file.least) + 0.003).abs() < 1e-12);
        assert_eq!((file.most, file.fit), (None, Fit::Right));
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(gap_range(millimetres(4.03), 0.0045, None).unwrap_err().input, "bore");
        assert_eq!(gap_range(inches(4.03), 0.45, None).unwrap_err().input, "low factor");
        let crossed = gap_range(inches(4.03), 0.0050, Some(0.0045)).unwrap_err();
        assert_eq!(crossed, Unfit::new("low factor", Rule::MustNotExceed { other: "high factor" }));
        assert_eq!(gap_range(inches(f64::NAN), 0.0045, None).unwrap_err().rule, Rule::MustBeFinite);
        let wanted = GapRange { low: inches(0.018), high: Some(inches(0.02)) };
        assert_eq!(filing(inches(0.46), wanted).unwrap_err().input, "measured");
        assert_eq!(filing(inches(-0.01), wanted).unwrap_err().input, "measured");
        assert_eq!(taper(inches(0.02), inches(-0.01)).unwrap_err().input, "bottom");
        assert!(gap_change(inches(f64::INFINITY)).is_err());
    }

    proptest! {
        #[test]
        fn taper_undoes_gap_change(bottom in 0.0_f64..0.003, wider in -0.0006_f64..0.0006) {
            let (bottom, wider) = (Length::from_si(bottom), Length::from_si(wider));
            let top = bottom + gap_change(wider).unwrap();
            prop_assume!(top.si() >= 0.0);
            prop_assert!((taper(top, bottom).unwrap().taper - wider).si().abs() < 1e-15);
        }

        #[test]
        fn inch_and_metric_agree(bore in 1.0_f64..19.0, factor in 0.001_f64..0.02) {
            let inch = gap_range(inches(bore), factor, None).unwrap().low;
            let metric = gap_range(millimetres(bore * 25.4), factor, None).unwrap().low;
            prop_assert!((inch - metric).si().abs() < 1e-15);
        }

        #[test]
        fn a_wider_bore_wants_a_wider_gap(bore in 0.03_f64..0.4, more in 0.0001_f64..0.05, factor in 0.001_f64..0.02) {
            let low = |d: f64| gap_range(Length::from_si(d), factor, None).unwrap().low;
            prop_assert!(low(bore + more) > low(bore));
        }

        #[test]
        fn filing_what_is_said_makes_it_right(measured in 0.0_f64..0.005, low in 0.0_f64..0.003, span in 0.0_f64..0.001) {
            let wanted = GapRange { low: Length::from_si(low), high: Some(Length::from_si(low + span)) };
            let file = filing(Length::from_si(measured), wanted).unwrap();
            if file.fit == Fit::Short {
                prop_assert!(file.least.si() > 0.0);
                prop_assert_eq!(filing(file.measured + file.least, wanted).unwrap().fit, Fit::Right);
            }
        }
    }
}
