//! What people are told unasked: an out, once, with the leads called; a return, where the reading was posted. And that it
//! is said once and in order whatever happens on the way.

use std::time::Duration;

use gudgeon::desk::{Asker, Desk, Front, Outcome, Role};
use gudgeon::fronts::discord::check;
use serde_json::{Value, json};

use super::contract::KINDS;
use super::events::{CHANNEL, LEAD, TECH, focused, text};
use super::gateway::Order;
use super::process::Process;
use super::server::{Posted, Server};
use super::shop::{Shop, buttons, looked, settings, shown};
use super::world::{Fate, REVIEW, SEND_MESSAGES, THREAD};
use crate::talks;

const LEADS: &str = "lead-bench";

/// A shop with a record of its own and a channel for the leads, that has looked at its record once.
fn shop() -> Shop {
    let shop = Shop::alone(|settings| settings.review_channel = LEADS.to_owned());
    looked(&shop);
    shop
}

/// Sends a line to the desk as someone of the shop, by any front; what it answers in its title.
pub fn said(desk: &Desk, person: &str, role: Role, (front, channel): (Front, &str), line: &str) -> String {
    let asker = Asker { role: Some(role), channel: channel.to_owned(), ..Asker::new(person, front) };
    match desk.answer(&asker, line, talks::clock()) {
        Outcome::Reply(reply) => {
            let number = reply.values.iter().find(|value| value.name == "reading");
            number.map_or(reply.title, |value| value.value.to_string())
        }
        other => panic!("{line}: {other:?}"),
    }
}

fn tech(shop: &Shop, line: &str) -> String {
    said(&shop.desk, TECH.name, Role::Tech, (Front::Chat, CHANNEL), line)
}

/// A reading of a place where none was, out; its number.
fn out(shop: &Shop, journal: u8) -> String {
    tech(shop, &format!("log main-journal {journal} 2.4470in 2.4470in job=1"))
}

/// The messages in the channels, once there are as many.
fn posted(shop: &Shop, many: usize) -> Vec<Posted> {
    shop.server.wait(&format!("message {many}"), |shared| {
        let posted = shared.posted();
        (posted.len() >= many).then_some(posted)
    })
}

fn content(posted: &Posted) -> &str {
    posted.body["content"].as_str().unwrap()
}

/// Nothing more is said within the time in which it would have been.
fn no_more_than(shop: &Shop, many: usize) {
    std::thread::sleep(Duration::from_millis(2_500));
    let contents: Vec<_> = shop.server.shared.posted().iter().map(|one| content(one).to_owned()).collect();
    assert_eq!(contents.len(), many, "{contents:#?}");
}

#[test]
fn an_out_calls_the_leads_once_and_anew_only_when_it_goes_out_anew() {
    let shop = shop();
    let values = vec![
        text("check", "main-journal"),
        text("position", "5"),
        text("values", "2.4470in 2.4470in"),
        text("job", "1"),
    ];
    shop.slash(TECH, "log", values);
    let first = posted(&shop, 1).remove(0);
    assert_eq!(first.channel, REVIEW);
    let said = content(&first);
    assert!(said.starts_with("<@&11> **Out: Main journal 5: 2.4470 in"), "{said}");
    assert!(said.contains("Job #1, Harbour launch, port engine") && said.contains("posted by bench\\_tech"), "{said}");
    assert!(said.contains("limit 2.4495 to 2.4500 in"), "{said}");
    assert_eq!(first.body["allowed_mentions"], json!({"parse": [], "roles": ["11"], "users": []}));
    let number = said.split("Reading ").nth(1).unwrap().split(',').next().unwrap().to_owned();
    let amended = tech(&shop, &format!("amend {number} 2.4471in 2.4470in reason=\"read again\""));
    no_more_than(&shop, 1);
    let mended = tech(&shop, &format!("amend {amended} 2.4498in 2.4498in reason=\"wrong journal\""));
    tech(&shop, &format!("amend {mended} 2.4472in 2.4470in reason=\"it was right after all\""));
    let again = posted(&shop, 2).remove(1);
    assert!(content(&again).contains("<@&11> **Out: Main journal 5"), "{}", content(&again));
    no_more_than(&shop, 2);
}

#[test]
fn the_lead_acts_on_it_from_where_it_is_told() {
    let shop = shop();
    out(&shop, 5);
    let told = posted(&shop, 1).remove(0);
    let row = told.body["components"][0]["components"].as_array().unwrap();
    let id = |label: &str| {
        let button = row.iter().find(|button| button["label"].as_str().unwrap().starts_with(label));
        button.unwrap_or_else(|| panic!("no {label}: {row:?}"))["custom_id"].as_str().unwrap().to_owned()
    };
    let form = shop.press(LEAD, &id("Return it"));
    assert_eq!(form.body["type"], 9);
    let form = form.body["data"]["custom_id"].as_str().unwrap().to_owned();
    shop.fill(LEAD, &form, &[("reading", "23"), ("comment", "measure again at room temperature")]);
    let back = posted(&shop, 2).remove(1);
    assert_eq!(back.channel, CHANNEL, "it is told where it was posted");
    let said = content(&back);
    assert!(said.starts_with("**bench\\_tech, harbour\\_lead returned your reading 23**\nmeasure again"), "{said}");
    assert_eq!(back.body["allowed_mentions"], json!({"parse": [], "roles": [], "users": []}));
    no_more_than(&shop, 2);
}

#[test]
fn what_came_by_another_front_is_told_too() {
    let shop = shop();
    let page = (Front::Page, "page");
    said(&shop.desk, "tech-1", Role::Tech, page, "log main-journal 5 2.4470in 2.4470in job=1");
    assert!(content(&posted(&shop, 1)[0]).contains("posted by tech-1"));
    // Returned to someone at the page: they are told there.
    said(&shop.desk, "lead", Role::Lead, page, "review return 23 measure again");
    no_more_than(&shop, 1);
}

#[test]
fn without_a_place_for_the_leads_an_out_is_told_where_it_was_posted() {
    let shop = Shop::alone(|_| {});
    looked(&shop);
    said(&shop.desk, "tech-1", Role::Tech, (Front::Page, "page"), "log main-journal 4 2.4470in 2.4470in job=1");
    said(&shop.desk, TECH.name, Role::Tech, (Front::Chat, THREAD), "log main-journal 5 2.4470in 2.4470in job=1");
    let told = posted(&shop, 1).remove(0);
    assert_eq!(told.channel, THREAD);
    assert!(content(&told).starts_with("<@&11> **Out: Main journal 5"), "{}", content(&told));
    no_more_than(&shop, 1);
}

#[test]
fn while_the_platform_is_down_it_waits_and_is_then_said_once_and_in_order() {
    let shop = shop();
    shop.server.shared.world().messages = Fate::Down;
    out(&shop, 5);
    shop.server.call("POST", &format!("/channels/{REVIEW}/messages"));
    out(&shop, 4);
    // A new session meanwhile: what waits is tried at its start.
    shop.server.shared.session().order(Order::Close(4009));
    shop.server.wait("a fresh start", |shared| (shared.session().identified == 2).then_some(()));
    shop.server.shared.world().messages = Fate::Taken;
    // Each answer to a member is a reason to try, too.
    shop.slash(TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    let told = posted(&shop, 2);
    assert!(content(&told[0]).contains("journal 5") && content(&told[1]).contains("journal 4"), "{told:#?}");
    no_more_than(&shop, 2);
}

#[test]
fn a_message_whose_answer_is_lost_is_not_doubled() {
    let shop = shop();
    shop.server.shared.world().messages = Fate::TakenUnanswered;
    out(&shop, 5);
    posted(&shop, 1);
    shop.server.shared.world().messages = Fate::Taken;
    let tries = || shop.server.count("POST", &format!("/channels/{REVIEW}/messages"));
    shop.server.wait("a second try", |_| (tries() >= 2).then_some(()));
    no_more_than(&shop, 1);
    let calls = shop.server.shared.calls();
    let sent: Vec<&Value> =
        calls.iter().filter(|call| call.path.ends_with("/messages")).map(|call| &call.body).collect();
    assert!(sent.iter().all(|body| body["nonce"] == sent[0]["nonce"] && body["enforce_nonce"] == true), "{sent:#?}");
}

#[test]
fn what_is_refused_for_good_is_set_aside_told_and_holds_nobody_up() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("outbox.sqlite");
    let shop = Shop::alone(|settings| {
        settings.review_channel = LEADS.to_owned();
        settings.outbox = Some(place.clone());
    });
    looked(&shop);
    shop.server.shared.world().denied = vec![(REVIEW, SEND_MESSAGES)];
    let lost = out(&shop, 5);
    shop.server.call("POST", &format!("/channels/{REVIEW}/messages"));
    said(&shop.desk, "lead", Role::Lead, (Front::Page, "page"), &format!("review return {lost} once more"));
    let told = posted(&shop, 1);
    assert_eq!(told[0].channel, CHANNEL, "the one behind it went its way");
    shop.server.shared.world().denied.clear();
    let mut look = settings(&shop.server.api);
    look.review_channel = LEADS.to_owned();
    look.outbox = Some(place);
    let found: Vec<String> = check(Ok(Some(look))).iter().map(ToString::to_string).collect();
    let aside: Vec<&String> = found.iter().filter(|line| line.starts_with("messages:")).collect();
    let [one] = aside[..] else { panic!("{found:#?}") };
    assert!(one.contains("“Out: Main journal 5") && one.contains("403") && one.contains("“lead-bench”"), "{one}");
    assert!(!one.contains("Right:"), "the channel is in order by now: {one}");
    no_more_than(&shop, 1);
}

#[test]
fn every_kind_of_body_is_judged() {
    let slow = Shop::with(|settings| settings.defer_after = Duration::ZERO);
    slow.slash(TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    slow.slash(TECH, "convert", vec![text("value", "4.030"), text("to", "mm")]);
    slow.press(TECH, "turn:procedure ring-end-gap step=2");
    let mut judged = slow.server.shared.judged();
    let shop = shop();
    shop.typing(TECH, "log", vec![focused("check", "journal")]);
    let call = shop.slash(TECH, "convert", vec![text("value", "4.030"), text("to", "mm")]);
    shop.press(TECH, &buttons(&call)[0].1);
    shop.press(TECH, "turn:procedure ring-end-gap step=2");
    assert!(shown(&call).contains("Refused"));
    out(&shop, 5);
    posted(&shop, 1);
    let opened = tech(&shop, "job open dunlin-six survey launch");
    assert!(opened.contains("#2"), "{opened}");
    shop.server.call("PUT", "/pins/");
    tech(&shop, "log bore 1 3.8755in 3.8754in 3.8754in 3.8753in 3.8753in 3.8752in job=2");
    shop.server.call("PATCH", "/channels/9001/messages/");
    said(&shop.desk, "lead", Role::Lead, (Front::Page, "page"), "job close 2 reason=\"handed on\"");
    shop.server.wait("an archived thread", |shared| shared.places().threads()[0].archived.then_some(()));
    judged.extend(shop.server.shared.judged());
    for (kind, schema) in KINDS {
        assert!(judged.get(&kind).is_some_and(|count| *count > 0), "no body was held against {schema} as {kind:?}");
    }
}

#[test]
fn a_killed_front_says_it_once_when_it_is_back() {
    for fate in [Fate::Down, Fate::TakenUnanswered] {
        let (server, folder) = (Server::start(), tempfile::tempdir().unwrap());
        let process = Process::start(&server, folder.path());
        server.shared.world().messages = fate;
        for journal in ["5", "4"] {
            let values = vec![
                text("check", "main-journal"),
                text("position", journal),
                text("values", "2.4470in 2.4470in"),
                text("job", "1"),
            ];
            let id = server.new_id();
            server.event("INTERACTION_CREATE", super::events::slash(id, TECH, "log", values));
            server.call("POST", &format!("/interactions/{id}/"));
        }
        server.call("POST", &format!("/channels/{REVIEW}/messages"));
        process.kill();
        server.shared.world().messages = Fate::Taken;
        let process = Process::start(&server, folder.path());
        let told = server.wait("both messages", |shared| Some(shared.posted()).filter(|posted| posted.len() >= 2));
        std::thread::sleep(Duration::from_millis(1_500));
        process.kill();
        assert_eq!(server.shared.posted().len(), 2, "{fate:?}");
        assert!(content(&told[0]).contains("journal 5") && content(&told[1]).contains("journal 4"), "{told:#?}");
    }
}
