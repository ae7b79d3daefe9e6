//! Gudgeon: a chat bot with a shared reference library for shops that rebuild piston engines.
//!
//! Data flows one way, down: `fronts` -> `desk` -> `library` | `record` | `drawing` -> `engine` -> `maths` -> `quantity`.

pub mod engine;
pub mod library;
pub mod quantity;
