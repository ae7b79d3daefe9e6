//! Photographs that come with a slash command, fetched from where the platform keeps attachments and from nowhere else.
//!
//! What it says of one is believed in one thing only: one that is said to be too large is not fetched. Size counts again
//! while it is read, and what it really is the desk finds out from its bytes.

use std::time::Duration;

use anyhow::Context as _;
use reqwest::{Client, Response, StatusCode, Url, redirect};
use serenity::all::Attachment;
use tokio::sync::{Semaphore, SemaphorePermit};
use tokio::time::timeout;

use crate::desk::{Enclosed, MOST_A_READING, MOST_BYTES, Refusal, clip};

/// Where the platform keeps what people attach: over https, on its usual port, and never by way of another place.
const HOSTS: [&str; 2] = ["cdn.discordapp.com", "media.discordapp.net"];

/// The options of a command that takes photographs, as many as a reading does: `photo`, `photo-2` and so on.
pub fn options() -> impl Iterator<Item = String> {
    (1..=MOST_A_READING).map(|n| if n == 1 { "photo".to_owned() } else { format!("photo-{n}") })
}

/// So many lines fetch at once: each may hold six photographs in memory.
const AT_ONCE: usize = 4;

/// What the platform says of something that was attached.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Attached {
    name: String,
    url: String,
    size: u64,
}

impl From<&Attachment> for Attached {
    fn from(attachment: &Attachment) -> Self {
        let Attachment { filename, url, size, .. } = attachment;
        Self { name: filename.clone(), url: url.clone(), size: u64::from(*size) }
    }
}

/// The one way to what was attached.
pub struct Store {
    client: Client,
    /// Where a test keeps them, in place of [`HOSTS`].
    instead: Option<Url>,
    patience: Duration,
    turns: Semaphore,
}

impl Store {
    /// `patience` is for all that came with one line.
    pub fn new(instead: Option<&str>, patience: Duration) -> anyhow::Result<Self> {
        let instead = instead.map(Url::parse).transpose().context("no address of attachments")?;
        let client = Client::builder().redirect(redirect::Policy::none()).https_only(instead.is_none()).build();
        let client = client.context("attachments cannot be fetched")?;
        Ok(Self { client, instead, patience, turns: Semaphore::new(AT_ONCE) })
    }

    /// All of them or a refusal, and the turn that they take up until the line is answered.
    pub async fn fetch(&self, all: &[Attached]) -> Result<(Vec<Enclosed>, Option<SemaphorePermit<'_>>), Refusal> {
        let Some(first) = all.first() else { return Ok((Vec::new(), None)) };
        let work = async {
            let turn = self.turns.acquire().await.ok();
            let mut fetched = Vec::new();
            for attached in all {
                let bytes = self.one(attached).await.map_err(|why| refusal(attached, &why))?;
                fetched.push(Enclosed::new(bytes, &attached.name));
            }
            Ok((fetched, turn))
        };
        timeout(self.patience, work).await.unwrap_or_else(|_| {
            Err(refusal(first, &format!("It did not come within {} s", self.patience.as_secs_f64().ceil())))
        })
    }

    async fn one(&self, attached: &Attached) -> Result<Vec<u8>, String> {
        let url = self.place(&attached.url).ok_or("It does not lie where the platform keeps attachments")?;
        let too_large = |size: u64| size > MOST_BYTES as u64;
        let larger = || format!("It is larger than is kept ({} MB)", MOST_BYTES / (1024 * 1024));
        if too_large(attached.size) {
            return Err(larger());
        }
        // What went wrong may name the address, and that is for nobody else.
        let broke = |error: reqwest::Error| {
            tracing::warn!("a photograph could not be fetched: {}", error.without_url());
            "It could not be fetched".to_owned()
        };
        let mut response = self.client.get(url).send().await.map_err(broke)?;
        told(&response)?;
        if response.content_length().is_some_and(too_large) {
            return Err(larger());
        }
        let mut bytes = Vec::new();
        while let Some(more) = response.chunk().await.map_err(broke)? {
            bytes.extend_from_slice(&more);
            if too_large(bytes.len() as u64) {
                return Err(larger());
            }
        }
        Ok(bytes)
    }

    /// The address, where it is one of the platform's own.
    fn place(&self, url: &str) -> Option<Url> {
        let url = Url::parse(url).ok()?;
        let own = match &self.instead {
            Some(instead) => url.origin() == instead.origin(),
            None => {
                url.scheme() == "https" && url.port().is_none() && url.host_str().is_some_and(|h| HOSTS.contains(&h))
            }
        };
        (own && url.username().is_empty() && url.password().is_none()).then_some(url)
    }
}

/// Refuses all but the thing itself; to be sent elsewhere is no way to it.
fn told(response: &Response) -> Result<(), String> {
    match response.status() {
        StatusCode::OK => Ok(()),
        StatusCode::FORBIDDEN | StatusCode::NOT_FOUND | StatusCode::GONE => Err("It is no longer there".to_owned()),
        other => Err(format!("It could not be fetched ({})", other.as_u16())),
    }
}

fn refusal(attached: &Attached, why: &str) -> Refusal {
    let possible = format!("{why}. Nothing was posted: send the line again with the photograph, JPEG, PNG or WebP.");
    Refusal::new("photograph", clip(&attached.name, 40), possible)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn only_the_platforms_own_places_are_believed() {
        let store = Store::new(None, Duration::from_secs(1)).unwrap();
        let right = ["https://cdn.discordapp.com/attachments/1/2/crank.jpg?ex=1", "https://media.discordapp.net/a.png"];
        assert!(right.into_iter().all(|url| store.place(url).is_some()));
        for wrong in [
            "http://cdn.discordapp.com/a.jpg",
            "https://cdn.discordapp.com:8443/a.jpg",
            "https://cdn.discordapp.com.example/a.jpg",
            "https://example/cdn.discordapp.com/a.jpg",
            "https://cdn.discordapp.com@127.0.0.1/a.jpg",
            "https://me@cdn.discordapp.com/a.jpg",
            "https://127.0.0.1/a.jpg",
            "file:///etc/hostname",
            "cdn.discordapp.com/a.jpg",
            "",
        ] {
            assert!(store.place(wrong).is_none(), "{wrong}");
        }
    }

    #[test]
    fn every_photograph_of_a_reading_has_an_option() {
        assert_eq!(options().collect::<Vec<_>>()[..2], ["photo", "photo-2"]);
        assert_eq!(options().count(), MOST_A_READING);
    }
}
