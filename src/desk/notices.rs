//! What people are told without having asked: a reading that went out, a reading that was returned.
//!
//! Notices follow from the record's events alone, whichever front those came by, and wait in the outbox until a front has
//! said them. A notice that events behind it have made idle (amended, reviewed, job closed) is not made at all.

use super::commands::log::{dimension_of, headline};
use super::{Asker, Context, Desk, Front, Trouble};
use crate::maths::judge::Verdict;
use crate::quantity::{System, show};
pub use crate::record::{Aside, Notice, Offer, Outbox, Place};
use crate::record::{Decision, Entry, Event, Happening, Hash, Job, Posting, ReadingId, Reviewed};

/// How many events are looked at in one step.
const STRIDE: u32 = 200;

impl Desk {
    /// Makes notices of what happened since the last look, and keeps them in the outbox. `leads` says whether there is a
    /// place where the leads look; where there is none, an out is told where it was posted on the chat. The first look at
    /// a record, and the first at one that was put in another's place, tells nothing of the past.
    pub fn look_for_notices(&self, outbox: &Outbox, leads: bool) -> anyhow::Result<()> {
        let Some((mut seq, mut hash)) = outbox.mark()? else { return Ok(outbox.take(&[], self.record.head()?)?) };
        loop {
            // The event at the mark comes first, to see that it is still the same one.
            let events = self.record.events_from(seq.max(1), STRIDE)?;
            let news = match events.first() {
                _ if seq == 0 => &events[..],
                Some(first) if first.seq == seq && first.hash == hash => &events[1..],
                _ => return Ok(outbox.take(&[], self.record.head()?)?),
            };
            let Some(last) = news.last() else { return Ok(()) };
            let mut notices = Vec::new();
            for event in news {
                // A record that cannot be read now is looked at again from the same mark.
                notices.extend(self.notice(event, leads)?);
            }
            (seq, hash) = (last.seq, last.hash);
            outbox.take(&notices, (seq, hash))?;
        }
    }

    fn notice(&self, event: &Event, leads: bool) -> anyhow::Result<Option<Notice>> {
        let asker = Asker::new(event.by.person.clone(), Front::Chat);
        let context = || Context::new(self, &asker, event.when).map_err(Trouble::into_fault);
        match &event.what {
            Happening::Reading(posting) if posting.measured.verdict == Verdict::Out => {
                went_out(&context()?, event, posting, leads)
            }
            Happening::Review(reviewed) if reviewed.decision == Decision::Returned => {
                returned(&context()?, event, reviewed)
            }
            _ => Ok(None),
        }
    }
}

/// An out calls the leads once: not again while the place stays out, and not when it is no longer so.
fn went_out(context: &Context, event: &Event, posting: &Posting, leads: bool) -> anyhow::Result<Option<Notice>> {
    let (record, place) = (&context.desk.record, &posting.measured);
    let history = record.history(place.job, &place.check, &place.position)?;
    let before = history.iter().rfind(|entry| entry.reading.id.0 < event.seq);
    if before.is_some_and(|entry| entry.reading.measured.verdict == Verdict::Out) {
        return Ok(None);
    }
    let to = match (leads, event.by.front == Front::Chat.word()) {
        (true, _) => Place::Leads,
        (false, true) => Place::Channel(event.by.channel.clone()),
        (false, false) => return Ok(None),
    };
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
        offers: vec![
            offer("Accept it all the same", format!("review accept {id}"), true),
            offer("Return it", format!("review return {id}"), true),
            offer("What else waits", "review queue".to_owned(), false),
        ],
    }))
}

/// A return is told where the reading was posted, if that was on the chat.
fn returned(context: &Context, event: &Event, reviewed: &Reviewed) -> anyhow::Result<Option<Notice>> {
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
        offers: vec![amend(id), offer("What is next", format!("next {}", job.id), false)],
    }))
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
