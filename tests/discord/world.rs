//! The server there is on the platform, and perhaps another like it: who the bot is, roles and channels, and what the bot may do.

use axum::http::StatusCode;
use serde_json::{Value, json};

use super::events::{APPLICATION, CHANNEL, GUILD, SECOND, SECOND_CHANNEL, user};
use super::store::Store;

/// The bot's own role.
pub const BOT_ROLE: &str = "19";
/// What waits for the lead is told here.
pub const REVIEW: &str = "701";
pub const SECOND_REVIEW: &str = "751";
/// A thread of the bench channel that someone made by hand.
pub const THREAD: &str = "702";

/// Rights, as the platform numbers them.
pub const VIEW_CHANNEL: u64 = 1 << 10;
pub const SEND_MESSAGES: u64 = 1 << 11;
pub const EMBED_LINKS: u64 = 1 << 14;
pub const ATTACH_FILES: u64 = 1 << 15;
pub const MANAGE_THREADS: u64 = 1 << 34;
pub const CREATE_PUBLIC_THREADS: u64 = 1 << 35;
pub const SEND_MESSAGES_IN_THREADS: u64 = 1 << 38;
pub const PIN_MESSAGES: u64 = 1 << 51;

/// What becomes of messages to a channel that are right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    Taken,
    /// The service is down.
    Down,
    /// They are taken, and the answer to that is lost.
    TakenUnanswered,
    /// They are taken, and there is no answer at all.
    TakenSilently,
}

/// "Too many": what one request is told, before it may come again.
#[derive(Debug, Clone)]
pub struct TooMany {
    pub method: &'static str,
    /// A part of its path.
    pub part: String,
    /// Seconds.
    pub wait: u32,
    /// For every request of this bot, not for this kind alone.
    pub everywhere: bool,
    /// How far the platform's clock is ahead of ours, in seconds.
    pub skew: i64,
}

/// What a test may change.
pub struct World {
    pub token_known: bool,
    /// The application wants a code in return for an invitation.
    pub code_grant: bool,
    /// The bot was invited, and with the scope for commands.
    pub invited: bool,
    pub commands_scope: bool,
    /// The bot is on the second server, too.
    pub second: bool,
    /// Rights of the bot's role.
    pub rights: u64,
    /// Rights that each channel takes from the bot.
    pub denied: Vec<(&'static str, u64)>,
    pub lead_can_be_called: bool,
    /// Names of the roles 11 and 12.
    pub role_names: [&'static str; 2],
    pub review_channel: &'static str,
    pub messages: Fate,
    /// Someone deletes each message before its button is answered, and each answer before it is edited.
    pub deleted: bool,
    /// How a request fails while the service is down.
    pub down: Refused,
    pub store: Store,
    /// Each holds once.
    pub too_many: Vec<TooMany>,
}

impl Default for World {
    fn default() -> Self {
        Self {
            token_known: true,
            code_grant: false,
            invited: true,
            commands_scope: true,
            second: false,
            rights: gudgeon::fronts::discord::rights().bits(),
            denied: Vec::new(),
            lead_can_be_called: true,
            role_names: ["lead", "tech"],
            review_channel: "lead-bench",
            messages: Fate::Taken,
            deleted: false,
            down: DOWN,
            store: Store::new(),
            too_many: Vec::new(),
        }
    }
}

/// An error as the platform words it.
pub type Refused = (StatusCode, u32, &'static str);

pub const DOWN: Refused = (StatusCode::SERVICE_UNAVAILABLE, 0, "down");
pub const UNKNOWN_TOKEN: Refused = (StatusCode::UNAUTHORIZED, 0, "401: Unauthorized");
pub const UNKNOWN_CHANNEL: Refused = (StatusCode::NOT_FOUND, 10_003, "Unknown Channel");
pub const UNKNOWN_MESSAGE: Refused = (StatusCode::NOT_FOUND, 10_008, "Unknown Message");
pub const UNKNOWN_SERVER: Refused = (StatusCode::NOT_FOUND, 10_004, "Unknown Guild");
pub const NO_ACCESS: Refused = (StatusCode::FORBIDDEN, 50_001, "Missing Access");
pub const NO_RIGHT: Refused = (StatusCode::FORBIDDEN, 50_013, "Missing Permissions");

/// The server that a channel is of.
pub fn server_of(channel: &str) -> u64 {
    if [SECOND_CHANNEL, SECOND_REVIEW].contains(&channel) { SECOND } else { GUILD }
}

impl World {
    /// The servers that the bot is on.
    pub fn servers(&self) -> Vec<u64> {
        let all = [(GUILD, self.invited), (SECOND, self.second)];
        all.into_iter().filter(|(_, on)| *on).map(|(server, _)| server).collect()
    }

    pub fn roles(&self, server: u64) -> Value {
        let role = |id: &str, name: &str, rights: u64, mentionable: bool| {
            json!({"id": id, "name": name, "color": 0, "hoist": false, "icon": null, "unicode_emoji": null,
                "colors": {"primary_color": 0, "secondary_color": null, "tertiary_color": null}, "position": 1,
                "permissions": rights.to_string(), "managed": false, "mentionable": mentionable, "flags": 0})
        };
        let [lead, tech] = self.role_names;
        json!([
            role(&server.to_string(), "@everyone", 0, false),
            role("11", lead, 0, self.lead_can_be_called),
            role("12", tech, 0, false),
            role("13", "visitors", 0, false),
            role(BOT_ROLE, "gudgeon", self.rights, false),
        ])
    }

    pub fn channels(&self, server: u64) -> Value {
        let channel = |id: &str, name: &str, kind: u8| {
            let denied = self.denied.iter().filter(|(channel, _)| *channel == id);
            let overwrites: Vec<Value> = denied
                .map(|(_, rights)| json!({"id": BOT_ROLE, "type": 0, "allow": "0", "deny": rights.to_string()}))
                .collect();
            json!({"id": id, "type": kind, "guild_id": server.to_string(), "position": 0, "name": name, "topic": null,
                "permission_overwrites": overwrites, "nsfw": false, "rate_limit_per_user": 0, "parent_id": null,
                "last_message_id": null, "flags": 0})
        };
        let (bench, review) = if server == SECOND { (SECOND_CHANNEL, SECOND_REVIEW) } else { (CHANNEL, REVIEW) };
        json!([channel("703", "Shop floor", 4), channel(bench, "bench", 0), channel(review, self.review_channel, 0)])
    }

    pub fn guild(&self, server: u64) -> Value {
        let name = if server == SECOND { "Second yard" } else { "Ropewalk" };
        json!({"id": server.to_string(), "name": name, "icon": null, "splash": null, "discovery_splash": null,
            "owner_id": "602", "afk_channel_id": null, "afk_timeout": 300, "verification_level": 0,
            "default_message_notifications": 1, "explicit_content_filter": 0, "roles": self.roles(server), "emojis": [],
            "features": [], "mfa_level": 0, "application_id": null, "system_channel_id": null,
            "system_channel_flags": 0, "rules_channel_id": null, "vanity_url_code": null, "description": null,
            "banner": null, "premium_tier": 0, "preferred_locale": "en-GB", "public_updates_channel_id": null,
            "nsfw_level": 0, "stickers": [], "premium_progress_bar_enabled": false})
    }

    /// The bot as a member.
    pub fn member(&self) -> Value {
        json!({"user": user("gudgeon"), "nick": null, "avatar": null, "roles": [BOT_ROLE],
            "joined_at": "2026-01-05T08:00:00.000000+00:00", "premium_since": null, "deaf": false, "mute": false,
            "flags": 0, "pending": false, "communication_disabled_until": null})
    }

    pub fn application(&self) -> Value {
        json!({"id": APPLICATION, "name": "gudgeon", "icon": null, "description": "", "bot_public": false,
            "bot_require_code_grant": self.code_grant, "verify_key": "00", "team": null, "flags": 0})
    }

    /// Whether the bot has these rights where those channels take some away. A right that is lacking is so for good.
    pub fn may(&self, channels: &[&str], rights: u64) -> Result<(), Refused> {
        let denied =
            self.denied.iter().filter(|(at, _)| channels.contains(at)).fold(0, |all, (_, rights)| all | rights);
        let held = self.rights & !denied;
        match (held & VIEW_CHANNEL, held & rights == rights) {
            (0, _) => Err(NO_ACCESS),
            (_, true) => Ok(()),
            (_, false) => Err(NO_RIGHT),
        }
    }
}

/// The rights that the platform wants to see for a message, by its reference on creating one. (Cards of a bot without
/// the right for them are dropped there without a word, so here they are refused.)
pub fn wanted_to_send(thread: bool, body: &Value, files: bool) -> u64 {
    let send = if thread { SEND_MESSAGES_IN_THREADS } else { SEND_MESSAGES };
    let cards = body["embeds"].as_array().is_some_and(|embeds| !embeds.is_empty());
    VIEW_CHANNEL | send | if cards { EMBED_LINKS } else { 0 } | if files { ATTACH_FILES } else { 0 }
}
