use gudgeon::maths::grinds::{clean_up, next};
use gudgeon::maths::shells::{crush_of_gap, crush_of_lengths, free_spread, pick};
use gudgeon::quantity::{Length, inches, millimetres};

use super::{close, inch, mm};

fn under(readings: &[f64], machined: f64, polish: f64, steps: &[f64]) -> (Option<f64>, Option<f64>) {
    let readings: Vec<Length> = readings.iter().map(|r| inches(*r)).collect();
    let steps: Vec<Length> = steps.iter().map(|s| inches(*s)).collect();
    let grind = clean_up(&readings, inches(machined), inches(polish)).unwrap();
    let found = next(&grind, inches(2.450), &steps).unwrap();
    (found.even.first.map(|s| inch(s.step)), found.one_sided.first.map(|s| inch(s.step)))
}

const TENS: [f64; 3] = [0.010, 0.020, 0.030];

/// By hand: 2.4475 - 0.0003 = 2.4472, above 2.440: ten under. 2.450 - 2 x 0.0025 - 0.0003 = 2.4447: ten under too.
#[test]
fn a_little_worn_crank_goes_ten_under() {
    assert_eq!(under(&[2.4478, 2.4475, 2.4481], 2.450, 0.0003, &TENS), (Some(0.010), Some(0.010)));
}

/// By hand: worn 0.0055 in: evenly 2.4445 - 0.0003 = 2.4442, ten under; on one side 2.450 - 0.011 - 0.0003 = 2.4387, twenty under.
#[test]
fn wear_on_one_side_takes_the_next_step() {
    assert_eq!(under(&[2.4445], 2.450, 0.0003, &TENS), (Some(0.010), Some(0.020)));
}

/// A step that only just cleans up, on a decimal edge: 2.4403 - 0.0003 = 2.4400 is ten under; a tenth less is twenty.
#[test]
fn the_polish_counts_to_the_tenth() {
    assert_eq!(under(&[2.4403], 2.4403, 0.0003, &TENS), (Some(0.010), Some(0.010)));
    assert_eq!(under(&[2.4402], 2.4402, 0.0003, &TENS), (Some(0.020), Some(0.020)));
    assert_eq!(under(&[2.4150], 2.450, 0.0003, &TENS).0, None);
}

/// Common practice, as shells are sold: 0.25, 0.50, 0.75 mm. By hand 53.94 - 0.008 = 53.932, above 53.75; one-sided 54 - 0.12 -
/// 0.008 = 53.872, above it too.
#[test]
fn metric_steps() {
    let readings = [53.95, 53.96, 53.94].map(millimetres);
    let steps = [0.25, 0.50, 0.75].map(millimetres);
    let grind = clean_up(&readings, millimetres(54.0), millimetres(0.008)).unwrap();
    close(mm(grind.even), 53.932, 1e-9);
    close(mm(grind.one_sided), 53.872, 1e-9);
    let found = next(&grind, millimetres(54.0), &steps).unwrap();
    close(mm(found.even.first.unwrap().size), 53.75, 1e-9);
    close(mm(found.one_sided.runner_up.unwrap().step), 0.50, 1e-9);
}

/// Common practice, as shell makers print it (from memory): a pair marked 0.001 under takes 0.001 in off, one half of it with one
/// standard half 0.0005 in.
#[test]
fn what_a_thou_under_takes() {
    let marks = [0.0, 0.001].map(inches);
    let tried = |min: f64, max: f64| pick(&[inches(0.0030)], &marks, inches(min), inches(max)).unwrap().remove(0).best;
    let (pair, mixed) = (tried(0.0019, 0.0021), tried(0.0024, 0.0026));
    close(inch(pair.clearance), 0.0020, 1e-12);
    assert!(pair.is_like() && pair.within);
    close(inch(mixed.clearance), 0.0025, 1e-12);
    assert!(!mixed.is_like() && mixed.within);
}

/// By hand, limits 0.0020 to 0.0032 (middle 0.0026), shells a thou either side: 0.0036 wants a pair under (0.0026); 0.0027 stays
/// (0.0001 off); 0.0019 takes one over (0.0024, 0.0002 off) or both (0.0029, 0.0003 off): one.
#[test]
fn three_bearings_by_hand() {
    let marks = [-0.001, 0.0, 0.001].map(inches);
    let standard = [0.0036, 0.0027, 0.0019].map(inches);
    let found = pick(&standard, &marks, inches(0.0020), inches(0.0032)).unwrap();
    let best: Vec<(f64, f64, f64)> =
        found.iter().map(|p| (inch(p.best.marks.0), inch(p.best.marks.1), inch(p.best.clearance))).collect();
    let expected = [(0.001, 0.001, 0.0026), (0.0, 0.0, 0.0027), (-0.001, 0.0, 0.0024)];
    for (given, wanted) in best.iter().zip(expected) {
        close(given.0, wanted.0, 1e-12);
        close(given.1, wanted.1, 1e-12);
        close(given.2, wanted.2, 1e-12);
    }
}

/// Every mix of the five tried by hand on 0.060 mm with 0, 0.025 and 0.05 mm: 0.060, 0.0475, 0.035, 0.0225, 0.010; the middle
/// of 0.024 to 0.048 is 0.036, so both 0.025 under.
#[test]
fn every_mix_is_tried() {
    let marks = [0.0, 0.025, 0.05].map(millimetres);
    let found = pick(&[millimetres(0.060)], &marks, millimetres(0.024), millimetres(0.048)).unwrap().remove(0);
    let mut all: Vec<f64> = found.all.iter().map(|m| mm(m.clearance)).collect();
    all.sort_by(f64::total_cmp);
    for (given, expected) in all.iter().zip([0.010, 0.0225, 0.035, 0.0475, 0.060]) {
        close(*given, expected, 1e-12);
    }
    close(mm(found.best.clearance), 0.035, 1e-12);
}

/// Geometry, Python decimal: 4.1500 - pi x 2.6409 / 2 = 0.00168398056735752 in a half; the pair over pi is 0.00107205532546257 in on
/// diameter; 0.0405943172956176 % of the circumference.
#[test]
fn crush_from_the_length_of_a_half() {
    let found = crush_of_lengths(inches(2.6409), &[inches(4.1500)]).unwrap();
    close(inch(found.per_half), 0.001_683_980_567_357_52, 1e-12);
    close(inch(found.on_diameter), 0.001_072_055_325_462_57, 1e-12);
    close(found.strain, 0.000_405_943_172_956_176, 1e-12);
}

/// Definition: what shows at one joint is both halves' crush. 0.003 in is 0.0015 a half and 0.003 / pi = 0.000954929658551372 in on
/// diameter; inside the 0.001 to 0.002 in a half of common practice (from memory).
#[test]
fn crush_from_the_joint() {
    let found = crush_of_gap(inches(2.6409), inches(0.003)).unwrap();
    close(inch(found.per_half), 0.0015, 1e-12);
    close(inch(found.pair), 0.003, 1e-12);
    close(inch(found.on_diameter), 0.000_954_929_658_551_372, 1e-12);
}

/// Definition: a half exactly as long as half its housing has no crush, and halves of their own count by their mean.
#[test]
fn no_crush_and_unlike_halves() {
    let half = 2.0 * std::f64::consts::PI / 2.0;
    close(inch(crush_of_lengths(inches(2.0), &[inches(half)]).unwrap().per_half), 0.0, 1e-12);
    let unlike = crush_of_lengths(inches(2.0), &[inches(half + 0.001), inches(half + 0.002)]).unwrap();
    close(inch(unlike.per_half), 0.0015, 1e-12);
    close(inch(unlike.pair), 0.003, 1e-12);
    close(inch(free_spread(inches(2.6409), inches(2.660)).unwrap()), 0.0191, 1e-12);
}

/// US Army TM 5-4310-354-14, table 7-1: rod journals 2.3740 in at their largest, ground 0.010, 0.020, 0.030, 0.040 or 0.060 in under to
/// 2.3640, 2.3540, 2.3440, 2.3340 and 2.3140 in; and if one needs grinding, all are ground to the same size.
#[test]
fn grinds_of_an_army_table() {
    let steps = [0.010, 0.020, 0.030, 0.040, 0.060].map(inches);
    let printed = [2.3640, 2.3540, 2.3440, 2.3340, 2.3140];
    for size in printed {
        let readings = [2.3740, size, 2.3740, 2.3738].map(inches);
        let grind = clean_up(&readings, inches(2.3740), inches(0.0)).unwrap();
        let found = next(&grind, inches(2.3740), &steps).unwrap().even.first.unwrap();
        close(inch(found.size), size, 1e-9);
    }
    // The table's millimetres beside it: 2.3640 in is 60.0456 mm.
    close(mm(inches(2.3640)), 60.0456, 5e-5);
}

/// A bearing maker's note on sizes: shells 0.001 in thinner in all give 0.001 in more oil clearance, 0.001 in thicker 0.001 in less.
#[test]
fn extra_clearance_shells() {
    for (mark, clearance) in [(-0.001, 0.0030), (0.001, 0.0010)] {
        let marks = [inches(mark)];
        let found = pick(&[inches(0.0020)], &marks, inches(clearance), inches(clearance)).unwrap().remove(0).best;
        close(inch(found.clearance), clearance, 1e-12);
    }
}

/// Definitions of a bearing engineer's reference: crush height is the length of a half outside less half the housing's circumference; the
/// interference is the shell's outside diameter less the bore. Two halves of 82.50 mm make a shell of 165/pi = 52.5211312 mm.
#[test]
fn crush_and_interference_by_their_definitions() {
    let found = crush_of_lengths(millimetres(52.5), &[millimetres(82.50)]).unwrap();
    close(mm(found.per_half), 82.50 - 82.466_807_156_73, 1e-9);
    close(mm(found.on_diameter), 52.521_131_2 - 52.5, 5e-8);
}
