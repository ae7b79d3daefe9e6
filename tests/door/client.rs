//! A client that trusts the shop's authority and nothing else.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use gudgeon::config::Config;
use gudgeon::desk::joining;
use jiff::Timestamp;
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore};

use crate::browser::rig::{Served, serve};
use crate::browser::wire::{self, Answer};

/// The demo shop in its network.
pub async fn networked() -> Served {
    ready(serve(Config::open_to_network).await).await
}

/// A shop that answers by now, if only to say that it wants TLS.
pub async fn ready(shop: Served) -> Served {
    assert_eq!(wire::ask(shop.address, "GET", "/", &[], "").await.status, 307);
    shop
}

/// A code for someone, made as the terminal makes it.
pub fn code(shop: &Served, person: &str) -> String {
    let book = joining::book(shop.data.path()).unwrap();
    let (code, _) = joining::invite(&Config::default().roles(), &book, person, None, Timestamp::now()).unwrap();
    code.text()
}

pub struct Client {
    to: SocketAddr,
    connector: TlsConnector,
}

impl Client {
    pub fn of(shop: &Served) -> Self {
        Self::trusting(shop.address, Some(&shop.data.path().join("tls/authority.pem")))
    }

    /// One that trusts this authority, or nobody.
    pub fn trusting(to: SocketAddr, authority: Option<&Path>) -> Self {
        let mut roots = RootCertStore::empty();
        if let Some(authority) = authority {
            roots.add(CertificateDer::from_pem_file(authority).unwrap()).unwrap();
        }
        let config = ClientConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        Self { to, connector: TlsConnector::from(Arc::new(config)) }
    }

    pub async fn connect(&self, name: &str) -> std::io::Result<TlsStream<TcpStream>> {
        let stream = TcpStream::connect(self.to).await?;
        self.connector.connect(ServerName::try_from(name.to_owned()).unwrap(), stream).await
    }

    pub async fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let mut stream = self.connect("127.0.0.1").await.unwrap();
        wire::ask_on(&mut stream, self.to, method, path, headers, body).await
    }

    pub async fn get(&self, path: &str, cookie: &str) -> Answer {
        self.ask("GET", path, &[("Cookie", cookie)], "").await
    }

    pub async fn post(&self, path: &str, cookie: &str, body: &str) -> Answer {
        let origin = format!("https://{}", self.to);
        self.ask("POST", path, &[("Origin", &origin), ("Cookie", cookie)], body).await
    }

    /// Comes in by a code; the cookie that is kept.
    pub async fn join(&self, code: &str, device: &str) -> String {
        let answer = self.post("/door", "", &format!("code={code}&device={device}")).await;
        assert_eq!(answer.status, 303, "{}", answer.text());
        answer.header("set-cookie").unwrap().split(';').next().unwrap().to_owned()
    }
}
