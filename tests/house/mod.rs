//! The house itself: its layers, its settings, its command list.

mod bad_input;
mod commands;
mod console;
mod gauges;
mod held;
mod layers;
mod looking;
mod photos;
mod posted;
mod remedies;
mod settings;
mod shops;
pub mod sums;
