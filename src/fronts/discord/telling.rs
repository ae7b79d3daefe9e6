//! Saying what must be said: the outbox is filled from the record and emptied into the channels, in order, once each.
//!
//! A message carries a nonce that the platform is asked to look at, so that one whose answer was lost, or that was sent
//! just before the program was killed, is not doubled when it is sent again within the minutes the platform remembers.

use std::sync::Arc;
use std::time::{Duration, Instant};

use jiff::Timestamp;
use serenity::all::{Builder, ChannelId, GuildId, Http, HttpError, RoleId};
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use super::answer::{REQUEST, plain};
use super::handler::load_roles;
use super::paint::{self, Note};
use super::room::Room;
use super::running::State;
use super::{checkup, post};
use crate::desk::notices::{Notice, Place};

/// How often the record is looked at for what came by another front.
const LOOK: Duration = Duration::from_secs(1);
const LONGEST_PAUSE: Duration = Duration::from_secs(60);

/// Tells for ever, as long as the connection that it was started with.
pub async fn keep(room: Arc<Room>, http: Arc<Http>) {
    let mut seen = String::new();
    let mut pause = LOOK;
    let mut next_try = Instant::now();
    loop {
        let nudged = timeout(LOOK, room.something_to_tell.notified()).await.is_ok();
        if room.state() != State::Up {
            continue;
        }
        let fresh = fill(&room, &mut seen).await;
        if !(nudged || fresh || Instant::now() >= next_try) {
            continue;
        }
        pause = match empty(&room, &http).await {
            Ok(()) => LOOK,
            Err(why) => {
                tracing::warn!("what is to be said waits: {why}");
                (pause * 2).min(LONGEST_PAUSE)
            }
        };
        next_try = Instant::now() + pause;
    }
}

/// Looks at the record where it grew, and says whether it did.
async fn fill(room: &Arc<Room>, seen: &mut String) -> bool {
    let (room, before) = (Arc::clone(room), seen.clone());
    let looked = spawn_blocking(move || {
        let now = room.desk.fingerprint()?;
        if now != before {
            room.desk.look_for_notices(&room.outbox, leads_have_a_place(&room))?;
        }
        let evening = room.settings.guild != 0 && !room.settings.digest_channel.is_empty();
        let digest = evening && room.desk.look_for_digest(&room.outbox, Timestamp::now())?;
        anyhow::Ok((now, digest))
    });
    match looked.await {
        Ok(Ok((now, digest))) => std::mem::replace(seen, now.clone()) != now || digest,
        Ok(Err(error)) => {
            tracing::error!("the record could not be looked through for what is to be said: {error:#}");
            false
        }
        Err(error) => {
            tracing::error!("looking for what is to be said broke off: {error}");
            false
        }
    }
}

fn leads_have_a_place(room: &Room) -> bool {
    room.settings.guild != 0 && !room.settings.review_channel.is_empty()
}

/// What became of one message.
enum Fate {
    Said,
    /// It cannot be said, now or later.
    Refused(String),
}

/// Says all that waits; stops at the first that has to wait longer, so that the order is kept.
async fn empty(room: &Arc<Room>, http: &Http) -> Result<(), String> {
    loop {
        let of = Arc::clone(room);
        let Some(notice) = blocking(move || of.outbox.next()).await? else { return Ok(()) };
        let key = notice.key.clone();
        let refusal = match say(room, http, notice).await? {
            Fate::Said => None,
            Fate::Refused(why) => {
                tracing::error!("a message is set aside: {why}; `gudgeon discord check` shows it");
                Some(why)
            }
        };
        let of = Arc::clone(room);
        blocking(move || of.outbox.settle(&key, refusal.as_deref(), Timestamp::now())).await?;
    }
}

async fn blocking<T: Send + 'static, E: ToString + Send + 'static>(
    work: impl FnOnce() -> Result<T, E> + Send + 'static,
) -> Result<T, String> {
    spawn_blocking(work).await.map_err(|error| error.to_string())?.map_err(|error| error.to_string())
}

/// Says one notice; an error is one that may pass.
async fn say(room: &Arc<Room>, http: &Http, notice: Notice) -> Result<Fate, String> {
    let guild = Some(room.settings.guild).filter(|id| *id != 0).map(GuildId::new);
    let channel = match &notice.to {
        Place::Channel(number) => number.parse().ok().map(ChannelId::new),
        Place::Leads => named_channel(http, guild, &room.settings.review_channel).await?,
        Place::Digest => named_channel(http, guild, &room.settings.digest_channel).await?,
    };
    let Some(channel) = channel else {
        return Ok(Fate::Refused(format!("there is no channel {}", shown(room, &notice.to))));
    };
    let role = match guild.filter(|_| notice.call) {
        Some(guild) => leads_role(room, http, guild).await?,
        None => None,
    };
    let note = Note { role: role.map(RoleId::get), nonce: notice.key.clone(), ..paint::note(&notice, &room.buttons) };
    match timeout(REQUEST, post::note(note).execute(http, (channel, None))).await {
        Ok(Ok(_)) => Ok(Fate::Said),
        Ok(Err(error)) if is_for_good(&error) => {
            Ok(Fate::Refused(format!("{} in channel {}", plain(&error), shown(room, &notice.to))))
        }
        Ok(Err(error)) => Err(plain(&error)),
        Err(_) => Err("no answer in time".to_owned()),
    }
}

fn shown(room: &Room, place: &Place) -> String {
    match place {
        Place::Leads => format!("“{}”", room.settings.review_channel),
        Place::Digest => format!("“{}”", room.settings.digest_channel),
        Place::Channel(number) => number.clone(),
    }
}

/// The server's channel of that name. It is looked up each time: a lead may rename it, and what goes there is rare.
async fn named_channel(http: &Http, guild: Option<GuildId>, name: &str) -> Result<Option<ChannelId>, String> {
    let Some(guild) = guild else { return Ok(None) };
    let channels = super::answer::limited(http.get_channels(guild)).await?;
    Ok(checkup::find(&channels, name).map(|channel| channel.id))
}

async fn leads_role(room: &Room, http: &Http, guild: GuildId) -> Result<Option<RoleId>, String> {
    if !room.roles.knows(guild) && !load_roles(room, http, guild).await {
        return Err("the server's roles could not be read".to_owned());
    }
    Ok(room.roles.first(guild, &room.settings.lead_roles))
}

/// Whether the platform would say the same next time. Not so for a token that is about to be mended, or too many at once.
fn is_for_good(error: &serenity::Error) -> bool {
    match error {
        serenity::Error::Http(HttpError::UnsuccessfulRequest(response)) => {
            response.status_code.is_client_error() && ![401, 408, 429].contains(&response.status_code.as_u16())
        }
        // The client itself found it unfit.
        serenity::Error::Model(_) => true,
        _ => false,
    }
}
