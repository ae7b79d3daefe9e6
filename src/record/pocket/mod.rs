//! The record on a phone, while the server cannot be reached: an [`Extract`], and what is held until it can.
//!
//! Where things stand is worked out from the events, as in the shop's record. What is posted here goes behind them under a
//! number of its own and is gone with this value: the phone keeps the lines, says them again each time, and the server has
//! the last word. Whatever else changes the record is refused.

mod state;

use std::cmp::Reverse;
use std::sync::{Mutex, MutexGuard, PoisonError};

use jiff::Timestamp;

use super::{
    Act, Actor, Amends, Calibration, Entry, Event, Extract, Happening, Hash, Instrument, InstrumentFacts, InstrumentId,
    Job, JobFilter, JobId, LimitOverride, Mark, Measured, Media, Noted, OpenHold, Overridden, Photo, Picture, Posted,
    Posting, Reading, ReadingId, RecordError, Review, Said, SignOff, StageSigned, Stand, StandardCheck,
    extract::Bench,
    trouble::{finite, required},
};

use state::{State, is_at};

/// The part of the record that a phone carries.
pub struct Record(Mutex<State>);

impl Record {
    pub fn of(extract: Extract) -> Self {
        let Extract { head, events, current, bench } = extract;
        let events = events.into_iter().map(Event::from).collect();
        Self(Mutex::new(State { head, events, current, bench, held: false, posted: Vec::new() }))
    }

    /// The readings among what was said since the last call and the server has to hear; none where there is nothing such.
    pub fn take_held(&self) -> Option<Vec<Reading>> {
        let mut state = self.state();
        let posted = std::mem::take(&mut state.posted);
        std::mem::take(&mut state.held).then_some(posted)
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub fn head(&self) -> Result<(i64, Hash), RecordError> {
        Ok((self.state().head, Hash::from_bytes([0; 32])))
    }

    // Jobs.

    pub fn job(&self, id: JobId) -> Result<Job, RecordError> {
        self.state().job(id)
    }

    pub fn jobs(&self, filter: JobFilter) -> Result<Vec<Job>, RecordError> {
        let state = self.state();
        let mut jobs: Vec<Job> = state.jobs().collect();
        jobs.retain(|job| match filter {
            JobFilter::Open => job.is_open(),
            JobFilter::Closed => !job.is_open(),
            JobFilter::All => true,
        });
        jobs.reverse();
        Ok(jobs)
    }

    pub fn set_current(&self, actor: &Actor, job: JobId) -> Result<(), RecordError> {
        actor.must(Act::Log)?;
        let mut state = self.state();
        state.open_job(job)?;
        (state.current, state.held) = (Some(job), true);
        Ok(())
    }

    /// A phone is one person's, in one channel.
    pub fn current(&self, _person: &str, _channel: &str) -> Result<Option<Job>, RecordError> {
        let state = self.state();
        state.current.map(|id| state.job(id)).transpose()
    }

    pub fn last_touched(&self, job: JobId) -> Result<Timestamp, RecordError> {
        self.state().of_job(job).map(|event| event.when).last().ok_or(RecordError::OutOfReach)
    }

    pub fn events(&self, job: JobId) -> Result<Vec<Event>, RecordError> {
        let state = self.state();
        state.job(job)?;
        Ok(state.of_job(job).cloned().collect())
    }

    pub fn open_job(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _engine: &str,
        _title: &str,
        _note: Option<&str>,
        _now: Timestamp,
    ) -> Result<Job, RecordError> {
        actor.must(Act::OpenJob)?;
        Err(RecordError::OutOfReach)
    }

    pub fn close_job_over(
        &self,
        actor: &Actor,
        _id: JobId,
        _open: Vec<OpenHold>,
        _reason: Option<&str>,
        _now: Timestamp,
    ) -> Result<Job, RecordError> {
        actor.must(Act::CloseJob)?;
        Err(RecordError::OutOfReach)
    }

    // Readings.

    /// Holds a reading; the server posts it later, under the same key.
    pub fn post_with(
        &self,
        actor: &Actor,
        key: &str,
        measured: Measured,
        pictures: &[Picture],
        now: Timestamp,
    ) -> Result<Posted, RecordError> {
        actor.must(Act::Log)?;
        required("key", key)?;
        if !pictures.is_empty() {
            return Err(RecordError::OutOfReach);
        }
        self.state().hold(actor, key, measured, now)
    }

    pub fn post_all(
        &self,
        actor: &Actor,
        key: &str,
        all: Vec<Measured>,
        now: Timestamp,
    ) -> Result<Vec<Posted>, RecordError> {
        actor.must(Act::Log)?;
        required("key", key)?;
        let mut state = self.state();
        let keyed = (1..).zip(all);
        keyed.map(|(number, measured)| state.hold(actor, &Self::numbered(key, number), measured, now)).collect()
    }

    pub fn amend_with(
        &self,
        actor: &Actor,
        _key: &str,
        _amends: Amends,
        _measured: Measured,
        _pictures: &[Picture],
        _now: Timestamp,
    ) -> Result<Posted, RecordError> {
        actor.must(Act::AmendOwn)?;
        Err(RecordError::OutOfReach)
    }

    pub fn add_photos(
        &self,
        actor: &Actor,
        _of: ReadingId,
        _pictures: &[Picture],
        _now: Timestamp,
    ) -> Result<Vec<Photo>, RecordError> {
        actor.must(Act::Log)?;
        Err(RecordError::OutOfReach)
    }

    /// The photographs of a reading and of those it took the place of; of them a phone knows that they are there.
    pub fn photos(&self, of: ReadingId) -> Result<Vec<Photo>, RecordError> {
        let state = self.state();
        let entries = state.entries();
        let before = |id: &ReadingId| {
            let entry = entries.iter().find(|entry| entry.reading.id == *id)?;
            entry.reading.amends.as_ref().map(|amends| amends.reading)
        };
        let same: Vec<ReadingId> = std::iter::successors(Some(of), before).collect();
        Ok(state.photos().filter(|photo| same.contains(&photo.what.of)).collect())
    }

    pub fn photos_of_job(&self, job: JobId) -> Result<Vec<Photo>, RecordError> {
        Ok(self.state().photos().filter(|photo| photo.what.job == job).collect())
    }

    pub fn photo(&self, _hash: &str) -> Result<Option<(Media, Vec<u8>)>, RecordError> {
        Ok(None)
    }

    pub fn reading(&self, id: ReadingId) -> Result<Entry, RecordError> {
        let state = self.state();
        let found = state.entries().into_iter().find(|entry| entry.reading.id == id);
        // Up to the last event that the phone knows there may be others, on jobs that are closed.
        let missing = match id.0 > state.head {
            true => RecordError::NotFound { what: "reading", id: id.0 },
            false => RecordError::OutOfReach,
        };
        found.ok_or(missing)
    }

    pub fn readings(&self, job: JobId) -> Result<Vec<Entry>, RecordError> {
        let state = self.state();
        state.job(job)?;
        Ok(state.standing(job))
    }

    pub fn history(&self, job: JobId, check: &str, position: &str) -> Result<Vec<Entry>, RecordError> {
        let mut entries = self.state().entries();
        entries.retain(|entry| is_at(entry, job, check, position));
        Ok(entries)
    }

    pub fn posted_under(&self, person: &str, key: &str) -> Result<Option<Reading>, RecordError> {
        Ok(self.state().under(person, key))
    }

    pub fn latest(&self, job: JobId, check: &str, position: &str) -> Result<Option<Entry>, RecordError> {
        Ok(self.state().standing(job).into_iter().rfind(|entry| is_at(entry, job, check, position)))
    }

    // Review.

    pub fn review_so(
        &self,
        actor: &Actor,
        _ids: &[ReadingId],
        _said: Said<'_>,
        _now: Timestamp,
    ) -> Result<Vec<ReadingId>, RecordError> {
        actor.must(Act::Review)?;
        Err(RecordError::OutOfReach)
    }

    pub fn queue(&self, limit: u32) -> Result<Vec<Entry>, RecordError> {
        let mut waiting = self.state().waiting();
        waiting.sort_by_key(|entry| (Reverse(entry.reading.measured.verdict.severity()), entry.reading.id));
        waiting.truncate(limit as usize);
        Ok(waiting)
    }

    pub fn waiting(&self) -> Result<u64, RecordError> {
        Ok(self.state().waiting().len() as u64)
    }

    pub fn returned_to(&self, person: &str) -> Result<Vec<Entry>, RecordError> {
        let state = self.state();
        let open = state.jobs().filter(Job::is_open);
        let mut entries: Vec<Entry> = open.flat_map(|job| state.standing(job.id)).collect();
        entries.retain(|entry| {
            entry.reading.by.person == person
                && entry.review.as_ref().is_some_and(|review| review.decision == super::Decision::Returned)
        });
        entries.sort_by_key(|entry| entry.reading.id);
        Ok(entries)
    }

    /// Returns are told by the server.
    pub fn untold(&self, _person: &str, _front: &str, _channel: &str) -> Result<Vec<Entry>, RecordError> {
        Ok(Vec::new())
    }

    pub fn tell(&self, _review: i64) -> Result<bool, RecordError> {
        Ok(false)
    }

    // Limits and stages.

    pub fn override_limit(
        &self,
        actor: &Actor,
        _limit: LimitOverride,
        _now: Timestamp,
    ) -> Result<Overridden, RecordError> {
        actor.must(Act::OverrideLimits)?;
        Err(RecordError::OutOfReach)
    }

    pub fn overrides(&self, job: JobId) -> Result<Vec<Overridden>, RecordError> {
        let state = self.state();
        state.job(job)?;
        let mut found: Vec<Overridden> = Vec::new();
        for event in state.of_job(job) {
            if let Happening::LimitOverridden(limit) = &event.what {
                found.retain(|known| (&known.limit.measure, &known.limit.at) != (&limit.measure, &limit.at));
                found.push(Overridden { limit: limit.clone(), by: event.by.clone(), when: event.when });
            }
        }
        Ok(found)
    }

    pub fn sign_stage(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _signed: StageSigned,
        _now: Timestamp,
    ) -> Result<SignOff, RecordError> {
        actor.must(Act::SignStage)?;
        Err(RecordError::OutOfReach)
    }

    pub fn sign_offs(&self, job: JobId) -> Result<Vec<SignOff>, RecordError> {
        let state = self.state();
        state.job(job)?;
        let mut found: Vec<SignOff> = Vec::new();
        for event in state.of_job(job) {
            if let Ok(sign_off) = SignOff::of(event.clone()) {
                found.retain(|known| known.signed.stage != sign_off.signed.stage);
                found.push(sign_off);
            }
        }
        Ok(found)
    }

    pub fn stands(&self, job: JobId) -> Result<Vec<Stand>, RecordError> {
        let stand = |entry: Entry| {
            let Entry { reading, review, .. } = entry;
            Stand {
                reading: reading.id,
                check: reading.measured.check,
                position: reading.measured.position,
                person: reading.by.person,
                verdict: reading.measured.verdict,
                decision: review.as_ref().map(|review| review.decision),
                review: review.map(|review| review.number),
            }
        };
        Ok(self.state().standing(job).into_iter().map(stand).collect())
    }

    // Instruments.

    pub fn add_instrument(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _facts: InstrumentFacts,
        _now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        Err(RecordError::OutOfReach)
    }

    pub fn calibrate(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _calibration: Calibration,
        _now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        Err(RecordError::OutOfReach)
    }

    pub fn retire(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _id: InstrumentId,
        _reason: &str,
        _now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::KeepInstruments)?;
        Err(RecordError::OutOfReach)
    }

    pub fn try_standard(
        &self,
        actor: &Actor,
        _key: Option<&str>,
        _check: StandardCheck,
        _now: Timestamp,
    ) -> Result<Instrument, RecordError> {
        actor.must(Act::Log)?;
        Err(RecordError::OutOfReach)
    }

    pub fn instruments(&self) -> Result<Vec<Instrument>, RecordError> {
        let mut found: Vec<Instrument> = Vec::new();
        for Event { seq, when, by, what, .. } in self.state().events.clone() {
            match what {
                Happening::InstrumentAdded(facts) => found.push(Instrument {
                    id: InstrumentId(seq),
                    facts,
                    added: Mark { by, when },
                    calibrated: None,
                    retired: None,
                }),
                Happening::InstrumentCalibrated(what) => {
                    if let Some(instrument) = found.iter_mut().find(|known| known.id == what.number) {
                        instrument.facts.due = what.due;
                        instrument.facts.uncertainty = what.uncertainty.unwrap_or(instrument.facts.uncertainty);
                        instrument.calibrated = Some(Noted { seq, by, when, what });
                    }
                }
                Happening::InstrumentRetired(what) => {
                    if let Some(instrument) = found.iter_mut().find(|known| known.id == what.number) {
                        instrument.retired = Some(Noted { seq, by, when, what });
                    }
                }
                _ => {}
            }
        }
        Ok(found)
    }

    pub fn standard_checks(&self, id: InstrumentId) -> Result<Vec<Noted<StandardCheck>>, RecordError> {
        let checks = self.state().events.clone().into_iter().filter_map(|event| match event.what {
            Happening::StandardCheck(what) if what.number == id => {
                Some(Noted { seq: event.seq, by: event.by, when: event.when, what })
            }
            _ => None,
        });
        let mut checks: Vec<Noted<StandardCheck>> = checks.collect();
        checks.sort_by_key(|check| (check.what.on, check.seq));
        Ok(checks)
    }

    pub fn last_used(&self, channel: &str, check: &str) -> Result<Option<String>, RecordError> {
        let readings = self.state().entries().into_iter().rev().map(|entry| entry.reading);
        let mut here = readings.filter(|reading| reading.by.channel == channel && reading.measured.check == check);
        Ok(here.find_map(|reading| reading.measured.instrument))
    }

    /// How readings repeat takes those of every job there was.
    pub fn repeats(&self, actor: &Actor) -> Result<Vec<Reading>, RecordError> {
        actor.must(Act::SeeSpread)?;
        Err(RecordError::OutOfReach)
    }

    pub fn set_bench_temperature(&self, actor: &Actor, kelvin: f64, now: Timestamp) -> Result<(), RecordError> {
        actor.must(Act::Log)?;
        finite("temperature", kelvin)?;
        let mut state = self.state();
        (state.bench, state.held) = (Some(Bench { kelvin, when: now }), true);
        Ok(())
    }

    pub fn bench_temperature(&self, _person: &str, _channel: &str) -> Result<Option<(f64, Timestamp)>, RecordError> {
        Ok(self.state().bench.map(|said| (said.kelvin, said.when)))
    }
}
