use gudgeon::maths::valves::{Part, Train, cold_lash, guide, lift, lobe_lash, pack, ratio, seat};
use gudgeon::quantity::{Angle, Measure, Temperature, inches, millimetres};

use super::{close, inch, mm};

fn deg(degrees: f64) -> Angle {
    Angle::from_si(degrees.to_radians())
}

fn celsius(t: f64) -> Temperature {
    Temperature::from_si(t + 273.15)
}

/// Common practice: the trade's 0.300 in lobe on a 1.5 rocker lifts 0.450 in; with 0.020 in lash taken off 0.430 in.
/// Lash at the lobe 0.020 / 1.5 = 0.013333 in.
#[test]
fn three_hundred_on_one_and_a_half() {
    let sum = lift(inches(0.300), 1.5, inches(0.020)).unwrap();
    close(inch(sum.gross), 0.450, 1e-12);
    close(inch(sum.net), 0.430, 1e-12);
    close(inch(sum.lash_at_lobe), 0.013_333_333_333, 1e-11);
    // By hand: (0.425 + 0.020) / 0.300 = 1.48333.
    close(ratio(inches(0.300), inches(0.425), inches(0.020)).unwrap(), 1.483_333_333, 1e-9);
    close(inch(lobe_lash(inches(0.022), 1.6).unwrap()), 0.013_75, 1e-12);
    // Direct on the valve, metric: 9.5 mm less 0.3 mm.
    close(mm(lift(millimetres(9.5), 1.0, millimetres(0.3)).unwrap().net), 9.2, 1e-12);
}

/// By hand: 1.845 - 1.800 = 0.045 = 0.030 + 0.015; 1.868 wants 0.068: 0.060 leaves 0.008, 0.075 is 0.007 over, so that.
#[test]
fn shims_from_the_usual_three() {
    let stock = [0.015, 0.030, 0.060].map(inches);
    let of = |found| pack(inches(found), inches(1.8), &stock).unwrap();
    let first = of(1.845);
    assert_eq!(first.shims, [inches(0.030), inches(0.015)]);
    close(inch(first.after), 1.800, 1e-12);
    let second = of(1.868);
    close(inch(second.total), 0.075, 1e-12);
    close(inch(second.left), -0.007, 1e-12);
    // Metric: 46.2 to 45.7 mm from 0.4 and 0.5 mm: one of half a millimetre.
    let metric = pack(millimetres(46.2), millimetres(45.7), &[0.4, 0.5].map(millimetres)).unwrap();
    assert_eq!(metric.shims, [millimetres(0.5)]);
}

/// Worst place against worst place, by hand: 0.3437 - 0.3415 = 0.0022 in, 0.3435 - 0.3418 = 0.0017 in; 8.030 - 7.970 mm = 0.060 mm.
#[test]
fn stem_in_guide() {
    let sum = guide(&[0.3435, 0.3437].map(inches), &[0.3418, 0.3415].map(inches)).unwrap();
    close(inch(sum.largest), 0.0022, 1e-12);
    close(inch(sum.smallest), 0.0017, 1e-12);
    let metric = guide(&[millimetres(8.030)], &[millimetres(7.970)]).unwrap();
    close(mm(metric.largest), 0.060, 1e-12);
    assert_eq!(metric.largest, metric.smallest);
}

/// Common practice for 45 degree seats: the width along the face is 1.414 times what shows from above. 0.0425 in radially is
/// 0.0601 in. At 30 degrees it is 1.1547 times (tables: 1 / cos 30 degrees): 0.0491 in.
#[test]
fn a_forty_five_and_a_thirty() {
    let at = |angle| seat(inches(1.95), inches(1.865), deg(angle), Some(inches(2.0))).unwrap();
    close(inch(at(45.0).radial), 0.0425, 1e-12);
    close(inch(at(45.0).width) / inch(at(45.0).radial), 1.414, 5e-4);
    close(inch(at(45.0).width), 0.0601, 5e-5);
    close(inch(at(30.0).width) / inch(at(30.0).radial), 1.1547, 5e-5);
    close(inch(at(30.0).width), 0.0491, 5e-5);
    close(inch(at(45.0).to_edge.unwrap()), 0.025, 1e-12);
    close(inch(at(45.0).mean_diameter), 1.9075, 1e-12);
}

/// By hand: a 125 mm steel valve (11.7 millionths) 200 K up grows 0.2925 mm, 115 mm of iron head (11.4) 70 K up 0.09177 mm:
/// the lash closes by 0.20073 mm, so 0.30 mm hot is 0.50073 mm cold.
#[test]
fn a_hot_exhaust_valve_in_an_iron_head() {
    let part = |length, expansion, hot| Some(Part { length: millimetres(length), expansion, hot: celsius(hot) });
    let train = Train { valve: part(125.0, 11.7e-6, 220.0), head: part(115.0, 11.4e-6, 90.0), ..Train::default() };
    let sum = cold_lash(millimetres(0.30), 1.5, &train, celsius(20.0)).unwrap();
    close(mm(sum.valve), 0.2925, 1e-9);
    close(mm(sum.head), 0.091_77, 1e-9);
    close(mm(sum.cold), 0.500_73, 1e-9);
}

/// Common practice: an aluminium engine with steel pushrods opens its lash as it warms. By hand: 200 mm at 21.5 millionths and 200 mm at 11.7,
/// both 70 K up: 0.301 - 0.1638 = 0.1372 mm at the pushrod, x 1.5 = 0.2058 mm at the valve.
#[test]
fn steel_pushrods_in_an_aluminium_engine() {
    let part = |expansion| Some(Part { length: millimetres(200.0), expansion, hot: celsius(90.0) });
    let train = Train { pushrod: part(11.7e-6), block: part(21.5e-6), ..Train::default() };
    let sum = cold_lash(millimetres(0.50), 1.5, &train, celsius(20.0)).unwrap();
    close(mm(sum.change), 0.2058, 1e-9);
    close(mm(sum.cold), 0.2942, 1e-9);
}

/// US Army TM 9-4310-397-14, paragraph 6-6: guide 9.51 to 9.53 mm, stem 9.445 +- 0.015 mm, clearance 0.05 to 0.10 mm.
#[test]
fn guides_of_an_army_manual() {
    let found = guide(&[9.51, 9.53].map(millimetres), &[9.445 - 0.015, 9.445 + 0.015].map(millimetres)).unwrap();
    close(mm(found.smallest), 0.05, 1e-9);
    close(mm(found.largest), 0.10, 1e-9);
}

/// A trade magazine on installed height (1998): shims come 0.015, 0.030 and 0.060 in thick, and no more than 0.060 in of them
/// goes under one spring. Every height that those three can make up is made up with nothing left over.
#[test]
fn every_height_the_usual_three_make() {
    let stock = [0.015, 0.030, 0.060].map(inches);
    for fifteens in 0..=4 {
        let high = f64::from(fifteens) * 0.015;
        let found = pack(inches(1.800 + high), inches(1.800), &stock).unwrap();
        close(inch(found.total), high, 1e-12);
        close(inch(found.left), 0.0, 1e-12);
    }
}

/// A cam grinder's rule (quoted in 2010): a block and heads of aluminium are lashed 0.012 in tighter cold than hot, give or take a
/// third, to be checked hot. Steel pushrods of 10 in, 75 K up, on a rocker of 1.6: 254 x 9.8e-6 x 75 x 1.6 mm = 0.0118 in.
#[test]
fn twelve_thou_for_an_aluminium_engine() {
    let part = |expansion| Some(Part { length: inches(10.0), expansion, hot: celsius(95.0) });
    let train = Train { pushrod: part(11.7e-6), block: part(21.5e-6), ..Train::default() };
    let sum = cold_lash(inches(0.022), 1.6, &train, celsius(20.0)).unwrap();
    close(inch(sum.change), 0.012, 0.004);
    close(inch(sum.change), 0.011_76, 5e-8);
}

/// Measured height less wanted height is what is needed (definition), and a spring that sits too low gets nothing.
#[test]
fn no_shim_raises_a_spring() {
    let found = pack(inches(1.780), inches(1.800), &[inches(0.015)]).unwrap();
    close(inch(found.needed), -0.020, 1e-12);
    assert!(found.shims.is_empty());
}

/// Pythagoras: at the angle of a 3-4-5 triangle, 53.13 degrees, the face is 5/3 of what shows from above; at its other angle, 36.87, 5/4.
#[test]
fn a_seat_on_a_three_four_five() {
    let at = |angle: f64| seat(inches(1.95), inches(1.89), Angle::from_si(angle), None).unwrap();
    close(inch(at((4.0_f64 / 3.0).atan()).width), 0.050, 1e-12);
    close(inch(at((3.0_f64 / 4.0).atan()).width), 0.0375, 1e-12);
}
