use gudgeon::maths::springs::{Spring, Wire, installed, shim_for, wound};
use gudgeon::quantity::{Force, Measure, Pressure, Stiffness, inches, millimetres};

use super::{close, inch, mm};

/// NIST SP 811: 1 lbf = 4.448 221 615 260 5 N.
const POUND: f64 = 4.448_221_615_260_5;
/// NIST SP 811: 1 lbf/in = 175.126 8 N/m.
const PER_INCH: f64 = 175.126_8;

fn pounds(value: f64) -> Force {
    Force::from_si(value * POUND)
}

/// By hand: (300 - 110) / (1.800 - 1.250) = 345.4545 lbf/in; open at 1.300: 110 + 345.4545 x 0.5 = 282.727 lbf; to a
/// solid height of 1.150 in 0.150 in are left.
#[test]
fn two_loads_on_the_tester() {
    let spring = Spring::of_loads((pounds(110.0), inches(1.8)), (pounds(300.0), inches(1.25))).unwrap();
    close(spring.rate.0 / PER_INCH, 345.4545, 1e-3);
    let sum = installed(&spring, inches(1.8), inches(0.0), inches(0.5), Some(inches(1.15))).unwrap();
    close(sum.seat.si() / POUND, 110.0, 1e-9);
    close(sum.open.si() / POUND, 282.727_272_727, 1e-6);
    close(inch(sum.margin.unwrap()), 0.150, 1e-12);
}

/// The trade's rule for shims, in the library's own page too (common practice): a 0.030 in shim under a 300 lbf/in spring gains
/// 9 lbf. NIST SP 811: 300 lbf/in is 52.538 N/mm.
#[test]
fn thirty_thou_under_three_hundred() {
    close(300.0 * PER_INCH / 1e3, 52.538, 5e-4);
    let spring = Spring::new(Stiffness(300.0 * PER_INCH), pounds(100.0), inches(1.8)).unwrap();
    let none = inches(0.0);
    let shimmed = installed(&spring, inches(1.8), inches(0.030), none, None).unwrap();
    close(shimmed.seat.si() / POUND, 109.0, 1e-5);
    let shim = shim_for(&spring, inches(1.8), pounds(109.0)).unwrap();
    close(inch(shim.shim), 0.030, 1e-7);
}

/// Shigley, Mechanical Engineering Design, example 10-1 (from memory): music wire 0.037 in, mean coil 0.400 in, 10.5 active
/// coils, G = 11.85 Mpsi: 4.13 lbf/in. That wire is finer than a valve spring's, so here every length is ten times as large,
/// which makes the rate ten times as large.
#[test]
fn the_textbook_spring_ten_times_the_size() {
    let sum = wound(Wire {
        wire: inches(0.37),
        outside: inches(4.37),
        coils: 10.5,
        shear: Pressure::from_si(11.85e6 * 6_894.757_293_168),
    })
    .unwrap();
    close(inch(sum.mean), 4.0, 1e-12);
    close(sum.rate.0 / PER_INCH, 41.3, 0.05);
}

/// 77.2 GPa x 4.75^4 / (8 x 32.25^3 x 4.5), by Python's decimals: 77200 x 509.06640625 / (8 x 33542.015625 x 4.5) = 32.546184 N/mm.
#[test]
fn a_valve_spring_in_millimetres() {
    let sum = wound(Wire {
        wire: millimetres(4.75),
        outside: millimetres(37.0),
        coils: 4.5,
        shear: Pressure::from_si(77.2e9),
    })
    .unwrap();
    close(mm(sum.mean), 32.25, 1e-12);
    close(sum.rate.0 / 1e3, 32.546_184, 5e-6);
    // 60 mm free, fitted at 45 mm: 15 x 32.546184 = 488.193 N.
    let spring = Spring::free(sum.rate, millimetres(60.0)).unwrap();
    let seat = installed(&spring, millimetres(45.0), millimetres(0.0), millimetres(0.0), None).unwrap();
    close(seat.seat.si(), 488.193, 1e-3);
}
