//! What people attached, as the platform gives it out again.

use std::collections::BTreeMap;

use axum::body::{Body, Bytes};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// What lies under a name.
pub enum Stored {
    There(Vec<u8>),
    /// It is given out without a word of how much it is.
    Streamed(Vec<u8>),
    /// It is said to lie at another address.
    Elsewhere(String),
    /// The request is taken, and there is no answer.
    Silent,
}

/// All of it, by name. What is not there was deleted, or its address has run out.
pub type Store = BTreeMap<&'static str, Stored>;

/// The answer to a request for one; none where it is kept waiting for ever.
pub fn give(store: &Store, name: &str) -> Option<Response> {
    let kind = (header::CONTENT_TYPE, "image/jpeg");
    Some(match store.get(name) {
        Some(Stored::There(bytes)) => ([kind], bytes.clone()).into_response(),
        Some(Stored::Streamed(bytes)) => {
            let parts: Vec<_> =
                bytes.chunks(64 * 1024).map(|part| Ok::<_, std::io::Error>(Bytes::copy_from_slice(part))).collect();
            ([kind], Body::from_stream(futures_util::stream::iter(parts))).into_response()
        }
        Some(Stored::Elsewhere(place)) => (StatusCode::FOUND, [(header::LOCATION, place.clone())]).into_response(),
        Some(Stored::Silent) => return None,
        None => (StatusCode::NOT_FOUND, "This content is no longer available.").into_response(),
    })
}
