use gudgeon::maths::cylinders::{deck_stack, displacement, squish};
use gudgeon::quantity::{inches, millimetres};

use super::{cc, close, cubic_inches, inch, mm};

/// The standard knock-test engine, ASTM D2699 and D2700 (from memory): bore 3.250 in, stroke 4.500 in, 37.33 cu in
/// or 611.7 cc, one cylinder.
#[test]
fn the_knock_test_engine() {
    let engine = displacement(inches(3.25), inches(4.5), 1).unwrap();
    close(cubic_inches(engine.one), 37.33, 0.005);
    close(cc(engine.one), 611.7, 0.05);
}

/// Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, example 2-1 (from memory): a 3 litre six,
/// bore = stroke, comes to 8.60 cm.
#[test]
fn a_textbook_square_six() {
    let engine = displacement(millimetres(86.0), millimetres(86.0), 6).unwrap();
    close(cc(engine.all) / 1000.0, 3.0, 0.005);
    // pi/4 x 8.6^3 = 499.557214217927 cc (30-digit decimals)
    close(cc(engine.one), 499.557_214_217_927, 1e-9);
}

/// Definition, 30-digit decimals: pi/4 x 4.000^2 x 3.480 x 8 = 349.847757903759 cu in = 5732.97759902541 cc.
#[test]
fn four_by_three_forty_eight_by_eight() {
    let engine = displacement(inches(4.0), inches(3.48), 8).unwrap();
    close(cubic_inches(engine.all), 349.847_757_903_759, 1e-9);
    close(cubic_inches(engine.all), 349.85, 0.005);
    close(cc(engine.all), 5_732.977_599_025_41, 1e-8);
    close(cubic_inches(engine.one) * 8.0, cubic_inches(engine.all), 1e-9);
}

/// By hand: 3.480/2 + 5.700 + 1.560 = 9.000; 9.025 - 9.000 = 0.025 down; + 0.041 gasket = 0.066 in squish.
#[test]
fn stack_up_by_hand() {
    let stack = deck_stack(inches(9.025), inches(3.48), inches(5.7), inches(1.56)).unwrap();
    close(inch(stack.half_stroke), 1.74, 1e-12);
    close(inch(stack.stack), 9.0, 1e-12);
    close(inch(stack.deck), 0.025, 1e-12);
    close(inch(squish(stack.deck, inches(0.041)).unwrap()), 0.066, 1e-12);
}

/// By hand in metric, and proud: 90/2 + 144 + 39.2 = 228.2; 228.0 - 228.2 = -0.2; + 1.3 = 1.1 mm squish.
#[test]
fn a_piston_proud_of_the_deck() {
    let stack = deck_stack(millimetres(228.0), millimetres(90.0), millimetres(144.0), millimetres(39.2)).unwrap();
    close(mm(stack.deck), -0.2, 1e-9);
    close(mm(squish(stack.deck, millimetres(1.3)).unwrap()), 1.1, 1e-9);
}

/// Common practice: zero deck and a gasket crushed to 0.040 in makes the 0.040 in squish that steel rods are given.
#[test]
fn zero_deck() {
    close(inch(squish(inches(0.0), inches(0.040)).unwrap()), 0.040, 1e-12);
}

/// An examination question with its answer: six cylinders of 17 x 30 cm sweep 40856.41 cc.
#[test]
fn a_six_of_an_examination() {
    close(cc(displacement(millimetres(170.0), millimetres(300.0), 6).unwrap().all), 40_856.41, 0.005);
}

/// Workshop manuals of diesels choose the head gasket by how far the piston stands proud, the largest of all: 0.758 to 0.813 mm takes
/// 1.60 mm, 0.813 to 0.859 mm 1.65 mm, 0.859 to 0.914 mm 1.70 mm. So chosen, 0.79 mm is left over the proudest piston, and of the
/// three gaskets only that one keeps 0.785 to 0.843 mm.
#[test]
fn gaskets_of_a_workshop_table() {
    use gudgeon::maths::faces::gaskets;
    let table = [(0.758, 0.813, 1.60), (0.813, 0.859, 1.65), (0.859, 0.914, 1.70)];
    for (least, most, gasket) in table {
        close(mm(squish(millimetres(-most), millimetres(gasket)).unwrap()), 0.79, 0.005);
        let decks = [millimetres(-least), millimetres(-most)];
        let (thin, thick) = gaskets(&decks, millimetres(0.785), millimetres(0.843)).unwrap().unwrap();
        for (_, _, other) in table {
            assert_eq!((mm(thin)..=mm(thick)).contains(&other), other == gasket, "{gasket} and {other}");
        }
    }
}

/// Another workshop table, five notches: projection up to 0.604, 0.654, 0.704 and 0.754 mm takes 1.30, 1.35, 1.40 and 1.45 mm in the
/// middle of its tolerance: a squish of 0.696 mm each time. (The fifth, open to all that stand higher, leaves 0.670 mm.)
#[test]
fn notches_of_a_workshop_table() {
    for (most, gasket) in [(0.604, 1.30), (0.654, 1.35), (0.704, 1.40), (0.754, 1.45)] {
        close(mm(squish(millimetres(-most), millimetres(gasket)).unwrap()), 0.696, 1e-9);
    }
}
