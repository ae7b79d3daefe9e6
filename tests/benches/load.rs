//! The page on a slow phone: Chromium held to a quarter of the processor and a slow mobile network loads the page for the first
//! time, beside an empty page from the same server. What is measured is the time until its script has run.

use std::sync::Arc;

use anyhow::{Result, bail};
use axum::Router;
use axum::response::Html;
use axum::routing::get;
use gudgeon::config::Config;
use gudgeon::{fronts::web, shop};
use serde_json::json;
use tokio::net::TcpListener;

use super::chromium::Browser;
use super::measure::{Effort, Series, Sheet, Subject, Unit, side_by_side};

/// Slow 4G as browsers' own tools have it: 150 ms there and back, 1.6 Mbit/s down, 0.75 Mbit/s up.
const DELAY: u32 = 150;
const DOWN: f64 = 1.6e6 / 8.0;
const UP: f64 = 0.75e6 / 8.0;
const SLOWER: u32 = 4;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let browser = Browser::start();
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let address = browser.runtime.block_on(async {
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let mut config = Config { data: folder.path().to_owned(), ..Config::default() };
        config.page.listen = address;
        let empty = Router::new().route("/empty", get(async || Html("<!DOCTYPE html><title>Empty</title>")));
        let router = web::router(Arc::new(shop::open(&config)?), &config)?.merge(empty);
        tokio::spawn(async move { axum::serve(listener, router).await });
        anyhow::Ok(address)
    })?;
    browser.runtime.block_on(async {
        let client = browser.client();
        client.goto(&format!("http://{address}/door")).await?;
        client.find(fantoccini::Locator::Css("button[value=tech-1]")).await?.click().await?;
        for (command, how) in [
            ("Network.enable", json!({})),
            ("Network.setCacheDisabled", json!({ "cacheDisabled": true })),
            ("Emulation.setCPUThrottlingRate", json!({ "rate": SLOWER })),
            (
                "Network.emulateNetworkConditions",
                json!({ "offline": false, "latency": DELAY, "downloadThroughput": DOWN, "uploadThroughput": UP }),
            ),
        ] {
            browser.devtools(&browser.session, command, how).await;
        }
        anyhow::Ok(())
    })?;
    let load = |path: &'static str| {
        let (browser, address) = (&browser, &address);
        move || {
            browser.runtime.block_on(async {
                let client = browser.client();
                client.goto(&format!("http://{address}{path}")).await?;
                let ran = "return performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd";
                let ran = client.execute(ran, Vec::new()).await?;
                Ok(vec![ran.as_f64().unwrap_or(f64::NAN) / 1000.0])
            })
        }
    };
    let series: Vec<Series> = side_by_side(
        Effort { rounds: effort.rounds.min(12), ..effort },
        vec![
            Subject::new("first load: talk", load("/")),
            Subject::new("first load: job", load("/job/1")),
            Subject::new("empty page", load("/empty")),
        ],
    )?;
    let [talk, job, empty] = series.as_slice() else { bail!("three subjects, three series") };
    sheet.compare(Unit::Seconds, talk, empty);
    sheet.compare(Unit::Seconds, job, empty);
    sheet.note(format!(
        "first load: until the script has run, nothing in the cache, processor {SLOWER} times slower, {DELAY} ms and 1.6 Mbit/s."
    ));
    Ok(())
}
