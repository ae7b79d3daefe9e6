//! The page on a phone while the server cannot be reached: the same screens and forms over the part of the shop that the
//! phone carries.
//!
//! One request is one run of the module: in come the request, what the phone carries and what it holds, out goes the
//! answer. Nothing is kept between two runs, so a line that posts is said again in every later one, until the server has it.

use std::future::Future;
use std::pin::pin;
use std::task::{Context, Poll, Waker};

use axum::body::{Body, to_bytes};
use axum::http::{Method, Request};
use axum::response::Response;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use tower_service::Service as _;

use super::carried::{Carried, Pages};
use super::{Page, frame, kept, screens, sent, who};
use crate::desk::{Asker, Desk, Front, Settings, ToTell};

/// A request as the page sent it.
#[derive(Debug, Deserialize)]
pub struct Sent {
    pub method: String,
    /// Path and query.
    pub address: String,
    #[serde(default)]
    pub card: bool,
    #[serde(default)]
    pub form: String,
    /// When it was sent, by the phone's clock: milliseconds since 1970.
    pub at: i64,
}

/// What is asked of the module.
#[derive(Debug, Deserialize)]
pub struct Asked {
    /// What the phone holds, in order.
    pub held: Vec<Sent>,
    pub sent: Sent,
}

/// The answer, but for its body.
#[derive(Debug, Serialize)]
pub struct Told {
    pub status: u16,
    pub media: String,
    /// Where it sends the browser instead.
    pub to: Option<String>,
    pub hold: Option<Hold>,
}

/// The request has to be held for the server.
#[derive(Debug, Serialize)]
pub struct Hold {
    pub told: Vec<String>,
    pub job: Option<i64>,
    pub seen: i64,
    pub judged: String,
}

/// Answers a request.
pub fn answer(asked: Asked, carried: Carried, pages: Pages) -> anyhow::Result<(Told, Vec<u8>)> {
    let seen = carried.record.head;
    let asker = Asker { role: Some(carried.role), ..Asker::new(carried.person.clone(), Front::Page) };
    let settings = Settings {
        shop: carried.shop,
        demo: carried.demo,
        people: carried.people,
        own_acceptance: carried.own_acceptance,
        ..Settings::default()
    };
    let desk = Desk::in_pocket(settings, pages, carried.record);
    let taste = carried.taste;
    let page = std::sync::Arc::new(Page::in_pocket(desk, who::Door::of(carried.person, carried.role)));
    for held in asked.held {
        let at = held.at;
        run(&page, held, &taste)?;
        page.desk.to_tell(&asker, moment(at));
    }
    let at = moment(asked.sent.at);
    let response = run(&page, asked.sent, &taste)?;
    let hold = page.desk.to_tell(&asker, at).map(|to_tell| {
        let ToTell { told, job, judged } = to_tell;
        Hold { told, job: job.map(|job| job.0), seen, judged }
    });
    let header = |name: &str| response.headers().get(name).and_then(|value| value.to_str().ok()).map(str::to_owned);
    let told = Told {
        status: response.status().as_u16(),
        media: header("content-type").unwrap_or_else(|| "text/html; charset=utf-8".to_owned()),
        to: header("location"),
        hold,
    };
    let body = finished(to_bytes(response.into_body(), usize::MAX))?;
    Ok((told, body.to_vec()))
}

fn moment(millisecond: i64) -> Timestamp {
    Timestamp::from_millisecond(millisecond).unwrap_or_default()
}

fn run(page: &super::Shared, sent: Sent, taste: &str) -> anyhow::Result<Response> {
    let request = Request::builder()
        .method(Method::from_bytes(sent.method.as_bytes())?)
        .uri(sent.address)
        .header("content-type", "application/x-www-form-urlencoded")
        .header("cookie", taste)
        .extension(sent::At(moment(sent.at)));
    let request = if sent.card { request.header(sent::CARD_ONLY, "1") } else { request };
    let mut router = screens().with_state(page.clone());
    let response = match finished(router.call(request.body(Body::from(sent.form))?)) {
        Ok(response) => response,
        Err(never) => match never {},
    };
    Ok(frame::painted(page, response))
}

/// Runs to its end what waits for nobody: on a phone there is no disk and no other thread.
fn finished<F: Future>(work: F) -> F::Output {
    let (mut work, mut context) = (pin!(work), Context::from_waker(Waker::noop()));
    loop {
        if let Poll::Ready(done) = work.as_mut().poll(&mut context) {
            return done;
        }
    }
}
