//! The evening's digest in the channel that was named for it.

use std::sync::Arc;
use std::time::Duration;

use gudgeon::config::Config;
use gudgeon::record::Record;

use super::events::CHANNEL;
use super::server::Server;
use super::shop::Shop;
use crate::talks;

/// A demo shop whose digest is due from midnight on, which is always.
fn shop(channel: &str) -> Shop {
    let config = Config { digest_hour: "0".parse().unwrap(), ..Config::default() };
    let desk = talks::desk(config.settings(), Record::in_memory().unwrap());
    gudgeon::shop::fill_demo(&desk, talks::clock()).unwrap();
    Shop::over(Arc::new(desk), Server::start(), |settings, _| settings.digest_channel = channel.to_owned())
}

#[test]
fn it_is_said_once_and_calls_nobody() {
    let shop = shop("bench");
    let told = shop.server.wait("the digest", |shared| shared.posted().into_iter().next());
    assert_eq!(told.channel, CHANNEL);
    let said = told.body["content"].as_str().unwrap();
    assert!(said.starts_with("**Tonight: 1 out, "), "{said}");
    assert!(said.contains("Main journal 3"), "{said}");
    assert_eq!(told.body["allowed_mentions"]["roles"], serde_json::json!([]));
    std::thread::sleep(Duration::from_millis(3_000));
    assert_eq!(shop.server.shared.posted().len(), 1);
}

#[test]
fn without_a_channel_it_is_left_for_another_front() {
    let shop = shop("");
    shop.wait_for("the front", |state| *state == gudgeon::fronts::discord::State::Up);
    std::thread::sleep(Duration::from_millis(2_500));
    assert!(shop.server.shared.posted().is_empty());
    assert!(shop.desk.digest_due(jiff::Timestamp::now()).unwrap().is_some());
}
