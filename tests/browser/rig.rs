//! One Chromium for all tests that need it, started with the first and closed with the last; each test gets a shop
//! of its own on a port of its own, and they take turns.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::time::Duration;

use fantoccini::elements::Element;
use fantoccini::wd::{PrintConfigurationBuilder, PrintSize, WindowHandle};
use fantoccini::{Client, Locator};
use gudgeon::config::Config;
use gudgeon::desk::Desk;
use gudgeon::fronts::web;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::runtime::Handle;

use super::chromium::Browser;

static BROWSER: Mutex<Weak<Browser>> = Mutex::new(Weak::new());
static TURN: Mutex<()> = Mutex::new(());
const PATIENCE: Duration = Duration::from_secs(30);
/// How long between two looks for what is awaited.
const LOOK: Duration = Duration::from_millis(15);

/// A shop that is served, reached over loopback, with a data folder of its own.
pub struct Served {
    pub address: SocketAddr,
    pub desk: Arc<Desk>,
    pub data: TempDir,
    config: Config,
    /// Where it runs, whichever browser looks at it.
    runtime: Handle,
    running: Mutex<Option<Running>>,
}

/// A server that runs until it is told to stop, and when it has.
struct Running {
    stop: tokio::sync::oneshot::Sender<()>,
    ended: tokio::task::JoinHandle<()>,
}

impl Served {
    /// Takes the shop's machine off the network: what is connected is cut off.
    pub async fn stop(&self) {
        let running = self.running.lock().unwrap().take().expect("it runs");
        running.stop.send(()).unwrap();
        running.ended.await.unwrap();
    }

    /// Puts it back where it was.
    pub async fn start(&self) {
        let listener = tokio::net::TcpListener::bind(self.address).await.unwrap();
        *self.running.lock().unwrap() = Some(run(&self.runtime, listener, &self.desk, &self.config));
    }
}

fn run(runtime: &Handle, listener: tokio::net::TcpListener, desk: &Arc<Desk>, config: &Config) -> Running {
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let (desk, config) = (desk.clone(), config.clone());
    let listener = listener.into_std().unwrap();
    let ended = runtime.spawn(async move {
        let shutdown = async {
            let _ = stopped.await;
        };
        let listener = tokio::net::TcpListener::from_std(listener).unwrap();
        web::serve(listener, desk, &config, shutdown).await.unwrap();
    });
    Running { stop, ended }
}

/// Serves the demo shop with settings changed by `change`; on loopback, unless they say otherwise.
pub async fn serve(change: impl FnOnce(&mut Config)) -> Served {
    serve_desk(crate::talks::bench(), change).await
}

/// The same over a desk of the test's own.
pub async fn serve_desk(desk: Desk, change: impl FnOnce(&mut Config)) -> Served {
    let data = tempfile::tempdir().unwrap();
    let mut config = Config { data: data.path().to_owned(), ..Config::default() };
    change(&mut config);
    let desk = Arc::new(desk);
    let listener = tokio::net::TcpListener::bind((config.page.listen.ip(), 0)).await.unwrap();
    let address = SocketAddr::from(([127, 0, 0, 1], listener.local_addr().unwrap().port()));
    let runtime = Handle::current();
    let running = Mutex::new(Some(run(&runtime, listener, &desk, &config)));
    Served { address, desk, data, config, runtime, running }
}

/// The browser at a fresh shop, and what a test does with it.
pub struct Screen {
    client: Client,
    browser: Arc<Browser>,
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

/// A phone of its own, whose profile outlives it: runs a test on it at the shop, and pulls out its battery at the end.
pub fn on_phone(profile: &Arc<TempDir>, shop: &Arc<Served>, test: impl AsyncFnOnce(&Screen)) {
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let browser = Arc::new(Browser::start_in(profile.clone()));
    let (client, session) = (browser.client(), browser.session.clone());
    let origin = format!("http://{}", shop.address);
    let screen = Screen { client, browser: browser.clone(), session, origin, shop: shop.clone() };
    browser.runtime.block_on(async {
        screen.size(360, 800).await;
        test(&screen).await;
        browser.crash().await;
    });
}

/// Runs a test in the browser, at phone size, signed out, with empty storage, in the light theme.
pub fn on_screen(test: impl AsyncFnOnce(&Screen)) {
    let browser = browser();
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    browser.runtime.block_on(async {
        let shop = Arc::new(serve(|_| {}).await);
        let origin = format!("http://{}", shop.address);
        let session = browser.session.clone();
        let screen = Screen { client: browser.client(), browser: browser.clone(), session, origin, shop };
        screen.fresh().await;
        test(&screen).await;
    });
}

/// A page of its own as a picture of that width, as high as it is.
pub fn picture(page: &str, width: u32) -> Vec<u8> {
    let mut picture = Vec::new();
    let place = tempfile::Builder::new().suffix(".html").tempfile().unwrap();
    std::fs::write(place.path(), page).unwrap();
    on_screen(async |screen| {
        screen.open(&format!("file://{}", place.path().display())).await;
        let height = screen.eval("return Math.ceil(document.body.getBoundingClientRect().height)").await;
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1.5, "mobile": true });
        screen.devtools("Emulation.setDeviceMetricsOverride", metrics).await;
        picture = screen.client.screenshot().await.unwrap();
    });
    picture
}

/// Runs a test on two phones, each with a profile of its own, at a shop in its network.
pub fn on_two_phones(test: impl AsyncFnOnce(&Screen, &Screen)) {
    let browser = browser();
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    browser.runtime.block_on(async {
        let shop = Arc::new(serve(gudgeon::config::Config::open_to_network).await);
        let profile = tempfile::tempdir().unwrap();
        let other = browser.another(profile.path()).await;
        let other_session = other.session_id().await.unwrap().expect("a session");
        let phone = |client, session| Screen {
            client,
            browser: browser.clone(),
            session,
            origin: format!("https://{}", shop.address),
            shop: shop.clone(),
        };
        let one = phone(browser.client(), browser.session.clone());
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
        // What is shown comes from the server, unless a test is about the phone alone.
        self.devtools("Network.setBypassServiceWorker", json!({ "bypass": true })).await;
        self.size(360, 800).await;
        self.theme("light").await;
    }

    async fn devtools(&self, command: &str, parameters: Value) -> Value {
        self.browser.devtools(&self.session, command, parameters).await
    }

    /// Runs a script that calls its last argument when it is done.
    pub async fn later(&self, script: &str) -> Value {
        self.client.execute_async(script, Vec::new()).await.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// Opens another tab on the same page.
    pub async fn second_tab(&self, path: &str) {
        let tab = self.client.new_window(true).await.unwrap();
        self.client.switch_to_window(tab.handle).await.unwrap();
        self.goto(path).await;
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

    /// A second window, with the person who is known there under this name of the same machine: cookies go by host.
    pub async fn window(&self, host: &str, person: &str) -> WindowHandle {
        let made = self.client.new_window(false).await.unwrap();
        self.client.switch_to_window(made.handle.clone()).await.unwrap();
        self.size(360, 740).await;
        self.open(&format!("http://{host}:{}/door", self.shop.address.port())).await;
        self.press(&format!("button[name=person][value='{person}']")).await;
        self.wait("#talk").await;
        made.handle
    }

    /// The window that is looked at.
    pub async fn here(&self) -> WindowHandle {
        self.client.window().await.unwrap()
    }

    pub async fn turn_to(&self, window: &WindowHandle) {
        self.client.switch_to_window(window.clone()).await.unwrap();
    }

    /// Closes the window and turns to another.
    pub async fn shut(&self, window: &WindowHandle, then: &WindowHandle) {
        self.turn_to(window).await;
        self.client.close_window().await.unwrap();
        self.turn_to(then).await;
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

    /// The same under another name of this machine, as another person's window has it.
    pub async fn goto_at(&self, host: &str, path: &str) {
        self.open(&format!("http://{host}:{}{path}", self.shop.address.port())).await;
    }

    /// Waits until a script says so.
    pub async fn wait_for(&self, script: &str) {
        let end = std::time::Instant::now() + PATIENCE;
        while self.eval(script).await != true {
            assert!(std::time::Instant::now() < end, "never: {script}; the page says: {}", self.said().await);
            tokio::time::sleep(LOOK).await;
        }
    }

    /// Who is known here, as a browser says it.
    pub async fn cookie(&self) -> String {
        let cookie = self.client.get_named_cookie("gudgeon").await.unwrap();
        format!("gudgeon={}", cookie.value())
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
