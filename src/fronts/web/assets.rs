//! The stylesheet, the scripts and the mark, under names that hold a hash of their content.

use std::sync::LazyLock;

#[cfg(feature = "shop")]
pub use serving::{manifest, packed, show, worker};

/// One file as it is served.
pub struct Asset {
    /// Where it is found; a new content has a new address, so it may be kept for good.
    pub address: String,
    media: &'static str,
    content: &'static [u8],
    packed: bool,
}

impl Asset {
    fn new(stem: &str, ending: &str, media: &'static str, content: &'static [u8]) -> Self {
        let hash = blake3::hash(content).to_hex();
        let address = format!("/assets/{stem}-{}.{ending}", hash.chars().take(16).collect::<String>());
        Self { address, media, content, packed: false }
    }
}

/// One stylesheet, kept in parts: what every screen has, cards, forms, people, what wider screens change, and the phone alone.
const STYLES: &str = concat!(
    include_str!("assets/base.css"),
    include_str!("assets/card.css"),
    include_str!("assets/form.css"),
    include_str!("assets/people.css"),
    include_str!("assets/wide.css"),
    include_str!("assets/offline.css")
);

pub static STYLE: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("page", "css", "text/css; charset=utf-8", STYLES.as_bytes()));
pub static SCRIPT: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("page", "js", SCRIPT_MEDIA, include_bytes!("assets/page.js")));
/// Keeps the page working while the server cannot be reached, and shows what is held.
pub static OFFLINE: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("offline", "js", SCRIPT_MEDIA, include_bytes!("assets/offline.js")));
/// For who comes in by a code in the address.
pub static JOIN: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("join", "js", SCRIPT_MEDIA, include_bytes!("assets/join.js")));
pub static MARK: LazyLock<Asset> =
    LazyLock::new(|| Asset::new("mark", "svg", "image/svg+xml", include_bytes!("assets/mark.svg")));

const SCRIPT_MEDIA: &str = "text/javascript; charset=utf-8";

#[cfg(feature = "shop")]
mod serving {
    use std::io::{self, Write};

    use axum::extract::Path;
    use axum::http::header::{CACHE_CONTROL, CONTENT_ENCODING, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
    use axum::http::{HeaderName, HeaderValue, StatusCode};
    use axum::response::{IntoResponse, Response};
    use flate2::Compression;
    use flate2::write::GzEncoder;
    use serde_json::json;

    use super::*;
    use crate::drawing::{self, Figure};
    use crate::fronts::web::{SCREENS, frame, guard};

    /// The desk for phones, packed; empty where the program was built without it.
    const MODULE_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/pocket.wasm.gz"));
    static MODULE: LazyLock<Option<Asset>> = LazyLock::new(|| {
        let module = Asset::new("pocket", "wasm", "application/wasm", MODULE_BYTES);
        (!MODULE_BYTES.is_empty()).then_some(Asset { packed: true, ..module })
    });

    /// Pixels across the icons that a phone's home screen asks for (W3C manifest).
    const ICONS: [u32; 2] = [192, 512];

    /// What stands between the page and the server on a phone. Its parts are one script, for a worker loads no other.
    static WORKER: LazyLock<String> = LazyLock::new(|| {
        let kept = [&STYLE, &SCRIPT, &OFFLINE, &MARK].map(|asset| asset.address.as_str());
        let module = MODULE.as_ref().map(|module| module.address.as_str());
        let given = json!({
            "kept": kept, "module": module, "style": STYLE.address, "policy": guard::POLICY, "screens": SCREENS,
        });
        let parts = [include_str!("assets/queue.js"), include_str!("assets/wasi.js"), include_str!("assets/worker.js")];
        format!("\"use strict\";\nconst GIVEN = {given};\n{}", parts.concat())
    });

    pub async fn show(Path(name): Path<String>) -> Response {
        let wanted = format!("/assets/{name}");
        let known = [Some(&*STYLE), Some(&*SCRIPT), Some(&*OFFLINE), Some(&*JOIN), Some(&*MARK), MODULE.as_ref()];
        if let Some(asset) = known.into_iter().flatten().find(|asset| asset.address == wanted) {
            let headers = [(CONTENT_TYPE, asset.media), (CACHE_CONTROL, "public, max-age=31536000, immutable")];
            let mut response = (headers, asset.content).into_response();
            if asset.packed {
                response.headers_mut().insert(CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            }
            return response;
        }
        if let Some(across) = ICONS.into_iter().find(|across| wanted == icon_address(*across)) {
            return match tokio::task::spawn_blocking(move || icon(across)).await {
                Ok(Ok(png)) => {
                    ([(CONTENT_TYPE, "image/png"), (CACHE_CONTROL, "public, max-age=86400")], png).into_response()
                }
                _ => frame::fault(),
            };
        }
        frame::notice(StatusCode::NOT_FOUND, "There is nothing here", "Load the page again.")
    }

    /// The worker stands at the root, for it answers for the whole page; it asks for itself anew each time.
    pub async fn worker() -> Response {
        let policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'";
        let headers = [
            (CONTENT_TYPE, SCRIPT_MEDIA),
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
            json!({ "src": icon_address(across), "sizes": sizes, "type": "image/png", "purpose": "any maskable" })
        });
        let manifest = json!({
            "id": "/", "name": "Gudgeon", "short_name": "Gudgeon", "start_url": "/", "scope": "/", "display": "standalone",
            "background_color": "#0b2f55", "theme_color": "#0b2f55", "lang": "en-GB", "icons": icons,
        });
        ([(CONTENT_TYPE, "application/manifest+json")], manifest.to_string()).into_response()
    }

    fn icon_address(across: u32) -> String {
        format!("/assets/icon-{across}.png")
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
