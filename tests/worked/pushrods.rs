use gudgeon::maths::pushrods::{Rocker, nearest_step, pattern, pushrod, swept_by};
use gudgeon::quantity::{Angle, Measure, inches, millimetres};

use super::{close, inch, mm};

fn rocker(rise: f64) -> Rocker {
    Rocker {
        checking: inches(7.8),
        arm: inches(1.5),
        ratio: 1.5,
        lift: inches(0.5),
        rise: inches(rise),
        lean: Angle::from_si(0.0),
    }
}

/// Common practice, mid-lift: with the arm square to the stem at half lift the roller goes out and back the same way.
/// Its pattern, by hand: 1.5 - sqrt(2.25 - 0.0625) = 0.020980 in.
#[test]
fn square_at_half_lift() {
    let sum = pushrod(&rocker(0.25)).unwrap();
    close(inch(sum.change), 0.0, 1e-12);
    close(inch(sum.now.width), 0.020_980_05, 1e-8);
    close(inch(sum.now.farthest), 1.5, 1e-12);
    close(inch(sum.now.nearest), 1.5 - 0.020_980_05, 1e-8);
}

/// By hand: a roller 0.040 in too high: the pivot goes up 0.040 and the cup (1 + 1/1.5) x 0.040 = 0.066667 in; the cup's swing sideways
/// over 7.8 in adds a millionth and a half. The pattern before: 1.5 - sqrt(2.25 - 0.0841) = 0.028300 in.
#[test]
fn forty_thou_too_high() {
    let sum = pushrod(&rocker(0.29)).unwrap();
    close(inch(sum.change), 0.066_667, 3e-6);
    close(inch(sum.now.width), 0.028_300, 1e-6);
    close(inch(sum.length), 7.866_667, 3e-6);
    close(inch(nearest_step(sum.length, inches(0.05)).unwrap()), 7.85, 1e-12);
    close(inch(nearest_step(sum.length, inches(0.1)).unwrap()), 7.9, 1e-12);
}

/// A roller that never comes square sweeps one way only. Pythagoras, 3-4-5 and 5-12-13 triangles: arm 65 mm, from 39 mm above
/// (52 away) to 25 mm above (60 away), 14 mm of lift: 8 mm.
#[test]
fn a_sweep_of_two_right_triangles() {
    let swept = pattern(millimetres(65.0), millimetres(39.0), millimetres(14.0));
    close(mm(swept.nearest), 52.0, 1e-9);
    close(mm(swept.farthest), 60.0, 1e-9);
    close(mm(swept.width), 8.0, 1e-9);
}

/// A pushrod that leans 10 degrees follows the cup along its own line: about the straight change x cos 10 = 0.98481 plus the
/// cup's swing. By Python, in angles (arm at asin(rise/1.5), cup 1 in back, foot 7.8 in down the lean, hypot): 0.0648235 in.
#[test]
fn a_leaning_pushrod() {
    let lean = Rocker { lean: Angle::from_si(10.0_f64.to_radians()), ..rocker(0.29) };
    let sum = pushrod(&lean).unwrap();
    close(inch(sum.change), 0.064_823_48, 1e-6);
    let swept = swept_by(&lean, sum.length).unwrap();
    close(inch(swept.width), 0.020_980_05, 1e-7);
}

/// A drawing of rocker geometry in print: 30 degrees of rocker square at half lift lift 0.709 in; the same arm coming level only at
/// full lift goes 0.685 in down and 0.184 in across. So the arm is 0.709 / (2 sin 15 degrees) = 1.3697 in.
#[test]
fn the_sweep_of_a_drawing_in_print() {
    let arm = inches(0.709 / (2.0 * 15.0_f64.to_radians().sin()));
    close(inch(pattern(arm, inches(0.685), inches(0.685)).width), 0.184, 0.0005);
    // Square at half lift, the roller goes out and back: the narrowest there is.
    let narrowest = pattern(arm, inches(0.709 / 2.0), inches(0.709)).width;
    for rise in [0.25, 0.30, 0.40, 0.45] {
        assert!(pattern(arm, inches(rise), inches(0.709)).width > narrowest);
    }
}
