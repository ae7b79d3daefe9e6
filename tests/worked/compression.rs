use gudgeon::maths::compression::{
    Cylinder, Gasket, chamber_for, compression, crevice, deck_for, dish_for, gasket_for,
};
use gudgeon::quantity::{inches, millimetres};

use super::{cc, close, from_cc, inch};

/// 4.030 x 3.480 in, 64 cc chamber, 4.100 x 0.041 in gasket, 0.025 in down, 5 cc dish.
fn eight() -> Cylinder {
    Cylinder {
        bore: inches(4.03),
        stroke: inches(3.48),
        chamber: from_cc(64.0),
        gasket: Gasket::Sized { bore: inches(4.1), thickness: inches(0.041) },
        deck: inches(0.025),
        dish: from_cc(5.0),
        crevice: from_cc(0.0),
    }
}

/// Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, example 2-1 (from memory): 500 cc a cylinder
/// at 9.5 to 1 leaves 59 cc of clearance. With all of it in the chamber the ratio is 9.5.
#[test]
fn a_textbook_clearance_volume() {
    let square = Cylinder {
        bore: millimetres(86.025_401_38),
        stroke: millimetres(86.025_401_38),
        chamber: from_cc(70.0),
        gasket: Gasket::Volume(from_cc(0.0)),
        deck: millimetres(0.0),
        dish: from_cc(0.0),
        crevice: from_cc(0.0),
    };
    close(cc(compression(&square).unwrap().swept), 500.0, 1e-3);
    let change = chamber_for(&square, 9.5).unwrap();
    close(cc(change.clearance), 59.0, 0.5);
    // 500 / 8.5 = 58.8235294117647
    close(cc(change.wanted), 58.823_529, 1e-3);
    close(compression(&Cylinder { chamber: from_cc(59.0), ..square }).unwrap().ratio, 9.5, 0.05);
}

/// Heywood's definition, r = (swept + clearance) / clearance: clearance a ninth of swept is 10 to 1 exactly.
#[test]
fn a_ninth_is_ten_to_one() {
    let plain = Cylinder { gasket: Gasket::Volume(from_cc(0.0)), deck: inches(0.0), dish: from_cc(0.0), ..eight() };
    let swept = compression(&plain).unwrap().swept;
    close(compression(&Cylinder { chamber: swept / 9.0, ..plain }).unwrap().ratio, 10.0, 1e-12);
}

/// 30-digit decimals: swept pi/4 4.03^2 3.48 = 727.411842875092 cc; gasket pi/4 4.1^2 0.041 = 8.87038768638717; deck
/// pi/4 4.03^2 0.025 = 5.22565979076934; with 64 and 5 the clearance is 83.0960474771566; ratio 9.75386814366906.
#[test]
fn every_volume_by_hand() {
    let found = compression(&eight()).unwrap();
    close(cc(found.swept), 727.411_842_875_092, 1e-9);
    close(cc(found.gasket), 8.870_387_686_387_17, 1e-10);
    close(cc(found.deck), 5.225_659_790_769_34, 1e-10);
    close(cc(found.clearance), 83.096_047_477_156_6, 1e-10);
    close(cc(found.total), 727.411_842_875_092 + 83.096_047_477_156_6, 1e-9);
    close(found.ratio, 9.753_868_143_669_06, 1e-12);
    close(inch(found.squish.unwrap()), 0.066, 1e-12);
}

/// 30-digit decimals for 10 to 1: clearance 727.411842875092 / 9 = 80.8235380972325, so 2.2725 cc less. Chamber
/// 61.7274906200759; dish 2.7274906200759; deck 0.0141281222328 in; gasket 0.0304961880055 in.
#[test]
fn four_ways_to_ten_to_one() {
    let chamber = chamber_for(&eight(), 10.0).unwrap();
    close(cc(chamber.clearance), 80.823_538_097_232_5, 1e-9);
    close(cc(chamber.wanted), 61.727_490_620_075_9, 1e-9);
    close(cc(chamber.change), 61.727_490_620_075_9 - 64.0, 1e-9);
    close(cc(dish_for(&eight(), 10.0).unwrap().wanted), 2.727_490_620_075_9, 1e-9);
    let deck = deck_for(&eight(), 10.0).unwrap();
    close(inch(deck.wanted), 0.014_128_122_232_8, 1e-12);
    close(inch(deck.now) - inch(deck.wanted), 0.010_871_877_767_2, 1e-12);
    close(inch(deck.squish.unwrap()), 0.055_128_122_232_8, 1e-12);
    let gasket = gasket_for(&eight(), 10.0).unwrap();
    close(inch(gasket.wanted), 0.030_496_188_005_5, 1e-12);
    close(inch(gasket.squish.unwrap()), 0.055_496_188_005_5, 1e-12);
}

/// By hand: a dome takes away what a dish of the same volume adds, so swapping 5 cc for -5 cc shrinks clearance by 10.
#[test]
fn a_dome_is_a_dish_the_other_way() {
    let domed = compression(&Cylinder { dish: from_cc(-5.0), ..eight() }).unwrap();
    close(cc(domed.clearance), 73.096_047_477_156_6, 1e-9);
    close(domed.ratio, (727.411_842_875_092 + 73.096_047_477_156_6) / 73.096_047_477_156_6, 1e-12);
}

/// 30-digit decimals: pi/4 (4.03^2 - 4.00^2) x 0.200 in = 0.620094425110103 cc round the crown.
#[test]
fn the_crevice_round_the_crown() {
    let found = crevice(inches(4.03), inches(4.0), inches(0.2)).unwrap();
    close(cc(found), 0.620_094_425_110_103, 1e-12);
    let with = compression(&Cylinder { crevice: found, ..eight() }).unwrap();
    close(cc(with.clearance), 83.096_047_477_156_6 + 0.620_094_425_110_103, 1e-9);
}

/// An examination question with its answer: six of 17 x 30 cm with 9225 cc of clearance among them: 5.4 to 1.
#[test]
fn a_six_of_an_examination() {
    let plain = Cylinder {
        bore: inches(17.0 / 2.54),
        stroke: inches(30.0 / 2.54),
        chamber: from_cc(9225.0 / 6.0),
        gasket: Gasket::Volume(from_cc(0.0)),
        deck: inches(0.0),
        dish: from_cc(0.0),
        crevice: from_cc(0.0),
    };
    close(compression(&plain).unwrap().ratio, 5.4, 0.05);
}

/// Heads measured by a car club (newsletter, July): cylinder 44.2 cu in, crown 2.86 above the bore, gasket 0.92; heads of 17.9, 15.6, 16.6,
/// 13.7, 12.8 and 12.2 cu in give 3.77, 4.24, 4.02, 4.76, 5.07 and 5.31 to 1.
#[test]
fn six_heads_of_a_newsletter() {
    let cubic = |v: f64| from_cc(v * 16.387_064);
    let stroke = 44.2 / (std::f64::consts::FRAC_PI_4 * 3.875 * 3.875);
    for (head, printed) in [(17.9, 3.77), (15.6, 4.24), (16.6, 4.02), (13.7, 4.76), (12.8, 5.07), (12.2, 5.31)] {
        let cylinder = Cylinder {
            bore: inches(3.875),
            stroke: inches(stroke),
            chamber: cubic(head),
            gasket: Gasket::Volume(cubic(0.92)),
            deck: inches(0.0),
            dish: cubic(-2.86),
            crevice: from_cc(0.0),
        };
        close(compression(&cylinder).unwrap().ratio, printed, 0.0051);
    }
}
