use gudgeon::maths::pairing::{pistons, shells, weights};
use gudgeon::quantity::{Length, inches};

use super::{close, from_grams, grams, inch};

fn sizes(list: &[f64]) -> Vec<Length> {
    list.iter().map(|s| inches(*s)).collect()
}

/// By hand: bores 4.0008, 4.0003, 4.0006 and skirts 3.9961, 3.9966, 3.9964 in. As given 0.0047, 0.0037, 0.0042 in; their
/// mean is 0.0042. Biggest to biggest (2, 1, 3): 0.0042, 0.0042, 0.0042, so no error at all.
#[test]
fn three_pistons_by_hand() {
    let bores = sizes(&[4.0008, 4.0003, 4.0006]);
    let found = pistons(&bores, &sizes(&[3.9961, 3.9966, 3.9964]), None).unwrap();
    assert_eq!(found.after.part, [1, 0, 2]);
    close(inch(found.wanted), 0.0042, 1e-12);
    close(inch(found.before.worst), 0.0005, 1e-12);
    close(inch(found.after.worst), 0.0, 1e-12);
}

/// scipy 1.x `optimize.linear_sum_assignment`: the least bound under which the pairs past it can all be left out, then the
/// least sum of squares of the rest. Weights in grams, to 0.1 g: worst 5.125 tenths of a gram, sum of squares 52.875.
#[test]
fn eight_weights_as_scipy_pairs_them() {
    let assemblies = [560.2, 561.8, 559.6, 561.1, 560.7, 559.0, 562.4, 560.5].map(from_grams);
    let rods = [611.3, 609.8, 612.1, 610.4, 609.5, 611.7, 610.9, 610.1].map(from_grams);
    let found = weights(&assemblies, &rods).unwrap();
    close(grams(found.wanted), 1171.3875, 1e-9);
    close(grams(found.before.worst), 1.9125, 1e-9);
    close(found.before.squares * 1e6, 6.328_75, 1e-9);
    close(grams(found.after.worst), 0.5125, 1e-9);
    close(found.after.squares * 1e6, 0.528_75, 1e-9);
}

/// The same road in tenths of a thou for the clearances housing - journal - 2 x wall, 20 tenths wanted.
#[test]
fn five_pairs_of_shells_as_scipy_pairs_them() {
    let housings = sizes(&[2.6905, 2.6908, 2.6903, 2.6906, 2.6904]);
    let journals = sizes(&[2.4995, 2.4992, 2.4996, 2.4993, 2.4994]);
    let walls = sizes(&[0.0947, 0.0949, 0.0946, 0.0948, 0.0945]);
    let found = shells(&housings, &journals, &walls, Some(inches(0.0020))).unwrap();
    // As given 16, 18, 15, 17, 20; scipy: worst 4 off, sum of squares 42.
    close(inch(found.before.worst), 0.0005, 1e-12);
    close(inch(found.after.worst), 0.0004, 1e-12);
    close(found.after.squares / (2.54e-6 * 2.54e-6), 42.0, 1e-6);
}

/// Rearrangement inequality (Hardy, Littlewood and Polya, Inequalities, theorem 368; from memory): the sum of products is
/// greatest, so the sum of squared differences least, with both lists in order; the greatest difference is least as well.
/// Sums, as of weights, want one list in order and the other against it.
#[test]
fn biggest_to_biggest_as_the_theorem_says() {
    let mut state = 7_u64;
    let mut chance = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    for count in 2..=12 {
        let bores: Vec<f64> = (0..count).map(|_| 4.0000 + 0.002 * chance()).collect();
        let skirts: Vec<f64> = (0..count).map(|_| 3.9955 + 0.002 * chance()).collect();
        let found = pistons(&sizes(&bores), &sizes(&skirts), None).unwrap();
        let (mut big, mut small) = (bores.clone(), skirts.clone());
        big.sort_by(f64::total_cmp);
        small.sort_by(f64::total_cmp);
        let wanted = inch(found.wanted);
        let misses: Vec<f64> = big.iter().zip(&small).map(|(b, s)| b - s - wanted).collect();
        close(inch(found.after.worst), misses.iter().fold(0.0, |most: f64, m| most.max(m.abs())), 1e-9);
        close(found.after.squares / (0.0254 * 0.0254), misses.iter().map(|m| m * m).sum(), 1e-12);

        let mut assemblies: Vec<f64> = (0..count).map(|_| 560.0 + 4.0 * chance()).collect();
        let mut rods: Vec<f64> = (0..count).map(|_| 610.0 + 4.0 * chance()).collect();
        let weighed = |list: &[f64]| list.iter().map(|g| from_grams(*g)).collect::<Vec<_>>();
        let found = weights(&weighed(&assemblies), &weighed(&rods)).unwrap();
        assemblies.sort_by(f64::total_cmp);
        rods.sort_by(|a, b| b.total_cmp(a));
        let wanted = grams(found.wanted);
        let misses: Vec<f64> = assemblies.iter().zip(&rods).map(|(a, r)| a + r - wanted).collect();
        close(grams(found.after.worst), misses.iter().fold(0.0, |most: f64, m| most.max(m.abs())), 1e-9);
        close(found.after.squares * 1e6, misses.iter().map(|m| m * m).sum(), 1e-9);
    }
}

/// By hand: in one housing size on one journal size the clearance is 0.1910 in less two walls, so every order has the same clearances: the
/// pairing changes nothing. Walls 0.0944, 0.0945, 0.0946 in leave 0.0022, 0.0020, 0.0018 in, 0.0002 in off the mean at worst.
#[test]
fn shells_that_cannot_be_paired_better() {
    let walls = sizes(&[0.0945, 0.0944, 0.0946]);
    let found = shells(&sizes(&[2.6905; 3]), &sizes(&[2.4995; 3]), &walls, None).unwrap();
    close(inch(found.wanted), 0.0020, 1e-12);
    close(inch(found.before.worst), 0.0002, 1e-12);
    close(inch(found.after.worst), 0.0002, 1e-12);
}
