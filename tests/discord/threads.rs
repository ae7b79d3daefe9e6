//! Each job's thread: made when the job is opened, with a pinned card, archived when it is closed; and what happens to it
//! by hand in between.

use std::time::Duration;

use gudgeon::desk::{Front, Role};
use serde_json::{Value, json};

use super::events::{self, CHANNEL, LEAD, Person, TECH, text};
use super::gateway::Order;
use super::places::{Posted, Thread};
use super::process::Process;
use super::rest::Call;
use super::server::Server;
use super::shop::{Shop, looked, private, shown};
use super::telling::said;
use super::world::{CREATE_PUBLIC_THREADS, PIN_MESSAGES, REVIEW, THREAD, VIEW_CHANNEL, wanted_to_send};

const PAGE: (Front, &str) = (Front::Page, "page");

/// A shop that has looked at its record once.
fn shop() -> Shop {
    let shop = Shop::alone(|settings| settings.review_channel = "lead-bench".to_owned());
    looked(&shop);
    shop
}

/// Opens the shop's second job from the bench channel, and waits for its thread with the pinned card.
fn opened(shop: &Shop) -> (Thread, Posted) {
    let call = shop.slash(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", "workboat, starboard")]);
    assert!(shown(&call).starts_with("Job #2 is open"), "{}", shown(&call));
    (thread(shop, 1), card(shop, |card| card.pinned))
}

/// The newest thread, once there were as many.
fn thread(shop: &Shop, many: usize) -> Thread {
    shop.server.wait("a thread", |shared| {
        let threads = shared.places().threads();
        threads.last().filter(|_| threads.len() >= many).cloned()
    })
}

/// The newest card, once it is so.
fn card(shop: &Shop, so: impl Fn(&Posted) -> bool) -> Posted {
    shop.server.wait("a card", |shared| {
        let cards = |one: &Posted| one.body["content"].as_str().unwrap().starts_with("**Job ");
        shared.posted().into_iter().rfind(cards).filter(|card| so(card))
    })
}

fn says(posted: &Posted) -> &str {
    posted.now()["content"].as_str().unwrap()
}

/// A slash command in a thread.
fn in_thread(shop: &Shop, thread: &str, person: Person, words: &str, options: Vec<Value>) -> Call {
    let id = shop.server.new_id();
    shop.server.event("INTERACTION_CREATE", events::from_thread(thread, events::slash(id, person, words, options)));
    shop.answer(id)
}

fn log(place: &str, values: &str) -> Vec<Value> {
    vec![text("check", "main-journal"), text("position", place), text("values", values)]
}

fn lead(shop: &Shop, line: &str) -> String {
    said(&shop.desk, "lead", Role::Lead, PAGE, line)
}

#[test]
fn a_job_that_is_opened_on_the_chat_has_its_thread_there_with_a_pinned_card() {
    let shop = shop();
    let (thread, card) = opened(&shop);
    assert_eq!((thread.parent.as_str(), thread.name.as_str()), (CHANNEL, "Job #2: workboat, starboard"));
    assert_eq!(card.channel, thread.id);
    let said = says(&card);
    assert!(said.starts_with("**Job #2: workboat, starboard** - Skerry V8\n**Next: "), "{said}");
    assert!(said.contains("\n0 of ") && said.contains("⬜ To come: "), "{said}");
    let row = card.body["components"][0]["components"].as_array().unwrap();
    assert!(row[0]["label"].as_str().unwrap().starts_with("Post "), "{row:?}");
    // A job that is opened elsewhere has none: there is no channel for it.
    said_open(&shop);
    std::thread::sleep(Duration::from_millis(2_500));
    assert_eq!(shop.server.shared.places().threads().len(), 1);
}

fn said_open(shop: &Shop) {
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "job open dunlin-six survey launch");
}

#[test]
fn inside_its_thread_no_line_needs_the_job_and_none_means_another() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    // Elsewhere the same person is at job 1.
    shop.slash(TECH, "job take", vec![text("job", "1")]);
    let posted = in_thread(&shop, &thread.id, TECH, "log", log("2", "2.4498in 2.4497in"));
    assert!(!private(&posted), "{}", shown(&posted));
    let job = |job: &str| shop.slash(LEAD, "job show", vec![text("job", job)]);
    assert!(shown(&job("2")).contains("1 of "), "{}", shown(&job("2")));
    let painted = card(&shop, |card| says(card).contains("2 🟩W"));
    assert!(says(&painted).contains("1 waits for the lead"), "{}", says(&painted));
    let other = in_thread(&shop, &thread.id, TECH, "job take", vec![text("job", "1")]);
    assert!(private(&other) && shown(&other).contains("This thread is that of job #2"), "{}", shown(&other));
    let places = {
        let id = shop.server.new_id();
        let options = vec![text("check", "main-journal"), events::focused("position", "")];
        shop.server
            .event("INTERACTION_CREATE", events::from_thread(&thread.id, events::typing(id, TECH, "log", options)));
        shop.answer(id).body["data"]["choices"].clone()
    };
    let names: Vec<&str> = places.as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap()).collect();
    assert_eq!((names[0], names.last()), ("1", Some(&"2 (posted)")), "what lacks a reading comes first");
    // In a thread that someone made by hand all is as in a channel.
    let by_hand = in_thread(&shop, THREAD, TECH, "next", Vec::new());
    assert!(private(&by_hand) && shown(&by_hand).contains("No job is open here"), "{}", shown(&by_hand));
}

#[test]
fn a_job_opened_in_a_thread_has_one_beside_it_and_the_thread_stays_its_own_job_s() {
    let shop = shop();
    let (first, _) = opened(&shop);
    let call = in_thread(&shop, &first.id, TECH, "job open", vec![text("engine", "dunlin-six")]);
    assert!(shown(&call).contains("This thread stays that of job #2"), "{}", shown(&call));
    let second = thread(&shop, 2);
    assert_eq!(second.parent, CHANNEL);
    let next = in_thread(&shop, &first.id, TECH, "job show", Vec::new());
    assert!(shown(&next).starts_with("Job #2"), "{}", shown(&next));
}

#[test]
fn an_out_is_told_in_the_thread_and_calls_the_leads_once() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    in_thread(&shop, &thread.id, TECH, "log", log("3", "2.4470in 2.4470in"));
    let told = shop
        .server
        .wait("the out", |shared| shared.posted().into_iter().find(|one| says(one).contains("**Out: Main journal 3")));
    assert_eq!(told.channel, thread.id);
    assert!(says(&told).starts_with("<@&11> "), "{}", says(&told));
    let number = says(&told).split("Reading ").nth(1).unwrap().split(',').next().unwrap().to_owned();
    said(
        &shop.desk,
        TECH.name,
        Role::Tech,
        (Front::Chat, &thread.id),
        &format!("amend {number} 2.4471in 2.4470in reason=\"read again\""),
    );
    let painted = card(&shop, |card| says(card).contains("3 🟥O"));
    assert!(says(&painted).contains("🟥 **O** "), "{}", says(&painted));
    std::thread::sleep(Duration::from_millis(2_500));
    let calls = shop.server.shared.posted().iter().filter(|one| says(one).contains("<@&11>")).count();
    assert_eq!(calls, 1);
    assert_eq!(painted.edits.iter().filter(|edit| edit["allowed_mentions"]["roles"] != json!([])).count(), 0);
}

#[test]
fn a_return_calls_the_one_who_posted_it_where_they_posted() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    let posted = in_thread(&shop, &thread.id, TECH, "log", log("4", "2.4498in 2.4498in"));
    assert!(!private(&posted), "{}", shown(&posted));
    let number = shop.desk.fingerprint().unwrap().split(' ').next().unwrap().to_owned();
    lead(&shop, &format!("review return {number} measure again at room temperature"));
    let told = shop.server.wait("the return", |shared| {
        shared.posted().into_iter().find(|one| says(one).contains("returned your reading"))
    });
    assert_eq!(told.channel, thread.id);
    assert!(says(&told).starts_with("<@601> **bench\\_tech, lead returned"), "{}", says(&told));
    assert_eq!(told.body["allowed_mentions"], json!({"parse": [], "roles": [], "users": ["601"]}));
}

#[test]
fn a_card_is_edited_in_place_and_not_at_every_reading() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    for place in ["1", "2", "3", "4", "5"] {
        in_thread(&shop, &thread.id, TECH, "log", log(place, "2.4498in 2.4498in"));
    }
    let painted = card(&shop, |card| says(card).contains("5 🟩W"));
    assert!(painted.edits.len() <= 2, "five readings, {} edits", painted.edits.len());
    let calls = shop.server.shared.calls();
    let edits: Vec<_> =
        calls.iter().filter(|call| call.method == "PATCH" && call.path.contains("/messages/")).collect();
    let apart = edits.windows(2).map(|two| two[1].when - two[0].when);
    assert!(apart.min().is_none_or(|least| least > Duration::from_secs(3)), "{edits:?}");
    drop(calls);
    let cards = shop.server.shared.posted().iter().filter(|one| one.pinned).count();
    assert_eq!(cards, 1);
}

#[test]
fn closing_paints_the_last_word_and_archives_the_thread() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    let closed = in_thread(&shop, &thread.id, LEAD, "job close", vec![text("job", "2"), text("reason", "handed on")]);
    assert!(!private(&closed), "{}", shown(&closed));
    let away = shop
        .server
        .wait("an archived thread", |shared| shared.places().threads().into_iter().find(|thread| thread.archived));
    assert_eq!(away.name, "Job #2, closed: workboat, starboard");
    assert!(says(&card(&shop, |_| true)).starts_with("**Job #2, closed: workboat"));
    let calls = shop.server.shared.calls().len();
    std::thread::sleep(Duration::from_millis(2_500));
    assert_eq!(shop.server.shared.calls().len(), calls, "and leaves it alone");
    let late = in_thread(&shop, &thread.id, TECH, "next", Vec::new());
    assert!(private(&late) && shown(&late).contains("No job is open here"), "{}", shown(&late));
}

#[test]
fn what_was_deleted_by_hand_is_made_anew() {
    let shop = shop();
    let (first, first_card) = opened(&shop);
    shop.server.shared.places().delete_message(&first_card.id);
    // A fresh start looks at every card.
    shop.server.shared.session().order(Order::Close(4009));
    let second_card = card(&shop, |card| card.pinned && card.id != first_card.id);
    assert_eq!(second_card.channel, first.id);
    shop.server.shared.places().delete_thread(&first.id);
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 3 2.4470in 2.4470in job=2");
    let told = shop
        .server
        .wait("the out", |shared| shared.posted().into_iter().find(|one| says(one).contains("**Out: Main journal 3")));
    let second = thread(&shop, 1);
    assert!(second.id != first.id && told.channel == second.id, "{told:?}");
    card(&shop, |card| card.pinned && card.channel == second.id);
    let here = in_thread(&shop, &second.id, TECH, "job show", Vec::new());
    assert!(shown(&here).starts_with("Job #2"), "{}", shown(&here));
    assert_eq!(shop.server.shared.places().threads().len(), 1);
}

#[test]
fn a_thread_that_fell_asleep_is_opened_again() {
    let shop = shop();
    let (thread, _) = opened(&shop);
    shop.server.shared.places().fall_asleep(&thread.id);
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 2 2.4498in 2.4498in job=2");
    card(&shop, |card| says(card).contains("2 🟩W"));
    assert!(!shop.server.shared.places().threads()[0].archived);
}

#[test]
fn with_a_channel_for_jobs_every_open_job_has_its_thread_there() {
    let shop = Shop::alone(|settings| settings.jobs_channel = "lead-bench".to_owned());
    let first = thread(&shop, 1);
    assert_eq!((first.parent.as_str(), first.name.as_str()), (REVIEW, "Job #1: Harbour launch, port engine"));
    card(&shop, |card| card.pinned && card.channel == first.id);
    said_open(&shop);
    let second = thread(&shop, 2);
    assert_eq!((second.parent.as_str(), second.name.as_str()), (REVIEW, "Job #2: survey launch"));
}

#[test]
fn without_the_right_for_threads_an_out_is_told_to_the_leads_where_they_look() {
    let shop = shop();
    shop.server.shared.world().rights &= !CREATE_PUBLIC_THREADS;
    let call = shop.slash(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", "workboat")]);
    assert!(!private(&call), "{}", shown(&call));
    said(&shop.desk, TECH.name, Role::Tech, (Front::Chat, CHANNEL), "log main-journal 3 2.4470in 2.4470in job=2");
    let told = shop.server.wait("the out", |shared| shared.posted().into_iter().next());
    assert_eq!(told.channel, REVIEW);
    assert_eq!(shop.server.count("POST", "/threads"), 1, "it is not tried again and again");
    shop.server.shared.world().rights |= CREATE_PUBLIC_THREADS;
    shop.server.shared.session().order(Order::Close(4009));
    card(&shop, |card| card.pinned);
}

#[test]
fn without_that_right_and_a_place_for_the_leads_it_is_told_where_the_job_was_opened() {
    let shop = Shop::alone(|_| {});
    looked(&shop);
    shop.server.shared.world().rights &= !CREATE_PUBLIC_THREADS;
    shop.slash(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", "workboat")]);
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 3 2.4470in 2.4470in job=2");
    let told = shop.server.wait("the out", |shared| shared.posted().into_iter().next());
    assert_eq!(told.channel, CHANNEL);
}

#[test]
fn a_card_that_may_not_be_pinned_stands_all_the_same() {
    let shop = shop();
    shop.server.shared.world().rights &= !PIN_MESSAGES;
    shop.slash(TECH, "job open", vec![text("engine", "skerry-v8")]);
    let card = card(&shop, |_| true);
    assert!(!card.pinned);
}

#[test]
fn the_rights_of_the_invitation_are_those_that_the_front_uses() {
    let shop = shop();
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 5 2.4470in 2.4470in job=1");
    opened(&shop);
    shop.server.wait("the out", |shared| shared.posted().into_iter().find(|one| one.channel == REVIEW).map(drop));
    let mut used = 0;
    for call in shop.server.shared.calls().iter() {
        let parts: Vec<&str> = call.path.split('/').filter(|part| !part.is_empty()).collect();
        used |= match (call.method.as_str(), parts.as_slice()) {
            ("POST", ["channels", channel, "messages"]) => {
                wanted_to_send(shop.server.shared.places().is_thread(channel), &call.body, !call.files.is_empty())
            }
            ("POST", ["channels", _, "threads"]) => VIEW_CHANNEL | CREATE_PUBLIC_THREADS,
            ("PUT", ["channels", _, "pins", _]) => VIEW_CHANNEL | PIN_MESSAGES,
            _ => 0,
        };
    }
    assert_eq!(used, gudgeon::fronts::discord::rights().bits(), "nothing is asked that is not used");
}

#[test]
fn a_killed_front_finds_its_threads_again_and_doubles_none() {
    let (server, folder) = (Server::start(), tempfile::tempdir().unwrap());
    let process = Process::start(&server, folder.path());
    let id = server.new_id();
    let options = vec![text("engine", "skerry-v8"), text("title", "workboat")];
    server.event("INTERACTION_CREATE", events::slash(id, TECH, "job open", options));
    // As early as can be: the thread was made, and perhaps nobody knows it yet.
    server.call("POST", "/threads");
    process.kill();
    let process = Process::start(&server, folder.path());
    let pinned = server.wait("the card", |shared| shared.posted().into_iter().find(|one| one.pinned));
    let id = server.new_id();
    let logged = events::slash(id, TECH, "log", log("2", "2.4498in 2.4497in"));
    server.event("INTERACTION_CREATE", events::from_thread(&pinned.channel, logged));
    let answer = server.call("POST", &format!("/interactions/{id}/"));
    assert!(!private(&answer), "{}", shown(&answer));
    server
        .wait("the card again", |shared| shared.posted().into_iter().find(|one| says(one).contains("2 🟩W")).map(drop));
    process.kill();
    assert_eq!(server.shared.places().threads().len(), 1);
    assert_eq!(server.shared.posted().len(), 1, "one card");
}
