//! One binary for every test that looks at the program from outside. tests/README.md says how to add a case.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod browser;
mod discord;
mod door;
mod drawing;
mod durability;
mod house;
mod lead;
mod library;
mod pictures;
mod record;
mod search;
mod sheet;
mod talks;
mod worked;
