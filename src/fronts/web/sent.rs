//! What a browser sent: the fields of a form or a query, and the person behind it.

use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::request::Parts;
use axum::http::{Method, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;

use super::taste::Taste;
use super::{Shared, door, frame, guard};

/// The header by which the script asks for a card instead of a page.
const CARD_ONLY: &str = "x-card";

/// Named values, in the order of the form; a name may come more than once.
#[derive(Debug, Clone, Default)]
pub struct Values(Vec<(String, String)>);

impl Values {
    pub fn of(pairs: Vec<(String, String)>) -> Self {
        Self(pairs)
    }

    /// The first value of that name, or nothing at all.
    pub fn one(&self, name: &str) -> &str {
        self.0.iter().find(|(n, _)| n == name).map_or("", |(_, value)| value)
    }

    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str()))
    }
}

/// A posted form.
pub struct Posted(pub Values);

impl FromRequest<Shared> for Posted {
    type Rejection = Response;

    async fn from_request(request: Request, page: &Shared) -> Result<Self, Response> {
        match Form::<Vec<(String, String)>>::from_request(request, page).await {
            Ok(Form(pairs)) => Ok(Self(Values(pairs))),
            Err(rejection) => Err(unreadable(&rejection)),
        }
    }
}

fn unreadable(rejection: &FormRejection) -> Response {
    let status = rejection.status();
    let why = match status {
        StatusCode::PAYLOAD_TOO_LARGE => "It is too long: 64 KiB is the most. Nothing was posted.",
        _ => "It could not be read as a form. Nothing was posted.",
    };
    frame::notice(status, "This request was not taken", why)
}

/// What stands behind the question mark of an address.
pub struct Asked(pub Values);

impl FromRequestParts<Shared> for Asked {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, page: &Shared) -> Result<Self, Response> {
        match Query::<Vec<(String, String)>>::from_request_parts(parts, page).await {
            Ok(Query(pairs)) => Ok(Self(Values(pairs))),
            Err(_) => Err(frame::notice(
                StatusCode::BAD_REQUEST,
                "This address cannot be read",
                "Go back to the talk and follow a button from there.",
            )),
        }
    }
}

/// Someone who is signed in.
#[derive(Debug, Clone)]
pub struct Visitor {
    pub name: String,
    pub taste: Taste,
    /// The number of the device they are at.
    pub device: i64,
    /// The script asks: only the new card is wanted.
    pub card_only: bool,
}

impl FromRequestParts<Shared> for Visitor {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, page: &Shared) -> Result<Self, Response> {
        let card_only = parts.headers.contains_key(CARD_ONLY);
        let now = Timestamp::now();
        if let Some(device) = page.door.who(&parts.headers, now) {
            page.door.device_may(device.number, now).map_err(guard::too_many)?;
            return Ok(Self {
                taste: Taste::of(&parts.headers, &device.person),
                name: device.person,
                device: device.number,
                card_only,
            });
        }
        if card_only || parts.method != Method::GET {
            let why = "You are not signed in here, or no longer. Nothing was posted.";
            return Err(frame::notice(StatusCode::UNAUTHORIZED, "Say who you are first", why));
        }
        let back = parts.uri.path_and_query().map_or("/", |path| path.as_str());
        Err(Redirect::to(&door::address(back)).into_response())
    }
}
