//! The library to be read: the shelf by kind and stage, what is found while typing, and each page with its contents.
//!
//! A page comes from the desk as plain text in pieces, so markup written into one is shown, never run.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::frame::{self, View};
use super::paint::{self, coded, form_address};
use super::sent::{Asked, Visitor};
use super::{Shared, off_thread, talk};
use crate::desk::{Leaf, Piece, Section, Shelved, Step, passage_anchor};

/// The longest text that is sought.
const LONGEST: usize = 120;

/// The shelf, or what is found on it; the script asks for the list alone.
pub async fn shelf(State(page): State<Shared>, visitor: Visitor, Asked(asked): Asked) -> Response {
    let sought: String = asked.one("q").trim().chars().take(LONGEST).collect();
    let wanted = sought.clone();
    let list = off_thread(&page, move |page| match wanted.as_str() {
        "" => whole_shelf(&page.desk.shelf()),
        sought => found(sought, &page.desk.search_shelf(sought)),
    });
    let Some(list) = list.await else { return frame::fault() };
    if visitor.card_only {
        return list.into_response();
    }
    let inside = html! {
        main.desk {
            div.side {
                h1 { "Library" }
                form #seek.seek method="get" action="/library" role="search" {
                    label.heard for="q" { "Search the library" }
                    input #q type="text" name="q" value=(sought) maxlength=(LONGEST) placeholder="Title or any word"
                        autocomplete="off" autocapitalize="none" spellcheck="false" enterkeyhint="search";
                    button.primary { "Find" }
                }
                p #found-news.heard role="status" {}
                div #found { (list) }
            }
            (talk::beside(&page, &visitor).await)
        }
    };
    frame::screen(&page, &visitor, View::Library, "Library", inside).into_response()
}

fn whole_shelf(pages: &[Shelved]) -> Markup {
    html! {
        @for kind in pages.chunk_by(|a, b| a.kind == b.kind) {
            section.kind {
                h2 { (kind[0].kind) span.count { (kind.len()) } }
                @for stage in kind.chunk_by(|a, b| a.stage == b.stage) {
                    @if let Some(title) = stage[0].stage { h3 { (title) } }
                    ul.rows { @for page in stage { (row(page)) } }
                }
            }
        }
    }
}

fn found(sought: &str, pages: &[Shelved]) -> Markup {
    html! {
        section.kind data-news=(match pages.len() { 0 => "Nothing found".to_owned(), 1 => "1 page".to_owned(), n => format!("{n} pages") }) {
            h2 { "“" (sought) "”" span.count { (pages.len()) } }
            @if pages.is_empty() {
                p.help { "No page has it. Say it in other words, or ask for it in the talk." }
            } @else {
                ul.rows { @for page in pages { (row(page)) } }
            }
        }
    }
}

fn row(page: &Shelved) -> Markup {
    let anchor = page.under.as_ref().map(|(_, anchor)| format!("#{}", coded(anchor))).unwrap_or_default();
    html! {
        li {
            a.row href={ (address(&page.slug)) (anchor) } {
                strong { (page.title) }
                @if let Some((heading, _)) = &page.under { span { (heading) } }
            }
        }
    }
}

/// Where a page is read.
pub fn address(slug: &str) -> String {
    format!("/page/{}", coded(slug))
}

/// Where the passage `ring-end-gap#3` is read.
pub fn passage_address(place: &str) -> Option<String> {
    let (slug, ordinal) = place.rsplit_once('#')?;
    Some(format!("{}#{}", address(slug), passage_anchor(ordinal.parse().ok()?)))
}

pub async fn page(State(page): State<Shared>, visitor: Visitor, Path(name): Path<String>) -> Response {
    let leaf = off_thread(&page, move |page| page.desk.leaf(&name)).await;
    let leaf = match leaf {
        Some(Some(leaf)) => leaf,
        Some(None) => {
            return frame::notice(StatusCode::NOT_FOUND, "There is no such page", "The library has a list of them.");
        }
        None => return frame::fault(),
    };
    let inside = html! {
        main.desk {
            article.side.leaf { (sheet(&leaf)) }
            (talk::beside(&page, &visitor).await)
        }
    };
    frame::screen(&page, &visitor, View::Library, &leaf.title, inside).into_response()
}

fn sheet(leaf: &Leaf) -> Markup {
    let headed = || leaf.sections.iter().filter(|section| section.depth > 0);
    html! {
        p.crumbs { a href="/library" { "Library" } " · " (leaf.kind) @if let Some(stage) = leaf.stage { " · " (stage) } }
        h1 { (leaf.title) }
        @if headed().count() > 1 {
            details.contents {
                summary { "On this page" }
                ol { @for section in headed() { li.deep[section.depth > 1] { a href={ "#" (coded(&section.anchor)) } { (section.heading) } } } }
            }
        }
        @for section in &leaf.sections { (self::section(section)) }
        @if let Some(line) = &leaf.walk {
            form method="post" action="/line" { button.primary name="line" value=(line) { "Step by step" } }
        }
        p.sources {
            @if !leaf.sources.is_empty() { span { "Basis" } " " (leaf.sources.join("; ")) ". " }
            @if let Some(day) = &leaf.reviewed { "Reviewed " (day) "." }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! {
        section.part id=(section.anchor) {
            @for anchor in &section.passages { span.anchor id=(anchor) {} }
            @match section.depth {
                0 => {},
                1 => h2 { (section.heading) },
                _ => h3 { (section.heading) },
            }
            @for piece in &section.pieces {
                @match piece {
                    Piece::Block(block) => (paint::text_block(block)),
                    Piece::List { numbered: true, start, items } => ol.steps start=(start) { @for item in items { (step(item)) } },
                    Piece::List { items, .. } => ul.bullets { @for item in items { (step(item)) } },
                }
            }
        }
    }
}

/// An item; the words of a hold point open the form that posts its reading.
fn step(step: &Step) -> Markup {
    let mut rest = step.text.as_str();
    let mut parts: Vec<(&str, Option<(&str, &str)>)> = Vec::new();
    for (words, line) in &step.holds {
        match rest.split_once(words.as_str()) {
            Some((before, after)) => {
                parts.push((before, Some((words, line))));
                rest = after;
            }
            None => parts.push(("", Some((words, line)))),
        }
    }
    html! {
        li.held[!step.holds.is_empty()] {
            @for (before, hold) in parts {
                (before)
                @if let Some((words, line)) = hold { a.hold href=(form_address(line)) { (words) } }
            }
            (rest)
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_hold_point_is_a_link_where_its_words_stand() {
        let hold = ("post the end gap".to_owned(), "log ring-gap".to_owned());
        let held = Step { text: "File, then post the end gap. <b>Go on</b>.".into(), holds: vec![hold] };
        let html = step(&held).into_string();
        assert_eq!(
            html,
            "<li class=\"held\">File, then <a class=\"hold\" href=\"/form?line=log%20ring-gap\">post the end gap</a>\
             . &lt;b&gt;Go on&lt;/b&gt;.</li>"
        );
        assert_eq!(passage_address("ring-end-gap#3").unwrap(), "/page/ring-end-gap#p3");
    }
}
