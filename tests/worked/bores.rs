use gudgeon::maths::bores::{Axis, Grid, Height, clean_up, shape};
use gudgeon::maths::journals::journal;
use gudgeon::maths::sizes::{next_oversize, next_undersize};
use gudgeon::quantity::{Length, inches, millimetres};

use super::{close, inch, mm};

fn grid(readings: [f64; 6]) -> Grid {
    Grid::new(&readings.map(inches)).unwrap()
}

/// Definitions (common practice), by hand. Thrust 4.0362, 4.0341, 4.0318; axial 4.0338, 4.0329, 4.0316.
/// Out-of-round: 0.0024, 0.0012, 0.0002, so 0.0024 at the top. Taper: thrust 4.0362 - 4.0318 = 0.0044, axial
/// 4.0338 - 4.0316 = 0.0022, so 0.0044 on the thrust axis. Sum of six 24.2004, mean 4.0334.
#[test]
fn a_worn_bore_by_hand() {
    let found = shape(&grid([4.0362, 4.0338, 4.0341, 4.0329, 4.0318, 4.0316]));
    close(inch(found.out_of_round), 0.0024, 1e-12);
    close(inch(found.taper), 0.0044, 1e-12);
    close(inch(found.taper_by_axis[1]), 0.0022, 1e-12);
    close(inch(found.size.mean), 4.0334, 1e-12);
    assert_eq!((found.out_of_round_at, found.taper_on), (Height::Top, Axis::Thrust));
    assert_eq!(found.largest_at, (Height::Top, Axis::Thrust));
    assert_eq!(found.smallest_at, (Height::Bottom, Axis::Axial));
}

/// Definition: a bore widest in the middle has taper as largest - smallest (0.0010) and none as top - bottom.
#[test]
fn a_barrel_shows_where_the_two_meanings_of_taper_part() {
    let found = shape(&grid([4.0300, 4.0300, 4.0310, 4.0305, 4.0300, 4.0300]));
    close(inch(found.taper), 0.0010, 1e-12);
    close(inch(found.top_less_bottom[0]), 0.0, 1e-12);
    // An ellipse of axes a and b has a - b as two-point difference and half of it as radial roundness (ISO 1101).
    close(inch(found.out_of_round), 0.0005, 1e-12);
    assert_eq!(found.out_of_round_at, Height::Middle);
}

/// By hand: axial wider than thrust counts too (absolute), and the deviation map is reading - nominal.
#[test]
fn axial_wear_counts_and_the_map_shows_it() {
    let bore = grid([4.0301, 4.0308, 4.0301, 4.0303, 4.0300, 4.0300]);
    close(inch(shape(&bore).out_of_round), 0.0007, 1e-12);
    close(inch(shape(&bore).thrust_less_axial[0]), -0.0007, 1e-12);
    close(inch(bore.deviations(inches(4.030))[0][1]), 0.0008, 1e-12);
}

/// Geometry: wear 0.0085 deep, all on one side of a bore machined to 4.000, with 0.0015 left to hone. On the worn centre
/// 4.0085 + 0.0015 = 4.0100: 0.010 over cleans up exactly. On the original centre the radius must reach 2.000 + 0.0085,
/// so 4.017 + 0.0015 = 4.0185: 0.020 over.
#[test]
fn one_sided_wear_costs_a_size() {
    let found = shape(&grid([4.0085, 4.0060, 4.0050, 4.0040, 4.0010, 4.0008]));
    let clean = clean_up(&found, inches(4.0), inches(0.0015)).unwrap();
    close(inch(clean.wear), 0.0085, 1e-12);
    close(inch(clean.on_worn_centre), 4.0100, 1e-12);
    close(inch(clean.on_original_centre), 4.0185, 1e-12);
    let steps = [0.010, 0.020, 0.030].map(inches);
    let next = |needs: Length| next_oversize(needs, inches(4.0), &steps).unwrap();
    let worn = next(clean.on_worn_centre);
    close(inch(worn.first.unwrap().step), 0.010, 1e-12);
    close(inch(worn.first.unwrap().spare), 0.0, 1e-9);
    close(inch(worn.runner_up.unwrap().size), 4.020, 1e-12);
    close(inch(next(clean.on_original_centre).first.unwrap().step), 0.020, 1e-12);
}

/// By hand: a bore already 0.030 over, worn to 4.0362, has 0.0062 of wear and not 0.0362; original centre
/// 4.030 + 0.0124 + 0.002 = 4.0444, so 0.060 over where 0.040 is the next smaller.
#[test]
fn wear_is_counted_from_the_size_last_machined_to() {
    let found = shape(&grid([4.0362, 4.0338, 4.0341, 4.0329, 4.0318, 4.0316]));
    let clean = clean_up(&found, inches(4.030), inches(0.002)).unwrap();
    close(inch(clean.wear), 0.0062, 1e-12);
    close(inch(clean.on_original_centre), 4.0444, 1e-12);
    let steps = [0.020, 0.030, 0.040, 0.060].map(inches);
    let next = next_oversize(clean.on_original_centre, inches(4.0), &steps).unwrap();
    close(inch(next.first.unwrap().size), 4.060, 1e-12);
    assert_eq!(next.runner_up, None);
    close(inch(next_oversize(clean.on_worn_centre, inches(4.0), &steps).unwrap().first.unwrap().step), 0.040, 1e-12);
}

/// Common practice: metric oversizes go by 0.25 and 0.50 mm. 86.18 + 0.05 = 86.23, so 86.25 with 0.02 mm to spare.
#[test]
fn metric_oversizes() {
    let found = shape(&Grid::new(&[86.18, 86.12, 86.10, 86.08, 86.02, 86.01].map(millimetres)).unwrap());
    let clean = clean_up(&found, millimetres(86.0), millimetres(0.05)).unwrap();
    let next = next_oversize(clean.on_worn_centre, millimetres(86.0), &[0.5, 0.25].map(millimetres)).unwrap();
    close(mm(next.first.unwrap().size), 86.25, 1e-9);
    close(mm(next.first.unwrap().spare), 0.02, 1e-9);
    close(mm(next.runner_up.unwrap().size), 86.5, 1e-9);
}

/// By hand: 2.4489 smallest, 0.0005 to grind true: 2.4484, so 0.010 under (2.440) with 0.0084 to spare.
/// Out-of-round: 0.0004 and 0.0006. Taper: 0.0003 and 0.0005.
#[test]
fn a_journal_goes_under() {
    let found = journal(&[2.4498, 2.4494, 2.4495, 2.4489].map(inches)).unwrap();
    close(inch(found.out_of_round.unwrap()), 0.0006, 1e-12);
    close(inch(found.taper.unwrap()), 0.0005, 1e-12);
    let needs = found.size.smallest - inches(0.0005);
    let next = next_undersize(needs, inches(2.450), &[0.010, 0.020].map(inches)).unwrap();
    close(inch(next.first.unwrap().size), 2.440, 1e-12);
    close(inch(next.first.unwrap().spare), 0.0084, 1e-12);
    close(inch(next.runner_up.unwrap().size), 2.430, 1e-12);
}

/// Readings by a 64-bit linear congruence (Knuth's constants), a tenth of a thou apart, 0 to 40 over 4 in.
fn seeded(seed: u64) -> [f64; 6] {
    let mut state = seed;
    std::array::from_fn(|_| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        4.0 + (state >> 33).rem_euclid(41) as f64 * 1e-4
    })
}

/// A marine diesel's service manual, cylinder bore measurement: roundness is the largest difference of directions A and B at one of
/// three heights; cylindricity the larger of what A and B each range over. Written out here height by height.
#[test]
fn roundness_and_cylindricity_of_a_service_manual() {
    for seed in 1..=200 {
        let [at, bt, am, bm, ab, bb] = seeded(seed);
        let roundness = (at - bt).abs().max((am - bm).abs()).max((ab - bb).abs());
        let range = |x: f64, y: f64, z: f64| x.max(y).max(z) - x.min(y).min(z);
        let found = shape(&grid([at, bt, am, bm, ab, bb]));
        close(inch(found.out_of_round), roundness, 1e-12);
        close(inch(found.taper), range(at, am, ab).max(range(bt, bm, bb)), 1e-12);
    }
}
