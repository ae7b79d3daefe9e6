//! Coming in by a code, staying by a key, and being put out.

use gudgeon::desk::joining;
use jiff::{SignedDuration, Timestamp};

use super::client::{Client, code, networked};
use crate::browser::rig::Served;

async fn lead(shop: &Served, client: &Client) -> String {
    client.join(&code(shop, "lead"), "lead's+phone").await
}

/// The code that a lead's own screen hands out.
async fn handed(client: &Client, lead: &str, person: &str, role: &str) -> String {
    let page = client.post("/people/invite", lead, &format!("person={person}&role={role}")).await;
    assert_eq!(page.status, 200, "{}", page.text());
    let text = page.text();
    let code = text.split("class=\"code\">").nth(1).unwrap().split('<').next().unwrap().to_owned();
    assert!(text.contains("/door</strong>") && text.contains("<svg"), "as text and as a picture");
    code
}

#[tokio::test]
async fn a_code_lets_one_device_in_once() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = lead(&shop, &client).await;
    let code = handed(&client, &lead, "apprentice-2", "").await;
    assert!(!client.get("/people", &lead).await.text().contains(&code), "shown once");
    let answer =
        client.post("/door", "", &format!("code={}&device=tablet", code.replace(' ', "+").to_lowercase())).await;
    assert_eq!((answer.status, answer.header("location")), (303, Some("/")));
    let cookie = answer.header("set-cookie").unwrap();
    let (pair, flags) = cookie.split_once("; ").unwrap();
    assert_eq!(flags, "Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict; Secure");
    let (name, key) = pair.split_once('=').unwrap();
    assert!(name == "__Host-gudgeon" && key.len() == 64 && key.bytes().all(|b| b.is_ascii_hexdigit()), "{pair}");
    let people = client.get("/people", pair).await.text();
    assert!(people.contains("apprentice-2") && people.contains("tablet") && !people.contains("id=\"person\""));

    let twice = client.post("/door", "", &format!("code={}", code.replace(' ', "+"))).await;
    assert_eq!(twice.status, 403);
    assert!(twice.header("set-cookie").is_none() && !twice.text().contains(&code));
}

#[tokio::test]
async fn a_code_ends_and_is_not_told_apart_from_one_that_never_was() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let book = joining::book(shop.data.path()).unwrap();
    let settled = gudgeon::config::Config::default().roles();
    let ago = Timestamp::now() - SignedDuration::from_mins(16);
    let (code, _) = joining::invite(&settled, &book, "tech-1", None, ago).unwrap();
    let late = client.post("/door", "", &format!("code={}", code.text())).await;
    let never = client.post("/door", "", "code=ABCD2345").await;
    assert_eq!((late.status, never.status), (403, 403));
    assert_eq!(late.text(), never.text());
}

#[tokio::test]
async fn guesses_are_counted_and_the_door_names_nobody() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let right = code(&shop, "lead");
    for guess in 2..7 {
        assert_eq!(client.post("/door", "", &format!("code=ABCD234{guess}")).await.status, 403);
    }
    let paused = client.post("/door", "", &format!("code={right}")).await;
    assert_eq!(paused.status, 429);
    let wait: u64 = paused.header("retry-after").unwrap().parse().unwrap();
    assert!((1..=60).contains(&wait), "{wait}");
    let door = client.get("/door", "").await.text();
    for person in ["lead\"", "tech-1", "apprentice-1"] {
        assert!(!door.contains(person), "a stranger learns no names: {person}");
    }
    assert_eq!(client.post("/door", "", "person=lead").await.status, 429, "nor does a name let one in");
}

#[tokio::test]
async fn only_a_lead_lets_in_and_puts_out() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = lead(&shop, &client).await;
    let tech = client.join(&code(&shop, "tech-1"), "bench").await;
    for (path, body) in [
        ("/people/invite", "person=tech-9&role=lead"),
        ("/people/remove", "person=lead"),
        ("/people/remove", "device=1"),
    ] {
        assert_eq!(client.post(path, &tech, body).await.status, 403, "{path} {body}");
        assert_eq!(client.post(path, "", body).await.status, 401, "{path} {body}");
    }
    assert_eq!(client.get("/", &lead).await.status, 200);
    for (person, role) in [("Lead", ""), ("lead", "tech"), ("%3Cb%3E", ""), ("", "")] {
        let refused = client.post("/people/invite", &lead, &format!("person={person}&role={role}")).await;
        assert_eq!(refused.status, 422, "{person} {role}");
        assert!(!refused.text().contains("class=\"code\""));
    }
}

#[tokio::test]
async fn a_removed_device_is_out_at_its_next_request_and_the_others_stay() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = lead(&shop, &client).await;
    let (bench, pocket) =
        (client.join(&code(&shop, "tech-1"), "bench").await, client.join(&code(&shop, "tech-1"), "pocket").await);
    let book = joining::book(shop.data.path()).unwrap();
    let number = |name: &str| {
        let devices = book.devices(Timestamp::now()).unwrap();
        devices.iter().find(|device| device.name == name).map(|device| device.number)
    };
    let body = format!("device={}", number("bench").unwrap());
    assert_eq!(client.post("/people/remove", &lead, &body).await.status, 303);
    assert_eq!(client.get("/", &bench).await.status, 303);
    assert_eq!(client.post("/line", &bench, "line=help").await.status, 401);
    assert_eq!(client.get("/", &pocket).await.status, 200);

    let other = client.join(&code(&shop, "tech-1"), "other").await;
    let everywhere = client.post("/people/remove", &other, "mine=all").await;
    assert!(everywhere.header("set-cookie").unwrap().contains("Max-Age=0"));
    for cookie in [&pocket, &other] {
        assert_eq!(client.get("/", cookie).await.status, 303, "signed out everywhere");
    }
    assert_eq!(client.get("/", &lead).await.status, 200);
}

#[tokio::test]
async fn a_persons_role_is_that_of_the_code_that_let_them_in() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let lead = lead(&shop, &client).await;
    let open = "line=job+open+skerry-v8+Spare";
    let apprentice = client.join(&handed(&client, &lead, "new-1", "apprentice").await.replace(' ', ""), "a").await;
    assert_eq!(client.post("/line", &apprentice, open).await.status, 422, "an apprentice opens no job");
    let tech = client.join(&handed(&client, &lead, "new-1", "tech").await.replace(' ', ""), "b").await;
    assert_eq!(client.post("/line", &tech, open).await.status, 200);
    assert_eq!(client.post("/people/remove", &lead, "person=new-1").await.status, 303);
    for cookie in [&apprentice, &tech] {
        assert_eq!(client.post("/line", cookie, open).await.status, 401);
    }
}

#[tokio::test]
async fn who_comes_in_anew_leaves_the_earlier_key_behind() {
    let shop = networked().await;
    let client = Client::of(&shop);
    let first = client.join(&code(&shop, "tech-1"), "phone").await;
    let body = format!("code={}&device=phone", code(&shop, "apprentice-1"));
    let answer = client.post("/door", &first, &body).await;
    assert_eq!(answer.status, 303);
    let second = answer.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
    assert_ne!(first, second, "a key is never taken from the browser");
    assert_eq!(client.get("/", &first).await.status, 303);
    assert_eq!(client.get("/", &second).await.status, 200);
}
