//! A second opinion: another client library, of another language, reads what the server sends and answers it, so that the
//! server and the front's own library do not merely agree with each other. `second/make` has to be run once before.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use serde_json::{Value, json};

use super::contract::Kind;
use super::events::{self, CHANNEL, GUILD, LEAD, TECH, focused, text, whole};
use super::server::Server;

/// The other client, as a program that says how it understood each thing.
struct Reader {
    child: Child,
    lines: Receiver<Value>,
}

impl Reader {
    fn start(server: &Server) -> Self {
        let library = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).with_file_name("second");
        let there = library.join("node_modules/discord.js");
        assert!(
            there.exists(),
            "{} is not there: run `tests/discord/second/make` once, or `tests/run`",
            there.display()
        );
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/discord/second/read.mjs");
        // Beside its library, or it would not be found.
        let copy = library.join("read.mjs");
        std::fs::copy(script, &copy).unwrap();
        let mut child = Command::new("node").arg(copy).arg(&server.api).stdout(Stdio::piped()).spawn().unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (said, lines) = channel();
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                let read = serde_json::from_str(&line).unwrap_or_else(|_| json!({"read": "noise", "line": line}));
                if said.send(read).is_err() {
                    return;
                }
            }
        });
        Self { child, lines }
    }

    fn next(&self) -> Value {
        self.lines.recv_timeout(Duration::from_secs(120)).expect("the other client says nothing")
    }
}

impl Drop for Reader {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// An interaction by its number, how it is to be understood, and the kind of answer.
type Case<'c> = (&'c dyn Fn(u64) -> Value, Value, u64);

#[test]
fn another_library_understands_the_server_and_is_understood() {
    let server = Server::start();
    let reader = Reader::start(&server);
    let read = reader.next();
    assert_eq!(
        read,
        json!({"read": "server", "name": "Ropewalk", "bot": events::APPLICATION,
            "channels": ["Shop floor", "bench", "lead-bench"],
            "roles": ["@everyone", "gudgeon", "lead", "tech", "visitors"], "commands": ["convert"],
            "thread": [true, true], "card": [true, "second"]})
    );
    let thread = server.shared.places().threads().remove(0);
    assert!(thread.archived && server.shared.posted().len() == 1 && server.shared.posted()[0].pinned);

    let common = |kind: u8, channel: &str, user: &str, role: &str| {
        json!({"read": "interaction", "type": kind, "server": GUILD.to_string(), "channel": channel, "user": user,
            "roles": [GUILD.to_string(), role], "lifetime": true})
    };
    let with = |mut common: Value, more: Value| {
        common.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        common
    };
    let log = vec![text("check", "main-journal"), text("values", "2.4498in"), whole("walk", 1)];
    let log = |id| {
        events::with_file(events::slash(id, TECH, "log", log.clone()), "photo", "crank.jpg", "http://127.0.0.1:9/a", 9)
    };
    let gap = |id| events::slash(id, LEAD, "ring gap", vec![text("bore", "4.030in")]);
    let listed = |id| events::typing(id, TECH, "log", vec![focused("check", "jour")]);
    let pressed = |id| events::press(id, TECH, "next");
    let chosen = |id| events::choose(id, TECH, "menu", "say:next 1");
    let filled = |id| events::from_thread(&thread.id, events::fill(id, TECH, "form", &[("values", "2.4498in")]));
    let (tech, lead) = (|kind| common(kind, CHANNEL, "bench_tech", "12"), common(2, CHANNEL, "harbour_lead", "11"));
    let cases: [Case<'_>; 6] = [
        (
            &log,
            with(
                tech(2),
                json!({"command": "log", "options":
            {"check": "main-journal", "values": "2.4498in", "walk": 1, "photo": "crank.jpg"}}),
            ),
            5,
        ),
        (&gap, with(lead, json!({"command": "ring gap", "options": {"bore": "4.030in"}})), 4),
        (&listed, with(tech(4), json!({"command": "log", "options": {"check": "jour"}, "focused": "check"})), 8),
        (&pressed, with(tech(3), json!({"pressed": "next"})), 9),
        (&chosen, with(tech(3), json!({"pressed": "say:next 1"})), 7),
        (&filled, with(common(5, &thread.id, "bench_tech", "12"), json!({"filled": "2.4498in"})), 4),
    ];
    for (make, understood, kind) in cases {
        let id = server.new_id();
        server.event("INTERACTION_CREATE", make(id));
        assert_eq!(reader.next(), understood);
        assert_eq!(server.call("POST", &format!("/interactions/{id}/")).body["type"], kind);
    }
    server.call("PATCH", "/messages/@original");
    // Its bodies were held against the schema like ours: of these kinds both libraries have sent some.
    assert_eq!(server.shared.at_fault(), Vec::<String>::new());
    let judged = server.shared.judged();
    for kind in [
        Kind::Commands,
        Kind::FirstAnswer,
        Kind::Wait,
        Kind::InPlace,
        Kind::Completion,
        Kind::Form,
        Kind::Edit,
        Kind::Message,
        Kind::CardEdit,
        Kind::Thread,
        Kind::ThreadEdit,
    ] {
        assert!(judged.contains_key(&kind), "{kind:?} of {judged:?}");
    }
}
