use gudgeon::maths::faces::{corners, cut, cut_for, face, gaskets, squish, volume_of};
use gudgeon::quantity::{Area, Length, Measure, inches, millimetres};

use super::{cc, close, from_cc, inch, mm};

fn list(of: &[f64]) -> Vec<Length> {
    of.iter().map(|v| inches(*v)).collect()
}

/// By hand: (20 + 24)/2 = 22 and (18 + 20)/2 = 19 thou; to 10 wanted 12 and 9; a level cut of 9 leaves 13 and 10.
#[test]
fn corners_and_cut_by_hand() {
    let found = corners(&list(&[0.020, 0.024, 0.018, 0.020])).unwrap();
    let decks: Vec<Length> = found.iter().map(|corner| corner.mean).collect();
    close(inch(decks[0]), 0.022, 1e-12);
    close(inch(decks[1]), 0.019, 1e-12);
    close(inch(found[0].rock), 0.004, 1e-12);
    let cut = cut(&decks, inches(0.010)).unwrap();
    close(inch(cut.level), 0.009, 1e-12);
    close(inch(cut.each[0]), 0.012, 1e-12);
    close(inch(cut.after[0]), 0.013, 1e-12);
    close(inch(cut.after[1]), 0.010, 1e-12);
}

/// Geometry: a crown that rocks by the same on both sides has its deck in the middle, proud or below.
#[test]
fn rock_drops_out() {
    for rock in [0.001, 0.004, 0.010] {
        let found = corners(&list(&[-0.002 + rock, -0.002 - rock])).unwrap();
        close(inch(found[0].mean), -0.002, 1e-12);
    }
}

/// Common practice: 0.040 in of squish with a 0.041 in gasket takes a crown 0.001 in proud. Mixed by hand: decks 5 and 15 thou
/// under a 0.041 gasket stand at 46 and 56; for 40 to 60 the gasket may be 35 to 45.
#[test]
fn squish_by_hand() {
    let proud = squish(&list(&[-0.001]), inches(0.041)).unwrap();
    close(inch(proud.smallest), 0.040, 1e-12);
    let two = squish(&list(&[0.015, 0.005]), inches(0.041)).unwrap();
    close(inch(two.smallest), 0.046, 1e-12);
    close(inch(two.largest), 0.056, 1e-12);
    let (thin, thick) = gaskets(&list(&[0.015, 0.005]), inches(0.040), inches(0.060)).unwrap().unwrap();
    close(inch(thin), 0.035, 1e-12);
    close(inch(thick), 0.045, 1e-12);
}

/// Common practice (from memory): a wedge chamber on a 4 in bore loses about 1 cc for each 0.006 in of cut.
#[test]
fn six_thou_a_cc() {
    let area = face(inches(4.0), 0.8).unwrap();
    close(inch(cut_for(area, from_cc(1.0)).unwrap().cut), 0.006, 0.0005);
}

/// Fractions and pi by hand: 10 thou over a 4 in bore is pi/4 x 16 x 0.01 = 0.125663706 cu in = 2.059256 cc
/// (x 16.387064, NIST SP 811); 72 cm2 x 0.25 mm = 1.8 cc.
#[test]
fn cuts_by_hand() {
    close(cc(volume_of(face(inches(4.0), 1.0).unwrap(), inches(0.010)).unwrap().volume), 2.059_259, 1e-5);
    let metric = volume_of(Area::from_si(72e-4), millimetres(0.25)).unwrap();
    close(cc(metric.volume), 1.8, 1e-12);
    close(mm(cut_for(metric.area, from_cc(3.6)).unwrap().cut), 0.5, 1e-12);
}

/// A machinist's formula in print (2013): one cubic centimetre takes 1 / (12.87 d^2) in off a chamber d inches across.
#[test]
fn a_cubic_centimetre_in_print() {
    for d in [3.0, 3.75, 4.25] {
        let found = cut_for(face(inches(d), 1.0).unwrap(), from_cc(1.0)).unwrap();
        close(inch(found.cut) * 12.87 * d * d, 1.0, 0.0005);
    }
}

/// Workshop manuals of diesels: projection is the mean of two readings over the pin, and the proudest piston counts. 0.62 and 0.66 mm
/// make 0.64 mm.
#[test]
fn projection_of_a_workshop_manual() {
    let readings = [-0.62, -0.66, -0.60, -0.64].map(millimetres);
    let found = corners(&readings).unwrap();
    close(mm(found[0].mean), -0.64, 1e-9);
    let decks: Vec<Length> = found.iter().map(|corner| corner.mean).collect();
    close(mm(squish(&decks, millimetres(1.35)).unwrap().smallest), 0.71, 1e-9);
}
