//! The door: a person says who they are.

use axum::extract::State;
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};

use super::frame::{self, View};
use super::sent::{Asked, Posted, over_tls};
use super::who::{Door, Shut};
use super::{Page, Shared};

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
    frame::screen(&page, here, View::Door, "Who are you?", people(&page, here, to, None)).into_response()
}

pub async fn enter(State(page): State<Shared>, headers: HeaderMap, Posted(values): Posted) -> Response {
    let (name, to) = (values.one("person"), way_back(values.one("to")));
    match page.door.admit(name, values.one("code"), Timestamp::now()) {
        Ok(ticket) => ([(SET_COOKIE, Door::cookie(&ticket, over_tls(&headers)))], Redirect::to(to)).into_response(),
        Err(shut) => {
            let (status, why) = match shut {
                Shut::Stranger => {
                    (StatusCode::FORBIDDEN, "This person cannot come in here. Pick a name from the list.".to_owned())
                }
                Shut::WrongCode => {
                    (StatusCode::FORBIDDEN, "That is not the code. The lead has it, in the shop's settings.".to_owned())
                }
                Shut::Pause(seconds) => {
                    tracing::warn!(person = name, "too many wrong codes");
                    (
                        StatusCode::TOO_MANY_REQUESTS,
                        format!("Too many wrong codes. Wait {seconds} seconds, then try again."),
                    )
                }
            };
            let inside = people(&page, None, to, Some((name, &why)));
            (status, frame::screen(&page, None, View::Door, "Who are you?", inside)).into_response()
        }
    }
}

pub async fn leave(headers: HeaderMap) -> Response {
    ([(SET_COOKIE, Door::cookie("", over_tls(&headers)))], Redirect::to("/door")).into_response()
}

/// A button for each person; with a code field where one is needed.
fn people(page: &Page, here: Option<&str>, to: &str, failed: Option<(&str, &str)>) -> Markup {
    let failed_for = |name: &str| failed.filter(|(who, _)| *who == name).map(|(_, why)| why);
    let listed = page.door.people().any(|(name, _)| failed_for(name).is_some());
    html! {
        main.door {
            h1 { "Who are you?" }
            @if let (Some((_, why)), false) = (failed, listed) { p.wrong role="alert" { (why) } }
            ul.people {
                @for (name, needs_code) in page.door.people() {
                    li {
                        form method="post" action="/door" {
                            input type="hidden" name="to" value=(to);
                            @if needs_code {
                                label for={ "code-" (name) } { "Code of " strong { (name) } }
                                div.entry {
                                    input id={ "code-" (name) } type="password" name="code" autocomplete="current-password"
                                        autocapitalize="none" spellcheck="false" maxlength="200";
                                    button.primary name="person" value=(name) { "Come in" }
                                }
                            } @else {
                                button.someone name="person" value=(name) aria-current=[(here == Some(name)).then_some("true")] {
                                    (name)
                                    @if here == Some(name) { span.here { "here now" } }
                                }
                            }
                            @if let Some(why) = failed_for(name) { p.wrong role="alert" { (why) } }
                        }
                    }
                }
            }
            @if here.is_some() {
                p { a.button.opens href="/taste" { "Light or dark, inch or metric…" } }
                form method="post" action="/leave" { button { "Sign out" } }
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
