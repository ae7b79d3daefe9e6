//! The phone page: a talk in a browser, with a form for every command.
//!
//! [`guard`] stands before everything, [`who`] knows the person, [`talk`] and [`forms`] take lines to the desk,
//! [`paint`] shows what it said. Every page works without script; `assets/page.js` only saves a page load.

mod asked;
mod assets;
mod door;
mod field;
mod forms;
mod frame;
mod guard;
mod kept;
mod paint;
mod photo;
mod sent;
mod sheet;
mod suggest;
mod talk;
mod who;

use std::net::SocketAddr;
use std::sync::Arc;

use anyhow::Context as _;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::{get, post};
use tower_http::catch_panic::CatchPanicLayer;

use crate::config::Config;
use crate::desk::{Asker, Desk, Front};

/// The most a browser may send at once, in bytes.
pub const BODY_LIMIT: usize = 64 * 1024;

/// What every handler shares.
pub(crate) struct Page {
    desk: Arc<Desk>,
    door: who::Door,
    kept: kept::Kept,
    ahead: photo::Ahead,
    listen: SocketAddr,
}

type Shared = Arc<Page>;

impl Page {
    /// A person at this front, as the desk knows them.
    fn asker(&self, person: &str) -> Asker {
        Asker::new(person, Front::Page)
    }
}

/// Does what may wait for the disk away from the threads that serve; none when it panicked, which the log tells.
async fn off_thread<T, W>(page: &Shared, work: W) -> Option<T>
where
    T: Send + 'static,
    W: FnOnce(&Shared) -> T + Send + 'static,
{
    let page = page.clone();
    let done = tokio::task::spawn_blocking(move || work(&page)).await;
    done.inspect_err(|error| tracing::error!("the page gave up: {error}")).ok()
}

/// The whole page as a service. Its Host check goes by `config.page.listen`; its signing key lies in `config.data`.
pub fn router(desk: Arc<Desk>, config: &Config) -> anyhow::Result<Router> {
    let door = who::Door::open(config)?;
    let page = Arc::new(Page {
        desk,
        door,
        kept: kept::Kept::default(),
        ahead: photo::Ahead::default(),
        listen: config.page.listen,
    });
    Ok(Router::new()
        .route("/", get(talk::page))
        .route("/line", post(talk::line))
        .route("/suggest", get(suggest::line))
        .route("/forms", get(forms::list))
        .route("/form", get(forms::show).post(forms::send))
        .route("/form/photo", post(photo::send).layer(DefaultBodyLimit::max(photo::FORM_LIMIT)))
        .route("/photo", post(photo::ahead).layer(DefaultBodyLimit::max(photo::ONE_LIMIT)))
        .route("/photo/{name}", get(photo::show))
        .route("/complete", get(suggest::field))
        .route("/kept/{id}", get(kept::show))
        .route("/sheet/{file}", get(sheet::show))
        .route("/door", get(door::show).post(door::enter))
        .route("/leave", post(door::leave))
        .route("/assets/{name}", get(assets::show))
        .fallback(frame::nothing_here)
        .method_not_allowed_fallback(frame::not_that_way)
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
        .layer(CatchPanicLayer::custom(frame::panicked))
        .layer(middleware::from_fn_with_state(page.clone(), guard::guard))
        .with_state(page))
}

/// Serves the page until `shutdown` is done.
pub async fn serve(
    listener: tokio::net::TcpListener,
    desk: Arc<Desk>,
    config: &Config,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> anyhow::Result<()> {
    let mut config = config.clone();
    config.page.listen = listener.local_addr().context("the listener has no address")?;
    config.check()?;
    let router = router(desk, &config)?;
    axum::serve(listener, router).with_graceful_shutdown(shutdown).await.context("the phone page stopped")
}
