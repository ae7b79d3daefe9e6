//! Two shops, two servers, one client: whatever is tried, nothing of one comes to the other, and what is wrong with one
//! leaves the other at work.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use gudgeon::config::Config;
use gudgeon::desk::{Desk, Front, Role};
use gudgeon::fronts::discord::{self, Settings};
use gudgeon::library::{Library, Shelf};
use gudgeon::record::Record;
use serde_json::Value;

use super::events::{
    self, CHANNEL, GUILD, LEAD, Person, SECOND, SECOND_CHANNEL, TECH, VISITOR, focused, from_server, text,
};
use super::places::Posted;
use super::rest::Call;
use super::server::Server;
use super::shop::{Shop, buttons, looked, private, settings, shown};
use super::store::Stored;
use super::telling::said;
use super::world::{REVIEW, SECOND_REVIEW};
use crate::pictures;
use crate::talks;

/// A server that is no shop's.
const STRANGER: u64 = 999;
const PAGE: (Front, &str) = (Front::Page, "page");

/// Ropewalk on its own server, and another shop on the second: other pages, other people, other hours.
struct Two {
    /// The first shop, with the client that both share.
    shop: Shop,
    second: Arc<Desk>,
}

/// What the other shop knows and Ropewalk does not.
const QUAY_PAGE: &str = "+++\ntitle = \"Slipway winch\"\nkind = \"note\"\nreviewed = \"2026-11-20\"\nsources = [\"common practice\"]\n+++\n\n\
    The slipway winch takes one boat at a time.\n\n## Greasing the slipway winch\n\nGrease the slipway winch every second \
    Friday with the blue gun, five strokes a nipple.\n";

/// A desk over few pages, of which one is its own.
fn second_desk(record: Record) -> Desk {
    let folder = tempfile::tempdir().unwrap();
    let knowledge = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    for (room, file) in [("engines", "dunlin-six.md"), ("limits", "marine.md"), ("", "words.md")] {
        fs::create_dir_all(folder.path().join(room)).unwrap();
        fs::copy(knowledge.join(room).join(file), folder.path().join(room).join(file)).unwrap();
    }
    fs::create_dir_all(folder.path().join("notes")).unwrap();
    fs::write(folder.path().join("notes/slipway-winch.md"), QUAY_PAGE).unwrap();
    let pages = Arc::new(Library::open(folder.path()).unwrap());
    let config =
        Config { shop: "Second yard".to_owned(), demo: false, digest_hour: "0".parse().unwrap(), ..Config::default() };
    Desk::new(config.settings(), Shelf::fixed(pages), record)
}

/// Each shop's channels have the same names on both servers, and its techs another role.
fn of_shop(server: &Server, guild: u64) -> Settings {
    let mut settings = settings(&server.api);
    settings.guild = guild;
    settings.review_channel = "lead-bench".to_owned();
    if guild == SECOND {
        settings.tech_roles = vec!["visitors".to_owned()];
    }
    settings
}

impl Two {
    fn over(first: Option<Arc<Desk>>, second: Desk, change: impl FnOnce(&mut [Settings; 2])) -> Self {
        let (server, second) = (Server::start(), Arc::new(second));
        server.shared.world().second = true;
        let mut settings = [of_shop(&server, GUILD), of_shop(&server, SECOND)];
        change(&mut settings);
        let [one, two] = settings;
        let shops = vec![
            discord::Shop { settings: one, desk: first.clone() },
            discord::Shop { settings: two, desk: Some(Arc::clone(&second)) },
        ];
        let running = discord::start(shops).unwrap();
        let [running] = <[_; 1]>::try_from(running).ok().expect("one client for both");
        let desk = first.unwrap_or_else(|| Arc::clone(&second));
        let shop = Shop { running, server, desk };
        shop.server.wait("the second shop's commands", |shared| {
            (!shared.commands_at(&["guilds", "450", "commands"]).is_empty()).then_some(())
        });
        Self { shop, second }
    }

    /// Both open and looked through.
    fn open() -> Self {
        let two = Self::over(Some(Arc::new(talks::bench())), second_desk(Record::in_memory().unwrap()), |_| {});
        two.shop.server.wait("the first shop's commands", |shared| (!shared.commands().is_empty()).then_some(()));
        looked(&two.shop);
        two
    }

    fn ask(&self, server: u64, make: impl FnOnce(u64) -> Value) -> Call {
        let id = self.shop.server.new_id();
        self.shop.server.event("INTERACTION_CREATE", from_server(server, make(id)));
        self.shop.answer(id)
    }

    fn slash(&self, server: u64, person: Person, words: &str, options: Vec<Value>) -> Call {
        self.ask(server, |id| events::slash(id, person, words, options))
    }

    fn typing(&self, server: u64, words: &str, options: Vec<Value>) -> Vec<String> {
        let call = self.ask(server, |id| events::typing(id, TECH, words, options));
        let choices = call.body["data"]["choices"].as_array().unwrap().clone();
        choices.iter().map(|choice| format!("{} {}", choice["value"], choice["name"])).collect()
    }

    /// The second shop opens a job of its own.
    fn second_job(&self) {
        let options = vec![text("engine", "dunlin-six"), text("title", "Slip tender")];
        let call = self.slash(SECOND, LEAD, "job open", options);
        assert!(shown(&call).starts_with("Job #1 is open"), "{}", shown(&call));
    }
}

fn content(posted: &Posted) -> &str {
    posted.body["content"].as_str().unwrap()
}

#[test]
fn each_server_has_its_own_record_pages_lists_and_roles() {
    let two = Two::open();
    let before = two.shop.desk.fingerprint().unwrap();
    two.second_job();
    assert_eq!(two.shop.desk.fingerprint().unwrap(), before, "the first shop's record heard nothing of it");
    let (first, second) = (
        |words: &str, options| two.slash(GUILD, TECH, words, options),
        |words: &str, options| two.slash(SECOND, TECH, words, options),
    );
    let job = || vec![text("job", "1")];
    assert!(shown(&first("job show", job())).contains("Harbour launch"));
    assert!(shown(&second("job show", job())).contains("Slip tender"));
    // Found here, and there not at all: not by question, by name, or while typing.
    let question = || vec![text("question", "how often is the slipway winch greased")];
    assert!(shown(&second("ask", question())).contains("second Friday"), "{}", shown(&second("ask", question())));
    assert!(!shown(&first("ask", question())).contains("second Friday"));
    assert!(private(&second("orient", vec![text("engine", "skerry-v8"), events::whole("cylinder", 3)])));
    let seen =
        |server, words, field: &str, typed: &str| two.typing(server, words, vec![focused(field, typed)]).join(" ");
    for (words, field, typed, own, other) in [
        ("log", "job", "", "Harbour launch", "Slip tender"),
        ("job show", "job", "", "Harbour launch", "Slip tender"),
        ("orient", "engine", "", "skerry-v8", "slipway"),
        ("page", "name", "winch", "", "slipway-winch"),
    ] {
        let (here, there) = (seen(GUILD, words, field, typed), seen(SECOND, words, field, typed));
        assert!(here.contains(own) && !here.contains(other), "{words} {field}: {here}");
        assert!(!there.contains("Harbour") && !there.contains("skerry"), "{words} {field}: {there}");
        assert!(other == "slipway" || there.contains(other), "{words} {field}: {there}");
    }
    // The same role is a tech's on one server and a visitor's on the other.
    let open = || vec![text("engine", "dunlin-six"), text("title", "Pilot boat")];
    assert!(!private(&two.slash(SECOND, VISITOR, "job open", open())));
    assert!(private(&two.slash(GUILD, VISITOR, "job open", open())));
    assert!(private(&two.slash(SECOND, TECH, "job open", open())));
}

#[test]
fn buttons_and_forms_of_one_do_nothing_of_it_on_the_other() {
    let two = Two::open();
    two.second_job();
    // Too long for a button: kept in memory, and there only for the shop that offered it.
    let log = vec![
        text("check", "main-journal"),
        text("position", "5"),
        text("values", "two and a half"),
        text("note", &"secret of the first shop ".repeat(6)),
        text("job", "1"),
    ];
    let refused = two.slash(GUILD, TECH, "log", log);
    let id = buttons(&refused).into_iter().find(|(label, _)| label.starts_with("Change it")).unwrap().1;
    assert!(id.starts_with("key:"), "{id}");
    let pressed = two.ask(SECOND, |number| events::press(number, TECH, &id));
    assert!(private(&pressed) && shown(&pressed).contains("too old"), "{}", shown(&pressed));
    let form = two.ask(GUILD, |number| events::press(number, TECH, &id));
    let form = form.body["data"]["custom_id"].as_str().unwrap().to_owned();
    let (here, there) = (two.shop.desk.fingerprint().unwrap(), two.second.fingerprint().unwrap());
    let filled = two.ask(SECOND, |number| events::fill(number, TECH, &form, &[("values.0", "2.4498in 2.4497in")]));
    assert!(private(&filled) && shown(&filled).contains("too old"), "{}", shown(&filled));
    // A line that stands in the button itself is a line on the server where it is pressed, with its jobs and its roles.
    let looked = two.ask(SECOND, |number| events::press(number, TECH, "say:job show 1"));
    assert!(shown(&looked).contains("Slip tender") && !shown(&looked).contains("Harbour"), "{}", shown(&looked));
    let chosen = two.ask(SECOND, |number| events::choose(number, TECH, "menu", "say:review show 4"));
    assert!(private(&chosen), "{}", shown(&chosen));
    let accepted = two.ask(SECOND, |number| events::press(number, VISITOR, "say:review accept 4"));
    assert!(private(&accepted), "{}", shown(&accepted));
    assert_eq!((two.shop.desk.fingerprint().unwrap(), two.second.fingerprint().unwrap()), (here, there));
}

#[test]
fn a_photograph_and_a_sheet_stay_with_their_shop() {
    let two = Two::open();
    two.second_job();
    let picture = pictures::jpeg(64, 48, 1);
    two.shop.server.shared.world().store.insert("crank.jpg", Stored::There(picture.clone()));
    let url = format!("{}/attachments/crank.jpg", two.shop.server.api);
    let log = vec![
        text("check", "main-journal"),
        text("position", "5"),
        text("values", "2.4498in 2.4497in"),
        text("job", "1"),
    ];
    two.ask(GUILD, |id| {
        events::with_file(events::slash(id, TECH, "log", log), "photo", "crank.jpg", &url, picture.len())
    });
    let reading = two.shop.desk.fingerprint().unwrap().split(' ').next().unwrap().parse::<u64>().unwrap() - 1;
    let show = |server| two.slash(server, LEAD, "review show", vec![text("reading", &reading.to_string())]);
    let photos = |call: &Call| call.files.iter().filter(|file| file.name.starts_with("photo-")).count();
    assert_eq!(photos(&show(GUILD)), 1);
    assert!(private(&show(SECOND)) && show(SECOND).files.is_empty());
    let sheet = |server| {
        let call = two.slash(server, LEAD, "sheet", vec![text("job", "1"), text("format", "json")]);
        let all: Vec<u8> = call.files.iter().flat_map(|file| file.bytes.clone()).collect();
        String::from_utf8_lossy(&all).into_owned() + &shown(&call)
    };
    let (here, there) = (sheet(GUILD), sheet(SECOND));
    assert!(here.contains("Harbour launch") && !here.contains("Slip tender"), "{here}");
    assert!(
        there.contains("Slip tender")
            && !there.contains("Harbour launch")
            && !there.contains("Ropewalk Engine Works\"")
    );
}

#[test]
fn threads_cards_outs_and_digests_go_to_their_own_server() {
    // Due from midnight on, which is always.
    let config = Config { digest_hour: "0".parse().unwrap(), ..Config::default() };
    let first = talks::desk(config.settings(), Record::in_memory().unwrap());
    gudgeon::shop::fill_demo(&first, talks::clock()).unwrap();
    let two = Two::over(Some(Arc::new(first)), second_desk(Record::in_memory().unwrap()), |settings| {
        for settings in settings {
            settings.jobs_channel = "bench".to_owned();
            settings.digest_channel = "lead-bench".to_owned();
        }
    });
    looked(&two.shop);
    two.second_job();
    let threads = two.shop.server.wait("a thread for each", |shared| {
        let threads = shared.places().threads();
        (threads.len() == 2).then_some(threads)
    });
    let named = |part: &str| threads.iter().find(|thread| thread.name.contains(part)).unwrap().clone();
    let (first, second) = (named("Harbour launch"), named("Slip tender"));
    assert_eq!((first.parent.as_str(), second.parent.as_str()), (CHANNEL, SECOND_CHANNEL));
    // The number of one shop's thread means nothing on the other's server.
    let here = two.ask(GUILD, |id| events::from_thread(&second.id, events::slash(id, TECH, "next", Vec::new())));
    assert!(private(&here), "{}", shown(&here));
    let there = two.ask(SECOND, |id| events::from_thread(&second.id, events::slash(id, TECH, "job show", Vec::new())));
    assert!(shown(&there).contains("Slip tender"), "{}", shown(&there));
    said(&two.shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 5 2.4470in 2.4470in job=1");
    said(&two.second, "tech-1", Role::Tech, PAGE, "log main-journal 5 2.6220in 2.6220in job=1");
    let posted = two.shop.server.wait("both outs and the digest", |shared| {
        let posted = shared.posted();
        let says = |start: &str| posted.iter().filter(|one| content(one).contains(start)).count();
        (says("Out: Main journal 5") == 2 && says("**Tonight:") >= 1).then_some(posted.clone())
    });
    let whose = |one: &Posted| [SECOND_CHANNEL, SECOND_REVIEW, &second.id].contains(&one.channel.as_str());
    assert!(posted.iter().filter(|one| whose(one)).count() >= 2, "a card and an out: {posted:#?}");
    for one in &posted {
        let text = one.now()["content"].as_str().unwrap();
        let others = if whose(one) { "Harbour launch" } else { "Slip tender" };
        assert!(!text.contains(others), "in {}: {text}", one.channel);
        let own = [CHANNEL, REVIEW, &first.id, SECOND_CHANNEL, SECOND_REVIEW, &second.id];
        assert!(own.contains(&one.channel.as_str()), "{one:?}");
    }
    let nonces: BTreeSet<String> = posted.iter().map(|one| one.body["nonce"].to_string()).collect();
    assert_eq!(nonces.len(), posted.len(), "no two share a nonce");
}

#[test]
fn a_server_that_is_no_shop_s_gets_a_polite_word_and_nothing_else() {
    let two = Two::open();
    let (here, there) = (two.shop.desk.fingerprint().unwrap(), two.second.fingerprint().unwrap());
    for make in [
        |id| events::slash(id, LEAD, "job show", vec![text("job", "1")]),
        |id| events::press(id, LEAD, "say:job show 1"),
        |id| events::choose(id, LEAD, "menu", "say:review queue"),
        |id| events::fill(id, LEAD, "form:log main-journal 5 job=1", &[("values.0", "2.4498in 2.4497in")]),
    ] {
        let call = two.ask(STRANGER, make);
        assert!(private(&call) && shown(&call).contains("its shop's own server only"), "{}", shown(&call));
        assert_eq!((buttons(&call), call.files.len()), (Vec::new(), 0));
    }
    assert_eq!(two.typing(STRANGER, "log", vec![focused("job", "")]), Vec::<String>::new());
    // A private message is no server at all.
    let id = two.shop.server.new_id();
    let mut alone = events::slash(id, LEAD, "job show", vec![text("job", "1")]);
    alone["user"] = alone["member"]["user"].clone();
    for key in ["guild_id", "guild", "member"] {
        alone.as_object_mut().unwrap().remove(key);
    }
    two.shop.server.event("INTERACTION_CREATE", alone);
    let call = two.shop.answer(id);
    assert!(private(&call) && shown(&call).contains("own server only"), "{}", shown(&call));
    assert_eq!(two.shop.server.count("PUT", "/guilds/999/"), 0);
    assert_eq!((two.shop.desk.fingerprint().unwrap(), two.second.fingerprint().unwrap()), (here, there));
}

#[test]
fn a_record_that_is_locked_leaves_the_other_shop_at_work() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("record.sqlite");
    let first = talks::bench_over(Record::open(&place).unwrap());
    gudgeon::shop::fill_demo(&first, talks::clock()).unwrap();
    let two = Two::over(Some(Arc::new(first)), second_desk(Record::in_memory().unwrap()), |_| {});
    looked(&two.shop);
    two.second_job();
    let lock = rusqlite::Connection::open(&place).unwrap();
    lock.execute_batch("begin exclusive").unwrap();
    let log = || {
        vec![
            text("check", "main-journal"),
            text("position", "5"),
            text("values", "2.4498in 2.4497in"),
            text("job", "1"),
        ]
    };
    // Twenty wait at the first shop's door.
    let waiting: Vec<u64> = (0..20)
        .map(|_| {
            let id = two.shop.server.new_id();
            two.shop.server.event("INTERACTION_CREATE", events::slash(id, TECH, "log", log()));
            id
        })
        .collect();
    let began = Instant::now();
    let there = two.slash(SECOND, LEAD, "job show", vec![text("job", "1")]);
    assert!(shown(&there).contains("Slip tender"), "{}", shown(&there));
    assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    for id in &waiting {
        assert_eq!(two.shop.first_answer(*id).body["type"], super::shop::WAIT, "they are told to wait, in time");
    }
    lock.execute_batch("rollback").unwrap();
    for id in waiting {
        two.shop.answer(id);
    }
    assert!(shown(&two.slash(GUILD, TECH, "job show", vec![text("job", "1")])).contains("Harbour launch"));
}

#[test]
fn a_shop_that_could_not_be_opened_says_so_and_the_other_answers() {
    let two = Two::over(None, second_desk(Record::in_memory().unwrap()), |_| {});
    let call = two.slash(GUILD, TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(private(&call) && shown(&call).contains("This shop is shut for now"), "{}", shown(&call));
    let call = two.slash(SECOND, TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(shown(&call).contains("102.36"), "{}", shown(&call));
    // An outbox that is no database shuts its own shop alone.
    let folder = tempfile::tempdir().unwrap();
    let broken = folder.path().join("outbox.sqlite");
    fs::write(&broken, "no database at all, and long enough to be sure of it".repeat(40)).unwrap();
    let two = Two::over(Some(Arc::new(talks::bench())), second_desk(Record::in_memory().unwrap()), |settings| {
        settings[0].outbox = Some(broken);
    });
    let call = two.slash(GUILD, TECH, "job show", vec![text("job", "1")]);
    assert!(private(&call) && shown(&call).contains("This shop is shut for now"), "{}", shown(&call));
    let call = two.slash(SECOND, TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(shown(&call).contains("102.36"), "{}", shown(&call));
}

#[test]
fn shops_with_tokens_of_their_own_have_clients_of_their_own() {
    let (one, other) = (Server::start(), Server::start());
    let mut settings = [of_shop(&one, GUILD), of_shop(&other, GUILD)];
    settings[1].token = discord::Token::new("another.token.word").unwrap();
    let desks = [Arc::new(talks::bench()), Arc::new(second_desk(Record::in_memory().unwrap()))];
    let shops = settings.into_iter().zip(desks).map(|(settings, desk)| discord::Shop { settings, desk: Some(desk) });
    let running = discord::start(shops.collect()).unwrap();
    assert_eq!(running.len(), 2);
    for server in [&one, &other] {
        server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
        assert_eq!(server.shared.session().identified, 1);
    }
    assert!(running.iter().all(|client| client.state() == discord::State::Up));
}
