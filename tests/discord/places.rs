//! What stands in the channels: messages with their edits and pins, and threads, each opened in a channel and perhaps
//! archived.

use axum::http::StatusCode;
use serde_json::{Value, json};

use super::events::{self, APPLICATION, CHANNEL, SECOND_CHANNEL};
use super::world::{
    CREATE_PUBLIC_THREADS, MANAGE_THREADS, NO_ACCESS, PIN_MESSAGES, REVIEW, Refused, SECOND_REVIEW, THREAD,
    UNKNOWN_CHANNEL, UNKNOWN_MESSAGE, VIEW_CHANNEL, World, server_of,
};

const NOT_YOURS: Refused = (StatusCode::FORBIDDEN, 50_005, "Cannot edit a message authored by another user");
const NOT_HERE: Refused = (StatusCode::BAD_REQUEST, 50_024, "Cannot execute action on this channel type");
const ARCHIVED: Refused = (StatusCode::BAD_REQUEST, 50_083, "Thread is archived");

/// A message in a channel.
#[derive(Debug, Clone)]
pub struct Posted {
    pub id: String,
    pub channel: String,
    /// As it was sent.
    pub body: Value,
    /// Each as it was sent, in order.
    pub edits: Vec<Value>,
    pub pinned: bool,
    deleted: bool,
}

/// A thread of a channel.
#[derive(Debug, Clone)]
pub struct Thread {
    pub id: String,
    pub parent: String,
    pub name: String,
    pub owner: &'static str,
    pub archived: bool,
}

/// All of it.
pub struct Places {
    messages: Vec<Posted>,
    threads: Vec<Thread>,
    made: usize,
}

impl Default for Places {
    fn default() -> Self {
        let by_hand = Thread {
            id: THREAD.to_owned(),
            parent: CHANNEL.to_owned(),
            name: "port engine".to_owned(),
            owner: "602",
            archived: false,
        };
        Self { messages: Vec::new(), threads: vec![by_hand], made: 0 }
    }
}

impl Places {
    /// What stands there now.
    pub fn posted(&self) -> Vec<Posted> {
        self.messages.iter().filter(|message| !message.deleted).cloned().collect()
    }

    /// The bot's own threads.
    pub fn threads(&self) -> Vec<Thread> {
        self.threads.iter().filter(|thread| thread.owner == APPLICATION).cloned().collect()
    }

    /// Someone deletes a message by hand.
    pub fn delete_message(&mut self, id: &str) {
        self.messages.iter_mut().find(|message| message.id == id).unwrap().deleted = true;
    }

    /// Someone deletes a thread by hand, and all that was in it.
    pub fn delete_thread(&mut self, id: &str) {
        self.threads.retain(|thread| thread.id != id);
        self.messages.retain(|message| message.channel != id);
    }

    /// Nothing was said in a thread for long, so the platform archives it.
    pub fn fall_asleep(&mut self, id: &str) {
        self.thread_mut(id).unwrap().archived = true;
    }

    pub fn is_thread(&self, channel: &str) -> bool {
        self.threads.iter().any(|thread| thread.id == channel)
    }

    fn is_there(&self, channel: &str) -> bool {
        [CHANNEL, REVIEW, SECOND_CHANNEL, SECOND_REVIEW].contains(&channel) || self.is_thread(channel)
    }

    fn thread_mut(&mut self, id: &str) -> Option<&mut Thread> {
        self.threads.iter_mut().find(|thread| thread.id == id)
    }

    /// The channel whose rights hold there: a thread has none of its own.
    fn parent<'c>(&'c self, channel: &'c str) -> &'c str {
        self.threads.iter().find(|thread| thread.id == channel).map_or(channel, |thread| thread.parent.as_str())
    }

    /// Whether the bot has these rights in a channel that is there.
    pub fn may(&self, world: &World, channel: &str, rights: u64) -> Result<(), Refused> {
        if !self.is_there(channel) {
            return Err(UNKNOWN_CHANNEL);
        }
        // Who is not on a server does not get into its channels.
        if !world.servers().contains(&server_of(self.parent(channel))) {
            return Err(NO_ACCESS);
        }
        world.may(&[channel, self.parent(channel)], rights)
    }

    /// Takes a message, and gives it back as the platform keeps it. One whose nonce was used before, where that is to be
    /// looked at, is the one from then. In an archived thread it opens that again.
    pub fn post(&mut self, channel: &str, body: &Value) -> Value {
        let enforced = body["enforce_nonce"] == true && !body["nonce"].is_null();
        let same = |other: &Posted| enforced && other.channel == channel && other.body["nonce"] == body["nonce"];
        let at = self.messages.iter().position(same).unwrap_or_else(|| {
            let id = (8_000 + self.messages.len()).to_string();
            let (channel, body) = (channel.to_owned(), body.clone());
            self.messages.push(Posted { id, channel, body, edits: Vec::new(), pinned: false, deleted: false });
            self.messages.len() - 1
        });
        if let Some(thread) = self.thread_mut(channel) {
            thread.archived = false;
        }
        as_kept(&self.messages[at])
    }

    /// The request that a path means, as far as it is about what stands here; none where it is about something else.
    pub fn reply(
        &mut self,
        world: &World,
        method: &str,
        parts: &[&str],
        body: &Value,
    ) -> Option<Result<Value, Refused>> {
        Some(match (method, parts) {
            ("GET", ["channels", channel]) => self.channel(world, channel),
            ("GET", ["guilds", guild, "threads", "active"]) => {
                let here = |thread: &&Thread| !thread.archived && server_of(&thread.parent).to_string() == *guild;
                let active: Vec<Value> = self.threads.iter().filter(here).map(shown).collect();
                Ok(json!({"threads": active, "members": []}))
            }
            ("POST", ["channels", channel, "threads"]) => self.open(world, channel, body),
            ("PATCH", ["channels", channel]) => self.change(world, channel, body),
            ("PATCH", ["channels", channel, "messages", message]) => self.edit(world, channel, message, body),
            // By its address of today, and by the one before.
            ("PUT", ["channels", channel, "pins", message] | ["channels", channel, "messages", "pins", message]) => {
                self.pin(world, channel, message)
            }
            _ => return None,
        })
    }

    fn channel(&self, world: &World, channel: &str) -> Result<Value, Refused> {
        self.may(world, channel, VIEW_CHANNEL)?;
        if let Some(thread) = self.threads.iter().find(|thread| thread.id == channel) {
            return Ok(shown(thread));
        }
        let channels = world.channels(server_of(channel));
        Ok(channels.as_array().unwrap().iter().find(|one| one["id"] == channel).unwrap().clone())
    }

    fn open(&mut self, world: &World, parent: &str, body: &Value) -> Result<Value, Refused> {
        self.may(world, parent, VIEW_CHANNEL | CREATE_PUBLIC_THREADS)?;
        if self.is_thread(parent) || body["type"] != 11 {
            return Err(NOT_HERE);
        }
        self.made += 1;
        let thread = Thread {
            id: (9_000 + self.made).to_string(),
            parent: parent.to_owned(),
            name: body["name"].as_str().unwrap().to_owned(),
            owner: APPLICATION,
            archived: false,
        };
        self.threads.push(thread.clone());
        Ok(shown(&thread))
    }

    /// Who made a thread may rename, archive and open it; for others that takes a right.
    fn change(&mut self, world: &World, channel: &str, body: &Value) -> Result<Value, Refused> {
        self.may(world, channel, VIEW_CHANNEL)?;
        let parent = self.parent(channel).to_owned();
        let thread = self.thread_mut(channel).ok_or(NOT_HERE)?;
        if thread.owner != APPLICATION {
            world.may(&[&parent], MANAGE_THREADS)?;
        }
        if thread.archived && body["archived"] != false {
            return Err(ARCHIVED);
        }
        if let Some(name) = body["name"].as_str() {
            thread.name = name.to_owned();
        }
        if let Some(archived) = body["archived"].as_bool() {
            thread.archived = archived;
        }
        Ok(shown(thread))
    }

    fn find(&mut self, channel: &str, message: &str) -> Result<&mut Posted, Refused> {
        if self.threads.iter().any(|thread| thread.id == channel && thread.archived) {
            return Err(ARCHIVED);
        }
        let found = self.messages.iter_mut().find(|one| one.id == message && one.channel == channel && !one.deleted);
        found.ok_or(UNKNOWN_MESSAGE)
    }

    fn edit(&mut self, world: &World, channel: &str, message: &str, body: &Value) -> Result<Value, Refused> {
        self.may(world, channel, VIEW_CHANNEL)?;
        let message = self.find(channel, message)?;
        if message.body.is_null() {
            return Err(NOT_YOURS);
        }
        message.edits.push(body.clone());
        Ok(as_kept(message))
    }

    fn pin(&mut self, world: &World, channel: &str, message: &str) -> Result<Value, Refused> {
        self.may(world, channel, VIEW_CHANNEL | PIN_MESSAGES)?;
        self.find(channel, message)?.pinned = true;
        Ok(Value::Null)
    }
}

impl Posted {
    /// What it says now.
    pub fn now(&self) -> &Value {
        self.edits.last().unwrap_or(&self.body)
    }
}

fn as_kept(posted: &Posted) -> Value {
    let mut message = events::message();
    message["id"] = posted.id.clone().into();
    message["channel_id"] = posted.channel.clone().into();
    message["content"] = posted.now()["content"].clone();
    message["nonce"] = posted.body["nonce"].clone();
    message["pinned"] = posted.pinned.into();
    message
}

fn shown(thread: &Thread) -> Value {
    json!({"id": thread.id, "type": 11, "guild_id": server_of(&thread.parent).to_string(), "parent_id": thread.parent, "name": thread.name,
        "owner_id": thread.owner, "last_message_id": null, "rate_limit_per_user": 0, "message_count": 0,
        "member_count": 1, "total_message_sent": 0, "flags": 0, "thread_metadata": {"archived": thread.archived,
            "auto_archive_duration": 10_080, "archive_timestamp": "2026-11-20T09:00:00.000000+00:00",
            "locked": false, "create_timestamp": "2026-11-20T09:00:00.000000+00:00"}})
}
