use gudgeon::maths::clearance::Measured;
use gudgeon::maths::pins::fit;
use gudgeon::quantity::{Length, Measure, Temperature, inches, millimetres};

use super::{close, inch, mm};

fn celsius(t: f64) -> Temperature {
    Temperature::from_si(t + 273.15)
}

fn part(size: Length, at: f64, expansion: f64) -> Measured {
    Measured { size, temperature: celsius(at), expansion }
}

/// Linear expansion in plain Python, coefficients of the handbooks' table: 0.9277 (1 + 19e-6 x 130) - 0.9272 (1 + 12.3e-6 x 130)
/// = 0.0013088262 in.
#[test]
fn a_piston_boss_opens_on_its_pin() {
    let sum =
        fit(part(inches(0.9277), 20.0, 19e-6), part(inches(0.9272), 20.0, 12.3e-6), celsius(150.0), celsius(150.0));
    let sum = sum.unwrap();
    close(inch(sum.at_20), 0.0005, 1e-12);
    close(inch(sum.hot), 0.001_308_826_2, 1e-12);
}

/// Plain Python: 20 + (0.9272/0.9260 - 1)/12.3e-6 = 125.35742506 degrees C.
#[test]
fn a_pressed_pin_slides_in_a_hot_rod() {
    let sum =
        fit(part(inches(0.9260), 20.0, 12.3e-6), part(inches(0.9272), 20.0, 12.3e-6), celsius(280.0), celsius(20.0));
    let sum = sum.unwrap();
    close(inch(sum.at_20), -0.0012, 1e-12);
    close(sum.level.unwrap().si() - 273.15, 125.357_425_06, 1e-7);
}

/// Physics: one metal at one heat keeps its fit in proportion, so 6 um on 21 mm grows by its own expansion and no more.
#[test]
fn one_metal_keeps_its_fit() {
    let of = |t: f64| {
        fit(part(millimetres(21.006), 20.0, 12.3e-6), part(millimetres(21.0), 20.0, 12.3e-6), celsius(t), celsius(t))
    };
    close(mm(of(150.0).unwrap().hot), 0.006 * (1.0 + 12.3e-6 * 130.0), 1e-12);
    close(mm(of(-40.0).unwrap().hot), 0.006, 1e-5);
}

/// ISO 1: sizes hold at 20 degrees C. Measured at 30, an aluminium hole of 21.006 is 21.006/(1 + 19e-6 x 10) and a steel pin of 21
/// is 21/(1 + 12.3e-6 x 10): apart by 0.004592 mm, by hand.
#[test]
fn measured_in_a_warm_shop() {
    let sum = fit(
        part(millimetres(21.006), 30.0, 19e-6),
        part(millimetres(21.0), 30.0, 12.3e-6),
        celsius(20.0),
        celsius(20.0),
    );
    close(mm(sum.unwrap().at_20), 0.004_593, 2e-6);
}

fn cold(hole: Length, pin: Length) -> Length {
    let sum = fit(part(hole, 20.0, 12e-6), part(pin, 20.0, 12e-6), celsius(20.0), celsius(20.0));
    sum.unwrap().at_20
}

/// US Army TM 5-6115-584-34, table 1-2: small-end bush 0.9903 to 0.9906 in, pin 0.9899 to 0.9901 in, clearance 0.0002 to 0.0007 in.
/// TM 9-6115-604-34, table 1-4: pin 2.3990 in in a piston of 2.3985 in, 0.0005 in tight; in a bush of 2.4010 in, 0.0020 in clear.
/// (The other ends of the second table's two fits are not worst against worst, and are not used.)
#[test]
fn pins_of_army_tables() {
    for (hole, pin, printed) in
        [(0.9903, 0.9901, 0.0002), (0.9906, 0.9899, 0.0007), (2.3985, 2.3990, -0.0005), (2.4010, 2.3990, 0.0020)]
    {
        close(inch(cold(inches(hole), inches(pin))), printed, 1e-9);
    }
}

/// A published valve-guide table: guide 9.523 to 9.534 mm in a head of 9.475 to 9.496 mm, 0.027 to 0.059 mm tight; service guides
/// 9.723 to 9.734 in 9.685 to 9.696 mm, 0.027 to 0.049 mm tight. A guide is a pin in its hole.
#[test]
fn interference_of_a_valve_guide_table() {
    for (hole, guide, tight) in
        [(9.496, 9.523, 0.027), (9.475, 9.534, 0.059), (9.696, 9.723, 0.027), (9.685, 9.734, 0.049)]
    {
        close(mm(cold(millimetres(hole), millimetres(guide))), -tight, 1e-9);
    }
}

/// A college physics exercise, answer printed: a brass ring (19 millionths) of 10.00 cm on an aluminium rod (24) of 10.01 cm, both
/// at 20 degrees C, parts from it at -179 degrees C.
#[test]
fn a_ring_and_rod_that_part_when_cold() {
    let of = |t| {
        let found =
            fit(part(millimetres(100.0), 20.0, 19e-6), part(millimetres(100.1), 20.0, 24e-6), celsius(t), celsius(t));
        found.unwrap().hot.si()
    };
    assert!(of(-178.5) < 0.0 && of(-179.5) > 0.0);
}
