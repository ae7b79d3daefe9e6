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
