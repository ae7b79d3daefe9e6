//! Gudgeon: a chat bot with a shared reference library for shops that rebuild piston engines.
//!
//! Data flows one way, down: `fronts` -> `desk` -> `library` | `record` | `drawing` -> `engine` -> `maths` -> `quantity`.

// A phone goes without some of it; the whole build tells what nobody uses.
#![cfg_attr(not(feature = "shop"), allow(dead_code, unused_imports))]

pub mod config;
pub mod desk;
pub mod drawing;
pub mod engine;
pub mod fronts;
pub mod library;
pub mod maths;
pub mod quantity;
pub mod record;
#[cfg(feature = "shop")]
pub mod shop;
#[cfg(feature = "shop")]
pub mod shops;
