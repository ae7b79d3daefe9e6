//! Getting an answer to the one who asked, in time, whatever the platform's REST side does.

use std::sync::Arc;
use std::time::Duration;

use serenity::all::{
    AutocompleteChoice, Builder, CreateAutocompleteResponse, CreateInteractionResponse, CreateModal, Http, HttpError,
    InteractionId, UserId,
};
use tokio::task::spawn_blocking;
use tokio::time::{sleep, timeout};

use super::attachments::Attached;
use super::paint::{self, Message};
use super::post;
use super::room::Room;
use super::slash::Given;
use crate::desk::Asker;

/// An interaction that wants an answer.
#[derive(Clone)]
pub struct Asked {
    pub id: InteractionId,
    /// Lets us answer for 15 minutes; never logged.
    pub token: String,
    pub asker: Asker,
    /// The platform's own number of who asks.
    pub member: UserId,
    /// The answer takes the place of the message under which it was asked for.
    pub in_place: bool,
    /// The largest file this server takes.
    pub most_bytes: usize,
}

/// How long one request to the platform may take.
pub const REQUEST: Duration = Duration::from_secs(5);
/// How long a person who types waits for a list at most.
const COMPLETION: Duration = Duration::from_millis(1_500);
/// Pauses before each try of the first answer, which has 3 s in all.
const TRIES: [u64; 3] = [0, 200, 600];
/// Pauses before each try of the answer after "one moment", which has 15 minutes; someone is waiting for it.
const LATE_TRIES: [u64; 5] = [0, 1, 5, 15, 30];
/// The platform's word for "you have answered already".
const ALREADY_ANSWERED: isize = 40_060;
/// And for a message that someone deleted.
pub const NO_MESSAGE: isize = 10_008;

/// Sends a line to the desk, with what was attached to it, and its answer to the asker; where that takes long, a "one
/// moment" comes first.
pub async fn line(http: &Http, room: &Arc<Room>, asked: Asked, line: String, attached: Vec<Attached>) {
    let _under_way = room.connection.begin();
    let work = said(room, asked.clone(), line, attached);
    tokio::pin!(work);
    let early = match room.settings.defer_after {
        Duration::ZERO => None,
        patience => timeout(patience, &mut work).await.ok(),
    };
    match early {
        Some(message) => self::message(http, &asked, message).await,
        None => {
            first(http, &asked, if asked.in_place { post::wait_in_place() } else { post::wait() }).await;
            late(http, &asked, work.await).await;
        }
    }
    // What was posted may be for others to hear of, too.
    room.something_to_tell.notify_one();
}

/// What the desk says to it. Without all that was attached it is not asked.
async fn said(room: &Arc<Room>, mut asked: Asked, line: String, attached: Vec<Attached>) -> Message {
    let (photos, _turn) = match room.store.fetch(&attached).await {
        Ok(fetched) => fetched,
        Err(refusal) => return paint::refused(&refusal, &[], &room.buttons),
    };
    asked.asker.enclosed.extend(photos);
    let of = Arc::clone(room);
    spawn_blocking(move || of.say(&asked, &line)).await.unwrap_or_else(|error| {
        tracing::error!("a chat answer broke off: {error}");
        paint::aside("That did not work", "Something broke on our side; it is in the log.")
    })
}

/// The answer after "one moment".
async fn late(http: &Http, asked: &Asked, message: Message) {
    let mut last = String::new();
    let mut anew = message.private;
    if message.private && !asked.in_place {
        // "One moment" was for everyone; a word for the asker alone takes its place.
        if let Err(error) = limited(http.delete_original_interaction_response(&asked.token)).await {
            tracing::warn!("a chat answer could not be taken back: {error}");
        }
    }
    for pause in LATE_TRIES {
        sleep(Duration::from_secs(pause)).await;
        let message = message.clone();
        let sent = async {
            if anew {
                post::follow_up(message).execute(http, (None, &asked.token)).await
            } else {
                post::edit(message).execute(http, &asked.token).await
            }
        };
        match timeout(REQUEST, sent).await {
            Ok(Ok(_)) => return,
            // Deleted meanwhile: what was asked for is said all the same.
            Ok(Err(error)) if !anew && code(&error) == Some(NO_MESSAGE) => anew = true,
            Ok(Err(error)) if !passing(&error) => {
                last = plain(&error);
                break;
            }
            Ok(Err(error)) => last = plain(&error),
            Err(_) => last = "no answer in time".to_owned(),
        }
    }
    tracing::warn!(person = asked.asker.person, "a late chat answer did not arrive: {last}");
}

/// A message at once. What takes another's place and finds it deleted stands for itself.
pub async fn message(http: &Http, asked: &Asked, message: Message) {
    let in_place = asked.in_place && !message.private;
    if !(in_place && first(http, asked, post::in_place(message.clone())).await) {
        first(http, asked, post::first(message)).await;
    }
}

/// A form to fill in.
pub async fn modal(http: &Http, asked: &Asked, modal: CreateModal) {
    first(http, asked, CreateInteractionResponse::Modal(modal)).await;
}

/// What fits the option that is being typed.
pub async fn completion(http: &Http, room: &Arc<Room>, asked: Asked, given: Given) {
    let work = {
        let (room, asker) = (Arc::clone(room), asked.asker.clone());
        spawn_blocking(move || {
            let (field, typed) = given.typing.unwrap_or_default();
            room.complete(&asker, &given.words, &field, &given.values, &typed)
        })
    };
    let found = match timeout(COMPLETION, work).await {
        Ok(Ok(found)) => found,
        // An empty list beats a late one: the person goes on typing.
        Ok(Err(_)) | Err(_) => Vec::new(),
    };
    choices(http, &asked, found).await;
}

/// What there is to choose from, as label and value.
pub async fn choices(http: &Http, asked: &Asked, found: Vec<(String, String)>) {
    let choices = found.into_iter().map(|(label, value)| AutocompleteChoice::new(label, value)).collect();
    let answer = CreateInteractionResponse::Autocomplete(CreateAutocompleteResponse::new().set_choices(choices));
    first(http, asked, answer).await;
}

/// Whether it arrived.
async fn first(http: &Http, asked: &Asked, answer: CreateInteractionResponse) -> bool {
    let mut last = String::new();
    for pause in TRIES {
        sleep(Duration::from_millis(pause)).await;
        match timeout(REQUEST, answer.clone().execute(http, (asked.id, &asked.token))).await {
            Ok(Ok(())) => return true,
            Ok(Err(error)) if code(&error) == Some(ALREADY_ANSWERED) => return true,
            Ok(Err(error)) => {
                last = plain(&error);
                if !passing(&error) {
                    break;
                }
            }
            Err(_) => last = "no answer in time".to_owned(),
        }
    }
    tracing::warn!(person = asked.asker.person, "a chat answer did not arrive: {last}");
    false
}

/// A request with an end, and its failure in words.
pub async fn limited<T>(request: impl Future<Output = serenity::Result<T>>) -> Result<T, String> {
    match timeout(REQUEST, request).await {
        Ok(done) => done.map_err(|error| plain(&error)),
        Err(_) => Err("no answer in time".to_owned()),
    }
}

/// An error in words that carry no address: addresses of answers hold a token.
pub fn plain(error: &serenity::Error) -> String {
    match error {
        serenity::Error::Http(HttpError::UnsuccessfulRequest(response)) => {
            format!("{}: {}", response.status_code, response.error.message)
        }
        serenity::Error::Http(HttpError::Request(error)) if error.is_connect() => "it cannot be reached".to_owned(),
        serenity::Error::Http(HttpError::Request(error)) if error.is_timeout() => "no answer in time".to_owned(),
        serenity::Error::Http(HttpError::Request(error)) if error.is_decode() => "its answer made no sense".to_owned(),
        other => other.to_string(),
    }
}

/// The platform's own number for what was wrong.
pub fn code(error: &serenity::Error) -> Option<isize> {
    match error {
        serenity::Error::Http(HttpError::UnsuccessfulRequest(response)) => Some(response.error.code),
        _ => None,
    }
}

/// Whether trying again may help.
fn passing(error: &serenity::Error) -> bool {
    match error {
        serenity::Error::Http(HttpError::UnsuccessfulRequest(response)) => {
            response.status_code.is_server_error() || response.status_code.as_u16() == 429
        }
        serenity::Error::Http(HttpError::Request(_)) => true,
        _ => false,
    }
}
