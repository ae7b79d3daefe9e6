//! One Chromium for all tests that need it, started with the first and closed with the last; each test gets a shop
//! of its own on a port of its own, and they take turns.

use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::time::Duration;

use fantoccini::elements::Element;
use fantoccini::wd::{PrintConfigurationBuilder, PrintSize};
use fantoccini::{Client, ClientBuilder, Locator};
use gudgeon::config::Config;
use gudgeon::desk::Desk;
use gudgeon::fronts::web;
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::runtime::Runtime;

use super::wire;

static BROWSER: Mutex<Weak<Browser>> = Mutex::new(Weak::new());
static TURN: Mutex<()> = Mutex::new(());
const PATIENCE: Duration = Duration::from_secs(10);
/// How long between two looks for what is awaited.
const LOOK: Duration = Duration::from_millis(15);

/// A shop that is served, reached over loopback, with a data folder of its own.
pub struct Served {
    pub address: SocketAddr,
    pub desk: Arc<Desk>,
    pub data: TempDir,
    _stop: tokio::sync::oneshot::Sender<()>,
}

/// Serves the demo shop with settings changed by `change`; on loopback, unless they say otherwise.
pub async fn serve(change: impl FnOnce(&mut Config)) -> Served {
    let data = tempfile::tempdir().unwrap();
    let mut config = Config { data: data.path().to_owned(), ..Config::default() };
    change(&mut config);
    let desk = Arc::new(crate::talks::bench());
    let listener = tokio::net::TcpListener::bind((config.page.listen.ip(), 0)).await.unwrap();
    let address = SocketAddr::from(([127, 0, 0, 1], listener.local_addr().unwrap().port()));
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let served = desk.clone();
    tokio::spawn(async move {
        let shutdown = async {
            let _ = stopped.await;
        };
        web::serve(listener, served, &config, shutdown).await.unwrap();
    });
    Served { address, desk, data, _stop: stop }
}

/// The driver's process, ended when dropped.
struct Driver(Child);

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Chromium behind its driver. Dropping it closes the one, then ends the other.
struct Browser {
    client: Option<Client>,
    _driver: Driver,
    port: u16,
    session: String,
    runtime: Runtime,
    _profile: TempDir,
}

impl Browser {
    fn start() -> Self {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map(Driver)
            .expect("chromedriver, which tests/run installs");
        let profile = tempfile::tempdir().unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
        let client = runtime.block_on(connect(port, profile.path()));
        let session = runtime.block_on(client.session_id()).unwrap().expect("a session");
        Self { client: Some(client), _driver: driver, port, session, runtime, _profile: profile }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if let Some(client) = self.client.take() {
            let _ = self.runtime.block_on(async { tokio::time::timeout(PATIENCE, client.close()).await });
        }
    }
}

async fn connect(port: u16, profile: &Path) -> Client {
    let arguments: Vec<String> = [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--hide-scrollbars",
    ]
    .into_iter()
    .map(str::to_owned)
    .chain([format!("--user-data-dir={}", profile.display())])
    .collect();
    let options = json!({ "goog:chromeOptions": { "args": arguments }, "acceptInsecureCerts": true });
    let mut builder = ClientBuilder::new(HttpConnector::new());
    builder.capabilities(options.as_object().unwrap().clone());
    for _ in 0..100 {
        match builder.connect(&format!("http://127.0.0.1:{port}")).await {
            Ok(client) => return client,
            Err(fantoccini::error::NewSessionError::NotW3C(said)) => panic!("no session: {said}"),
            Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
        }
    }
    panic!("no session with chromedriver on port {port}")
}

/// The browser at a fresh shop, and what a test does with it.
pub struct Screen {
    client: Client,
    port: u16,
    session: String,
    origin: String,
    pub shop: Arc<Served>,
}

/// The browser that is there, or a new one.
fn browser() -> Arc<Browser> {
    let mut shared = BROWSER.lock().unwrap_or_else(PoisonError::into_inner);
    shared.upgrade().unwrap_or_else(|| {
        let started = Arc::new(Browser::start());
        *shared = Arc::downgrade(&started);
        started
    })
}

/// Runs a test in the browser, at phone size, signed out, with empty storage, in the light theme.
pub fn on_screen(test: impl AsyncFnOnce(&Screen)) {
    let browser = browser();
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    browser.runtime.block_on(async {
        let shop = Arc::new(serve(|_| {}).await);
        let client = browser.client.clone().unwrap();
        let origin = format!("http://{}", shop.address);
        let screen = Screen { client, port: browser.port, session: browser.session.clone(), origin, shop };
        screen.fresh().await;
        test(&screen).await;
    });
}

/// Runs a test on two phones, each with a profile of its own, at a shop in its network.
pub fn on_two_phones(test: impl AsyncFnOnce(&Screen, &Screen)) {
    let browser = browser();
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    browser.runtime.block_on(async {
        let shop = Arc::new(serve(gudgeon::config::Config::open_to_network).await);
        let profile = tempfile::tempdir().unwrap();
        let other = connect(browser.port, profile.path()).await;
        let other_session = other.session_id().await.unwrap().expect("a session");
        let phone = |client, session| Screen {
            client,
            port: browser.port,
            session,
            origin: format!("https://{}", shop.address),
            shop: shop.clone(),
        };
        let one = phone(browser.client.clone().unwrap(), browser.session.clone());
        let two = phone(other.clone(), other_session);
        one.fresh().await;
        two.fresh().await;
        test(&one, &two).await;
        let _ = tokio::time::timeout(PATIENCE, other.close()).await;
    });
}

impl Screen {
    async fn fresh(&self) {
        self.goto("/door").await;
        self.client.delete_all_cookies().await.unwrap();
        self.scripts(true).await;
        self.size(360, 800).await;
        self.theme("light").await;
    }

    /// Sends a DevTools command through the driver.
    async fn devtools(&self, command: &str, parameters: Value) -> Value {
        let to = SocketAddr::from(([127, 0, 0, 1], self.port));
        let path = format!("/session/{}/goog/cdp/execute", self.session);
        let body = json!({ "cmd": command, "params": parameters }).to_string();
        let answer = wire::ask(to, "POST", &path, &[("Content-Type", "application/json")], &body).await;
        assert_eq!(answer.status, 200, "{command}: {}", answer.text());
        serde_json::from_slice::<Value>(&answer.body).unwrap()["value"].clone()
    }

    pub async fn size(&self, width: u32, height: u32) {
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 2, "mobile": width < 1000 });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics).await;
        self.devtools("Emulation.setTouchEmulationEnabled", json!({ "enabled": width < 1000 })).await;
    }

    pub async fn theme(&self, scheme: &str) {
        let features = json!({ "features": [
            { "name": "prefers-color-scheme", "value": scheme },
            { "name": "prefers-reduced-motion", "value": "reduce" },
        ]});
        self.devtools("Emulation.setEmulatedMedia", features).await;
    }

    /// Lets the page's script load, or not. It is the only one its policy allows, so without it nothing runs.
    pub async fn scripts(&self, on: bool) {
        self.devtools("Network.enable", json!({})).await;
        let shut: &[&str] = if on { &[] } else { &["*.js"] };
        self.devtools("Network.setBlockedURLs", json!({ "urls": shut })).await;
        self.devtools("Network.setCacheDisabled", json!({ "cacheDisabled": !on })).await;
    }

    pub async fn goto(&self, path: &str) {
        self.client.goto(&format!("{}{path}", self.origin)).await.unwrap();
    }

    pub async fn reload(&self) {
        self.client.refresh().await.unwrap();
    }

    pub async fn path(&self) -> String {
        self.client.current_url().await.unwrap().path().to_owned()
    }

    /// Walks through the door, out of whoever's name.
    pub async fn be(&self, name: &str) {
        self.goto("/door").await;
        self.press(&format!("button[name=person][value='{name}']")).await;
        self.wait("#talk").await;
    }

    pub async fn wait(&self, css: &str) -> Element {
        match self.client.wait().at_most(PATIENCE).every(LOOK).for_element(Locator::Css(css)).await {
            Ok(element) => element,
            Err(error) => panic!("no {css}: {error}; the page says: {}", self.said().await),
        }
    }

    async fn said(&self) -> String {
        self.eval("return document.body.innerText.slice(-1500)").await.as_str().unwrap_or_default().to_owned()
    }

    pub async fn text(&self, css: &str) -> String {
        self.wait(css).await.text().await.unwrap()
    }

    /// Presses what is in view; what lies under a bar is scrolled free first, as a thumb would.
    pub async fn press(&self, css: &str) {
        let element = self.wait(css).await;
        self.eval_on(&element, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})").await;
        element.click().await.unwrap_or_else(|error| panic!("cannot press {css}: {error}"));
    }

    pub async fn fill(&self, css: &str, text: &str) {
        let element = self.wait(css).await;
        element.clear().await.unwrap();
        element.send_keys(text).await.unwrap();
    }

    /// Types into whatever has the focus.
    pub async fn keys(&self, text: &str) {
        let focused = self.client.active_element().await.unwrap();
        focused.send_keys(text).await.unwrap();
    }

    /// Types a line, sends it and waits for its card.
    pub async fn say(&self, line: &str) {
        let before = self.count("#talk > .exchange:not(.unsent)").await;
        self.fill("#line", line).await;
        self.press("#dock .send").await;
        self.cards(before + 1).await;
    }

    /// Waits until the talk holds so many cards.
    pub async fn cards(&self, count: usize) {
        self.wait(&format!("#talk > .exchange:not(.unsent):nth-of-type({count})")).await;
    }

    pub async fn count(&self, css: &str) -> usize {
        self.client.find_all(Locator::Css(css)).await.unwrap().len()
    }

    pub async fn eval(&self, script: &str) -> Value {
        self.eval_with(script, Vec::new()).await
    }

    /// Runs a script that finds these as its `arguments`.
    pub async fn eval_with(&self, script: &str, arguments: Vec<Value>) -> Value {
        self.client.execute(script, arguments).await.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    async fn eval_on(&self, element: &Element, script: &str) -> Value {
        self.eval_with(script, vec![serde_json::to_value(element).unwrap()]).await
    }

    /// Where the page is, without its path.
    pub fn origin(&self) -> &str {
        &self.origin
    }

    /// Opens any address.
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.unwrap();
    }

    /// Prints to paper of that size in centimetres; the PDF is kept beside the pictures.
    pub async fn printed(&self, name: &str, width: f64, height: f64) -> Vec<u8> {
        let size = PrintSize { width, height };
        let wanted = PrintConfigurationBuilder::default().size(size).background(true).build().unwrap();
        let pdf = self.client.print(wanted).await.unwrap();
        std::fs::write(shots().join(format!("{name}.pdf")), &pdf).unwrap();
        pdf
    }

    /// Keeps a picture of the screen in tests/browser/shots/, for a person to look at.
    pub async fn shot(&self, name: &str) {
        std::fs::write(shots().join(format!("{name}.png")), self.client.screenshot().await.unwrap()).unwrap();
    }
}

/// Where pictures are kept.
fn shots() -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/browser/shots");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}
