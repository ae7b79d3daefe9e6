//! Interactions through the real chat client, so many a second, from the event to the first answer: the front beside a
//! handler on the same client that answers the same few words to everything.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail, ensure};
use gudgeon::config::Config;
use gudgeon::fronts::discord::{self, Settings, Token};
use gudgeon::shop;
use serde_json::Value;
use serenity::all::{
    ClientBuilder, Context, CreateInteractionResponse, CreateInteractionResponseMessage, EventHandler, GatewayIntents,
    HttpBuilder, Interaction,
};
use serenity::async_trait;

use super::measure::{Effort, Sheet, Subject, Unit, memory, side_by_side};
use super::platform::events::{self, GUILD, TECH, focused, text};
use super::platform::server::Server;

const TOKEN: &str = "bench.token.word";
/// Interactions of a round, at that many a second: a quiet shop, a busy one, and far more than any.
const RATES: [u64; 3] = [1, 50, 500];
/// How soon a list has to be there for the one who types.
const COMPLETION: f64 = 0.2;
const PATIENCE: Duration = Duration::from_secs(20);

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let desk = Arc::new(shop::open(&Config { data: folder.path().to_owned(), ..Config::default() })?);

    let ours = server()?;
    let before = memory();
    let mut settings = Settings::new(Token::new(TOKEN)?);
    settings.guild = GUILD;
    settings.api = Some(ours.api.clone());
    let front = discord::start(vec![discord::Shop { settings, desk: Some(desk) }])?;
    ours.wait("its commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let ready = memory();

    let bare = server()?;
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build()?;
    let api = bare.api.clone();
    runtime.spawn(async move {
        let http = HttpBuilder::new(TOKEN).proxy(api).ratelimiter_disabled(true).build();
        let gateway = http.get_gateway().await?.url;
        let mut client = ClientBuilder::new_with_http(http, GatewayIntents::GUILDS).event_handler(Bare).await?;
        *client.ws_url.lock().await = gateway;
        client.start().await
    });
    bare.wait("it", |shared| (shared.session().identified > 0).then_some(()));

    for rate in RATES {
        let sum = |id| events::slash(id, TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
        let list = |id| events::typing(id, TECH, "log", vec![focused("check", "journal")]);
        let series = side_by_side(
            effort,
            vec![
                Subject::new(format!("chat: a sum, {rate} a second"), || answered(&ours, rate, sum)),
                Subject::new(format!("chat: a list while typing, {rate} a second"), || answered(&ours, rate, list)),
                Subject::new(format!("bare handler, {rate} a second"), || answered(&bare, rate, sum)),
            ],
        )?;
        let [sums, lists, foot] = series.as_slice() else { bail!("three subjects, three series") };
        sheet.compare(Unit::Seconds, sums, foot);
        sheet.compare(Unit::Seconds, lists, foot);
        if rate < 500 && lists.at(0.99) > COMPLETION && !cfg!(debug_assertions) {
            sheet.fail(format!("a list while typing takes {:.0} ms at p99", lists.at(0.99) * 1e3));
        }
    }
    if let (Some(before), Some(ready), Some(after)) = (before, ready, memory()) {
        let mib = |more: u64, less: u64| more.saturating_sub(less) as f64 / f64::from(1 << 20);
        sheet.note(format!(
            "chat: the client takes {:.1} MiB once it is ready; after all rounds it and the bare one have taken {:.1} MiB.",
            mib(ready, before),
            mib(after, before)
        ));
    }
    sheet.note(
        "chat: from the event sent to the answer received, over loopback, both on the same client with one worker.",
    );
    drop(front);
    runtime.shutdown_background();
    Ok(())
}

/// One whose requests are kept but not judged: that is what the tests are for.
fn server() -> Result<Server> {
    let server = Server::start();
    server.shared.judging.store(false, Ordering::Release);
    Ok(server)
}

/// A second of interactions, evenly sent: how long each took.
fn answered(server: &Server, rate: u64, interaction: impl Fn(u64) -> Value) -> Result<Vec<f64>> {
    server.shared.calls().clear();
    let (began, gap) = (Instant::now(), Duration::from_secs(1) / u32::try_from(rate)?);
    let mut sent: BTreeMap<u64, Instant> = BTreeMap::new();
    for turn in 0..u32::try_from(rate)? {
        std::thread::sleep((began + gap * turn).saturating_duration_since(Instant::now()));
        let id = server.new_id();
        let event = interaction(id);
        sent.insert(id, Instant::now());
        server.event("INTERACTION_CREATE", event);
    }
    let until = Instant::now() + PATIENCE;
    while server.shared.calls().len() < sent.len() {
        ensure!(Instant::now() < until, "{} of {} were answered", server.shared.calls().len(), sent.len());
        std::thread::sleep(Duration::from_millis(5));
    }
    let mut took = Vec::new();
    for call in server.shared.calls().iter() {
        let id: u64 = call.path.split('/').nth(2).and_then(|id| id.parse().ok()).context("not an answer")?;
        let sent = sent.remove(&id).with_context(|| format!("{id} was answered twice"))?;
        took.push((call.when - sent).as_secs_f64());
    }
    Ok(took)
}

struct Bare;

#[async_trait]
impl EventHandler for Bare {
    async fn interaction_create(&self, context: Context, interaction: Interaction) {
        if let Interaction::Command(command) = interaction {
            let words = CreateInteractionResponseMessage::new().content("102.36 mm");
            let answer = CreateInteractionResponse::Message(words);
            if let Err(error) = command.create_response(&context.http, answer).await {
                eprintln!("the bare handler: {error}");
            }
        }
    }
}
