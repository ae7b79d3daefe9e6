//! The token shows nowhere: a process of its own logs all it can, and the whole of its output is read.

use std::io::Read;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use gudgeon::fronts::discord::State;

use super::events::{self, TECH, text};
use super::gateway::Order;
use super::server::Server;
use super::shop::{TOKEN, settings, start};
use crate::talks;

const API: &str = "GUDGEON_TEST_API";

#[test]
fn the_token_is_in_no_log_however_loud() {
    let server = Server::start();
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["discord::secrecy::a_loud_process", "--exact", "--ignored", "--nocapture"])
        .env(API, &server.api)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let read = |mut from: Box<dyn Read + Send>| {
        std::thread::spawn(move || {
            let mut text = Vec::new();
            from.read_to_end(&mut text).unwrap();
            String::from_utf8_lossy(&text).into_owned()
        })
    };
    let out = read(Box::new(child.stdout.take().unwrap()));
    let err = read(Box::new(child.stderr.take().unwrap()));
    server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let id = server.new_id();
    server
        .event("INTERACTION_CREATE", events::slash(id, TECH, "convert", vec![text("value", "4in"), text("to", "mm")]));
    server.call("POST", &format!("/interactions/{id}/"));
    // Wrong on purpose: what fails is logged more than what works.
    server.shared.session().order(Order::Close(4004));
    let status = child.wait().unwrap();
    let said = out.join().unwrap() + &err.join().unwrap();
    assert!(status.success(), "{said}");
    assert!(said.contains("TRACE") && said.contains("the chat front is up as gudgeon"), "it was not loud: {said}");
    assert!(said.contains("does not know the token"), "{said}");
    for word in [TOKEN, "never-shown", "secretword"] {
        assert!(!said.contains(word), "the token was shown");
    }
}

/// Runs only as the child of the test above.
#[test]
#[ignore = "started by the_token_is_in_no_log_however_loud"]
fn a_loud_process() {
    let Ok(api) = std::env::var(API) else { return };
    tracing_subscriber::fmt().with_max_level(tracing::Level::TRACE).with_ansi(false).init();
    let settings = settings(&api);
    println!("{settings:?} {settings:#?}");
    let running = start(settings, &Arc::new(talks::bench()));
    let until = Instant::now() + Duration::from_secs(30);
    while !matches!(running.state(), State::Ended(_)) {
        assert!(Instant::now() < until, "no end: {:?}", running.state());
        std::thread::sleep(Duration::from_millis(20));
    }
    println!("{:?}", running.state());
}
