//! The engine model: layout, banks, crank pins, orientation, ring clocking, the measuring plan and its limits.
//!
//! Plain data out: enums and numbers, never sentences. This room knows nothing of pages, records or chat; the library
//! hands it front matter and table cells, the record hands it raw readings in SI.
//!
//! Left and right are those of a person standing at the rear (flywheel end) of the engine and looking forward.

pub mod clocking;
pub mod derived;
pub mod gauges;
pub mod limits;
pub mod measures;
mod model;
pub mod orientation;
pub mod plan;
mod position;
mod read;
mod sanity;
mod stage;

#[cfg(test)]
mod demo;

pub use model::{Bank, Banks, Duty, End, Engine, Facing, Layout, Reliefs, Rotation, Seat, Side, find};
pub use position::{Face, Per, Point, Position, Ring, UnknownPosition, Valve, positions};
pub use read::EngineFault;
pub use stage::Stage;

/// Lower-case letters and digits only: how names are compared, so that `Skerry V8`, `skerry-v8` and `SKERRYV8` are one.
pub(crate) fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase()
}
