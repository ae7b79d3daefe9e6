//! What every request passes: the Host it names, the page it comes from, and the headers it goes home with.

use std::net::SocketAddr;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;

use super::{Shared, frame};

/// Only what this server sends may run, be shown or be posted to; nothing inline, nothing from elsewhere.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// Lets a request through, or answers it here; adds the headers either way.
pub async fn guard(State(page): State<Shared>, request: Request, next: Next) -> Response {
    let response = match stopped(page.listen, request.method(), request.headers()) {
        Some((status, why)) => frame::notice(status, "This request was not taken", why),
        None => next.run(request).await,
    };
    let mut response = frame::painted(&page, response);
    let headers = response.headers_mut();
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
    response
}

fn stopped(listen: SocketAddr, method: &Method, headers: &HeaderMap) -> Option<(StatusCode, &'static str)> {
    let Some(host) = text(headers, &HOST) else {
        return Some((StatusCode::BAD_REQUEST, "It does not say which host it is for."));
    };
    if !host_is_ours(listen, host) {
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

/// On loopback only the loopback's own names are answered, so that no name elsewhere can be pointed at it.
fn host_is_ours(listen: SocketAddr, host: &str) -> bool {
    if !listen.ip().is_loopback() {
        return true;
    }
    let port = listen.port();
    let named = |name: &str| {
        let with_port = host.strip_prefix(name).and_then(|rest| rest.strip_prefix(':'));
        with_port == Some(port.to_string().as_str()) || (port == 80 && host == name)
    };
    named("localhost") || named("127.0.0.1") || named("[::1]") || host == listen.to_string()
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
    fn loopback_answers_to_its_own_names_only() {
        let listen = "127.0.0.1:8470".parse().unwrap();
        for host in ["127.0.0.1:8470", "localhost:8470", "[::1]:8470"] {
            assert!(host_is_ours(listen, host), "{host}");
        }
        for host in
            ["localhost", "127.0.0.1:80", "rebound.example:8470", "localhost:8470.example", "localhost.example:8470"]
        {
            assert!(!host_is_ours(listen, host), "{host}");
        }
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
