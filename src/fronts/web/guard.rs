//! What every request passes: how often its address asks, the Host it names, the page it comes from, how long it takes,
//! and the headers it goes home with.

use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, RETRY_AFTER, STRICT_TRANSPORT_SECURITY,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;
use jiff::Timestamp;

use super::limits::Wait;
use super::network::Hosts;
use super::serve::Peer;
use super::{Shared, frame};

/// Only what this server sends may run, be shown or be posted to; nothing inline, nothing from elsewhere.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// A request that is not answered in this time, the sending of its body included, is given up.
const PATIENCE: Duration = Duration::from_secs(60);

/// Lets a request through, or answers it here; adds the headers either way.
pub async fn guard(State(page): State<Shared>, from: Peer, request: Request, next: Next) -> Response {
    let response = match page.door.address_may(from.0, Timestamp::now()) {
        Err(wait) => too_many(wait),
        Ok(()) => match stopped(&page.hosts, request.method(), request.headers()) {
            Some((status, why)) => frame::notice(status, "This request was not taken", why),
            None => tokio::time::timeout(PATIENCE, next.run(request)).await.unwrap_or_else(|_| {
                let why = "It took longer than a minute to come. Look in the talk before you send it again.";
                frame::notice(StatusCode::REQUEST_TIMEOUT, "This request was given up", why)
            }),
        },
    };
    let wait = response.headers().get(RETRY_AFTER).cloned();
    let mut response = frame::painted(&page, response);
    let headers = response.headers_mut();
    if let Some(wait) = wait {
        headers.insert(RETRY_AFTER, wait);
    }
    let mut set = |name: HeaderName, value: &'static str| {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    set(CONTENT_SECURITY_POLICY, POLICY);
    set(X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(X_FRAME_OPTIONS, "DENY");
    // Not `no-referrer`: with that a browser posts forms with the origin `null`, and the check below would fail.
    set(REFERRER_POLICY, "same-origin");
    set(CACHE_CONTROL, "no-store");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    set(HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()");
    if !page.door.trusting {
        // Half a year. Browsers heed it only where they trust the certificate.
        set(STRICT_TRANSPORT_SECURITY, "max-age=15724800");
    }
    response
}

/// Refuses what comes too often, and says when it may come again.
pub fn too_many(Wait(seconds): Wait) -> Response {
    let why = "Too much came at once. Nothing was posted: wait a little, then send it again.";
    let mut response = frame::notice(StatusCode::TOO_MANY_REQUESTS, "Not so fast", why);
    response.headers_mut().insert(RETRY_AFTER, seconds.into());
    response
}

fn stopped(hosts: &Hosts, method: &Method, headers: &HeaderMap) -> Option<(StatusCode, &'static str)> {
    let Some(host) = text(headers, &HOST) else {
        return Some((StatusCode::BAD_REQUEST, "It does not say which host it is for."));
    };
    if !hosts.ours(host) {
        return Some((
            StatusCode::MISDIRECTED_REQUEST,
            "It is for another host. Open the address the program printed.",
        ));
    }
    if !matches!(*method, Method::GET | Method::HEAD) && !from_our_page(headers, host) {
        return Some((StatusCode::FORBIDDEN, "It comes from another page. Nothing was posted: send it from this one."));
    }
    None
}

/// A browser says where a post comes from, in one header or both; what says nothing is not a browser on our page.
fn from_our_page(headers: &HeaderMap, host: &str) -> bool {
    let site = text(headers, &FETCH_SITE).map(|site| matches!(site, "same-origin" | "none"));
    let origin = text(headers, &ORIGIN)
        .map(|origin| origin.split_once("://").is_some_and(|(_, authority)| authority.eq_ignore_ascii_case(host)));
    match (site, origin) {
        (None, None) => false,
        (site, origin) => site.unwrap_or(true) && origin.unwrap_or(true),
    }
}

fn text<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    headers.get(name).map(|value| value.to_str().unwrap_or("?"))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        pairs.iter().map(|(n, v)| (HeaderName::from_static(n), v.parse().unwrap())).collect()
    }

    #[test]
    fn a_post_must_say_it_comes_from_here() {
        let host = "127.0.0.1:8470";
        let post = |pairs: &[(&'static str, &str)]| from_our_page(&headers(pairs), host);
        assert!(post(&[("origin", "http://127.0.0.1:8470")]));
        assert!(post(&[("origin", "http://127.0.0.1:8470"), ("sec-fetch-site", "same-origin")]));
        assert!(post(&[("sec-fetch-site", "same-origin")]));
        assert!(!post(&[]));
        assert!(!post(&[("origin", "null")]));
        assert!(!post(&[("origin", "http://127.0.0.1:9999")]));
        assert!(!post(&[("origin", "http://elsewhere.example"), ("sec-fetch-site", "same-origin")]));
        assert!(!post(&[("origin", "http://127.0.0.1:8470"), ("sec-fetch-site", "cross-site")]));
        assert!(!post(&[("sec-fetch-site", "same-site")]));
    }
}
