//! What one person posts reaches the other phones at once: a stream of the record's head to every page that is open.
//!
//! A page knows the head it was painted at and compares: whatever it missed, before it was listening or while the
//! connection was down, shows as another head, and the page fetches itself anew. So a stream carries no events to lose.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Sse;
use axum::response::sse::Event;
use futures_util::stream::{self, Stream};
use jiff::Timestamp;
use tokio::sync::watch;

use super::sent::Visitor;
use super::{Shared, off_thread};
use crate::desk::Desk;

/// How often the record is looked at while someone listens: another program may post to it too.
const LOOK: Duration = Duration::from_millis(250);
/// How often the head is said again, so that a page notices a connection that died without a word.
const BEAT: Duration = Duration::from_secs(4);

/// The head as last seen; none once the page is closing.
pub struct Live(watch::Sender<Option<String>>);

impl Default for Live {
    fn default() -> Self {
        Self(watch::Sender::new(Some(String::new())))
    }
}

impl Live {
    /// Says the record's head now, if it has moved.
    pub fn look(&self, desk: &Desk) {
        match desk.fingerprint() {
            Ok(head) => {
                self.0.send_if_modified(|last| {
                    let moved = last.as_ref().is_some_and(|last| *last != head);
                    if moved {
                        *last = Some(head);
                    }
                    moved
                });
            }
            Err(error) => tracing::warn!("the record's head cannot be read: {error:#}"),
        }
    }

    /// Ends every stream, and what feeds them.
    pub fn close(&self) {
        self.0.send_replace(None);
    }
}

/// Follows the record while anyone listens, until the page closes.
pub async fn follow(page: Shared) {
    let mut closing = page.live.0.subscribe();
    loop {
        tokio::select! {
            ended = closing.wait_for(Option::is_none) => {
                drop(ended);
                return;
            }
            () = tokio::time::sleep(LOOK) => {}
        }
        // This task listens too.
        if page.live.0.receiver_count() > 1 {
            off_thread(&page, |page| page.live.look(&page.desk)).await;
        }
    }
}

/// The stream of one page.
pub async fn stream(
    State(page): State<Shared>,
    _visitor: Visitor,
    headers: HeaderMap,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let heads = page.live.0.subscribe();
    // The first head is that of now: nobody may have listened until this moment.
    off_thread(&page, |page| page.live.look(&page.desk)).await;
    Sse::new(stream::unfold((heads, true), move |(mut heads, first)| {
        let (page, headers) = (page.clone(), headers.clone());
        async move {
            if !first {
                let _ = tokio::time::timeout(BEAT, heads.changed()).await;
                // Whoever was put out meanwhile hears no more.
                page.door.who(&headers, Timestamp::now())?;
            }
            let head = heads.borrow_and_update().clone()?;
            let event = Event::default().event("head").id(&head).data(&head).retry(Duration::from_secs(1));
            Some((Ok(event), (heads, false)))
        }
    }))
}

/// The head a screen is painted at; read before the screen is, so that what comes between shows as news.
pub fn head(desk: &Arc<Desk>) -> String {
    desk.fingerprint().unwrap_or_default()
}
