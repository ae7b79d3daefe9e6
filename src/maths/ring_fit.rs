//! A ring in its groove and in its bore, cold and hot.
//!
//! * Side clearance = groove width - ring width: smallest = smallest groove - largest ring, largest the other way
//!   (definition).
//! * Back clearance per side = (bore - groove root diameter) / 2 - radial depth of the ring; on diameter it is twice that.
//!   The ring lies against the bore and the piston stands in its middle (definition; both senses are in use). It must
//!   be more than nothing.
//! * A ring of another nominal size: its gap here = its gap at its own nominal + pi x (bore - nominal) (geometry).
//! * Smallest cold gap = closing by heat + what must be left when hot; where the bore outgrows the ring, what must
//!   be left holds when cold. Closing is [`super::rings::closing`], on the full circumference: the ring is shorter by
//!   its gap, so it errs to the safe side by gap x a x dT.
//!
//! Lengths in metres, temperatures in kelvin.

use std::f64::consts::PI;

use uom::si::temperature_interval::kelvin;

use super::rings::{self, Closing, Heating};
use super::{Rule, Spread, Unfit, bounds, counted, inside};
use crate::quantity::{Length, Measure, Temperature, TemperatureInterval, above, below};

/// Groove or ring, axial width, m.
const WIDTH: (f64, f64) = (0.0004, 0.010);
/// Radial depth of a ring, m.
const DEPTH: (f64, f64) = (0.001, 0.025);
/// What may be asked to be left of a gap when hot, m.
const MARGIN: (f64, f64) = (0.0, 0.001);
/// Temperature of a running ring or bore, K: -40 to 600 degrees C.
const RUNNING: (f64, f64) = (233.15, 873.15);

/// A ring in its groove. Negative: it does not go in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    pub groove: Spread,
    pub width: Spread,
    pub smallest: Length,
    pub largest: Length,
}

/// Side clearance from one or more `groove` widths and ring `width`s; a ring of another size is refused.
pub fn side(grooves: &[Length], widths: &[Length]) -> Result<Side, Unfit> {
    counted("groove", grooves.len(), 1, 16)?;
    counted("width", widths.len(), 1, 16)?;
    for groove in grooves {
        inside("groove", *groove, WIDTH)?;
    }
    for width in widths {
        inside("width", *width, WIDTH)?;
    }
    let (groove, width) = (Spread::of("groove", grooves)?, Spread::of("width", widths)?);
    let near = |size: Length| (size.si() * 0.8, size.si() * 1.05);
    inside("groove", groove.largest, (groove.smallest.si(), groove.smallest.si() * 1.25))?;
    for size in [width.smallest, width.largest] {
        inside("width", size, near(groove.smallest))?;
    }
    Ok(Side { groove, width, smallest: groove.smallest - width.largest, largest: groove.largest - width.smallest })
}

/// The room behind a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Back {
    /// (bore - root) / 2: from groove root to bore.
    pub room: Length,
    /// Room - depth. Nothing or less: the ring stands proud and jams.
    pub per_side: Length,
    /// Twice that, for who counts it so.
    pub on_diameter: Length,
}

/// Back clearance of a ring `depth` deep, its groove's `root` measured as a diameter.
pub fn back(bore: Length, root: Length, depth: Length) -> Result<Back, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("root", root, (bore.si() * 0.7, bore.si()))?;
    inside("depth", depth, DEPTH)?;
    let room = (bore - root) / 2.0;
    let per_side = room - depth;
    Ok(Back { room, per_side, on_diameter: per_side * 2.0 })
}

/// A ring in a bore that is not its nominal one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherRing {
    /// Bore - nominal.
    pub difference: Length,
    /// pi x difference.
    pub change: Length,
    /// The gap it would have here. Negative: its ends overlap by that much before filing.
    pub gap: Length,
}

/// What gap a ring with `gap` in a bore of its `nominal` size has in `bore`; a nominal more than a twentieth off is
/// refused.
pub fn other_ring(bore: Length, nominal: Length, gap: Length) -> Result<OtherRing, Unfit> {
    inside("bore", bore, bounds::BORE)?;
    inside("nominal", nominal, bounds::BORE)?;
    inside("nominal", nominal, super::around(bore.si()))?;
    inside("gap", gap, bounds::GAP)?;
    let difference = bore - nominal;
    let change = difference * PI;
    Ok(OtherRing { difference, change, gap: gap + change })
}

/// A part hot, with its expansion per kelvin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hot {
    pub temperature: Temperature,
    pub expansion: f64,
}

/// How small a gap may be when cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColdGap {
    pub ring_rise: TemperatureInterval,
    pub bore_rise: TemperatureInterval,
    pub closing: Closing,
    /// Closing (where the gap closes at all) + margin.
    pub smallest: Length,
    /// Smallest per unit of bore, to hold against a factor.
    pub per_bore: f64,
}

/// Smallest cold gap that leaves `margin` when hot, gap and bore measured at `bench`.
///
/// Refuses a `ring temperature` below the bench's, which closes nothing, and temperatures outside -40 to 600 degrees C.
pub fn cold_gap(bore: Length, bench: Temperature, ring: Hot, cylinder: Hot, margin: Length) -> Result<ColdGap, Unfit> {
    inside("bench", bench, bounds::BENCH)?;
    inside("ring temperature", ring.temperature, RUNNING)?;
    inside("bore temperature", cylinder.temperature, RUNNING)?;
    if below(ring.temperature, bench) {
        return Err(Unfit::new("ring temperature", Rule::MustBeAbove { other: "bench" }));
    }
    if above(cylinder.temperature, ring.temperature) {
        return Err(Unfit::new("bore temperature", Rule::MustNotExceed { other: "ring temperature" }));
    }
    inside("margin", margin, MARGIN)?;
    let rise = |part: Hot| TemperatureInterval::new::<kelvin>(part.temperature.si() - bench.si());
    let (ring_rise, bore_rise) = (rise(ring), rise(cylinder));
    let closing = rings::closing(
        bore,
        Heating { expansion: ring.expansion, rise: ring_rise },
        Heating { expansion: cylinder.expansion, rise: bore_rise },
    )?;
    let smallest = closing.closing.max(Length::from_si(0.0)) + margin;
    Ok(ColdGap { ring_rise, bore_rise, closing, smallest, per_bore: smallest.si() / bore.si() })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::{inches, millimetres};

    fn celsius(t: f64) -> Temperature {
        Temperature::from_si(t + 273.15)
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(side(&[inches(0.0805)], &[]).unwrap_err().input, "width");
        assert_eq!(side(&[millimetres(0.0805)], &[inches(0.078)]).unwrap_err().input, "groove");
        assert_eq!(side(&[inches(0.0805)], &[inches(0.0935)]).unwrap_err().input, "width");
        assert_eq!(back(inches(4.03), inches(4.04), inches(0.18)).unwrap_err().input, "root");
        assert_eq!(back(inches(4.03), inches(3.64), millimetres(0.18)).unwrap_err().input, "depth");
        assert_eq!(other_ring(inches(4.03), inches(3.0), inches(0.018)).unwrap_err().input, "nominal");
        assert_eq!(other_ring(inches(4.03), inches(4.03), inches(0.5)).unwrap_err().input, "gap");
        let hot = |t| Hot { temperature: celsius(t), expansion: 11.4e-6 };
        let cold = |ring, bore, margin| cold_gap(inches(4.0), celsius(20.0), hot(ring), hot(bore), inches(margin));
        assert_eq!(cold(10.0, 10.0, 0.002).unwrap_err().rule, Rule::MustBeAbove { other: "bench" });
        assert_eq!(cold(200.0, 250.0, 0.002).unwrap_err().input, "bore temperature");
        assert_eq!(cold(900.0, 120.0, 0.002).unwrap_err().input, "ring temperature");
        assert_eq!(cold(250.0, 120.0, 0.2).unwrap_err().input, "margin");
    }

    #[test]
    fn a_bore_that_outgrows_its_ring_still_keeps_its_margin_cold() {
        let ring = Hot { temperature: celsius(180.0), expansion: 11.4e-6 };
        let bore = Hot { temperature: celsius(180.0), expansion: 21.5e-6 };
        let found = cold_gap(inches(4.0), celsius(20.0), ring, bore, inches(0.002)).unwrap();
        assert!(found.closing.closing.si() < 0.0);
        assert_eq!(found.smallest, inches(0.002));
    }

    proptest! {
        #[test]
        fn a_ring_moved_there_and_back_keeps_its_gap(bore in 0.08_f64..0.12, off in -0.0005_f64..0.0005, gap in 0.002_f64..0.003) {
            let (here, there) = (Length::from_si(bore), Length::from_si(bore + off));
            let moved = other_ring(there, here, Length::from_si(gap)).unwrap().gap;
            let back = other_ring(here, there, moved).unwrap().gap;
            prop_assert!((back.si() - gap).abs() < 1e-14);
        }

        #[test]
        fn a_hotter_ring_wants_more(t in 100.0_f64..400.0, more in 1.0_f64..100.0) {
            let at = |t: f64| {
                let (ring, bore) = (Hot { temperature: celsius(t), expansion: 11.4e-6 }, Hot { temperature: celsius(100.0), expansion: 11.4e-6 });
                cold_gap(Length::from_si(0.1), celsius(20.0), ring, bore, Length::from_si(5e-5)).unwrap()
            };
            prop_assert!(at(t + more).smallest > at(t).smallest);
            // What is left when hot is the margin.
            prop_assert!((at(t).smallest.si() - at(t).closing.closing.si() - 5e-5).abs() < 1e-15);
        }

        #[test]
        fn a_deeper_ring_takes_the_room(depth in 0.003_f64..0.005, more in 0.0_f64..0.001) {
            let of = |d: f64| back(Length::from_si(0.1), Length::from_si(0.09), Length::from_si(d)).unwrap();
            prop_assert!((of(depth).per_side.si() - of(depth + more).per_side.si() - more).abs() < 1e-15);
            prop_assert!((of(depth).on_diameter.si() - 2.0 * of(depth).per_side.si()).abs() < 1e-18);
        }
    }
}
