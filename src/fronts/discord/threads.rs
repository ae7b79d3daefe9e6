//! The thread of each job: made when the job is opened, with a pinned card that is painted anew as the job goes on, and
//! archived when it is closed.
//!
//! What is wanted and what there is lie in the outbox's file; here the one is brought in line with the other. What someone
//! deleted by hand is made anew when there is next something to say.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::time::{Duration, Instant};

use jiff::Timestamp;
use serenity::all::{
    AutoArchiveDuration, Builder, Channel, ChannelId, ChannelType, CreateThread, EditThread, GuildChannel, GuildId,
    Http, MessageId,
};
use tokio::time::timeout;

use super::answer::{NO_MESSAGE, REQUEST, code, plain};
use super::room::Room;
use super::telling::{blocking, is_for_good, jobs_channel};
use super::{card, post};
use crate::desk::Docket;
use crate::desk::notices::{JobId, Thread};

/// Between two paintings of one card at least.
const PAUSE: Duration = Duration::from_secs(4);

/// The platform's words for what is not there any more, and for a thread that has to be opened first.
pub const NO_CHANNEL: isize = 10_003;
const IS_ARCHIVED: isize = 50_083;

/// Why something was not done.
#[derive(Debug)]
enum Trouble {
    /// It may go better next time.
    Passing(String),
    /// It will not, until someone has changed something on the server.
    Refused(String),
    ThreadIsGone,
    CardIsGone,
    Archived,
}

impl From<String> for Trouble {
    fn from(why: String) -> Self {
        Self::Passing(why)
    }
}

/// What is known of the threads while one connection lasts.
#[derive(Default)]
pub struct Threads {
    /// When a card may be painted again.
    rest: HashMap<JobId, Instant>,
    /// Those that the platform refused; tried again after a fresh start.
    refused: HashSet<JobId>,
    /// Something waits for its time.
    pending: bool,
}

impl Threads {
    /// Whether there is something to do although nothing new happened.
    pub fn is_due(&self) -> bool {
        self.pending
    }

    /// Everything may have changed on the server while nobody listened.
    pub async fn start_anew(&mut self, room: &Arc<Room>) -> Result<(), String> {
        self.rest.clear();
        self.refused.clear();
        self.pending = true;
        let of = Arc::clone(room);
        blocking(move || of.outbox.repaint()).await
    }

    /// Makes, paints and archives what is due. One that cannot be seen to now does not hold up the others.
    pub async fn keep(&mut self, room: &Arc<Room>, http: &Http) -> Result<(), String> {
        self.pending = false;
        let of = Arc::clone(room);
        let due = blocking(move || due(&of)).await?;
        let mut failed = None;
        for (thread, last) in due {
            let job = thread.job;
            if self.refused.contains(&job) {
                continue;
            }
            if self.rest.get(&job).is_some_and(|until| *until > Instant::now()) {
                self.pending = true;
                continue;
            }
            if let Err(why) = self.see_to(room, http, thread, last).await {
                self.pending = true;
                failed = Some(why);
            }
        }
        failed.map_or(Ok(()), Err)
    }

    /// The channel to say something about a job in: its thread, made where it is not there. None where it cannot be.
    pub async fn channel(&mut self, room: &Arc<Room>, http: &Http, job: JobId) -> Result<Option<ChannelId>, String> {
        let of = Arc::clone(room);
        let Some(mut thread) = blocking(move || of.outbox.thread(job)).await? else { return Ok(None) };
        if thread.channel.is_none() && !self.refused.contains(&job) {
            let docket = docket(room, job).await?;
            let made = open(room, http, &mut thread, &docket).await;
            self.settle(room, http, &mut thread, made).await?;
        }
        Ok(thread.channel.and_then(|number| number.parse().ok()).map(ChannelId::new))
    }

    /// The thread turned out not to be there: the next time it is made anew.
    pub async fn is_gone(&mut self, room: &Arc<Room>, job: JobId) -> Result<(), String> {
        self.pending = true;
        let of = Arc::clone(room);
        let thread = blocking(move || of.outbox.thread(job)).await?;
        match thread {
            Some(mut thread) => lose(room, &mut thread).await,
            None => Ok(()),
        }
    }

    async fn see_to(&mut self, room: &Arc<Room>, http: &Http, mut thread: Thread, last: i64) -> Result<(), String> {
        let job = thread.job;
        let docket = docket(room, job).await?;
        if !docket.open && thread.channel.is_none() {
            let of = Arc::clone(room);
            return blocking(move || of.outbox.forget_thread(job)).await;
        }
        if thread.channel.is_none() {
            let made = open(room, http, &mut thread, &docket).await;
            if !self.settle(room, http, &mut thread, made).await? {
                return Ok(());
            }
        }
        if thread.shown != last {
            let painted = paint(room, http, &mut thread, &docket).await;
            if !self.settle(room, http, &mut thread, painted).await? {
                return Ok(());
            }
            thread.shown = last;
            self.rest.insert(job, Instant::now() + PAUSE);
            // To be archived, once the last answer has arrived in it.
            self.pending |= !docket.open;
        } else if !docket.open {
            let shut = archive(http, &thread, &docket).await;
            if !self.settle(room, http, &mut thread, shut).await? {
                return Ok(());
            }
            thread.archived = true;
        }
        keep(room, &thread).await
    }

    /// Whether it was done; what was not is noted, so that it is done another way, later, or not again.
    async fn settle(
        &mut self,
        room: &Arc<Room>,
        http: &Http,
        thread: &mut Thread,
        done: Result<(), Trouble>,
    ) -> Result<bool, String> {
        let job = thread.job;
        match done {
            Ok(()) => return Ok(true),
            Err(Trouble::Passing(why)) => return Err(format!("the thread of job {job}: {why}")),
            Err(Trouble::Refused(why)) => {
                tracing::error!(
                    "the thread of job {job} is left as it is: {why}; `gudgeon discord check` says what is missing"
                );
                self.refused.insert(job);
            }
            Err(Trouble::ThreadIsGone) => {
                lose(room, thread).await?;
                self.pending = true;
            }
            Err(Trouble::CardIsGone) => {
                (thread.card, thread.cards) = (None, thread.cards + 1);
                keep(room, thread).await?;
                self.pending = true;
            }
            Err(Trouble::Archived) => match wake(http, thread).await {
                Ok(()) | Err(Trouble::ThreadIsGone | Trouble::CardIsGone | Trouble::Archived) => self.pending = true,
                Err(Trouble::Passing(why)) => return Err(format!("the thread of job {job}: {why}")),
                Err(Trouble::Refused(why)) => {
                    tracing::error!("the thread of job {job} is archived and stays so: {why}");
                    self.refused.insert(job);
                }
            },
        }
        Ok(false)
    }
}

/// The threads of which something may have to be done, each with the last event of its job.
fn due(room: &Room) -> anyhow::Result<Vec<(Thread, i64)>> {
    let mut due = Vec::new();
    for thread in room.outbox.threads()?.into_iter().filter(|thread| !thread.archived) {
        let Some(now) = room.desk.job_now(thread.job, thread.opened)? else { continue };
        // A closed job's thread is still to be archived.
        if thread.channel.is_none() || thread.shown != now.last || !now.open {
            due.push((thread, now.last));
        }
    }
    Ok(due)
}

/// The channel in which a job was opened on the chat.
pub async fn parent(room: &Arc<Room>, job: JobId) -> Result<Option<ChannelId>, String> {
    let of = Arc::clone(room);
    let thread = blocking(move || of.outbox.thread(job)).await?;
    Ok(number(thread.and_then(|thread| thread.parent).as_deref()).map(ChannelId::new))
}

async fn docket(room: &Arc<Room>, job: JobId) -> Result<Docket, String> {
    let of = Arc::clone(room);
    blocking(move || of.desk.docket(job, Timestamp::now())).await
}

async fn keep(room: &Arc<Room>, thread: &Thread) -> Result<(), String> {
    let (of, thread) = (Arc::clone(room), thread.clone());
    blocking(move || {
        of.outbox.keep_thread(&thread)?;
        of.seat()
    })
    .await
}

async fn lose(room: &Arc<Room>, thread: &mut Thread) -> Result<(), String> {
    (thread.channel, thread.card, thread.cards, thread.shown) = (None, None, thread.cards + 1, 0);
    keep(room, thread).await
}

/// Makes the thread, or takes the one that was made before without our knowing: by a request whose answer was lost.
async fn open(room: &Arc<Room>, http: &Http, thread: &mut Thread, docket: &Docket) -> Result<(), Trouble> {
    let parent = match &thread.parent {
        Some(number) => number.parse().ok().map(ChannelId::new),
        None => jobs_channel(room, http).await?,
    };
    let Some(parent) = parent else {
        return Err(Trouble::Refused(format!("there is no channel “{}”", room.settings.jobs_channel)));
    };
    let mut channel = text_channel(http, parent).await?;
    if let (Some(_), Some(parent)) = (channel.thread_metadata, channel.parent_id) {
        // It was opened in a thread, and threads have none of their own.
        channel = text_channel(http, parent).await?;
    }
    let name = card::name(docket);
    let made = match standing(room, http, channel.guild_id, channel.id, &name).await? {
        Some(there) => there.id,
        None => {
            let new = CreateThread::new(name)
                .kind(ChannelType::PublicThread)
                .auto_archive_duration(AutoArchiveDuration::OneWeek);
            asked(new.execute(http, (channel.id, None))).await?.id
        }
    };
    thread.channel = Some(made.to_string());
    keep(room, thread).await?;
    Ok(())
}

async fn text_channel(http: &Http, number: ChannelId) -> Result<GuildChannel, Trouble> {
    match asked(http.get_channel(number)).await.map(Channel::guild) {
        Ok(Some(channel)) => Ok(channel),
        Ok(None) | Err(Trouble::ThreadIsGone) => Err(Trouble::Refused(format!("there is no channel {number}"))),
        Err(other) => Err(other),
    }
}

/// A thread of ours by that name.
async fn standing(
    room: &Room,
    http: &Http,
    guild: GuildId,
    parent: ChannelId,
    name: &str,
) -> Result<Option<GuildChannel>, Trouble> {
    let active = asked(http.get_guild_active_threads(guild)).await?.threads;
    let ours = |thread: &GuildChannel| thread.owner_id.is_some() && thread.owner_id == room.connection.own_number();
    let free = |thread: &GuildChannel| room.bench(&thread.id.to_string()).is_none();
    let mut active = active.into_iter().filter(|thread| ours(thread) && free(thread));
    Ok(active.find(|thread| thread.parent_id == Some(parent) && thread.name == name))
}

/// Paints the card: the first time it is sent and pinned, then edited in place.
async fn paint(room: &Arc<Room>, http: &Http, thread: &mut Thread, docket: &Docket) -> Result<(), Trouble> {
    let Some(channel) = number(thread.channel.as_deref()).map(ChannelId::new) else {
        return Err(Trouble::ThreadIsGone);
    };
    // Under one nonce the platform takes one message: cut off between sending and keeping its number, it is not doubled.
    let nonce: String = thread.opened.to_hex().chars().take(16).collect();
    let card = card::card(docket, format!("c{nonce}{}", thread.cards), &room.buttons);
    match number(thread.card.as_deref()).map(MessageId::new) {
        Some(message) => {
            asked(post::edited(card).execute(http, (channel, message, None))).await?;
        }
        None => {
            let message = asked(post::note(card).execute(http, (channel, None))).await?;
            thread.card = Some(message.id.to_string());
            keep(room, thread).await?;
            if let Err(why) = asked(http.pin_message(channel, message.id, None)).await {
                match why {
                    Trouble::Refused(why) => tracing::warn!("the card of job {} is not pinned: {why}", thread.job),
                    other => return Err(other),
                }
            }
        }
    }
    Ok(())
}

/// Puts a closed job's thread away; where it is gone, that is done.
async fn archive(http: &Http, thread: &Thread, docket: &Docket) -> Result<(), Trouble> {
    let Some(channel) = number(thread.channel.as_deref()).map(ChannelId::new) else { return Ok(()) };
    match asked(EditThread::new().name(card::name(docket)).archived(true).execute(http, channel)).await {
        Ok(_) | Err(Trouble::ThreadIsGone) => Ok(()),
        Err(other) => Err(other),
    }
}

/// The platform archives a thread in which nothing was said for a week.
async fn wake(http: &Http, thread: &Thread) -> Result<(), Trouble> {
    let Some(channel) = number(thread.channel.as_deref()).map(ChannelId::new) else {
        return Err(Trouble::ThreadIsGone);
    };
    asked(EditThread::new().archived(false).execute(http, channel)).await.map(drop)
}

fn number(text: Option<&str>) -> Option<u64> {
    text?.parse().ok().filter(|number| *number != 0)
}

/// A request with an end, and what its failure means here.
async fn asked<T>(request: impl Future<Output = serenity::Result<T>>) -> Result<T, Trouble> {
    match timeout(REQUEST, request).await {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(error)) => Err(match code(&error) {
            Some(NO_CHANNEL) => Trouble::ThreadIsGone,
            Some(NO_MESSAGE) => Trouble::CardIsGone,
            Some(IS_ARCHIVED) => Trouble::Archived,
            _ if is_for_good(&error) => Trouble::Refused(plain(&error)),
            _ => Trouble::Passing(plain(&error)),
        }),
        Err(_) => Err(Trouble::Passing("no answer in time".to_owned())),
    }
}
