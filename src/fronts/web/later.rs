//! A request that a phone held until the server could be reached: the same request, with a header that says when it was
//! made and what the phone knew then.

use axum::http::HeaderMap;
use jiff::{SignedDuration, Timestamp};
use serde::Deserialize;

use crate::desk::{Held, JobId, Taken};

const HEADER: &str = "x-held";
/// A phone's clock that is off by less is right: a request takes its time.
const RIGHT: SignedDuration = SignedDuration::from_secs(30);
/// The longest name a phone may give itself.
const LONGEST_NAME: usize = 32;

/// The header, as JSON. Times are the phone's: milliseconds since 1970.
#[derive(Debug, Deserialize)]
struct Said {
    /// When the request was made, and when it is sent.
    taken: i64,
    sent: i64,
    phone: String,
    person: String,
    job: Option<i64>,
    seen: i64,
    judged: Option<String>,
    #[serde(default)]
    sure: bool,
}

/// Why what is said of it is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Untaken {
    Unread,
    /// Someone else made the request than is signed in now.
    Anothers,
}

/// What the request says of having been held; times are put right by `now`.
pub fn held(headers: &HeaderMap, person: &str, now: Timestamp) -> Result<Option<Held>, Untaken> {
    let Some(said) = headers.get(HEADER) else { return Ok(None) };
    let said: Said = serde_json::from_slice(said.as_bytes()).map_err(|_| Untaken::Unread)?;
    if said.person != person {
        return Err(Untaken::Anothers);
    }
    let plain = !said.phone.is_empty() && said.phone.chars().all(|c| c.is_ascii_alphanumeric());
    if !plain || said.phone.len() > LONGEST_NAME {
        return Err(Untaken::Unread);
    }
    let (at, ahead) = put_right(said.taken, said.sent, now).ok_or(Untaken::Unread)?;
    let taken = Taken { at, ahead, phone: said.phone };
    Ok(Some(Held { taken, job: said.job.map(JobId), seen: said.seen, judged: said.judged, sure: said.sure }))
}

/// The moment by our clock, and how many seconds the phone's is ahead. What was taken is not later than it came in.
fn put_right(taken: i64, sent: i64, now: Timestamp) -> Option<(Timestamp, i64)> {
    let moment = |millisecond| Timestamp::from_millisecond(millisecond).ok();
    let (taken, sent) = (moment(taken)?, moment(sent)?);
    let ahead = sent.duration_since(now);
    let ahead = if ahead.abs() <= RIGHT { SignedDuration::ZERO } else { ahead };
    Some((taken.checked_sub(ahead).ok()?.min(now), ahead.as_secs()))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_is_off_is_put_right_by_ours() {
        let now = Timestamp::from_second(1_000_000).unwrap();
        let put = |taken: i64, sent: i64| {
            let (at, ahead) = put_right(taken * 1000, sent * 1000, now).unwrap();
            (at.as_second(), ahead)
        };
        assert_eq!(put(999_000, 1_000_010), (999_000, 0), "a right clock is left alone");
        assert_eq!(put(1_002_600, 1_003_600), (999_000, 3600), "an hour fast");
        assert_eq!(put(995_400, 996_400), (999_000, -3600), "an hour slow");
        assert_eq!(put(1_000_500, 1_000_000), (1_000_000, 0), "set back between the two: not later than it came");
        assert!(put_right(i64::MAX, 0, now).is_none());
    }

    #[test]
    fn what_is_said_wrongly_is_not_taken() {
        let read = |text: &str| {
            let headers = HeaderMap::from_iter([("x-held".parse().unwrap(), text.parse().unwrap())]);
            held(&headers, "tech-1", Timestamp::UNIX_EPOCH)
        };
        let whole = r#"{"taken":0,"sent":0,"phone":"a1","person":"tech-1","job":1,"seen":7,"judged":"ab"}"#;
        let held = read(whole).unwrap().unwrap();
        assert_eq!((held.job, held.seen, held.sure), (Some(JobId(1)), 7, false));
        assert_eq!(read(&whole.replace("tech-1", "lead")), Err(Untaken::Anothers));
        assert!(read("").is_err() && read("{}").is_err());
        assert!(read(&whole.replace("a1", "a 1")).is_err() && read(&whole.replace("a1", &"a".repeat(33))).is_err());
    }
}
