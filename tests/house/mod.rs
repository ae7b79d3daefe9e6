//! The house itself: its layers, its settings, its command list.

mod commands;
mod layers;
mod settings;
