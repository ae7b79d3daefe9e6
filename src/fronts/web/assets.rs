//! The stylesheet, the script's modules and the mark, under an address that holds a hash of them all.
//!
//! A changed one has a new address, so each may be kept for good; modules find each other beside themselves.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use super::frame;

/// One stylesheet, kept in parts: colours, what every screen has, cards, forms, photographs, boards, the library, people,
/// wider screens, paper.
const STYLES: &str = concat!(
    include_str!("assets/palette.css"),
    include_str!("assets/base.css"),
    include_str!("assets/card.css"),
    include_str!("assets/form.css"),
    include_str!("assets/photo.css"),
    include_str!("assets/board.css"),
    include_str!("assets/library.css"),
    include_str!("assets/people.css"),
    include_str!("assets/wide.css"),
    include_str!("assets/print.css")
);

const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";
const SVG: &str = "image/svg+xml";

/// Name, media type, content.
const ALL: [(&str, &str, &str); 11] = [
    ("page.css", CSS, STYLES),
    ("mark.svg", SVG, include_str!("assets/mark.svg")),
    ("page.js", JS, include_str!("assets/page.js")),
    // For who comes in by a code in the address; it stands alone.
    ("join.js", JS, include_str!("assets/join.js")),
    ("kit.js", JS, include_str!("assets/kit.js")),
    ("talk.js", JS, include_str!("assets/talk.js")),
    ("hints.js", JS, include_str!("assets/hints.js")),
    ("form.js", JS, include_str!("assets/form.js")),
    ("live.js", JS, include_str!("assets/live.js")),
    ("shelf.js", JS, include_str!("assets/shelf.js")),
    ("photo.js", JS, include_str!("assets/photo.js")),
];

/// A hash of all of them.
static MARK: LazyLock<String> = LazyLock::new(|| {
    let mut hasher = blake3::Hasher::new();
    for (name, _, content) in ALL {
        hasher.update(name.as_bytes()).update(blake3::hash(content.as_bytes()).as_bytes());
    }
    hasher.finalize().to_hex().chars().take(16).collect()
});

/// Where a file of that name is found.
pub fn address(name: &str) -> String {
    format!("/assets/{}/{name}", *MARK)
}

/// The modules that the script asks for, so that a browser need not read it first to know.
pub fn modules() -> impl Iterator<Item = String> {
    let asked_for = |name: &str| !matches!(name, "page.js" | "join.js");
    ALL.into_iter().filter(move |(name, media, _)| *media == JS && asked_for(name)).map(|(name, ..)| address(name))
}

pub async fn show(Path((mark, name)): Path<(String, String)>) -> Response {
    match ALL.into_iter().find(|(known, ..)| *known == name && *MARK == mark) {
        Some((_, media, content)) => {
            let headers = [(CONTENT_TYPE, media), (CACHE_CONTROL, "public, max-age=31536000, immutable")];
            (headers, content).into_response()
        }
        None => frame::notice(StatusCode::NOT_FOUND, "There is nothing here", "Load the page again."),
    }
}
