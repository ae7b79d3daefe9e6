//! What can be put in a field, best first, found by a fragment or by another word for it.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::form::{Kind, Pick};
use super::gauges::Stood;
use super::{Asker, Context, Desk, posted};
use crate::engine::plan::Check;
use crate::engine::{Per, positions};
use crate::record::{Decision, Job, JobFilter};

/// One thing that fits: the value a line takes, and what a person reads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suggestion {
    pub value: String,
    pub label: String,
    /// Other words it is found by.
    also: String,
}

impl Suggestion {
    fn new(value: impl Into<String>, label: impl Into<String>) -> Self {
        Self { value: value.into(), label: label.into(), also: String::new() }
    }

    fn also(mut self, words: impl Into<String>) -> Self {
        self.also = words.into();
        self
    }
}

impl Desk {
    /// At most `most` suggestions for one field of a command, given what else is filled in and what is typed so far.
    pub fn complete(
        &self,
        asker: &Asker,
        words: &str,
        field: &str,
        filled: &[(String, String)],
        typed: &str,
        most: usize,
    ) -> Vec<Suggestion> {
        let Some(kind) = self.form(words).and_then(|f| f.field(field)).map(|f| &f.kind) else { return Vec::new() };
        let all = match kind {
            Kind::Choice(choices) => choices.iter().map(|c| Suggestion::new(c, c)).collect(),
            Kind::Pick(pick) => self.pick(asker, words, *pick, filled),
            _ => Vec::new(),
        };
        let typed = typed.trim().to_lowercase();
        let mut ranked: Vec<(u8, Suggestion)> =
            all.into_iter().filter_map(|s| rank(&s, &typed).map(|rank| (rank, s))).collect();
        // Stable: equals keep the order of the bench.
        ranked.sort_by_key(|(rank, _)| *rank);
        ranked.into_iter().map(|(_, s)| s).take(most).collect()
    }

    fn pick(&self, asker: &Asker, words: &str, pick: Pick, filled: &[(String, String)]) -> Vec<Suggestion> {
        let library = self.shelf.current();
        let given = |name: &str| filled.iter().find(|(id, _)| id == name).map(|(_, v)| v.as_str());
        match pick {
            Pick::Engine => {
                library.engines().map(|e| Suggestion::new(&e.id, &e.title).also(e.also.join(" "))).collect()
            }
            Pick::Job => {
                let mut jobs = self.record.jobs(JobFilter::Open).unwrap_or_default();
                let at_hand = self.current(asker).ok().flatten().map(|job| job.id);
                jobs.sort_by_key(|job| at_hand != Some(job.id));
                let label = |job: &Job| format!("{} {}, {}", job.id, job.title, job.engine);
                jobs.iter().map(|job| Suggestion::new(job.id.to_string(), label(job))).collect()
            }
            Pick::Check => {
                library.plan().checks().iter().map(|c| Suggestion::new(c.id, c.name).also(c.also.join(" "))).collect()
            }
            Pick::Position => {
                let check = given("check").and_then(|word| library.plan().check(word));
                let per = check.map(|check| check.per).or_else(|| posted::per(words));
                self.places(asker, (given("engine"), given("job")), check, per).unwrap_or_default()
            }
            Pick::Page => library.pages_to_read().map(|p| Suggestion::new(&p.slug, &p.title)).collect(),
            Pick::Procedure => library.procedures().iter().map(|p| Suggestion::new(&p.slug, &p.title)).collect(),
            Pick::Instrument => self.instruments(asker, given("check"), given("job")).unwrap_or_default(),
            Pick::Term => library.terms().map(|w| Suggestion::new(&w.term, &w.term).also(w.also.join(" "))).collect(),
        }
    }

    /// The instruments in use: for a check the one that was last named here, then those made for it and for its size.
    fn instruments(&self, asker: &Asker, check: Option<&str>, job: Option<&str>) -> Option<Vec<Suggestion>> {
        let context = Context::new(self, asker, Timestamp::now()).ok()?;
        let check = check.and_then(|word| context.library.plan().check(word));
        let job = match job {
            Some(number) => number.parse().ok().and_then(|id| self.record.job(id).ok()),
            None => context.job.clone(),
        };
        let engine = job.and_then(|job| context.library.engine(&job.engine));
        let last = check.and_then(|check| self.record.last_used(&asker.channel, check.id).ok().flatten());
        let in_use = self.record.instruments().ok()?.into_iter().filter(|one| one.retired.is_none());
        let mut all: Vec<Stood> = in_use.filter_map(|one| context.stood(one).ok()).collect();
        all.sort_by_key(|one| {
            let suits = check.map_or(0, |check| one.kind.suits(check, engine, one.range()));
            (suits.max(1) * u8::from(last.as_deref() != Some(one.name())), suits)
        });
        let lead = context.lead_with(&[], engine);
        let told = |one: &Stood| {
            let label = format!("{} ({}; {})", one.name(), one.range_in(lead), one.state());
            Suggestion::new(one.name(), label).also(one.kind.name())
        };
        Some(all.iter().map(told).collect())
    }

    /// The positions of a check on the engine in play, those that still lack a reading first.
    fn places(
        &self,
        asker: &Asker,
        (engine, job): (Option<&str>, Option<&str>),
        check: Option<&Check>,
        per: Option<Per>,
    ) -> Option<Vec<Suggestion>> {
        let library = self.shelf.current();
        let job: Option<Job> = match job {
            Some(number) => number.parse().ok().and_then(|id| self.record.job(id).ok()),
            None => self.current(asker).ok().flatten(),
        };
        let engine = library.engine(engine.or(job.as_ref().map(|j| j.engine.as_str()))?)?;
        // In order of posting, so that the last one at a place stays.
        let back: BTreeMap<String, bool> = job
            .and_then(|job| self.record.readings(job.id).ok())
            .unwrap_or_default()
            .into_iter()
            .filter(|entry| check.is_some_and(|check| entry.reading.measured.check == check.id))
            .map(|entry| {
                let returned = entry.review.is_some_and(|review| review.decision == Decision::Returned);
                (entry.reading.measured.position, returned)
            })
            .collect();
        let turn = |place: &str| match back.get(place) {
            None => 0,
            Some(true) => 1,
            Some(false) => 2,
        };
        let mut all: Vec<String> = positions(engine, per?).iter().map(ToString::to_string).collect();
        all.sort_by_key(|place| turn(place));
        let label = |place: &String| match turn(place) {
            0 => place.clone(),
            1 => format!("{place} (came back)"),
            _ => format!("{place} (posted)"),
        };
        Some(all.iter().map(|place| Suggestion::new(place, label(place))).collect())
    }
}

/// How well a suggestion fits: at the start, at the start of a word, anywhere, or by another word.
fn rank(suggestion: &Suggestion, typed: &str) -> Option<u8> {
    let (value, label) = (suggestion.value.to_lowercase(), suggestion.label.to_lowercase());
    if value.starts_with(typed) || label.starts_with(typed) {
        Some(0)
    } else if label.split([' ', '-', '(']).any(|word| word.starts_with(typed)) {
        Some(1)
    } else if value.contains(typed) || label.contains(typed) {
        Some(2)
    } else if suggestion.also.to_lowercase().contains(typed) {
        Some(3)
    } else {
        None
    }
}
