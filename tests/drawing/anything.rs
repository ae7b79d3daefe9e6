//! Any input can be drawn: no panic, well-formed, and text in a Latin hand still keeps its place.

use gudgeon::drawing::bolt_order::{self, BoltOrder, Layout};
use gudgeon::drawing::bore_map::{self, BoreMap, Finding};
use gudgeon::drawing::clearance_strip::{self, ClearanceStrip};
use gudgeon::drawing::curves::{self, Curves, Panel, Spot};
use gudgeon::drawing::engine_map::{self, EngineMap, Fitted};
use gudgeon::drawing::matrix::{self, Matrix, Row};
use gudgeon::drawing::orientation::{self, Facing, Orientation, Pin, Toward};
use gudgeon::drawing::plan::{Banks, Cylinders, Rotation};
use gudgeon::drawing::ring_clock::{self, Gap, Ring, RingClock};
use gudgeon::drawing::{End, Figure, Mark, Side};
use gudgeon::quantity::{Dimension, System};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use resvg::usvg::roxmltree::Document;

use super::layout::{check, parsed};
use super::samples::metres;

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![-0.2..0.2f64, -1000.0..1000.0f64, any::<f64>()].prop_filter("finite", |n| n.is_finite())
}

fn side() -> impl Strategy<Value = Side> {
    select(vec![Side::Left, Side::Right])
}

fn end() -> impl Strategy<Value = End> {
    select(vec![End::Front, End::Rear])
}

fn system() -> impl Strategy<Value = System> {
    select(vec![System::Inch, System::Metric])
}

fn mark() -> impl Strategy<Value = Mark> {
    select(Mark::ALL.to_vec())
}

fn rotation() -> impl Strategy<Value = Rotation> {
    select(vec![Rotation::Clockwise, Rotation::CounterClockwise])
}

/// What a person of the shop types: Latin letters, digits and signs.
fn latin() -> impl Strategy<Value = String> {
    "[ -~À-ÿ°±×]{0,120}"
}

fn bolts(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let layout = prop_oneof![
        vec(vec(any::<u32>(), 0..18), 0..8).prop_map(Layout::Rows),
        vec(any::<u32>(), 0..40).prop_map(Layout::Circle),
    ];
    (words.clone(), layout, vec(words, 0..6))
        .prop_map(|(heading, layout, stages)| bolt_order::draw(&BoltOrder { heading, layout, stages }))
}

fn bore(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let finding = (words.clone(), option::of(mark())).prop_map(|(words, mark)| Finding { words, mark });
    (words, system(), vec(number(), 6), option::of(number()), vec(finding, 0..4)).prop_map(
        |(heading, system, v, nominal, findings)| {
            let readings = [[v[0], v[1]], [v[2], v[3]], [v[4], v[5]]].map(|row| row.map(metres));
            bore_map::draw(&BoreMap { heading, system, readings, nominal: nominal.map(metres), findings })
        },
    )
}

fn strip(words: impl Strategy<Value = String>) -> impl Strategy<Value = Figure> {
    let dimension = select(vec![Dimension::Length, Dimension::Pressure, Dimension::Torque, Dimension::Mass]);
    let limits = (option::of(number()), option::of(number()));
    (words, dimension, system(), number(), number(), limits, mark()).prop_map(
        |(heading, dimension, system, reading, uncertainty, (min, max), mark)| {
            let input = ClearanceStrip { heading, dimension, system, reading, uncertainty, min, max, mark };
            clearance_strip::draw(&input)
        },
    )
}

fn panels(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let spot = (number(), number(), words.clone()).prop_map(|(x, y, words)| Spot { x, y, words });
    let points = vec((number(), number()), 0..20);
    let panel = (words.clone(), words.clone(), 0..5usize, points, any::<bool>(), option::of(number()), vec(spot, 0..3))
        .prop_map(|(name, unit, decimals, points, dotted, limit, spots)| Panel {
            name,
            unit,
            decimals,
            points,
            dotted,
            limit,
            spots,
        });
    (words.clone(), words, vec(panel, 0..4))
        .prop_map(|(heading, along, panels)| curves::draw(&Curves { heading, along, panels }))
}

fn clock(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let ring = select(vec![Ring::Top, Ring::Second, Ring::UpperRail, Ring::LowerRail, Ring::Expander]);
    let gap = (ring, number(), option::of(1..20u8)).prop_map(|(ring, degrees, fault)| Gap { ring, degrees, fault });
    let reasons = vec(words.clone(), 0..4);
    (words.clone(), vec(gap, 0..9), option::of(side()), reasons, vec(words, 0..3)).prop_map(
        |(heading, gaps, thrust, reasons, notes)| {
            ring_clock::draw(&RingClock { heading, gaps, thrust, reasons, notes })
        },
    )
}

fn cylinders() -> impl Strategy<Value = Cylinders> {
    let banks = || {
        (vec(any::<u8>(), 0..9), vec(any::<u8>(), 0..9), side()).prop_map(|(left, right, forward)| Banks {
            left,
            right,
            forward,
        })
    };
    prop_oneof![
        vec(any::<u8>(), 0..17).prop_map(Cylinders::Inline),
        banks().prop_map(Cylinders::Vee),
        banks().prop_map(Cylinders::Flat),
    ]
}

fn orient(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let toward = select(vec![Toward::Front, Toward::Rear, Toward::Left, Toward::Right]);
    let facing = (toward, words.clone()).prop_map(|(toward, words)| Facing { toward, words });
    let pin = prop_oneof![Just(Pin::Alone), (end(), any::<u8>()).prop_map(|(place, mate)| Pin::Shared { place, mate })];
    let whole = (words.clone(), cylinders(), rotation(), any::<u8>(), pin);
    let part = (option::of(end()), end(), option::of(facing.clone()), option::of(facing), vec(words, 0..3));
    (whole, part).prop_map(
        |((heading, cylinders, rotation, cylinder, pin), (chamfer, front_mark, reliefs, thrust, notes))| {
            orientation::draw(&Orientation {
                heading,
                cylinders,
                rotation,
                cylinder,
                pin,
                chamfer,
                front_mark: Some(front_mark),
                reliefs,
                thrust,
                notes,
            })
        },
    )
}

fn map(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let fitted = (any::<u8>(), option::of(end()), end());
    let fitted =
        fitted.prop_map(|(cylinder, chamfer, front_mark)| Fitted { cylinder, chamfer, front_mark: Some(front_mark) });
    let pins = vec(vec(any::<u8>(), 0..3), 0..9);
    (words.clone(), cylinders(), rotation(), vec(fitted, 0..17), pins, vec(words, 0..3)).prop_map(
        |(heading, cylinders, rotation, fitted, pins, notes)| {
            engine_map::draw(&EngineMap { heading, cylinders, rotation, fitted, pins, notes })
        },
    )
}

fn matrix(words: impl Strategy<Value = String> + Clone) -> impl Strategy<Value = Figure> {
    let row = (words.clone(), vec(option::of(mark()), 0..17)).prop_map(|(check, cells)| Row { check, cells });
    (words.clone(), vec(words, 0..17), vec(row, 0..12))
        .prop_map(|(heading, positions, rows)| matrix::draw(&Matrix { heading, positions, rows }))
}

fn any_figure(words: impl Strategy<Value = String> + Clone + 'static) -> impl Strategy<Value = Figure> {
    prop_oneof![
        bolts(words.clone()),
        bore(words.clone()),
        strip(words.clone()),
        panels(words.clone()),
        clock(words.clone()),
        orient(words.clone()),
        map(words.clone()),
        matrix(words),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_at_all_gives_a_well_formed_drawing(figure in any_figure(any::<String>())) {
        let tree = parsed(&figure);
        prop_assert_eq!(tree.size().width() as u32, figure.width);
        prop_assert_eq!(tree.size().height() as u32, figure.height);
        let document = Document::parse(&figure.svg).unwrap();
        for attribute in document.descendants().flat_map(|node| node.attributes()) {
            let value = attribute.value();
            prop_assert!(!value.contains("NaN") && !value.contains("inf") && value != "-0", "{value}");
        }
    }

    #[test]
    fn text_of_the_shop_keeps_its_place(figure in any_figure(latin().boxed())) {
        check("drawn", &figure);
    }
}
