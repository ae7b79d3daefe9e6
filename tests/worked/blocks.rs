use gudgeon::maths::blocks::{one_size, stock, stock_for};
use gudgeon::maths::materials::material;
use gudgeon::maths::sleeves::{Part, sleeve};
use gudgeon::quantity::{Length, Measure, Temperature, inches, millimetres};

use super::{close, inch, mm};

fn inch_steps() -> Vec<Length> {
    [0.020, 0.030, 0.040, 0.060].map(inches).to_vec()
}

/// By hand: worst 4.0125 + 0.004 = 4.0165 (worn centre, 0.020 over); 4.000 + 2 x 0.0125 + 0.004 = 4.029 (original, 0.030 over).
/// Without that bore 4.0071 + 0.004 = 4.0111: 0.020 over as well.
#[test]
fn the_worst_bore_decides() {
    let readings = [4.0062, 4.0071, 4.0125, 4.0058].map(inches);
    let found = one_size(&readings, inches(4.0), inches(0.004), inches(4.0), &inch_steps()).unwrap();
    assert_eq!(found.worst, 2);
    close(inch(found.worn.needs), 4.0165, 1e-12);
    close(inch(found.worn.first.unwrap().step), 0.020, 1e-12);
    close(inch(found.worn.first.unwrap().spare), 0.0035, 1e-12);
    close(inch(found.worn.runner_up.unwrap().step), 0.030, 1e-12);
    close(inch(found.original.needs), 4.029, 1e-12);
    close(inch(found.original.first.unwrap().step), 0.030, 1e-12);
    close(inch(found.without_worst.unwrap().first.unwrap().step), 0.020, 1e-12);
}

/// Common practice, as workshop manuals print it (from memory): a bore worn 0.006 in on one wall needs 0.012 in before the last
/// mark goes on the original centre.
#[test]
fn six_thou_of_one_wall_needs_twelve() {
    let found = one_size(&[inches(4.006)], inches(4.0), inches(0.0), inches(4.0), &inch_steps()).unwrap();
    close(inch(found.original.needs), 4.012, 1e-12);
    assert!(found.without_worst.is_none());
}

/// By hand, metric: 86.08 + 0.08 = 86.16, so 0.25 over; 86 + 2 x 0.08 + 0.08 = 86.24, 0.25 over too with 0.01 to spare.
#[test]
fn both_ways_agree_on_a_little_worn_block() {
    let readings = [86.05, 86.08, 86.06].map(millimetres);
    let steps = [0.25, 0.50, 1.00].map(millimetres);
    let found = one_size(&readings, millimetres(86.0), millimetres(0.08), millimetres(86.0), &steps).unwrap();
    close(mm(found.worn.first.unwrap().step), 0.25, 1e-9);
    close(mm(found.original.first.unwrap().step), 0.25, 1e-9);
    close(mm(found.original.first.unwrap().spare), 0.01, 1e-9);
}

/// By hand: 4.0262 + 0.0045 = 4.0307; less 4.0255 is 0.0052. 4.0266 + 0.0045 - 4.0257 = 0.0054. 4.0263 + 0.0045 - 4.0254 = 0.0054.
#[test]
fn each_bore_to_its_own_piston() {
    let bores = [4.0255, 4.0257, 4.0254].map(inches);
    let found = stock_for(&bores, &[4.0262, 4.0266, 4.0263].map(inches), inches(0.0045)).unwrap();
    for (stock, (target, left)) in found.iter().zip([(4.0307, 0.0052), (4.0311, 0.0054), (4.0308, 0.0054)]) {
        close(inch(stock.target), target, 1e-12);
        close(inch(stock.left), left, 1e-12);
    }
}

/// By hand: targets less bores, one of them 0.0002 in past. Common practice: 0.003 to 0.005 in is left for the hone, which
/// 4.0310 - 4.0270 = 0.004 is in the middle of.
#[test]
fn one_target_for_all() {
    let found = stock(&[4.0310, 4.0304, 4.0270].map(inches), &[inches(4.0308)]).unwrap();
    close(inch(found[0].left), -0.0002, 1e-12);
    close(inch(found[1].left), 0.0004, 1e-12);
    close(inch(found[2].left), 0.0038, 1e-12);
    assert!(found[0].now.is_none());
}

fn part(size: Length, celsius: f64, metal: &str) -> Part {
    let expansion = material(metal).unwrap().expansion;
    Part { size, temperature: Temperature::from_si(celsius + 273.15), expansion }
}

/// Linear expansion, grey iron at 11.4 millionths (Callister, table B.6), Python decimal:
/// 20 + ((4.1905 + 0.002) / 4.1880 - 1) / 11.4e-6 = 114.254260292565 C, and
/// 20 + ((4.1880 - 0.002) / 4.1905 - 1) / 11.4e-6 = -74.1980293772254 C.
#[test]
fn a_sleeve_two_and_a_half_thou_tight() {
    let found = sleeve(part(inches(4.1880), 20.0, "cast-iron"), part(inches(4.1905), 20.0, "cast-iron"), inches(0.002))
        .unwrap();
    close(inch(found.interference), 0.0025, 1e-12);
    close(inch(found.to_gain), 0.0045, 1e-12);
    close(found.block.si() - 273.15, 114.254_260_292_565, 1e-7);
    close(found.chilled.unwrap().si() - 273.15, -74.198_029_377_225_4, 1e-7);
}

/// Python decimal: the sleeve at -70 C is 92.06 x (1 - 90 x 11.4e-6) mm; the block then drops it in at 34.8230739893211 C.
#[test]
fn chilled_and_warmed_together() {
    let found = sleeve(
        part(millimetres(92.0), 20.0, "cast-iron"),
        part(millimetres(92.06), -70.0, "cast-iron"),
        millimetres(0.05),
    )
    .unwrap();
    close(found.block.si() - 273.15, 34.823_073_989_321_1, 1e-7);
}

/// Machinists' rule (common practice, from memory): iron and steel grow about 0.0000065 in an inch for each degree F, so 100 F opens
/// a 4 in hole by 0.0026 in. 11.4e-6 a kelvin is 6.33e-6 a degree F.
#[test]
fn the_rule_of_six_and_a_half_millionths() {
    let found =
        sleeve(part(inches(4.0), 20.0 + 100.0 / 1.8, "cast-iron"), part(inches(4.0), 20.0, "cast-iron"), inches(0.0))
            .unwrap();
    close(inch(found.clearance_now), 0.0026, 0.0001);
}

/// A published workshop data sheet for a light-alloy V8: rebore pistons of 94.478 to 94.493 mm, bore 94.508 mm, clearance 0.030 mm at
/// the most. The smallest piston takes the largest clearance, the largest half of it.
#[test]
fn a_rebore_of_a_data_sheet() {
    for (piston, clearance) in [(94.478, 0.030), (94.493, 0.015)] {
        let found = stock_for(&[millimetres(94.49)], &[millimetres(piston)], millimetres(clearance)).unwrap();
        close(mm(found[0].target), 94.508, 1e-9);
    }
}

/// Several workshop manuals print bored diameter = piston + clearance - 0.02 mm for the hone: so bored, 0.02 mm is left.
#[test]
fn two_hundredths_for_the_hone() {
    let (piston, clearance) = (78.460, 0.030);
    let bored = millimetres(piston + clearance - 0.02);
    let found = stock_for(&[bored], &[millimetres(piston)], millimetres(clearance)).unwrap();
    close(mm(found[0].left), 0.02, 1e-9);
}

/// Workshop manuals: the oversize is chosen by the cylinder with the largest bore, and no cylinder is bored alone.
#[test]
fn the_largest_bore_chooses_for_all() {
    let steps = [0.25, 0.50].map(millimetres);
    let of = |bores: &[f64]| {
        let bores: Vec<Length> = bores.iter().map(|b| millimetres(*b)).collect();
        let found = one_size(&bores, millimetres(86.7), millimetres(0.02), millimetres(86.7), &steps).unwrap();
        mm(found.worn.first.unwrap().step)
    };
    close(of(&[86.71, 86.95, 86.72, 86.70]), 0.50, 1e-9);
    close(of(&[86.95]), 0.50, 1e-9);
    close(of(&[86.71, 86.72, 86.70]), 0.25, 1e-9);
}

/// A college physics exercise, answer printed: an aluminium ring (25 millionths) of 59.88 mm at 21 degrees C, to slip over a 60.19 mm
/// rod with 0.05 mm to spare, is heated by 240.5 degrees. Sizes here hold at 20 degrees C, so it is 260.5 degrees C.
#[test]
fn the_ring_and_rod_of_a_physics_exercise() {
    let part = |size| Part { size: millimetres(size), temperature: Temperature::from_si(293.15), expansion: 25e-6 };
    // 60.19 is 0.52 per cent over 59.88, past what is believed of a sleeve: a tenth of both gaps has the answer of the whole, / 10.
    let found = sleeve(part(59.88), part(59.88 + 0.031), millimetres(0.005)).unwrap();
    close((found.block.si() - 293.15) * 10.0, 240.5, 0.05);
}
