//! Making a server ready after every fresh start of a connection, and when the bot is let in again: its roles are read, and
//! the commands are brought in line.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use serenity::all::{GuildId, Http};

use super::answer::limited;
use super::commands;
use super::room::Room;

/// Before each try; the last one again and again.
const PAUSES: [u64; 5] = [0, 2, 10, 60, 300];

/// Tries until it is done, or is begun anew. A server that the bot is not on answers once it is invited.
pub async fn make_ready(room: &Arc<Room>, http: &Http) {
    let turn = room.readying.fetch_add(1, Ordering::AcqRel) + 1;
    let guild = match room.settings.guild {
        0 => None,
        id => Some(GuildId::new(id)),
    };
    let (mut roles_due, mut commands_due) = (guild.is_some(), true);
    let last = PAUSES.iter().rev().take(1).cycle();
    for (number, pause) in PAUSES.iter().chain(last).enumerate() {
        tokio::time::sleep(Duration::from_secs(*pause)).await;
        if room.readying.load(Ordering::Acquire) != turn {
            return;
        }
        if let Some(guild) = guild.filter(|_| roles_due) {
            roles_due = !load_roles(room, http, guild).await;
        }
        if commands_due {
            commands_due = match register(room, http, guild).await {
                Ok(()) => false,
                Err(error) => {
                    // What stays so is told as often as it is news.
                    if number < PAUSES.len() {
                        tracing::error!(
                            "the slash commands could not be registered: {error}. Check discord.guild, and that the bot was invited to that server with the scopes bot and applications.commands"
                        );
                    }
                    true
                }
            };
        }
        if !roles_due && !commands_due {
            return;
        }
        room.unready.store(true, Ordering::Release);
    }
}

/// Whether the server's roles could be read.
pub async fn load_roles(room: &Room, http: &Http, guild: GuildId) -> bool {
    match limited(http.get_guild_roles(guild)).await {
        Ok(roles) => {
            room.roles.set(guild, &roles);
            true
        }
        Err(error) => {
            tracing::warn!("the server's roles could not be read, so everyone counts as an apprentice: {error}");
            false
        }
    }
}

async fn register(room: &Room, http: &Http, guild: Option<GuildId>) -> Result<(), String> {
    let ours = commands::all(room.desk.forms(), guild.is_none());
    let registered = match guild {
        Some(guild) => limited(http.get_guild_commands(guild)).await?,
        None => limited(http.get_global_commands()).await?,
    };
    if commands::same(&ours, &registered) {
        return Ok(());
    }
    match guild {
        Some(guild) => limited(http.create_guild_commands(guild, &ours)).await?,
        None => limited(http.create_global_commands(&ours)).await?,
    };
    tracing::info!("{} slash commands registered", ours.len());
    Ok(())
}
