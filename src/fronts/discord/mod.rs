//! The chat front: slash commands, completion, buttons and forms on a chat server, through serenity.
//!
//! Data flows one way: an interaction becomes a line (`slash`, `buttons`, `modal`) with the photographs that came beside it
//! (`attachments`), the desk answers it, `paint` makes a message of plain data out of the outcome, `post` hands that to
//! serenity. `running` keeps a client alive, `lobby` leads from a server to its shop's `room`, `ready` makes the server ready;
//! `checkup` looks beforehand at what it needs; `telling` says what must be said unasked, `threads` keeps each job's thread.

mod answer;
mod attachments;
mod body;
mod buttons;
mod card;
mod checkup;
mod client;
mod commands;
mod connection;
mod handler;
mod invite;
mod limits;
mod lobby;
mod mark;
mod modal;
mod paint;
mod people;
mod post;
mod ready;
mod room;
mod rows;
mod running;
mod settings;
mod slash;
mod table;
mod telling;
mod threads;

pub use checkup::{Finding, check};
pub use invite::{application, link as invite_link, rights};
pub use running::{Running, Shop, State, start};
pub use settings::{Settings, Token};
