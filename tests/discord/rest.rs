//! The request side of the server: it keeps every call, and answers as the platform would.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Instant;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use super::events;
use super::server::Shared;
use super::store;
use super::world::{self, Fate, Refused, TooMany, World};

/// A request that came in.
#[derive(Debug, Clone)]
pub struct Call {
    pub method: String,
    pub path: String,
    pub body: Value,
    pub files: Vec<Upload>,
    pub when: Instant,
}

/// A file of a multipart request.
#[derive(Debug, Clone)]
pub struct Upload {
    pub name: String,
    pub bytes: Vec<u8>,
}

pub fn router(shared: Arc<Shared>) -> Router {
    Router::new().fallback(answer).layer(DefaultBodyLimit::disable()).with_state(shared)
}

async fn answer(
    State(shared): State<Arc<Shared>>,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
    body: Bytes,
) -> Response {
    // A client may write the `@` of `@original` as it likes.
    let path = uri.path().trim_start_matches("/api/v10").replace("%40", "@");
    let (json, files) = read(&headers, &body);
    let has_files = !files.is_empty();
    let call = Call { method: method.to_string(), path: path.clone(), body: json.clone(), files, when: Instant::now() };
    shared.judge(&call);
    // Settled before anyone can see the call and ask for the next to fail.
    let fails = shared.failing.fetch_update(Ordering::AcqRel, Ordering::Acquire, |left| left.checked_sub(1)).is_ok();
    shared.calls().push(call);
    shared.changed();
    if fails {
        return refused(shared.world().down);
    }
    match reply(&shared, &method, &path, &json, has_files) {
        Some(response) => response,
        None => std::future::pending().await,
    }
}

/// What the platform says to it; nothing where it keeps the caller waiting for ever.
fn reply(shared: &Shared, method: &Method, path: &str, json: &Value, has_files: bool) -> Option<Response> {
    let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty()).collect();
    let mut world = shared.world();
    let told_off = |too_many: &TooMany| too_many.method == method.as_str() && path.contains(&too_many.part);
    if let Some(at) = world.too_many.iter().position(told_off) {
        return Some(too_many(&world.too_many.remove(at)));
    }
    let here = |guild: &str| {
        let on = world.servers().into_iter().find(|server| server.to_string() == guild);
        on.ok_or(world::UNKNOWN_SERVER)
    };
    let response = match (method.as_str(), parts.as_slice()) {
        ("GET", ["attachments", name]) => return store::give(&world.store, name),
        (_, ["interactions" | "webhooks", ..]) => answered(&world, method, &parts, json),
        _ if !world.token_known => refused(world::UNKNOWN_TOKEN),
        ("GET", ["gateway", "bot"]) => {
            told(&json!({"url": shared.gateway_address(), "shards": 1, "session_start_limit":
            {"total": 1_000, "remaining": 1_000, "reset_after": 86_400_000, "max_concurrency": 1}}))
        }
        ("GET", ["gateway"]) => told(&json!({"url": shared.gateway_address()})),
        ("GET", ["oauth2", "applications", "@me"]) => told(&world.application()),
        ("GET", ["guilds", guild]) => here(guild).map_or_else(refused, |server| told(&world.guild(server))),
        ("GET", ["guilds", guild, "roles"]) => here(guild).map_or_else(refused, |server| told(&world.roles(server))),
        ("GET", ["guilds", guild, "channels"]) => {
            here(guild).map_or_else(refused, |server| told(&world.channels(server)))
        }
        ("GET", ["guilds", guild, "members", events::APPLICATION]) => {
            here(guild).map_or_else(refused, |_| told(&world.member()))
        }
        (_, ["applications", _, "guilds", ..]) if !world.commands_scope => refused(world::NO_ACCESS),
        (_, ["applications", _, "guilds", guild, ..]) if here(guild).is_err() => refused(world::NO_ACCESS),
        ("GET", ["applications", _, .., "commands"]) => told(&Value::Array(shared.commands_at(&parts).clone())),
        ("PUT", ["applications", _, .., "commands"]) => {
            let commands = registered(json, parts.contains(&"guilds"));
            shared.commands_at(&parts).clone_from(&commands);
            told(&Value::Array(commands))
        }
        ("POST", ["channels", channel, "messages"]) => {
            let mut places = shared.places();
            let wanted = world::wanted_to_send(places.is_thread(channel), json, has_files);
            match (places.may(&world, channel, wanted), world.messages) {
                (Err(why), _) => refused(why),
                (Ok(()), Fate::Taken) => told(&places.post(channel, json)),
                (Ok(()), Fate::Down) => refused(world::DOWN),
                (Ok(()), Fate::TakenUnanswered) => {
                    places.post(channel, json);
                    refused(world::DOWN)
                }
                (Ok(()), Fate::TakenSilently) => {
                    places.post(channel, json);
                    return None;
                }
            }
        }
        (method, parts) => match shared.places().reply(&world, method, parts, json) {
            Some(Ok(Value::Null)) => StatusCode::NO_CONTENT.into_response(),
            Some(Ok(answer)) => told(&answer),
            Some(Err(why)) => refused(why),
            None => refused((StatusCode::NOT_FOUND, 0, "404: Not Found")),
        },
    };
    Some(response)
}

/// What goes by an interaction's own token, and needs no other.
fn answered(world: &World, method: &Method, parts: &[&str], json: &Value) -> Response {
    match (method.as_str(), parts) {
        ("POST", ["interactions", ..]) if world.deleted && json["type"] == 7 => refused(world::UNKNOWN_MESSAGE),
        ("PATCH", ["webhooks", ..]) if world.deleted => refused(world::UNKNOWN_MESSAGE),
        ("POST", ["interactions", _, _, "callback"]) | ("DELETE", ["webhooks", _, _, "messages", "@original"]) => {
            StatusCode::NO_CONTENT.into_response()
        }
        ("PATCH", ["webhooks", _, _, "messages", "@original"]) | ("POST", ["webhooks", _, _]) => {
            told(&events::message())
        }
        _ => refused((StatusCode::NOT_FOUND, 0, "404: Not Found")),
    }
}

/// As the platform's page on rate limits words it.
fn too_many(of: &TooMany) -> Response {
    let body = json!({"message": "You are being rate limited.", "retry_after": of.wait, "global": of.everywhere});
    let mut response = (StatusCode::TOO_MANY_REQUESTS, body.to_string()).into_response();
    let headers = response.headers_mut();
    let reset = jiff::Timestamp::now().as_second() + i64::from(of.wait) + of.skew;
    headers.insert("x-ratelimit-reset", reset.into());
    headers.insert("retry-after", of.wait.into());
    if of.everywhere {
        headers.insert("x-ratelimit-global", HeaderValue::from_static("true"));
        headers.insert("x-ratelimit-scope", HeaderValue::from_static("global"));
    } else {
        headers.insert("x-ratelimit-limit", 1.into());
        headers.insert("x-ratelimit-remaining", 0.into());
        headers.insert("x-ratelimit-reset-after", of.wait.into());
        headers.insert("x-ratelimit-bucket", HeaderValue::from_static("b"));
        headers.insert("x-ratelimit-scope", HeaderValue::from_static("user"));
    }
    response
}

fn refused((status, code, message): Refused) -> Response {
    let body = json!({"message": message, "code": code}).to_string();
    (status, [(header::CONTENT_TYPE, "application/json")], body).into_response()
}

fn told(value: &Value) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], value.to_string()).into_response()
}

/// Commands as the platform gives them back. Where they are for one server, it keeps no contexts.
fn registered(commands: &Value, of_one_server: bool) -> Vec<Value> {
    let mut given: Vec<Value> = commands.as_array().cloned().unwrap_or_default();
    for (at, command) in given.iter_mut().enumerate() {
        for (key, value) in [
            ("id", json!((500 + at).to_string())),
            ("application_id", json!(events::APPLICATION)),
            ("version", json!((900 + at).to_string())),
            ("type", json!(1)),
            ("default_member_permissions", Value::Null),
        ] {
            command[key] = value;
        }
        if of_one_server {
            command["contexts"] = Value::Null;
        }
    }
    given
}

/// The JSON of a request and its files, whether it came as JSON or as multipart.
fn read(headers: &HeaderMap, body: &[u8]) -> (Value, Vec<Upload>) {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let Some((_, boundary)) = kind.split_once("boundary=") else {
        return (serde_json::from_slice(body).unwrap_or(Value::Null), Vec::new());
    };
    let (mut json, mut files) = (Value::Null, Vec::new());
    for part in split(body, format!("--{boundary}").as_bytes()) {
        let Some(blank) = find(part, b"\r\n\r\n") else { continue };
        let head = String::from_utf8_lossy(&part[..blank]).into_owned();
        let content = part[blank + 4..].strip_suffix(b"\r\n").unwrap_or(&part[blank + 4..]);
        match head.split("filename=\"").nth(1).and_then(|rest| rest.split('"').next()) {
            Some(name) => files.push(Upload { name: name.to_owned(), bytes: content.to_vec() }),
            None if head.contains("payload_json") => json = serde_json::from_slice(content).unwrap_or(Value::Null),
            None => {}
        }
    }
    (json, files)
}

fn split<'a>(body: &'a [u8], mark: &[u8]) -> Vec<&'a [u8]> {
    let mut parts = Vec::new();
    let mut rest = body;
    while let Some(at) = find(rest, mark) {
        parts.push(&rest[..at]);
        rest = &rest[at + mark.len()..];
    }
    parts
}

fn find(body: &[u8], mark: &[u8]) -> Option<usize> {
    body.windows(mark.len()).position(|window| window == mark)
}
