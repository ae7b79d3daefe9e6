use gudgeon::maths::cams::{
    Gear, Lobe, Means, advance, offset, overlap, overlap_by_durations, peak, separation, timing,
};
use gudgeon::quantity::{Angle, Measure, inches, millimetres};

use super::{close, inch, mm};

fn deg(degrees: f64) -> Angle {
    Angle::from_si(degrees.to_radians())
}

fn of(angle: Angle) -> f64 {
    angle.si().to_degrees()
}

/// The symmetrical textbook cam (from memory, many an engine text): opens 30 before top, closes 70 after bottom; exhaust
/// opens 70 before bottom, closes 30 after top. Duration 280, centrelines 110 and 110, overlap 60, separation 110.
#[test]
fn thirty_seventy_seventy_thirty() {
    let intake = timing(Lobe::Intake, deg(30.0), deg(70.0)).unwrap();
    let exhaust = timing(Lobe::Exhaust, deg(70.0), deg(30.0)).unwrap();
    for lobe in [intake, exhaust] {
        close(of(lobe.duration), 280.0, 1e-9);
        close(of(lobe.centreline), 110.0, 1e-9);
    }
    close(of(overlap(deg(30.0), deg(30.0)).unwrap()), 60.0, 1e-9);
    let lobes = separation(intake.centreline, exhaust.centreline).unwrap();
    close(of(lobes.separation), 110.0, 1e-9);
    close(of(lobes.advance), 0.0, 1e-9);
}

/// The trade's shortcut for overlap (from memory): ((intake + exhaust) / 4 - separation) x 2; 280/280 on 110 gives 60,
/// 224/234 at 0.050 in on 112 gives (114.5 - 112) x 2 = 5.
#[test]
fn the_shortcut_for_overlap() {
    for (intake, exhaust, apart, expected) in
        [(280.0, 280.0, 110.0, 60.0), (224.0, 234.0, 112.0, 5.0), (200.0, 210.0, 112.0, -19.0)]
    {
        close(of(overlap_by_durations(deg(intake), deg(exhaust), deg(apart)).unwrap()), expected, 1e-9);
        close(((intake + exhaust) / 4.0 - apart) * 2.0, expected, 1e-9);
    }
}

/// The procedure page's readings, by hand: (68 + 146) / 2 = 107; opens 6 before with 226 duration: 113 - 6 = 107, so it
/// closes 226 - 180 - 6 = 40 after bottom. On a card of 105 that is 2 degrees late.
#[test]
fn off_the_peak_and_off_the_events() {
    let centreline = peak(Lobe::Intake, deg(68.0), deg(146.0)).unwrap();
    close(of(centreline), 107.0, 1e-9);
    let events = timing(Lobe::Intake, deg(6.0), deg(40.0)).unwrap();
    close(of(events.duration), 226.0, 1e-9);
    close(of(events.centreline), 107.0, 1e-9);
    close(of(advance(Lobe::Intake, centreline, deg(105.0)).unwrap()), -2.0, 1e-9);
    close(of(advance(Lobe::Intake, centreline, deg(109.0)).unwrap()), 2.0, 1e-9);
}

/// A late opening is negative: opens 5 after top, closes 35 after bottom, 210 of duration, 105 + 5 = 110 (by hand). The exhaust
/// mirror: opens 35 before bottom, closes 5 before top: centreline 110 before top; a card of 112 is then 2 behind.
#[test]
fn an_event_on_the_other_side_of_its_centre() {
    let late = timing(Lobe::Intake, deg(-5.0), deg(35.0)).unwrap();
    close(of(late.duration), 210.0, 1e-9);
    close(of(late.centreline), 110.0, 1e-9);
    let early = timing(Lobe::Exhaust, deg(35.0), deg(-5.0)).unwrap();
    close(of(early.centreline), 110.0, 1e-9);
    close(of(advance(Lobe::Exhaust, early.centreline, deg(112.0)).unwrap()), -2.0, 1e-9);
}

/// Common practice: a cam ground 4 degrees advanced on 110 goes in on an intake centreline of 106, so its exhaust is at 114.
#[test]
fn four_degrees_ground_in() {
    let lobes = separation(deg(106.0), deg(114.0)).unwrap();
    close(of(lobes.separation), 110.0, 1e-9);
    close(of(lobes.advance), 4.0, 1e-9);
}

/// Four-figure trigonometric tables: sin 4 degrees = 0.0698, sin 2 degrees = 0.0349, chord of 2 degrees at unit radius
/// = 2 sin 1 degree = 0.0349. On a 1.250 in crank nose 4 degrees is 0.625 x 0.0698 = 0.0436 in.
#[test]
fn offsets_by_the_tables() {
    let at = |gear, means, diameter| offset(deg(4.0), gear, means, diameter, None).unwrap();
    close(inch(at(Gear::Crank, Means::Key, inches(1.25)).offset), 0.0436, 5e-5);
    close(inch(at(Gear::Cam, Means::Key, inches(2.0)).offset), 0.0349, 5e-5);
    close(mm(at(Gear::Cam, Means::Bush, millimetres(40.0)).offset), 20.0 * 0.0349, 1e-3);
    // sin 4 degrees = 0.06975647374412530 (30-digit decimals).
    close(inch(at(Gear::Crank, Means::Key, inches(2.0)).offset), 0.069_756_473_744_125_3, 1e-15);
    close(of(at(Gear::Cam, Means::Key, inches(2.0)).on_shaft), 2.0, 1e-12);
}

/// One tooth of 20 on the crank is 360 / 20 = 18 crank degrees; of 40 on the cam 9 cam degrees, the same.
#[test]
fn a_tooth() {
    let sum = offset(deg(-4.0), Gear::Crank, Means::Key, inches(1.25), Some(20)).unwrap();
    close(of(sum.tooth.unwrap()), 18.0, 1e-12);
    assert!(sum.offset.si() > 0.0 && sum.by.si() < 0.0);
}

/// A cam card worked in a published answer (2023): 31 before, 63 after, 77 before, 29 after: durations 274 and 286, centrelines 106 and
/// 114. Its separation is their mean, 110.
#[test]
fn a_cam_card_of_a_published_answer() {
    let intake = timing(Lobe::Intake, deg(31.0), deg(63.0)).unwrap();
    let exhaust = timing(Lobe::Exhaust, deg(77.0), deg(29.0)).unwrap();
    close(of(intake.duration), 274.0, 1e-9);
    close(of(exhaust.duration), 286.0, 1e-9);
    close(of(intake.centreline), 106.0, 1e-9);
    close(of(exhaust.centreline), 114.0, 1e-9);
    let lobes = separation(intake.centreline, exhaust.centreline).unwrap();
    close(of(lobes.separation), 110.0, 1e-9);
    close(of(lobes.advance), 4.0, 1e-9);
    // The events' overlap, 31 + 29, and the shortcut's from durations and separation are one.
    close(of(overlap(deg(31.0), deg(29.0)).unwrap()), 60.0, 1e-9);
    close(of(overlap_by_durations(intake.duration, exhaust.duration, lobes.separation).unwrap()), 60.0, 1e-9);
}

/// A published note on timing figures: a cam of 20-60-60-20 (260 both) turned 5 degrees forward reads 25-55 and 65-15, turned back
/// 15-65 and 55-25.
#[test]
fn five_degrees_forward_and_back() {
    let card = timing(Lobe::Intake, deg(20.0), deg(60.0)).unwrap();
    close(of(card.duration), 260.0, 1e-9);
    let exhaust_card = timing(Lobe::Exhaust, deg(60.0), deg(20.0)).unwrap().centreline;
    for (by, intake, exhaust) in [(5.0, (25.0, 55.0), (65.0, 15.0)), (-5.0, (15.0, 65.0), (55.0, 25.0))] {
        let turned = timing(Lobe::Intake, deg(intake.0), deg(intake.1)).unwrap();
        close(of(advance(Lobe::Intake, turned.centreline, card.centreline).unwrap()), by, 1e-9);
        let turned = timing(Lobe::Exhaust, deg(exhaust.0), deg(exhaust.1)).unwrap().centreline;
        close(of(advance(Lobe::Exhaust, turned, exhaust_card).unwrap()), by, 1e-9);
    }
}

/// A published procedure for the wheel: 60 and 145.5 either side of the nose put it at 102.75.
#[test]
fn the_nose_of_a_published_procedure() {
    close(of(peak(Lobe::Intake, deg(60.0), deg(145.5)).unwrap()), 102.75, 1e-9);
}
