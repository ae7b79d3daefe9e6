//! Connections: taken, made safe where they come over the network, and given no more time or room than a phone needs.

use std::collections::HashMap;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::{Extension, Router};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use hyper_util::service::TowerToHyperService;
use jiff::Timestamp;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::timeout;
use tokio_rustls::TlsAcceptor;

use super::certificate::Papers;
use super::network;
use crate::config::Config;

/// A TLS handshake, and the head of a request, take so long at most.
const HEAD: Duration = Duration::from_secs(10);
/// The longest head of a request, in bytes.
const HEAD_SIZE: usize = 64 * 1024;
/// Connections at once: in all, and from one address.
const AT_ONCE: usize = 1024;
const FROM_ONE: usize = 64;
/// How long open connections are waited for at the end.
const LEAVE: Duration = Duration::from_secs(3);
/// How often this machine's addresses are looked at.
const LOOK: Duration = Duration::from_secs(60);
/// The first byte of a TLS handshake.
const HANDSHAKE: u8 = 0x16;

/// Where a request comes from.
#[derive(Debug, Clone, Copy)]
pub struct Peer(pub IpAddr);

impl<S: Sync> FromRequestParts<S> for Peer {
    type Rejection = std::convert::Infallible;

    /// A router that is asked without a connection is asked by this machine.
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        Ok(parts.extensions.get().copied().unwrap_or(Self(IpAddr::V4(Ipv4Addr::LOCALHOST))))
    }
}

/// How the page is served.
pub struct Server {
    router: Router,
    /// What it shows over the network; none on loopback.
    safe: Option<(Arc<Papers>, TlsAcceptor)>,
    config: Config,
}

impl Server {
    pub fn new(router: Router, papers: Option<Arc<Papers>>, config: Config) -> anyhow::Result<Self> {
        let safe = papers.map(|papers| anyhow::Ok((papers.clone(), TlsAcceptor::from(Arc::new(papers.server()?)))));
        Ok(Self { router, safe: safe.transpose()?, config })
    }

    /// Takes connections until `shutdown` is done, and lets those that are open come to an end.
    pub async fn run(self, listener: TcpListener, shutdown: impl Future<Output = ()>) {
        let server = Arc::new(self);
        let renewing =
            server.safe.as_ref().map(|(papers, _)| tokio::spawn(renew(papers.clone(), server.config.clone())));
        let (graceful, crowd) = (GracefulShutdown::new(), Crowd::default());
        let mut shutdown = std::pin::pin!(shutdown);
        loop {
            let (stream, peer) = tokio::select! {
                taken = listener.accept() => match taken {
                    Ok(taken) => taken,
                    Err(error) => {
                        tracing::warn!("a connection was not taken: {error}");
                        // Out of file handles, most often: a moment, and some are free again.
                        tokio::time::sleep(Duration::from_millis(200)).await;
                        continue;
                    }
                },
                () = &mut shutdown => break,
            };
            let peer = peer.ip().to_canonical();
            let Some(place) = crowd.place(peer, server.safe.is_some()) else { continue };
            let (server, watcher) = (server.clone(), graceful.watcher());
            tokio::spawn(async move {
                if let Err(error) = server.take(stream, peer, watcher).await {
                    tracing::debug!(%peer, "a connection ended: {error}");
                }
                drop(place);
            });
        }
        drop(listener);
        if let Some(renewing) = renewing {
            renewing.abort();
        }
        if timeout(LEAVE, graceful.shutdown()).await.is_err() {
            tracing::debug!("connections were still open at the end");
        }
    }

    async fn take(&self, stream: TcpStream, peer: IpAddr, watcher: Watcher) -> io::Result<()> {
        stream.set_nodelay(true)?;
        let Some((_, acceptor)) = &self.safe else { return self.talk(stream, peer, watcher).await };
        let here = stream.local_addr()?;
        // Listening on every address must not open one that the whole world reaches.
        if self.config.page.listen.ip().is_unspecified() && !network::is_private(here.ip()) {
            tracing::debug!(%peer, "turned away: {} is no address of the shop's network", here.ip());
            return Ok(());
        }
        let mut first = [0];
        timeout(HEAD, stream.peek(&mut first)).await??;
        if first != [HANDSHAKE] {
            return timeout(HEAD, lead_over(stream, here)).await?;
        }
        let stream = timeout(HEAD, acceptor.accept(stream)).await??;
        self.talk(stream, peer, watcher).await
    }

    async fn talk<S>(&self, stream: S, peer: IpAddr, watcher: Watcher) -> io::Result<()>
    where
        S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
    {
        let service = TowerToHyperService::new(self.router.clone().layer(Extension(Peer(peer))));
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEAD)
            .max_buf_size(HEAD_SIZE)
            .serve_connection(TokioIo::new(stream), service);
        watcher.watch(connection).await.map_err(io::Error::other)
    }
}

/// Who spoke plain HTTP is led to the safe address, the one they reached us at.
async fn lead_over(mut stream: TcpStream, here: SocketAddr) -> io::Result<()> {
    let mut head = Vec::new();
    while !head.windows(4).any(|four| four == b"\r\n\r\n") && head.len() < HEAD_SIZE {
        if stream.read_buf(&mut head).await? == 0 {
            break;
        }
    }
    let here = SocketAddr::new(here.ip().to_canonical(), here.port());
    let body = format!("This page is served over https only: open https://{here}/\n");
    let answer = format!(
        "HTTP/1.1 307 Temporary Redirect\r\nLocation: https://{here}/\r\nContent-Type: text/plain; charset=utf-8\r\n\
         Content-Length: {}\r\nCache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(answer.as_bytes()).await?;
    stream.shutdown().await
}

/// Keeps the shop's own certificate true to this machine's addresses.
async fn renew(papers: Arc<Papers>, config: Config) {
    let mut ticks = tokio::time::interval(LOOK);
    loop {
        ticks.tick().await;
        let (looked, settings) = (papers.clone(), config.clone());
        let renewed =
            tokio::task::spawn_blocking(move || looked.renew(&network::names(&settings), Timestamp::now())).await;
        match renewed {
            Ok(Ok(false)) => {}
            Ok(Ok(true)) => tracing::info!("a new certificate, SHA-256 {}", papers.fingerprint()),
            Ok(Err(error)) => tracing::error!("the certificate was not renewed: {error:#}"),
            Err(error) => tracing::error!("the certificate was not renewed: {error}"),
        }
    }
}

/// How many connections are open.
struct Crowd {
    all: Arc<Semaphore>,
    by_address: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

impl Default for Crowd {
    fn default() -> Self {
        Self { all: Arc::new(Semaphore::new(AT_ONCE)), by_address: Arc::default() }
    }
}

impl Crowd {
    /// A place for one more, where there is one. What only this machine reaches is not counted by address.
    fn place(&self, address: IpAddr, counted: bool) -> Option<Place> {
        let permit = self.all.clone().try_acquire_owned().ok()?;
        let mut by_address = self.by_address.lock().unwrap_or_else(PoisonError::into_inner);
        let open = by_address.entry(address).or_default();
        if counted && *open >= FROM_ONE {
            return None;
        }
        *open += 1;
        Some(Place { address, by_address: self.by_address.clone(), _permit: permit })
    }
}

/// A connection's place, free again when dropped.
struct Place {
    address: IpAddr,
    by_address: Arc<Mutex<HashMap<IpAddr, usize>>>,
    _permit: OwnedSemaphorePermit,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut by_address = self.by_address.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(open) = by_address.get_mut(&self.address) {
            *open -= 1;
            if *open == 0 {
                by_address.remove(&self.address);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_takes_no_more_than_its_share_of_places() {
        let crowd = Crowd::default();
        let (greedy, other) = (IpAddr::from([10, 0, 0, 1]), IpAddr::from([10, 0, 0, 2]));
        let mut places: Vec<Place> = (0..200).filter_map(|_| crowd.place(greedy, true)).collect();
        assert_eq!(places.len(), FROM_ONE);
        assert!(crowd.place(other, true).is_some());
        places.pop();
        assert!(crowd.place(greedy, true).is_some(), "a place that is left is free");
        drop(places);
        assert!(crowd.by_address.lock().unwrap_or_else(PoisonError::into_inner).is_empty());
        let places: Vec<Place> = (0..2 * AT_ONCE).filter_map(|_| crowd.place(other, false)).collect();
        assert_eq!(places.len(), AT_ONCE);
    }
}
