use gudgeon::maths::proof::{Zone, proof};
use gudgeon::maths::readings::{Component, Known, Mean, combine, mean, mean_size, student};
use gudgeon::maths::reference::at_reference;
use gudgeon::maths::stack::{Link, stack};
use gudgeon::maths::{clearance, judge::Verdict};
use gudgeon::quantity::{Length, Measure, Number, Temperature, TemperatureInterval, inches, millimetres};
use uom::si::temperature_interval::kelvin;

use super::{close, inch, mm};

fn of(readings: impl IntoIterator<Item = f64>) -> Mean<Number> {
    let readings: Vec<Number> = readings.into_iter().map(Number).collect();
    mean(&readings, Known::default()).unwrap()
}

/// One value, then two others in turn: how the NumAcc sets of NIST StRD are made.
fn in_turn(first: f64, low: f64, high: f64) -> impl Iterator<Item = f64> {
    std::iter::once(first).chain((0..1000).map(move |i| if i % 2 == 0 { low } else { high }))
}

/// NIST StRD, univariate summary statistics, NumAcc1 to NumAcc4: certified mean and sample standard deviation.
/// The last is stiff on purpose: its data are not exact in binary, which leaves about eight digits of the deviation.
#[test]
fn numerical_accuracy_sets() {
    let one = of([10_000_001.0, 10_000_003.0, 10_000_002.0]);
    close(one.mean.0, 10_000_002.0, 1e-9);
    close(one.deviation.0, 1.0, 1e-14);
    for (set, average, within) in [
        (of(in_turn(1.2, 1.1, 1.3)), 1.2, 1e-13),
        (of(in_turn(1_000_000.2, 1_000_000.1, 1_000_000.3)), 1_000_000.2, 1e-9),
        (of(in_turn(10_000_000.2, 10_000_000.1, 10_000_000.3)), 10_000_000.2, 1e-8),
    ] {
        assert_eq!(set.count, 1001);
        close(set.mean.0, average, average * 1e-15);
        close(set.deviation.0, 0.1, within);
    }
}

/// NIST StRD, Michelso (100 measurements of the speed of light, millions of m/s): mean 299.852400000000, standard
/// deviation 0.0790105478190518 (certified).
#[test]
fn speed_of_light() {
    let hundredths = "85 74 90 107 93 85 95 98 98 88 100 98 93 65 76 81 100 100 96 96 96 94 96 94 88 80 85 88 90 84 83 79 \
        81 88 88 83 80 79 76 80 88 88 88 86 72 72 62 86 97 95 88 91 85 87 84 84 85 84 84 84 89 81 81 82 80 77 76 74 75 76 \
        91 92 89 86 88 72 84 85 85 78 89 84 78 81 76 81 79 81 82 85 87 87 81 74 81 94 95 80 81 87";
    let found = of(hundredths.split_whitespace().map(|h| 299.0 + h.parse::<f64>().unwrap() / 100.0));
    assert_eq!(found.count, 100);
    close(found.mean.0, 299.8524, 1e-12);
    close(found.deviation.0, 0.079_010_547_819_051_8, 1e-14);
}

/// NIST StRD, Mavro (50 filter transmittances): mean 2.00185600000000, standard deviation 0.000429123454003053
/// (certified).
#[test]
fn filter_transmittance() {
    let digits = "18 17 18 19 18 17 15 14 15 15 17 18 18 19 19 21 20 16 14 13 13 15 15 16 15 14 13 14 15 14 15 16 15 16 19 20 \
        20 21 22 23 24 25 27 26 26 26 27 26 25 24";
    let found = of(digits.split_whitespace().map(|d| 2.0 + d.parse::<f64>().unwrap() / 10_000.0));
    assert_eq!(found.count, 50);
    close(found.mean.0, 2.001_856, 1e-14);
    close(found.deviation.0, 0.000_429_123_454_003_053, 1e-16);
}

/// JCGM 100:2008, table G.2: t for 95 % and 99 % as printed (from memory), and the normal's at the end.
#[test]
fn coverage_factors_of_the_table() {
    for (freedom, t) in
        [(1.0, 12.71), (2.0, 4.30), (3.0, 3.18), (4.0, 2.78), (5.0, 2.57), (10.0, 2.23), (20.0, 2.09), (50.0, 2.01)]
    {
        close(student(0.95, freedom).unwrap(), t, 0.005);
    }
    close(student(0.99, 16.0).unwrap(), 2.92, 0.005);
    close(student(0.95, f64::INFINITY).unwrap(), 1.959_963_984_540_054, 1e-12);
    close(student(0.9545, 1.0).unwrap(), 13.97, 0.005);
}

/// Roots of 1 - I_x(v/2, 1/2) = 0.95, x = v / (v + t^2), at 30 digits (Python mpmath, betainc and findroot).
#[test]
fn student_to_more_digits() {
    for (freedom, t) in [
        (1.0, 12.706_204_736_174_7),
        (2.0, 4.302_652_729_749_46),
        (3.0, 3.182_446_305_283_71),
        (5.0, 2.570_581_835_636_32),
        (10.0, 2.228_138_851_986_27),
    ] {
        close(student(0.95, freedom).unwrap(), t, t * 1e-9);
    }
}

/// JCGM 100:2008, annex H.1 (from memory): difference of two end gauges from five readings with a pooled deviation of 13 nm
/// (24 degrees of freedom): 5.8 nm; comparator 3.9 nm (5) and 6.7 nm (8): 9.7 nm together. With 25 nm (18), 2.9 nm (50) and
/// 16.6 nm (2): 32 nm, 16 degrees of freedom, t99 = 2.92, U99 = 93 nm.
#[test]
fn end_gauge_calibration() {
    let part = |standard, freedom| Component { standard, freedom };
    let difference = combine(&[part(13.0 / 5_f64.sqrt(), 24.0), part(3.9, 5.0), part(6.7, 8.0)]);
    close(difference.standard, 9.7, 0.05);
    close(difference.freedom, 25.6, 0.5);
    let all = combine(&[part(25.0, 18.0), part(9.7, 25.6), part(2.9, 50.0), part(16.6, 2.0)]);
    close(all.standard, 32.0, 0.5);
    assert_eq!(all.freedom.floor(), 16.0);
    close(student(0.99, all.freedom.floor()).unwrap() * 32.0, 93.0, 0.6);
}

/// By hand: 2.4994, 2.4996, 2.4998 in: mean 2.4996, s = 0.0002, s/sqrt 3 = 0.000115470; with an instrument of U = 0.0002
/// (u = 0.0001) and steps of 0.0001 (u = 0.0000288675): u = sqrt(1.33333 + 1 + 0.083333) e-4 = 0.000155456 in;
/// v = 2 (2.416667 / 1.333333)^2 = 6.5703, 6 whole; t95(6) = 2.4469 (printed tables: 2.447); U = 0.00038039 in.
#[test]
fn three_readings_and_a_certificate() {
    let known = Known { instrument: Some(inches(0.0002)), resolution: Some(inches(0.0001)), ..Known::default() };
    let found = mean_size(&[2.4994, 2.4996, 2.4998].map(inches), known).unwrap();
    close(inch(found.mean), 2.4996, 1e-12);
    close(inch(found.deviation), 0.0002, 1e-12);
    close(inch(found.scatter), 0.000_115_470, 5e-10);
    close(inch(found.standard), 0.000_155_456, 5e-10);
    assert_eq!(found.freedom, 6.0);
    close(inch(found.expanded), 0.000_380_39, 5e-9);
    let two = mean_size(&[2.4994, 2.4996, 2.4998].map(inches), Known { coverage: Some(2.0), ..known }).unwrap();
    close(inch(two.expanded), 2.0 * 0.000_155_456, 1e-9);
}

/// Normal numbers by Box and Muller from a 64-bit linear congruence (Knuth's constants), seeded.
struct Chance(u64);

impl Chance {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (a, b) = (self.even(), self.even());
        (-2.0 * a.ln()).sqrt() * (2.0 * std::f64::consts::PI * b).cos()
    }
}

/// Monte Carlo: of 20 000 sets of four normal readings, 95 % have the true mean within U. 0.5 % is over three standard
/// deviations of that share.
#[test]
fn the_interval_holds_the_truth_as_often_as_it_says() {
    let mut chance = Chance(1);
    let held = (0..20_000)
        .filter(|_| {
            let found = of((0..4).map(|_| 2.5 + 0.0001 * chance.normal()).collect::<Vec<_>>());
            (found.mean.0 - 2.5).abs() <= found.expanded.0
        })
        .count();
    close(held as f64 / 20_000.0, 0.95, 0.005);
}

fn at(size: Length, celsius: f64, millionths: f64) -> f64 {
    let temperature = Temperature::from_si(celsius + 273.15);
    let none = TemperatureInterval::new::<kelvin>(0.0);
    at_reference(size, temperature, millionths * 1e-6, Length::from_si(0.0), none).unwrap().at_20.si()
}

/// JCGM 100:2008, annex H.1: steel at 11.5 millionths, 50 mm, 0.1 degrees C under 20: 57.5 nm short (product, first order).
#[test]
fn an_end_gauge_a_tenth_of_a_degree_cold() {
    close(at(millimetres(50.0), 19.9, 11.5) - 0.050, 57.5e-9, 1e-12);
}

/// Common practice: a steel gauge block of 100 mm grows 1.15 microns for each degree C (ISO 3650 takes 11.5 millionths).
#[test]
fn a_gauge_block_a_degree_warm() {
    let grown = clearance::at(millimetres(100.0), Temperature::from_si(294.15), 11.5e-6).unwrap();
    close(mm(grown), 100.001_15, 1e-9);
    close(at(grown, 21.0, 11.5), 0.1, 1e-15);
}

/// By hand: a 4.0270 in piston at 28 degrees C, 19 millionths: 4.0270 / 1.000152 = 4.02638798902566853 in (30-digit decimals). Its correction is good to
/// 5 % of 8 degrees' growth, 0.0000306 in, and to 1 degree's, 0.0000765 in; root of the squares 0.0000824 in.
#[test]
fn a_piston_in_a_warm_shop() {
    let within = TemperatureInterval::new::<kelvin>(1.0);
    let found =
        at_reference(inches(4.0270), Temperature::from_si(301.15), 19e-6, Length::from_si(0.0), within).unwrap();
    close(inch(found.at_20), 4.026_387_989_025_669, 1e-12);
    close(inch(found.from_coefficient), 0.000_030_6, 5e-8);
    close(inch(found.from_temperature), 0.000_076_5, 5e-8);
    close(inch(found.expanded), 0.000_082_4, 5e-8);
}

/// ISO 14253-1: tolerance 49.98 to 50.00 mm, U = 0.002 mm: proven inside from 49.982 to 49.998; not proven within 0.002 either
/// side of a limit; proven outside past 49.978 and 50.002.
#[test]
fn the_zones_either_side_of_a_limit() {
    let zone = |reading: f64| {
        let limit = |x: f64| Some(millimetres(x));
        proof(millimetres(reading), millimetres(0.002), limit(49.98), limit(50.0)).unwrap().zone
    };
    for (reading, wanted) in [
        (49.977, Zone::Fails),
        (49.978, Zone::OutsideUnproven),
        (49.979, Zone::OutsideUnproven),
        (49.980, Zone::InsideUnproven),
        (49.981, Zone::InsideUnproven),
        (49.982, Zone::Conforms),
        (49.990, Zone::Conforms),
        (49.998, Zone::Conforms),
        (49.999, Zone::InsideUnproven),
        (50.000, Zone::InsideUnproven),
        (50.001, Zone::OutsideUnproven),
        (50.002, Zone::OutsideUnproven),
        (50.003, Zone::Fails),
    ] {
        assert_eq!(zone(reading), wanted, "{reading}");
    }
}

/// ISO 14253-1:2017 (from memory): guard band 1.65 u, since 5 % of a normal lies past 1.645. With u = 0.0001 in, a reading
/// 0.00018 in inside a limit is proven by the 2017 edition and not by U = 2u of the editions before.
#[test]
fn the_two_editions_part() {
    let found = proof(inches(2.499_32), inches(0.0002), None, Some(inches(2.4995))).unwrap();
    assert_eq!((found.verdict, found.verdict_2017), (Verdict::Marginal, Verdict::Within));
    close(inch(found.guard_2017), 0.000_165, 1e-12);
    close(student(0.90, f64::INFINITY).unwrap(), 1.645, 0.0005);
}

/// Definition: tolerance 0.0010 in over U = 0.0001 in is ten; the reading is 0.0005 in from both limits.
#[test]
fn a_reading_in_the_middle() {
    let found = proof(inches(2.4990), inches(0.0001), Some(inches(2.4985)), Some(inches(2.4995))).unwrap();
    close(found.tolerance_per_guard.unwrap(), 10.0, 1e-9);
    close(inch(found.to_limit), 0.0005, 1e-12);
    close(inch(found.least.unwrap()), 2.4986, 1e-12);
    close(inch(found.most.unwrap()), 2.4994, 1e-12);
}

fn link(size: f64, plus: f64, minus: f64) -> Link {
    Link { size: inches(size), plus: inches(plus), minus: inches(minus) }
}

/// Shigley, Mechanical Engineering Design, example of a shouldered screw (from memory): 1.750 +- 0.003 less 0.750 +- 0.001, 0.120
/// +- 0.005 and 0.875 +- 0.001 in leaves 0.005 +- 0.010 in. Root-sum-square: sqrt(9 + 1 + 25 + 1) = 6 thou.
#[test]
fn the_gap_under_a_shouldered_screw() {
    let found = stack(&[
        link(1.750, 0.003, 0.003),
        link(-0.750, 0.001, 0.001),
        link(-0.120, 0.005, 0.005),
        link(-0.875, 0.001, 0.001),
    ])
    .unwrap();
    close(inch(found.middle), 0.005, 1e-12);
    close(inch(found.worst), 0.010, 1e-12);
    close(inch(found.root_sum_square), 0.006, 1e-12);
    close(found.links[2].share, 25.0 / 36.0, 1e-12);
    let (least, most) = found.worst_limits();
    close(inch(least), -0.005, 1e-12);
    close(inch(most), 0.015, 1e-12);
}

/// ISO 286-2 (published limits): 25 H7 is +0.021 / 0, 25 g6 is -0.007 / -0.020 mm: clearance 0.007 to 0.041 mm.
#[test]
fn clearance_of_a_running_fit() {
    let metric =
        |size, plus, minus| Link { size: millimetres(size), plus: millimetres(plus), minus: millimetres(minus) };
    let found = stack(&[metric(25.0, 0.021, 0.0), metric(-24.993, 0.0, 0.013)]).unwrap();
    let (least, most) = found.worst_limits();
    close(mm(least), 0.007, 1e-12);
    close(mm(most), 0.041, 1e-12);
}

/// Definition: n equal tolerances t come to n t in the worst case and t sqrt n by root-sum-square.
#[test]
fn nine_equal_tolerances() {
    let found = stack(&[link(0.5, 0.001, 0.001); 9]).unwrap();
    close(inch(found.worst), 0.009, 1e-12);
    close(inch(found.root_sum_square), 0.003, 1e-12);
}

/// Monte Carlo: parts normal about the middle with the tolerance at three deviations: 99.73 % of 100 000 assemblies lie within
/// the root-sum-square limits (0.05 % is three standard deviations of that share), and none past the worst case.
#[test]
fn assemblies_by_chance() {
    let chain = [(9.025, 0.002), (-5.7, 0.001), (-1.74, 0.001), (-1.56, 0.0015)];
    let found = stack(&chain.map(|(size, half)| link(size, half, half))).unwrap();
    let (low, high) = found.likely_limits();
    let (least, most) = found.worst_limits();
    let mut chance = Chance(7);
    let mut inside = 0;
    for _ in 0..100_000 {
        let gap: f64 = chain.iter().map(|(size, half)| size + chance.normal() * half / 3.0).sum();
        inside += usize::from((inch(low)..=inch(high)).contains(&gap));
        assert!((inch(least) - 0.002..=inch(most) + 0.002).contains(&gap));
    }
    close(f64::from(inside as u32) / 100_000.0, 0.9973, 0.0005);
}
