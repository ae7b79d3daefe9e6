use gudgeon::maths::clearance::{Measured, at, at_20, oil, piston, shelled};
use gudgeon::maths::materials::material;
use gudgeon::quantity::{Length, Measure, Temperature, inches, millimetres};

use super::{close, inch, mm};

fn celsius(degrees: f64) -> Temperature {
    Temperature::from_si(degrees + 273.15)
}

/// ISO 1: sizes hold at 20 degrees C, whatever the metal.
#[test]
fn at_the_reference_temperature_nothing_changes() {
    for expansion in [0.0, 11.4e-6, 22.3e-6] {
        assert_eq!(at_20(inches(4.03), celsius(20.0), expansion).unwrap(), inches(4.03));
    }
}

/// ISO 3650: steel gauge blocks expand by 11.5 millionths a kelvin, so a 100 mm block one kelvin warm is 1.15 um long.
#[test]
fn a_gauge_block_one_kelvin_warm() {
    close(mm(at(millimetres(100.0), celsius(21.0), 11.5e-6).unwrap()), 100.001_15, 1e-10);
    close(mm(at_20(millimetres(100.001_15), celsius(21.0), 11.5e-6).unwrap()), 100.0, 1e-10);
}

/// OpenStax College Physics, example 13.3 (from memory): a 1275 m steel bridge between -15 and 40 degrees C, at 12
/// millionths a kelvin, changes by 0.84 m.
#[test]
fn the_textbook_bridge() {
    let cool = at_20(Length::from_si(1275.0), celsius(-15.0), 12e-6).unwrap();
    close((at(cool, celsius(40.0), 12e-6).unwrap() - Length::from_si(1275.0)).si(), 0.84, 0.005);
}

/// 30-digit decimals: 102.1500 / (1 + 22.3e-6 x 15) = 102.115842250767118 mm at 35 degrees C, and
/// 102.2500 / (1 + 10.8e-6 x 5) = 102.244478798144900 mm at 25 degrees C; difference 0.128636547377782 mm.
#[test]
fn a_warm_piston_in_a_cool_block() {
    let bore = Measured { size: millimetres(102.25), temperature: celsius(25.0), expansion: 10.8e-6 };
    let skirt = Measured { size: millimetres(102.15), temperature: celsius(35.0), expansion: 22.3e-6 };
    let fit = piston(bore, skirt).unwrap();
    close(mm(fit.as_measured), 0.1, 1e-12);
    close(mm(fit.piston_at_20), 102.115_842_250_767, 1e-12);
    close(mm(fit.bore_at_20), 102.244_478_798_144_9, 1e-12);
    close(mm(fit.at_20), 0.128_636_547_377_782, 1e-12);
}

/// By hand at 20 degrees C: 4.0300 - 4.0255 = 0.0045 in, 0.0045 / 4.03 = 0.001117 per inch of bore.
#[test]
fn both_at_twenty_is_plain_subtraction() {
    let fit = piston(Measured::at_reference(inches(4.03)), Measured::at_reference(inches(4.0255))).unwrap();
    close(inch(fit.at_20), 0.0045, 1e-12);
    close(inch(fit.as_measured), 0.0045, 1e-12);
    close(fit.per_bore, 0.001_117, 5e-7);
}

/// Coefficients as printed: Callister and Rethwisch, table B.6 (grey iron 11.4, ductile iron 60-40-18 11.2, alloy 356.0
/// 21.5, C93200 18.0), and the metals handbook's table of alloys (4032 19.4, A132 19.0), millionths per kelvin.
#[test]
fn coefficients_as_printed() {
    for (id, printed) in [
        ("cast-iron", 11.4),
        ("ductile-iron", 11.2),
        ("aluminium", 21.5),
        ("bronze", 18.0),
        ("4032", 19.4),
        ("cast-piston", 19.0),
    ] {
        close(material(id).unwrap().expansion * 1e6, printed, 1e-9);
    }
}

/// Exact fractions: 2.6905 - 2 x 0.0947 - 2.4995 = 1/625 = 0.0016 in; / 2.4995 = 0.000640128025605 per inch.
#[test]
fn housing_shell_and_journal() {
    let bearing = shelled(&[inches(2.6905)], &[inches(0.0947)]).unwrap();
    close(inch(bearing.inside[0]), 2.5011, 1e-12);
    let found = oil(&bearing.inside, &[inches(2.4995)]).unwrap();
    close(inch(found.smallest), 0.0016, 1e-12);
    close(inch(found.largest), 0.0016, 1e-12);
    close(found.smallest_per_journal, 0.000_640_128_025_605, 1e-12);
}

/// By hand: inside 2.5009 to 2.5013, journal 2.4990 to 2.4995: smallest 0.0014, largest 0.0023, means 2.5011 - 2.49925
/// = 0.00185.
#[test]
fn smallest_and_largest() {
    let found = oil(&[2.5011, 2.5009, 2.5013].map(inches), &[2.4995, 2.4990].map(inches)).unwrap();
    close(inch(found.smallest), 0.0014, 1e-12);
    close(inch(found.largest), 0.0023, 1e-12);
    close(inch(found.mean), 0.001_85, 1e-12);
}

/// Common practice: one half-shell 0.001 in undersize is half a thou thicker and takes half a thou of clearance.
#[test]
fn half_a_shell_under_takes_half_the_step() {
    let clearance = |walls: &[Length]| {
        let bearing = shelled(&[inches(2.6905)], walls).unwrap();
        inch(oil(&bearing.inside, &[inches(2.4985)]).unwrap().smallest)
    };
    let standard = clearance(&[inches(0.0947)]);
    close(standard - clearance(&[inches(0.0947), inches(0.0952)]), 0.0005, 1e-12);
    close(standard - clearance(&[inches(0.0952)]), 0.0010, 1e-12);
}

/// Common practice: 0.00075 to 0.001 in per inch of journal is 0.0015 to 0.002 in on a 2 in journal.
#[test]
fn per_inch_of_journal() {
    let found = oil(&[2.0015, 2.0020].map(inches), &[inches(2.0)]).unwrap();
    close(found.smallest_per_journal, 0.000_75, 1e-12);
    close(found.largest_per_journal, 0.001, 1e-12);
}

/// US Army TM 9-6115-604-34, table 1-4: liner 6.2495 to 6.2510 in inside, skirt 6.2380 to 6.2390 in, clearance 0.0105 to 0.0130 in.
#[test]
fn pistons_of_an_army_table() {
    let fit = |bore, skirt| {
        inch(piston(Measured::at_reference(inches(bore)), Measured::at_reference(inches(skirt))).unwrap().at_20)
    };
    close(fit(6.2495, 6.2390), 0.0105, 1e-9);
    close(fit(6.2510, 6.2380), 0.0130, 1e-9);
}

/// US Army TM 9-6115-604-34, table 1-4: main bore 6.8450 in, shell 0.1707 in, journal 6.500 in at their tightest; clearance
/// 0.0036 in at the least. (Its 0.0075 in at the most is under the 0.0080 in that its own sizes leave, so it is not used.)
#[test]
fn mains_of_an_army_table() {
    let tightest = shelled(&[inches(6.8450)], &[inches(0.1707)]).unwrap();
    close(inch(oil(&tightest.inside, &[inches(6.500)]).unwrap().smallest), 0.0036, 1e-9);
}

/// A small diesel's workshop manual, big ends: shells 57.190 to 57.210 mm inside, pins 57.110 to 57.130 mm, clearance 0.060 to
/// 0.100 mm.
#[test]
fn big_ends_of_a_workshop_manual() {
    let found = oil(&[57.190, 57.210].map(millimetres), &[57.110, 57.130].map(millimetres)).unwrap();
    close(mm(found.smallest), 0.060, 1e-9);
    close(mm(found.largest), 0.100, 1e-9);
}
