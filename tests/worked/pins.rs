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
