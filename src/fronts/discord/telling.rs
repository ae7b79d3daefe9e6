//! Saying what must be said: the outbox is filled from the record and emptied into the channels, in order, once each.
//!
//! A message carries a nonce that the platform is asked to look at, so that one whose answer was lost, or that was sent
//! just before the program was killed, is not doubled when it is sent again within the minutes the platform remembers.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use jiff::Timestamp;
use serenity::all::{Builder, ChannelId, GuildId, Http, HttpError, RoleId};
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use super::answer::{REQUEST, code, plain};
use super::paint::{self, Note};
use super::ready::load_roles;
use super::room::Room;
use super::running::State;
use super::threads::{NO_CHANNEL, Threads};
use super::{checkup, post, threads};
use crate::desk::notices::{Notice, Place, Places};

/// How often the record is looked at for what came by another front.
const LOOK: Duration = Duration::from_secs(1);
const LONGEST_PAUSE: Duration = Duration::from_secs(60);

/// Tells for ever, as long as the connection that it was started with.
pub async fn keep(room: Arc<Room>, http: Arc<Http>) {
    let (mut look, mut threads) = (Look::default(), Threads::default());
    let mut pause = LOOK;
    let mut next_try = Instant::now();
    loop {
        let nudged = timeout(LOOK, room.something_to_tell.notified()).await.is_ok();
        if room.connection.state() != State::Up || room.out.load(Ordering::Acquire) {
            continue;
        }
        let news = fill(&room, &mut look).await;
        let fresh = room.fresh.swap(false, Ordering::AcqRel);
        if !(nudged || news || fresh || Instant::now() >= next_try) {
            continue;
        }
        pause = match see_to_all(&room, &http, &mut threads, fresh, nudged || news).await {
            Ok(()) => LOOK,
            Err(why) => {
                tracing::warn!("what is to be said waits: {why}");
                (pause * 2).min(LONGEST_PAUSE)
            }
        };
        next_try = Instant::now() + pause;
    }
}

/// Threads first, so that what is said of a job finds its own; the one does not hold up the other.
async fn see_to_all(
    room: &Arc<Room>,
    http: &Http,
    threads: &mut Threads,
    fresh: bool,
    news: bool,
) -> Result<(), String> {
    if fresh {
        threads.start_anew(room).await?;
    }
    let kept = if news || threads.is_due() { threads.keep(room, http).await } else { Ok(()) };
    empty(room, http, threads).await.and(kept)
}

/// How the record was last looked at.
#[derive(Default)]
struct Look {
    seen: String,
    /// It failed: when to look again, and how long to wait after that.
    failing: Option<(Instant, Duration)>,
}

impl Look {
    fn may(&self, now: Instant) -> bool {
        self.failing.is_none_or(|(until, _)| now >= until)
    }

    /// Takes over how it went. True for the first failure of several, and for the first success after them.
    fn went(&mut self, well: bool, now: Instant) -> bool {
        let was_failing = self.failing.is_some();
        self.failing = match self.failing {
            _ if well => None,
            None => Some((now + 2 * LOOK, 2 * LOOK)),
            Some((_, pause)) => {
                let pause = (pause * 2).min(LONGEST_PAUSE);
                Some((now + pause, pause))
            }
        };
        well == was_failing
    }
}

/// Looks at the record where it grew, and says whether it did. A record that cannot be read is told once, and left alone
/// for longer each time.
async fn fill(room: &Arc<Room>, look: &mut Look) -> bool {
    if !look.may(Instant::now()) {
        return false;
    }
    let (room, before) = (Arc::clone(room), look.seen.clone());
    let looked = blocking(move || {
        let now = room.desk.fingerprint()?;
        let news = now != before;
        if news {
            room.desk.look_for_notices(&room.outbox, places(&room))?;
        }
        let evening = room.settings.guild != 0 && !room.settings.digest_channel.is_empty();
        let digest = evening && room.desk.look_for_digest(&room.outbox, Timestamp::now())?;
        anyhow::Ok((now, news || digest))
    });
    let looked = looked.await;
    let tell = look.went(looked.is_ok(), Instant::now());
    match looked {
        Ok((now, news)) => {
            if tell {
                tracing::info!("the record can be looked through again for what is to be said");
            }
            look.seen = now;
            news
        }
        Err(error) => {
            if tell {
                tracing::error!("the record cannot be looked through for what is to be said: {error}");
            }
            false
        }
    }
}

fn places(room: &Room) -> Places {
    let named = |name: &str| room.settings.guild != 0 && !name.is_empty();
    Places { leads: named(&room.settings.review_channel), jobs: named(&room.settings.jobs_channel) }
}

/// What became of one message.
enum Fate {
    Said,
    /// It cannot be said, now or later.
    Refused(String),
}

/// Says all that waits; stops at the first that has to wait longer, so that the order is kept.
async fn empty(room: &Arc<Room>, http: &Http, threads: &mut Threads) -> Result<(), String> {
    loop {
        let of = Arc::clone(room);
        let Some(notice) = blocking(move || of.outbox.next()).await? else { return Ok(()) };
        let key = notice.key.clone();
        let refusal = match say(room, http, threads, notice).await? {
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

pub async fn blocking<T: Send + 'static, E: Into<anyhow::Error> + Send + 'static>(
    work: impl FnOnce() -> Result<T, E> + Send + 'static,
) -> Result<T, String> {
    let done = spawn_blocking(work).await.map_err(|error| error.to_string())?;
    done.map_err(|error| format!("{:#}", error.into()))
}

/// Says one notice; an error is one that may pass.
async fn say(room: &Arc<Room>, http: &Http, known: &mut Threads, notice: Notice) -> Result<Fate, String> {
    let guild = server(room);
    let thread = match notice.to {
        Place::Job(job) => known.channel(room, http, job).await?,
        _ => None,
    };
    let channel = match &notice.to {
        Place::Channel(number) => number.parse().ok().map(ChannelId::new),
        Place::Digest => named_channel(http, guild, &room.settings.digest_channel).await?,
        Place::Job(_) if thread.is_some() => thread,
        // Where a job's thread cannot be made, the leads are told where they look, else where the job was opened.
        Place::Job(job) if room.settings.review_channel.is_empty() => threads::parent(room, *job).await?,
        Place::Leads | Place::Job(_) => named_channel(http, guild, &room.settings.review_channel).await?,
    };
    let Some(channel) = channel else {
        return Ok(Fate::Refused(format!("there is no channel {}", shown(room, &notice.to))));
    };
    let role = match guild.filter(|_| notice.call) {
        Some(guild) => leads_role(room, http, guild).await?,
        None => None,
    };
    let note = Note {
        role: role.map(RoleId::get),
        member: notice.member.as_deref().and_then(|member| member.parse().ok()).filter(|member| *member != 0),
        nonce: notice.key.clone(),
        ..paint::note(&notice, &room.buttons)
    };
    match timeout(REQUEST, post::note(note).execute(http, (channel, None))).await {
        Ok(Ok(_)) => Ok(Fate::Said),
        Ok(Err(error)) if thread.is_some() && code(&error) == Some(NO_CHANNEL) => {
            if let Place::Job(job) = notice.to {
                known.is_gone(room, job).await?;
            }
            Err("its thread was deleted: it is made anew".to_owned())
        }
        Ok(Err(error)) if is_for_good(&error) => {
            Ok(Fate::Refused(format!("{} in channel {}", plain(&error), shown(room, &notice.to))))
        }
        Ok(Err(error)) => Err(plain(&error)),
        Err(_) => Err("no answer in time".to_owned()),
    }
}

fn server(room: &Room) -> Option<GuildId> {
    Some(room.settings.guild).filter(|id| *id != 0).map(GuildId::new)
}

/// The channel in which jobs get their threads.
pub async fn jobs_channel(room: &Room, http: &Http) -> Result<Option<ChannelId>, String> {
    named_channel(http, server(room), &room.settings.jobs_channel).await
}

fn shown(room: &Room, place: &Place) -> String {
    match place {
        Place::Leads => format!("“{}”", room.settings.review_channel),
        Place::Digest => format!("“{}”", room.settings.digest_channel),
        Place::Channel(number) => number.clone(),
        Place::Job(job) => format!("of job {job}"),
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
pub fn is_for_good(error: &serenity::Error) -> bool {
    match error {
        serenity::Error::Http(HttpError::UnsuccessfulRequest(response)) => {
            response.status_code.is_client_error() && ![401, 408, 429].contains(&response.status_code.as_u16())
        }
        // The client itself found it unfit.
        serenity::Error::Model(_) => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_look_that_keeps_failing_is_told_once_and_left_alone_for_longer() {
        let (mut look, mut now) = (Look::default(), Instant::now());
        let (mut told, mut looks) = (0, 0);
        for _ in 0..600 {
            now += LOOK;
            if look.may(now) {
                looks += 1;
                told += u32::from(look.went(false, now));
            }
        }
        assert_eq!(told, 1);
        assert!((10..=20).contains(&looks), "{looks} looks in ten minutes");
        assert!(look.went(true, now), "that it is over is told");
        assert!(look.may(now) && !look.went(true, now));
    }
}
