//! Orientation worked by hand from how the parts lie, and held for every layout.
//!
//! Sources: chamfer to the fillet, flats together, forward bank in front, are common practice. The major thrust side is
//! checked against the statics of the slider and crank, worked here in coordinates (any textbook of machines; no
//! formula of the project is used).
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::engine::orientation::{Caution, Chamfer, OnPin, Orientation, Pairing, ReliefsFace, Toward};
use gudgeon::engine::{Bank, End, Engine, Side};
use proptest::prelude::*;

/// What an engine's page would say, in short.
#[derive(Debug, Clone)]
struct Page {
    layout: &'static str,
    rows: [Vec<u8>; 2],
    forward: &'static str,
    rotation: &'static str,
    mark: &'static str,
    reliefs: &'static str,
    shared: Option<bool>,
}

impl Page {
    fn new(layout: &'static str, rows: [Vec<u8>; 2]) -> Self {
        let reliefs = if layout == "inline" { "left" } else { "valley" };
        Self { layout, rows, forward: "left", rotation: "clockwise", mark: "front", reliefs, shared: None }
    }

    fn engine(&self) -> Engine {
        let [left, right] = &self.rows;
        let count = left.len() + right.len();
        let order: Vec<usize> = (1..=count).collect();
        let layout = match self.layout {
            "inline" => format!("numbers = {left:?}"),
            "v" => format!("bank_angle = 60\nforward_bank = {:?}\nleft = {left:?}\nright = {right:?}", self.forward),
            _ => format!("forward_bank = {:?}\nleft = {left:?}\nright = {right:?}", self.forward),
        };
        let shared = self.shared.map_or(String::new(), |shared| format!("shared_pins = {shared}"));
        let text = format!(
            "id = \"one\"\nduty = \"road\"\nunit = \"inch\"\nlayout = {:?}\ncylinders = {count}\n{layout}\n{shared}\n\
             rotation = {:?}\nfiring_order = {order:?}\nmains = 2\nbore = \"4in\"\nstroke = \"3.5in\"\n\
             pin_offset = \"0.060in\"\nfront_mark = {:?}\nreliefs = {:?}\n",
            self.layout, self.rotation, self.mark, self.reliefs,
        );
        Engine::from_toml("One", &text.parse().unwrap()).unwrap()
    }
}

fn odd_even(count: u8) -> [Vec<u8>; 2] {
    [(1..=count).step_by(2).collect(), (2..=count).step_by(2).collect()]
}

fn of(engine: &Engine, cylinder: u8) -> Orientation {
    engine.orientation(cylinder).unwrap()
}

/// Cylinder, pin, mate, place on the pin, chamfer.
type Rod = (u8, u8, Option<u8>, OnPin, Chamfer);

fn rods(engine: &Engine) -> Vec<Rod> {
    engine.orientations().into_iter().map(|o| (o.cylinder, o.pin, o.mate, o.on_pin, o.chamfer)).collect()
}

const fn front(cylinder: u8, pin: u8, mate: u8) -> Rod {
    (cylinder, pin, Some(mate), OnPin::Front, Chamfer::FrontCheek)
}

const fn rear(cylinder: u8, pin: u8, mate: u8) -> Rod {
    (cylinder, pin, Some(mate), OnPin::Rear, Chamfer::RearCheek)
}

const fn alone(cylinder: u8, pin: u8) -> Rod {
    (cylinder, pin, None, OnPin::Alone, Chamfer::BothCheeks)
}

#[test]
fn eight_with_the_left_bank_forward() {
    let engine = Page::new("v", odd_even(8)).engine();
    let wanted = [
        front(1, 1, 2),
        rear(2, 1, 1),
        front(3, 2, 4),
        rear(4, 2, 3),
        front(5, 3, 6),
        rear(6, 3, 5),
        front(7, 4, 8),
        rear(8, 4, 7),
    ];
    assert_eq!(rods(&engine), wanted);
    let five = of(&engine, 5);
    assert_eq!((five.bank, five.place, five.batch.as_slice()), (Some(Bank::Left), 3, &[1, 3, 5, 7][..]));
    // Front mark to the front: over the chamfer on the forward bank's rods, over the flat on the others.
    assert_eq!((five.pairing, of(&engine, 6).pairing), (Some(Pairing::MarkOverChamfer), Some(Pairing::MarkOverFlat)));
    // Clockwise: the major side is each bore's right, the valley of the left bank and the outside of the right.
    assert_eq!((five.major_thrust.side, five.major_thrust.toward), (Side::Right, Toward::Valley));
    assert_eq!((of(&engine, 6).major_thrust.side, of(&engine, 6).major_thrust.toward), (Side::Right, Toward::Outside));
    // Reliefs to the valley: right of the left bank's bores, left of the right bank's.
    let side = |n| match of(&engine, n).reliefs {
        ReliefsFace::Toward(aim) => (aim.side, aim.toward),
        other => panic!("{other:?}"),
    };
    assert_eq!((side(5), side(6)), ((Side::Right, Toward::Valley), (Side::Left, Toward::Valley)));
    assert_eq!(engine.cautions(), [Caution::FlatsFaceEachOther, Caution::BatchByBank, Caution::CapsStay]);
}

#[test]
fn eight_with_the_right_bank_forward_has_every_rod_the_other_way() {
    // Numbered down the right bank first, as some makers do: 1-4 right, 5-8 left.
    let engine = Page { forward: "right", ..Page::new("v", [vec![5, 6, 7, 8], vec![1, 2, 3, 4]]) }.engine();
    let wanted = [
        front(1, 1, 5),
        front(2, 2, 6),
        front(3, 3, 7),
        front(4, 4, 8),
        rear(5, 1, 1),
        rear(6, 2, 2),
        rear(7, 3, 3),
        rear(8, 4, 4),
    ];
    assert_eq!(rods(&engine), wanted);
    assert!(!engine.cautions().contains(&Caution::NumberOneNotForward));
    let left = Page { forward: "left", ..Page::new("v", [vec![5, 6, 7, 8], vec![1, 2, 3, 4]]) }.engine();
    assert!(left.cautions().contains(&Caution::NumberOneNotForward));
    assert_eq!(of(&left, 1).chamfer, Chamfer::RearCheek);
}

#[test]
fn six_two_and_sixteen_in_a_v() {
    let six = Page { forward: "right", ..Page::new("v", odd_even(6)) }.engine();
    assert_eq!(
        rods(&six),
        [rear(1, 1, 2), front(2, 1, 1), rear(3, 2, 4), front(4, 2, 3), rear(5, 3, 6), front(6, 3, 5)]
    );
    let two = Page::new("v", odd_even(2)).engine();
    assert_eq!(rods(&two), [front(1, 1, 2), rear(2, 1, 1)]);
    let sixteen = Page::new("v", [(1..=8).collect(), (9..=16).collect()]).engine();
    assert_eq!(sixteen.pin_count(), 8);
    let all = rods(&sixteen);
    assert_eq!((all[0], all[7], all[8], all[15]), (front(1, 1, 9), front(8, 8, 16), rear(9, 1, 1), rear(16, 8, 8)));
}

#[test]
fn a_six_with_split_pins_has_a_pin_to_each_rod() {
    let six = Page { shared: Some(false), ..Page::new("v", odd_even(6)) }.engine();
    assert_eq!(rods(&six), (1..=6).map(|n| alone(n, n)).collect::<Vec<_>>());
    assert_eq!(of(&six, 4).pairing, None);
    assert_eq!(of(&six, 4).batch, [2, 4, 6], "reliefs and offset still mirror between banks");
}

#[test]
fn flat_four_as_a_boxer_and_with_shared_pins() {
    let boxer = Page { forward: "right", ..Page::new("flat", [vec![2, 4], vec![1, 3]]) }.engine();
    assert_eq!(rods(&boxer), [alone(1, 1), alone(2, 2), alone(3, 3), alone(4, 4)]);
    // Clockwise from the front: the left bank's major side is its top, the right bank's its bottom.
    assert_eq!((of(&boxer, 2).major_thrust.toward, of(&boxer, 1).major_thrust.toward), (Toward::Top, Toward::Bottom));
    let shared = Page { shared: Some(true), forward: "right", ..Page::new("flat", [vec![2, 4], vec![1, 3]]) }.engine();
    assert_eq!(rods(&shared), [front(1, 1, 2), rear(2, 1, 1), front(3, 2, 4), rear(4, 2, 3)]);
}

#[test]
fn four_and_six_in_line() {
    let four = Page::new("inline", [vec![1, 2, 3, 4], vec![]]).engine();
    assert_eq!(rods(&four), [alone(1, 1), alone(2, 2), alone(3, 3), alone(4, 4)]);
    let one = of(&four, 1);
    assert_eq!((one.bank, one.major_thrust.toward), (None, Toward::Right));
    assert!(matches!(one.reliefs, ReliefsFace::Toward(aim) if aim.toward == Toward::Left));
    assert_eq!(four.cautions(), [Caution::CapsStay]);

    // Numbered from the flywheel, reverse rotation, mark to the flywheel.
    let rows = [vec![6, 5, 4, 3, 2, 1], vec![]];
    let six = Page { rotation: "counter-clockwise", mark: "flywheel", reliefs: "none", ..Page::new("inline", rows) };
    let six = six.engine();
    assert_eq!((of(&six, 1).pin, of(&six, 1).place, of(&six, 6).pin), (6, 6, 1));
    assert_eq!((of(&six, 3).front_mark, of(&six, 3).major_thrust.toward), (Some(End::Flywheel), Toward::Left));
    assert_eq!(of(&six, 3).reliefs, ReliefsFace::Nowhere);
    assert_eq!(six.cautions(), [Caution::ReverseRotation, Caution::MarkToFlywheel, Caution::CapsStay]);
    assert_eq!(six.orientation(7).or(six.orientation(0)), None);
}

/// The wall that the piston presses while the charge burns, from forces in the plane of the crank seen from the front
/// (x to the viewer's right, y up): gas pushes the piston down the bore, and only the rod and the wall hold it. The rod is
/// in compression along its own line, so the wall answers the rod's share across the bore.
fn pressed_side_by_statics(clockwise: bool, lean_degrees: f64) -> Side {
    let lean = lean_degrees.to_radians(); // of the bore from upright, clockwise seen from the front
    let along = [lean.sin(), lean.cos()]; // up the bore
    let across = [lean.cos(), -lean.sin()]; // to the viewer's right of it
    // A quarter turn after top dead centre, throw 1, rod 4.
    let turned = lean + if clockwise { 90f64 } else { -90f64 }.to_radians();
    let pin = [turned.sin(), turned.cos()];
    let dot = |a: [f64; 2], b: [f64; 2]| a[0] * b[0] + a[1] * b[1];
    let height = dot(pin, along) + (16.0 - dot(pin, across).powi(2)).sqrt();
    let gudgeon = [along[0] * height, along[1] * height];
    // The rod pushes the piston from the crank pin toward the gudgeon pin.
    let push = [(gudgeon[0] - pin[0]) / 4.0, (gudgeon[1] - pin[1]) / 4.0];
    assert!(dot(push, along) > 0.9, "it holds the gas force");
    // The viewer in front faces the flywheel: their right is the engine's left.
    if dot(push, across) > 0.0 { Side::Left } else { Side::Right }
}

#[test]
fn the_major_side_is_where_statics_press_the_piston() {
    for (rotation, clockwise) in [("clockwise", true), ("counter-clockwise", false)] {
        for (layout, lean) in [("inline", 0.0), ("v", 30.0), ("flat", 90.0)] {
            let rows = if layout == "inline" { [vec![1, 2], vec![]] } else { odd_even(2) };
            let engine = Page { rotation, ..Page::new(layout, rows) }.engine();
            // A left bank leans to the right of someone looking from the front.
            for (cylinder, lean) in [(1, lean), (2, if layout == "inline" { 0.0 } else { -lean })] {
                let wanted = pressed_side_by_statics(clockwise, lean);
                assert_eq!(of(&engine, cylinder).major_thrust.side, wanted, "{layout} {rotation} {cylinder}");
            }
        }
    }
}

fn pages() -> impl Strategy<Value = Page> {
    let layout = prop::sample::select(vec!["inline", "v", "flat"]);
    let forward = prop::sample::select(vec!["left", "right"]);
    let rotation = prop::sample::select(vec!["clockwise", "counter-clockwise"]);
    let mark = prop::sample::select(vec!["front", "flywheel"]);
    let numbering = Just((1..=16u8).collect::<Vec<_>>()).prop_shuffle();
    (layout, 1..=8u8, numbering, forward, rotation, mark, any::<bool>(), any::<Option<bool>>()).prop_map(
        |(layout, half, numbering, forward, rotation, mark, other_way, shared)| {
            let count = 2 * half;
            let numbers: Vec<u8> = numbering.into_iter().filter(|n| *n <= count).collect();
            let (left, right) = if layout == "inline" {
                (numbers, vec![])
            } else {
                let (left, right) = numbers.split_at(usize::from(half));
                (left.to_vec(), right.to_vec())
            };
            let reliefs = match (layout, other_way) {
                ("inline", false) => "left",
                ("inline", true) => "right",
                (_, false) => "valley",
                (_, true) => "outside",
            };
            let shared = shared.filter(|_| layout != "inline");
            Page { layout, rows: [left, right], forward, rotation, mark, reliefs, shared }
        },
    )
}

/// The engine seen in a mirror that stands along the crank: left for right, and the crank turning the other way.
fn mirrored(page: &Page) -> Page {
    let swap = |word| match word {
        "left" => "right",
        "right" => "left",
        "clockwise" => "counter-clockwise",
        "counter-clockwise" => "clockwise",
        same => same,
    };
    let [left, right] = page.rows.clone();
    let rows = if page.layout == "inline" { [left, right] } else { [right, left] };
    let (forward, rotation, reliefs) = (swap(page.forward), swap(page.rotation), swap(page.reliefs));
    Page { rows, forward, rotation, reliefs, ..page.clone() }
}

proptest! {
    #[test]
    fn mates_are_mutual_and_flats_face_each_other(page in pages()) {
        let engine = page.engine();
        for one in engine.orientations() {
            prop_assert_ne!(one.mate, Some(one.cylinder));
            let Some(mate) = one.mate else {
                prop_assert_eq!((one.on_pin, one.chamfer), (OnPin::Alone, Chamfer::BothCheeks));
                continue;
            };
            let mate = of(&engine, mate);
            prop_assert_eq!((mate.mate, mate.pin), (Some(one.cylinder), one.pin));
            prop_assert_ne!(mate.bank, one.bank);
            // The front rod's chamfer is to the front, so its flat is to the rear, where the other rod is; and back.
            let pair = [(one.on_pin, one.chamfer), (mate.on_pin, mate.chamfer)];
            prop_assert!(pair.contains(&(OnPin::Front, Chamfer::FrontCheek)));
            prop_assert!(pair.contains(&(OnPin::Rear, Chamfer::RearCheek)));
        }
    }

    #[test]
    fn a_bank_is_alike_and_its_opposite_is_not(page in pages()) {
        let engine = page.engine();
        for one in engine.orientations() {
            prop_assert!(one.batch.contains(&one.cylinder));
            for other in engine.orientations() {
                prop_assert_eq!(one.batch.contains(&other.cylinder), one.bank == other.bank);
                prop_assert_eq!(one.major_thrust.side, other.major_thrust.side);
                if one.bank == other.bank {
                    let alike = |o: &Orientation| (o.chamfer, o.on_pin, o.pairing, o.reliefs, o.major_thrust);
                    prop_assert_eq!(alike(&one), alike(&other));
                } else {
                    prop_assert!(one.mate.is_none() || one.chamfer != other.chamfer);
                    prop_assert!(one.mate.is_none() || one.pairing != other.pairing);
                    prop_assert_ne!(one.major_thrust.toward, other.major_thrust.toward);
                }
            }
        }
    }

    #[test]
    fn every_pin_has_the_rods_it_should(page in pages()) {
        let engine = page.engine();
        let each = engine.cylinders() / engine.pin_count();
        let mut seen = Vec::new();
        for pin in 1..=engine.pin_count() {
            let on = engine.on_pin(pin);
            prop_assert_eq!(on.len(), usize::from(each));
            seen.extend(on);
        }
        seen.sort_unstable();
        prop_assert!(seen.into_iter().eq(1..=engine.cylinders()));
    }

    #[test]
    fn a_mirrored_engine_has_the_mirrored_answer(page in pages()) {
        let (engine, mirror) = (page.engine(), mirrored(&page).engine());
        let across = |toward| match toward {
            Toward::Left => Toward::Right,
            Toward::Right => Toward::Left,
            same => same,
        };
        let aim = |aim: gudgeon::engine::orientation::Aim| (aim.side.other(), across(aim.toward));
        for (one, other) in engine.orientations().into_iter().zip(mirror.orientations()) {
            prop_assert_eq!(
                (one.cylinder, one.pin, one.mate, one.on_pin, one.chamfer, one.pairing, one.place, &one.batch),
                (other.cylinder, other.pin, other.mate, other.on_pin, other.chamfer, other.pairing, other.place, &other.batch)
            );
            prop_assert_eq!(one.bank.map(Bank::other), other.bank);
            prop_assert_eq!(aim(one.major_thrust), (other.major_thrust.side, other.major_thrust.toward));
            let (Some((_, offset)), Some((_, reflected))) = (one.pin_offset, other.pin_offset) else {
                return Err(TestCaseError::fail("an offset was given"));
            };
            prop_assert_eq!(aim(offset), (reflected.side, reflected.toward));
            let (ReliefsFace::Toward(face), ReliefsFace::Toward(reflected)) = (one.reliefs, other.reliefs) else {
                return Err(TestCaseError::fail("reliefs were given"));
            };
            prop_assert_eq!(aim(face), (reflected.side, reflected.toward));
        }
    }
}
