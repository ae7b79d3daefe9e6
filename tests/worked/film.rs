use gudgeon::maths::film::{Bearing, chart, film};
use gudgeon::maths::oil::{self, Sheet};
use gudgeon::quantity::{Force, Measure, Number, Temperature, Turning, Viscosity, inches};

use super::{close, inch};

/// Shigley, Mechanical Engineering Design, the worked example on minimum film (from memory): r 0.75 in, c 0.0015 in,
/// l 1.5 in, 500 lbf, 30 turns a second, 4 microreyn: P = 222 psi, S = 0.135, l/d = 1, h0/c = 0.42 read off the chart, so
/// h0 = 0.00063 in and eccentricity ratio 0.58. One reyn is one lbf s/in^2 = 6894.757 293 168 Pa s.
#[test]
fn the_example_of_the_textbook() {
    let found = film(&Bearing {
        journal: inches(1.5),
        length: inches(1.5),
        clearance: inches(0.003),
        load: Force::from_si(500.0 * 4.448_221_615_260_5),
        speed: Turning::from_si(30.0 * std::f64::consts::TAU),
        viscosity: Viscosity(4e-6 * 6_894.757_293_168),
    })
    .unwrap();
    close(found.pressure.si() / 6_894.757_293_168, 222.2, 0.05);
    close(found.sommerfeld, 0.135, 0.0005);
    close(inch(found.radial_clearance), 0.0015, 1e-12);
    // A chart is read to a hundredth.
    close(found.relative, 0.42, 0.01);
    close(inch(found.thinnest), 0.000_63, 0.000_015);
    close(found.eccentricity, 0.58, 0.01);
}

/// Raimondi and Boyd's tabulated points for the full bearing (from memory): a spot check that each line is on its own l/d.
#[test]
fn the_tabulated_points() {
    for (s, ratio, film) in
        [(0.121, 1.0, 0.4), (0.264, 1.0, 0.6), (0.319, 0.5, 0.4), (0.0923, 0.5, 0.2), (1.07, 0.25, 0.4)]
    {
        close(chart(s, ratio).unwrap(), film, 1e-9);
    }
}

/// A finite-difference solution of the Reynolds equation (numpy; 360 or 480 x 49 nodes on half the bearing, successive
/// over-relaxation with negative pressures set to nothing at each sweep), S from the load it carries:
/// d/dt(H^3 dp/dt) + (d/l)^2/4 d/dz(H^3 dp/dz) = 6 dH/dt, H = 1 + e cos t, S = 1 / (pi W).
/// Points on the chart's lines between its own, and lines between the chart's.
#[test]
fn between_the_points_as_the_reynolds_equation_has_it() {
    for (ratio, eccentricity, s) in [
        (1.0, 0.575, 0.134_242),
        (1.0, 0.3, 0.386_764),
        (0.5, 0.5, 0.510_588),
        (0.5, 0.7, 0.185_347),
        (0.3, 0.7, 0.424_994),
        (0.75, 0.5, 0.267_384),
        (0.375, 0.85, 0.083_147),
        (0.35, 0.93, 0.026_436),
    ] {
        let found = chart(s, ratio).unwrap();
        close(found, 1.0 - eccentricity, 0.012);
    }
}

/// A published worksheet for ASTM D341: an oil of 32 mm²/s at 40 °C and 5.4 at 100 °C has 8.5 at 80 °C.
#[test]
fn the_viscosity_of_a_data_sheet_at_another_temperature() {
    let sheet = Sheet { at_40: Number(32.0), at_100: Number(5.4), density: Number(0.87) };
    let oil = oil::at(&sheet, Temperature::from_si(353.15)).unwrap();
    assert!((oil.kinematic - 8.5).abs() < 0.05, "{}", oil.kinematic);
    // By hand: 0.87 - 0.00064 x 65 = 0.8284 g/cm³.
    assert!((oil.density - 0.8284).abs() < 1e-12);
    assert!((oil.viscosity.si() * 1e3 / oil.kinematic - 0.8284).abs() < 1e-12);
}
