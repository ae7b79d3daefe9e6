//! What goes wrong on the way, and what a member notices of it: nothing, or a word.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use axum::http::StatusCode;
use gudgeon::config::Config;
use gudgeon::fronts::discord::State;
use gudgeon::fronts::web;
use serde_json::Value;

use super::events::{self, TECH, text};
use super::gateway::Order;
use super::server::Server;
use super::shop::{Shop, settings, shown, start};
use crate::talks;

/// Sends one interaction right after `fault` and expects exactly one answer.
fn one_answer_after(shop: &Shop, fault: impl FnOnce(&Shop)) {
    let id = shop.server.new_id();
    let resumed = shop.server.shared.session().resumed;
    fault(shop);
    let options = vec![text("value", "4.030in"), text("to", "mm")];
    shop.server.event("INTERACTION_CREATE", events::slash(id, TECH, "convert", options.clone()));
    assert!(shown(&shop.answer(id)).contains("102.36"));
    // A later one is answered too; by then a doubled answer would be there.
    assert!(shown(&shop.slash(TECH, "convert", options)).contains("102.36"));
    assert_eq!(shop.server.count("POST", &format!("/interactions/{id}/")), 1);
    assert_eq!(shop.server.shared.session().resumed, resumed + 1, "it came back by resuming");
}

#[test]
fn a_dropped_line_loses_and_doubles_nothing() {
    let shop = Shop::open();
    one_answer_after(&shop, |shop| shop.server.shared.session().order(Order::Fin));
    one_answer_after(&shop, |shop| shop.server.shared.session().order(Order::Rst));
    one_answer_after(&shop, |shop| shop.server.shared.session().opcode(7, Value::Null));
    one_answer_after(&shop, |shop| shop.server.shared.session().opcode(9, Value::Bool(true)));
    for code in [4000, 1000, 1001] {
        one_answer_after(&shop, |shop| shop.server.shared.session().order(Order::Close(code)));
    }
    assert_eq!(shop.server.shared.session().identified, 1);
    assert_eq!(shop.running.state(), State::Up);
}

#[test]
fn an_interaction_that_comes_twice_is_answered_once() {
    let shop = Shop::open();
    let id = shop.server.new_id();
    let options = vec![text("value", "4.030in"), text("to", "mm")];
    for _ in 0..3 {
        shop.server.event("INTERACTION_CREATE", events::slash(id, TECH, "convert", options.clone()));
    }
    shop.answer(id);
    shop.slash(TECH, "convert", options);
    assert_eq!(shop.server.count("POST", &format!("/interactions/{id}/")), 1);
}

#[test]
fn an_answer_the_platform_drops_is_sent_again() {
    let shop = Shop::open();
    for status in [StatusCode::INTERNAL_SERVER_ERROR, StatusCode::BAD_GATEWAY, StatusCode::SERVICE_UNAVAILABLE] {
        shop.server.shared.world().down = (status, 0, "down");
        shop.server.shared.failing.store(1, Ordering::Release);
        let id = shop.server.new_id();
        let options = vec![text("value", "4.030in"), text("to", "mm")];
        shop.server.event("INTERACTION_CREATE", events::slash(id, TECH, "convert", options));
        shop.server
            .wait("a second try", |_| (shop.server.count("POST", &format!("/interactions/{id}/")) == 2).then_some(()));
    }
}

#[test]
fn a_platform_that_is_down_at_the_start_is_tried_again() {
    let server = Server::start();
    server.shared.failing.store(1, Ordering::Release);
    let shop = Shop::started(server, |_| {});
    let State::Retrying(why) = shop.wait_for("a word", |state| matches!(state, State::Retrying(_))) else { panic!() };
    assert!(why.contains("503"), "{why}");
    shop.wait_for("a second try", |state| *state == State::Up);
}

#[test]
fn a_final_word_of_the_platform_ends_it_plainly() {
    for code in [4004, 4013, 4014] {
        let server = Server::start();
        server.shared.session().refuse_with = Some(code);
        let shop = Shop::started(server, |_| {});
        let State::Ended(why) = shop.wait_for("an end", |state| matches!(state, State::Ended(_))) else { panic!() };
        assert!(why.contains(&code.to_string()), "{why}");
        assert_eq!(shop.server.shared.session().identified, 1, "it is not tried again");
        let began = Instant::now();
        shop.running.stop();
        assert!(began.elapsed() < Duration::from_secs(2));
    }
}

#[test]
fn a_living_connection_is_left_alone() {
    let shop = Shop::with(|settings| settings.patience = Duration::from_millis(2_500));
    shop.server.wait("heartbeats", |shared| (shared.session().heartbeats >= 4).then_some(()));
    assert_eq!(shop.server.shared.session().identified, 1);
}

#[test]
fn it_stops_at_once_and_stays_stopped() {
    let server = Server::start();
    let desk = Arc::new(talks::bench());
    let running = start(settings(&server.api), &desk);
    server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let began = Instant::now();
    running.stop();
    assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    assert_eq!(Arc::strong_count(&desk), 1, "nobody holds the desk any more");
    let (calls, identified) = (server.shared.calls().len(), server.shared.session().identified);
    std::thread::sleep(Duration::from_millis(300));
    assert_eq!((server.shared.calls().len(), server.shared.session().identified), (calls, identified));
}

#[test]
fn the_page_serves_on_while_the_chat_is_turned_away_or_spins() {
    let folder = tempfile::tempdir().unwrap();
    for code in [4003, 4004, 4014] {
        let server = Server::start();
        server.shared.session().refuse_with = Some(code);
        let shop = Shop::started(server, |_| {});
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().unwrap();
        let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).unwrap();
        let address = listener.local_addr().unwrap();
        let config = Config { data: folder.path().to_owned(), ..Config::default() };
        let desk = Arc::clone(&shop.desk);
        runtime.spawn(async move { web::serve(listener, desk, &config, std::future::pending()).await });
        shop.server.wait("the client", |shared| (shared.session().identified > 0).then_some(()));
        for _ in 0..5 {
            let began = Instant::now();
            let mut stream = TcpStream::connect(address).unwrap();
            write!(stream, "GET /door HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
            let mut page = String::new();
            stream.read_to_string(&mut page).unwrap();
            assert!(page.starts_with("HTTP/1.1 200"), "{code}: {page}");
            assert!(began.elapsed() < Duration::from_secs(3), "{code}: {:?}", began.elapsed());
            std::thread::sleep(Duration::from_millis(200));
        }
        runtime.shutdown_background();
    }
}
