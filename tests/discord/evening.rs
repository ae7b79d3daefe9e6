//! One evening in a job's thread, as the README shows it: told through the real client, drawn from what the server
//! received. The words are kept in `pictures/evening.txt`, and each picture knows which page it is of: where either has
//! changed, this fails. `SNAPSHOTS=overwrite PICTURES=overwrite` makes both anew; then read the one and look at the others.

use std::path::PathBuf;
use std::sync::Arc;

use gudgeon::config::Config;
use gudgeon::fronts::discord::Settings;
use gudgeon::record::Record;
use serde_json::{Value, json};

use super::drawing::{Piece, page, words};
use super::events::{self, CHANNEL, Person, text};
use super::palette::few_colours;
use super::rest::Call;
use super::server::Server;
use super::shop::{Shop, buttons_of, looked, private, start};
use crate::browser::rig;
use crate::talks;

const TECH: Person = Person { name: "tech-1", roles: &["12"] };
const LEAD: Person = Person { name: "lead", roles: &["11"] };
const BENCH: &str = "bench";

/// The evening as it goes on.
struct Evening {
    shop: Shop,
    thread: String,
    /// How many messages of the channels were shown already.
    seen: usize,
    pictures: Vec<(&'static str, Vec<Piece>)>,
}

impl Evening {
    fn picture(&mut self, name: &'static str) {
        self.pictures.push((name, Vec::new()));
    }

    fn show(&mut self, piece: Piece) {
        self.pictures.last_mut().unwrap().1.push(piece);
    }

    fn ask(&self, interaction: Value, id: u64) -> Call {
        let from = if self.thread.is_empty() { interaction } else { events::from_thread(&self.thread, interaction) };
        self.shop.server.event("INTERACTION_CREATE", from);
        self.shop.answer(id)
    }

    /// A slash command and its answer.
    fn says(&mut self, who: Person, words: &str, options: Vec<Value>) -> Call {
        let given = options.iter().map(|one| match &one["value"] {
            Value::String(text) => format!(" {}: {text}", one["name"].as_str().unwrap()),
            other => format!(" {}: {other}", one["name"].as_str().unwrap()),
        });
        let line = format!("/{words}{}", given.collect::<String>());
        let id = self.shop.server.new_id();
        let answer = self.ask(events::slash(id, who, words, options), id);
        assert!(!private(&answer), "{line}: {}", answer.body);
        self.show(Piece::Sent(who.name, line));
        self.show(Piece::Message(answer.body["data"].clone()));
        answer
    }

    /// A button, the form behind it with these values, and the answer.
    fn fills(&mut self, who: Person, button: (&'static str, &str), values: &[&str]) -> Call {
        let id = self.shop.server.new_id();
        let form = self.ask(events::press(id, who, button.1), id).body["data"].clone();
        let rows = form["components"].as_array().unwrap().clone();
        let mut given = values.iter();
        let mut filled = Vec::new();
        for input in rows.iter().map(|row| &row["components"][0]) {
            let value = match input["value"].as_str().filter(|own| !own.is_empty()) {
                Some(own) => own.to_owned(),
                None => given.next().copied().unwrap_or_default().to_owned(),
            };
            filled.push((input["custom_id"].as_str().unwrap().to_owned(), value));
        }
        assert!(given.next().is_none(), "more than {form} asks for");
        let sent: Vec<(&str, &str)> = filled.iter().map(|(id, value)| (id.as_str(), value.as_str())).collect();
        let id = self.shop.server.new_id();
        let answer = self.ask(events::fill(id, who, form["custom_id"].as_str().unwrap(), &sent), id);
        assert!(!private(&answer), "{filled:?}: {}", answer.body);
        self.show(Piece::Does(who.name, button.0));
        self.show(Piece::Form(form, filled.into_iter().map(|(_, value)| value).collect()));
        self.show(Piece::Message(answer.body["data"].clone()));
        answer
    }

    /// The next message that the bot sends unasked.
    fn hears(&mut self, channel: &str) -> Value {
        let at = self.seen;
        let posted = self.shop.server.wait("a message", |shared| shared.posted().into_iter().nth(at));
        assert!(channel.is_empty() || posted.channel == channel, "{posted:?}");
        self.seen += 1;
        self.show(Piece::Message(posted.body.clone()));
        if self.thread.is_empty() {
            self.thread = posted.channel;
        }
        posted.body
    }
}

fn button(of: &Value, label: &str) -> String {
    let all = buttons_of(of);
    all.iter().find(|(shown, _)| shown.starts_with(label)).unwrap_or_else(|| panic!("no {label}: {all:?}")).1.clone()
}

fn settings(of: &mut Settings, digest: bool) {
    of.digest_channel = if digest { BENCH.to_owned() } else { String::new() };
}

/// The whole evening, a few pictures of it.
fn evening() -> Vec<(&'static str, Vec<Piece>)> {
    let config = Config { digest_hour: "0".parse().unwrap(), demo: false, ..Config::default() };
    let desk = Arc::new(talks::desk(config.settings(), Record::in_memory().unwrap()));
    let shop = Shop::over(Arc::clone(&desk), Server::start(), |of, _| settings(of, false));
    looked(&shop);
    let mut evening = Evening { shop, thread: String::new(), seen: 0, pictures: Vec::new() };

    evening.picture("1-opened");
    evening.says(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", "workboat, starboard")]);
    evening.hears("");
    let thread = evening.thread.clone();

    evening.picture("2-readings");
    let readings = vec![
        text("check", "main-journal"),
        text("position", "1"),
        text("values", "2.4498in 2.4497in"),
        json!({"name": "walk", "type": 5, "value": true}),
    ];
    let first = evening.says(TECH, "log", readings);
    let post = button(&first.body["data"], "Post Main journal 2");
    let second = evening.fills(TECH, ("presses “Post Main journal 2 …”", &post), &["2.4497 2.4497", "2.4497 2.4496"]);

    evening.picture("3-out");
    let post = button(&second.body["data"], "Post Main journal 3");
    evening.fills(TECH, ("presses “Post Main journal 3 …”", &post), &["2.4488 2.4489", "2.4488 2.4489"]);

    evening.picture("4-returned");
    let out = evening.hears(&thread);
    evening.fills(
        LEAD,
        ("presses “Return it …”", &button(&out, "Return it")),
        &["let it cool to the bench and measure again"],
    );
    let back = evening.hears(&thread);

    evening.picture("5-accepted");
    evening.fills(
        TECH,
        ("presses “Amend it …”", &button(&back, "Amend it")),
        &["2.4498 2.4497", "2.4497 2.4497", "measured cold"],
    );
    evening.says(LEAD, "review accept", vec![text("check", "main-journal")]);

    evening.picture("6-digest");
    let card = evening.shop.server.wait("the card at the end", |shared| {
        let cards = shared.posted().into_iter().find(|one| one.pinned);
        cards.filter(|card| card.now()["content"].as_str().unwrap().contains("3\u{a0}🟢✓"))
    });
    evening.show(Piece::Does("the card", "at the thread's head"));
    evening.show(Piece::Message(card.now().clone()));
    let Evening { shop, seen, pictures, .. } = evening;
    let Shop { running, server, .. } = shop;
    running.stop();
    let mut of = super::shop::settings(&server.api);
    settings(&mut of, true);
    let running = start(of, &desk);
    let mut evening = Evening { shop: Shop { running, server, desk }, thread, seen, pictures };
    evening.show(Piece::Does("in the channel for the digest,", "at the shop's hour"));
    evening.hears(CHANNEL);
    evening.pictures
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/discord/pictures")
}

/// A day is another one each time.
fn undated(page: &str) -> String {
    let date = regex::Regex::new(r"\d{4}-\d\d-\d\d( \d\d:\d\d)?").unwrap();
    date.replace_all(page, "today").into_owned()
}

#[test]
fn the_evening_goes_as_the_pictures_show_it() {
    let pages: Vec<(&str, String)> = evening().iter().map(|(name, pieces)| (*name, undated(&page(pieces)))).collect();
    let text: String = pages.iter().map(|(name, page)| format!("== {name}\n{}\n", words(page))).collect();
    let place = folder().join("evening.txt");
    snapbox::Assert::new()
        .action_env("SNAPSHOTS")
        .eq(text, snapbox::Data::read_from(&place, Some(snapbox::data::DataFormat::Text)));
    let drawn: String =
        pages.iter().map(|(name, page)| format!("{name}.png {}\n", blake3::hash(page.as_bytes()).to_hex())).collect();
    let place = folder().join("drawn.txt");
    if std::env::var("PICTURES").is_ok_and(|value| value == "overwrite") {
        for (name, page) in &pages {
            let picture = few_colours(&rig::picture(page, 360));
            assert!(picture.len() < 60_000, "{name} has {} bytes", picture.len());
            std::fs::write(folder().join(format!("{name}.png")), picture).unwrap();
        }
        std::fs::write(place, drawn).unwrap();
    } else {
        let kept = std::fs::read_to_string(place).unwrap();
        assert_eq!(kept, drawn, "the pictures are of other pages: PICTURES=overwrite makes them anew");
    }
}
