//! Photographs at the desk: those that came beside a line, and those that stand beside a reading.

use std::sync::Arc;

use super::recorded::{behind_name, moment};
use super::reply::{Action, Block, Photograph};
use super::trouble::{Refusal, Trouble, clip};
use super::{Asker, Context, Desk};
use crate::quantity::show;
use crate::record::{Act, Entry, Job, Media, Photo, Picture, Reading, RecordError};

pub use crate::record::{MOST_A_READING, MOST_BYTES};

/// The commands that a photograph may come beside.
pub const PICTURED: [&str; 3] = ["log", "amend", "photo"];

/// Something that came beside a line, as it came.
#[derive(Debug, Clone)]
pub struct Enclosed {
    bytes: Arc<[u8]>,
    /// What it was sent as. It is told in a refusal, and believed in nothing.
    claimed: String,
}

impl Enclosed {
    pub fn new(bytes: impl Into<Arc<[u8]>>, claimed: &str) -> Self {
        Self { bytes: bytes.into(), claimed: claimed.to_owned() }
    }

    /// How many bytes it has.
    pub fn size(&self) -> usize {
        self.bytes.len()
    }

    /// Why it could not be kept, if it could not: for a front that takes photographs ahead of their line.
    pub fn refused(&self) -> Option<Refusal> {
        self.read().err()
    }

    fn read(&self) -> Result<Picture, Refusal> {
        let refusal = |error: RecordError| match error {
            RecordError::Unfit { rule, .. } => format!("The photograph {rule}."),
            other => format!("{}.", show::capital(&other.to_string())),
        };
        Picture::read(&self.bytes).map_err(|error| Refusal::new("photograph", clip(&self.claimed, 40), refusal(error)))
    }
}

impl Asker {
    /// Puts a photograph beside the line that is sent next: how every front hands one in. What it really is the desk finds
    /// out from its bytes, and a line that takes none is refused with it, so nothing is dropped unheard.
    pub fn enclose(&mut self, bytes: impl Into<Arc<[u8]>>, claimed: &str) {
        self.enclosed.push(Enclosed::new(bytes, claimed));
    }
}

/// The bytes of a photograph, and what they are.
pub struct Developed {
    /// `image/jpeg`.
    pub media: &'static str,
    /// `jpg`.
    pub ending: &'static str,
    pub bytes: Vec<u8>,
}

impl Desk {
    /// The photograph of a [`Photograph`] block, by its hash. Everyone of the shop may see it: a front lets nobody else ask.
    pub fn photograph(&self, hash: &str) -> anyhow::Result<Option<Developed>> {
        let of = |(media, bytes): (Media, Vec<u8>)| Developed { media: media.word(), ending: media.ending(), bytes };
        Ok(self.record.photo(hash)?.map(of))
    }
}

impl Context<'_> {
    /// Refuses what came beside a line that keeps none of it.
    pub fn refuse_enclosed(&self) -> Result<(), Refusal> {
        let Some(first) = self.asker.enclosed.first() else { return Ok(()) };
        let possible = "This line takes no photograph. Send it with `log …` as you post, or with `photo READING` for a \
                        reading that is posted, such as photo 4.";
        Err(Refusal::new("photograph", clip(&first.claimed, 40), possible))
    }

    /// The photographs that came beside the line, each looked at.
    pub fn enclosed(&self) -> Result<Vec<Picture>, Trouble> {
        let all = &self.asker.enclosed;
        if all.len() > MOST_A_READING {
            let possible = format!("A reading takes {MOST_A_READING} photographs: choose among them.");
            return Err(Refusal::new("photograph", all.len().to_string(), possible).into());
        }
        Ok(all.iter().map(Enclosed::read).collect::<Result<_, _>>()?)
    }

    /// The photographs that show a reading: its own, and those of the readings it took the place of.
    pub fn photographs(&self, job: &Job, reading: &Reading) -> Result<Vec<Block>, Trouble> {
        let measured = &reading.measured;
        let place = format!("{}{}", self.library.plan().name_of(&measured.check), behind_name(&measured.position));
        let photos = self.desk.record.photos(reading.id)?;
        Ok(photos.iter().map(|photo| Block::Photo(photograph(photo, &place, job))).collect())
    }

    /// To put a photograph beside a reading, for who may.
    pub fn picture_it(&self, job: &Job, entry: &Entry) -> Option<Action> {
        let by = &entry.reading.by.person;
        let may = *by == self.asker.person || self.desk.role(self.asker).may(Act::PictureAny);
        let stands = job.is_open() && entry.superseded_by.is_none();
        (may && stands).then(|| add_to(&entry.reading))
    }
}

/// To put a photograph beside that reading.
pub fn add_to(reading: &Reading) -> Action {
    Action::form("Add a photograph", format!("photo {}", reading.id))
}

fn photograph(photo: &Photo, place: &str, job: &Job) -> Photograph {
    let Photo { by, when, what, .. } = photo;
    Photograph {
        title: format!("{place}, reading {}: {}, {}", what.of, by.person, moment(*when)),
        alt: format!(
            "Photograph of {place}, beside reading {} of job {}, {}, put there by {} on {}",
            what.of,
            job.id,
            job.title,
            by.person,
            moment(*when)
        ),
        hash: what.hash.clone(),
        ending: what.media.ending(),
        size: what.size,
        width: what.width,
        height: what.height,
    }
}
