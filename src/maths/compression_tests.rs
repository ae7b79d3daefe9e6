#![allow(clippy::unwrap_used, clippy::expect_used)]

use proptest::prelude::*;

use super::*;
use crate::quantity::{in_inches, inches, millimetres};

fn cc(value: f64) -> Volume {
    Volume::from_si(value * 1e-6)
}

fn eight() -> Cylinder {
    Cylinder {
        bore: inches(4.03),
        stroke: inches(3.48),
        chamber: cc(64.0),
        gasket: Gasket::Sized { bore: inches(4.1), thickness: inches(0.041) },
        deck: inches(0.025),
        dish: cc(5.0),
        crevice: cc(0.0),
    }
}

#[test]
fn parts_that_leave_no_room_are_named() {
    let fault = |c: Cylinder| compression(&c).unwrap_err();
    let dome = fault(Cylinder { dish: cc(-90.0), ..eight() });
    let Rule::OutsideRange { low, dimension: Dimension::Volume, .. } = dome.rule else { panic!("{dome:?}") };
    assert_eq!(dome.input, "dish");
    let edge = compression(&Cylinder { dish: Volume::from_si(low) + cc(1.0), ..eight() }).unwrap();
    assert!((edge.clearance - cc(1.0)).si().abs() < 1e-15, "the range named is where the room ends");

    let bare = Cylinder { chamber: cc(0.0), dish: cc(0.0), gasket: Gasket::Volume(cc(0.0)), ..eight() };
    let proud = fault(Cylinder { deck: inches(-0.01), ..bare });
    assert_eq!(proud.input, "deck");
    assert_eq!(fault(Cylinder { deck: inches(0.0), ..bare }), Unfit::new("chamber", Rule::MustBePositive));
}

#[test]
fn nonsense_is_named() {
    let fault = |c: Cylinder| compression(&c).unwrap_err().input;
    assert_eq!(fault(Cylinder { bore: millimetres(4.03), ..eight() }), "bore");
    assert_eq!(fault(Cylinder { chamber: cc(-1.0), ..eight() }), "chamber");
    assert_eq!(fault(Cylinder { chamber: cc(1048.8), ..eight() }), "chamber");
    assert_eq!(fault(Cylinder { dish: cc(f64::NAN), ..eight() }), "dish");
    assert_eq!(fault(Cylinder { crevice: cc(-1.0), ..eight() }), "crevice");
    assert_eq!(fault(Cylinder { deck: inches(-0.05), ..eight() }), "deck");
    let gasket = |bore, thickness| Gasket::Sized { bore: inches(bore), thickness: inches(thickness) };
    assert_eq!(fault(Cylinder { gasket: gasket(3.2, 0.041), ..eight() }), "gasket bore");
    assert_eq!(fault(Cylinder { gasket: gasket(4.1, 0.41), ..eight() }), "gasket");
    for target in [f64::NAN, f64::INFINITY, -9.0, 0.0, 1.0, 1.5, 95.0] {
        assert_eq!(chamber_for(&eight(), target).unwrap_err().input, "target", "{target}");
    }
    assert_eq!(crevice(inches(4.03), inches(4.05), inches(0.2)).unwrap_err().input, "land");
}

#[test]
fn an_unreachable_target_says_what_can_be_reached() {
    let ends = |unfit: Unfit| match unfit {
        Unfit { input: "target", rule: Rule::OutsideRange { low, high, dimension: Dimension::Number } } => (low, high),
        other => panic!("{other:?}"),
    };
    let now = compression(&eight()).unwrap().ratio;
    let (low, high) = ends(deck_for(&eight(), now - 0.5).unwrap_err());
    assert!((low - now).abs() < 1e-9 && high > now, "a cut only raises the ratio");
    assert!(deck_for(&eight(), high + 0.01).is_err() && deck_for(&eight(), high - 0.01).is_ok());
    let (low, high) = ends(gasket_for(&eight(), 20.0).unwrap_err());
    assert!(low < now && now < high);
    assert!(gasket_for(&eight(), high - 0.01).is_ok() && gasket_for(&eight(), low + 0.01).is_ok());
    let (low, high) = ends(chamber_for(&Cylinder { dish: cc(20.0), ..eight() }, 29.9).unwrap_err());
    // No chamber at all leaves gasket, deck and dish: 727.41 / (8.87 + 5.23 + 20) + 1.
    assert!((low - 1.99).abs() < 0.1 && (high - 22.33).abs() < 0.01, "{low} {high}");
    let poured = Cylinder { gasket: Gasket::Volume(cc(8.87)), ..eight() };
    assert_eq!(gasket_for(&poured, 10.0).unwrap_err(), Unfit::new("gasket bore", Rule::Missing));
}

#[test]
fn a_thinner_gasket_never_lets_the_piston_touch() {
    let proud = Cylinder { deck: inches(-0.030), ..eight() };
    let fault = gasket_for(&proud, 13.0).unwrap_err();
    let Rule::OutsideRange { high, .. } = fault.rule else { panic!("{fault:?}") };
    let touching = gasket_for(&proud, high - 1e-4).unwrap();
    assert!((in_inches(touching.wanted) - 0.030).abs() < 1e-5 && touching.squish.unwrap().si() > 0.0);
}

#[test]
fn asking_for_what_is_there_changes_nothing() {
    let now = compression(&eight()).unwrap().ratio;
    assert!(deck_for(&eight(), now).unwrap().change.si().abs() < 1e-12);
    assert!(chamber_for(&eight(), now).unwrap().change.si().abs() < 1e-15);
    let squish = compression(&eight()).unwrap().squish.unwrap();
    assert!((in_inches(squish) - 0.066).abs() < 1e-12);
}

#[test]
fn a_poured_gasket_stands_for_a_measured_one() {
    let sized = compression(&eight()).unwrap();
    let poured = compression(&Cylinder { gasket: Gasket::Volume(sized.gasket), ..eight() }).unwrap();
    assert_eq!((poured.ratio, poured.squish), (sized.ratio, None));
}

prop_compose! {
    fn cylinder()(
        bore in 0.06_f64..0.15, stroke in 0.06_f64..0.18, chamber in 0.05_f64..0.3, hole in 1.0_f64..1.08,
        thickness in 0.0005_f64..0.003, deck in -0.0004_f64..0.003, dish in -0.02_f64..0.05, crevice in 0.0_f64..0.005,
    ) -> Cylinder {
        let swept = std::f64::consts::FRAC_PI_4 * bore * bore * stroke;
        Cylinder {
            bore: Length::from_si(bore),
            stroke: Length::from_si(stroke),
            chamber: Volume::from_si(chamber * swept),
            gasket: Gasket::Sized { bore: Length::from_si(bore * hole), thickness: Length::from_si(thickness) },
            deck: Length::from_si(deck),
            dish: Volume::from_si(dish * swept),
            crevice: Volume::from_si(crevice * swept),
        }
    }
}

proptest! {
    #[test]
    fn what_is_solved_for_reaches_the_target(cylinder in cylinder(), target in 3.0_f64..20.0) {
        let check = |c: Cylinder| (compression(&c).unwrap().ratio / target - 1.0).abs() < 1e-9;
        if let Ok(change) = chamber_for(&cylinder, target) {
            let solved = Cylinder { chamber: change.wanted, ..cylinder };
            prop_assert!(check(solved));
        }
        if let Ok(change) = dish_for(&cylinder, target) {
            let solved = Cylinder { dish: change.wanted, ..cylinder };
            prop_assert!(check(solved));
        }
        if let Ok(change) = deck_for(&cylinder, target) {
            let solved = Cylinder { deck: change.wanted, ..cylinder };
            prop_assert!(check(solved) && change.change.si() <= 1e-9);
            prop_assert_eq!(compression(&solved).unwrap().squish, change.squish);
        }
        if let (Ok(change), Gasket::Sized { bore, .. }) = (gasket_for(&cylinder, target), cylinder.gasket) {
            let solved = Cylinder { gasket: Gasket::Sized { bore, thickness: change.wanted }, ..cylinder };
            prop_assert!(check(solved));
            prop_assert_eq!(compression(&solved).unwrap().squish, change.squish);
        }
    }

    #[test]
    fn a_target_near_the_present_ratio_is_reached_by_chamber_and_dish(cylinder in cylinder(), up in 0.99_f64..1.01) {
        let target = compression(&cylinder).unwrap().ratio * up;
        prop_assert!(chamber_for(&cylinder, target).is_ok() && dish_for(&cylinder, target).is_ok());
    }

    #[test]
    fn more_room_is_less_ratio(cylinder in cylinder(), more in 0.01_f64..0.5) {
        let ratio = |c: Cylinder| compression(&c).unwrap().ratio;
        let here = ratio(cylinder);
        prop_assert!(here > 1.0);
        let chamber = Cylinder { chamber: cylinder.chamber * (1.0 + more), ..cylinder };
        prop_assert!(ratio(chamber) < here);
        let deck = Cylinder { deck: cylinder.deck + Length::from_si(more * 1e-3), ..cylinder };
        prop_assert!(ratio(deck) < here);
    }
}
