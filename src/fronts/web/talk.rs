//! The talk: lines go to the desk, cards come back.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::frame::{self, View};
use super::paint::{Card, form_address};
use super::sent::{Posted, Visitor};
use super::{Shared, asked, forms, kept, off_thread, who};
use crate::desk::{Asker, Enclosed, Outcome, Refusal};

/// The longest text the line box takes; the desk refuses past its own limit and says so.
const LONGEST: usize = 4_000;
/// What is worth a button before anything was said, where the desk has it.
const STARTERS: [(&str, &str); 2] = [("next", "What is next"), ("help", "All commands")];

/// An answered line: the card, and the status its page goes out with.
pub struct Answered {
    pub card: Markup,
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
    let said = line.to_owned();
    let answered = off_thread(page, move |page| {
        let outcome = match enclosed {
            Ok(enclosed) => page.desk.answer(&Asker { enclosed, ..asker }, &said, now),
            Err(refusal) => Outcome::Refused(refusal),
        };
        let entry = asked::entry(&page.desk, &outcome, &said);
        page.live.look(&page.desk);
        (outcome, entry)
    });
    let (outcome, entry) = answered.await.unwrap_or_else(|| {
        let text = "Something broke on our side; it is in the log. Tell the lead if it repeats.";
        (Outcome::Fault(text.to_owned()), None)
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
    Answered { card: card.exchange(&outcome), status, asks }
}

pub async fn page(State(page): State<Shared>, visitor: Visitor) -> Markup {
    whole(&page, &visitor, None)
}

pub async fn line(State(page): State<Shared>, visitor: Visitor, Posted(values): Posted) -> Response {
    let answered = answer(&page, &visitor, values.one("line"), values.one("key"), Ok(Vec::new())).await;
    let shown = if visitor.card_only { answered.card } else { whole(&page, &visitor, Some(&answered.card)) };
    (answered.status, shown).into_response()
}

/// The talk with this card in it.
pub fn whole(page: &Shared, visitor: &Visitor, exchange: Option<&Markup>) -> Markup {
    let inside = html! {
        main.desk {
            h1.heard { "Talk" }
            (column(page, exchange))
            div.side { p.title aria-hidden="true" { "Forms" } (forms::listed(page)) }
        }
    };
    frame::screen(page, visitor, View::Talk, "Talk", inside)
}

/// The column with the talk and the line box.
pub fn column(page: &Shared, exchange: Option<&Markup>) -> Markup {
    html! {
        section.talk aria-label="Talk" {
            div #talk {
                @if exchange.is_none() { (welcome(page)) }
                @if let Some(exchange) = exchange { (exchange) }
            }
            p #news.heard role="status" {}
            (dock())
        }
    }
}

/// What a person sees before anything was said: what can be asked, and what waits.
fn welcome(page: &Shared) -> Markup {
    let known =
        |words: &str| words == "help" || page.desk.forms().iter().any(|f| f.words() == words || f.family == words);
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
                @if example("log").is_some() { a.button.wide href=(form_address("log")) { "Post a reading" } }
            }
            div.actions {
                @for (line, label) in STARTERS {
                    @if known(line) { button name="line" value=(line) { (label) } }
                }
            }
        }
    }
}

/// The line box, where a thumb reaches it.
fn dock() -> Markup {
    let key = kept::random_name().unwrap_or_default();
    html! {
        form #dock.dock method="post" action="/line" {
            input type="hidden" name="key" value=(key);
            ul #hints.hints role="listbox" aria-label="Suggestions" hidden {}
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
