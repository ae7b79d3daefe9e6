//! The request side under the platform's own name and TLS: only so does the client keep its rate limiter on.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::serve::Listener;
use tokio::net::{TcpListener, TcpStream};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivatePkcs8KeyDer};
use tokio_rustls::server::TlsStream;

const NAME: &str = "discord.com";

/// Where it is, and the certificate it shows.
pub struct Secure {
    address: SocketAddr,
    certificate: CertificateDer<'static>,
}

impl Secure {
    pub async fn open() -> (Self, Door) {
        let made = rcgen::generate_simple_self_signed([NAME.to_owned()]).unwrap();
        let certificate = made.cert.der().clone();
        let key = PrivatePkcs8KeyDer::from(made.signing_key.serialize_der());
        let config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_no_client_auth()
            .with_single_cert(vec![certificate.clone()], key.into())
            .unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        (Self { address, certificate }, Door { listener, acceptor: TlsAcceptor::from(Arc::new(config)) })
    }

    /// A client that finds the platform here.
    pub fn client(&self) -> reqwest::Client {
        reqwest::Client::builder()
            .no_proxy()
            .resolve(NAME, self.address)
            .add_root_certificate(reqwest::Certificate::from_der(&self.certificate).unwrap())
            .build()
            .unwrap()
    }
}

/// Takes connections and agrees on their keys.
pub struct Door {
    listener: TcpListener,
    acceptor: TlsAcceptor,
}

impl Listener for Door {
    type Io = TlsStream<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        loop {
            let Ok((stream, address)) = self.listener.accept().await else { continue };
            if let Ok(stream) = self.acceptor.accept(stream).await {
                return (stream, address);
            }
        }
    }

    fn local_addr(&self) -> std::io::Result<Self::Addr> {
        self.listener.local_addr()
    }
}
