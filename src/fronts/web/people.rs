//! Who may come in, and with which devices: everyone sees their own, a lead everyone's, and lets people in and out.

use std::collections::BTreeMap;

use axum::extract::State;
use axum::http::header::HOST;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, PreEscaped, html};

use super::frame::{self, View};
use super::sent::{Posted, Visitor};
use super::who::told;
use super::{Page, Shared, door};
use crate::desk::Role;
use crate::desk::joining::{self, Code, Device, Invitation, NotInvited};
use crate::drawing::qr;

const ROLES: [Role; 3] = [Role::Apprentice, Role::Tech, Role::Lead];

pub async fn show(State(page): State<Shared>, visitor: Visitor) -> Response {
    screen(&page, &visitor, StatusCode::OK, html! {})
}

/// Makes a code and shows it, this once.
pub async fn invite(
    State(page): State<Shared>,
    visitor: Visitor,
    headers: HeaderMap,
    Posted(values): Posted,
) -> Response {
    if !leads(&page, &visitor) {
        return not_yours();
    }
    let role = values.one("role").parse().ok();
    let now = Timestamp::now();
    match joining::invite(page.door.settled(), &page.door.book, values.one("person"), role, now) {
        Ok((code, invitation)) => {
            tracing::info!(by = visitor.name, person = invitation.person, role = %invitation.role, "a code was made");
            let host = headers.get(HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
            let handed = handed(&code, &invitation, page.hosts.origin(host).as_deref());
            screen(&page, &visitor, StatusCode::OK, handed)
        }
        Err(NotInvited::Book(error)) => {
            tracing::error!("the key book: {error}");
            frame::fault()
        }
        Err(refused) => {
            let why = html! { p.wrong role="alert" { "No code was made: " (refused.to_string()) "." } };
            screen(&page, &visitor, StatusCode::UNPROCESSABLE_ENTITY, why)
        }
    }
}

/// Takes a device away, all of one's own, or a person with all of theirs.
pub async fn remove(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let (person, number, lead) = (values.one("person"), values.one("device"), leads(&page, &visitor));
    let book = &page.door.book;
    let done = if !values.one("mine").is_empty() {
        tracing::info!(person = visitor.name, "signed out everywhere");
        if told(book.remove_devices(&visitor.name)).is_none() {
            return frame::fault();
        }
        return door::keeping(&page, None, "/door");
    } else if !person.is_empty() {
        if !lead {
            return not_yours();
        }
        tracing::info!(by = visitor.name, person, "a person was taken out");
        told(book.remove(person)).map(|_| ())
    } else {
        let Ok(number) = number.parse::<i64>() else { return frame::nothing_here().await };
        let Some(devices) = told(book.devices(Timestamp::now())) else { return frame::fault() };
        // Whose it is was asked before it is taken: nobody learns of devices that are not theirs.
        let Some(device) = devices.iter().find(|device| device.number == number) else {
            return Redirect::to("/people").into_response();
        };
        if !lead && device.person != visitor.name {
            return not_yours();
        }
        tracing::info!(by = visitor.name, person = device.person, device = device.name, "a device was taken out");
        told(book.remove_device(number)).map(|_| ())
    };
    match done {
        Some(()) => Redirect::to("/people").into_response(),
        None => frame::fault(),
    }
}

fn leads(page: &Page, visitor: &Visitor) -> bool {
    page.door.role(&visitor.name) == Some(Role::Lead)
}

fn not_yours() -> Response {
    frame::notice(StatusCode::FORBIDDEN, "That takes a lead", "Nothing was changed. Ask a lead to do it.")
}

/// The code as text and as a picture. In the picture it stands behind the `#`, which no browser sends.
fn handed(code: &Code, invitation: &Invitation, origin: Option<&str>) -> Markup {
    let picture = origin.and_then(|origin| qr::draw(&format!("{origin}/door#{}", code.text()), "Code to come in").ok());
    html! {
        section.handed aria-label="A new code" {
            p { "For " strong { (invitation.person) } ", " (invitation.role.to_string()) ":" }
            p.code { (code.spoken()) }
            p.quiet { "It opens once, within 15 minutes, and is not shown again." }
            @match (origin, picture) {
                (Some(origin), Some(picture)) => {
                    (PreEscaped(picture.svg))
                    p { "Let the phone's camera see it, or type the code there at" }
                    p.fingerprint { strong { (origin) wbr; "/door" } }
                }
                _ => p { "This page is for this machine alone. Start it with " code { "gudgeon serve --lan" }
                    ", and phones can come in by this code." },
            }
        }
    }
}

fn screen(page: &Page, visitor: &Visitor, status: StatusCode, news: Markup) -> Response {
    let now = Timestamp::now();
    let (settled, book) = (page.door.settled(), &page.door.book);
    let (Some(everyone), Some(devices), Some(open)) =
        (told(joining::everyone(settled, book)), told(book.devices(now)), told(book.invitations(now)))
    else {
        return frame::fault();
    };
    let lead = leads(page, visitor);
    let mut by_person: BTreeMap<&str, Vec<&Device>> = everyone.keys().map(|name| (name.as_str(), Vec::new())).collect();
    for device in devices.iter().filter(|device| page.door.trusting || !device.local) {
        by_person.entry(&device.person).or_default().push(device);
    }
    let list = |name: &str| by_person.get(name).map(Vec::as_slice).unwrap_or_default();
    let inside = html! {
        main.door {
            h1 { "People and devices" }
            (news)
            h2 { "You, " (visitor.name) }
            (devices_of(page, visitor, list(&visitor.name)))
            form method="post" action="/people/remove" {
                button name="mine" value="all" { "Sign out on all my devices" }
            }
            @if lead {
                h2 { "Let someone in" }
                (form(&everyone))
                h2 { "Everyone" }
                ul.people {
                    @for (name, role) in everyone.iter().filter(|(name, _)| **name != visitor.name) {
                        li.someone-here {
                            h2 { span { (name) } span.quiet { (role.to_string()) } }
                            @if let Some(code) = open.iter().find(|code| code.person == **name) {
                                p.quiet { "A code is open until " (when(page, code.ends)) "." }
                            }
                            (devices_of(page, visitor, list(name)))
                            form method="post" action="/people/remove" {
                                button name="person" value=(name) { "Take " (name) " out" }
                            }
                        }
                    }
                    @for code in open.iter().filter(|code| !everyone.contains_key(&code.person)) {
                        li.someone-here {
                            h2 { span { (code.person) } span.quiet { (code.role.to_string()) } }
                            p.quiet { "Not here yet. A code is open until " (when(page, code.ends)) "." }
                            form method="post" action="/people/remove" {
                                button name="person" value=(code.person) { "Take the code back" }
                            }
                        }
                    }
                }
                p.quiet { "Who is taken out is out at once, on every device; what they posted stays. A name that stands in the \
                           shop's settings stays on this list and needs a new code." }
            }
        }
    };
    (status, frame::screen(page, visitor, View::Door, "People and devices", inside)).into_response()
}

fn form(everyone: &BTreeMap<String, Role>) -> Markup {
    html! {
        form.join method="post" action="/people/invite" {
            label for="person" { "Name, of someone new or here already" }
            input id="person" type="text" name="person" required maxlength="40" autocomplete="off" autocapitalize="none"
                spellcheck="false" list="names";
            datalist id="names" { @for name in everyone.keys() { option value=(name) {} } }
            label for="role" { "Role" }
            select id="role" name="role" {
                option value="" { "unchanged, or apprentice" }
                @for role in ROLES { option value=(role.to_string()) { (role.to_string()) } }
            }
            button.primary { "Make a code" }
        }
    }
}

fn devices_of(page: &Page, visitor: &Visitor, devices: &[&Device]) -> Markup {
    html! {
        @if devices.is_empty() { p.quiet { "No device." } }
        @for device in devices {
            form.device method="post" action="/people/remove" {
                span {
                    strong { (device.name) }
                    @if device.number == visitor.device { " (this one)" }
                    br;
                    span.quiet { "seen " (when(page, device.seen)) br; "came in " (when(page, device.joined)) }
                }
                button name="device" value=(device.number) aria-label={ "Remove " (device.name) " of " (device.person) } {
                    "Remove"
                }
            }
        }
    }
}

/// A time as the shop's clock shows it.
fn when(page: &Page, at: Timestamp) -> String {
    at.to_zoned_datetime(page.desk.settings().hours.zone.clone()).strftime("%-d %b %H:%M").to_string()
}
