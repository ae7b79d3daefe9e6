//! The house itself: its layers, its settings, its command list.

mod bad_input;
pub mod commands;
mod layers;
mod posted;
mod settings;
