use std::f64::consts::PI;

use gudgeon::maths::slider::Slider;
use gudgeon::maths::trapped::{closing, fixed_for, trapped};
use gudgeon::quantity::{Angle, Length, Measure, Turning, inches, millimetres};

use super::{close, inch, mm};

fn degrees(d: f64) -> Angle {
    Angle::from_si(d.to_radians())
}

fn rpm(n: f64) -> Turning {
    Turning::from_si(n * PI / 30.0)
}

/// Throw 1.74, rod 5.7 in.
fn slider(offset: f64) -> Slider {
    Slider::new(inches(3.48), inches(5.7), inches(offset)).unwrap()
}

/// Heywood, Internal Combustion Engine Fundamentals, equation 2.11 (from memory): speed over mean speed =
/// pi/2 sin t (1 + cos t / sqrt(R^2 - sin^2 t)), R = rod/throw.
#[test]
fn speed_over_mean_speed_by_the_textbook() {
    let (slider, turning) = (slider(0.0), rpm(4500.0));
    let r = 5.7 / 1.74_f64;
    for d in [5.0_f64, 30.0, 75.0, 120.0, 200.0, 330.0] {
        let t = d.to_radians();
        let expected = PI / 2.0 * t.sin() * (1.0 + t.cos() / (r * r - t.sin().powi(2)).sqrt());
        let place = slider.at(degrees(d)).unwrap();
        let speed = Slider::speed(&place, turning) / slider.turn(turning).unwrap().mean;
        close(speed.value, expected, 1e-12);
    }
}

/// Heywood, figure 2.2 (from memory): for R = 3.5 the piston is fastest at about 1.63 times its mean speed, some 75 degrees
/// after top. By sampling equation 2.11 in plain Python: 1.634011586 at 75.136.
#[test]
fn the_textbook_curve_peaks_where_it_is_drawn() {
    let slider = Slider::new(millimetres(80.0), millimetres(140.0), millimetres(0.0)).unwrap();
    let turn = slider.turn(rpm(1000.0)).unwrap();
    close((turn.down.most / turn.mean).value, 1.634_011_586, 1e-8);
    close(turn.down.at.si().to_degrees(), 75.136, 0.001);
    close(turn.up.at.si().to_degrees(), 360.0 - 75.136, 0.001);
}

/// By hand: 86 mm of stroke at 6000 rpm is 2 x 0.086 x 100 = 17.2 m/s; 3.48 in at 4500 is 2 x 0.088392 x 75 = 13.2588 m/s.
#[test]
fn mean_speed_by_hand() {
    let four = Slider::new(millimetres(86.0), millimetres(143.0), millimetres(0.0)).unwrap();
    close(four.turn(rpm(6000.0)).unwrap().mean.value, 17.2, 1e-12);
    close(slider(0.0).turn(rpm(4500.0)).unwrap().mean.value, 13.2588, 1e-12);
}

/// Textbook form for both ends (Shigley and Uicker, Theory of Machines, from memory): r w^2 (1 + r/l) at the top and
/// -r w^2 (1 - r/l) at the bottom, no offset. In Python: 12810.4182 and -6818.4484 m/s2 at 4500 rpm.
#[test]
fn acceleration_at_both_ends() {
    let at = |d: f64| Slider::acceleration(&slider(0.0).at(degrees(d)).unwrap(), rpm(4500.0)).value;
    close(at(0.0), 12_810.418_2, 1e-4);
    close(at(180.0), -6_818.448_4, 1e-4);
}

/// Pythagoras: with crank and rod square to each other, t = atan(l/r) = 73.02450053207025 degrees, the pin stands
/// sqrt(l^2 + r^2) up, so the drop is r + l - hypot = 1.4803355799172717 in; the piston then moves exactly as the crank pin does.
#[test]
fn crank_and_rod_at_a_right_angle() {
    let place = slider(0.0).at(degrees(73.024_500_532_070_25)).unwrap();
    close(inch(place.drop), 1.480_335_579_917_271_7, 1e-14);
    // Speed of the crank pin along the rod = speed of the gudgeon pin x cos(lean): both are r w here.
    close(place.rate / 0.0254 * place.lean.si().cos(), 1.74, 1e-12);
}

/// Plain Python, position from its definition: drops at 75 degrees with the pin 0.060 in toward the thrust face, on the
/// centre and away from it; the slope by a complex step, the bend by differences of that.
#[test]
fn offset_by_another_way() {
    let at = |e: f64| slider(e).at(degrees(75.0)).unwrap();
    close(inch(at(0.06).drop), 1.546_992_714_571_395_3, 1e-14);
    close(inch(at(0.0).drop), 1.543_076_968_591_861, 1e-14);
    close(inch(at(-0.06).drop), 1.539_311_842_498_930_7, 1e-14);
    close(at(0.06).rate / 0.0254, 1.825_448_970_632_840_3, 1e-13);
    close(at(0.06).bend / 0.0254, -0.029_000_364, 1e-8);
    close(inch(slider(0.06).travel()), 3.480_212_632_127_207_3, 1e-14);
}

/// Plain Python from the definition: shut 62 degrees after bottom the piston is 2.7678283439875013 in below the top, so 9.5
/// static is 1 + 8.5 x 2.76782834/3.48 = 7.760500265486713; and 8 effective wants 9.80112383158325.
#[test]
fn effective_compression_from_its_definition() {
    let sum = trapped(&slider(0.0), degrees(62.0), 9.5).unwrap();
    close(inch(sum.place.drop), 2.767_828_343_987_501_3, 1e-14);
    close(sum.effective, 7.760_500_265_486_713, 1e-13);
    close(fixed_for(&slider(0.0), degrees(62.0), 8.0).unwrap(), 9.801_123_831_583_25, 1e-13);
}

/// Geometry: shut at the bottom nothing is lost; shut 90 degrees after it the crank is level and the piston is
/// r + l - sqrt(l^2 - r^2) = 2.012072218608652 in down.
#[test]
fn effective_compression_at_bottom_and_at_a_quarter_turn() {
    close(trapped(&slider(0.0), degrees(0.0), 9.5).unwrap().effective, 9.5, 1e-13);
    let quarter = trapped(&slider(0.0), degrees(90.0), 9.5).unwrap();
    close(inch(quarter.place.drop), 2.012_072_218_608_652, 1e-14);
    close(quarter.effective, 5.914_544_212_118_834, 1e-13);
}

/// Common practice, printed on every cam card: 280 degrees on a 108 centreline shuts 140 + 108 - 180 = 68 after bottom.
#[test]
fn a_cam_card_closing() {
    close(closing(degrees(280.0), degrees(108.0)).unwrap().si().to_degrees(), 68.0, 1e-12);
}

/// Rod over stroke by definition: 5.7/3.48 = 1.637931; lean asin(1.74/5.7) = 17.773996811377597 degrees.
#[test]
fn rod_ratio_by_hand() {
    close(slider(0.0).ratio(), 1.637_931, 5e-7);
    close(slider(0.0).most_lean().si().to_degrees(), 17.773_996_811_377_597, 1e-12);
    // An endless rod moves the piston as a cosine: within a share s of the top for 2 acos(1 - 2 s).
    let endless = Slider::new(millimetres(30.0), Length::from_si(1.2), millimetres(0.0)).unwrap();
    close(endless.dwell(0.01).si(), 2.0 * 0.98_f64.acos(), 0.003);
    close(mm(endless.travel()), 30.0, 1e-12);
}

/// A worked page on piston speed (2003, plain calculus): rod 6.024 in, stroke 3.307 in, 6000 rpm: fastest 0.002100653404 s after the
/// top, at 1078 in/s, with the pin 6.218 in from the crank.
#[test]
fn the_fastest_moment_of_a_worked_page() {
    let slider = Slider::new(inches(3.307), inches(6.024), inches(0.0)).unwrap();
    let down = slider.turn(rpm(6000.0)).unwrap().down;
    close(down.most.value / 0.0254, 1078.0, 0.5);
    close(down.at.si().to_degrees() / 36_000.0, 0.002_100_653_404, 1e-9);
    let drop = slider.at(down.at).unwrap().drop;
    close(6.024 + 3.307 / 2.0 - inch(drop), 6.218, 0.0005);
    // Shut where the piston stands there on its way up, what is left of 10 static is 1 + 9 x (7.6775 - 6.218)/3.307 = 4.972.
    let sum = trapped(&slider, Angle::from_si(PI) - down.at, 10.0).unwrap();
    close(sum.effective, 4.972, 0.0015);
}

/// Rod ratios printed in a trade magazine (2016): 5.7 on 3.48 in 1.64, 6 on 3.48 in 1.72, 6 on 3.75 in 1.6; and 150 on 88 mm 1.70.
#[test]
fn rod_ratios_as_printed() {
    for (rod, stroke, printed) in [(5.7, 3.48, 1.64), (6.0, 3.48, 1.72), (6.0, 3.75, 1.6)] {
        close(Slider::new(inches(stroke), inches(rod), inches(0.0)).unwrap().ratio(), printed, 0.0051);
    }
    close(Slider::new(millimetres(88.0), millimetres(150.0), millimetres(0.0)).unwrap().ratio(), 1.70, 0.005);
}
