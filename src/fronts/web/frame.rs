//! What stands around every screen: the head, the bar with the shop and the person, the mark of a demo.

use std::any::Any;

use axum::Extension;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};

use super::sent::Visitor;
use super::taste::Taste;
use super::{Page, assets};

/// Which screen the page shows; the stylesheet lays it out by this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    Talk,
    Jobs,
    Job,
    Rows,
    Review,
    Library,
    Forms,
    Form,
    Door,
    Notice,
}

/// The ways from one screen to another: where, what it is called, the views it covers.
const WAYS: [(&str, &str, &[View]); 5] = [
    ("/", "Talk", &[View::Talk]),
    ("/jobs", "Jobs", &[View::Jobs, View::Job, View::Rows]),
    ("/review", "Review", &[View::Review]),
    ("/library", "Library", &[View::Library]),
    ("/forms", "Forms", &[View::Forms, View::Form]),
];

/// Who looks at a screen, once that is known, and how they like it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Looker<'a> {
    name: Option<&'a str>,
    taste: Taste,
}

impl<'a> From<&'a Visitor> for Looker<'a> {
    fn from(visitor: &'a Visitor) -> Self {
        Self { name: Some(&visitor.name), taste: visitor.taste }
    }
}

impl<'a> From<Option<&'a str>> for Looker<'a> {
    fn from(name: Option<&'a str>) -> Self {
        Self { name, ..Self::default() }
    }
}

impl View {
    fn class(self) -> &'static str {
        match self {
            Self::Talk => "talk-view",
            // The side comes first, and what is answered under it.
            Self::Form => "side-view form-view",
            Self::Rows => "side-view rows-view",
            Self::Forms => "side-view forms-view",
            // The side is the larger one on a desk, too.
            Self::Jobs | Self::Job | Self::Review | Self::Library => "side-view wide-view",
            Self::Door => "door-view",
            Self::Notice => "notice-view",
        }
    }
}

/// A whole screen.
pub fn screen<'a>(page: &Page, looker: impl Into<Looker<'a>>, view: View, title: &str, inside: Markup) -> Markup {
    let looker = looker.into();
    let (person, settings) = (looker.name, page.desk.settings());
    let role = person.map(|name| role_word(page, name));
    let bar = html! {
        header.bar {
            a.home href="/" {
                (mark())
                span.shop {
                    span.shop-name { (settings.shop) }
                }
            }
            @if let Some(role) = role { (ways(view, role)) }
            @if let (Some(name), Some(role)) = (person, role) {
                a.person href="/door" aria-label={ "You are " (name) ", " (role) ". Change who you are." } {
                    span.person-name { (name) }
                    @if role != name { span.person-role { (role) } }
                }
            }
        }
        @if settings.demo {
            p.demo { "Demo shop: all of it is invented." }
        }
    };
    document(view, title, looker, html! { (bar) (inside) })
}

fn role_word(page: &Page, name: &str) -> &'static str {
    use crate::desk::Role;
    match page.desk.role(&page.person(name)) {
        Role::Apprentice => "apprentice",
        Role::Tech => "tech",
        Role::Lead => "lead",
    }
}

/// The ways, where a thumb reaches them. Only a lead has use for the review.
fn ways(view: View, role: &str) -> Markup {
    html! {
        nav.ways aria-label="Screens" {
            @for (to, name, views) in WAYS.iter().filter(|(to, ..)| role == "lead" || *to != "/review") {
                a href=(to) aria-current=[views.contains(&view).then_some("page")] { (name) }
            }
        }
    }
}

fn document(view: View, title: &str, looker: Looker, body: Markup) -> Markup {
    let (person, theme) = (looker.name, looker.taste.theme.map(|theme| theme.word()));
    html! {
        (DOCTYPE)
        html lang="en-GB" data-theme=[theme] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
                meta name="color-scheme" content=(theme.unwrap_or("light dark"));
                meta name="theme-color" content="#0b2f55";
                title { (title) " · Gudgeon" }
                link rel="icon" type="image/svg+xml" href=(assets::address("mark.svg"));
                link rel="stylesheet" href=(assets::address("page.css"));
                link rel="manifest" href="/manifest.webmanifest";
                @if person.is_some() {
                    @for module in assets::modules() { link rel="modulepreload" href=(module); }
                    script type="module" src=(assets::address("page.js")) {}
                }
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
    (response.status(), screen(page, Looker::default(), View::Notice, title, inside)).into_response()
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
