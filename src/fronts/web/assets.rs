//! The stylesheet, the script's modules and the mark, under an address that holds a hash of them all.
//!
//! A changed one has a new address, so each may be kept for good; modules find each other beside themselves.

use std::sync::LazyLock;

#[cfg(feature = "shop")]
pub use serving::{manifest, packed, show, worker};

/// One stylesheet, kept in parts: colours, what every screen has, cards, forms, boards, the library, photographs, people, wider screens, the phone alone, paper.
const STYLES: &str = concat!(
    include_str!("assets/palette.css"),
    include_str!("assets/base.css"),
    include_str!("assets/card.css"),
    include_str!("assets/form.css"),
    include_str!("assets/board.css"),
    include_str!("assets/library.css"),
    include_str!("assets/photo.css"),
    include_str!("assets/people.css"),
    include_str!("assets/wide.css"),
    include_str!("assets/offline.css"),
    include_str!("assets/print.css")
);

const CSS: &str = "text/css; charset=utf-8";
const JS: &str = "text/javascript; charset=utf-8";
const SVG: &str = "image/svg+xml";

/// Name, media type, content.
const ALL: [(&str, &str, &str); 12] = [
    ("page.css", CSS, STYLES),
    ("mark.svg", SVG, include_str!("assets/mark.svg")),
    ("page.js", JS, include_str!("assets/page.js")),
    // For who comes in by a code in the address; it stands alone.
    ("join.js", JS, include_str!("assets/join.js")),
    ("offline.js", JS, include_str!("assets/offline.js")),
    ("kit.js", JS, include_str!("assets/kit.js")),
    ("talk.js", JS, include_str!("assets/talk.js")),
    ("hints.js", JS, include_str!("assets/hints.js")),
    ("form.js", JS, include_str!("assets/form.js")),
    ("live.js", JS, include_str!("assets/live.js")),
    ("photo.js", JS, include_str!("assets/photo.js")),
    ("shelf.js", JS, include_str!("assets/shelf.js")),
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

#[cfg(feature = "shop")]
mod serving {
    use std::io::{self, Write};

    use axum::extract::Path;
    use axum::http::header::{CACHE_CONTROL, CONTENT_ENCODING, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
    use axum::http::{HeaderName, StatusCode};
    use axum::response::{IntoResponse, Response};
    use flate2::Compression;
    use flate2::write::GzEncoder;
    use serde_json::json;

    use super::*;
    use crate::drawing::{self, Figure};
    use crate::fronts::web::{frame, guard, screen_addresses};

    /// The desk for phones, packed; empty where the program was built without it.
    const MODULE_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/pocket.wasm.gz"));
    /// Its name, which holds a hash of it.
    static MODULE: LazyLock<Option<String>> = LazyLock::new(|| {
        let hash: String = blake3::hash(MODULE_BYTES).to_hex().chars().take(16).collect();
        (!MODULE_BYTES.is_empty()).then(|| format!("pocket-{hash}.wasm"))
    });

    /// Pixels across the icons that a phone's home screen asks for (W3C manifest).
    const ICONS: [u32; 2] = [192, 512];

    /// What stands between the page and the server on a phone. Its parts are one script, for a worker loads no other.
    static WORKER: LazyLock<String> = LazyLock::new(|| {
        let kept: Vec<String> = ALL.into_iter().map(|(name, ..)| address(name)).collect();
        // A phone keeps it while the rest of the page changes.
        let module = MODULE.as_ref().map(|name| format!("/assets/module/{name}"));
        let given = json!({
            "kept": kept, "module": module, "style": address("page.css"), "policy": guard::POLICY, "screens": screen_addresses(),
        });
        let parts = [include_str!("assets/queue.js"), include_str!("assets/wasi.js"), include_str!("assets/worker.js")];
        format!("\"use strict\";\nconst GIVEN = {given};\n{}", parts.concat())
    });

    /// What has a name of its own beside the page's files.
    enum Other {
        Module,
        Icon(u32),
    }

    fn other(name: &str) -> Option<Other> {
        let icon = || ICONS.into_iter().find(|across| icon_name(*across) == name).map(Other::Icon);
        if MODULE.as_deref() == Some(name) { Some(Other::Module) } else { icon() }
    }

    pub async fn show(Path((mark, name)): Path<(String, String)>) -> Response {
        const FOR_GOOD: (HeaderName, &str) = (CACHE_CONTROL, "public, max-age=31536000, immutable");
        if let Some((_, media, content)) = ALL.into_iter().find(|(known, ..)| *known == name && *MARK == mark) {
            return ([(CONTENT_TYPE, media), FOR_GOOD], content).into_response();
        }
        match other(&name) {
            Some(Other::Module) => {
                let headers = [(CONTENT_TYPE, "application/wasm"), (CONTENT_ENCODING, "gzip"), FOR_GOOD];
                (headers, MODULE_BYTES).into_response()
            }
            Some(Other::Icon(across)) => match tokio::task::spawn_blocking(move || icon(across)).await {
                Ok(Ok(png)) => ([(CONTENT_TYPE, "image/png"), FOR_GOOD], png).into_response(),
                _ => frame::fault(),
            },
            None => frame::notice(StatusCode::NOT_FOUND, "There is nothing here", "Load the page again."),
        }
    }

    /// The worker stands at the root, for it answers for the whole page; it asks for itself anew each time.
    pub async fn worker() -> Response {
        let policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'";
        let headers = [
            (CONTENT_TYPE, JS),
            (CACHE_CONTROL, "no-cache"),
            (CONTENT_SECURITY_POLICY, policy),
            (HeaderName::from_static("service-worker-allowed"), "/"),
        ];
        (headers, WORKER.as_str()).into_response()
    }

    /// What makes the page installable (W3C Web Application Manifest).
    pub async fn manifest() -> Response {
        let icons = ICONS.map(|across| {
            let sizes = format!("{across}x{across}");
            json!({ "src": address(&icon_name(across)), "sizes": sizes, "type": "image/png", "purpose": "any maskable" })
        });
        let manifest = json!({
            "id": "/", "name": "Gudgeon", "short_name": "Gudgeon", "start_url": "/", "scope": "/", "display": "standalone",
            "background_color": "#0b2f55", "theme_color": "#0b2f55", "lang": "en-GB", "icons": icons,
        });
        ([(CONTENT_TYPE, "application/manifest+json")], manifest.to_string()).into_response()
    }

    fn icon_name(across: u32) -> String {
        format!("icon-{across}.png")
    }

    /// The mark within what a round mask leaves (four fifths), on the bar's blue.
    fn icon(across: u32) -> Result<Vec<u8>, drawing::DrawingError> {
        let svg = concat!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64" width="64" height="64">"##,
            r##"<rect width="64" height="64" fill="#0b2f55"/><g fill="none" stroke="#ffffff">"##,
            r##"<circle cx="32" cy="32" r="20" stroke-width="4"/><circle cx="32" cy="32" r="10.5" stroke-width="7"/>"##,
            "</g></svg>"
        );
        let (title, alt) = ("Gudgeon".to_owned(), "A pin seen end on, in its bore".to_owned());
        drawing::png(&Figure { title, alt, svg: svg.to_owned(), width: 64, height: 64 }, across as f32 / 64.0)
    }

    /// A text as it travels.
    pub fn packed(text: &[u8]) -> io::Result<Vec<u8>> {
        let mut packer = GzEncoder::new(Vec::new(), Compression::default());
        packer.write_all(text)?;
        packer.finish()
    }
}
