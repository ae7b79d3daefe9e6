//! What is said over the network is said over TLS, with a certificate that can be checked, or not at all.

use std::time::{Duration, Instant};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio_rustls::rustls::pki_types::CertificateDer;
use tokio_rustls::rustls::pki_types::pem::PemObject;

use super::client::{Client, networked, ready};
use crate::browser::rig::serve;
use crate::browser::wire;

#[tokio::test]
async fn a_client_that_trusts_the_shop_gets_in_and_no_other_does() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let door = client.get("/door", "").await;
    assert_eq!(door.status, 200);
    assert_eq!(door.header("strict-transport-security"), Some("max-age=15724800"));
    assert!(client.connect("localhost").await.is_ok());
    assert!(client.connect("elsewhere.local").await.is_err(), "the certificate holds our names alone");
    assert!(Client::trusting(shop.address, None).connect("127.0.0.1").await.is_err());
    let taken = client.get("/certificate", "").await;
    let authority = CertificateDer::from_pem_file(shop.data.path().join("tls/authority.pem")).unwrap();
    assert_eq!(taken.body, authority.as_ref(), "a phone can take what vouches for us");
    assert_eq!(taken.header("content-type"), Some("application/x-x509-ca-cert"));
}

#[tokio::test]
async fn a_restart_shows_the_same_certificate() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let shown =
        |stream: tokio_rustls::client::TlsStream<TcpStream>| stream.get_ref().1.peer_certificates().unwrap()[0].clone();
    let first = shown(client.connect("127.0.0.1").await.unwrap());
    let data = shop.data.path().to_owned();
    let again = serve(|config| {
        config.open_to_network();
        config.data.clone_from(&data);
    });
    let again = ready(again.await).await;
    let again = Client::trusting(again.address, Some(&data.join("tls/authority.pem")));
    assert_eq!(shown(again.connect("127.0.0.1").await.unwrap()), first.into_owned());
}

#[tokio::test]
async fn plain_http_is_led_over_and_gets_nothing_else() {
    let shop = networked().await;
    let answer = wire::ask(shop.address, "GET", "/people?a=b", &[("Host", "elsewhere.example")], "").await;
    assert_eq!(answer.status, 307);
    assert_eq!(answer.header("location"), Some(format!("https://{}/", shop.address).as_str()));
    assert!(answer.text().starts_with("This page is served over https only"));
    assert!(answer.header("set-cookie").is_none());
}

#[tokio::test]
async fn a_given_certificate_is_shown_instead() {
    let made = rcgen::generate_simple_self_signed(["localhost".to_owned(), "127.0.0.1".to_owned()]).unwrap();
    let shop = serve(|config| {
        config.open_to_network();
        let page = &mut config.page;
        (page.certificate, page.key) = (config.data.join("given.pem"), config.data.join("given.key"));
        page.address = "https://shop.example:8470".to_owned();
        std::fs::write(&page.certificate, made.cert.pem()).unwrap();
        std::fs::write(&page.key, made.signing_key.serialize_pem()).unwrap();
    })
    .await;
    let client = Client::trusting(shop.address, Some(&shop.data.path().join("given.pem")));
    assert_eq!(client.get("/door", "").await.status, 200);
    assert_eq!(client.get("/certificate", "").await.status, 404, "it is not ours to hand out");
    assert!(!shop.data.path().join("tls").exists());
}

/// Sends the start of something and then nothing; how long it is waited for.
async fn waited(mut stream: impl AsyncReadExt + AsyncWriteExt + Unpin, start: &[u8]) -> Duration {
    stream.write_all(start).await.unwrap();
    stream.flush().await.unwrap();
    let began = Instant::now();
    let mut rest = Vec::new();
    let _ = tokio::time::timeout(Duration::from_secs(30), stream.read_to_end(&mut rest)).await.expect("it is given up");
    began.elapsed()
}

#[tokio::test]
async fn who_sends_slowly_is_given_up_and_others_are_served_meanwhile() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let plain = || async { TcpStream::connect(shop.address).await.unwrap() };
    let half = client.connect("127.0.0.1").await.unwrap();
    let (silent, hello, request, plain_request, (), ()) = tokio::join!(
        async { waited(plain().await, b"").await },
        async { waited(plain().await, &[0x16, 3, 1, 2]).await },
        waited(half, b"GET /door HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "),
        async { waited(plain().await, b"GET / HTTP/1.1\r\n").await },
        async { assert_eq!(client.get("/door", "").await.status, 200) },
        tokio::time::sleep(Duration::from_secs(1)),
    );
    for (what, took) in [("silence", silent), ("hello", hello), ("request", request), ("plain", plain_request)] {
        assert!((Duration::from_secs(8)..Duration::from_secs(20)).contains(&took), "{what}: {took:?}");
    }
}

#[tokio::test]
async fn a_head_without_end_is_refused() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let mut stream = client.connect("127.0.0.1").await.unwrap();
    let head = format!("GET /door HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Long: {}", "x".repeat(100 * 1024));
    // It may hang up before it has heard all of it.
    let _ = stream.write_all(head.as_bytes()).await;
    let mut said = Vec::new();
    let _ = tokio::time::timeout(Duration::from_secs(5), stream.read_to_end(&mut said)).await.expect("at once");
    assert!(said.is_empty() || said.starts_with(b"HTTP/1.1 431"), "{}", String::from_utf8_lossy(&said));
    assert_eq!(client.get("/door", "").await.status, 200);
}
