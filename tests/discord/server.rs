//! A chat platform on loopback, as much of it as the front meets.

use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::time::{Duration, Instant};

use serde_json::Value;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;

use super::contract::{self, Count};
use super::events::SECOND;
use super::gateway::{self, Session};
use super::places::Places;
pub use super::places::Posted;
use super::rest::{self, Call};
use super::secure::Secure;
use super::world::World;

/// Longer than anything here takes, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(150);

/// The running server; it is gone when this is dropped.
pub struct Server {
    pub shared: Arc<Shared>,
    pub api: String,
    /// Where the same is spoken under the platform's own name, for a client that believes this certificate.
    pub secure: Secure,
    next_id: AtomicU64,
    _runtime: Runtime,
}

/// What both sides of the server know.
pub struct Shared {
    calls: Mutex<Vec<Call>>,
    commands: Mutex<Vec<Value>>,
    second_commands: Mutex<Vec<Value>>,
    places: Mutex<Places>,
    session: Mutex<Session>,
    world: Mutex<World>,
    judged: Mutex<(Count, Vec<String>)>,
    /// Whether requests are held against the contract.
    pub judging: AtomicBool,
    /// How many of the next requests fail as if the service were down.
    pub failing: AtomicUsize,
    gateway: String,
    something_new: (Mutex<u64>, Condvar),
}

impl Shared {
    pub fn calls(&self) -> MutexGuard<'_, Vec<Call>> {
        self.calls.lock().unwrap()
    }

    pub fn commands(&self) -> MutexGuard<'_, Vec<Value>> {
        self.commands.lock().unwrap()
    }

    /// Those that a path means: of the second server, or of the first and of all.
    pub fn commands_at(&self, path: &[&str]) -> MutexGuard<'_, Vec<Value>> {
        match path {
            [.., "guilds", server, "commands"] if *server == SECOND.to_string() => self.second_commands.lock().unwrap(),
            _ => self.commands(),
        }
    }

    pub fn session(&self) -> MutexGuard<'_, Session> {
        self.session.lock().unwrap()
    }

    pub fn places(&self) -> MutexGuard<'_, Places> {
        self.places.lock().unwrap()
    }

    pub fn posted(&self) -> Vec<Posted> {
        self.places().posted()
    }

    pub fn world(&self) -> MutexGuard<'_, World> {
        self.world.lock().unwrap()
    }

    /// Holds a request against the contract, and keeps what is at fault until the server ends.
    pub fn judge(&self, call: &Call) {
        if !self.judging.load(Ordering::Acquire) {
            return;
        }
        let (kind, faults) = contract::judge(call);
        let mut judged = self.judged.lock().unwrap();
        if let Some(kind) = kind.filter(|_| faults.is_empty()) {
            *judged.0.entry(kind).or_default() += 1;
        }
        judged.1.extend(faults.into_iter().map(|fault| format!("{} {}: {fault}", call.method, call.path)));
    }

    /// How many bodies of each kind were found right so far.
    pub fn judged(&self) -> Count {
        self.judged.lock().unwrap().0.clone()
    }

    /// What was at fault so far.
    pub fn at_fault(&self) -> Vec<String> {
        self.judged.lock().unwrap().1.clone()
    }

    pub fn gateway_address(&self) -> &str {
        &self.gateway
    }

    /// Wakes everyone who waits.
    pub fn changed(&self) {
        *self.something_new.0.lock().unwrap() += 1;
        self.something_new.1.notify_all();
    }
}

impl Server {
    pub fn start() -> Self {
        contract::schemas::want();
        let runtime = Runtime::new().unwrap();
        let (shared, api, secure) = runtime.block_on(async {
            let gateway = TcpListener::bind("127.0.0.1:0").await.unwrap();
            let rest = TcpListener::bind("127.0.0.1:0").await.unwrap();
            let api = format!("http://{}", rest.local_addr().unwrap());
            let shared = Arc::new(Shared {
                calls: Mutex::default(),
                commands: Mutex::default(),
                second_commands: Mutex::default(),
                places: Mutex::default(),
                session: Mutex::default(),
                world: Mutex::default(),
                judged: Mutex::default(),
                judging: AtomicBool::new(true),
                failing: AtomicUsize::new(0),
                gateway: format!("ws://{}", gateway.local_addr().unwrap()),
                something_new: Default::default(),
            });
            tokio::spawn(gateway::serve(gateway, Arc::clone(&shared)));
            let router = rest::router(Arc::clone(&shared));
            let (secure, listener) = Secure::open().await;
            tokio::spawn(axum::serve(listener, router.clone()).into_future());
            tokio::spawn(axum::serve(rest, router).into_future());
            (shared, api, secure)
        });
        Self { shared, api, secure, next_id: AtomicU64::new(1_000_000), _runtime: runtime }
    }

    pub fn new_id(&self) -> u64 {
        self.next_id.fetch_add(1, Ordering::Relaxed)
    }

    /// Sends an event to the client.
    pub fn event(&self, name: &str, data: Value) {
        self.shared.session().event(name, data);
    }

    /// Waits until `found` finds something.
    pub fn wait<T>(&self, what: &str, mut found: impl FnMut(&Shared) -> Option<T>) -> T {
        let until = Instant::now() + PATIENCE;
        loop {
            let seen = *self.shared.something_new.0.lock().unwrap();
            if let Some(found) = found(&self.shared) {
                return found;
            }
            let left = until.saturating_duration_since(Instant::now());
            assert!(!left.is_zero(), "no {what} came; the calls were {:#?}", self.brief());
            let held = self.shared.something_new.0.lock().unwrap();
            // Some of what is waited for makes no noise here, so it is looked for now and then as well.
            let nap = left.min(Duration::from_millis(50));
            drop(self.shared.something_new.1.wait_timeout_while(held, nap, |now| *now == seen).unwrap());
        }
    }

    /// The first call of this method whose path contains `part`.
    pub fn call(&self, method: &str, part: &str) -> Call {
        self.wait(&format!("{method} {part}"), |shared| {
            shared.calls().iter().find(|call| call.method == method && call.path.contains(part)).cloned()
        })
    }

    /// How many such calls there were.
    pub fn count(&self, method: &str, part: &str) -> usize {
        self.shared.calls().iter().filter(|call| call.method == method && call.path.contains(part)).count()
    }

    fn brief(&self) -> Vec<String> {
        self.shared.calls().iter().map(|call| format!("{} {} {}", call.method, call.path, call.body)).collect()
    }
}

impl Drop for Server {
    /// A body that the platform would refuse fails the test that sent it.
    fn drop(&mut self) {
        let (count, faults) = std::mem::take(&mut *self.shared.judged.lock().unwrap());
        contract::note(&count);
        if !std::thread::panicking() {
            assert!(faults.is_empty(), "the platform would refuse this:\n{}", faults.join("\n"));
        }
    }
}
