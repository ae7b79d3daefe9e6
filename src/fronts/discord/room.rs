//! One shop on the chat: its desk, its outbox, the roles of its server, its buttons and its threads. All of it outlives one
//! connection.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use anyhow::Context as _;
use jiff::Timestamp;
use tokio::sync::Notify;

use super::answer::Asked;
use super::attachments::Store;
use super::buttons::Buttons;
use super::commands::HELP;
use super::connection::Connection;
use super::limits;
use super::paint::{self, Message};
use super::people::Roles;
use super::rows::Row;
use super::settings::Settings;
use crate::desk::notices::{JobId, Outbox};
use crate::desk::reply::Action;
use crate::desk::{Asker, Desk, Outcome, Refusal};

/// The shop's room.
pub struct Room {
    /// The one that it shares with the other shops of its client.
    pub connection: Arc<Connection>,
    pub desk: Arc<Desk>,
    pub settings: Settings,
    pub buttons: Buttons,
    pub store: Store,
    pub roles: Roles,
    pub outbox: Outbox,
    /// Wakes whoever says what is to be said.
    pub something_to_tell: Notify,
    /// A connection has just come up, and what is on the server may have changed meanwhile.
    pub fresh: AtomicBool,
    /// The bot is not on the server: what is to be said waits until it is let in.
    pub out: AtomicBool,
    /// A try to make the server ready failed.
    pub unready: AtomicBool,
    /// How often it was begun to make the server ready; only the newest goes on.
    pub readying: AtomicU64,
    /// The job of each thread, by the thread's number.
    seats: Mutex<HashMap<String, JobId>>,
}

impl Room {
    /// Fails where the outbox cannot be opened.
    pub fn new(settings: Settings, desk: Arc<Desk>, connection: Arc<Connection>) -> anyhow::Result<Self> {
        let outbox = match &settings.outbox {
            Some(place) => Outbox::open(place).with_context(|| {
                format!("{}, which holds only what is still to be said and may be moved away", place.display())
            })?,
            None => Outbox::in_memory()?,
        };
        let store = Store::new(settings.attachments.as_deref(), settings.fetch_within)?;
        let room = Self {
            connection,
            store,
            desk,
            settings,
            outbox,
            something_to_tell: Notify::new(),
            buttons: Buttons::default(),
            roles: Roles::default(),
            fresh: AtomicBool::new(false),
            out: AtomicBool::new(false),
            unready: AtomicBool::new(false),
            readying: AtomicU64::new(0),
            seats: Mutex::default(),
        };
        room.seat()?;
        Ok(room)
    }

    /// Takes over which threads there are, and which job each is for.
    pub fn seat(&self) -> anyhow::Result<()> {
        let mut seats = HashMap::new();
        for thread in self.outbox.threads()? {
            if let Some(channel) = thread.channel
                && self.desk.job_now(thread.job, thread.opened)?.is_some()
            {
                seats.insert(channel, thread.job);
            }
        }
        *self.seats() = seats;
        Ok(())
    }

    /// The job whose thread that channel is.
    pub fn bench(&self, channel: &str) -> Option<JobId> {
        self.seats().get(channel).copied()
    }

    fn seats(&self) -> MutexGuard<'_, HashMap<String, JobId>> {
        self.seats.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is on the server may have changed while nobody listened.
    pub fn look_afresh(&self) {
        self.fresh.store(true, Ordering::Release);
        self.something_to_tell.notify_one();
    }

    /// One line, answered and painted. It blocks: the record is on disk, a figure takes a while to draw.
    pub fn say(&self, asked: &Asked, line: &str) -> Message {
        let (asker, now) = (&asked.asker, Timestamp::now());
        if let Some(key) = asker.key.as_deref().filter(|_| self.desk.posts(line)) {
            // A return may call them; without it they are told all the same.
            if let Err(error) = self.outbox.keep_poster(&asker.person, key, &asked.member.to_string(), now) {
                tracing::warn!("who sends a reading could not be kept: {error}");
            }
        }
        let outcome = self.desk.answer(asker, line, now);
        match &outcome {
            Outcome::Refused(refusal) => self.refused(asker, line, refusal),
            other => {
                let album = |hash: &str| self.desk.photograph(hash);
                paint::outcome(other, &self.buttons, &album, asked.most_bytes)
            }
        }
    }

    /// What was typed is not lost: the form opens again with it. Nor are the photographs beside it, so that no way on posts
    /// without them; where one of them is what is wrong, only sending all of it again is a way.
    fn refused(&self, asker: &Asker, line: &str, refusal: &Refusal) -> Message {
        if asker.enclosed.iter().any(|photo| photo.refused().is_some()) {
            return paint::refused(&Refusal { line: None, ..refusal.clone() }, &[], &self.buttons);
        }
        let again = self.desk.filled(line).filter(|(form, _)| !form.fields.is_empty());
        let ways: Vec<Action> = again.map(|_| Action::form("Change it", line)).into_iter().collect();
        let mut message = paint::refused(refusal, &ways, &self.buttons);
        for button in message.rows.iter_mut().flat_map(Row::entries) {
            button.id = self.buttons.beside(&button.id, asker);
        }
        message
    }

    /// What fits an option that is being typed: label and value, best first.
    pub fn complete(
        &self,
        asker: &Asker,
        words: &str,
        field: &str,
        filled: &[(String, String)],
        typed: &str,
    ) -> Vec<(String, String)> {
        let mut found: Vec<(String, String)> = Vec::new();
        if self.desk.form(words).is_some() {
            let suggestions = self.desk.complete(asker, words, field, filled, typed, limits::CHOICES);
            found.extend(suggestions.into_iter().map(|s| (s.label, s.value)));
        } else if words == HELP {
            found.extend(self.command_words(typed).into_iter().map(|words| (words.clone(), words)));
        }
        // A value cut short would be another value: such a one is left out.
        found.retain(|(_, value)| !value.trim().is_empty() && limits::size(value) <= limits::SHORT);
        found.truncate(limits::CHOICES);
        found.into_iter().map(|(label, value)| (limits::line(&label, limits::SHORT, &value), value)).collect()
    }

    /// Families and commands that hold what was typed.
    fn command_words(&self, typed: &str) -> Vec<String> {
        let typed = typed.trim().to_lowercase();
        let mut words: Vec<String> = Vec::new();
        for form in self.desk.forms() {
            for word in [form.family.clone(), form.words()] {
                if word.contains(&typed) && !words.contains(&word) {
                    words.push(word);
                }
            }
        }
        words.sort_by_key(|word| !word.starts_with(&typed));
        words
    }
}
