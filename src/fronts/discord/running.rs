//! Keeping the client alive on a runtime of its own.
//!
//! The connection can die in ways the client never reports, some of them by spinning. So it is built and started on
//! its own runtime, and a plain thread beside it replaces that runtime when it ends, spins, or shows no life for a while.
//! The runtime has one worker: a client that spins then keeps everything else there from running, which is how it is seen.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, OnceLock};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use serenity::all::{Client, ClientBuilder, ConnectionStage, GatewayError, GatewayIntents, ShardManager};
use tokio::runtime::{Builder, Runtime};
use tracing::Instrument as _;

use super::answer::{limited, plain};
use super::client::http;
use super::handler::Handler;
use super::lobby::Lobby;
use super::settings::Settings;
use super::telling;
use crate::desk::Desk;

/// How the front is doing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    Starting,
    Up,
    /// It is down and will be tried again.
    Retrying(String),
    /// It is down for good, with what to do about it.
    Ended(String),
}

/// A shop that wants to be on the chat.
pub struct Shop {
    pub settings: Settings,
    /// None where it could not be opened: its people are told so.
    pub desk: Option<Arc<Desk>>,
}

/// A running client; it stops when this is dropped.
pub struct Running {
    lobby: Arc<Lobby>,
    notes: Sender<Note>,
    thread: Option<JoinHandle<()>>,
}

/// Opens the chat front, one client for all the shops that name the same token. Each comes up in the background, and again
/// after every failure that may pass. Fails where a shop that is alone on its client cannot open its own file.
pub fn start(shops: Vec<Shop>) -> anyhow::Result<Vec<Running>> {
    let mut clients: Vec<Vec<Shop>> = Vec::new();
    for shop in shops {
        let same = |client: &&mut Vec<Shop>| client.iter().any(|other| other.settings.token == shop.settings.token);
        match clients.iter_mut().find(same) {
            Some(client) => client.push(shop),
            None => clients.push(vec![shop]),
        }
    }
    let lobbies = clients.into_iter().map(|shops| Ok(Lobby::new(shops)?.map(|lobby| Running::begin(Arc::new(lobby)))));
    lobbies.filter_map(Result::transpose).collect()
}

impl Running {
    fn begin(lobby: Arc<Lobby>) -> Self {
        let (notes, inbox) = channel();
        let thread = {
            let (lobby, notes) = (Arc::clone(&lobby), notes.clone());
            thread::Builder::new().name("discord".to_owned()).spawn(move || keep(&lobby, &notes, &inbox))
        };
        let thread = thread
            .inspect_err(|error| {
                tracing::error!("the chat front has no thread: {error}");
                lobby.connection.set_state(State::Ended(error.to_string()));
            })
            .ok();
        Self { lobby, notes, thread }
    }

    pub fn state(&self) -> State {
        self.lobby.connection.state()
    }

    /// Ends the connection, after the answers that are under way.
    pub fn stop(mut self) {
        self.end();
    }

    fn end(&mut self) {
        // When nobody listens any more, it has stopped already.
        let _ = self.notes.send(Note::Stop);
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            tracing::error!("the chat front's thread broke");
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.end();
    }
}

enum Note {
    Stop,
    /// The client of this run ended.
    Ended(u64, End),
}

/// How a session ended.
enum End {
    Stopped,
    Broken(String),
    /// It span without ever having been let in. Of all that the platform does only its last words 4010 and 4011 have that
    /// effect, which the client knows and does not tell.
    TurnedAway,
    Final(String),
}

const FIRST_PAUSE: Duration = Duration::from_millis(500);
const LONGEST_PAUSE: Duration = Duration::from_secs(60);
/// How often the thread looks for signs of life.
const LOOK: Duration = Duration::from_millis(250);
const GOODBYE: Duration = Duration::from_secs(2);
/// In how many looks, one after another, nothing on the runtime may have had its turn: 5 s. Looks are counted and not time,
/// for the whole program may have been asleep.
const STALL: u32 = 20;
/// How often being turned away is believed to be a mistake.
const TURNED_AWAY: u32 = 3;

fn keep(lobby: &Arc<Lobby>, notes: &Sender<Note>, inbox: &Receiver<Note>) {
    let mut pause = FIRST_PAUSE;
    let mut turned_away = 0;
    for number in 0.. {
        let began = Instant::now();
        let end = session(number, lobby, notes, inbox);
        turned_away = if matches!(end, End::TurnedAway) { turned_away + 1 } else { 0 };
        let why = match end {
            End::Stopped => return,
            End::Final(why) => {
                tracing::error!("the chat front is shut: {why}");
                return lobby.connection.set_state(State::Ended(why));
            }
            End::TurnedAway if turned_away == TURNED_AWAY => {
                let why = "the platform turns the bot away as soon as it has said who it is (4010 or 4011), as it does with one \
                           that is on thousands of servers. Make an application for this shop alone, then start again";
                tracing::error!("the chat front is shut: {why}");
                return lobby.connection.set_state(State::Ended(why.to_owned()));
            }
            End::TurnedAway => "the platform turned the bot away".to_owned(),
            End::Broken(why) => why,
        };
        tracing::warn!("the chat front is down and will be tried again: {why}");
        lobby.connection.set_state(State::Retrying(why));
        if began.elapsed() > LONGEST_PAUSE {
            pause = FIRST_PAUSE;
        }
        if stopped_within(pause, inbox) {
            return;
        }
        pause = (pause * 2).min(LONGEST_PAUSE);
    }
}

fn stopped_within(pause: Duration, inbox: &Receiver<Note>) -> bool {
    let until = Instant::now() + pause;
    loop {
        match inbox.recv_timeout(until.saturating_duration_since(Instant::now())) {
            Ok(Note::Stop) | Err(RecvTimeoutError::Disconnected) => return true,
            Ok(Note::Ended(..)) => {}
            Err(RecvTimeoutError::Timeout) => return false,
        }
    }
}

/// One client on one runtime, until it ends, shows no life, or is told to stop.
fn session(number: u64, lobby: &Arc<Lobby>, notes: &Sender<Note>, inbox: &Receiver<Note>) -> End {
    let runtime = match Builder::new_multi_thread().worker_threads(1).thread_name("discord").enable_all().build() {
        Ok(runtime) => runtime,
        Err(error) => return End::Broken(format!("no runtime: {error}")),
    };
    let pulse = Arc::new(Pulse::new());
    let manager = Arc::new(OnceLock::new());
    runtime.spawn(Arc::clone(&pulse).tick());
    {
        let (lobby, pulse, manager, notes) =
            (Arc::clone(lobby), Arc::clone(&pulse), Arc::clone(&manager), notes.clone());
        runtime.spawn(async move {
            let end = live(&lobby, pulse, &manager).await;
            // The thread may have given this run up already.
            let _ = notes.send(Note::Ended(number, end));
        });
    }
    let (mut turns, mut stalled) = (0, 0);
    let end = loop {
        let heard = inbox.recv_timeout(LOOK);
        if heard.is_err() {
            stalled = if pulse.turns() == turns { stalled + 1 } else { 0 };
            turns = pulse.turns();
        }
        match heard {
            Ok(Note::Stop) | Err(RecvTimeoutError::Disconnected) => {
                // A client that spins would not hear a goodbye.
                if stalled == 0 {
                    goodbye(&runtime, lobby, manager.get())
                } else {
                    cut_off(manager.get())
                }
                break End::Stopped;
            }
            Ok(Note::Ended(which, end)) if which == number => break end,
            Ok(Note::Ended(..)) => {}
            Err(RecvTimeoutError::Timeout) if stalled >= STALL => {
                cut_off(manager.get());
                break if lobby.connection.state() == State::Up {
                    End::Broken("the connection was lost in a way that the client spins on".to_owned())
                } else {
                    End::TurnedAway
                };
            }
            Err(RecvTimeoutError::Timeout) if pulse.silence() > lobby.settings.patience => {
                cut_off(manager.get());
                break End::Broken(format!("no sign of life for {} s", lobby.settings.patience.as_secs()));
            }
            Err(RecvTimeoutError::Timeout) => {}
        }
    };
    runtime.shutdown_timeout(Duration::from_millis(500));
    end
}

/// Has a client that spins fall out of its loop, for a runtime cannot take its thread away from it: between two turns it
/// looks for messages, and to write on a dead connection ends it. An orderly shutdown would spin as well.
fn cut_off(manager: Option<&Arc<ShardManager>>) {
    let Some(runners) = manager.and_then(|manager| manager.runners.try_lock().ok()) else { return };
    for runner in runners.values() {
        runner.runner_tx.shutdown_clean();
    }
}

/// Takes no more, finishes what is under way, and closes the connection; never waits long.
fn goodbye(runtime: &Runtime, lobby: &Lobby, manager: Option<&Arc<ShardManager>>) {
    let until = Instant::now() + GOODBYE;
    if let Some(manager) = manager.cloned() {
        // Waited for from outside: a spinning runtime may never get to its own timers.
        let (closed, done) = channel();
        runtime.spawn(async move {
            manager.shutdown_all().await;
            let _ = closed.send(());
        });
        let _ = done.recv_timeout(GOODBYE);
    }
    while lobby.connection.answers_under_way() > 0 && Instant::now() < until {
        thread::sleep(Duration::from_millis(5));
    }
}

async fn live(lobby: &Arc<Lobby>, pulse: Arc<Pulse>, slot: &OnceLock<Arc<ShardManager>>) -> End {
    let http = http(&lobby.settings);
    // The client would turn to a fixed address when this fails, and never say so.
    let gateway = match limited(http.get_gateway()).await {
        Ok(gateway) => gateway.url,
        Err(error) => return End::Broken(format!("the platform did not say where to connect: {error}")),
    };
    let built = ClientBuilder::new_with_http(http, GatewayIntents::GUILDS).event_handler(Handler(Arc::clone(lobby)));
    let mut client: Client = match built.await {
        Ok(client) => client,
        Err(error) => return End::Broken(plain(&error)),
    };
    *client.ws_url.lock().await = gateway;
    let manager = Arc::clone(&client.shard_manager);
    let _ = slot.set(Arc::clone(&manager));
    tokio::spawn(async move { pulse.follow(&manager).await });
    for room in &lobby.rooms {
        let shop = tracing::info_span!("shop", name = room.desk.settings().shop);
        tokio::spawn(telling::keep(Arc::clone(room), Arc::clone(&client.http)).instrument(shop));
    }
    match client.start().await {
        Ok(()) => End::Broken("the connection ended".to_owned()),
        Err(serenity::Error::Gateway(error)) => gateway_end(&error),
        Err(error) => End::Broken(plain(&error)),
    }
}

/// What the platform's last word means for us.
fn gateway_end(error: &GatewayError) -> End {
    match error {
        GatewayError::InvalidAuthentication => End::Final(
            "the platform does not know the token (4004). Copy it anew from the bot's page into GUDGEON_DISCORD_TOKEN or discord.token_file, then start again".to_owned(),
        ),
        GatewayError::InvalidGatewayIntents => {
            End::Final("the platform does not know what was asked of it (4013). This program is too old for it: bring it up to date".to_owned())
        }
        GatewayError::DisallowedGatewayIntents => End::Final(
            "the platform did not allow what was asked of it (4014). Only the plain server events are asked for: look whether the bot is blocked on its page, then start again".to_owned(),
        ),
        other => End::Broken(other.to_string()),
    }
}

/// When the connection last showed life.
struct Pulse {
    began: Instant,
    /// Milliseconds after `began`.
    last: AtomicU64,
    /// How many turns anything on the runtime has had.
    turns: AtomicU64,
}

impl Pulse {
    fn new() -> Self {
        Self { began: Instant::now(), last: AtomicU64::new(0), turns: AtomicU64::new(0) }
    }

    fn silence(&self) -> Duration {
        self.began.elapsed().saturating_sub(Duration::from_millis(self.last.load(Ordering::Acquire)))
    }

    fn beat(&self) {
        let millis = u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX);
        self.last.store(millis, Ordering::Release);
    }

    fn turns(&self) -> u64 {
        self.turns.load(Ordering::Acquire)
    }

    /// Takes its turn on the runtime, for ever, more often than anyone looks.
    async fn tick(self: Arc<Self>) {
        loop {
            self.turns.fetch_add(1, Ordering::AcqRel);
            tokio::time::sleep(LOOK / 2).await;
        }
    }

    /// Life is an answered heartbeat: its measured delay is never twice the same. A shard that only says it is
    /// connected may be spinning on a dead socket.
    async fn follow(&self, manager: &ShardManager) {
        let mut before = None;
        loop {
            tokio::time::sleep(LOOK).await;
            let runners = manager.runners.lock().await;
            let now = runners.values().next().map(|shard| (shard.stage, shard.latency));
            drop(runners);
            if now != before && matches!(now, Some((ConnectionStage::Connected, _))) {
                self.beat();
            }
            before = now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn final_words_say_what_to_do_and_others_are_tried_again() {
        let text = |error| match gateway_end(&error) {
            End::Final(text) => text,
            _ => String::new(),
        };
        assert!(text(GatewayError::InvalidAuthentication).contains("discord.token_file"));
        assert!(text(GatewayError::InvalidGatewayIntents).contains("4013"));
        assert!(text(GatewayError::DisallowedGatewayIntents).contains("4014"));
        assert!(matches!(gateway_end(&GatewayError::HeartbeatFailed), End::Broken(_)));
    }

    #[test]
    fn silence_ends_with_a_beat() {
        let pulse = Pulse::new();
        thread::sleep(Duration::from_millis(30));
        assert!(pulse.silence() >= Duration::from_millis(30));
        pulse.beat();
        assert!(pulse.silence() < Duration::from_millis(30));
    }
}
