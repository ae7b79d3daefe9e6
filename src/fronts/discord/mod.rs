//! The chat front: slash commands, completion, buttons and forms on a chat server, through serenity.
//!
//! Data flows one way: an interaction becomes a line (`slash`, `buttons`, `modal`), the desk answers it, `paint` makes
//! a message of plain data out of the outcome, `post` hands that to serenity. `running` keeps the client alive.

mod answer;
mod body;
mod buttons;
mod commands;
mod handler;
mod limits;
mod mark;
mod modal;
mod paint;
mod people;
mod post;
mod room;
mod rows;
mod running;
mod settings;
mod slash;
mod table;

pub use running::{Running, State, start};
pub use settings::{Settings, Token};
