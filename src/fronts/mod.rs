//! The doors: transport and painting, nothing else. None of them knows the record, the library or the maths.

#[cfg(feature = "shop")]
pub mod discord;
#[cfg(feature = "shop")]
pub mod terminal;
pub mod web;
