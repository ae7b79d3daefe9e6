//! The desk that a phone carries: the same commands over the pages and the part of the record it was given.

use jiff::Timestamp;

use super::commands::log::headline;
use super::held::judged_by;
use super::{Asker, Context, Desk, JobId, Settings};
use crate::library::{Library, Shelf};
use crate::record::{Extract, Reading, Record};

/// What the server has to hear.
#[derive(Debug)]
pub struct ToTell {
    /// Each reading in a line.
    pub told: Vec<String>,
    /// The job in hand.
    pub job: Option<JobId>,
    /// What the readings were judged by.
    pub judged: String,
}

impl Desk {
    pub fn in_pocket(settings: Settings, pages: Vec<(String, String)>, record: Extract) -> Self {
        Self::new(settings, Shelf::fixed(Library::from_files(pages)), Record::of(record))
    }

    /// What was said since the last call that the server has to hear; none where nothing was.
    pub fn to_tell(&self, asker: &Asker, now: Timestamp) -> Option<ToTell> {
        let readings = self.record.take_held()?;
        let context = Context::new(self, asker, now).ok()?;
        let told = |reading: &Reading| {
            let job = self.record.job(reading.measured.job).ok();
            let engine = job.and_then(|job| context.library.engine(&job.engine));
            headline(&context, reading, context.lead_with(&[], engine))
        };
        Some(ToTell {
            told: readings.iter().map(told).collect(),
            job: context.job.as_ref().map(|job| job.id),
            judged: judged_by(readings.iter().map(|reading| &reading.measured)),
        })
    }
}
