//! What the page lets in and what it sends out, by requests no browser would make.

use super::rig::{Served, serve};
use super::wire::{Answer, ask, coded};

async fn get(shop: &Served, path: &str, cookie: &str) -> Answer {
    ask(shop.address, "GET", path, &[("Cookie", cookie)], "").await
}

async fn post(shop: &Served, path: &str, cookie: &str, body: &str) -> Answer {
    let origin = format!("http://{}", shop.address);
    ask(shop.address, "POST", path, &[("Origin", &origin), ("Cookie", cookie)], body).await
}

/// The cookie of someone who came in.
async fn ticket(shop: &Served, person: &str) -> String {
    let answer = post(shop, "/door", "", &format!("person={person}")).await;
    assert_eq!(answer.status, 303, "{}", answer.text());
    let cookie = answer.header("set-cookie").unwrap();
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict") && !cookie.contains("Secure"),
        "{cookie}"
    );
    cookie.split(';').next().unwrap().to_owned()
}

#[tokio::test]
async fn every_answer_carries_the_headers() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    for (path, status) in [
        ("/", 200),
        ("/door", 200),
        ("/forms", 200),
        ("/form?line=ring+gap", 200),
        ("/nowhere", 404),
        ("/kept/0", 404),
        ("/assets/page.css", 404),
        ("/form?line=what+is+this", 404),
        ("/line", 405),
    ] {
        let answer = get(&shop, path, &lead).await;
        assert_eq!(answer.status, status, "{path}");
        let policy = answer.header("content-security-policy").unwrap();
        assert!(
            policy.contains("default-src 'none'")
                && !policy.contains("unsafe")
                && policy.contains("frame-ancestors 'none'"),
            "{policy}"
        );
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        let body = answer.text();
        assert!(
            !body.contains("<script>")
                && !body.contains("<style")
                && !body.contains(" style=")
                && !body.contains(" onclick=")
        );
        assert!(body.contains("Demo shop"), "the demo is marked on {path}");
        assert!(!body.contains("://") || path == "/form?line=ring+gap", "something from elsewhere on {path}");
    }
}

#[tokio::test]
async fn assets_are_kept_for_good_under_their_hash() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let page = get(&shop, "/", &lead).await.text();
    let assets: Vec<&str> = page.split('"').filter(|part| part.starts_with("/assets/")).collect();
    assert_eq!(assets.len(), 11, "{assets:?}");
    for asset in &assets {
        let answer = get(&shop, asset, "").await;
        assert_eq!(answer.status, 200);
        assert_eq!(answer.header("cache-control"), Some("public, max-age=31536000, immutable"));
    }
    assert_eq!(get(&shop, &assets[0].replace("/assets/", "/assets/0"), "").await.status, 404);
}

/// What a phone has to load before it shows a screen for the first time, as it goes over the air.
#[tokio::test]
async fn the_first_load_is_light() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let sent = async |path: &str| {
        let headers = [("Cookie", lead.as_str()), ("Accept-Encoding", "gzip")];
        let answer = ask(shop.address, "GET", path, &headers, "").await;
        assert_eq!((answer.status, answer.header("content-encoding")), (200, Some("gzip")), "{path}");
        answer.body.len()
    };
    for path in ["/", "/job/1", "/library", "/review", "/page/ring-end-gap"] {
        let page = get(&shop, path, &lead).await.text();
        let mut bytes = sent(path).await;
        for asset in page.split('"').filter(|part| part.starts_with("/assets/")) {
            bytes += sent(asset).await;
        }
        println!("{path}: {bytes} bytes");
        assert!(bytes < 150 * 1024 / 2, "the first load of {path} is {bytes} bytes, over half of what it may be");
    }
}

#[tokio::test]
async fn a_post_from_another_page_is_not_taken() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let here = format!("http://{}", shop.address);
    let before = shop.desk.fingerprint().unwrap();
    let line = format!("line={}", coded("job open skerry-v8 Stolen"));
    for headers in [
        vec![],
        vec![("Origin", "http://elsewhere.example")],
        vec![("Origin", "null")],
        vec![("Origin", here.as_str()), ("Sec-Fetch-Site", "cross-site")],
        vec![("Sec-Fetch-Site", "same-site")],
    ] {
        let mut all = headers.clone();
        all.push(("Cookie", &lead));
        for path in ["/line", "/form", "/door", "/leave"] {
            let answer = ask(shop.address, "POST", path, &all, &line).await;
            assert_eq!(answer.status, 403, "{path} {headers:?}");
        }
    }
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
    assert_eq!(post(&shop, "/line", &lead, &line).await.status, 200);
    assert_ne!(shop.desk.fingerprint().unwrap(), before);
}

#[tokio::test]
async fn another_host_is_not_answered_on_loopback() {
    let shop = serve(|_| {}).await;
    let port = shop.address.port();
    for (host, status) in [
        (format!("127.0.0.1:{port}"), 200),
        (format!("localhost:{port}"), 200),
        (format!("rebound.example:{port}"), 421),
        ("127.0.0.1".to_owned(), 421),
        (format!("127.0.0.1.rebound.example:{port}"), 421),
        (String::new(), 421),
    ] {
        let answer = ask(shop.address, "GET", "/door", &[("Host", &host)], "").await;
        assert_eq!(answer.status, status, "{host}");
    }
}

#[tokio::test]
async fn a_forged_or_foreign_cookie_is_nobodys() {
    let (shop, other) = (serve(|_| {}).await, serve(|_| {}).await);
    let tech = ticket(&shop, "tech-1").await;
    assert_eq!(get(&shop, "/", &tech).await.status, 200);
    for forged in [
        ticket(&other, "tech-1").await,
        "gudgeon=".to_owned(),
        "gudgeon=lead".to_owned(),
        format!("gudgeon={}", "0".repeat(64)),
        format!("{}0", tech.split_at(tech.len() - 1).0),
        format!("__Host-{tech}"),
    ] {
        if forged == tech {
            continue;
        }
        let answer = get(&shop, "/", &forged).await;
        assert_eq!(answer.status, 303, "{forged}");
        assert_eq!(answer.header("location"), Some("/door?to=/"));
        assert_eq!(post(&shop, "/line", &forged, "line=help").await.status, 401);
        assert_eq!(get(&shop, "/suggest?line=ring", &forged).await.status, 303);
    }
}

#[tokio::test]
async fn at_this_machine_a_name_is_enough_and_who_leaves_is_out() {
    let shop = serve(|_| {}).await;
    assert_eq!(post(&shop, "/door", "", "person=nobody").await.status, 403);
    let tech = ticket(&shop, "tech-1").await;
    let left = post(&shop, "/leave", &tech, "").await;
    assert!(left.header("set-cookie").unwrap().contains("Max-Age=0"));
    assert_eq!(get(&shop, "/", &tech).await.status, 303, "the key is gone, not just the cookie");
}

#[tokio::test]
async fn what_is_too_long_or_no_form_is_refused_plainly() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let long = format!("line={}", "x".repeat(web_limit()));
    let answer = post(&shop, "/line", &lead, &long).await;
    assert_eq!(answer.status, 413);
    let near = format!("line={}", "x".repeat(60_000));
    assert_eq!(post(&shop, "/line", &lead, &near).await.status, 422, "the desk refuses a long line itself");
    let origin = format!("http://{}", shop.address);
    let json = [("Origin", origin.as_str()), ("Cookie", &lead), ("Content-Type", "application/json")];
    let answer = ask(shop.address, "POST", "/line", &json, "{}").await;
    assert_eq!(answer.status, 415);
    for answer in [answer, post(&shop, "/line", &lead, "line=%FF%00").await, get(&shop, "/form?line=%FF", &lead).await]
    {
        let body = answer.text();
        for inside in ["serde", "Deserialize", "panicked", "src/", "FormRejection", "utf-8 sequence"] {
            assert!(!body.contains(inside), "{body}");
        }
    }
}

fn web_limit() -> usize {
    gudgeon::fronts::web::BODY_LIMIT
}

#[tokio::test]
async fn no_get_posts_a_reading() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let before = shop.desk.fingerprint().unwrap();
    let line = coded("log main-journal 3 2.4495in 2.4493in job=1");
    for path in ["/line", "/form", "/suggest", "/complete", "/", "/forms", "/door", "/kept/1"] {
        get(&shop, &format!("{path}?line={line}&form.words=log&check=main-journal&position=3&values=2.4495in"), &lead)
            .await;
    }
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
}

#[tokio::test]
async fn a_form_shows_what_the_line_already_holds() {
    let shop = serve(|_| {}).await;
    let lead = ticket(&shop, "lead").await;
    let line = coded("log main-journal 3 2.4495in \"2.4493 in\" note=\"ran <hot>\"");
    let form = get(&shop, &format!("/form?line={line}"), &lead).await.text();
    for value in ["main-journal", "3", "2.4495in", "2.4493 in", "ran &lt;hot&gt;"] {
        assert!(form.contains(&format!("value=\"{value}\"")), "no {value} in {form}");
    }
    assert!(form.contains("inputmode=\"decimal\"") && form.contains("data-words=\"log\""));
}

#[tokio::test]
async fn the_same_request_sent_twice_posts_once() {
    let shop = serve(|_| {}).await;
    let tech = ticket(&shop, "tech-1").await;
    let fields = |key: &str, value: &str| {
        format!(
            "form.words=log&form.key={key}&check=main-journal&position=3&values={value}&values=2.4493&unit.values=in&job=1"
        )
    };
    let first = post(&shop, "/form", &tech, &fields("k1", "2.4495")).await;
    assert_eq!(first.status, 200, "{}", first.text());
    let once = shop.desk.fingerprint().unwrap();
    assert_eq!(post(&shop, "/form", &tech, &fields("k1", "2.4495")).await.status, 200);
    assert_eq!(shop.desk.fingerprint().unwrap(), once, "a double tap is one request");
    assert_eq!(post(&shop, "/form", &tech, &fields("k1", "2.4494")).await.status, 200);
    let mended = shop.desk.fingerprint().unwrap();
    assert_ne!(mended, once, "a mended value is another");
    assert_eq!(post(&shop, "/form", &tech, &fields("k2", "2.4494")).await.status, 200);
    assert_ne!(shop.desk.fingerprint().unwrap(), mended, "and so is a new form");
}

#[tokio::test]
async fn figures_and_documents_open_for_their_owner_alone() {
    let shop = serve(|_| {}).await;
    let (lead, tech) = (ticket(&shop, "lead").await, ticket(&shop, "tech-1").await);
    let orient = post(&shop, "/line", &lead, &format!("line={}", coded("orient skerry-v8 3"))).await.text();
    let sheet = post(&shop, "/line", &lead, &format!("line={}", coded("sheet 1"))).await.text();
    let link = |body: &str| body.split('"').find(|part| part.starts_with("/kept/")).expect("a link").to_owned();
    let figure = get(&shop, &link(&orient), &lead).await;
    assert_eq!(figure.header("content-type"), Some("image/png"));
    assert!(figure.body.starts_with(b"\x89PNG"));
    let document = get(&shop, &link(&sheet), &lead).await;
    assert_eq!(document.status, 200);
    assert!(document.header("content-security-policy").unwrap().starts_with("sandbox"));
    for path in [link(&orient), link(&sheet)] {
        assert_eq!(get(&shop, &path, &tech).await.status, 404);
        assert_eq!(get(&shop, &path, "").await.status, 303);
    }
}

#[tokio::test]
async fn a_restart_signs_nobody_out() {
    let shop = serve(|_| {}).await;
    let tech = ticket(&shop, "tech-1").await;
    let folder = shop.data.path().to_owned();
    let again = serve(|config| config.data = folder).await;
    assert_eq!(get(&again, "/", &tech).await.status, 200);
}
