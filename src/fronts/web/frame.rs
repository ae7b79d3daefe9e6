//! What stands around every screen: the head, the bar with the shop and the person, the mark of a demo.

use std::any::Any;

use axum::Extension;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};

use super::{Page, assets};

/// Which screen the page shows; the stylesheet lays it out by this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    Talk,
    Forms,
    Form,
    Door,
    Notice,
}

impl View {
    fn class(self) -> &'static str {
        match self {
            Self::Talk => "talk-view",
            Self::Forms => "forms-view",
            Self::Form => "form-view",
            Self::Door => "door-view",
            Self::Notice => "notice-view",
        }
    }
}

/// A whole screen; `person` is who looks at it, once that is known.
pub fn screen(page: &Page, person: Option<&str>, view: View, title: &str, inside: Markup) -> Markup {
    let settings = page.desk.settings();
    let role = person.map(|name| role_word(page, name));
    let bar = html! {
        header.bar {
            a.home href="/" {
                (mark())
                span.shop {
                    span.shop-name { (settings.shop) }
                    @if settings.demo { span.demo-tag { "Demo" } }
                }
            }
            @if view == View::Forms || view == View::Form { a.bar-button href="/" { "Talk" } }
            @if let (Some(name), Some(role)) = (person, role) {
                a.person href="/door" aria-label={ "You are " (name) ", " (role) ". Change who you are." } {
                    span.person-name { (name) }
                    @if role != name { span.person-role { (role) } }
                }
            }
        }
        @if settings.demo {
            p.demo { "Demo shop: engines and readings are invented." }
        }
    };
    document(view, title, person, html! { (bar) (inside) })
}

fn role_word(page: &Page, name: &str) -> &'static str {
    use crate::desk::Role;
    match page.desk.role(&page.asker(name)) {
        Role::Apprentice => "apprentice",
        Role::Tech => "tech",
        Role::Lead => "lead",
    }
}

fn document(view: View, title: &str, person: Option<&str>, body: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
                meta name="color-scheme" content="light dark";
                meta name="theme-color" content="#0b2f55";
                title { (title) " · Gudgeon" }
                link rel="icon" type="image/svg+xml" href=(assets::MARK.address);
                link rel="stylesheet" href=(assets::STYLE.address);
                @if person.is_some() { script src=(assets::SCRIPT.address) defer {} }
                @if person.is_some() { script src=(assets::CAMERA.address) defer {} }
            }
            body class=(view.class()) data-person=[person] { (body) }
        }
    }
}

/// The mark: a pin seen end on, in its bore.
fn mark() -> Markup {
    html! {
        svg.mark viewBox="0 0 32 32" width="32" height="32" aria-hidden="true" {
            circle cx="16" cy="16" r="14" fill="none" stroke="currentColor" stroke-width="3" {}
            circle cx="16" cy="16" r="7.5" fill="none" stroke="currentColor" stroke-width="5" {}
        }
    }
}

/// A short page of its own, for what cannot be answered; [`painted`] puts the shop's frame around it.
#[derive(Debug, Clone, Copy)]
struct Notice {
    title: &'static str,
    why: &'static str,
}

/// What cannot be answered, and why. It shows nothing of the inside.
pub fn notice(status: StatusCode, title: &'static str, why: &'static str) -> Response {
    (status, Extension(Notice { title, why })).into_response()
}

/// The response, with a notice painted where there is one.
pub fn painted(page: &Page, mut response: Response) -> Response {
    let Some(Notice { title, why }) = response.extensions_mut().remove::<Notice>() else { return response };
    let inside = html! {
        main.notice {
            h1 { (title) }
            p { (why) }
            p { a.button href="/" { "To the talk" } }
        }
    };
    (response.status(), screen(page, None, View::Notice, title, inside)).into_response()
}

/// A fault of ours; the whole of it went to the log.
pub fn fault() -> Response {
    let why = "It is in the log. Nothing was posted: try again, and tell the lead if it repeats.";
    notice(StatusCode::INTERNAL_SERVER_ERROR, "Something broke on our side", why)
}

pub fn panicked(cause: Box<dyn Any + Send>) -> Response {
    let said = cause.downcast_ref::<String>().map(String::as_str).or_else(|| cause.downcast_ref::<&str>().copied());
    tracing::error!("a request panicked: {}", said.unwrap_or("without a word"));
    fault()
}

pub async fn nothing_here() -> Response {
    notice(StatusCode::NOT_FOUND, "There is nothing here", "Go back to the talk and follow a button from there.")
}

/// For a page that is only posted to, or only read.
pub async fn not_that_way() -> Response {
    let why = "What you sent before may have been taken: look in the talk before you send it again.";
    notice(StatusCode::METHOD_NOT_ALLOWED, "This page cannot be opened so", why)
}
