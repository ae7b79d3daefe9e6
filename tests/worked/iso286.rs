//! ISO 286: limits as the standard's own tables (ISO 286-2) and textbooks print them, all from memory.

use gudgeon::maths::iso286::{Class, Feature, Kind, Letter, fit, limits};
use gudgeon::quantity::millimetres;

use super::{close, mm};

fn class(text: &str) -> Class {
    let at = text.find(|c: char| c.is_ascii_digit()).unwrap();
    let (word, grade) = text.split_at(at);
    let letter = Letter::ALL.into_iter().find(|l| l.word().eq_ignore_ascii_case(word)).unwrap();
    let feature = if word.chars().all(char::is_uppercase) { Feature::Hole } else { Feature::Shaft };
    Class { feature, letter, grade: grade.parse().unwrap() }
}

/// Upper and lower deviation in um, as ISO 286-2 prints them.
#[test]
fn deviations_of_the_standard() {
    for (size, name, upper, lower) in [
        (2.0, "g6", -2.0, -8.0),
        (2.0, "H7", 10.0, 0.0),
        (2.0, "P7", -6.0, -16.0),
        (2.0, "K7", 0.0, -10.0),
        (5.0, "f7", -10.0, -22.0),
        (8.0, "h9", 0.0, -36.0),
        (10.0, "m6", 15.0, 6.0),
        (16.0, "e8", -32.0, -59.0),
        (20.0, "H7", 21.0, 0.0),
        (20.0, "n6", 28.0, 15.0),
        (20.0, "p6", 35.0, 22.0),
        (20.0, "K7", 6.0, -15.0),
        (20.0, "M7", 0.0, -21.0),
        (20.0, "N7", -7.0, -28.0),
        (20.0, "P7", -14.0, -35.0),
        (20.0, "N9", 0.0, -52.0),
        (20.0, "P9", -22.0, -74.0),
        (25.0, "F8", 53.0, 20.0),
        (25.0, "g6", -7.0, -20.0),
        (25.0, "k6", 15.0, 2.0),
        (25.0, "s6", 48.0, 35.0),
        (25.0, "H11", 130.0, 0.0),
        (40.0, "d9", -80.0, -142.0),
        (40.0, "D10", 180.0, 80.0),
        (45.0, "K6", 3.0, -13.0),
        (60.0, "r6", 60.0, 41.0),
        (70.0, "s6", 78.0, 59.0),
        (60.0, "S7", -42.0, -72.0),
        (80.0, "js5", 6.5, -6.5),
        (100.0, "h6", 0.0, -22.0),
        (100.0, "H8", 54.0, 0.0),
        (100.0, "f7", -36.0, -71.0),
        (100.0, "M6", -6.0, -28.0),
        (110.0, "r6", 76.0, 54.0),
        (150.0, "P7", -28.0, -68.0),
        (200.0, "N7", -14.0, -60.0),
        (280.0, "M6", -9.0, -41.0),
        (280.0, "M7", 0.0, -52.0),
        (450.0, "g6", -20.0, -60.0),
        (500.0, "H7", 63.0, 0.0),
    ] {
        let found = limits(millimetres(size), class(name)).unwrap();
        let um = |l| mm(l) * 1e3;
        assert!((um(found.upper) - upper).abs() < 1e-6, "{size} {name}: upper {} not {upper}", um(found.upper));
        assert!((um(found.lower) - lower).abs() < 1e-6, "{size} {name}: lower {} not {lower}", um(found.lower));
    }
}

/// Textbook fits (Machinery's Handbook preferred fits, from memory): 25 H7/g6 0.007 to 0.041 mm clear; 25 H7/h6 0 to 0.034
/// mm; 25 H7/k6 0.015 tight to 0.019 clear; 25 H7/p6 0.001 to 0.035 tight; 25 H7/s6 0.014 to 0.048 tight; 25 H8/f7 0.020 to
/// 0.074 mm clear; 25 H9/d9 0.065 to 0.169 mm clear.
#[test]
fn preferred_fits_at_25() {
    for (hole, shaft, loosest, tightest, kind) in [
        ("H7", "g6", 0.041, 0.007, Kind::Clearance),
        ("H7", "h6", 0.034, 0.0, Kind::Clearance),
        ("H7", "k6", 0.019, -0.015, Kind::Transition),
        ("H7", "p6", -0.001, -0.035, Kind::Interference),
        ("H7", "s6", -0.014, -0.048, Kind::Interference),
        ("H8", "f7", 0.074, 0.020, Kind::Clearance),
        ("H9", "d9", 0.169, 0.065, Kind::Clearance),
    ] {
        let found = fit(millimetres(25.0), class(hole), class(shaft)).unwrap();
        close(mm(found.loosest), loosest, 1e-9);
        close(mm(found.tightest), tightest, 1e-9);
        assert_eq!(found.kind, kind, "{hole}/{shaft}");
    }
}
