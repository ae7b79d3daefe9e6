//! What is turned away in the network: other hosts, other pages, too much at once.

use super::client::{Client, code, networked};
use crate::browser::wire;

#[tokio::test]
async fn another_host_is_not_answered() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let port = shop.address.port();
    for (host, status) in [
        (format!("127.0.0.1:{port}"), 200),
        (format!("192.168.9.9:{port}"), 200),
        (format!("localhost:{port}"), 200),
        (format!("rebound.example:{port}"), 421),
        (format!("127.0.0.1.rebound.example:{port}"), 421),
        (String::new(), 421),
    ] {
        let answer = client.ask("GET", "/door", &[("Host", &host)], "").await;
        assert_eq!(answer.status, status, "{host}");
    }
}

#[tokio::test]
async fn another_page_posts_nothing_in_ones_name() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = client.join(&code(&shop, "lead"), "phone").await;
    let (here, plain) = (format!("https://{}", shop.address), "https://elsewhere.example");
    for headers in [
        vec![],
        vec![("Origin", plain)],
        vec![("Origin", "null")],
        vec![("Origin", here.as_str()), ("Sec-Fetch-Site", "cross-site")],
        vec![("Sec-Fetch-Site", "same-site")],
    ] {
        let mut all = headers.clone();
        all.push(("Cookie", &lead));
        for (path, body) in [
            ("/door", "code=ABCD2345"),
            ("/leave", "a=b"),
            ("/people/invite", "person=tech-9"),
            ("/people/remove", "mine=all"),
        ] {
            assert_eq!(client.ask("POST", path, &all, body).await.status, 403, "{path} {headers:?}");
        }
    }
    assert_eq!(client.get("/people", &lead).await.status, 200);
}

#[tokio::test]
async fn every_screen_of_the_door_carries_the_headers() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = client.join(&code(&shop, "lead"), "phone").await;
    for (path, cookie) in
        [("/door", ""), ("/people", &lead), ("/door", &lead), ("/nowhere", &lead), ("/certificate", "")]
    {
        let answer = client.get(path, cookie).await;
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("x-frame-options"), Some("DENY"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert!(answer.header("strict-transport-security").is_some());
        let body = answer.text();
        assert!(!body.contains("<script>") && !body.contains(" style=") && !body.contains("javascript:"), "{path}");
    }
}

/// Asks over one connection until it is refused; after how many.
async fn asks(
    client: &Client,
    shop: &crate::browser::rig::Served,
    path: &str,
    cookie: &str,
    most: usize,
) -> Option<usize> {
    let mut stream = client.connect("127.0.0.1").await.unwrap();
    for done in 0..most {
        let answer = wire::ask_on(&mut stream, shop.address, "GET", path, &[("Cookie", cookie)], "").await;
        if answer.status == 429 {
            let wait: u64 = answer.header("retry-after").unwrap().parse().unwrap();
            assert!(wait >= 1 && answer.text().contains("Not so fast"));
            return Some(done);
        }
    }
    None
}

#[tokio::test]
async fn a_device_and_an_address_that_ask_too_much_are_told_to_wait() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let tech = client.join(&code(&shop, "tech-1"), "phone").await;
    let by_device = asks(&client, &shop, "/kept/0", &tech, 2000).await.expect("a device is limited");
    assert!(by_device >= 300, "a burst is allowed: {by_device}");
    assert_eq!(client.get("/door", "").await.status, 200, "others at that address are not");
    let by_address = asks(&client, &shop, "/nowhere", "", 4000).await.expect("an address is limited");
    assert!(by_address >= 100, "{by_address}");
}
