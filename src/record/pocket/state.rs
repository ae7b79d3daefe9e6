//! What a phone holds of the record: the events it was given and those it made, and where things stand by them.

use jiff::Timestamp;

use super::super::{
    Actor, Entry, Event, Happening, Hash, Job, JobId, Mark, Measured, Photo, Posted, Posting, Reading, ReadingId,
    RecordError, Review, extract::Bench,
};

pub(super) struct State {
    pub(super) head: i64,
    pub(super) events: Vec<Event>,
    pub(super) current: Option<JobId>,
    pub(super) bench: Option<Bench>,
    /// Something was said that the server has to hear.
    pub(super) held: bool,
    /// The readings among it.
    pub(super) posted: Vec<Reading>,
}

impl State {
    pub(super) fn jobs(&self) -> impl Iterator<Item = Job> {
        self.events.iter().filter_map(|event| match &event.what {
            Happening::JobOpened(opened) => Some(Job {
                id: opened.job,
                engine: opened.engine.clone(),
                title: opened.title.clone(),
                note: opened.note.clone(),
                opened: Mark { by: event.by.clone(), when: event.when },
                closed: None,
                closing_reason: None,
            }),
            _ => None,
        })
    }

    pub(super) fn photos(&self) -> impl Iterator<Item = Photo> {
        self.events.iter().filter_map(|event| match &event.what {
            Happening::Photo(what) => {
                Some(Photo { number: event.seq, by: event.by.clone(), when: event.when, what: what.clone() })
            }
            _ => None,
        })
    }

    /// A job that is not here may well be there.
    pub(super) fn job(&self, id: JobId) -> Result<Job, RecordError> {
        self.jobs().find(|job| job.id == id).ok_or(RecordError::OutOfReach)
    }

    pub(super) fn open_job(&self, id: JobId) -> Result<(), RecordError> {
        self.job(id).and_then(|job| if job.is_open() { Ok(()) } else { Err(RecordError::JobClosed(id)) })
    }

    pub(super) fn of_job(&self, id: JobId) -> impl Iterator<Item = &Event> {
        self.events.iter().filter(move |event| event.what.job() == Some(id))
    }

    /// Every reading there was, first to last, and where it stands.
    pub(super) fn entries(&self) -> Vec<Entry> {
        let mut entries: Vec<Entry> = Vec::new();
        for event in &self.events {
            match &event.what {
                Happening::Reading(posting) => {
                    if let Some(amends) = &posting.amends
                        && let Some(earlier) = entries.iter_mut().find(|entry| entry.reading.id == amends.reading)
                    {
                        earlier.superseded_by = Some(ReadingId(event.seq));
                    }
                    let reading = Reading::of_event(event.clone()).ok();
                    entries.extend(reading.map(|reading| Entry { reading, review: None, superseded_by: None }));
                }
                Happening::Review(reviewed) => {
                    if let Some(entry) = entries.iter_mut().find(|entry| entry.reading.id == reviewed.reading) {
                        entry.review = Review::of(event.clone()).ok();
                    }
                }
                _ => {}
            }
        }
        entries
    }

    /// The current readings of a job.
    pub(super) fn standing(&self, job: JobId) -> Vec<Entry> {
        let mut entries = self.entries();
        entries.retain(|entry| entry.reading.measured.job == job && entry.superseded_by.is_none());
        entries
    }

    /// Those that no lead has looked at and no later one at their place has replaced.
    pub(super) fn waiting(&self) -> Vec<Entry> {
        let mut out = Vec::new();
        for job in self.jobs().filter(Job::is_open) {
            let entries = self.standing(job.id);
            let last = |entry: &Entry| {
                let measured = &entry.reading.measured;
                let mut later = entries.iter().filter(|other| other.reading.id > entry.reading.id);
                !later.any(|other| is_at(other, job.id, &measured.check, &measured.position))
            };
            out.extend(entries.iter().filter(|entry| entry.review.is_none() && last(entry)).cloned());
        }
        out
    }

    pub(super) fn under(&self, person: &str, key: &str) -> Option<Reading> {
        let mut events = self.events.iter();
        let first = events.find(|event| event.by.person == person && event.key.as_deref() == Some(key))?;
        Reading::of_event(first.clone()).ok()
    }

    pub(super) fn hold(
        &mut self,
        actor: &Actor,
        key: &str,
        measured: Measured,
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        let posting = Posting { measured, amends: None };
        if let Some(reading) = self.under(&actor.person, key) {
            return match reading.is_retried_by(&posting) {
                true => Ok(Posted { reading, was_retry: true }),
                false => Err(RecordError::Conflict { key: key.to_owned(), first: reading.id.0 }),
            };
        }
        self.open_job(posting.measured.job)?;
        let seq = self.events.last().map_or(0, |event| event.seq).max(ReadingId::HELD) + 1;
        let (by, key) = (actor.clone(), Some(key.to_owned()));
        let what = Happening::Reading(posting);
        let event = Event { seq, when: now, by, key, what, hash: Hash::from_bytes([0; 32]) };
        self.events.push(event.clone());
        let reading = Reading::of_event(event)?;
        self.posted.push(reading.clone());
        self.held = true;
        Ok(Posted { reading, was_retry: false })
    }
}

pub(super) fn is_at(entry: &Entry, job: JobId, check: &str, position: &str) -> bool {
    let measured = &entry.reading.measured;
    measured.job == job && measured.check == check && measured.position == position
}
