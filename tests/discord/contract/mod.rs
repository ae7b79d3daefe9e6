//! The judge of every request that the front sends: the platform's published schema, and by hand what that misses.
//!
//! `make` fetches and turns the schema, `schemas` reads it, `rules` are by hand; `judging` beside this folder shows that the judge can refuse.

mod rules;
pub mod schemas;

use std::collections::BTreeMap;
use std::fs::OpenOptions;
use std::io::Write;
use std::sync::Mutex;

use serde_json::{Value, json};

use super::rest::Call;

/// What a request's body is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Commands,
    FirstAnswer,
    Wait,
    InPlace,
    WaitInPlace,
    Completion,
    Form,
    Edit,
    FollowUp,
    Message,
    CardEdit,
    Thread,
    ThreadEdit,
}

/// Every kind there is, with the schema that its bodies are held against.
pub const KINDS: [(Kind, &str); 13] = [
    (Kind::Commands, "ApplicationCommandUpdateRequest"),
    (Kind::FirstAnswer, "CreateMessageInteractionCallbackRequest"),
    (Kind::Wait, "CreateMessageInteractionCallbackRequest"),
    (Kind::InPlace, "UpdateMessageInteractionCallbackRequest"),
    (Kind::WaitInPlace, "UpdateMessageInteractionCallbackRequest"),
    (Kind::Completion, "ApplicationCommandAutocompleteCallbackRequest"),
    (Kind::Form, "ModalInteractionCallbackRequest"),
    (Kind::Edit, "IncomingWebhookUpdateRequestPartial"),
    (Kind::FollowUp, "IncomingWebhookRequestPartial"),
    (Kind::Message, "MessageCreateRequest"),
    (Kind::CardEdit, "MessageEditRequestPartial"),
    (Kind::Thread, "CreateTextThreadWithoutMessageRequest"),
    (Kind::ThreadEdit, "UpdateThreadRequestPartial"),
];

impl Kind {
    /// The kind of a request that has a body; none for one that has none. A body without a schema is a fault.
    fn of(call: &Call) -> Result<Option<Self>, String> {
        let parts: Vec<&str> = call.path.split('/').filter(|part| !part.is_empty()).collect();
        let kind = match (call.method.as_str(), parts.as_slice(), call.body["type"].as_u64()) {
            ("PUT", ["channels", _, "pins", _] | ["channels", _, "messages", "pins", _], _) if call.body.is_null() => {
                return Ok(None);
            }
            ("GET" | "DELETE", _, _) if call.body.is_null() => return Ok(None),
            ("PUT", ["applications", _, "commands"] | ["applications", _, "guilds", _, "commands"], _) => {
                Self::Commands
            }
            ("POST", ["interactions", _, _, "callback"], Some(4)) => Self::FirstAnswer,
            ("POST", ["interactions", _, _, "callback"], Some(5)) => Self::Wait,
            ("POST", ["interactions", _, _, "callback"], Some(6)) => Self::WaitInPlace,
            ("POST", ["interactions", _, _, "callback"], Some(7)) => Self::InPlace,
            ("POST", ["interactions", _, _, "callback"], Some(8)) => Self::Completion,
            ("POST", ["interactions", _, _, "callback"], Some(9)) => Self::Form,
            ("PATCH", ["webhooks", _, _, "messages", "@original"], _) => Self::Edit,
            ("POST", ["webhooks", _, _], _) => Self::FollowUp,
            ("POST", ["channels", _, "messages"], _) => Self::Message,
            ("PATCH", ["channels", _, "messages", _], _) => Self::CardEdit,
            ("POST", ["channels", _, "threads"], _) => Self::Thread,
            ("PATCH", ["channels", _], _) => Self::ThreadEdit,
            (method, ..) => return Err(format!("no schema is known for {method} {}", call.path)),
        };
        Ok(Some(kind))
    }

    fn schema(self) -> &'static str {
        KINDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, schema)| schema)
    }
}

/// Every fault of a request, and what it was.
pub fn judge(call: &Call) -> (Option<Kind>, Vec<String>) {
    let kind = match Kind::of(call) {
        Ok(Some(kind)) => kind,
        Ok(None) => return (None, Vec::new()),
        Err(fault) => return (None, vec![fault]),
    };
    let body = &call.body;
    let bodies = match body {
        Value::Array(commands) if kind == Kind::Commands => commands.as_slice(),
        one => std::slice::from_ref(one),
    };
    let published = bodies.iter().map(as_published);
    let mut faults: Vec<String> = published.flat_map(|body| schemas::faults(kind.schema(), &body)).collect();
    let files: Vec<&str> = call.files.iter().map(|file| file.name.as_str()).collect();
    let data = &body["data"];
    let by_hand = match kind {
        Kind::Commands => rules::commands(bodies),
        Kind::FirstAnswer | Kind::InPlace => rules::message(data, &files),
        Kind::Wait | Kind::WaitInPlace => Ok(()),
        Kind::Completion => rules::completion(data),
        Kind::Form => rules::modal(data),
        Kind::Thread | Kind::ThreadEdit => rules::thread(body),
        Kind::Edit | Kind::FollowUp | Kind::Message | Kind::CardEdit => rules::message(body, &files),
    };
    faults.extend(by_hand.err().map(|error| format!("{error:#}")));
    (Some(kind), faults)
}

/// The body without what the platform is known to take although its schema does not say so.
fn as_published(body: &Value) -> Value {
    match body {
        Value::Object(map) => {
            let mut kept = serde_json::Map::new();
            for (key, value) in map {
                match (key.as_str(), value) {
                    // The client writes out what it leaves empty, also where the platform has no such key at all.
                    (key, value) if key != "data" && empty(value) => {}
                    // And these also where there can be none, the last two by the other client.
                    ("nsfw" | "autocomplete" | "tts" | "enforce_nonce", Value::Bool(false)) => {}
                    // The number of the file in this very request, where the schema knows a stored file's.
                    ("attachments", Value::Array(files)) => {
                        let files = files.iter().map(|file| {
                            let mut file = file.clone();
                            file["id"] = json!(file["id"].to_string());
                            file
                        });
                        kept.insert(key.clone(), files.collect());
                    }
                    _ => {
                        kept.insert(key.clone(), as_published(value));
                    }
                }
            }
            Value::Object(kept)
        }
        Value::Array(items) => items.iter().map(as_published).collect(),
        other => other.clone(),
    }
}

fn empty(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(items) => items.is_empty(),
        Value::Object(map) => map.is_empty(),
        _ => false,
    }
}

/// How many bodies of each kind were found right.
pub type Count = BTreeMap<Kind, usize>;

/// Adds to the count of this run, which `tests/run` sums up.
pub fn note(count: &Count) {
    static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());
    let _held = ONE_AT_A_TIME.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    let lines: String = count.iter().map(|(kind, many)| format!("{kind:?} {many}\n")).collect();
    let mut file = OpenOptions::new().create(true).append(true).open(schemas::place().join("judged.txt")).unwrap();
    file.write_all(lines.as_bytes()).unwrap();
}
