//! Inputs that a shop would meet, and some it would not.

use gudgeon::drawing::bolt_order::{self, BoltOrder, Layout};
use gudgeon::drawing::bore_map::{self, BoreMap, Finding};
use gudgeon::drawing::clearance_strip::{self, ClearanceStrip};
use gudgeon::drawing::curves::{self, Curves, Panel, Spot};
use gudgeon::drawing::engine_map::{self, EngineMap, Fitted};
use gudgeon::drawing::gap_bars::{self, Bar, GapBars};
use gudgeon::drawing::matrix::{self, Matrix, Row};
use gudgeon::drawing::orientation::{self, Facing, Orientation, Pin, Toward};
use gudgeon::drawing::plan::{Banks, Cylinders, Rotation};
use gudgeon::drawing::ring_clock::{self, Gap, Ring, RingClock};
use gudgeon::drawing::runout_polar::{self, RunoutPolar};
use gudgeon::drawing::scale_rows::{self, ScaleRows};
use gudgeon::drawing::stages::{self, Stages};
use gudgeon::drawing::{End, Figure, Mark, Side};
use gudgeon::quantity::{Angle, Dimension, Length, Measure, System, inches, millimetres};

pub const LONG: &str = "Compression measured at the third attempt after the honing, with a torque plate fitted & <hot>";

/// Every sample with a name for its picture.
pub fn all() -> Vec<(String, Figure)> {
    let mut all = Vec::new();
    all.extend(bolt_orders());
    all.extend(bores());
    all.extend(strips());
    all.extend(gaps());
    all.extend(turns());
    all.extend(clocks());
    all.extend(runouts());
    all.extend(orientations());
    all.extend(maps());
    all.extend(matrices());
    all.extend(boards());
    all.extend(scales());
    all
}

fn named(name: &str, figure: Figure) -> (String, Figure) {
    (name.to_owned(), figure)
}

fn bolt_orders() -> Vec<(String, Figure)> {
    let order = |layout, stages: &[&str]| {
        let heading = "10 bolts: from the middle outwards".into();
        bolt_order::draw(&BoltOrder { heading, layout, stages: stages.iter().map(|s| (*s).to_owned()).collect() })
    };
    let three = ["stage 1: 40 %, 26.0 lb-ft (35.3 Nm)", "stage 2: 70 %", "stage 3: 100 %"];
    let grid = |rows: u32, columns: u32| {
        Layout::Rows((0..rows).map(|row| (1..=columns).map(|column| row * columns + column).collect()).collect())
    };
    let circle = |bolts: u32| Layout::Circle((1..=bolts).collect());
    let mut list = vec![
        named("order-head", order(grid(2, 5), &three)),
        named("order-one-row", order(grid(1, 5), &three)),
        named("order-most", order(grid(6, 16), &[LONG, "", LONG])),
        named("order-ragged", order(Layout::Rows(vec![vec![1, 2, 3], vec![4]]), &[])),
        named("order-none", order(Layout::Rows(Vec::new()), &[])),
    ];
    for bolts in [0, 1, 3, 5, 8, 12, 24, 36] {
        list.push((format!("order-circle-{bolts}"), order(circle(bolts), &three)));
    }
    list
}

pub fn bore(readings: [[f64; 2]; 3], system: System, nominal: Option<f64>) -> BoreMap {
    let length = |value: f64| if system == System::Inch { inches(value) } else { millimetres(value) };
    BoreMap {
        heading: "Cylinder 3: bore".into(),
        system,
        readings: readings.map(|row| row.map(length)),
        nominal: nominal.map(length),
        findings: vec![
            Finding { words: "out-of-round 0.0005 in (0.013 mm)".into(), mark: Some(Mark::Marginal) },
            Finding { words: "taper 0.0011 in (0.028 mm), limit 0.0005 in (0.013 mm)".into(), mark: Some(Mark::Out) },
            Finding { words: "next oversize that cleans up: 0.030 over".into(), mark: None },
        ],
    }
}

fn bores() -> Vec<(String, Figure)> {
    let worn = [[4.0316, 4.0311], [4.0308, 4.0307], [4.0305, 4.0305]];
    let mut wild = bore([[1e9, -1e9], [0.0, 1e-12], [5.0, 4.0]], System::Metric, None);
    wild.heading = LONG.into();
    vec![
        named("bore", bore_map::draw(&bore(worn, System::Inch, None))),
        named(
            "bore-metric",
            bore_map::draw(&bore(
                [[102.375, 102.36], [102.36, 102.355], [102.35, 102.3525]],
                System::Metric,
                Some(102.362),
            )),
        ),
        named("bore-level", bore_map::draw(&bore([[4.03; 2]; 3], System::Inch, None))),
        named("bore-wild", bore_map::draw(&wild)),
    ]
}

/// A main oil clearance in thou against 1.5 to 2.5.
pub fn strip(reading: f64, min: Option<f64>, max: Option<f64>, mark: Mark) -> ClearanceStrip {
    let thou = 2.54e-5;
    ClearanceStrip {
        heading: "Main 3: oil clearance".into(),
        dimension: Dimension::Length,
        system: System::Inch,
        reading: reading * thou,
        uncertainty: 0.1 * thou,
        min: min.map(|v| v * thou),
        max: max.map(|v| v * thou),
        mark,
    }
}

/// Ring gaps in thou, one a cylinder, against 20.2 to 24.2.
pub fn gap_set(gaps: &[(&str, f64, Mark, &str)], max: Option<f64>) -> GapBars {
    let bars = gaps.iter().map(|(label, gap, mark, words)| Bar {
        label: (*label).into(),
        gap: inches(gap / 1000.0),
        mark: *mark,
        words: (*words).into(),
    });
    GapBars {
        heading: "Top ring gaps by cylinder".into(),
        system: System::Inch,
        bars: bars.collect(),
        min: inches(0.0202),
        max: max.map(|thou| inches(thou / 1000.0)),
    }
}

fn gaps() -> Vec<(String, Figure)> {
    let short = ("1", 17.0, Mark::Out, "file 0.0032 in");
    let right = ("2", 22.0, Mark::Within, "leave");
    let wide = ("3", 27.5, Mark::Out, "0.0033 in too wide");
    let rails: Vec<_> =
        (0..48).map(|at| if at % 2 == 0 { ("12 upper", 17.0, Mark::Out, "file 0.0032 in") } else { right }).collect();
    let wild =
        [(LONG, -5.0, Mark::NoLimit, LONG), ("", f64::NAN, Mark::Marginal, ""), ("<&>", 1e9, Mark::Out, "\"&\"")];
    let mut long = gap_set(&wild, Some(f64::INFINITY));
    long.heading = LONG.into();
    vec![
        named("gaps", gap_bars::draw(&gap_set(&[short, right, wide], Some(24.2)))),
        named("gaps-no-end", gap_bars::draw(&gap_set(&[short, right], None))),
        named("gaps-one", gap_bars::draw(&gap_set(&[("1", 0.0, Mark::Out, "file 0.0202 in")], Some(24.2)))),
        named("gaps-rails", gap_bars::draw(&gap_set(&rails, Some(55.0)))),
        named("gaps-none", gap_bars::draw(&gap_set(&[], Some(24.2)))),
        named("gaps-wild", gap_bars::draw(&long)),
    ]
}

fn strips() -> Vec<(String, Figure)> {
    let (min, max) = (Some(1.5), Some(2.5));
    let mut list = vec![
        named("strip-within", clearance_strip::draw(&strip(2.0, min, max, Mark::Within))),
        named("strip-marginal", clearance_strip::draw(&strip(2.45, min, max, Mark::Marginal))),
        named("strip-out", clearance_strip::draw(&strip(2.8, min, max, Mark::Out))),
        named("strip-far", clearance_strip::draw(&strip(40.0, min, max, Mark::Out))),
        named("strip-far-below", clearance_strip::draw(&strip(-40.0, min, max, Mark::Out))),
        named("strip-only-min", clearance_strip::draw(&strip(22.0, Some(18.0), None, Mark::Within))),
        named("strip-only-max", clearance_strip::draw(&strip(0.3, None, Some(0.5), Mark::Within))),
        named("strip-none", clearance_strip::draw(&strip(0.3, None, None, Mark::NoLimit))),
        named("strip-empty-band", clearance_strip::draw(&strip(2.0, Some(2.0), Some(2.0), Mark::Marginal))),
        named("strip-crossed", clearance_strip::draw(&strip(2.0, Some(3.0), Some(1.0), Mark::Out))),
        named("strip-huge", clearance_strip::draw(&strip(1e12, Some(-1e12), Some(1e12), Mark::Within))),
    ];
    for (dimension, reading, max) in
        [(Dimension::Pressure, 4.1e5, 5.5e5), (Dimension::Torque, 40.0, 60.0), (Dimension::Share, 0.08, 0.2)]
    {
        let mut input = strip(0.0, None, None, Mark::Within);
        (input.dimension, input.reading, input.uncertainty, input.max) = (dimension, reading, 0.0, Some(max));
        input.heading = LONG.into();
        list.push((format!("strip-{}", dimension.one()), clearance_strip::draw(&input)));
    }
    list
}

/// A panel over a turn.
pub fn panel(name: &str, unit: &str, of: impl Fn(f64) -> f64) -> Panel {
    Panel {
        name: name.into(),
        unit: unit.into(),
        decimals: 2,
        points: (0..=72).map(|n| (f64::from(5 * n), of(f64::from(5 * n)))).collect(),
        dotted: false,
        limit: None,
        spots: Vec::new(),
    }
}

fn turns() -> Vec<(String, Figure)> {
    let curves = |heading: &str, panels: Vec<Panel>| Curves {
        heading: heading.into(),
        along: "degrees after top dead centre".into(),
        panels,
    };
    let wave = |d: f64| d.to_radians().sin();
    let mut speed = panel("Speed, down positive", "ft/min", |d| 4300.0 * wave(d));
    speed.spots = vec![Spot { x: 90.0, y: 4300.0, words: "down 4300 ft/min at 90.0°".into() }];
    let mut gap = panel("Clearance along the valve", "in", |d| 0.094 + (d / 360.0 - 0.5).powi(2));
    (gap.dotted, gap.limit) = (true, Some(0.1));
    gap.spots = vec![Spot { x: 180.0, y: 0.094, words: "smallest 0.0940 in at 10.0° before top".into() }];
    let mut wild = panel(LONG, LONG, |d| d * 1e300);
    wild.points.extend([(f64::NAN, 1.0), (1.0, f64::INFINITY), (1e300, -1e300)]);
    wild.limit = Some(1e308);
    wild.spots =
        vec![Spot { x: 1e9, y: -1e9, words: LONG.into() }, Spot { x: f64::NAN, y: 0.0, words: "nowhere".into() }];
    let mut empty = panel("", "", wave);
    empty.points.clear();
    vec![
        named(
            "curves-motion",
            curves::draw(&curves(
                "Piston over a turn",
                vec![
                    panel("Below the top", "in", |d| 1.74 - 1.74 * d.to_radians().cos()),
                    speed,
                    panel("Acceleration, down positive", "g", |d| 1300.0 * d.to_radians().cos()),
                ],
            )),
        ),
        named("curves-gap", curves::draw(&curves("Piston to exhaust valve", vec![gap]))),
        named("curves-level", curves::draw(&curves("Level", vec![panel("Level", "in", |_| 0.0)]))),
        named("curves-wild", curves::draw(&Curves { along: LONG.into(), ..curves(LONG, vec![wild, empty]) })),
        named("curves-none", curves::draw(&curves("None", Vec::new()))),
    ]
}

pub fn clock(degrees: [f64; 5]) -> RingClock {
    let rings = [Ring::Top, Ring::Second, Ring::UpperRail, Ring::LowerRail, Ring::Expander];
    RingClock {
        heading: "Skerry V8: ring gaps".into(),
        gaps: rings.iter().zip(degrees).map(|(&ring, degrees)| Gap { ring, degrees, fault: None }).collect(),
        thrust: Some(Side::Right),
        reasons: Vec::new(),
        notes: vec!["Set again just before the piston goes in.".into()],
    }
}

fn clocks() -> Vec<(String, Figure)> {
    let mut judged = clock([0.0, 12.0, 90.0, 95.0, 225.0]);
    judged.gaps[0].fault = Some(1);
    judged.gaps[1].fault = Some(2);
    judged.gaps[2].fault = Some(3);
    judged.reasons = vec![
        "top gap is on the pin axis".into(),
        "second gap is 12° from the top gap: about 180° is usual".into(),
        "upper rail gap is in line with the thrust face".into(),
    ];
    let mut crowd = clock([0.0; 5]);
    for (place, gap) in crowd.gaps.iter_mut().enumerate() {
        gap.fault = Some(10 + place as u8);
    }
    crowd.heading = LONG.into();
    crowd.reasons = vec![LONG.repeat(3)];
    crowd.notes = vec![LONG.into()];
    let mut many = clock([269.9; 5]);
    many.gaps.extend(many.gaps.clone());
    let mut none = clock([0.0; 5]);
    none.gaps.clear();
    none.thrust = None;
    vec![
        named("clock", ring_clock::draw(&clock([45.0, 225.0, 135.0, 315.0, 290.0]))),
        named("clock-judged", ring_clock::draw(&judged)),
        named("clock-crowd", ring_clock::draw(&crowd)),
        named("clock-many", ring_clock::draw(&many)),
        named("clock-none", ring_clock::draw(&none)),
        named("clock-wild", ring_clock::draw(&clock([1e300, -1e300, 719.99, -0.0, 359.999]))),
    ]
}

/// Readings in tenths of a thou, with a fit in the same.
pub fn runout(readings: &[f64], toward: f64, across: f64) -> RunoutPolar {
    let tenths = |value: f64| inches(value * 1e-4);
    RunoutPolar {
        heading: "Main 3: run-out".into(),
        system: System::Inch,
        readings: readings.iter().map(|r| tenths(*r)).collect(),
        mean: tenths(readings.iter().sum::<f64>() / readings.len().max(1) as f64),
        toward: tenths(toward),
        across: tenths(across),
        high_spot: (toward != 0.0 || across != 0.0).then(|| Angle::from_si(across.atan2(toward))),
        findings: vec![
            ("TIR 0.0010 in (0.025 mm), limit 0.0015 in (0.038 mm)".into(), Some(Mark::Within)),
            ("eccentricity 0.0005 in (0.012 mm)".into(), None),
        ],
    }
}

fn runouts() -> Vec<(String, Figure)> {
    let many: Vec<f64> = (0..72).map(|k| 5.0 * (f64::from(k) / 72.0 * std::f64::consts::TAU).sin()).collect();
    let mut long = runout(&[0.0, 3.0, 7.0, 9.0, 8.0, 5.0, 2.0, -1.0], -4.1, 2.7);
    long.heading = LONG.into();
    long.system = System::Metric;
    long.findings = vec![(LONG.repeat(2), Some(Mark::Out)), (LONG.into(), None)];
    vec![
        named("runout", runout_polar::draw(&runout(&[0.0, 3.0, 7.0, 9.0, 8.0, 5.0, 2.0, -1.0], -4.1, 2.7))),
        named("runout-three", runout_polar::draw(&runout(&[0.0, 0.0, 9.0], -3.0, -5.2))),
        named("runout-twelve", runout_polar::draw(&runout(&[5.0; 12], 0.0, 0.0))),
        named("runout-thirteen", runout_polar::draw(&runout(&many[..13], 1.0, 3.0))),
        named("runout-many", runout_polar::draw(&runout(&many, 0.0, 5.0))),
        named("runout-long", runout_polar::draw(&long)),
        named("runout-none", runout_polar::draw(&runout(&[], 0.0, 0.0))),
        named("runout-wild", runout_polar::draw(&runout(&[1e300, -1e300, f64::NAN, 0.0], f64::INFINITY, 1e300))),
    ]
}

/// Odd numbers left, even right.
pub fn banks(each: u8, forward: Side) -> Banks {
    let from = |first: u8| (0..each).map(|n| first + 2 * n).collect();
    Banks { left: from(1), right: from(2), forward }
}

pub fn facing(toward: Toward, words: &str) -> Option<Facing> {
    Some(Facing { toward, words: words.into() })
}

pub fn orient(cylinders: Cylinders, cylinder: u8, pin: Pin) -> Orientation {
    let chamfer = match pin {
        Pin::Alone => None,
        Pin::Shared { place, .. } => Some(place),
    };
    Orientation {
        heading: format!("Skerry V8: rod and piston {cylinder}"),
        cylinders,
        rotation: Rotation::Clockwise,
        cylinder,
        pin,
        chamfer,
        front_mark: Some(End::Front),
        reliefs: facing(Toward::Right, "valley side"),
        thrust: facing(Toward::Right, "right, the valley side"),
        notes: Vec::new(),
    }
}

fn orientations() -> Vec<(String, Figure)> {
    let mut list = Vec::new();
    for forward in [Side::Left, Side::Right] {
        for each in [1, 4, 8] {
            let near =
                |cylinder: u8| if (cylinder % 2 == 1) == (forward == Side::Left) { End::Front } else { End::Rear };
            for (cylinder, mate) in [(1, 2), (2 * each, 2 * each - 1)] {
                let pin = Pin::Shared { place: near(cylinder), mate };
                for (shape, cylinders) in
                    [("vee", Cylinders::Vee(banks(each, forward))), ("flat", Cylinders::Flat(banks(each, forward)))]
                {
                    let name = format!("orient-{shape}{}-{forward:?}-{cylinder}", 2 * each);
                    list.push((name, orientation::draw(&orient(cylinders, cylinder, pin))));
                }
            }
        }
    }
    for count in [2, 4, 6, 16] {
        let mut input = orient(Cylinders::Inline((1..=count).collect()), count, Pin::Alone);
        input.front_mark = Some(End::Rear);
        input.rotation = Rotation::CounterClockwise;
        input.reliefs = facing(Toward::Left, "intake side");
        input.thrust = facing(Toward::Right, "right");
        input.chamfer = if count == 4 { Some(End::Rear) } else { None };
        list.push((format!("orient-inline{count}"), orientation::draw(&input)));
    }
    let mut boxer = orient(Cylinders::Flat(banks(2, Side::Right)), 3, Pin::Alone);
    boxer.chamfer = Some(End::Front);
    boxer.reliefs = facing(Toward::Front, "front of the engine, both of them");
    boxer.thrust = facing(Toward::Left, "foot of the engine, toward the sump");
    list.push(named("orient-boxer", orientation::draw(&boxer)));
    let mut wild = orient(Cylinders::Vee(banks(6, Side::Left)), 250, Pin::Shared { place: End::Rear, mate: 251 });
    wild.heading = LONG.into();
    wild.reliefs = facing(Toward::Left, LONG);
    wild.thrust = facing(Toward::Left, LONG);
    wild.chamfer = Some(End::Front);
    wild.notes = vec![LONG.into(), "W".repeat(400)];
    list.push(named("orient-wild", orientation::draw(&wild)));
    let mut empty = orient(Cylinders::Inline(Vec::new()), 0, Pin::Alone);
    (empty.reliefs, empty.thrust) = (facing(Toward::Rear, "rear"), None);
    list.push(named("orient-empty", orientation::draw(&empty)));
    list
}

pub fn map(cylinders: Cylinders, shared: bool) -> EngineMap {
    let numbers: Vec<u8> = match &cylinders {
        Cylinders::Inline(numbers) => numbers.clone(),
        Cylinders::Vee(banks) | Cylinders::Flat(banks) => banks.left.iter().chain(&banks.right).copied().collect(),
    };
    let forward = |n: u8| match &cylinders {
        Cylinders::Inline(_) => true,
        Cylinders::Vee(banks) | Cylinders::Flat(banks) => (banks.forward == Side::Left) == (n % 2 == 1),
    };
    let fitted = numbers.iter().map(|&cylinder| Fitted {
        cylinder,
        chamfer: Some(if forward(cylinder) { End::Front } else { End::Rear }),
        front_mark: Some(End::Front),
    });
    let pins = match &cylinders {
        Cylinders::Vee(banks) | Cylinders::Flat(banks) if shared => {
            banks.left.iter().zip(&banks.right).map(|(&l, &r)| vec![l, r]).collect()
        }
        _ => numbers.iter().map(|&n| vec![n]).collect(),
    };
    EngineMap {
        heading: "Skerry V8: every rod and piston".into(),
        fitted: fitted.collect(),
        cylinders,
        rotation: Rotation::Clockwise,
        pins,
        notes: vec!["Assemble each bank as its own batch; mark it with a paint pen first.".into()],
    }
}

fn maps() -> Vec<(String, Figure)> {
    let mut list = Vec::new();
    for each in [1, 2, 4, 8] {
        for forward in [Side::Left, Side::Right] {
            let vee = map(Cylinders::Vee(banks(each, forward)), true);
            list.push((format!("map-vee{}-{forward:?}", 2 * each), engine_map::draw(&vee)));
        }
        let flat = map(Cylinders::Flat(banks(each, Side::Left)), false);
        list.push((format!("map-flat{}", 2 * each), engine_map::draw(&flat)));
    }
    for count in [2, 4, 6, 16] {
        let mut inline = map(Cylinders::Inline((1..=count).collect()), false);
        inline.fitted[0].front_mark = Some(End::Rear);
        inline.fitted[1].chamfer = None;
        list.push((format!("map-inline{count}"), engine_map::draw(&inline)));
    }
    list
}

pub fn grid(rows: usize, columns: usize, position: impl Fn(usize) -> String) -> Matrix {
    let cell = |row: usize, column: usize| {
        let place = row * 7 + column * 3 + row * column;
        (place % 9 != 8).then(|| Mark::ALL[place % Mark::ALL.len()])
    };
    Matrix {
        heading: "Job 12, Skerry V8: readings".into(),
        positions: (0..columns).map(position).collect(),
        rows: (0..rows)
            .map(|row| Row {
                check: ["bore", "main oil clearance", "ring side clearance", "piston to valve"][row % 4].to_owned(),
                cells: (0..columns).map(|column| cell(row, column)).collect(),
            })
            .collect(),
    }
}

fn matrices() -> Vec<(String, Figure)> {
    let mut long = grid(3, 4, |_| LONG.to_owned());
    long.heading = LONG.into();
    for row in &mut long.rows {
        row.check = LONG.into();
    }
    let mut ragged = grid(4, 3, |n| n.to_string());
    ragged.rows[1].cells.clear();
    ragged.rows[2].cells.extend([Some(Mark::Out); 4]);
    vec![
        named("matrix", matrix::draw(&grid(12, 8, |n| (n + 1).to_string()))),
        named("matrix-full", matrix::draw(&grid(30, 16, |n| (n + 1).to_string()))),
        named("matrix-words", matrix::draw(&grid(6, 10, |n| format!("{} upper rail", n + 1)))),
        named("matrix-long", matrix::draw(&long)),
        named("matrix-ragged", matrix::draw(&ragged)),
        named("matrix-empty", matrix::draw(&grid(0, 0, |_| String::new()))),
    ]
}

/// Jobs by stages: every mark, none at all, and names too long for their room.
pub fn board(jobs: usize, columns: usize, name: &str) -> Stages {
    let cell =
        |job: usize, column: usize| stages::Mark::ALL.get((job + column) % (stages::Mark::ALL.len() + 1)).copied();
    let row = |job: usize| stages::Row {
        job: format!("#{} {name}", job + 1),
        cells: (0..columns).map(|column| cell(job, column)).collect(),
    };
    Stages {
        heading: "Open jobs by stage".to_owned(),
        stages: (0..columns).map(|column| format!("{name} {column}")).collect(),
        rows: (0..jobs).map(row).collect(),
    }
}

fn boards() -> Vec<(String, Figure)> {
    vec![
        named("matrix-stages", stages::draw(&board(5, 10, "Lay the crank"))),
        named("matrix-stages-long", stages::draw(&board(12, 16, LONG))),
        named("matrix-stages-empty", stages::draw(&board(0, 0, ""))),
        named("matrix-stages-one", stages::draw(&board(1, 1, "x"))),
    ]
}

fn scales() -> Vec<(String, Figure)> {
    let row = |place: &str, value, mark| scale_rows::Row { place: place.to_owned(), value, mark };
    let clearances = vec![
        row("1", 38e-6, Mark::Within),
        row("2 upper rail", 28e-6, Mark::Marginal),
        row("3", 61e-6, Mark::Out),
        row("", f64::NAN, Mark::NoLimit),
        row(LONG, 9e-2, Mark::Out),
    ];
    let scale = |min, max, rows: &[scale_rows::Row]| {
        let (heading, dimension, system) = (LONG.to_owned(), Dimension::Length, System::Metric);
        scale_rows::draw(&ScaleRows { heading, dimension, system, min, max, rows: rows.to_vec() })
    };
    vec![
        named("scale", scale(Some(28e-6), Some(52e-6), &clearances)),
        named("scale-few", scale(Some(28e-6), Some(52e-6), &clearances[..3])),
        named("scale-least", scale(Some(28e-6), None, &clearances[..2])),
        named("scale-most", scale(None, Some(52e-6), &clearances[..3])),
        named("scale-none", scale(None, None, &clearances)),
        named("scale-empty", scale(Some(1e-6), Some(1e-6), &[])),
    ]
}

/// A length from any finite number of metres.
pub fn metres(value: f64) -> Length {
    millimetres(value * 1e3)
}
