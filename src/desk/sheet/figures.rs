//! The sheet's figures: a map of each bore, the readings of each judged measure on one scale, the ring gaps in place.

use crate::desk::commands::clock::show;
use crate::desk::yardstick::mark;
use crate::drawing::scale_rows::{self, Row, ScaleRows};
use crate::drawing::{Figure, bore_map};
use crate::engine::Engine;
use crate::engine::clocking::Clocking;
use crate::maths::bores::Grid;
use crate::quantity::{Length, Measure as _, System, show as shown};

use super::{Check, Reading, Stage};

/// Measures worth a picture: those an engine turns, seals or knocks by.
const PICTURED: [&str; 9] = [
    "main oil clearance",
    "rod oil clearance",
    "piston clearance",
    "crank run-out",
    "ring gap",
    "rod side clearance",
    "rod bolt stretch",
    "piston to deck",
    "squish",
];

/// Every figure there are readings for, in the order of the work.
pub fn draw(stages: &[Stage], engine: &Engine, lead: System) -> Vec<Figure> {
    let checks: Vec<&Check> = stages.iter().flat_map(|stage| &stage.checks).collect();
    let bores = checks.iter().filter(|check| check.id == "bore").flat_map(|check| &check.readings);
    let mut all: Vec<Figure> = bores.filter_map(|reading| bore(reading, lead)).collect();
    if checks.iter().any(|check| check.id == "ring-gap") {
        all.push(show::figure(&Clocking::usual(engine), Some(engine), Vec::new(), |_| None));
    }
    for measure in PICTURED {
        all.extend(scales(&checks, measure, lead));
    }
    all
}

fn bore(reading: &Reading, lead: System) -> Option<Figure> {
    let lengths: Vec<Length> = reading.raw.iter().copied().map(Length::from_si).collect();
    let six = Grid::new(&lengths).ok()?;
    let findings = reading.measures.iter().filter(|m| m.name.starts_with("bore ")).map(|m| bore_map::Finding {
        words: format!("{} {}", m.name.trim_start_matches("bore "), shown::any(m.dimension, m.value, lead)),
        mark: Some(mark(m.verdict)),
    });
    Some(bore_map::draw(&bore_map::BoreMap {
        heading: format!("Bore {}", reading.place),
        system: lead,
        readings: six.0,
        nominal: None,
        findings: findings.collect(),
    }))
}

/// One figure for each set of limits a measure was judged by: an override or a second ring gets a scale of its own.
fn scales(checks: &[&Check], measure: &str, lead: System) -> Vec<Figure> {
    let mut all: Vec<ScaleRows> = Vec::new();
    for reading in checks.iter().flat_map(|check| &check.readings) {
        for judged in reading.measures.iter().filter(|m| m.name == measure && (m.min.is_some() || m.max.is_some())) {
            let row = Row { place: reading.place.clone(), value: judged.value, mark: mark(judged.verdict) };
            let heading = format!("{} {}", shown::capital(&judged.name), judged.part);
            let heading = heading.trim_end();
            let same = all.iter_mut().find(|s| s.heading == heading && (s.min, s.max) == (judged.min, judged.max));
            match same {
                // A clearance completed by either of its two parts is one clearance: the later word stands.
                Some(scale) => {
                    scale.rows.retain(|old| old.place != row.place);
                    scale.rows.push(row);
                }
                None => all.push(ScaleRows {
                    heading: heading.to_owned(),
                    dimension: judged.dimension,
                    system: lead,
                    min: judged.min,
                    max: judged.max,
                    rows: vec![row],
                }),
            }
        }
    }
    all.iter().map(scale_rows::draw).collect()
}
