//! Too many requests, as the client's own rate limiter meets them; it is on only where the platform is spoken to under its
//! own name.

use std::time::{Duration, Instant};

use gudgeon::desk::{Front, Role};

use super::events::{TECH, text};
use super::server::Server;
use super::shop::{Shop, shown};
use super::telling::said;
use super::world::{REVIEW, TooMany};

fn too_many(method: &'static str, part: &str, wait: u32) -> TooMany {
    TooMany { method, part: part.to_owned(), wait, everywhere: false, skew: 0 }
}

/// A shop that speaks to the platform by its own name.
fn shop(slow: bool) -> Shop {
    Shop::alone_at(Server::start(), |settings, server| {
        settings.api = None;
        settings.client = Some(server.secure.client());
        settings.review_channel = "lead-bench".to_owned();
        if slow {
            settings.defer_after = Duration::ZERO;
        }
    })
}

fn ask(shop: &Shop, id: u64) {
    let options = vec![text("value", "4.030in"), text("to", "mm")];
    shop.server.event("INTERACTION_CREATE", super::events::slash(id, TECH, "convert", options));
}

#[test]
fn an_answer_that_is_one_too_many_is_in_time_all_the_same() {
    let shop = shop(false);
    // Whatever the platform's clock says, and for one kind of request or for all.
    for (everywhere, skew) in [(false, 0), (true, 0), (false, 6 * 3_600), (false, -6 * 3_600), (true, -6 * 3_600)] {
        let id = shop.server.new_id();
        let once = TooMany { everywhere, skew, ..too_many("POST", &format!("/interactions/{id}/"), 1) };
        shop.server.shared.world().too_many.push(once);
        let began = Instant::now();
        ask(&shop, id);
        let tries = || shop.server.count("POST", &format!("/interactions/{id}/"));
        shop.server.wait("a second try", |_| (tries() == 2).then_some(()));
        let took = began.elapsed();
        assert!((Duration::from_millis(900)..Duration::from_secs(3)).contains(&took), "{took:?}");
    }
}

#[test]
fn an_edit_that_has_to_wait_long_loses_neither_its_answer_nor_another_s() {
    let shop = shop(true);
    let (first, second) = (shop.server.new_id(), shop.server.new_id());
    shop.server.shared.world().too_many.push(too_many("PATCH", &format!("/answer-{first}/"), 30));
    ask(&shop, first);
    ask(&shop, second);
    let began = Instant::now();
    for id in [first, second] {
        let edits = || {
            let calls = shop.server.shared.calls();
            calls.iter().filter(|call| call.method == "PATCH" && call.path.contains(&format!("answer-{id}/"))).count()
        };
        while edits() < if id == first { 2 } else { 1 } {
            assert!(began.elapsed() < Duration::from_secs(40), "the answer to {id} does not come");
            std::thread::sleep(Duration::from_millis(50));
        }
    }
    assert!(shown(&shop.slash(TECH, "convert", vec![text("value", "1in"), text("to", "mm")])).contains("25.4"));
}

#[test]
fn commands_that_are_too_many_are_registered_when_they_may_be() {
    let server = Server::start();
    server.shared.world().too_many = vec![too_many("GET", "/commands", 1), too_many("PUT", "/commands", 2)];
    let shop = Shop::alone_at(server, |settings, server| {
        settings.api = None;
        settings.client = Some(server.secure.client());
    });
    assert_eq!((shop.server.count("GET", "/commands"), shop.server.count("PUT", "/commands")), (2, 2));
}

#[test]
fn a_message_that_is_one_too_many_is_said_once() {
    let shop = shop(false);
    std::thread::sleep(Duration::from_millis(1_500));
    shop.server.shared.world().too_many.push(too_many("POST", "/messages", 1));
    said(&shop.desk, "tech-1", Role::Tech, (Front::Page, "page"), "log main-journal 5 2.4470in 2.4470in job=1");
    shop.server.wait("the message", |shared| (!shared.posted().is_empty()).then_some(()));
    std::thread::sleep(Duration::from_millis(1_500));
    assert_eq!(shop.server.count("POST", &format!("/channels/{REVIEW}/messages")), 2);
    assert_eq!(shop.server.shared.posted().len(), 1);
}
