//! The phone page: a talk in a browser, a form for every command, the library to read, a board for every job.
//!
//! [`serve`] takes connections, [`guard`] stands before everything, [`who`] knows the person, [`talk`] and [`forms`] take lines to the desk, [`paint`]
//! shows what it said; [`library`] and [`board`] are screens that only look. Every page works without script:
//! `assets/page.js` and its modules save a page load, follow the record ([`live`]) and show a result while it is typed.

mod asked;
mod assets;
mod board;
mod carried;
#[cfg(feature = "shop")]
mod certificate;
#[cfg(feature = "shop")]
mod door;
mod field;
mod forms;
mod frame;
#[cfg(feature = "shop")]
mod guard;
mod kept;
mod later;
mod library;
#[cfg(feature = "shop")]
mod limits;
#[cfg_attr(not(feature = "shop"), path = "pocket/live.rs")]
mod live;
#[cfg(feature = "shop")]
mod network;
mod paint;
#[cfg(feature = "shop")]
mod people;
mod photo;
#[cfg(not(feature = "shop"))]
pub mod pocket;
mod result;
mod rows;
mod sent;
#[cfg(feature = "shop")]
mod serve;
mod sheet;
mod suggest;
mod talk;
mod taste;
#[cfg_attr(not(feature = "shop"), path = "pocket/who.rs")]
mod who;

use std::sync::Arc;

use axum::Router;
use axum::routing::{MethodRouter, get, post};
#[cfg(feature = "shop")]
use {
    crate::config::Config,
    anyhow::Context as _,
    axum::{extract::DefaultBodyLimit, middleware},
    jiff::Timestamp,
    tower_http::{catch_panic::CatchPanicLayer, compression::CompressionLayer},
};

use crate::desk::{Asker, Desk, Front};

/// The most a browser may send at once, in bytes.
pub const BODY_LIMIT: usize = 64 * 1024;

/// What every handler shares.
pub(crate) struct Page {
    desk: Arc<Desk>,
    door: who::Door,
    kept: kept::Kept,
    ahead: photo::Ahead,
    live: live::Live,
    #[cfg(feature = "shop")]
    hosts: network::Hosts,
    /// What is shown over the network; none on loopback.
    #[cfg(feature = "shop")]
    papers: Option<Arc<certificate::Papers>>,
}

type Shared = Arc<Page>;

impl Page {
    #[cfg(not(feature = "shop"))]
    fn in_pocket(desk: Desk, door: who::Door) -> Self {
        let (kept, ahead, live) = (kept::Kept::default(), photo::Ahead::default(), live::Live);
        Self { desk: Arc::new(desk), door, kept, ahead, live }
    }

    /// A person at this front, as the desk knows them.
    fn asker(&self, visitor: &sent::Visitor) -> Asker {
        Asker { units: visitor.taste.units, ..self.person(&visitor.name) }
    }

    fn person(&self, name: &str) -> Asker {
        Asker { role: self.door.role(name), ..Asker::new(name, Front::Page) }
    }
}

/// Does what may wait for the disk away from the threads that serve; none when it panicked, which the log tells.
#[cfg(feature = "shop")]
async fn off_thread<T, W>(page: &Shared, work: W) -> Option<T>
where
    T: Send + 'static,
    W: FnOnce(&Shared) -> T + Send + 'static,
{
    let page = page.clone();
    let done = tokio::task::spawn_blocking(move || work(&page)).await;
    done.inspect_err(|error| tracing::error!("the page gave up: {error}")).ok()
}

/// A phone has one thread, and no disk to wait for.
#[cfg(not(feature = "shop"))]
async fn off_thread<T>(page: &Shared, work: impl FnOnce(&Shared) -> T) -> Option<T> {
    Some(work(page))
}

/// What a person opens and sends, wherever the desk is: a phone answers these by itself.
fn answered_anywhere() -> [(&'static str, MethodRouter<Shared>); 17] {
    [
        ("/", get(talk::page)),
        ("/line", post(talk::line)),
        ("/suggest", get(suggest::line)),
        ("/forms", get(forms::list)),
        ("/form", get(forms::show).post(forms::send)),
        ("/boxes", get(forms::boxes)),
        ("/complete", get(suggest::field)),
        ("/result", get(result::show)),
        ("/library", get(library::shelf)),
        ("/page/{name}", get(library::page)),
        ("/jobs", get(board::jobs)),
        ("/review", get(board::review)),
        ("/job/{number}", get(board::job)),
        ("/job/{number}/rows/{check}", get(rows::show)),
        ("/rows", post(rows::send)),
        ("/drawn", get(board::drawn)),
        ("/sheet/{file}", get(sheet::show)),
    ]
}

fn screens() -> Router<Shared> {
    let screens = answered_anywhere().into_iter();
    screens
        .fold(Router::new(), |router, (path, handler)| router.route(path, handler))
        .fallback(frame::nothing_here)
        .method_not_allowed_fallback(frame::not_that_way)
}

/// Where [`screens`] are, for the worker on a phone. One with a slash at its end stands for all below it.
#[cfg(feature = "shop")]
fn screen_addresses() -> Vec<&'static str> {
    answered_anywhere().iter().map(|(path, _)| path.split('{').next().unwrap_or(path)).collect()
}

#[cfg(feature = "shop")]
/// The whole page as a service. Its Host check goes by `config.page`; its key book lies in `config.data`.
pub fn router(desk: Arc<Desk>, config: &Config) -> anyhow::Result<Router> {
    Ok(routes(opened(desk, config, None)?))
}

#[cfg(feature = "shop")]
fn opened(desk: Arc<Desk>, config: &Config, papers: Option<Arc<certificate::Papers>>) -> anyhow::Result<Shared> {
    let (door, hosts) = (who::Door::open(config)?, network::Hosts::of(config));
    let (kept, ahead, live) = (kept::Kept::default(), photo::Ahead::default(), live::Live::default());
    Ok(Arc::new(Page { desk, door, kept, ahead, live, hosts, papers }))
}

#[cfg(feature = "shop")]
fn routes(page: Shared) -> Router {
    screens()
        .route("/kept/{id}", get(kept::show))
        .route("/door", get(door::show).post(door::enter))
        .route("/leave", post(door::leave))
        .route("/certificate", get(door::certificate))
        .route("/people", get(people::show))
        .route("/people/invite", post(people::invite))
        .route("/people/remove", post(people::remove))
        .route("/assets/{mark}/{name}", get(assets::show))
        .route("/worker.js", get(assets::worker))
        .route("/manifest.webmanifest", get(assets::manifest))
        .route("/carried/record", get(carried::record))
        .route("/carried/shelf", get(carried::shelf))
        .route("/form/photo", post(photo::send).layer(DefaultBodyLimit::max(photo::FORM_LIMIT)))
        .route("/photo", post(photo::ahead).layer(DefaultBodyLimit::max(photo::ONE_LIMIT)))
        .route("/photo/{name}", get(photo::show))
        .route("/live", get(live::stream))
        .route("/taste", get(taste::show).post(taste::keep))
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
        .layer(CatchPanicLayer::custom(frame::panicked))
        .layer(middleware::from_fn_with_state(page.clone(), guard::guard))
        .layer(CompressionLayer::new())
        .with_state(page)
}

#[cfg(feature = "shop")]
/// Where the page is, a line for each address.
pub fn addresses(config: &Config) -> Vec<String> {
    if config.beyond_this_machine() { network::origins(config) } else { vec![format!("http://{}", config.page.listen)] }
}

#[cfg(feature = "shop")]
/// The SHA-256 fingerprint of the certificate that the page shows over the network, which is made where there is none.
pub fn fingerprint(config: &Config) -> anyhow::Result<String> {
    Ok(certificate::Papers::open(config, Timestamp::now())?.fingerprint())
}

#[cfg(feature = "shop")]
/// Serves the page until `shutdown` is done; beyond this machine over TLS, or not at all.
pub async fn serve(
    listener: tokio::net::TcpListener,
    desk: Arc<Desk>,
    config: &Config,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> anyhow::Result<()> {
    let mut config = config.clone();
    config.page.listen = listener.local_addr().context("the listener has no address")?;
    config.check()?;
    let papers = match config.beyond_this_machine() {
        true => Some(Arc::new(certificate::Papers::open(&config, Timestamp::now())?)),
        false => None,
    };
    let page = opened(desk, &config, papers.clone())?;
    let following = tokio::spawn(live::follow(page.clone()));
    // A stream to an open page would hold up the end.
    let ending = page.clone();
    let shutdown = async move {
        shutdown.await;
        ending.live.close();
    };
    serve::Server::new(routes(page), papers, config)?.run(listener, shutdown).await;
    following.abort();
    Ok(())
}
