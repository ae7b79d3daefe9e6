//! The evening's digest for the lead: what is held, out, back with a tech, waiting, or left lying. Quiet when there is
//! nothing.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::glance::{Glance, place};
use super::notices::{Notice, Offer, Outbox, Place};
use super::recorded::day;
use super::reply::{Action, Block, Reply, Value};
use super::trouble::Trouble;
use super::{Asker, Context, Desk, Front};
use crate::record::{Decision, Job};

/// When the shop's day is, and at which of its hours the digest is due.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    pub zone: TimeZone,
    /// 0 to 23.
    pub digest: i8,
}

impl Default for Hours {
    fn default() -> Self {
        Self { zone: TimeZone::UTC, digest: 18 }
    }
}

/// A digest that is due.
#[derive(Debug)]
pub struct Due {
    /// The shop's day.
    pub day: Date,
    /// What to say; none on a day when there is nothing.
    pub reply: Option<Reply>,
}

/// How long a job may lie before it is named.
const UNTOUCHED: SignedDuration = SignedDuration::from_hours(3 * 24);

impl Desk {
    /// The digest, from the shop's hour until its midnight, until it is taken. One that was missed while the machine
    /// slept is due when it wakes the same evening; the next day it is not.
    pub fn digest_due(&self, now: Timestamp) -> anyhow::Result<Option<Due>> {
        let Hours { zone, digest } = &self.settings.hours;
        let local = now.to_zoned_datetime(zone.clone());
        if local.hour() < *digest || self.record.digest_is_out(&local.date().to_string())? {
            return Ok(None);
        }
        let nobody = Asker::new("", Front::Chat);
        let told = Context::new(self, &nobody, now).and_then(|context| context.digest());
        let told = told.map_err(Trouble::into_fault)?;
        Ok(Some(Due { day: local.date(), reply: told }))
    }

    /// Puts the digest in the outbox where it is due; true when it did. The day is taken after that: cut off between the
    /// two, the same digest comes again under the same key, which adds nothing.
    pub fn look_for_digest(&self, outbox: &Outbox, now: Timestamp) -> anyhow::Result<bool> {
        let Some(due) = self.digest_due(now)? else { return Ok(false) };
        if let Some(reply) = &due.reply {
            outbox.keep(&notice(&due, reply))?;
        }
        Ok(self.take_digest(&due)? && due.reply.is_some())
    }

    /// Takes the digest of a day. True for the one who is to send it, once for all, over restarts too.
    pub fn take_digest(&self, due: &Due) -> anyhow::Result<bool> {
        Ok(self.record.take_digest(&due.day.to_string())?)
    }
}

impl Context<'_> {
    /// What the lead should know tonight; none where there is nothing.
    pub fn digest(&self) -> Result<Option<Reply>, Trouble> {
        let all = self.glances()?;
        let mut sections = vec![Section::new("Out of limits"), Section::new("Held up to where the work is")];
        sections.extend(["Back with who posted it", "Waits for you", "Untouched for three days"].map(Section::new));
        for glance in &all.jobs {
            let told = [
                out(self, glance),
                held(glance),
                returned(self, glance),
                waiting(glance),
                untouched(self, &glance.job)?,
            ];
            for (section, (count, line)) in sections.iter_mut().zip(told) {
                section.add(count, &glance.job, &glance.engine, &line);
            }
        }
        if all.lost.is_empty() && sections.iter().all(|section| section.lines.is_empty()) {
            return Ok(None);
        }
        let counts: Vec<String> = sections.iter().filter_map(Section::counted).collect();
        let title = if counts.is_empty() { "Pages are missing".to_owned() } else { counts.join(", ") };
        let mut reply = Reply::new(format!("Tonight: {title}"));
        for (section, name) in sections.iter().zip(["out", "held", "returned", "waiting", "untouched"]) {
            if !section.lines.is_empty() {
                reply =
                    reply.block(Block::Heading(section.name.to_owned())).block(Block::Bullets(section.lines.clone()));
            }
            reply = reply.value(Value::plain(name, section.count as f64));
        }
        for sentence in all.lost {
            reply = reply.text(sentence);
        }
        Ok(Some(
            reply
                .action(Action::send("All open jobs", "review matrix"))
                .action(Action::send("What waits", "review queue")),
        ))
    }
}

fn notice(due: &Due, reply: &Reply) -> Notice {
    let lines = reply.blocks.iter().flat_map(|block| match block {
        Block::Heading(text) | Block::Text(text) => vec![text.clone()],
        Block::Bullets(items) => items.iter().map(|item| format!("- {item}")).collect(),
        _ => Vec::new(),
    });
    let offer = |action: &Action| Offer { label: action.label.clone(), line: action.line.clone(), form: action.form };
    Notice {
        key: format!("d{}", due.day),
        to: Place::Digest,
        title: reply.title.clone(),
        text: lines.collect::<Vec<_>>().join("\n"),
        call: false,
        member: None,
        offers: reply.actions.iter().map(offer).collect(),
    }
}

/// One kind of thing a lead should know, a line for each job.
struct Section {
    name: &'static str,
    count: usize,
    lines: Vec<String>,
}

impl Section {
    fn new(name: &'static str) -> Self {
        Self { name, count: 0, lines: Vec::new() }
    }

    fn add(&mut self, count: usize, job: &Job, engine: &str, line: &str) {
        if count > 0 {
            self.count += count;
            self.lines.push(format!("{} {}, {engine}: {line}", job.id, job.title));
        }
    }

    fn counted(&self) -> Option<String> {
        let n = self.count;
        let one = n == 1;
        let words = match self.name {
            "Out of limits" => format!("{n} out"),
            "Held up to where the work is" => format!("{n} hold point{} open", if one { "" } else { "s" }),
            "Back with who posted it" => format!("{n} returned"),
            "Waits for you" => format!("{n} waiting"),
            _ => format!("{n} job{} untouched", if one { "" } else { "s" }),
        };
        (n > 0).then_some(words)
    }
}

fn out(context: &Context, glance: &Glance) -> (usize, String) {
    (glance.out().count(), glance.where_out(context))
}

fn held(glance: &Glance) -> (usize, String) {
    let held: Vec<String> = glance.held().map(|hold| hold.told()).collect();
    let shown = held.iter().take(4).cloned().collect::<Vec<_>>().join(". ");
    let more = if held.len() > 4 { format!(". And {} more", held.len() - 4) } else { String::new() };
    (held.len(), shown + &more)
}

fn returned(context: &Context, glance: &Glance) -> (usize, String) {
    let all = glance.holds.stages.iter().flat_map(|stage| &stage.stands);
    let back = all.filter(|stand| stand.decision == Some(Decision::Returned));
    let places: Vec<String> = back.map(|stand| format!("{} ({})", place(context, stand), stand.person)).collect();
    (places.len(), places.join(", "))
}

fn waiting(glance: &Glance) -> (usize, String) {
    let marginal = if glance.marginal > 0 { format!(", {} marginal", glance.marginal) } else { String::new() };
    let word = if glance.waiting == 1 { "reading" } else { "readings" };
    (glance.waiting, format!("{} {word}{marginal}", glance.waiting))
}

fn untouched(context: &Context, job: &Job) -> Result<(usize, String), Trouble> {
    let last = context.desk.record.last_touched(job.id)?;
    let lies = context.now.duration_since(last) >= UNTOUCHED;
    Ok((usize::from(lies), format!("nothing since {}", day(last))))
}
