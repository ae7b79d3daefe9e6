//! The talk: lines go to the desk, cards come back.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::frame::{self, View};
use super::paint::{Card, form_address};
use super::sent::{Posted, Visitor};
use super::{Page, Shared, asked, forms, kept, off_thread, who};
use crate::desk::{Asker, Enclosed, InHand, Outcome, Refusal};

/// The longest text the line box takes; the desk refuses past its own limit and says so.
const LONGEST: usize = 4_000;
/// The form of the keys above the line box: in the box's own, the keyboard's key would press the first of them.
const READY: &str = "ready";

/// An answered line: the card, and the status its page goes out with.
pub struct Answered {
    pub card: Markup,
    /// What stands above the line box from now on, for another job may be in hand.
    ready: Markup,
    pub status: StatusCode,
    /// The card has something to fill in.
    pub asks: bool,
}

/// Takes one line to the desk, with what came beside it. `key` names the request: the same key with the same line is the same request.
pub async fn answer(
    page: &Shared,
    visitor: &Visitor,
    line: &str,
    key: &str,
    enclosed: Result<Vec<Enclosed>, Refusal>,
) -> Answered {
    let (person, now) = (visitor.name.as_str(), visitor.at);
    let mut asker = page.asker(visitor);
    asker.held.clone_from(&visitor.held);
    // Bound to the line as well, so that a form sent again with a mended value is a new request.
    let request = who::mark(&[b"request", person.as_bytes(), key.as_bytes(), line.as_bytes()]);
    asker.key = (!key.is_empty()).then(|| request.to_hex().to_string());
    let (said, asking) = (line.to_owned(), page.asker(visitor));
    let answered = off_thread(page, move |page| {
        let outcome = match enclosed {
            Ok(enclosed) => page.desk.answer(&Asker { enclosed, ..asker }, &said, now),
            Err(refusal) => Outcome::Refused(refusal),
        };
        let entry = asked::entry(&page.desk, &outcome, &said);
        page.live.look(&page.desk);
        (outcome, entry, ready(page.desk.in_hand(&asking).as_ref()))
    });
    let (outcome, entry, ready) = answered.await.unwrap_or_else(|| {
        let text = "Something broke on our side; it is in the log. Tell the lead if it repeats.";
        (Outcome::Fault(text.to_owned()), None, html! {})
    });
    let status = match outcome {
        Outcome::Reply(_) => StatusCode::OK,
        Outcome::Refused(Refusal { meanwhile: true, .. }) => StatusCode::CONFLICT,
        Outcome::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
        Outcome::Fault(_) => StatusCode::INTERNAL_SERVER_ERROR,
    };
    let asks = entry.is_some();
    let card =
        Card { kept: &page.kept, person, line, key: &kept::random_name().unwrap_or_default(), entry, still: false };
    Answered { card: card.exchange(&outcome), ready, status, asks }
}

impl Answered {
    /// What the script puts in place.
    pub fn pieces(&self) -> Markup {
        html! { (self.card) (self.ready) }
    }
}

pub async fn page(State(page): State<Shared>, visitor: Visitor) -> Response {
    shown(&page, visitor, None).await
}

pub async fn line(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let answered = answer(&page, &visitor, values.one("line"), values.one("key"), Ok(Vec::new())).await;
    if visitor.card_only {
        return (answered.status, answered.pieces()).into_response();
    }
    (answered.status, shown(&page, visitor, Some(answered.card)).await).into_response()
}

/// The talk with this card in it.
pub async fn shown(page: &Shared, visitor: Visitor, exchange: Option<Markup>) -> Response {
    let painted = off_thread(page, move |page| {
        let inside = html! {
            main.desk {
                h1.heard { "Talk" }
                (column(page, &visitor, exchange.as_ref()))
                div.side { p.title aria-hidden="true" { "Forms" } (forms::listed(page)) }
            }
        };
        frame::screen(page, &visitor, View::Talk, "Talk", inside)
    });
    painted.await.map_or_else(frame::fault, IntoResponse::into_response)
}

/// The column beside a screen that needs nothing else of the record.
pub async fn beside(page: &Shared, visitor: &Visitor) -> Markup {
    let visitor = visitor.clone();
    off_thread(page, move |page| column(page, &visitor, None)).await.unwrap_or_default()
}

/// The column with the talk and the line box.
pub fn column(page: &Page, visitor: &Visitor, exchange: Option<&Markup>) -> Markup {
    html! {
        section.talk aria-label="Talk" {
            div #talk {
                @if exchange.is_none() { (welcome(page)) }
                @if let Some(exchange) = exchange { (exchange) }
            }
            p #news.heard role="status" {}
            (dock(page.desk.in_hand(&page.asker(visitor)).as_ref()))
        }
    }
}

/// What a person sees before anything was said: what can be asked, and what waits.
fn welcome(page: &Page) -> Markup {
    let example = |words: &str| page.desk.form(words).map(|form| form.example.as_str());
    let question = example("ask").map(|line| line.trim_start_matches("ask "));
    // As a person says it, without the command.
    let reading = example("log").and_then(|line| line.split_once(' ')).map(|(_, reading)| reading.replace('-', " "));
    let key = kept::random_name().unwrap_or_default();
    html! {
        form.welcome method="post" action="/line" {
            input type="hidden" name="key" value=(key);
            h2.title { "What do you need at the bench?" }
            p { "Ask as you would say it" @if let Some(reading) = reading { ", or say what you measured: " span.as-line { (reading) } } "." }
            div.actions {
                @if let Some(question) = question { button.wide name="line" value=(question) { (question) } }
                @if let Some(sum) = example("ring gap") { a.button.as-line.wide href=(form_address(sum)) { (sum) } }
                button.wide name="line" value="help" { "All commands" }
            }
        }
    }
}

/// The two things wanted most, whatever is on the screen, and the job they are for.
fn ready(in_hand: Option<&InHand>) -> Markup {
    html! {
        div.ready {
            @if let Some(InHand { job, title }) = in_hand {
                p { "Posting to #" (job) " " (title) }
                div.ready-keys {
                    button form=(READY) name="line" value={ "next " (job) } { "What is next" }
                    a.button.opens href=(form_address(&format!("log job={job}"))) { "Post a reading…" }
                }
            } @else {
                p { "No job is chosen yet" }
                div.ready-keys {
                    a.button href="/jobs" { "Choose a job" }
                    a.button href="/library" { "Read the library" }
                }
            }
        }
    }
}

/// The line box, where a thumb reaches it.
fn dock(in_hand: Option<&InHand>) -> Markup {
    let (key, next) = (kept::random_name().unwrap_or_default(), kept::random_name().unwrap_or_default());
    html! {
        form id=(READY) method="post" action="/line" { input type="hidden" name="key" value=(next); }
        form #dock.dock method="post" action="/line" {
            input type="hidden" name="key" value=(key);
            ul #hints.hints role="listbox" aria-label="Suggestions" hidden {}
            (ready(in_hand))
            div.dock-row {
                label.heard for="line" { "Your question or command" }
                input #line name="line" type="text" maxlength=(LONGEST) placeholder="Ask, or say a reading"
                    autocomplete="off" autocapitalize="none" spellcheck="false" enterkeyhint="send";
                button.primary.send { (arrow()) span.heard { "Send" } }
            }
        }
    }
}

fn arrow() -> Markup {
    html! {
        svg viewBox="0 0 24 24" width="28" height="28" aria-hidden="true" {
            path d="M12 3 21 13h-5.5v8h-7v-8H3Z" fill="currentColor" {}
        }
    }
}
