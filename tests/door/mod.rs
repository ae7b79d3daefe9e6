//! The door to the shop's network: TLS, joining, limits, by requests over a real connection. `README.md` here holds these
//! against a published list of requirements.

mod addresses;
mod client;
mod guarded;
mod joining;
mod process;
mod tls;
