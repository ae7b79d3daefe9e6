use gudgeon::maths::convert::{convert, nearest_64th};
use gudgeon::quantity::{Dimension, inches, millimetres, unit_for};

use super::{close, inch, mm};

fn from_to(number: f64, dimension: Dimension, from: &str, to: &str) -> f64 {
    convert(number, unit_for(dimension, from).unwrap(), unit_for(dimension, to).unwrap()).unwrap()
}

/// NIST SP 811 (2008), appendix B.8, factors as printed (those in full are exact, the others to the digits printed).
#[test]
fn factors_as_printed() {
    close(from_to(1.0, Dimension::Length, "in", "mm"), 25.4, 1e-12);
    close(from_to(1.0, Dimension::Volume, "cu in", "cc"), 16.387_064, 1e-10);
    close(from_to(1.0, Dimension::Torque, "lb-ft", "Nm"), 1.355_818, 5e-7);
    close(from_to(1.0, Dimension::Torque, "lb-in", "Nm"), 0.112_984_8, 5e-8);
    close(from_to(1.0, Dimension::Torque, "kgf-m", "Nm"), 9.806_65, 1e-12);
    close(from_to(1.0, Dimension::Force, "lbf", "N"), 4.448_222, 5e-7);
    close(from_to(1.0, Dimension::Pressure, "psi", "kPa"), 6.894_757, 5e-7);
    close(from_to(1.0, Dimension::Pressure, "bar", "kPa"), 100.0, 1e-12);
    close(from_to(1.0, Dimension::Mass, "oz", "g"), 28.349_52, 5e-6);
    close(from_to(1.0, Dimension::Mass, "lb", "kg"), 0.453_592_37, 1e-15);
    close(from_to(1.0, Dimension::Angle, "deg", "deg"), 1.0, 1e-15);
}

/// Fixed points: water freezes at 0 degrees C and 32 degrees F, the two scales meet at -40, and ISO 1's 20 is 68.
#[test]
fn temperatures() {
    let f = |c| from_to(c, Dimension::Temperature, "C", "F");
    close(f(0.0), 32.0, 1e-9);
    close(f(100.0), 212.0, 1e-9);
    close(f(-40.0), -40.0, 1e-9);
    close(f(20.0), 68.0, 1e-9);
}

/// Exact fractions: 1 thou is 25.4 um, 2.5 thou 25 tenths, 85 lb-ft is 85 x 1.3558179483314004 = 115.244525608169 Nm.
#[test]
fn shop_floor_slips() {
    close(from_to(1.0, Dimension::Length, "thou", "um"), 25.4, 1e-10);
    close(from_to(2.5, Dimension::Length, "thou", "tenths"), 25.0, 1e-10);
    close(from_to(85.0, Dimension::Torque, "lb-ft", "Nm"), 115.244_525_608_169, 1e-10);
}

/// Decimal equivalents of 64ths, as on any drill chart (ASME B94.11M sizes): exact binary fractions.
#[test]
fn decimal_equivalents() {
    for (decimal, numerator, denominator) in [
        (0.015_625, 1, 64),
        (0.031_25, 1, 32),
        (0.3125, 5, 16),
        (0.375, 3, 8),
        (0.406_25, 13, 32),
        (0.5, 1, 2),
        (0.734_375, 47, 64),
        (0.984_375, 63, 64),
    ] {
        let found = nearest_64th(inches(decimal)).unwrap();
        assert_eq!((found.whole, found.numerator, found.denominator), (0, numerator, denominator));
        close(inch(found.error), 0.0, 1e-12);
    }
}

/// By hand: 8 mm = 0.3149606 in; x 64 = 20.157, so 20/64 = 5/16 = 0.3125 in, 0.0024606 in under (0.0625 mm).
/// 63.7 mm = 2.5078740 in; x 64 = 160.504, so 161/64 = 2 33/64 = 2.515625 in, 0.0077510 in over.
#[test]
fn metric_to_the_nearest_64th() {
    let found = nearest_64th(millimetres(8.0)).unwrap();
    assert_eq!((found.whole, found.numerator, found.denominator), (0, 5, 16));
    close(mm(found.error), 0.0625, 1e-9);
    let found = nearest_64th(millimetres(63.7)).unwrap();
    assert_eq!((found.whole, found.numerator, found.denominator), (2, 33, 64));
    close(inch(found.error), -0.007_751, 5e-8);
}

/// By hand: just under a whole inch rounds up to it, and nothing is nothing.
#[test]
fn whole_inches() {
    let found = nearest_64th(inches(2.995)).unwrap();
    assert_eq!((found.whole, found.numerator, found.denominator), (3, 0, 1));
    let none = nearest_64th(inches(0.0)).unwrap();
    assert_eq!((none.whole, none.numerator, none.denominator), (0, 0, 1));
}

/// NIST SP 811 (2008), appendix B.8, as printed, in SI units: every other unit a shop meets.
#[test]
fn the_other_factors_as_printed() {
    for (dimension, unit, printed, half) in [
        (Dimension::Length, "ft", 0.3048, 1e-15),
        (Dimension::Length, "thou", 2.54e-5, 1e-18),
        (Dimension::Area, "sq in", 6.4516e-4, 1e-16),
        (Dimension::Volume, "l", 1e-3, 1e-16),
        (Dimension::Force, "kgf", 9.806_65, 1e-12),
        (Dimension::Pressure, "ksi", 6.894_757e6, 0.5),
        (Dimension::Pressure, "kgf/cm2", 9.806_65e4, 1e-8),
        (Dimension::Angle, "deg", 1.745_329e-2, 5e-9),
        (Dimension::Turning, "rpm", 1.047_198e-1, 5e-8),
        (Dimension::Viscosity, "cp", 1e-3, 1e-16),
        (Dimension::Stiffness, "lbf/in", 1.751_268e2, 5e-5),
        (Dimension::Mass, "oz", 2.834_952e-2, 5e-9),
    ] {
        let unit = unit_for(dimension, unit).unwrap();
        close(unit.factor, printed, half);
    }
    // T/K = (t/degF + 459.67)/1.8
    let fahrenheit = unit_for(Dimension::Temperature, "F").unwrap();
    close(68.0 * fahrenheit.factor + fahrenheit.offset, (68.0 + 459.67) / 1.8, 1e-9);
}
