//! Worked sums: each result beside where it comes from.
//!
//! A check names its source: a standard, a textbook, common practice, or arithmetic written out in exact fractions or
//! 30-digit decimals (done with Python's `fractions` and `decimal`, pi to 30 digits), never with this project's code.
//! "From memory" marks what was not read off the page when it was written.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod blocks;
mod bolts;
mod bores;
mod cams;
mod clearance;
mod compare;
mod compression;
mod convert;
mod cranks;
mod cylinders;
mod faces;
mod film;
mod fits;
mod iso286;
mod judge;
mod measuring;
mod pairing;
mod pins;
mod pushrods;
mod repeats;
mod ring_fit;
mod rings;
mod shells;
mod slider;
mod springs;
mod study;
mod uncertainty;
mod valve_gap;
mod valves;

use gudgeon::quantity::{Length, Mass, Measure, Volume};

/// Equal to the digits `expected` is written with: `within` is half of the last one.
#[track_caller]
fn close(given: f64, expected: f64, within: f64) {
    assert!((given - expected).abs() <= within, "{given} is not {expected} to {within}");
}

fn inch(length: Length) -> f64 {
    length.si() / 0.0254
}

fn mm(length: Length) -> f64 {
    length.si() * 1e3
}

fn cc(volume: Volume) -> f64 {
    volume.si() * 1e6
}

fn grams(mass: Mass) -> f64 {
    mass.si() * 1e3
}

fn from_grams(value: f64) -> Mass {
    Mass::from_si(value * 1e-3)
}

fn from_cc(value: f64) -> Volume {
    Volume::from_si(value * 1e-6)
}

/// NIST SP 811, appendix B.8: 1 cubic inch is 16.387 064 cubic centimetres exactly.
fn cubic_inches(volume: Volume) -> f64 {
    cc(volume) / 16.387_064
}
