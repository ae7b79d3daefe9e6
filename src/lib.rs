//! Gudgeon: a chat bot with a shared reference library for shops that rebuild piston engines.
//!
//! Data flows one way, down: `fronts` -> `desk` -> `library` | `record` | `drawing` -> `engine` -> `maths` -> `quantity`.

pub mod config;
pub mod desk;
pub mod drawing;
pub mod engine;
pub mod fronts;
pub mod library;
pub mod maths;
pub mod quantity;
pub mod record;
pub mod shop;
