use gudgeon::maths::materials::material;
use gudgeon::maths::ring_fit::{Hot, back, cold_gap, other_ring, side};
use gudgeon::quantity::{Length, Measure, Temperature, inches, millimetres};

use super::{close, inch, mm};

fn celsius(t: f64) -> Temperature {
    Temperature::from_si(t + 273.15)
}

fn hot(t: f64, metal: &str) -> Hot {
    Hot { temperature: celsius(t), expansion: material(metal).unwrap().expansion }
}

/// Linear expansion, grey iron at 11.4 millionths (Callister, table B.6): ring 230 K up, bore 100 K up, 4.030 in:
/// pi x 4.030 x 11.4e-6 x 130 + 0.002 = 0.0207630364598589 in (Python decimal, 40 digits).
#[test]
fn an_iron_ring_in_an_iron_bore() {
    let found = cold_gap(inches(4.030), celsius(20.0), hot(250.0, "cast-iron"), hot(120.0, "cast-iron"), inches(0.002))
        .unwrap();
    close(inch(found.smallest), 0.020_763_036_459_858_9, 1e-12);
    close(found.per_bore, 0.020_763_036_459_858_9 / 4.030, 1e-12);
}

/// pi x 102.36 x (11.7e-6 x 280 - 11.4e-6 x 70) = 0.796858944725156 mm (Python decimal): each metal at its own heat.
#[test]
fn a_steel_ring_in_an_iron_bore() {
    let found =
        cold_gap(millimetres(102.36), celsius(20.0), hot(300.0, "steel"), hot(90.0, "cast-iron"), millimetres(0.0))
            .unwrap();
    close(mm(found.closing.closing), 0.796_858_944_725_156, 1e-10);
}

/// Common practice, not computed by us: the factor of 0.004 in an inch for light road use keeps rings from butting. An iron
/// ring would have to run some 112 K above its iron bore to close that: 0.004 / (pi x 11.4e-6) = 111.7 K.
#[test]
fn the_road_factor_closes_at_a_hundred_and_twelve_kelvin() {
    let rise = 0.004 / (std::f64::consts::PI * 11.4e-6);
    close(rise, 111.7, 0.05);
    let found =
        cold_gap(inches(4.0), celsius(20.0), hot(100.0 + rise, "cast-iron"), hot(100.0, "cast-iron"), inches(0.0))
            .unwrap();
    close(found.per_bore, 0.004, 1e-12);
}

/// Common practice: a file-fit ring 0.005 in over, 0.018 in at its nominal: 0.018 - 0.005 pi = 0.00229203673205103 in.
/// Common practice also says that a ring 0.005 over has about 0.015 in more to file.
#[test]
fn a_file_fit_ring_five_over() {
    let found = other_ring(inches(4.030), inches(4.035), inches(0.018)).unwrap();
    close(inch(found.gap), 0.002_292_036_732_051_03, 1e-12);
    close(-inch(found.change), 0.015, 0.001);
    // Its ends overlap where the gap was smaller than that.
    assert!(other_ring(inches(4.030), inches(4.035), inches(0.015)).unwrap().gap.si() < 0.0);
}

/// By hand: 0.46 + pi x (102.362 - 101.6) = 2.85389360203542 mm.
#[test]
fn a_standard_ring_in_a_bore_thirty_over() {
    let found = other_ring(millimetres(102.362), millimetres(101.6), millimetres(0.46)).unwrap();
    close(mm(found.gap), 2.853_893_602_035_42, 1e-9);
}

/// By hand: grooves 0.0805 and 0.0807, rings 0.0780 and 0.0781: 0.0024 to 0.0027 in, inside the 0.0015 to 0.004 in of
/// common practice.
#[test]
fn the_tightest_ring_in_the_tightest_place() {
    let found = side(&[0.0805, 0.0807].map(inches), &[0.0780, 0.0781].map(inches)).unwrap();
    close(inch(found.smallest), 0.0024, 1e-12);
    close(inch(found.largest), 0.0027, 1e-12);
    // A ring wider than its groove is a finding.
    close(inch(side(&[inches(0.0780)], &[inches(0.0781)]).unwrap().smallest), -0.0001, 1e-12);
}

/// Nominal ring sizes of ISO 6622-1 practice (from memory): a 1.5 mm ring in a groove of 1.53 to 1.55 mm.
#[test]
fn a_metric_ring_in_its_groove() {
    let found = side(&[1.53, 1.55].map(millimetres), &[1.478, 1.490].map(millimetres)).unwrap();
    close(mm(found.smallest), 0.040, 1e-12);
    close(mm(found.largest), 0.072, 1e-12);
}

/// By hand: (4.030 - 3.640) / 2 - 0.180 = 0.015 in a side, 0.030 in on diameter.
#[test]
fn room_behind_a_ring() {
    let found = back(inches(4.030), inches(3.640), inches(0.180)).unwrap();
    close(inch(found.room), 0.195, 1e-12);
    close(inch(found.per_side), 0.015, 1e-12);
    close(inch(found.on_diameter), 0.030, 1e-12);
}

/// By hand: (86 - 78.6) / 2 - 3.4 = 0.3 mm; the depth is near bore / 22 to 25 as rings are (SAE D-wall, from memory: bore / 22).
#[test]
fn room_behind_a_metric_ring() {
    let found = back(millimetres(86.0), millimetres(78.6), millimetres(3.4)).unwrap();
    close(mm(found.per_side), 0.3, 1e-12);
    let d_wall = Length::from_si(0.086 / 22.0);
    assert!(
        back(millimetres(86.0), millimetres(86.0 - 2.0 * 86.0 / 22.0), d_wall).unwrap().per_side.si().abs() < 1e-15
    );
}

/// A college physics exercise, answer printed: an aluminium ring (25 millionths) of 59.88 mm at 21 degrees C takes a rise of
/// 240.5 degrees to grow by 0.36 mm across. Its ends, butted in a bore that stays cold, must part by pi x 0.36 mm = 1.131 mm.
#[test]
fn the_ring_of_a_physics_exercise() {
    let part = |rise: f64| Hot { temperature: celsius(21.0 + rise), expansion: 25e-6 };
    let found = cold_gap(millimetres(59.88), celsius(21.0), part(240.5), part(0.0), millimetres(0.0)).unwrap();
    close(mm(found.smallest), 1.131, 0.0005);
}

/// US Army TM 5-6115-593-34, table 1-2: 0.003 in (0.08 mm) of gap for each 0.001 in of bore.
#[test]
fn a_worn_liner_and_its_ring() {
    let found = other_ring(inches(5.501), inches(5.500), inches(0.020)).unwrap();
    close(inch(found.change), 0.003, 0.0005);
    close(mm(found.change), 0.08, 0.005);
}

/// US Army TM 5-6115-584-34, table 1-2: grooves of 0.097 in (top) and 0.0965 in (second and third) at the least go with side
/// clearances of 0.0035 and 0.0030 in at the least, and 0.0975 in with 0.0050 in at the most: all of 3/32 in rings, made 0.0925 to
/// 0.0935 in wide. (The top groove's 0.0075 in at the most fits no such ring, and is not used.)
#[test]
fn rings_of_an_army_table() {
    let widths = [0.0925, 0.0935].map(inches);
    close(inch(side(&[inches(0.097)], &widths).unwrap().smallest), 0.0035, 5e-5);
    let second = side(&[0.0965, 0.0975].map(inches), &widths).unwrap();
    close(inch(second.smallest), 0.0030, 5e-5);
    close(inch(second.largest), 0.0050, 5e-5);
}

/// Definition, as a diesel workshop manual gives it: groove width is ring width and side clearance added together.
#[test]
fn a_groove_from_its_ring_and_feeler() {
    let found = side(&[millimetres(2.0 + 0.05)], &[millimetres(2.0)]).unwrap();
    close(mm(found.smallest), 0.05, 1e-12);
}

/// A ring maker's service note: pushed home in its groove, no part of a ring may stand out past the land. One that is just flush, 0.175 in
/// deep in a groove from a 3.990 in land to a 3.640 in root, has behind it what the land has in the bore: (4.030 - 3.990)/2 =
/// 0.020 in a side.
#[test]
fn a_ring_flush_with_its_land() {
    let flush = back(inches(4.030), inches(3.640), inches((3.990 - 3.640) / 2.0)).unwrap();
    close(inch(flush.per_side), 0.020, 1e-12);
    // The note asks for 0.015 in at least behind an oil ring, which is met by one 0.180 in deep and by none deeper.
    close(inch(back(inches(4.030), inches(3.640), inches(0.180)).unwrap().per_side), 0.015, 1e-12);
}
