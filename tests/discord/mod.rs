//! The chat front from outside: the real client, started as the program starts it, against a server of our own.
//!
//! `server` is that server (`gateway`, `rest`), `events` what it sends, `limits` what the platform would refuse.

mod answers;
mod events;
mod faults;
mod gateway;
mod limits;
mod presses;
mod registering;
mod rest;
mod secrecy;
mod server;
mod shop;
mod sums;
