//! Bolts: threads, grades, preload, torque, stretch, angle, adapters, order.

use gudgeon::maths::bolts::{self, Friction};
use gudgeon::maths::grades::grade;
use gudgeon::maths::stretch::{self, Plain};
use gudgeon::maths::threads::Thread;
use gudgeon::maths::tightening::{self, Pattern};
use gudgeon::quantity::{Angle, Force, Length, Measure, Pressure, Share, Torque, inches, millimetres};
use uom::si::area::{square_inch, square_millimeter};

use super::{close, inch, mm};

const LBF: f64 = 4.448_221_615_260_5;
const KSI: f64 = 6_894_757.293_168;

fn metric(d: f64, p: f64) -> Thread {
    Thread::metric(millimetres(d), millimetres(p)).unwrap()
}

fn unified(d: f64, n: f64) -> Thread {
    Thread::inch(inches(d), n).unwrap()
}

/// ISO 898-1, tables of stress areas (from memory): mm^2 to the digits printed there.
#[test]
fn metric_stress_areas_of_the_standard() {
    for (d, p, area, half) in [
        (6.0, 1.0, 20.1, 0.05),
        (8.0, 1.25, 36.6, 0.05),
        (8.0, 1.0, 39.2, 0.05),
        (10.0, 1.5, 58.0, 0.05),
        (10.0, 1.25, 61.2, 0.05),
        (12.0, 1.75, 84.3, 0.05),
        (12.0, 1.25, 92.1, 0.05),
        (14.0, 2.0, 115.0, 0.5),
        (16.0, 2.0, 157.0, 0.5),
        (20.0, 2.5, 245.0, 0.5),
        (24.0, 3.0, 353.0, 0.5),
        (36.0, 4.0, 817.0, 0.5),
    ] {
        close(metric(d, p).stress_area().get::<square_millimeter>(), area, half);
    }
}

/// ASME B1.1 and Shigley, table 8-2 (from memory): in^2.
#[test]
fn inch_stress_areas_of_the_standard() {
    for (d, n, area) in [
        (0.25, 20.0, 0.0318),
        (0.25, 28.0, 0.0364),
        (0.3125, 18.0, 0.0524),
        (0.375, 16.0, 0.0775),
        (0.375, 24.0, 0.0878),
        (0.4375, 14.0, 0.1063),
        (0.4375, 20.0, 0.1187),
        (0.5, 13.0, 0.1419),
        (0.5, 20.0, 0.1599),
        (0.75, 10.0, 0.334),
    ] {
        let digits = if area < 0.2 { 0.00006 } else { 0.0006 };
        close(unified(d, n).stress_area().get::<square_inch>(), area, digits);
    }
}

/// ISO 68-1 pitch diameters of ISO 724 (from memory): M10 9.026, M10 x 1.25 9.188, M12 10.863, M8 7.188 mm.
#[test]
fn pitch_diameters_of_the_standard() {
    for (d, p, d2) in [(10.0, 1.5, 9.026), (10.0, 1.25, 9.188), (12.0, 1.75, 10.863), (8.0, 1.25, 7.188)] {
        close(mm(metric(d, p).pitch_diameter()), d2, 0.0005);
    }
}

/// ISO 898-1, proof loads of coarse threads (from memory): M10 8.8 33 700 N, M10 10.9 48 100 N, M12 8.8 48 900 N,
/// M8 12.9 35 500 N, M16 10.9 130 000 N, M20 8.8 147 000 N; each from the area as it is printed, so within half a per cent.
#[test]
fn proof_loads_of_the_standard() {
    for (d, id, newtons) in [
        (10.0, "8.8", 33_700.0),
        (10.0, "10.9", 48_100.0),
        (12.0, "8.8", 48_900.0),
        (8.0, "12.9", 35_500.0),
        (16.0, "10.9", 130_000.0),
        (20.0, "8.8", 147_000.0),
    ] {
        let thread = Thread::coarse(millimetres(d)).unwrap();
        let proof = grade(id).unwrap().at(thread.diameter).unwrap().proof();
        let load = bolts::preload(&thread, proof, Share(1.0)).unwrap().proof_load.si();
        close(load / newtons, 1.0, 0.005);
    }
}

/// ISO 898-1: the first figure of a class is a hundredth of the nominal tensile strength in MPa, the second the share of it
/// that yields; the minima stand at or above the nominal product (4.8 to 6.8 and 8.8 by their nominal steps).
#[test]
fn a_class_says_its_own_strength() {
    for id in ["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"] {
        let (hundreds, tenths) = id.split_once('.').unwrap();
        let nominal = hundreds.parse::<f64>().unwrap() * 1e8;
        let share = tenths.parse::<f64>().unwrap() / 10.0;
        let band = grade(id).unwrap().at(millimetres(10.0)).unwrap();
        assert!(band.tensile().si() >= nominal && band.tensile().si() <= nominal * 1.06, "{id}");
        assert!(band.yielding().si() >= nominal * share && band.yielding().si() <= nominal * share * 1.07, "{id}");
        // Sp,nom / Rp is 0.88 to 0.95 in the standard's own table.
        let ratio = band.proof().si() / band.yielding().si();
        assert!((0.87..=0.95).contains(&ratio), "{id}: {ratio}");
    }
}

/// SAE J429 as Shigley's table 8-9 gives it (from memory), ksi.
#[test]
fn inch_grades_of_the_standard() {
    for (id, d, proof, yielding, tensile) in [
        ("grade-2", 0.5, 55.0, 57.0, 74.0),
        ("grade-5", 0.5, 85.0, 92.0, 120.0),
        ("grade-5", 1.25, 74.0, 81.0, 105.0),
        ("grade-8", 0.5, 120.0, 130.0, 150.0),
    ] {
        let band = grade(id).unwrap().at(inches(d)).unwrap();
        close(band.proof().si() / KSI, proof, 1e-9);
        close(band.yielding().si() / KSI, yielding, 1e-9);
        close(band.tensile().si() / KSI, tensile, 1e-9);
    }
}

/// Shigley, bolted joints: 3/4 of the proof load of a 5/8-11 grade 5 bolt, 0.75 x 85 ksi x 0.226 in^2 = 14.4 kip (from
/// memory: example of a gasketed pressure vessel).
#[test]
fn the_textbook_preload() {
    let sum = bolts::preload(&unified(0.625, 11.0), Pressure::from_si(85.0 * KSI), Share(0.75)).unwrap();
    close(sum.preload.si() / LBF / 1000.0, 14.4, 0.05);
}

/// M10 x 1.25 class 10.9 at three quarters, friction 0.14 and 0.14, ring 13 mm. Plain Python:
/// As = pi/4 (10 - 0.9382 x 1.25)^2, F = 0.75 x 830 As = 38096.06247757997 N, d2 = 10 - 0.75 sqrt(0.75) 1.25,
/// T = F (d2/2 tan(atan(P/(pi d2)) + atan(0.14/cos 30)) + 0.14 x 13/2) = 70.79190533378363 Nm; the shorthand with 0.159 and
/// 0.577 is 70.51447118421828 Nm.
#[test]
fn torque_by_the_full_form() {
    let thread = metric(10.0, 1.25);
    let preload = bolts::preload(&thread, Pressure::from_si(830e6), Share(0.75)).unwrap().preload;
    close(preload.si(), 38_096.062_477_579_97, 1e-7);
    let sum = bolts::torque(&thread, Friction { thread: 0.14, head: 0.14 }, millimetres(13.0), preload).unwrap();
    close(sum.torque.si(), 70.791_905_333_783_63, 1e-10);
    close(sum.shorthand.si(), 70.514_471_184_218_28, 1e-10);
    close(sum.nut_factor, 0.185_824_730_247_241_64, 1e-12);
    // ISO 16047 writes the thread's share as F/2 (P + 1.154 pi mu d2) / (pi - 1.154 mu P / d2): 70.7744652077172 Nm in all,
    // its 1.154 being 2 / sqrt 3 cut short.
    close(sum.torque.si() / 70.774_465_207_717_2, 1.0, 3e-4);
}

/// Shigley, bolted joints, the worked 3/4-16 grade 5 bolt at 25 kip (from memory): friction 0.15 in thread and collar, collar
/// 1.25 d, takes 3551 lbf in by the full form and 0.2 x 25 000 x 0.75 = 3750 lbf in by the nut factor.
#[test]
fn torque_of_the_textbook() {
    let thread = unified(0.75, 16.0);
    let load = Force::from_si(25_000.0 * LBF);
    let sum = bolts::torque(&thread, Friction { thread: 0.15, head: 0.15 }, thread.diameter * 1.25, load).unwrap();
    close(sum.torque.si() / (LBF * 0.0254), 3551.0, 2.0);
    close(bolts::by_nut_factor(&thread, 0.2, load).unwrap().si() / (LBF * 0.0254), 3750.0, 1e-6);
}

/// Without friction a turn of the wrench is only lead: T x 2 pi = F P, work in is work out (energy). Friction of 0.02 is the
/// least taken, so two frictions are drawn to nought by a straight line.
#[test]
fn the_pitch_arm_is_work_over_a_turn() {
    let thread = metric(12.0, 1.75);
    let arms = bolts::arms(&thread, Friction { thread: 0.02, head: 0.02 }, millimetres(15.6)).unwrap();
    close(mm(arms.pitch), 1.75 / (2.0 * std::f64::consts::PI), 1e-12);
    let more = bolts::arms(&thread, Friction { thread: 0.04, head: 0.02 }, millimetres(15.6)).unwrap();
    close(mm(arms.thread * 2.0 - more.thread) / mm(arms.pitch), 1.0, 2e-3);
}

/// A 3/8-24 bolt at 10 000 lbf, 205 GPa, all in its stress area over 1.600 in: by hand 10 000 x 1.6 / (0.0878 x 29.7e6) =
/// 0.0061 in; 30-digit 0.00612705618660 in. A stepped one, 0.9 in of 0.310 and 0.4 in of 0.370 and 0.3 in of thread:
/// 0.00641049917731 in, and 0.00128898529999 in more with the allowance (plain Python, sum of L / (A E)).
#[test]
fn stretch_by_hand() {
    let thread = unified(0.375, 24.0);
    let (load, steel) = (Force::from_si(10_000.0 * LBF), Pressure::from_si(205e9));
    let all_thread = stretch::spring(&thread, &[], inches(1.6), steel).unwrap();
    close(inch(stretch::stretch(&thread, &all_thread, load).unwrap().bare), 0.006_127_056, 1e-9);
    let part = |l: f64, d: f64| Plain { length: inches(l), diameter: inches(d) };
    let stepped = stretch::spring(&thread, &[part(0.9, 0.310), part(0.4, 0.370)], inches(0.3), steel).unwrap();
    let found = stretch::stretch(&thread, &stepped, load).unwrap();
    close(inch(found.bare), 0.006_410_499, 1e-9);
    close(inch(found.allowed - found.bare), 0.001_288_985, 1e-9);
}

/// Hooke's law on a plain bar (any textbook): 30 ksi on 30 million psi is one thousandth of the length.
#[test]
fn a_bar_at_a_thousandth() {
    let thread = unified(0.5, 20.0);
    let bar = Plain { length: inches(4.0), diameter: inches(0.5) };
    let spring = stretch::spring(&thread, &[bar], inches(0.0), Pressure::from_si(30_000.0 * KSI)).unwrap();
    let load = 30_000.0 * std::f64::consts::FRAC_PI_4 * 0.25 * LBF;
    close(inch(stretch::stretch(&thread, &spring, Force::from_si(load)).unwrap().bare), 0.004, 1e-12);
    close(stretch::preload(&spring, inches(0.004)).unwrap().bare.si() / load, 1.0, 1e-12);
}

/// M10 x 1.25, 60 mm of 10 mm shank and 15 mm of thread, 20 Nm snug and 60 degrees, joint four times as stiff. Plain Python:
/// snug 10762.830099841822 N, gain (1.25/6) / (sum x 1.25) = 29596.619193698993 N, rigid 47758.60409196556 N.
#[test]
fn torque_then_angle() {
    let thread = metric(10.0, 1.25);
    let shank = Plain { length: millimetres(60.0), diameter: millimetres(10.0) };
    let spring = stretch::spring(&thread, &[shank], millimetres(15.0), Pressure::from_si(205e9)).unwrap();
    let friction = Friction { thread: 0.14, head: 0.14 };
    let snug = bolts::from_torque(&thread, friction, millimetres(13.0), Torque::from_si(20.0)).unwrap().preload;
    close(snug.si(), 10_762.830_099_841_822, 1e-7);
    let turned = stretch::turned(&thread, &spring, snug, Angle::from_si(60_f64.to_radians()), 4.0).unwrap();
    close(turned.gain.si(), 29_596.619_193_698_993, 1e-6);
    close(turned.rigid.si(), 47_758.604_091_965_56, 1e-6);
    // Geometry: a whole turn is one pitch.
    let whole = stretch::turned(&thread, &spring, snug, Angle::from_si(360_f64.to_radians()), 4.0).unwrap();
    close(mm(whole.advance), 1.25, 1e-12);
}

/// Statics, worked by hand: 50 lb-ft with an 18 in wrench and a 2 in adapter is 45 straight on, 46.358 at 45 degrees
/// (50 x 18 / 19.414213562), 50 at a right angle, 56.25 folded back.
#[test]
fn adapters_by_hand() {
    for (degrees, set) in [(0.0, 45.0), (45.0, 46.357_788_18), (90.0, 50.0), (180.0, 56.25)] {
        let sum = tightening::adapted(inches(18.0), inches(2.0), Angle::from_si(f64::to_radians(degrees))).unwrap();
        close(50.0 * sum.ratio, set, 1e-8);
    }
    // Moments about the bolt: the hand's force times its arm is the bolt's torque, times the wrench is what it reads.
    let sum = tightening::adapted(millimetres(450.0), millimetres(60.0), Angle::from_si(0.5)).unwrap();
    close(sum.ratio * sum.arm.si(), Length::si(millimetres(450.0)), 1e-12);
}

/// Common practice: a head of ten from the middle pair out; six and eight bolts on a circle across and across; five as a star.
#[test]
fn orders_of_the_trade() {
    let head = tightening::order(Pattern::Grid { rows: 2, columns: 5 }).unwrap();
    assert_eq!(head, [2, 7, 1, 8, 3, 6, 0, 9, 4, 5]);
    assert_eq!(tightening::order(Pattern::Circle(4)).unwrap(), [0, 2, 1, 3]);
    assert_eq!(tightening::order(Pattern::Circle(8)).unwrap(), [0, 4, 2, 6, 1, 5, 3, 7]);
    assert_eq!(tightening::order(Pattern::Circle(5)).unwrap(), [0, 2, 4, 1, 3]);
    assert_eq!(tightening::order(Pattern::Grid { rows: 1, columns: 5 }).unwrap(), [2, 1, 3, 0, 4]);
}

/// US Army TM 1-1500-204-23-9, figure 8-16: 300 lb-in through 4 in on a 10 in wrench is 214 on the dial. A helicopter's maintenance manual
/// (standard practices): 135 lb-in through 1.5 in on 10 in is 117.39, and 158.82 with the adapter folded back.
#[test]
fn adapters_of_published_manuals() {
    for (torque, length, reach, degrees, dial, half) in [
        (300.0, 10.0, 4.0, 0.0, 214.0, 0.5),
        (135.0, 10.0, 1.5, 0.0, 117.39, 0.005),
        (135.0, 10.0, 1.5, 180.0, 158.82, 0.005),
    ] {
        let angle = Angle::from_si(f64::to_radians(degrees));
        close(torque * tightening::adapted(inches(length), inches(reach), angle).unwrap().ratio, dial, half);
    }
    // US Navy NAVEDTRA 14008: at a right angle the value does not change.
    let square = tightening::adapted(inches(12.0), inches(3.0), Angle::from_si(std::f64::consts::FRAC_PI_2)).unwrap();
    close(square.ratio, 1.0, 1e-12);
}

/// An engineering reference's worked bolt: 7/8-9, stress area 0.46 in^2, 10 000 lbf over 5 in at 30 million psi: 0.0036 in. On its nine
/// threads an inch the nut must turn 0.0036 x 9 x 360 = 11.7 degrees for that, and more as the joint gives.
#[test]
fn the_stretch_of_a_worked_bolt() {
    let thread = unified(0.875, 9.0);
    close(thread.stress_area().get::<square_inch>(), 0.46, 0.005);
    let spring = stretch::spring(&thread, &[], inches(5.0), Pressure::from_si(30_000.0 * KSI)).unwrap();
    let load = Force::from_si(10_000.0 * LBF);
    let found = stretch::stretch(&thread, &spring, load).unwrap();
    close(inch(found.bare), 0.0036, 5e-5);
    let snug = Force::from_si(1000.0 * LBF);
    let turn = Angle::from_si(11.7_f64.to_radians());
    let turned = stretch::turned(&thread, &spring, snug, turn, 5.0).unwrap();
    close(inch(turned.advance), 0.0036, 5e-5);
    close(inch(turned.stretch), 0.0036 * 5.0 / 6.0, 5e-5);
}
