//! The stylesheet, the script and the mark, under names that hold a hash of their content.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use super::frame;

/// One file as it is served.
pub struct Asset {
    /// Where it is found; a new content has a new address, so it may be kept for good.
    pub address: String,
    media: &'static str,
    content: &'static str,
}

impl Asset {
    fn new(stem: &str, ending: &str, media: &'static str, content: &'static str) -> Self {
        let hash = blake3::hash(content.as_bytes()).to_hex();
        let address = format!("/assets/{stem}-{}.{ending}", hash.chars().take(16).collect::<String>());
        Self { address, media, content }
    }
}

/// One stylesheet, kept in parts: what every screen has, cards, forms, people, and what wider screens change.
const STYLES: &str = concat!(
    include_str!("assets/base.css"),
    include_str!("assets/card.css"),
    include_str!("assets/form.css"),
    include_str!("assets/people.css"),
    include_str!("assets/wide.css")
);

pub static STYLE: LazyLock<Asset> = LazyLock::new(|| Asset::new("page", "css", "text/css; charset=utf-8", STYLES));
pub static SCRIPT: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("page", "js", "text/javascript; charset=utf-8", include_str!("assets/page.js")));
/// For who comes in by a code in the address.
pub static JOIN: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("join", "js", "text/javascript; charset=utf-8", include_str!("assets/join.js")));
pub static MARK: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("mark", "svg", "image/svg+xml", include_str!("assets/mark.svg")));

pub async fn show(Path(name): Path<String>) -> Response {
    let wanted = format!("/assets/{name}");
    match [&STYLE, &SCRIPT, &JOIN, &MARK].into_iter().find(|asset| asset.address == wanted) {
        Some(asset) => {
            let headers = [(CONTENT_TYPE, asset.media), (CACHE_CONTROL, "public, max-age=31536000, immutable")];
            (headers, asset.content).into_response()
        }
        None => frame::notice(StatusCode::NOT_FOUND, "There is nothing here", "Load the page again."),
    }
}
