use std::f64::consts::PI;

use gudgeon::maths::slider::Slider;
use gudgeon::maths::valve_gap::{Lobe, Row, estimate, table};
use gudgeon::quantity::{Angle, Measure, inches};

use super::{close, inch};

fn degrees(d: f64) -> Angle {
    Angle::from_si(d.to_radians())
}

/// By hand: 112 98 94 98 thou of clearance; the middle three, 5 degrees apart, are even about -10, so the low is there.
#[test]
fn a_table_by_hand() {
    let rows = [(-20.0, 0.280, 0.168), (-15.0, 0.238, 0.140), (-10.0, 0.208, 0.114), (-5.0, 0.190, 0.092)];
    let rows = rows.map(|(a, d, l)| Row { angle: degrees(a), drop: inches(d), lift: inches(l) });
    let sum = table(&rows).unwrap();
    assert!(sum.smallest == 2 && !sum.at_end);
    close(inch(sum.gaps[2].clearance), 0.094, 1e-12);
    let between = sum.between.unwrap();
    close(inch(between.clearance), 0.094, 1e-12);
    close(between.angle.si().to_degrees(), -10.0, 1e-9);
}

/// Exact: readings off y = 0.1 + (x - 9.3)^2/1000 at uneven angles give back its low, 0.1 at 9.3.
#[test]
fn a_parabola_gives_itself_back() {
    let rows = [2.0, 7.0, 12.0, 20.0_f64].map(|x| Row {
        angle: degrees(x),
        drop: inches(0.2 + (x - 9.3).powi(2) / 1000.0),
        lift: inches(0.1),
    });
    let between = table(&rows).unwrap().between.unwrap();
    close(inch(between.clearance), 0.1, 1e-12);
    close(between.angle.si().to_degrees(), 9.3, 1e-9);
}

type Rise = fn(f64) -> f64;

/// Standard rises of cam design, 0 to 1 (Norton, Cam Design and Manufacturing Handbook, from memory): 3-4-5 and 4-5-6-7
/// polynomials, cycloidal, simple harmonic. Nose to seat in 150 degrees of crank, half an inch of lift.
const RISES: [(&str, Rise); 4] = [
    ("3-4-5", |u| 10.0 * u.powi(3) - 15.0 * u.powi(4) + 6.0 * u.powi(5)),
    ("4-5-6-7", |u| 35.0 * u.powi(4) - 84.0 * u.powi(5) + 70.0 * u.powi(6) - 20.0 * u.powi(7)),
    ("cycloidal", |u| u - (2.0 * PI * u).sin() / (2.0 * PI)),
    ("harmonic", |u| (1.0 - (PI * u).cos()) / 2.0),
];

/// The lobe as its card would tell it, from the true rise.
fn card(rise: Rise) -> Lobe {
    let (mut near, mut far) = (0.0, 150.0);
    for _ in 0..100 {
        let middle = (near + far) / 2.0;
        if 0.5 * rise(1.0 - middle / 150.0) > 0.075 { near = middle } else { far = middle }
    }
    Lobe {
        lift: inches(0.5),
        checked: inches(0.075),
        duration: degrees(2.0 * near),
        seat: degrees(300.0),
        centre: degrees(108.0),
    }
}

#[test]
fn the_drawn_lift_is_never_short_of_a_standard_lobe_round_overlap() {
    for (name, rise) in RISES {
        let lobe = card(rise);
        for from_nose in 75..=150 {
            let from_nose = f64::from(from_nose);
            let truth = 0.5 * rise(1.0 - from_nose / 150.0);
            let drawn = inch(lobe.at(degrees(108.0 - from_nose)));
            assert!(drawn >= truth - 1e-9, "{name}: {drawn} for {truth}, {from_nose} from the nose");
            assert!(drawn <= truth + 0.06, "{name}: {drawn} for {truth}, {from_nose} from the nose");
        }
    }
}

/// The same lobes put through the whole sum beside a scan of the true curve: the estimate is at most 0.06 in small, never large.
#[test]
fn an_estimate_errs_to_the_safe_side() {
    let slider = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
    let (r, l) = (1.74_f64, 5.7_f64);
    for (name, rise) in RISES {
        let said = inch(estimate(&slider, &card(rise), inches(0.25), degrees(15.0)).unwrap().smallest.clearance);
        let truth = (-400..=400)
            .map(|n| {
                let d = f64::from(n) / 10.0;
                let t = d.to_radians();
                let drop = r + l - r * t.cos() - (l * l - (r * t.sin()).powi(2)).sqrt();
                let lift = 0.5 * rise((1.0 - (d - 108.0).abs() / 150.0).max(0.0));
                0.25 + drop * 15.0_f64.to_radians().cos() - lift
            })
            .fold(f64::INFINITY, f64::min);
        assert!(said <= truth + 1e-9 && said >= truth - 0.06, "{name}: {said} for {truth}");
    }
}

/// Common practice: the intake is closest 5 to 15 degrees after top and the exhaust as far before it.
#[test]
fn closest_where_the_bench_finds_it() {
    let slider = Slider::new(inches(3.48), inches(5.7), inches(0.0)).unwrap();
    for sign in [1.0, -1.0] {
        let lobe = Lobe {
            lift: inches(0.5),
            checked: inches(0.075),
            duration: degrees(230.0),
            seat: degrees(290.0),
            centre: degrees(sign * 108.0),
        };
        let found = estimate(&slider, &lobe, inches(0.23), degrees(20.0)).unwrap().smallest.angle.si().to_degrees();
        assert!((5.0..=15.0).contains(&(found * sign)), "{found}");
    }
}
