//! The door: at this machine a person says who they are; over the network a one-time code lets them in.

use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, RETRY_AFTER, SET_COOKIE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};

use super::certificate::fingerprint;
use super::frame::{self, View};
use super::limits::Wait;
use super::sent::{Asked, Posted};
use super::serve::Peer;
use super::who::Shut;
use super::{Page, Shared, assets};
use crate::desk::joining::{Device, Key};

/// The door's address, with the way back.
pub fn address(back: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "/._-".contains(c);
    let mut out = String::from("/door?to=");
    for c in back.chars() {
        if plain(c) {
            out.push(c);
        } else {
            let mut bytes = [0; 4];
            out.extend(c.encode_utf8(&mut bytes).bytes().map(|b| format!("%{b:02X}")));
        }
    }
    out
}

/// Where to go after the door: only a page of ours, the talk when in doubt.
fn way_back(to: &str) -> &str {
    let ours = ["/forms", "/jobs", "/review", "/library", "/taste"].contains(&to)
        || ["/form?", "/kept/", "/job/", "/page/", "/sheet/", "/library?"].iter().any(|ours| to.starts_with(ours));
    if ours && to.chars().all(|c| c.is_ascii_graphic() && c != '\\') { to } else { "/" }
}

pub async fn show(State(page): State<Shared>, headers: HeaderMap, Asked(asked): Asked) -> Response {
    let here = page.door.who(&headers, Timestamp::now());
    let to = way_back(asked.one("to"));
    screen(&page, here.as_ref(), to, None).into_response()
}

pub async fn enter(
    State(page): State<Shared>,
    Peer(from): Peer,
    headers: HeaderMap,
    Posted(values): Posted,
) -> Response {
    let (name, to, now) = (values.one("person"), way_back(values.one("to")), Timestamp::now());
    let entered = match page.door.trusting {
        true => page.door.admit(name, now),
        false => page.door.join(values.one("code"), values.one("device"), from, now).map(|(key, _)| key),
    };
    match entered {
        Ok(key) => {
            // Whoever was here before is here no more.
            page.door.leave(&headers, now);
            keeping(&page, Some(&key), to)
        }
        Err(shut) => {
            let (status, why) = refusal(shut);
            let mut response = (status, screen(&page, None, to, Some(&why))).into_response();
            if let Shut::Pause(Wait(seconds)) = shut {
                response.headers_mut().insert(RETRY_AFTER, seconds.into());
            }
            response
        }
    }
}

fn refusal(shut: Shut) -> (StatusCode, String) {
    match shut {
        Shut::Stranger => (StatusCode::FORBIDDEN, "This person cannot come in here. Pick a name from the list.".to_owned()),
        Shut::WrongCode => (
            StatusCode::FORBIDDEN,
            "No door opens to this code. A code is 8 letters and digits, opens once, and for 15 minutes: type it again, or \
             ask a lead for a new one."
                .to_owned(),
        ),
        Shut::Pause(Wait(seconds)) => (
            StatusCode::TOO_MANY_REQUESTS,
            format!("Too many wrong codes. Wait {seconds} seconds, then try again: your code has to be still open then."),
        ),
        Shut::Fault => (
            StatusCode::INTERNAL_SERVER_ERROR,
            "Something broke on our side; it is in the log. Tell the lead if it repeats.".to_owned(),
        ),
    }
}

pub async fn leave(State(page): State<Shared>, headers: HeaderMap) -> Response {
    page.door.leave(&headers, Timestamp::now());
    keeping(&page, None, "/door")
}

/// Goes on with this key in the browser, or with none.
pub fn keeping(page: &Page, key: Option<&Key>, to: &str) -> Response {
    ([(SET_COOKIE, page.door.cookie(key))], Redirect::to(to)).into_response()
}

/// The authority behind the shop's own certificate, for a phone to trust. It is no secret.
pub async fn certificate(State(page): State<Shared>) -> Response {
    match page.papers.as_ref().and_then(|papers| papers.authority()) {
        Some(authority) => {
            let headers = [
                (CONTENT_TYPE, "application/x-x509-ca-cert"),
                (CONTENT_DISPOSITION, "attachment; filename=\"gudgeon.crt\""),
            ];
            (headers, authority.to_vec()).into_response()
        }
        None => frame::nothing_here().await,
    }
}

fn screen(page: &Page, here: Option<&Device>, to: &str, failed: Option<&str>) -> Markup {
    let inside = if page.door.trusting { people(page, here, to, failed) } else { code(page, here, to, failed) };
    let title = if page.door.trusting { "Who are you?" } else { "Come in" };
    frame::screen(page, here.map(|device| device.person.as_str()), View::Door, title, inside)
}

/// At this machine: a button for each person.
fn people(page: &Page, here: Option<&Device>, to: &str, failed: Option<&str>) -> Markup {
    let is_here = |name: &str| here.is_some_and(|device| device.person == name);
    html! {
        main.door {
            h1 { "Who are you?" }
            @if let Some(why) = failed { p.wrong role="alert" { (why) } }
            ul.people {
                @for name in page.door.settled().keys() {
                    li {
                        form method="post" action="/door" {
                            input type="hidden" name="to" value=(to);
                            button.someone name="person" value=(name) aria-current=[is_here(name).then_some("true")] {
                                (name)
                                @if is_here(name) { span.here { "here now" } }
                            }
                        }
                    }
                }
            }
            (way_out(here))
        }
    }
}

/// Over the network: a box for the code.
fn code(page: &Page, here: Option<&Device>, to: &str, failed: Option<&str>) -> Markup {
    html! {
        main.door {
            @if let Some(device) = here {
                h1 { "You are " (device.person) }
                p { "This device is called " strong { (device.name) } "." }
                (way_out(here))
                h2 { "Come in as someone else" }
            } @else {
                h1 { "Come in with a code" }
                p { "A lead makes one for you. It opens once, within 15 minutes; after that this device is known." }
            }
            @if let Some(why) = failed { p.wrong role="alert" { (why) } }
            form.join method="post" action="/door" {
                input type="hidden" name="to" value=(to);
                label for="code" { "Code" }
                input id="code" type="text" name="code" required maxlength="20" autocomplete="one-time-code" autocapitalize="characters"
                    spellcheck="false" placeholder="XXXX XXXX";
                label for="device" { "What this device is called" }
                input id="device" type="text" name="device" maxlength="40" value="phone" autocomplete="off";
                button.primary { "Come in" }
            }
            (trust(page))
            script src=(assets::address("join.js")) defer {}
        }
    }
}

fn way_out(here: Option<&Device>) -> Markup {
    html! {
        @if here.is_some() {
            a.button.wide href="/people" { "People and devices" }
            a.button.wide href="/taste" { "Light or dark, inch or metric" }
            form method="post" action="/leave" { button { "Sign out" } }
        }
    }
}

/// What a browser warns of, and how to be sure.
fn trust(page: &Page) -> Markup {
    let Some(papers) = &page.papers else { return html! {} };
    html! {
        details {
            summary { "Is this really our shop?" }
            p { "The browser can show the certificate of this page. Its SHA-256 fingerprint is the one that the shop's machine \
                 printed when it started:" }
            p.fingerprint { (papers.fingerprint()) }
            @if let Some(authority) = papers.authority() {
                p { "Where they agree, this device may take the shop's own authority, and the browser warns no more: "
                    a href="/certificate" { "gudgeon.crt" } ". Its fingerprint:" }
                p.fingerprint { (fingerprint(authority)) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_back_never_leads_elsewhere() {
        assert_eq!(way_back("/form?line=ring+gap"), "/form?line=ring+gap");
        assert_eq!(way_back("/forms"), "/forms");
        for away in [
            "",
            "//elsewhere.example",
            "https://elsewhere.example",
            "/leave",
            "/form?x=\\\r\nSet-Cookie: a",
            "/\\elsewhere",
        ] {
            assert_eq!(way_back(away), "/", "{away}");
        }
        assert_eq!(address("/form?line=a&b=ü"), "/door?to=/form%3Fline%3Da%26b%3D%C3%BC");
    }
}
