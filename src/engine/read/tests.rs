#![allow(clippy::unwrap_used, clippy::expect_used)]

use super::super::{Banks, Duty, Engine, Layout, find};
use super::*;

const FOUR: &str = r#"
id = "plain-four"
duty = "road"
unit = "metric"
layout = "inline"
cylinders = 4
rotation = "clockwise"
firing_order = [1, 3, 4, 2]
numbers = [1, 2, 3, 4]
mains = 5
pins = [0, 180, 180, 0]
bore = "86.00"
stroke = "86.00mm"
rod_length = "143mm"
compression_height = "31mm"
deck_height = "217.3mm"
"#;

const EIGHT: &str = r#"
id = "plain-eight"
duty = "marine"
unit = "inch"
layout = "v"
cylinders = 8
bank_angle = 90
forward_bank = "left"
rotation = "clockwise"
firing_order = [1, 8, 4, 3, 6, 5, 7, 2]
left = [1, 3, 5, 7]
right = [2, 4, 6, 8]
mains = 5
pins = [0, 90, 270, 180]
bore = "4.000in"
stroke = "3.480in"
"#;

fn read(text: &str) -> Result<Engine, Vec<EngineFault>> {
    Engine::from_toml("Plain engine", &text.parse().unwrap())
}

/// The page with one key set to another value (or, with none, left out).
fn with(page: &str, key: &str, value: Option<&str>) -> String {
    let kept = page.lines().filter(|line| line.split(" = ").next() != Some(key));
    let added = value.map(|value| format!("{key} = {value}"));
    kept.map(str::to_owned).chain(added).collect::<Vec<_>>().join("\n")
}

/// The keys found at fault.
fn keys(text: &str) -> Vec<String> {
    read(text).expect_err(text).into_iter().map(|fault| fault.key).collect()
}

#[test]
fn both_plain_pages_read() {
    let four = read(FOUR).unwrap();
    assert_eq!((four.cylinders(), four.pin_count(), four.layout.word()), (4, 4, "inline"));
    assert!((crate::quantity::in_millimetres(four.bore) - 86.0).abs() < 1e-9, "a bare size takes the page's unit");
    let eight = read(EIGHT).unwrap();
    assert_eq!((eight.cylinders(), eight.pin_count(), eight.duty), (8, 4, Duty::Marine));
    assert!(matches!(&eight.layout, Layout::V { banks: Banks { shared_pins: true, .. }, angle } if *angle == 90.0));
}

#[test]
fn a_key_that_must_be_there_is_missed_by_name() {
    for key in ["id", "duty", "unit", "layout", "cylinders", "rotation", "firing_order", "numbers", "mains", "bore"] {
        let faults = read(&with(FOUR, key, None)).unwrap_err();
        assert!(faults.iter().any(|f| f.key == key && f.given == "nothing"), "{key}: {faults:?}");
    }
    for key in ["left", "right", "bank_angle", "forward_bank"] {
        assert_eq!(keys(&with(EIGHT, key, None)), [key]);
    }
    for key in ["pins", "rod_length", "compression_height", "deck_height"] {
        assert!(read(&with(FOUR, key, None)).is_ok(), "{key} may be missing");
    }
}

#[test]
fn a_value_that_cannot_be_is_named() {
    for (page, key, bad) in [
        (FOUR, "id", "\"Plain Four\""),
        (FOUR, "duty", "\"racing\""),
        (FOUR, "unit", "\"cubits\""),
        (FOUR, "rotation", "\"backwards\""),
        (FOUR, "cylinders", "17"),
        (FOUR, "cylinders", "\"four\""),
        (FOUR, "mains", "1"),
        (FOUR, "mains", "6"),
        (FOUR, "numbers", "[1, 2, 3, 3]"),
        (FOUR, "numbers", "[1, 2, 3]"),
        (FOUR, "firing_order", "[1, 3, 4, 4]"),
        (FOUR, "firing_order", "[1, 3, 4]"),
        (FOUR, "pins", "[0, 180, 180]"),
        (FOUR, "pins", "[0, 180, 180, 360]"),
        (FOUR, "pins", "[0, 180, 180, nan]"),
        (FOUR, "bore", "\"86,00mm\""),
        (FOUR, "bore", "\"0mm\""),
        (FOUR, "bore", "\"-86mm\""),
        (FOUR, "bore", "\"86kg\""),
        (FOUR, "bore", "86.0"),
        (FOUR, "stroke", "\"860mm\""),
        (FOUR, "rod_length", "\"80mm\""),
        (FOUR, "deck_height", "\"240mm\""),
        (FOUR, "pin", "\"90mm\""),
        (FOUR, "rod_journal", "\"90mm\""),
        (FOUR, "pin_offset", "\"8mm\""),
        (FOUR, "undersizes", "[\"0.50mm\", \"0.25mm\"]"),
        (FOUR, "undersizes", "[\"0.25in\", \"0.5in\"]"),
        (FOUR, "oversizes", "\"0.25mm\""),
        (FOUR, "front_mark", "\"sideways\""),
        (FOUR, "reliefs", "\"valley\""),
        (FOUR, "bank_angle", "90"),
        (FOUR, "left", "[1, 2]"),
        (EIGHT, "reliefs", "\"left\""),
        (EIGHT, "bank_angle", "0"),
        (EIGHT, "bank_angle", "180"),
        (EIGHT, "forward_bank", "\"front\""),
        (EIGHT, "right", "[2, 4, 6]"),
        (EIGHT, "left", "[1, 3, 5, 8]"),
        (EIGHT, "numbers", "[1, 2]"),
        (EIGHT, "shared_pins", "\"yes\""),
        (EIGHT, "mains", "6"),
    ] {
        let found = keys(&with(page, key, Some(bad)));
        assert!(found.contains(&key.to_owned()), "{key} = {bad}: {found:?}");
    }
}

#[test]
fn all_faults_come_at_once_and_a_slip_in_a_key_is_guessed() {
    let page = with(&with(&with(FOUR, "bore", Some("\"x\"")), "duty", Some("\"race\"")), "rod_lenght", Some("\"1in\""));
    let faults = read(&page).unwrap_err();
    assert_eq!(faults.len(), 3, "{faults:?}");
    assert!(faults.iter().any(|f| f.key == "rod_lenght" && f.wanted.contains("`rod_length`")), "{faults:?}");
    assert!(faults.iter().any(|f| f.to_string().starts_with("`duty` holds \"race\"; wanted: one of \"road\"")));
}

#[test]
fn firing_order_pins_and_rotation_must_agree() {
    // Two throws swapped, the order read backwards, or the wrong hand: each would fire on the wrong stroke.
    assert_eq!(keys(&with(EIGHT, "pins", Some("[0, 270, 90, 180]"))), ["firing_order"]);
    assert_eq!(keys(&with(EIGHT, "rotation", Some("\"counter-clockwise\""))), ["firing_order"]);
    assert_eq!(keys(&with(EIGHT, "firing_order", Some("[1, 2, 7, 5, 6, 3, 4, 8]"))), ["firing_order"]);
    assert_eq!(keys(&with(FOUR, "firing_order", Some("[1, 4, 3, 2]"))), ["firing_order"]);
    // The other order that a flat-plane four can have.
    assert!(read(&with(FOUR, "firing_order", Some("[1, 2, 4, 3]"))).is_ok());
    // Without pins there is nothing to hold it against.
    assert!(read(&with(&with(EIGHT, "pins", None), "rotation", Some("\"counter-clockwise\""))).is_ok());
}

#[test]
fn top_dead_centres_of_a_cross_plane_eight_come_every_quarter_turn() {
    // By hand from the geometry: bores at 45 either side of upright, pins at 0, 90, 270, 180 clockwise.
    let eight = read(EIGHT).unwrap();
    let first = eight.tdc(1).unwrap();
    let turned: Vec<f64> =
        eight.firing_order.iter().map(|n| (eight.tdc(*n).unwrap() - first).rem_euclid(360.0)).collect();
    assert_eq!(turned, [0.0, 90.0, 180.0, 270.0, 0.0, 90.0, 180.0, 270.0]);
}

#[test]
fn uneven_engines_are_taken() {
    let twin = "id = \"vee-twin\"\nduty = \"road\"\nunit = \"metric\"\nlayout = \"v\"\ncylinders = 2\nbank_angle = 45\n\
        forward_bank = \"right\"\nrotation = \"clockwise\"\nfiring_order = [1, 2]\nleft = [1]\nright = [2]\nmains = 2\n\
        pins = [0]\nbore = \"80mm\"\nstroke = \"90mm\"";
    assert_eq!(read(twin).unwrap().on_pin(1), [2, 1]);
    let boxer = twin.replace("layout = \"v\"", "layout = \"flat\"").replace("bank_angle = 45\n", "");
    let boxer = boxer.replace("pins = [0]", "pins = [0, 180]").replace("mains = 2", "mains = 3");
    let boxer = read(&boxer).unwrap();
    assert_eq!((boxer.pin_count(), boxer.pin_of(2), boxer.pin_of(1)), (2, Some(1), Some(2)));
}

#[test]
fn an_engine_answers_to_its_names_and_an_id_comes_first() {
    let four = read(&with(FOUR, "also", Some("[\"Old Faithful\", \"plain eight\"]"))).unwrap();
    let eight = read(EIGHT).unwrap();
    let all = [four, eight];
    let id = |name| find(&all, name).map(|e| e.id.as_str());
    assert_eq!(id("OLD-FAITHFUL"), Some("plain-four"));
    assert_eq!(id("plain eight"), Some("plain-eight"));
    assert_eq!(id("Plain Four"), Some("plain-four"));
    assert_eq!((id("unknown"), id(""), id("-")), (None, None, None));
}
