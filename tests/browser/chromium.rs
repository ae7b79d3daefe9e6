//! A Chromium behind its driver: started, told what to do by DevTools, ended with its processes.

use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::runtime::Runtime;

use super::wire;

const PATIENCE: Duration = Duration::from_secs(10);

/// The driver's process, ended when dropped.
struct Driver(Child);

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Chromium behind its driver. Dropping it closes the one, then ends the other.
pub struct Browser {
    client: Option<Client>,
    _driver: Driver,
    port: u16,
    pub session: String,
    pub runtime: Runtime,
    _profile: TempDir,
}

impl Browser {
    pub fn start() -> Self {
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

    pub fn client(&self) -> Client {
        self.client.clone().unwrap()
    }

    /// Another browser behind the same driver, with a profile of its own.
    #[allow(dead_code)]
    pub async fn another(&self, profile: &Path) -> Client {
        connect(self.port, profile).await
    }

    /// Sends a DevTools command to a session through the driver.
    pub async fn devtools(&self, session: &str, command: &str, parameters: Value) -> Value {
        let to = SocketAddr::from(([127, 0, 0, 1], self.port));
        let path = format!("/session/{session}/goog/cdp/execute");
        let body = json!({ "cmd": command, "params": parameters }).to_string();
        let answer = wire::ask(to, "POST", &path, &[("Content-Type", "application/json")], &body).await;
        assert_eq!(answer.status, 200, "{command}: {}", answer.text());
        serde_json::from_slice::<Value>(&answer.body).unwrap()["value"].clone()
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
