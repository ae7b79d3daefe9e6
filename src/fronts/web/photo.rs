//! Photographs on the page: the camera field, what a phone sends ahead of its reading, and a kept one by its address.
//!
//! With script a photograph is scaled on the phone and sent ahead; the form then names it, and is no larger than any other.
//! Without script the form brings it along, by the one route that takes as much.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

use axum::body::Bytes;
use axum::extract::multipart::{Multipart, MultipartError};
use axum::extract::{FromRequest, Path, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, IF_NONE_MATCH,
};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use super::kept::random_name;
use super::sent::{Values, Visitor};
use super::{BODY_LIMIT, Shared, forms, frame, off_thread};
use crate::desk::reply::Photograph;
use crate::desk::{Enclosed, Form, MOST_A_READING, MOST_BYTES, Refusal};

/// The most that one photograph sent ahead may be, and the most that a form with its photographs may be, in bytes.
pub const ONE_LIMIT: usize = MOST_BYTES + 1024;
pub const FORM_LIMIT: usize = MOST_A_READING * MOST_BYTES + 2 * BODY_LIMIT;

/// Our own names in a form: the file itself, and one sent ahead.
const FILE: &str = "form.file";
const AHEAD: &str = "form.photo";

/// What is held for readings that are still being typed: so much of each person, so much in all; the oldest goes first.
const MOST_OF_ONE: usize = 2 * MOST_A_READING;
const MOST_HELD: usize = 96 * 1024 * 1024;

/// Why one that was sent ahead cannot go with its reading.
#[cfg(feature = "shop")]
const GONE: &str = "It is no longer held here. Take it off the form, take it again, and send.";
#[cfg(not(feature = "shop"))]
const GONE: &str = "It needs the shop’s server, which does not answer. Send it again once it does, or post without it.";

/// Photographs sent ahead, oldest first.
#[derive(Default)]
pub struct Ahead(Mutex<VecDeque<Held>>);

struct Held {
    id: String,
    owner: String,
    photo: Enclosed,
}

impl Ahead {
    /// Holds one for its owner; none when there is no randomness for its name.
    fn put(&self, owner: &str, photo: Enclosed) -> Option<String> {
        let id = random_name()?;
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.push_back(Held { id: id.clone(), owner: owner.to_owned(), photo });
        if held.iter().filter(|one| one.owner == owner).count() > MOST_OF_ONE
            && let Some(oldest) = held.iter().position(|one| one.owner == owner)
        {
            held.remove(oldest);
        }
        while held.iter().map(|one| one.photo.size()).sum::<usize>() > MOST_HELD {
            held.pop_front();
        }
        Some(id)
    }

    /// Those that a form names. They stay for a second try; one that is gone is a refusal, for nobody may think it was kept.
    pub fn named(&self, owner: &str, values: &Values) -> Result<Vec<Enclosed>, Refusal> {
        let held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let named = values.pairs().filter(|(name, id)| *name == AHEAD && !id.is_empty());
        let find = |(_, id): (&str, &str)| {
            let found = held.iter().find(|one| one.id == id && one.owner == owner);
            found.map(|one| one.photo.clone()).ok_or_else(|| Refusal::new("photograph", "", GONE))
        };
        named.map(find).collect()
    }
}

/// Takes a photograph ahead of its reading and says its name. One that could not be kept is refused here, in plain words.
pub async fn ahead(State(page): State<Shared>, visitor: Visitor, headers: HeaderMap, body: Bytes) -> Response {
    let claimed = headers.get(CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let photo = Enclosed::new(&*body, claimed);
    let done =
        off_thread(&page, move |page| photo.refused().map_or_else(|| Ok(page.ahead.put(&visitor.name, photo)), Err));
    match done.await {
        Some(Ok(Some(id))) => id.into_response(),
        Some(Err(refusal)) => (StatusCode::UNPROCESSABLE_ENTITY, refusal.possible).into_response(),
        Some(Ok(None)) | None => frame::fault(),
    }
}

/// A form with what it brings along.
pub struct Brought {
    values: Values,
    enclosed: Vec<Enclosed>,
}

impl FromRequest<Shared> for Brought {
    type Rejection = Response;

    async fn from_request(request: Request, page: &Shared) -> Result<Self, Response> {
        let form = Multipart::from_request(request, page).await;
        let mut form = form.map_err(|rejection| unreadable(rejection.status()))?;
        let (mut pairs, mut enclosed, mut text) = (Vec::new(), Vec::new(), 0);
        let failed = |error: MultipartError| unreadable(error.status());
        while let Some(field) = form.next_field().await.map_err(failed)? {
            let name = field.name().unwrap_or_default().to_owned();
            if name == FILE {
                let claimed = field.content_type().unwrap_or_default().to_owned();
                let bytes = field.bytes().await.map_err(failed)?;
                // A file field that nobody touched is sent too, empty.
                if !bytes.is_empty() {
                    enclosed.push(Enclosed::new(&*bytes, &claimed));
                }
                continue;
            }
            let value = field.text().await.map_err(failed)?;
            text += name.len() + value.len();
            if text > BODY_LIMIT {
                return Err(unreadable(StatusCode::PAYLOAD_TOO_LARGE));
            }
            pairs.push((name, value));
        }
        Ok(Self { values: Values::of(pairs), enclosed })
    }
}

fn unreadable(status: StatusCode) -> Response {
    let why = match status {
        StatusCode::PAYLOAD_TOO_LARGE => "It is too large: a photograph may have 5 MB. Nothing was posted.",
        _ => "It could not be read as a form. Nothing was posted.",
    };
    frame::notice(status, "This request was not taken", why)
}

/// A form that brings its photographs along.
pub async fn send(State(page): State<Shared>, visitor: Visitor, brought: Brought) -> Response {
    forms::taken(page, visitor, brought.values, Ok(brought.enclosed)).await
}

/// Where a photograph is.
pub fn address(photo: &Photograph) -> String {
    format!("/photo/{}.{}", photo.hash, photo.ending)
}

/// A kept photograph. What is under a hash never changes, so a browser that has it asks only whether it still may.
pub async fn show(
    State(page): State<Shared>,
    _visitor: Visitor,
    headers: HeaderMap,
    Path(name): Path<String>,
) -> Response {
    let Some(hash) = hash_of(&name) else { return missing() };
    let tag = format!("\"{hash}\"");
    let kept = [(ETAG, tag.clone()), (CACHE_CONTROL, "private, no-cache".to_owned())];
    if headers.get(IF_NONE_MATCH).is_some_and(|had| had.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, kept).into_response();
    }
    match off_thread(&page, move |page| page.desk.photograph(&hash)).await {
        Some(Ok(Some(photo))) => {
            let shut = "default-src 'none'; sandbox; frame-ancestors 'none'".to_owned();
            let headers = [
                (CONTENT_TYPE, photo.media.to_owned()),
                (CONTENT_DISPOSITION, format!("inline; filename=\"photo.{}\"", photo.ending)),
                (CONTENT_SECURITY_POLICY, shut),
            ];
            (kept, headers, photo.bytes).into_response()
        }
        Some(Ok(None)) => missing(),
        Some(Err(error)) => {
            tracing::error!("a photograph could not be read: {error:#}");
            frame::fault()
        }
        None => frame::fault(),
    }
}

fn missing() -> Response {
    let why = "A photograph is found beside its reading: `review show` with the reading's number shows it.";
    frame::notice(StatusCode::NOT_FOUND, "There is no such photograph", why)
}

/// The hash in a name such as `77ab….jpg`; none for a name that could be anything else.
fn hash_of(name: &str) -> Option<String> {
    let (hash, _) = name.split_once('.')?;
    let digits = hash.len() == 64 && hash.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    digits.then(|| hash.to_owned())
}

/// The camera field of a form; `owner` is the form it belongs to, where it stands in another.
pub fn field(owner: Option<&str>) -> Markup {
    let id = format!("{}camera", owner.map(|owner| format!("{owner}-")).unwrap_or_default());
    html! {
        div.camera {
            label.button for=(id) { (camera()) span { "Photograph" } }
            input id=(id) type="file" name=(FILE) accept="image/*" capture="environment" form=[owner];
            ul.shots aria-live="polite" {}
        }
    }
}

/// The button that sends a form. Where no script takes the form over, one that may bring a photograph goes by the route that
/// takes as much.
pub fn send_button(form: &Form, owner: Option<&str>, label: Markup) -> Markup {
    let to = form.photos.then_some("/form/photo");
    html! {
        button.primary form=[owner] formaction=[to] formenctype=[to.map(|_| "multipart/form-data")] { (label) }
    }
}

fn camera() -> Markup {
    html! {
        svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" {
            path d="M8 5 9.5 3h5L16 5h5v15H3V5Zm4 3.5a4.5 4.5 0 1 0 0 9 4.5 4.5 0 0 0 0-9Z" fill="currentColor" {}
            circle cx="12" cy="13" r="2.6" fill="currentColor" {}
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_a_hash_and_nothing_else() {
        let hash = "0123456789abcdef".repeat(4);
        assert_eq!(hash_of(&format!("{hash}.jpg")), Some(hash.clone()));
        for bad in
            ["", "x", "../record.sqlite", "%2e%2e.jpg", &hash, &format!("{}.jpg", hash.to_uppercase()), "a'--.jpg"]
        {
            assert_eq!(hash_of(bad), None, "{bad}");
        }
    }

    #[test]
    fn what_is_sent_ahead_is_its_owners_and_the_oldest_goes_first() {
        let ahead = Ahead::default();
        let named = |owner: &str, id: &str| ahead.named(owner, &Values::of(vec![(AHEAD.to_owned(), id.to_owned())]));
        let first = ahead.put("tech-1", Enclosed::new(&b"one"[..], "image/jpeg")).unwrap();
        assert_eq!(named("tech-1", &first).unwrap().len(), 1);
        assert_eq!(named("tech-1", &first).unwrap().len(), 1, "it stays for a second try");
        assert!(named("tech-1", "").unwrap().is_empty());
        assert_eq!(named("lead", &first).unwrap_err().input, "photograph");
        let others = ahead.put("lead", Enclosed::new(&b"two"[..], "image/jpeg")).unwrap();
        for _ in 0..MOST_OF_ONE {
            ahead.put("tech-1", Enclosed::new(&b"more"[..], "image/jpeg")).unwrap();
        }
        assert!(named("tech-1", &first).is_err());
        assert!(named("lead", &others).is_ok());
        for _ in 0..MOST_HELD / MOST_BYTES {
            ahead.put("lead-2", Enclosed::new(vec![0; MOST_BYTES], "image/jpeg")).unwrap();
            ahead.put("lead-3", Enclosed::new(vec![0; MOST_BYTES], "image/jpeg")).unwrap();
        }
        assert!(named("lead", &others).is_err());
    }
}
