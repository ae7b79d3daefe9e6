use gudgeon::maths::bobweight::{Parts, balances_itself, card};
use gudgeon::maths::cranks::{side, stroke, throws, washers};
use gudgeon::maths::runout::runout;
use gudgeon::quantity::{Angle, Length, Measure, Share, inches, millimetres};

use super::{close, from_grams, grams, inch, mm};

fn tenths(list: &[f64]) -> Vec<Length> {
    list.iter().map(|t| inches(t * 1e-4)).collect()
}

fn in_tenths(length: Length) -> f64 {
    inch(length) * 1e4
}

/// numpy 2 `linalg.lstsq` on the columns 1, cos(2 pi k / n), sin(2 pi k / n): amplitude hypot(a, b), angle atan2(b, a),
/// largest absolute residual. Readings in tenths of a thou.
#[test]
fn runout_as_numpy_fits_it() {
    let cases: [(&[f64], f64, f64, f64, f64); 3] = [
        (&[0.0, 3.0, 7.0, 9.0, 8.0, 5.0, 2.0, -1.0], 4.907475448758896, 147.11948918988963, 0.5392135623730967, 10.0),
        (&[1.0, 4.0, 2.5, -2.0, -3.0], 3.738520040042494, 84.44638431706522, 0.15065778087481974, 7.0),
        (&[12.0, 15.0, 13.0, 9.0, 6.0, 5.0, 8.0], 4.867192003318425, 58.8169993118091, 0.45893382220446277, 10.0),
    ];
    for (readings, eccentricity, high, residual, tir) in cases {
        let found = runout(&tenths(readings), inches(0.0)).unwrap();
        close(in_tenths(found.eccentricity), eccentricity, 1e-9);
        close(found.high_spot.unwrap().si().to_degrees(), high, 1e-9);
        close(in_tenths(found.worst_residual), residual, 1e-9);
        close(in_tenths(found.tir), tir, 1e-9);
    }
}

/// Definition: a round journal e off centre reads e cos; four readings from the high spot are e, 0, -e, 0, TIR 2 e.
#[test]
fn an_off_centre_circle_reads_twice_its_eccentricity() {
    let found = runout(&tenths(&[5.0, 0.0, -5.0, 0.0]), inches(0.0001)).unwrap();
    close(in_tenths(found.tir), 10.0, 1e-9);
    close(in_tenths(found.eccentricity), 5.0, 1e-9);
    close(found.high_spot.unwrap().si(), 0.0, 1e-12);
    // GUM, first order: root of 2/4 and root of 2 times the 1 tenth of a reading.
    close(in_tenths(found.eccentricity_uncertainty), std::f64::consts::FRAC_1_SQRT_2, 1e-12);
    close(in_tenths(found.tir_uncertainty), std::f64::consts::SQRT_2, 1e-12);
}

/// Geometry: a pure oval (second harmonic) has out-of-round and no eccentricity: + - + - at quarters of 90 degrees.
#[test]
fn an_oval_journal_is_not_bent() {
    let found = runout(&tenths(&[3.0, -3.0, 3.0, -3.0]), inches(0.0)).unwrap();
    close(in_tenths(found.eccentricity), 0.0, 1e-9);
    assert_eq!(found.high_spot, None);
    close(in_tenths(found.worst_residual), 3.0, 1e-9);
    close(in_tenths(found.tir), 6.0, 1e-9);
}

/// By hand: 0.012 in with a 0.092 in washer; 0.098 in takes up 0.006 in more and leaves 0.006 in. On both sides 0.095 in
/// does the same, and 0.098 in would leave nothing.
#[test]
fn a_thrust_washer_by_hand() {
    let offered = [0.094, 0.096, 0.098].map(inches);
    let limits = (inches(0.004), inches(0.008));
    let one = washers(inches(0.012), inches(0.092), &offered, 1, limits).unwrap();
    close(inch(one.ideal), 0.098, 1e-12);
    close(inch(one.fitting[0].thickness), 0.098, 1e-12);
    close(inch(one.fitting[0].float), 0.006, 1e-12);
    // 0.012 - (0.096 - 0.092) = 0.008: on the limit, which is inside.
    assert_eq!(one.fitting.len(), 2);
    let both = washers(inches(0.012), inches(0.092), &offered, 2, limits).unwrap();
    close(inch(both.ideal), 0.095, 1e-12);
    // 0.094: 0.012 - 0.004 = 0.008; 0.096: 0.012 - 0.008 = 0.004; 0.098: 0.012 - 0.012 = 0.
    let floats: Vec<f64> = both.all.iter().map(|w| (inch(w.float) * 1e6).round() / 1e6).collect();
    assert_eq!(floats, [0.008, 0.004, 0.0]);
    assert_eq!(both.fitting.len(), 2);
}

/// By hand in millimetres: 0.30 mm with 2.30 mm; 2.45 mm leaves 0.30 - 0.15 = 0.15 mm. Common practice: 0.10 to 0.20 mm.
#[test]
fn a_thrust_washer_in_metric() {
    let limits = (millimetres(0.10), millimetres(0.20));
    let found = washers(millimetres(0.30), millimetres(2.30), &[millimetres(2.45)], 1, limits).unwrap();
    close(mm(found.fitting[0].float), 0.15, 1e-9);
}

/// By hand: 1.890 - (0.938 + 0.938) = 0.014 in, in the middle of the 0.010 to 0.020 in of common practice; and
/// 27.00 - 26.80 = 0.20 mm for a rod alone; and 1.870 - 1.876 = -0.006 in, which does not go in.
#[test]
fn side_clearance_by_hand() {
    close(inch(side(inches(1.890), &[inches(0.938); 2]).unwrap().clearance), 0.014, 1e-12);
    close(mm(side(millimetres(27.0), &[millimetres(26.8)]).unwrap().clearance), 0.20, 1e-9);
    close(inch(side(inches(1.870), &[inches(0.938); 2]).unwrap().clearance), -0.006, 1e-12);
}

/// Definition: twice the throw. A 3.480 in stroke is turned on a 1.740 in throw; in heights over a 2.100 in pin, mains at
/// 6.700 in: 6.700 + 1.740 + 1.050 = 9.490 and 6.700 - 1.740 + 1.050 = 6.010 in. 88.4 mm is 2 x 44.2 mm.
#[test]
fn stroke_from_throw_and_from_heights() {
    close(inch(stroke(&[inches(1.740)]).unwrap().strokes[0]), 3.480, 1e-12);
    let throw = throws(&[inches(9.490)], &[inches(6.010)]).unwrap();
    close(inch(throw[0]), 1.740, 1e-12);
    let metric = stroke(&[millimetres(44.2), millimetres(44.25)]).unwrap();
    close(mm(metric.strokes[0]), 88.4, 1e-9);
    close(mm(metric.spread.range()), 0.1, 1e-9);
}

fn parts() -> Parts {
    Parts {
        piston: from_grams(560.0),
        pin: from_grams(145.0),
        locks: from_grams(4.0),
        rings: from_grams(52.0),
        small_end: from_grams(180.0),
        big_end: from_grams(420.0),
        shells: from_grams(44.0),
        oil: from_grams(5.0),
    }
}

fn degrees(value: f64) -> Angle {
    Angle::from_si(value.to_radians())
}

/// By hand: rotating 2 x (420 + 44) + 5 = 933 g; one cylinder's reciprocating 180 + 560 + 145 + 4 + 52 = 941 g; 100 % of
/// the one + 50 % of twice the other = 1874 g. At 52 %: 933 + 0.52 x 1882 = 1911.64 g, 37.64 g more.
#[test]
fn a_bobweight_card_by_hand() {
    let even = card(&parts(), degrees(90.0), Share(0.5)).unwrap();
    close(grams(even.rotating), 933.0, 1e-9);
    close(grams(even.reciprocating_each), 941.0, 1e-9);
    close(grams(even.bobweight), 1874.0, 1e-9);
    close(grams(even.left_backward), 0.0, 1e-9);
    let over = card(&parts(), degrees(90.0), Share(0.52)).unwrap();
    close(grams(over.bobweight), 1911.64, 1e-9);
    close(grams(over.left_forward), 37.64, 1e-9);
}

/// Textbook (Norton, Design of Machinery, on the 90 degree V-twin; from memory): the primary force is one vector of
/// constant length m r w^2 turning with the crank, so a counterweight takes all of it. Here the force of the two
/// pistons, each m cos(its own crank angle) along its bore, is compared with the card's counterweight at the crank.
#[test]
fn at_ninety_degrees_the_counterweight_takes_all() {
    let found = card(&parts(), degrees(90.0), Share(0.5)).unwrap();
    let (m, half) = (grams(found.reciprocating_each), 45.0_f64.to_radians());
    for turn in [0.0_f64, 17.0, 45.0, 90.0, 133.0, 271.0] {
        let t = turn.to_radians();
        let (left, right) = (m * (t - half).cos(), m * (t + half).cos());
        let (x, y) = ((left + right) * half.cos(), (left - right) * half.sin());
        close(x, grams(found.counted) * t.cos(), 1e-9);
        close(y, grams(found.counted) * t.sin(), 1e-9);
    }
}

/// At 60 degrees cos 60 = 1/2 of one cylinder's weight turns backward, 470.5 g, whatever the counterweight (geometry);
/// two pistons in one line (0 degrees) would leave all, a flat pair on one pin (180 degrees) all of it too.
#[test]
fn other_bank_angles_leave_a_backward_part() {
    let left = |bank: f64| grams(card(&parts(), degrees(bank), Share(0.5)).unwrap().left_backward);
    close(left(60.0), 470.5, 1e-9);
    close(left(120.0), -470.5, 1e-9);
    close(left(180.0), -941.0, 1e-9);
}

/// Textbook tables of balance (from memory): four in line 0-180-180-0 and six 0-120-240-240-120-0 have neither primary
/// force nor primary couple of rotating weight; three at 120 degrees has a couple.
#[test]
fn cranks_in_line_that_are_spun_bare() {
    assert!(balances_itself(&[0.0, 180.0, 180.0, 0.0]));
    assert!(balances_itself(&[0.0, 120.0, 240.0, 240.0, 120.0, 0.0]));
    assert!(!balances_itself(&[0.0, 120.0, 240.0]));
}

/// Roundness by least squares at equal angles, as in the NIST/SEMATECH e-Handbook of Statistical Methods, 2.3.4.4: the centre lies at
/// 2/n sum(y cos) and 2/n sum(y sin). For 4 0 -2 6 at quarter turns, by hand: (4 + 2)/2 = 3 and
/// (0 - 6)/2 = -3; mean 2; residuals 4 - 2 - 3 = -1, 0 - 2 + 3 = 1, -1, 1.
#[test]
fn the_least_squares_centre_of_the_handbook() {
    let found = runout(&tenths(&[4.0, 0.0, -2.0, 6.0]), inches(0.0)).unwrap();
    close(in_tenths(found.toward), 3.0, 1e-9);
    close(in_tenths(found.across), -3.0, 1e-9);
    close(in_tenths(found.mean), 2.0, 1e-9);
    for (residual, expected) in found.residuals.iter().zip([-1.0, 1.0, -1.0, 1.0]) {
        close(in_tenths(*residual), expected, 1e-9);
    }
}

/// US Army TM 5-4210-233-14&P-2, table c of the main bearings: end play up to 0.016 in keeps the standard washers of 0.122 in, 0.017 to
/// 0.026 in takes 0.127 in both sides, 0.027 to 0.036 in takes 0.132 in. Each washer of the table leaves 0.007 to 0.016 in,
/// and no other does.
#[test]
fn thrust_washers_of_an_army_table() {
    let offered = [0.122, 0.127, 0.132].map(inches);
    for (float, washer) in [
        (0.008, 0.122),
        (0.012, 0.122),
        (0.016, 0.122),
        (0.017, 0.127),
        (0.022, 0.127),
        (0.026, 0.127),
        (0.027, 0.132),
        (0.031, 0.132),
        (0.036, 0.132),
    ] {
        let found = washers(inches(float), inches(0.122), &offered, 2, (inches(0.007), inches(0.016))).unwrap();
        assert_eq!(found.fitting.len(), 1, "{float}");
        close(inch(found.fitting[0].thickness), washer, 1e-12);
    }
}

/// A small diesel's workshop manual: crank pin 39.67 to 39.88 mm long, big end 39.38 to 39.43 mm wide, side clearance 0.240 to
/// 0.500 mm.
#[test]
fn side_clearance_of_a_workshop_manual() {
    close(mm(side(millimetres(39.67), &[millimetres(39.43)]).unwrap().clearance), 0.240, 1e-9);
    close(mm(side(millimetres(39.88), &[millimetres(39.38)]).unwrap().clearance), 0.500, 1e-9);
}

/// Heywood, equation 2.3 (from memory): stroke = 2 x crank radius. The knock-test engine's 4.500 in (ASTM D2700, from memory) is a
/// throw of 2.250 in, and its bore of 3.250 in then sweeps the published 37.33 cu in.
#[test]
fn the_throw_of_the_knock_test_engine() {
    let found = stroke(&[inches(2.250)]).unwrap().strokes[0];
    close(inch(found), 4.500, 1e-12);
    let swept = gudgeon::maths::cylinders::displacement(inches(3.25), found, 1).unwrap();
    close(super::cubic_inches(swept.one), 37.33, 0.005);
}

/// A bobweight card printed in a trade magazine (V8, 2008): big end 621.5 g and shells 45 g make 666.5 g, twice that 1333 g of
/// rotating weight.
#[test]
fn rotating_weight_of_a_printed_card() {
    let printed = Parts { big_end: from_grams(621.5), shells: from_grams(45.0), oil: from_grams(0.0), ..parts() };
    close(grams(card(&printed, degrees(90.0), Share(0.5)).unwrap().rotating), 1333.0, 1e-9);
}
