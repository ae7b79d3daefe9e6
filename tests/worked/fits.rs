//! Press fits and dropping in by heat.

use gudgeon::maths::elastic::elastic;
use gudgeon::maths::heating::{self, Parts};
use gudgeon::maths::press::{Fit, press};
use gudgeon::quantity::{Measure, Temperature, inches, millimetres};

use super::{close, mm};

const KSI: f64 = 6_894_757.293_168;

fn metric(joint: f64, interference: f64, outside: f64, hole: f64) -> Fit {
    Fit {
        joint: millimetres(joint),
        interference: millimetres(interference),
        outside: millimetres(outside),
        hole: millimetres(hole),
        length: millimetres(50.0),
        friction: 0.12,
    }
}

/// Shigley's form for two parts of one metal: p = E i / (2 d^3) x (D^2 - d^2)(d^2 - b^2) / (D^2 - b^2). For 50 mm, 0.05 mm,
/// 100 mm outside, 20 mm hole, 207 GPa: 67.921875 MPa exactly (fractions).
#[test]
fn one_metal_has_a_shorter_formula() {
    let steel = elastic("steel").unwrap();
    let sum = press(&metric(50.0, 0.05, 100.0, 20.0), steel, steel).unwrap();
    close(sum.pressure.si() / 1e6, 67.921_875, 1e-9);
    // Hoop at the ring's bore: p (D^2 + d^2) / (D^2 - d^2) = 67.921875 x 12500 / 7500.
    close(sum.ring_hoop.si() / 1e6, 67.921_875 * 5.0 / 3.0, 1e-9);
    // At the hole of the shaft: -2 p d^2 / (d^2 - b^2) = -2 x 67.921875 x 2500 / 2100.
    close(sum.shaft_hoop.si() / 1e6, -161.718_75, 1e-9);
    // Force: mu p pi d L = 0.12 x 67.921875 x pi x 50 x 50 N (plain Python: 64014.859...).
    close(sum.force.si(), 0.12 * 67.921_875 * std::f64::consts::PI * 2500.0, 1e-6);
}

/// A solid steel shaft in a ring twice its size, same metal, is p = (3/8) E i / d: (D^2 - d^2) / (2 D^2) = 3/8 (fractions).
#[test]
fn a_solid_shaft_in_a_ring_twice_its_size() {
    let steel = elastic("steel").unwrap();
    let sum = press(&metric(30.0, 0.03, 60.0, 0.0), steel, steel).unwrap();
    close(sum.pressure.si() / 1e6, 0.375 * 207e3 * 0.001, 1e-9);
    // Equivalent stress at the bore: hoop 5/3 p, radial -p: p sqrt(25/9 + 5/3 + 1) = 7/3 p.
    close(sum.ring_stress.si() / sum.pressure.si(), 7.0 / 3.0, 1e-12);
}

/// Different metals: an iron sleeve 3.500 x 3.750 in in an aluminium ring of 4.250 in, 0.003 in tight. Plain Python, the
/// module's formula with E 71 and 100 GPa, nu 0.334 and 0.211, in mm: p = 3.066510665321115 MPa.
#[test]
fn an_iron_sleeve_in_aluminium() {
    let fit = Fit {
        joint: inches(3.75),
        interference: inches(0.003),
        outside: inches(4.25),
        hole: inches(3.5),
        length: inches(5.5),
        friction: 0.12,
    };
    let sum = press(&fit, elastic("aluminium").unwrap(), elastic("cast-iron").unwrap()).unwrap();
    close(sum.pressure.si() / 1e6, 3.066_510_665_321_115, 1e-9);
    close(mm(sum.opens + sum.shrinks), 0.0762, 1e-12);
}

/// By hand in inches: a steel hub of 2 in on a solid 1 in steel shaft, 0.001 in tight: 3/8 x 30 000 ksi x 0.001 = 11.25 ksi,
/// hoop at the bore 5/3 of it, 18.75 ksi; 207 GPa is 30 million psi to a part in a thousand.
#[test]
fn the_same_hub_in_inches() {
    let steel = elastic("steel").unwrap();
    let fit = Fit {
        joint: inches(1.0),
        interference: inches(0.001),
        outside: inches(2.0),
        hole: inches(0.0),
        length: inches(1.0),
        friction: 0.12,
    };
    let sum = press(&fit, steel, steel).unwrap();
    close(sum.pressure.si() / KSI, 11.25, 0.02);
    close(sum.ring_hoop.si() / KSI, 18.75, 0.03);
}

fn celsius(degrees: f64) -> Temperature {
    Temperature::from_si(degrees + 273.15)
}

/// 100 mm iron sleeve in aluminium, 0.08 mm tight at 20 degrees C, to drop in with 0.05 mm. Plain Python:
/// 20 + ((0.05 + 100) / 99.92 - 1) / 21.5e-6 = 80.51352710075041 degrees C; with the sleeve at -18,
/// 20 + ((0.05 + 100 (1 - 11.4e-6 x 38)) / 99.92 - 1) / 21.5e-6 = 60.348557916094585 degrees C.
#[test]
fn a_sleeve_into_a_warm_block() {
    let parts = Parts {
        shaft: millimetres(100.0),
        interference: millimetres(0.08),
        room: celsius(20.0),
        ring_expansion: 21.5e-6,
        shaft_expansion: 11.4e-6,
    };
    let oven = |cold: f64| heating::oven(&parts, millimetres(0.05), celsius(cold)).unwrap().si() - 273.15;
    close(oven(20.0), 80.513_527_100_750_41, 1e-9);
    close(oven(-18.0), 60.348_557_916_094_585, 1e-9);
    // ISO 1 and the definition: at the temperature of measurement the clearance is what was measured.
    let cold = heating::clearance(&parts, celsius(20.0), celsius(20.0)).unwrap();
    close(mm(cold), -0.08, 1e-12);
}

/// With 40 degrees C in the block and 0.05 mm tight: 20 + (((100 - 0.05)(1 + 21.5e-6 x 20) - 0.03) / 100 - 1) / 11.4e-6 =
/// -12.475 degrees C (plain Python).
#[test]
fn a_freezer_in_place_of_an_oven() {
    let parts = Parts {
        shaft: millimetres(100.0),
        interference: millimetres(0.05),
        room: celsius(20.0),
        ring_expansion: 21.5e-6,
        shaft_expansion: 11.4e-6,
    };
    let cold = heating::freezer(&parts, millimetres(0.03), celsius(40.0)).unwrap();
    close(cold.si() - 273.15, -12.475, 1e-6);
}

/// Handbook rule (common practice): steel grows about 0.0065 thou an inch for each degree F, so an inch ring opens one thou
/// for about 154 degrees F.
#[test]
fn the_rule_of_thumb_for_steel() {
    let parts = Parts {
        shaft: inches(1.0),
        interference: inches(0.0),
        room: celsius(20.0),
        ring_expansion: 11.7e-6,
        shaft_expansion: 11.7e-6,
    };
    let hot = heating::oven(&parts, inches(0.001), celsius(20.0)).unwrap();
    close((hot.si() - 293.15) * 1.8, 154.0, 1.0);
}

/// A textbook exercise on shrunk discs, answers printed: steel disc 0.5 m across on a 0.1 m shaft, E 200 GPa, allowance 0.0526 mm on
/// the radius: 109.2 MPa at the bore. The metal here has 207 GPa, so the allowance is taken 200/207 of it; the printed
/// figures are rounded to a fifth of a per cent.
#[test]
fn a_shrunk_disc_of_a_textbook() {
    let steel = elastic("steel").unwrap();
    let sum = press(&metric(100.0, 2.0 * 0.0526 * 200.0 / 207.0, 500.0, 0.0), steel, steel).unwrap();
    close(sum.ring_hoop.si() / 1e6 / 109.2, 1.0, 0.002);
}

/// The thin ring of any textbook: hoop strain is interference over joint, so hoop stress is E times it, whatever the shaft, once the
/// ring is thin beside it. A ring of 1.02 on a solid shaft: within three per cent.
#[test]
fn a_thin_ring_takes_all_the_strain() {
    let steel = elastic("steel").unwrap();
    let sum = press(&metric(100.0, 0.05, 102.0, 0.0), steel, steel).unwrap();
    close(sum.ring_hoop.si() / (207e9 * 0.0005), 1.0, 0.03);
}

/// A college physics exercise, answer printed: an aluminium ring (25 millionths) of 59.88 mm at 21 degrees C, to slip over a 60.19 mm
/// rod with 0.05 mm to spare, is heated by 240.5 degrees. That is a hair tighter than is believed here, so both gaps are a tenth of
/// the exercise's, and so is the rise.
#[test]
fn a_ring_and_rod_of_a_physics_exercise() {
    let parts = Parts {
        shaft: millimetres(59.88 + 0.031),
        interference: millimetres(0.031),
        room: celsius(21.0),
        ring_expansion: 25e-6,
        shaft_expansion: 25e-6,
    };
    let hot = heating::oven(&parts, millimetres(0.005), celsius(21.0)).unwrap();
    close((hot.si() - 294.15) * 10.0, 240.5, 0.05);
}

/// A physics tutor's published answer: a steel rod (12 millionths) of 9 mm goes into a hole of 8.998 mm once it is 18.52 degrees colder.
#[test]
fn a_rod_chilled_into_its_hole() {
    let parts = Parts {
        shaft: millimetres(9.0),
        interference: millimetres(0.002),
        room: celsius(20.0),
        ring_expansion: 12e-6,
        shaft_expansion: 12e-6,
    };
    let cold = heating::freezer(&parts, millimetres(0.0), celsius(20.0)).unwrap();
    close(293.15 - cold.si(), 18.52, 0.005);
}
