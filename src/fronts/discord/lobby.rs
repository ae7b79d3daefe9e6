//! The shops that share one client, each known by its server. Whatever comes from a server is handed to that shop's room,
//! and no room knows of another.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use serenity::all::{GuildId, UnavailableGuild, UserId};

use super::connection::Connection;
use super::room::Room;
use super::running::Shop;
use super::settings::Settings;

/// The way from a server to its shop.
pub struct Lobby {
    pub rooms: Vec<Arc<Room>>,
    pub connection: Arc<Connection>,
    /// How the client itself runs: token and times are the same for all of them.
    pub settings: Settings,
    /// Servers of shops that could not be opened.
    shut: Vec<u64>,
}

/// Why nobody answers on a server.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nobody {
    /// It is no shop's, or a private message.
    NoShop,
    /// Its shop could not be opened.
    Shut,
}

impl Lobby {
    /// For shops that name the same token. One that cannot be opened is shut, unless it is the only one: then that is the
    /// error.
    pub fn new(shops: Vec<Shop>) -> anyhow::Result<Option<Self>> {
        let Some(settings) = shops.first().map(|shop| shop.settings.clone()) else { return Ok(None) };
        let (alone, connection) = (shops.len() == 1, Arc::new(Connection::new()));
        let (mut rooms, mut shut) = (Vec::new(), Vec::new());
        for Shop { settings, desk } in shops {
            let guild = settings.guild;
            let room = desk.map(|desk| Room::new(settings, desk, Arc::clone(&connection))).transpose();
            match room {
                Ok(Some(room)) => rooms.push(Arc::new(room)),
                Err(error) if alone => return Err(error),
                Ok(None) => shut.push(guild),
                Err(error) => {
                    tracing::error!("the shop on server {guild} is shut on the chat: {error:#}");
                    shut.push(guild);
                }
            }
        }
        Ok(Some(Self { rooms, connection, settings, shut }))
    }

    /// Whose server that is.
    pub fn room(&self, guild: Option<GuildId>) -> Result<&Arc<Room>, Nobody> {
        let guild = guild.ok_or(Nobody::NoShop)?;
        let serves = |room: &&Arc<Room>| room.settings.guild == 0 || room.settings.guild == guild.get();
        self.rooms.iter().find(serves).ok_or(match self.shut.contains(&guild.get()) {
            true => Nobody::Shut,
            false => Nobody::NoShop,
        })
    }

    /// A connection is up, as that user of the platform and on those servers.
    pub fn up(&self, user: UserId, servers: &[UnavailableGuild]) {
        self.connection.up(user);
        for room in &self.rooms {
            let own = room.settings.guild;
            let out = own != 0 && servers.iter().all(|server| server.id.get() != own);
            room.out.store(out, Ordering::Release);
            room.look_afresh();
        }
    }
}
