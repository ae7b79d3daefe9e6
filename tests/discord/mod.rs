//! The chat front from outside: the real client, started as the program starts it, against a server of our own.
//!
//! `server` is that server (`gateway`, `rest`), `world` what is on it, `events` what it sends, `contract` judges every request the front sends.

mod answers;
mod changes;
mod contract;
mod day;
mod digest;
mod drawing;
mod evening;
mod events;
mod everything;
mod faults;
mod gateway;
mod hostile;
mod judging;
mod limiter;
mod notices;
mod palette;
mod photos;
mod places;
mod presses;
mod process;
mod registering;
mod rest;
mod second;
mod secrecy;
mod secure;
mod server;
mod setup;
mod several;
mod shop;
mod slow;
mod store;
mod sums;
mod telling;
mod threads;
mod world;
