#![allow(clippy::unwrap_used, clippy::expect_used)]

use proptest::prelude::*;

use super::*;
use crate::quantity::{in_inches, inches, millimetres};

fn deg(degrees: f64) -> Angle {
    Angle::from_si(degrees.to_radians())
}

fn celsius(t: f64) -> Temperature {
    Temperature::from_si(t + 273.15)
}

#[test]
fn nonsense_is_named() {
    let stock = [0.015, 0.030, 0.060].map(inches);
    assert_eq!(pack(millimetres(1.83), inches(1.8), &stock).unwrap_err().input, "heights");
    assert_eq!(pack(inches(1.83), inches(18.0), &stock).unwrap_err().input, "wanted");
    assert_eq!(pack(inches(1.83), inches(1.8), &[]).unwrap_err().input, "shim");
    assert_eq!(pack(inches(1.83), inches(1.8), &[inches(0.5)]).unwrap_err().input, "shim");
    assert_eq!(guide(&[inches(0.344)], &[inches(0.444)]).unwrap_err().input, "stem");
    assert_eq!(guide(&[inches(0.344), inches(0.434)], &[inches(0.342)]).unwrap_err().input, "guide");
    assert_eq!(guide(&[], &[inches(0.342)]).unwrap_err().input, "guide");
    assert_eq!(seat(inches(1.6), inches(1.6), deg(45.0), None).unwrap_err().input, "outer");
    assert_eq!(seat(inches(1.6), inches(1.0), deg(45.0), None).unwrap_err().input, "inner");
    assert_eq!(seat(inches(1.6), inches(1.5), deg(85.0), None).unwrap_err().input, "angle");
    let beyond = seat(inches(1.6), inches(1.5), deg(45.0), Some(inches(1.55))).unwrap_err();
    assert_eq!(beyond, Unfit::new("outer", Rule::MustNotExceed { other: "valve's head" }));
    assert_eq!(lift(inches(0.3), 15.0, inches(0.0)).unwrap_err().input, "ratio");
    assert_eq!(lift(inches(0.3), 1.5, inches(0.2)).unwrap_err().input, "lash");
    assert_eq!(lift(millimetres(0.3), 1.5, inches(0.02)).unwrap_err().input, "lobe");
    assert_eq!(ratio(inches(0.3), inches(0.1), inches(0.0)).unwrap_err().input, "measured");
    let part = Part { length: inches(4.0), expansion: 12e-6, hot: celsius(2000.0) };
    let train = Train { valve: Some(part), ..Train::default() };
    assert_eq!(cold_lash(inches(0.02), 1.5, &train, celsius(20.0)).unwrap_err().input, "valve-temp");
}

#[test]
fn the_fewer_shims_of_two_packs_as_near() {
    let stock = [0.015, 0.030, 0.060].map(inches);
    let of = |height: f64| pack(inches(height), inches(1.8), &stock).unwrap();
    let thirty = of(1.830);
    assert_eq!(thirty.shims, [inches(0.030)]);
    assert_eq!(of(1.845).shims, [inches(0.030), inches(0.015)]);
    // Seven thou: as near to nothing is eight, so nothing goes in.
    assert!(of(1.807).shims.is_empty());
    assert_eq!(of(1.808).shims, [inches(0.015)]);
    let low = of(1.790);
    assert!(low.shims.is_empty() && in_inches(low.left) < 0.0);
}

proptest! {
    #[test]
    fn no_other_pack_is_nearer(thou in 0_u32..150) {
        let stock = [15_u32, 30, 60];
        let found = pack(inches(1.8 + f64::from(thou) / 1000.0), inches(1.8), &stock.map(|t| inches(f64::from(t) / 1000.0))).unwrap();
        let mut least = thou;
        for a in 0..4 {
            for b in 0..4 - a {
                for c in 0..4 - a - b {
                    least = least.min((a * 15 + b * 30 + c * 60_u32).abs_diff(thou));
                }
            }
        }
        prop_assert!((in_inches(found.left).abs() - f64::from(least) / 1000.0).abs() < 1e-9);
    }

    #[test]
    fn the_ratio_comes_back_from_the_lift(lobe in 0.004_f64..0.012, r in 1.0_f64..2.0, lash in 0.0_f64..0.0008) {
        let (lobe, lash) = (Length::from_si(lobe), Length::from_si(lash));
        let through = lift(lobe, r, lash).unwrap();
        prop_assert!((ratio(lobe, through.net, lash).unwrap() - r).abs() < 1e-12);
        prop_assert!((through.lash_at_lobe * r - lash).si().abs() < 1e-15);
    }

    #[test]
    fn one_metal_at_one_heat_only_counts_where_the_lengths_differ(length in 0.05_f64..0.3, t in 20.0_f64..200.0, r in 1.0_f64..2.0) {
        let part = Part { length: Length::from_si(length), expansion: 12e-6, hot: celsius(t) };
        let train = Train { valve: Some(part), head: Some(part), pushrod: Some(part), block: Some(part) };
        prop_assert!(cold_lash(inches(0.02), r, &train, celsius(20.0)).unwrap().change.si().abs() < 1e-15);
    }

    #[test]
    fn setting_the_cold_lash_said_gives_the_hot_one(v in 100.0_f64..500.0, b in 50.0_f64..110.0, r in 1.0_f64..2.0) {
        let of = |length: f64, t| Some(Part { length: Length::from_si(length), expansion: 12e-6, hot: celsius(t) });
        let train = Train { valve: of(0.12, v), head: of(0.11, b), pushrod: of(0.2, b), block: of(0.2, b * 0.9) };
        let warm = cold_lash(inches(0.02), r, &train, celsius(20.0)).unwrap();
        prop_assert!((warm.cold + warm.change - inches(0.02)).si().abs() < 1e-15);
        let sides = (warm.head - warm.valve) + (warm.block - warm.pushrod) * r;
        prop_assert!((sides - warm.change).si().abs() < 1e-18);
    }

    #[test]
    fn a_flatter_seat_of_the_same_rings_is_narrower(inner in 0.035_f64..0.038, angle in 16.0_f64..44.0) {
        let of = |angle| seat(Length::from_si(0.040), Length::from_si(inner), deg(angle), None).unwrap().width;
        prop_assert!(of(angle) < of(45.0));
    }
}
