//! What the platform sends, whole enough for a strict reader.

use serde_json::{Value, json};

use super::world::World;

pub const APPLICATION: &str = "300";
pub const GUILD: u64 = 400;
pub const CHANNEL: &str = "700";
/// Another server, where there is one, and its bench.
pub const SECOND: u64 = 450;
pub const SECOND_CHANNEL: &str = "750";

/// A member of the server, by the ids of their roles.
#[derive(Debug, Clone, Copy)]
pub struct Person {
    pub name: &'static str,
    pub roles: &'static [&'static str],
}

pub const LEAD: Person = Person { name: "harbour_lead", roles: &["11"] };
pub const TECH: Person = Person { name: "bench_tech", roles: &["12"] };
/// Has no job on the bench, whatever the others took up.
pub const AT_LEISURE: Person = Person { name: "idle_tech", roles: &["12"] };
/// Called as the shop's own lead is, and no more than a visitor here.
pub const VISITOR: Person = Person { name: "lead", roles: &["13"] };

/// A user's number.
pub fn number(name: &str) -> &'static str {
    match name {
        "harbour_lead" => "603",
        "idle_tech" => "604",
        "lead" => "605",
        "gudgeon" => APPLICATION,
        _ => "601",
    }
}

pub fn user(name: &str) -> Value {
    json!({"id": number(name), "username": name, "discriminator": "0", "global_name": "Someone **bold**", "avatar": null,
        "bot": false, "public_flags": 0})
}

pub fn ready(world: &World) -> Value {
    let servers = world.servers().into_iter().map(|id| json!({"id": id.to_string(), "unavailable": true}));
    json!({"v": 10, "user": {"id": APPLICATION, "username": "gudgeon", "discriminator": "0", "global_name": null,
            "avatar": null, "bot": true, "mfa_enabled": false, "verified": true, "email": null, "flags": 0},
        "guilds": servers.collect::<Vec<_>>(), "session_id": "session",
        "resume_gateway_url": "ws://127.0.0.1:9", "shard": [0, 1], "application": {"id": APPLICATION, "flags": 0}})
}

/// A server as it is told to a bot that comes in.
pub fn guild(world: &World, id: u64) -> Value {
    let mut guild = world.guild(id);
    let more = json!({"joined_at": "2026-01-05T08:00:00.000000+00:00", "large": false, "unavailable": false,
        "member_count": 4, "voice_states": [], "members": [], "channels": [], "threads": [], "presences": [],
        "stage_instances": [], "guild_scheduled_events": []});
    if let (Value::Object(guild), Value::Object(more)) = (&mut guild, more) {
        guild.extend(more);
    }
    guild
}

pub fn message() -> Value {
    json!({"id": "800", "channel_id": CHANNEL, "author": user("gudgeon"), "content": "",
        "timestamp": "2026-11-20T09:00:00.000000+00:00", "edited_timestamp": null, "tts": false,
        "mention_everyone": false, "mentions": [], "mention_roles": [], "attachments": [], "embeds": [],
        "pinned": false, "type": 0, "components": []})
}

fn interaction(id: u64, kind: u8, person: Person, data: Value) -> Value {
    json!({"id": id.to_string(), "application_id": APPLICATION, "type": kind, "data": data,
        "guild_id": GUILD.to_string(), "guild": {"id": GUILD.to_string(), "locale": "en-GB", "features": []},
        "channel": {"id": CHANNEL, "name": "bench", "type": 0, "permissions": "0"}, "channel_id": CHANNEL,
        "member": {"user": user(person.name), "nick": "Nick", "avatar": null, "roles": person.roles,
            "joined_at": "2026-01-05T08:00:00.000000+00:00", "premium_since": null, "deaf": false, "mute": false,
            "flags": 0, "pending": false, "permissions": "2147483648", "communication_disabled_until": null},
        "token": format!("answer-{id}"), "version": 1, "app_permissions": "2147483648", "locale": "en-GB",
        "guild_locale": "en-GB", "entitlements": [], "authorizing_integration_owners": {"0": GUILD.to_string()},
        "context": 0, "attachment_size_limit": 10_485_760})
}

/// The same interaction from another server, as far as its channel goes: its bench, or the one it was from.
pub fn from_server(server: u64, mut interaction: Value) -> Value {
    let id = server.to_string();
    interaction["guild"]["id"] = id.clone().into();
    interaction["authorizing_integration_owners"]["0"] = id.clone().into();
    if !interaction["data"]["guild_id"].is_null() {
        interaction["data"]["guild_id"] = id.clone().into();
    }
    interaction["guild_id"] = id.into();
    if server == SECOND && interaction["channel_id"] == CHANNEL {
        interaction["channel_id"] = SECOND_CHANNEL.into();
        interaction["channel"]["id"] = SECOND_CHANNEL.into();
    }
    interaction
}

/// The same interaction from a thread.
pub fn from_thread(thread: &str, mut interaction: Value) -> Value {
    interaction["channel_id"] = thread.into();
    interaction["channel"] = json!({"id": thread, "name": "a thread", "type": 11, "permissions": "0",
        "parent_id": CHANNEL, "thread_metadata": {"archived": false, "auto_archive_duration": 10_080,
            "archive_timestamp": "2026-11-20T09:00:00.000000+00:00", "locked": false}});
    interaction
}

/// A slash command; `words` are its name and, after a blank, its verb.
pub fn slash(id: u64, person: Person, words: &str, options: Vec<Value>) -> Value {
    interaction(id, 2, person, command_data(words, options))
}

/// A slash command while it is typed: one of its options is focused.
pub fn typing(id: u64, person: Person, words: &str, options: Vec<Value>) -> Value {
    interaction(id, 4, person, command_data(words, options))
}

fn command_data(words: &str, options: Vec<Value>) -> Value {
    let (name, options) = match words.split_once(' ') {
        Some((family, verb)) => (family, json!([{"name": verb, "type": 1, "options": options}])),
        None => (words, json!(options)),
    };
    json!({"id": "500", "name": name, "type": 1, "guild_id": GUILD.to_string(), "options": options})
}

pub fn text(name: &str, value: &str) -> Value {
    json!({"name": name, "type": 3, "value": value})
}

pub fn whole(name: &str, value: u32) -> Value {
    json!({"name": name, "type": 4, "value": value})
}

/// The slash command with a file beside it, in the option of that name.
pub fn with_file(mut interaction: Value, option: &str, name: &str, url: &str, size: usize) -> Value {
    let data = &mut interaction["data"];
    let number = (7_000 + data["resolved"]["attachments"].as_object().map_or(0, |all| all.len())).to_string();
    data["resolved"]["attachments"][&number] = json!({"id": number, "filename": name, "size": size, "url": url,
        "proxy_url": url, "content_type": "image/jpeg", "width": 64, "height": 48, "ephemeral": true});
    let verb = data["options"].as_array().is_some_and(|options| options.iter().any(|option| option["type"] == 1));
    let options = if verb { &mut data["options"][0]["options"] } else { &mut data["options"] };
    options.as_array_mut().unwrap().push(json!({"name": option, "type": 11, "value": number}));
    interaction
}

/// An option with the cursor in it.
pub fn focused(name: &str, value: &str) -> Value {
    json!({"name": name, "type": 3, "value": value, "focused": true})
}

/// A button that was pressed.
pub fn press(id: u64, person: Person, custom_id: &str) -> Value {
    let mut pressed = interaction(id, 3, person, json!({"custom_id": custom_id, "component_type": 2}));
    pressed["message"] = message();
    pressed
}

/// An entry chosen from a menu.
pub fn choose(id: u64, person: Person, custom_id: &str, value: &str) -> Value {
    let data = json!({"custom_id": custom_id, "component_type": 3, "values": [value]});
    let mut chosen = interaction(id, 3, person, data);
    chosen["message"] = message();
    chosen
}

/// A form that was filled in.
pub fn fill(id: u64, person: Person, custom_id: &str, values: &[(&str, &str)]) -> Value {
    let rows: Vec<Value> = values
        .iter()
        .map(|(id, value)| json!({"type": 1, "components": [{"type": 4, "custom_id": id, "value": value}]}))
        .collect();
    interaction(id, 5, person, json!({"custom_id": custom_id, "components": rows}))
}
