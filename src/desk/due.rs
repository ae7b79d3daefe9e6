//! When the evening's digest is due, and its way to the outbox.

use jiff::Timestamp;
use jiff::civil::Date;

use super::digest::Hours;
use super::notices::{Notice, Offer, Outbox, Place};
use super::reply::{Action, Block, Reply};
use super::trouble::Trouble;
use super::{Asker, Context, Desk, Front};

/// A digest that is due.
#[derive(Debug)]
pub struct Due {
    /// The shop's day.
    pub day: Date,
    /// What to say; none on a day when there is nothing.
    pub reply: Option<Reply>,
}

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
