//! The phone page: a talk in a browser, a form for every command, the library to read, a board for every job.
//!
//! [`guard`] stands before everything, [`who`] knows the person, [`talk`] and [`forms`] take lines to the desk, [`paint`]
//! shows what it said; [`library`] and [`board`] are screens that only look. Every page works without script:
//! `assets/page.js` and its modules save a page load, follow the record ([`live`]) and show a result while it is typed.

mod asked;
mod assets;
mod board;
mod door;
mod field;
mod forms;
mod frame;
mod guard;
mod kept;
mod library;
mod live;
mod paint;
mod result;
mod rows;
mod sent;
mod sheet;
mod suggest;
mod talk;
mod taste;
mod who;

use std::net::SocketAddr;
use std::sync::Arc;

use anyhow::Context as _;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::{get, post};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;

use crate::config::Config;
use crate::desk::{Asker, Desk, Front};

/// The most a browser may send at once, in bytes.
pub const BODY_LIMIT: usize = 64 * 1024;

/// What every handler shares.
pub(crate) struct Page {
    desk: Arc<Desk>,
    door: who::Door,
    kept: kept::Kept,
    live: live::Live,
    listen: SocketAddr,
}

type Shared = Arc<Page>;

impl Page {
    /// A person at this front, as the desk knows them.
    fn asker(&self, visitor: &sent::Visitor) -> Asker {
        Asker { units: visitor.taste.units, ..Asker::new(&visitor.name, Front::Page) }
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
    Ok(routes(opened(desk, config)?))
}

fn opened(desk: Arc<Desk>, config: &Config) -> anyhow::Result<Shared> {
    let door = who::Door::open(config)?;
    let (kept, live) = (kept::Kept::default(), live::Live::default());
    Ok(Arc::new(Page { desk, door, kept, live, listen: config.page.listen }))
}

fn routes(page: Shared) -> Router {
    Router::new()
        .route("/", get(talk::page))
        .route("/line", post(talk::line))
        .route("/suggest", get(suggest::line))
        .route("/forms", get(forms::list))
        .route("/form", get(forms::show).post(forms::send))
        .route("/complete", get(suggest::field))
        .route("/result", get(result::show))
        .route("/library", get(library::shelf))
        .route("/page/{name}", get(library::page))
        .route("/jobs", get(board::jobs))
        .route("/review", get(board::review))
        .route("/job/{number}", get(board::job))
        .route("/job/{number}/rows/{check}", get(rows::show))
        .route("/rows", post(rows::send))
        .route("/drawn", get(board::drawn))
        .route("/live", get(live::stream))
        .route("/taste", get(taste::show).post(taste::keep))
        .route("/kept/{id}", get(kept::show))
        .route("/sheet/{file}", get(sheet::show))
        .route("/door", get(door::show).post(door::enter))
        .route("/leave", post(door::leave))
        .route("/assets/{mark}/{name}", get(assets::show))
        .fallback(frame::nothing_here)
        .method_not_allowed_fallback(frame::not_that_way)
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
        .layer(CatchPanicLayer::custom(frame::panicked))
        .layer(middleware::from_fn_with_state(page.clone(), guard::guard))
        .layer(CompressionLayer::new())
        .with_state(page)
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
    let page = opened(desk, &config)?;
    let following = tokio::spawn(live::follow(page.clone()));
    // A stream to an open page would hold up the end for ever.
    let ending = page.clone();
    let shutdown = async move {
        shutdown.await;
        ending.live.close();
    };
    let served = axum::serve(listener, routes(page)).with_graceful_shutdown(shutdown).await;
    following.abort();
    served.context("the phone page stopped")
}
