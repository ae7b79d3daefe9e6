//! What others change on the server while the bot is on it: it is taken out and let in again, a role goes between a click and
//! its answer, a message is deleted under its button, two leads press at once.

use std::sync::atomic::Ordering;
use std::time::Duration;

use gudgeon::desk::{Front, Role};
use serde_json::{Value, json};

use super::events::{self, CHANNEL, GUILD, LEAD, Person, TECH, text};
use super::places::Posted;
use super::shop::{Shop, WAIT, WAIT_IN_PLACE, buttons, looked, private, shown};
use super::telling::said;
use super::world::{CREATE_PUBLIC_THREADS, REVIEW};

const PAGE: (Front, &str) = (Front::Page, "page");
const OTHER_LEAD: Person = Person { name: "yard_lead", roles: &["11"] };

fn shop() -> Shop {
    let shop = Shop::alone(|settings| settings.review_channel = "lead-bench".to_owned());
    looked(&shop);
    shop
}

fn content(posted: &Posted) -> &str {
    posted.body["content"].as_str().unwrap()
}

/// Posts main journal 5 as the shop's own tech; the reading's number.
fn reading(shop: &Shop, values: &str) -> String {
    said(&shop.desk, "tech-1", Role::Tech, PAGE, &format!("log main-journal 5 {values} job=1"))
}

#[test]
fn a_bot_that_is_taken_out_waits_and_is_itself_again_when_it_is_let_in() {
    let shop = shop();
    let registered = shop.server.shared.commands().clone();
    shop.server.shared.world().invited = false;
    // The platform forgets what the bot had registered there.
    shop.server.shared.commands().clear();
    shop.server.event("GUILD_DELETE", json!({"id": GUILD.to_string()}));
    std::thread::sleep(Duration::from_millis(500));
    reading(&shop, "2.4470in 2.4470in");
    std::thread::sleep(Duration::from_millis(2_500));
    let tries = |part: &str| shop.server.count("POST", part);
    assert_eq!(tries("/messages"), 0, "nothing is said where it would be lost");
    shop.server.shared.world().invited = true;
    shop.server.shared.world().role_names = ["tech", "lead"];
    let back = events::guild(&shop.server.shared.world(), GUILD);
    shop.server.event("GUILD_CREATE", back);
    shop.server.wait("the commands again", |shared| (!shared.commands().is_empty()).then_some(()));
    assert_eq!(shop.server.shared.commands().len(), registered.len());
    let told = shop.server.wait("the out", |shared| shared.posted().into_iter().next());
    assert!(told.channel == REVIEW && content(&told).contains("**Out: Main journal 5"), "{told:?}");
    // The roles are read anew: they have changed places meanwhile.
    let accept = |person| shop.slash(person, "review accept", vec![text("reading", "4"), text("comment", "ground")]);
    assert!(private(&accept(LEAD)), "a tech by now");
    std::thread::sleep(Duration::from_millis(1_500));
    assert_eq!(shop.server.shared.posted().len(), 1, "said once");
    // A server that is only away for a while is not one that took it out.
    shop.server.event("GUILD_DELETE", json!({"id": GUILD.to_string(), "unavailable": true}));
    assert!(shown(&shop.slash(TECH, "convert", vec![text("value", "1in"), text("to", "mm")])).contains("25.4"));
}

#[test]
fn a_bot_that_is_invited_late_begins_then() {
    let server = super::server::Server::start();
    server.shared.world().invited = false;
    let shop = Shop::over(std::sync::Arc::new(crate::talks::bench()), server, |settings, _| {
        settings.review_channel = "lead-bench".to_owned();
    });
    shop.server.wait("a try", |_| (shop.server.count("GET", "/commands") > 0).then_some(()));
    shop.server.shared.world().invited = true;
    std::thread::sleep(Duration::from_millis(300));
    let guild = events::guild(&shop.server.shared.world(), GUILD);
    shop.server.event("GUILD_CREATE", guild);
    shop.server.wait("the commands", |shared| (!shared.commands().is_empty()).then_some(()));
}

#[test]
fn a_role_that_goes_between_click_and_answer_counts_no_more() {
    let shop = shop();
    let number = reading(&shop, "2.4498in 2.4498in");
    let shown_to_lead = shop.slash(LEAD, "review show", vec![text("reading", &number)]);
    let accept = format!("review accept {number}");
    let id = buttons(&shown_to_lead).into_iter().find(|(_, id)| id.contains(&accept)).expect("a button to accept").1;
    let before = shop.desk.fingerprint().unwrap();
    // Taken from the person: the press itself says which roles they have.
    let demoted = Person { roles: &[], ..LEAD };
    assert!(private(&shop.press(demoted, &id)));
    // The role renamed, and then deleted: the platform tells of either.
    let role = |name: &str| {
        json!({"guild_id": GUILD.to_string(), "role": {"id": "11", "name": name, "color": 0, "hoist": false,
            "colors": {"primary_color": 0, "secondary_color": null, "tertiary_color": null}, "position": 1,
            "permissions": "0", "managed": false, "mentionable": true, "flags": 0}})
    };
    shop.server.event("GUILD_ROLE_UPDATE", role("former leads"));
    std::thread::sleep(Duration::from_millis(300));
    assert!(private(&shop.press(LEAD, &id)));
    shop.server.event("GUILD_ROLE_UPDATE", role("lead"));
    std::thread::sleep(Duration::from_millis(300));
    shop.server.event("GUILD_ROLE_DELETE", json!({"guild_id": GUILD.to_string(), "role_id": "11"}));
    std::thread::sleep(Duration::from_millis(300));
    assert!(private(&shop.press(LEAD, &id)));
    assert_eq!(shop.desk.fingerprint().unwrap(), before, "nothing was accepted");
    shop.server.event("GUILD_ROLE_CREATE", role("lead"));
    std::thread::sleep(Duration::from_millis(300));
    assert!(!private(&shop.press(LEAD, &id)));
}

#[test]
fn two_leads_who_press_at_once_come_to_one_result() {
    let shop = shop();
    let number = reading(&shop, "2.4498in 2.4498in");
    let before: usize = shop.desk.fingerprint().unwrap().split(' ').next().unwrap().parse().unwrap();
    let form = shop.press(OTHER_LEAD, &format!("form:review return {number}"));
    let form = form.body["data"]["custom_id"].as_str().unwrap().to_owned();
    let ids = [shop.server.new_id(), shop.server.new_id()];
    let accept = events::press(ids[0], LEAD, &format!("say:review accept {number}"));
    let giveback = events::fill(ids[1], OTHER_LEAD, &form, &[("comment", "measure again at room temperature")]);
    shop.server.event("INTERACTION_CREATE", accept);
    shop.server.event("INTERACTION_CREATE", giveback);
    let answers = ids.map(|id| shop.answer(id));
    let refused: Vec<_> = answers.iter().filter(|answer| private(answer)).collect();
    let [late] = refused[..] else { panic!("{} and {}", shown(&answers[0]), shown(&answers[1])) };
    let said = shown(late);
    assert!(said.contains("harbour") || said.contains("yard"), "it says who was first: {said}");
    let after: usize = shop.desk.fingerprint().unwrap().split(' ').next().unwrap().parse().unwrap();
    assert_eq!(after, before + 1, "one decision is on record");
}

/// The text of a step and its buttons.
fn step(of: &Shop, id: &str) -> (String, Vec<(String, String)>, Value) {
    let call = of.press(TECH, id);
    (shown(&call), buttons(&call), call.body["type"].clone())
}

fn pick(buttons: &[(String, String)], label: &str) -> String {
    let found = buttons.iter().find(|(said, _)| said.to_lowercase().contains(label));
    found.unwrap_or_else(|| panic!("no {label}: {buttons:?}")).1.clone()
}

#[test]
fn a_procedure_is_one_message_that_steps_and_its_hold_point_opens_a_form() {
    let shop = Shop::open();
    // From its page it begins in a message of its own.
    let page = shop.slash(TECH, "page", vec![text("name", "ring-end-gap")]);
    let (first, pressed, kind) = step(&shop, &pick(&buttons(&page), "step by step"));
    assert!(kind == 4 && first.starts_with("Step 1 of "), "{first}");
    let steps: usize = first.split("Step 1 of ").nth(1).unwrap().split(':').next().unwrap().parse().unwrap();
    let (mut pressed, mut holds) = (pressed, 0);
    for number in 2..=steps {
        let (said, next, kind) = step(&shop, &pick(&pressed, "next step"));
        assert!(kind == 7 && said.starts_with(&format!("Step {number} of {steps}")), "{kind}: {said}");
        if said.contains("Hold point") {
            let form = shop.press(TECH, &pick(&next, "…"));
            assert_eq!(form.body["type"], 9, "{next:?}");
            holds += 1;
        }
        pressed = next;
    }
    assert!(holds > 0 && !pressed.iter().any(|(label, _)| label == "Next step"), "{pressed:?}");
    let (said, _, kind) = step(&shop, &pick(&pressed, "back"));
    assert!(kind == 7 && said.starts_with(&format!("Step {} of {steps}", steps - 1)), "{said}");
    // What cannot be shown leaves the message as it is.
    let gone = shop.press(TECH, "turn:procedure ring-end-gap step=99");
    assert!(gone.body["type"] == 4 && private(&gone), "{}", shown(&gone));
}

#[test]
fn a_slow_step_takes_its_message_s_place_too() {
    let shop = Shop::with(|settings| settings.defer_after = Duration::ZERO);
    let id = shop.server.new_id();
    shop.server.event("INTERACTION_CREATE", events::press(id, TECH, "turn:procedure ring-end-gap step=2"));
    let edited = shop.answer(id);
    assert_eq!(shop.first_answer(id).body["type"], WAIT_IN_PLACE);
    assert!(edited.method == "PATCH" && shown(&edited).starts_with("Step 2 of "), "{}", shown(&edited));
    let id = shop.server.new_id();
    shop.server.event("INTERACTION_CREATE", events::press(id, TECH, "turn:procedure ring-end-gap step=99"));
    let refused = shop.answer(id);
    assert!(private(&refused) && refused.method == "POST", "{}", shown(&refused));
    assert_eq!(shop.server.count("DELETE", "/messages/@original"), 0, "the step stays");
}

#[test]
fn a_message_that_is_deleted_under_its_button_is_answered_all_the_same() {
    let quick = Shop::open();
    quick.server.shared.world().deleted = true;
    let id = quick.server.new_id();
    quick.server.event("INTERACTION_CREATE", events::press(id, TECH, "turn:procedure ring-end-gap step=2"));
    let answer = quick.server.wait("an answer of its own", |shared| {
        let path = format!("/interactions/{id}/");
        shared.calls().iter().find(|call| call.path.contains(&path) && call.body["type"] == 4).cloned()
    });
    assert!(shown(&answer).starts_with("Step 2 of "), "{}", shown(&answer));
    // The announced answer's own message is deleted before it can be edited.
    let slow = Shop::with(|settings| settings.defer_after = Duration::ZERO);
    slow.server.shared.world().deleted = true;
    let id = slow.server.new_id();
    slow.server.event("INTERACTION_CREATE", events::press(id, TECH, "say:convert 4.030in mm"));
    let answer = slow.server.wait("a follow-up", |shared| {
        let token = format!("/answer-{id}");
        shared.calls().iter().find(|call| call.method == "POST" && call.path.ends_with(&token)).cloned()
    });
    assert_eq!(slow.first_answer(id).body["type"], WAIT);
    assert!(answer.body["embeds"][0]["title"].as_str().unwrap().contains("102.36"), "{}", answer.body);
}

#[test]
fn a_right_that_is_missing_in_one_channel_leaves_the_others_at_work() {
    let shop = shop();
    shop.server.shared.world().denied = vec![(CHANNEL, CREATE_PUBLIC_THREADS)];
    let opened = shop.slash(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", "workboat")]);
    assert!(!private(&opened), "{}", shown(&opened));
    said(&shop.desk, "tech-1", Role::Tech, PAGE, "log main-journal 5 2.4470in 2.4470in job=2");
    let told = shop.server.wait("the out", |shared| shared.posted().into_iter().next());
    assert_eq!(told.channel, REVIEW, "where a thread may not be, the leads are told where they look");
    assert_eq!(shop.server.shared.failing.load(Ordering::Acquire), 0);
}
