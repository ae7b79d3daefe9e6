//! The judge can refuse: what the platform is known to turn down is turned down here, for the right reason.

use std::time::Instant;

use serde_json::{Value, json};

use super::contract::{Kind, judge};
use super::rest::{Call, Upload};
use super::shop::Shop;

fn faults_with(method: &str, path: &str, body: Value, files: &[&str]) -> String {
    let files = files.iter().map(|name| Upload { name: (*name).to_owned(), bytes: Vec::new() }).collect();
    let call = Call { method: method.to_owned(), path: path.to_owned(), body, files, when: Instant::now() };
    judge(&call).1.join("\n")
}

fn faults(kind: Kind, body: Value) -> String {
    let (method, path) = match kind {
        Kind::Commands => ("PUT", "/applications/300/guilds/400/commands"),
        Kind::Edit => ("PATCH", "/webhooks/300/answer/messages/@original"),
        Kind::FollowUp => ("POST", "/webhooks/300/answer"),
        Kind::Message => ("POST", "/channels/700/messages"),
        Kind::CardEdit => ("PATCH", "/channels/700/messages/800"),
        Kind::Thread => ("POST", "/channels/700/threads"),
        Kind::ThreadEdit => ("PATCH", "/channels/900"),
        _ => ("POST", "/interactions/1/answer/callback"),
    };
    faults_with(method, path, body, &[])
}

fn message() -> Value {
    json!({"content": "Main journal 3 is out.", "allowed_mentions": {"parse": []}})
}

/// The message with one part put in its place.
fn with(part: &str, value: Value) -> Value {
    let mut message = message();
    message[part] = value;
    message
}

fn button(id: &str) -> Value {
    json!({"type": 2, "style": 2, "label": "Next", "custom_id": id})
}

fn row(parts: &[Value]) -> Value {
    json!({"type": 1, "components": parts})
}

#[test]
fn what_is_right_is_passed() {
    for kind in [Kind::Message, Kind::Edit, Kind::FollowUp, Kind::CardEdit] {
        assert_eq!(faults(kind, message()), "", "{kind:?}");
    }
    let rich = with("components", json!([row(&[button("a"), button("b")])]));
    assert_eq!(faults(Kind::FirstAnswer, json!({"type": 4, "data": rich})), "");
    assert_eq!(faults(Kind::Completion, json!({"type": 8, "data": {"choices": []}})), "");
}

#[test]
fn a_message_that_the_platform_refuses_is_refused() {
    let long = |letters: usize| "x".repeat(letters);
    let many = |n: usize| (0..n).map(|n| row(&[button(&n.to_string())])).collect::<Value>();
    let menu = |options: Value| json!([row(&[json!({"type": 3, "custom_id": "menu", "options": options})])]);
    let option = |value: &str| json!({"label": "Open", "value": value});
    let cases = [
        ("over 2 000", with("content", json!(long(2_001)))),
        ("MessageCreateRequest", with("content", json!(long(4_001)))),
        ("empty message", with("content", json!(" "))),
        ("may ping", json!({"content": "hello"})),
        ("could ping", with("allowed_mentions", json!({"parse": ["everyone"]}))),
        ("could be pinged and", with("allowed_mentions", json!({"parse": [], "users": ["601"]}))),
        ("is not named", with("allowed_mentions", json!({"parse": [], "roles": ["11"]}))),
        ("/embeds", with("embeds", json!([{"title": long(257)}]))),
        ("/embeds", with("embeds", (0..11).map(|_| json!({"title": "a"})).collect())),
        ("letters over all", with("embeds", json!([{"description": long(4_000)}, {"description": long(2_001)}]))),
        ("an empty embed", with("embeds", json!([{"color": 1}]))),
        ("a field", with("embeds", json!([{"title": "a", "fields": [{"name": "", "value": "b"}]}]))),
        ("is not attached", with("embeds", json!([{"image": {"url": "attachment://figure.png"}}]))),
        ("/embeds", with("embeds", json!([{"title": "a", "url": "no address"}]))),
        ("/embeds", with("embeds", json!([{"title": "a", "colour": 1}]))),
        ("over 5 rows", with("components", many(6))),
        ("/components", with("components", json!([row(&[1, 2, 3, 4, 5, 6].map(|n| button(&n.to_string())))]))),
        ("is there twice", with("components", json!([row(&[button("a"), button("a")])]))),
        ("no custom_id", with("components", json!([row(&[json!({"type": 2, "style": 2, "label": "Next"})])]))),
        ("custom_id", with("components", json!([row(&[button(&long(101))])]))),
        ("/components", with("components", json!([row(&[json!({"type": 99, "custom_id": "a"})])]))),
        ("without a choice", with("components", menu(json!([])))),
        ("is there twice", with("components", menu(json!([option("a"), option("a")])))),
        ("/components", with("components", menu((0..26).map(|n| option(&n.to_string())).collect()))),
        ("MessageCreateRequest", with("colour", json!("red"))),
    ];
    for (why, body) in cases {
        let said = faults(Kind::Message, body.clone());
        assert!(said.contains(why), "“{why}” was expected of {body}, and this was said: {said}");
    }
}

#[test]
fn an_answer_that_the_platform_refuses_is_refused() {
    let choice = |name: &str| json!({"name": name, "value": "v"});
    let choices = |all: Value| json!({"type": 8, "data": {"choices": all}});
    let input = |id: &str| row(&[json!({"type": 4, "style": 1, "label": "Bore", "custom_id": id})]);
    let form = |title: &str, rows: Value| json!({"type": 9, "data": {"title": title, "custom_id": "form:ring gap", "components": rows}});
    let cases = [
        (Kind::Completion, "/data", choices((0..26).map(|n| choice(&n.to_string())).collect())),
        (Kind::Completion, "a name that is empty", choices(json!([choice("")]))),
        (Kind::Completion, "no list of choices", json!({"type": 8, "data": {}})),
        (Kind::Form, "title", form(&"x".repeat(46), json!([input("a")]))),
        (Kind::Form, "6 rows", form("Ring gap", ["a", "b", "c", "d", "e", "f"].iter().map(|id| input(id)).collect())),
        (Kind::Form, "is there twice", form("Ring gap", json!([input("a"), input("a")]))),
        (Kind::Form, "0 rows", form("Ring gap", json!([]))),
        (Kind::Wait, "CreateMessage", json!({"type": 5, "data": {}, "colour": 1})),
        (Kind::Thread, "not for everyone", json!({"name": "Job 1"})),
        (Kind::Thread, "name", json!({"name": "x".repeat(101), "type": 11})),
        (Kind::ThreadEdit, "UpdateThread", json!({"archived": "yes"})),
        (Kind::CardEdit, "over 2 000", with("content", json!("x".repeat(2_001)))),
    ];
    for (kind, why, body) in cases {
        let said = faults(kind, body.clone());
        assert!(said.contains(why), "“{why}” was expected of {body}, and this was said: {said}");
    }
    assert!(faults(Kind::Message, message()).is_empty());
    let unknown = faults_with("POST", "/channels/700/typing", json!({}), &[]);
    assert!(unknown.contains("no schema is known for POST /channels/700/typing"), "{unknown}");
}

#[test]
fn a_command_that_the_platform_refuses_is_refused() {
    let option =
        |name: &str, required: bool| json!({"type": 3, "name": name, "description": "d", "required": required});
    let command = |options: Value| json!([{"name": "ring", "description": "Rings", "options": options}]);
    let both = json!([{"type": 3, "name": "a", "description": "d", "autocomplete": true,
        "choices": [{"name": "x", "value": "x"}]}]);
    let cases = [
        ("no name of a command", json!([{"name": "Ring", "description": "d"}])),
        ("no name of a command", json!([{"name": "ring gap", "description": "d"}])),
        ("is there twice", json!([{"name": "ring", "description": "d"}, {"name": "ring", "description": "d"}])),
        ("no description", json!([{"name": "ring"}])),
        ("/description", json!([{"name": "ring", "description": "x".repeat(101)}])),
        ("required after", command(json!([option("a", false), option("b", true)]))),
        ("is there twice", command(json!([option("a", true), option("a", true)]))),
        ("/options", command((0..26).map(|n| option(&format!("o{n}"), false)).collect())),
        ("together with completion", command(both)),
        ("/options", command(json!([{"type": 42, "name": "a", "description": "d"}]))),
        ("Command", json!([{"name": "ring", "description": "d", "colour": 1}])),
        ("0 commands", json!([])),
    ];
    for (why, body) in cases {
        let said = faults(Kind::Commands, body.clone());
        assert!(said.contains(why), "“{why}” was expected of {body}, and this was said: {said}");
    }
}

#[test]
fn a_body_that_is_at_fault_fails_the_test_that_sent_it() {
    let shop = Shop::open();
    let sent = shop.server.shared.clone();
    let bad = Call {
        method: "POST".to_owned(),
        path: "/channels/700/messages".to_owned(),
        body: json!({"content": "@everyone"}),
        files: Vec::new(),
        when: Instant::now(),
    };
    sent.judge(&bad);
    let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| drop(shop)));
    let told = *ended.unwrap_err().downcast::<String>().unwrap();
    assert!(told.contains("without allowed_mentions"), "{told}");
}
