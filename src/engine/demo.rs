//! The three demo engines of the shelf, for tests: their pages must read as engines and their limits must agree.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use super::limits::{Bounds, Cells, Limit, Sizes};
use super::measures::{MEASURES, of_check};
use super::plan::built_in;
use super::{End, Engine, Rotation};
use crate::quantity::{in_inches, inches};

const PAGES: [&str; 3] = [
    include_str!("../../knowledge/engines/skerry-v8.md"),
    include_str!("../../knowledge/engines/fulmar-four.md"),
    include_str!("../../knowledge/engines/dunlin-six.md"),
];

/// Front matter and body of a page.
fn halves(page: &str) -> (toml::Table, &str) {
    let (front, body) = page.strip_prefix("+++\n").unwrap().split_once("\n+++\n").unwrap();
    (toml::from_str(front).unwrap(), body)
}

/// Skerry V8, Fulmar four, Dunlin six.
pub fn engines() -> [Engine; 3] {
    PAGES.map(|page| {
        let front = halves(page).0;
        Engine::from_toml(front["title"].as_str().unwrap(), front["engine"].as_table().unwrap()).unwrap()
    })
}

fn limits(page: &str) -> Vec<Limit> {
    let rows = halves(page).1.lines().skip_while(|line| !line.starts_with("| Check |")).skip(2);
    rows.take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<_> = line.trim_matches('|').split('|').map(str::trim).collect();
            let [check, at, min, max, unit, basis] = cells[..] else { panic!("{line}") };
            Limit::parse(Cells { check, at, min, max, unit, basis }, "demo", 1).unwrap()
        })
        .collect()
}

/// Each engine with a way to ask its page for the bounds of a measure, in SI.
fn sheets() -> Vec<(Engine, Vec<Limit>)> {
    engines().into_iter().zip(PAGES.map(limits)).collect()
}

fn bounds(engine: &Engine, rows: &[Limit], measure: &str) -> Bounds {
    rows.iter().find(|l| l.measure.name == measure).unwrap().bounds(&Sizes::from(engine)).unwrap()
}

#[test]
fn each_page_has_a_row_for_every_measure_and_no_row_twice() {
    for (engine, rows) in sheets() {
        let without = |name| engine.without.iter().any(|id| of_check(built_in(id).unwrap()).contains(&name));
        for kind in MEASURES.iter().filter(|kind| !without(kind.name)) {
            let here: Vec<_> = rows.iter().filter(|l| l.measure.name == kind.name).map(|l| l.at).collect();
            let whole = here.contains(&"-") || !kind.parts.is_empty() && kind.parts.iter().all(|p| here.contains(p));
            assert!(whole, "{}: {} at {here:?}", engine.title, kind.name);
            let once: std::collections::HashSet<_> = here.iter().collect();
            assert_eq!(once.len(), here.len(), "{}: {}", engine.title, kind.name);
        }
        assert!(rows.iter().all(|l| l.basis == "demo sheet (invented)" && l.bounds(&Sizes::from(&engine)).is_ok()));
    }
}

#[test]
fn with_standard_shells_every_pairing_in_limits_gives_a_clearance_in_limits() {
    let shells = [
        ("main housing", "main journal", "main oil clearance", [0.0943, 1.988 / 25.4, 0.0969]),
        ("big end bore", "rod journal", "rod oil clearance", [0.0612, 1.488 / 25.4, 0.0612]),
    ];
    for (hole, journal, clearance, walls) in shells {
        for ((engine, rows), wall) in sheets().iter().zip(walls) {
            let [hole, journal, clearance] = [hole, journal, clearance].map(|m| bounds(engine, rows, m));
            let wall = 2.0 * wall * 0.0254;
            let smallest = hole.min.unwrap() - wall - journal.max.unwrap();
            let largest = hole.max.unwrap() - wall - journal.min.unwrap();
            assert!(smallest > 0.0 && smallest >= clearance.min.unwrap() - 1e-9, "{}: {smallest}", engine.title);
            assert!(largest <= clearance.max.unwrap() + 1e-9, "{}: {largest}", engine.title);
        }
    }
}

#[test]
fn nominal_sizes_lie_in_their_own_limits() {
    for (engine, rows) in sheets() {
        let inside = |measure, length| {
            let (b, si) = (bounds(&engine, &rows, measure), in_inches(length) * 0.0254);
            assert!(si >= b.min.unwrap() - 1e-9 && si <= b.max.unwrap() + 1e-9, "{}: {measure}", engine.title);
        };
        inside("bore size", engine.bore);
        inside("main journal", engine.main_journal.unwrap());
        inside("rod journal", engine.rod_journal.unwrap());
        let stack = engine.compression_height.unwrap() + engine.rod_length.unwrap() + engine.stroke / 2.0;
        inside("piston to deck", engine.deck_height.unwrap() - stack);
    }
}

#[test]
fn the_dunlin_turns_the_other_way() {
    let [skerry, fulmar, dunlin] = engines();
    assert_eq!(skerry.rotation, Rotation::Clockwise);
    assert_eq!((dunlin.rotation, dunlin.front_mark), (Rotation::CounterClockwise, Some(End::Flywheel)));
    assert_eq!(fulmar.main_journal.map(in_inches).map(|d| (d * 25.4 * 1e3).round()), Some(54_000.0));
    assert!((skerry.bore - inches(4.0)).abs() < inches(1e-9));
}
