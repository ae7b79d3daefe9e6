//! The doors: transport and painting, nothing else. None of them knows the record, the library or the maths.

pub mod discord;
pub mod terminal;
pub mod web;
