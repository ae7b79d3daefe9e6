//! The fake platform of the chat's tests, for the bench; see `tests/discord/README.md`.
#![allow(dead_code, unused_imports, clippy::unwrap_used, clippy::expect_used)]

#[path = "../discord/contract/mod.rs"]
pub mod contract;
#[path = "../discord/events.rs"]
pub mod events;
#[path = "../discord/gateway.rs"]
pub mod gateway;
#[path = "../discord/places.rs"]
pub mod places;
#[path = "../discord/rest.rs"]
pub mod rest;
#[path = "../discord/secure.rs"]
pub mod secure;
#[path = "../discord/server.rs"]
pub mod server;
#[path = "../discord/store.rs"]
pub mod store;
#[path = "../discord/world.rs"]
pub mod world;
