//! Photographs that are attached to a slash command: kept with the reading or the reading is not posted, shown to the lead,
//! and fetched from nowhere but where the platform keeps them.

use std::sync::Arc;
use std::time::Duration;

use serde_json::Value;

use super::events::{self, CHANNEL, LEAD, TECH, text, whole};
use super::rest::{Call, Upload};
use super::server::Server;
use super::shop::{Shop, WAIT, buttons, private, shown};
use super::store::Stored;
use crate::pictures;

/// The line that posts main journal 5, so read.
fn log(values: &str) -> Vec<Value> {
    vec![text("check", "main-journal"), text("position", "5"), text("values", values), text("job", "1")]
}

const READ: &str = "2.4498in 2.4497in";
/// As a record of the demo has it.
const MOST_BYTES: usize = 5 * 1024 * 1024;

/// Where the server gives a file out.
fn address(server: &Server, name: &str) -> String {
    format!("{}/attachments/{name}?ex=1&is=1&hm=1", server.api)
}

/// Lays a file there.
fn lay(shop: &Shop, name: &'static str, stored: Stored) -> String {
    shop.server.shared.world().store.insert(name, stored);
    address(&shop.server, name)
}

/// Posts main journal 5 with that file.
fn post(shop: &Shop, name: &str, url: &str, size: usize) -> Call {
    let id = shop.server.new_id();
    let slash = events::slash(id, TECH, "log", log(READ));
    shop.server.event("INTERACTION_CREATE", events::with_file(slash, "photo", name, url, size));
    shop.answer(id)
}

fn number(shop: &Shop) -> String {
    shop.desk.fingerprint().unwrap().split(' ').next().unwrap().to_owned()
}

/// What the lead sees of a reading, and the photographs among its files.
fn shown_to_lead(shop: &Shop, reading: &str) -> (Call, Vec<Upload>) {
    let call = shop.slash(LEAD, "review show", vec![text("reading", reading)]);
    let photos = call.files.iter().filter(|file| file.name.starts_with("photo-")).cloned().collect();
    (call, photos)
}

#[test]
fn a_photograph_is_kept_with_its_reading_and_the_lead_sees_it() {
    let shop = Shop::alone(|_| {});
    let picture = pictures::from_a_phone(64, 48, 1);
    let url = lay(&shop, "crank.jpg", Stored::There(picture.clone()));
    let before: usize = number(&shop).parse().unwrap();
    let posted = post(&shop, "crank.jpg", &url, picture.len());
    assert!(!private(&posted), "{}", shown(&posted));
    let (looked, photos) = shown_to_lead(&shop, &(before + 1).to_string());
    let [file] = photos.as_slice() else { panic!("{}", shown(&looked)) };
    assert!(file.name.ends_with(".jpg"), "{}", file.name);
    assert!(file.bytes.starts_with(&[0xff, 0xd8]) && !pictures::holds(&file.bytes, pictures::SECRET));
    let data = &looked.body["data"];
    let url = format!("attachment://{}", file.name);
    assert!(data["embeds"].as_array().unwrap().iter().any(|embed| embed["image"]["url"] == url), "{data:#}");
    let described = data["attachments"].as_array().unwrap().iter().find(|one| one["filename"] == file.name).unwrap();
    let alt = described["description"].as_str().unwrap();
    assert!(alt.starts_with("Photograph of Main journal 5, beside reading ") && alt.contains("bench_tech"), "{alt}");
    // Another one comes later, beside the reading that is posted.
    let more = pictures::png(32, 32, 9);
    let url = lay(&shop, "pin.png", Stored::There(more.clone()));
    let id = shop.server.new_id();
    let slash = events::slash(id, TECH, "photo", vec![whole("reading", u32::try_from(before + 1).unwrap())]);
    shop.server.event("INTERACTION_CREATE", events::with_file(slash, "photo", "pin.png", &url, more.len()));
    let kept = shop.answer(id);
    assert!(shown(&kept).starts_with("The photograph is kept with reading"), "{}", shown(&kept));
    assert_eq!(kept.files.len(), 2, "both are shown");
}

#[test]
fn what_cannot_be_kept_is_refused_to_the_asker_alone_and_posts_nothing() {
    let shop = Shop::alone(|settings| settings.fetch_within = Duration::from_millis(400));
    let elsewhere = Server::start();
    let good = pictures::jpeg(64, 48, 1);
    let strangers = address(&elsewhere, "crank.jpg");
    elsewhere.shared.world().store.insert("crank.jpg", Stored::There(good.clone()));
    let here = lay(&shop, "crank.jpg", Stored::There(good.clone()));
    let script = lay(&shop, "script.jpg", Stored::There(b"#!/bin/sh\nexit 0\n".to_vec()));
    let large = lay(&shop, "large.jpg", Stored::There(vec![0xff; MOST_BYTES + 1]));
    let grows = lay(&shop, "grows.jpg", Stored::Streamed(vec![0xff; MOST_BYTES + 1]));
    let moved = lay(&shop, "moved.jpg", Stored::Elsewhere(strangers.clone()));
    let moved_here = lay(&shop, "again.jpg", Stored::Elsewhere(here.clone()));
    let silent = lay(&shop, "silent.jpg", Stored::Silent);
    let gone = address(&shop.server, "gone.jpg");
    let before = shop.desk.fingerprint().unwrap();
    let fetched = |name: &str| shop.server.count("GET", &format!("/attachments/{name}"));
    for (name, url, size, why) in [
        ("script.jpg", &script, 17, "is no JPEG, PNG or WebP picture"),
        ("crank.jpg", &here, MOST_BYTES + 1, "larger than is kept (5 MB)"),
        ("large.jpg", &large, 100, "larger than is kept (5 MB)"),
        ("grows.jpg", &grows, 100, "larger than is kept (5 MB)"),
        ("strangers.jpg", &strangers, 100, "does not lie where the platform keeps attachments"),
        ("moved.jpg", &moved, 100, "could not be fetched (302)"),
        ("again.jpg", &moved_here, 100, "could not be fetched (302)"),
        ("silent.jpg", &silent, 100, "did not come within 1 s"),
        ("gone.jpg", &gone, 100, "is no longer there"),
    ] {
        let call = post(&shop, name, url, size);
        let said = shown(&call);
        assert!(private(&call) && said.starts_with("Refused: photograph"), "{name}: {said}");
        assert!(said.contains(name) && said.contains(why), "{name}: {said}");
        assert_eq!(buttons(&call), [], "{name}: no way on leaves it behind");
        assert_eq!(shop.desk.fingerprint().unwrap(), before, "{name} was posted");
    }
    assert_eq!(fetched("crank.jpg"), 0, "what is said to be too large is not fetched, nor is one followed there");
    assert_eq!(elsewhere.shared.calls().len(), 0, "nobody else was asked");
    let posted = post(&shop, "crank.jpg", &here, good.len());
    assert!(!private(&posted), "{}", shown(&posted));
}

#[test]
fn one_bad_photograph_among_several_posts_none() {
    let shop = Shop::alone(|_| {});
    let good = pictures::jpeg(64, 48, 1);
    let url_of_good = lay(&shop, "crank.jpg", Stored::There(good.clone()));
    let before = shop.desk.fingerprint().unwrap();
    let id = shop.server.new_id();
    let slash =
        events::with_file(events::slash(id, TECH, "log", log(READ)), "photo", "crank.jpg", &url_of_good, good.len());
    let gone = address(&shop.server, "gone.jpg");
    shop.server.event("INTERACTION_CREATE", events::with_file(slash, "photo-2", "gone.jpg", &gone, 100));
    let call = shop.answer(id);
    assert!(private(&call) && shown(&call).contains("gone.jpg"), "{}", shown(&call));
    // And one of which the platform tells nothing.
    let id = shop.server.new_id();
    let mut slash = events::slash(id, TECH, "log", log(READ));
    slash["data"]["options"]
        .as_array_mut()
        .unwrap()
        .push(serde_json::json!({"name": "photo", "type": 11, "value": "7"}));
    shop.server.event("INTERACTION_CREATE", slash);
    let call = shop.answer(id);
    assert!(private(&call) && shown(&call).starts_with("Refused: photograph"), "{}", shown(&call));
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
}

#[test]
fn a_command_that_comes_again_doubles_neither_reading_nor_photograph() {
    let desk = Arc::new(crate::talks::bench());
    let picture = pictures::jpeg(64, 48, 1);
    let before: usize = desk.fingerprint().unwrap().split(' ').next().unwrap().parse().unwrap();
    // The second front knows nothing of what the first was sent: only the interaction's number is the same.
    for _ in 0..2 {
        let shop = Shop::over(Arc::clone(&desk), Server::start(), |_, _| {});
        shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
        let url = lay(&shop, "crank.jpg", Stored::There(picture.clone()));
        let id = shop.server.new_id();
        let slash = events::slash(id, TECH, "log", log(READ));
        let slash = events::with_file(slash, "photo", "crank.jpg", &url, picture.len());
        for _ in 0..3 {
            shop.server.event("INTERACTION_CREATE", slash.clone());
        }
        let answer = shop.answer(id);
        assert!(!private(&answer), "{}", shown(&answer));
        assert_eq!(shop.server.count("GET", "/attachments/"), 1);
        assert_eq!(number(&shop), (before + 2).to_string(), "a reading and its photograph");
        assert_eq!(shown_to_lead(&shop, &(before + 1).to_string()).1.len(), 1);
    }
}

#[test]
fn a_reading_that_is_refused_keeps_its_photograph_for_the_next_try() {
    let desk = Arc::new(crate::talks::bench());
    let shop = Shop::over(Arc::clone(&desk), Server::start(), |_, _| {});
    shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let picture = pictures::jpeg(64, 48, 1);
    let url = lay(&shop, "crank.jpg", Stored::There(picture.clone()));
    let id = shop.server.new_id();
    let slash = events::slash(id, TECH, "log", log("two and a half"));
    shop.server.event("INTERACTION_CREATE", events::with_file(slash, "photo", "crank.jpg", &url, picture.len()));
    let refused = shop.answer(id);
    assert!(private(&refused), "{}", shown(&refused));
    let before: usize = number(&shop).parse().unwrap();
    let change = buttons(&refused).into_iter().find(|(label, _)| label.starts_with("Change it")).unwrap().1;
    let form = shop.press(TECH, &change);
    let form = form.body["data"]["custom_id"].as_str().unwrap().to_owned();
    let posted = shop.fill(TECH, &form, &[("values.0", "2.4498in 2.4497in")]);
    assert!(!private(&posted), "{}", shown(&posted));
    assert_eq!(shown_to_lead(&shop, &(before + 1).to_string()).1.len(), 1);
    assert_eq!(shop.server.count("GET", "/attachments/"), 1, "it was held");
    // After a restart it is held no more, and the reading is not posted without it.
    drop(shop);
    let shop = Shop::over(desk, Server::start(), |_, _| {});
    shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let before = shop.desk.fingerprint().unwrap();
    let late = shop.fill(TECH, &form, &[("values.0", "2.4498in 2.4497in")]);
    assert!(private(&late) && shown(&late).contains("That form is too old"), "{}", shown(&late));
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
}

#[test]
fn one_that_takes_its_time_is_waited_for_in_sight() {
    let shop = Shop::alone(|settings| settings.defer_after = Duration::ZERO);
    let picture = pictures::jpeg(64, 48, 1);
    let url = lay(&shop, "crank.jpg", Stored::There(picture.clone()));
    let posted = post(&shop, "crank.jpg", &url, picture.len());
    assert_eq!(shop.server.call("POST", "/interactions/").body["type"], WAIT);
    assert!(!private(&posted) && posted.method == "PATCH", "{}", shown(&posted));
    let gone = post(&shop, "gone.jpg", &address(&shop.server, "gone.jpg"), 100);
    assert!(private(&gone), "{}", shown(&gone));
    assert_eq!(shop.server.shared.posted().iter().filter(|one| one.channel == CHANNEL).count(), 0);
}

#[test]
fn a_line_that_takes_no_photograph_has_no_place_for_one() {
    let shop = Shop::open();
    let commands = shop.server.shared.commands().clone();
    let takes: Vec<&str> = commands
        .iter()
        .filter(|command| command["options"].as_array().unwrap().iter().any(|option| option["type"] == 11))
        .map(|command| command["name"].as_str().unwrap())
        .collect();
    assert_eq!(takes, ["log", "amend", "photo"]);
}
