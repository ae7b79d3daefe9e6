//! What people are told without having asked: a reading that went out, a reading that was returned. And which jobs are to
//! have a thread on the chat.
//!
//! Both follow from the record's events alone, whichever front those came by, and wait in the outbox until a front has
//! seen to them. A notice that events behind it have made idle (amended, reviewed, job closed) is not made at all.

use super::commands::log::{dimension_of, headline};
use super::{Asker, Context, Desk, Front, Trouble};
use crate::maths::judge::Verdict;
use crate::quantity::{System, show};
pub use crate::record::{Aside, JobId, Notice, Offer, Outbox, Place, Thread};
use crate::record::{
    Decision, Entry, Event, Happening, Hash, Job, JobFilter, Posting, ReadingId, RecordError, Reviewed, Wanted,
};

/// How many events are looked at in one step.
const STRIDE: u32 = 200;

/// Which places the front has.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Places {
    /// One where the leads look.
    pub leads: bool,
    /// One for the threads of jobs, wherever those are opened.
    pub jobs: bool,
}

/// What one stretch of events comes to.
#[derive(Default)]
struct News {
    notices: Vec<Notice>,
    wanted: Vec<Wanted>,
}

impl Desk {
    /// Makes notices of what happened since the last look, and keeps them in the outbox with the jobs that are to have a
    /// thread: those opened on the chat, and every other one where there is a place for them. An out is told in its job's
    /// thread, else where the leads look, else where it was posted on the chat. The first look at a record, and the first
    /// at one that was put in another's place, tells nothing of the past.
    pub fn look_for_notices(&self, outbox: &Outbox, places: Places) -> anyhow::Result<()> {
        let Some((mut seq, mut hash)) = outbox.mark()? else { return self.start_anew(outbox, places) };
        loop {
            // The event at the mark comes first, to see that it is still the same one.
            let events = self.record.events_from(seq.max(1), STRIDE)?;
            let news = match events.first() {
                _ if seq == 0 => &events[..],
                Some(first) if first.seq == seq && first.hash == hash => &events[1..],
                _ => return self.start_anew(outbox, places),
            };
            let Some(last) = news.last() else { return Ok(()) };
            let mut found = News::default();
            for event in news {
                // A record that cannot be read now is looked at again from the same mark.
                self.hear(event, outbox, places, &mut found)?;
            }
            (seq, hash) = (last.seq, last.hash);
            outbox.take(&found.notices, &found.wanted, (seq, hash))?;
        }
    }

    /// Begins behind all that happened so far. Open jobs get their thread where there is a place for it.
    fn start_anew(&self, outbox: &Outbox, places: Places) -> anyhow::Result<()> {
        let (mut known, mut wanted) = (Vec::new(), Vec::new());
        let head = self.record.head()?;
        for job in self.record.jobs(JobFilter::All)? {
            let opened = self.record.opening(job.id)?.hash;
            known.push((job.id, opened));
            if places.jobs && job.is_open() {
                wanted.push(Wanted { job: job.id, opened, parent: None });
            }
        }
        Ok(outbox.start_anew(&known, &wanted, head)?)
    }

    fn hear(&self, event: &Event, outbox: &Outbox, places: Places, news: &mut News) -> anyhow::Result<()> {
        let asker = Asker::new(event.by.person.clone(), Front::Chat);
        let context = || Context::new(self, &asker, event.when).map_err(Trouble::into_fault);
        let on_chat = event.by.front == Front::Chat.word();
        match &event.what {
            Happening::JobOpened(opened) if places.jobs || on_chat => news.wanted.push(Wanted {
                job: opened.job,
                opened: event.hash,
                parent: Some(event.by.channel.clone()).filter(|_| !places.jobs),
            }),
            Happening::Reading(posting) if posting.measured.verdict == Verdict::Out => {
                let job = posting.measured.job;
                let threaded = news.wanted.iter().any(|one| one.job == job) || outbox.thread(job)?.is_some();
                let to = match (threaded, places.leads, on_chat) {
                    (true, _, _) => Place::Job(job),
                    (false, true, _) => Place::Leads,
                    (false, false, true) => Place::Channel(event.by.channel.clone()),
                    (false, false, false) => return Ok(()),
                };
                news.notices.extend(went_out(&context()?, event, posting, to)?);
            }
            Happening::Review(reviewed) if reviewed.decision == Decision::Returned => {
                news.notices.extend(returned(&context()?, event, reviewed, outbox)?);
            }
            _ => {}
        }
        Ok(())
    }

    /// Whether a line posts readings, about which its sender may have to be called.
    pub fn posts(&self, line: &str) -> bool {
        self.filled(line).is_some_and(|(form, _)| ["log", "amend", "paste"].contains(&form.family.as_str()))
    }
}

/// An out calls the leads once: not again while the place stays out, and not when it is no longer so.
fn went_out(context: &Context, event: &Event, posting: &Posting, to: Place) -> anyhow::Result<Option<Notice>> {
    let (record, place) = (&context.desk.record, &posting.measured);
    let history = record.history(place.job, &place.check, &place.position)?;
    let before = history.iter().rfind(|entry| entry.reading.id.0 < event.seq);
    if before.is_some_and(|entry| entry.reading.measured.verdict == Verdict::Out) {
        return Ok(None);
    }
    let (job, latest) = (record.job(place.job)?, record.latest(place.job, &place.check, &place.position)?);
    let Some(now) = latest.filter(|now| job.is_open() && is_open_out(now)) else { return Ok(None) };
    let (id, lead) = (now.reading.id, leans(context, &job));
    let mut said = format!("Job {}, {}. Reading {id}, posted by {}.", job.id, job.title, now.reading.by.person);
    let outs = now.reading.measured.measures.iter().filter(|measure| measure.verdict == Verdict::Out);
    for out in outs.take(3) {
        let dimension = dimension_of(out, place.dimension);
        let value = show::any(dimension, out.value, lead);
        said.push_str(&format!("\n{}: {value}, limit {}", out.measure, show::range(dimension, out.min, out.max, lead)));
    }
    Ok(Some(Notice {
        key: key('o', &event.hash),
        to,
        title: format!("Out: {}", headline(context, &now.reading, lead)),
        text: said,
        call: true,
        member: None,
        offers: vec![
            offer("Accept it all the same", format!("review accept {id}"), true),
            offer("Return it", format!("review return {id}"), true),
            offer("What else waits", "review queue".to_owned(), false),
        ],
    }))
}

/// A return is told to the one who posted the reading where they did, if that was on the chat.
fn returned(context: &Context, event: &Event, reviewed: &Reviewed, outbox: &Outbox) -> anyhow::Result<Option<Notice>> {
    let record = &context.desk.record;
    let entry = record.reading(reviewed.reading)?;
    let by = &entry.reading.by;
    let stands = entry.superseded_by.is_none()
        && entry.review.as_ref().is_some_and(|review| review.decision == Decision::Returned);
    let job = record.job(reviewed.job)?;
    if by.front != Front::Chat.word() || by.person == event.by.person || !stands || !job.is_open() {
        return Ok(None);
    }
    let (id, reading) = (entry.reading.id, headline(context, &entry.reading, leans(context, &job)));
    Ok(Some(Notice {
        key: key('r', &event.hash),
        to: Place::Channel(by.channel.clone()),
        title: format!("{}, {} returned your reading {id}", by.person, event.by.person),
        text: format!("{}\n{reading}. Job {}, {}.", reviewed.comment.as_deref().unwrap_or_default(), job.id, job.title),
        call: false,
        member: poster(context, &entry, outbox)?,
        offers: vec![amend(id), offer("What is next", format!("next {}", job.id), false)],
    }))
}

/// The chat's own number of who posted a reading there.
fn poster(context: &Context, entry: &Entry, outbox: &Outbox) -> Result<Option<String>, RecordError> {
    let events = context.desk.record.events_from(entry.reading.id.0, 1)?;
    let key = events.first().and_then(|event| event.key.as_deref());
    key.map_or(Ok(None), |key| outbox.poster(&entry.reading.by.person, key))
}

fn leans(context: &Context, job: &Job) -> System {
    context.lead_with(&[], context.library.engine(&job.engine))
}

/// Out, and no lead has said anything to it yet.
fn is_open_out(entry: &Entry) -> bool {
    entry.reading.measured.verdict == Verdict::Out && entry.review.is_none()
}

fn offer(label: &str, line: String, form: bool) -> Offer {
    Offer { label: label.to_owned(), line, form }
}

fn amend(id: ReadingId) -> Offer {
    offer("Amend it", format!("amend {id}"), true)
}

/// 25 characters that name what came of one event; another record's event of the same number has another.
fn key(kind: char, hash: &Hash) -> String {
    std::iter::once(kind).chain(hash.to_hex().chars().take(24)).collect()
}
