//! What a person is to be told in the place where they spoke: that a lead returned a reading of theirs. Each once.

use jiff::Timestamp;

use super::reply::{Action, Block, Caution, Loudness, Reply};
use super::trouble::Trouble;
use super::{Asker, Context, Desk, Front};
use crate::desk::commands::log::headline;
use crate::record::Entry;

/// A word for one person in one place, as plain data. A front that can speak first sends it there; at the others it
/// comes with the next line that this person sends from that place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Names this word for ever, so that what is sent twice can be known for the same.
    pub key: i64,
    pub person: String,
    pub front: String,
    pub channel: String,
    pub text: String,
    /// What to do about it.
    pub action: Action,
}

impl Desk {
    /// What waits to be told at a front, the oldest first.
    pub fn notices(&self, front: Front) -> anyhow::Result<Vec<Notice>> {
        let here = |entry: &Entry| entry.reading.by.front == front.word();
        let waiting = self.record.untold()?.into_iter().filter(here);
        let nobody = Asker::new("", front);
        let context = Context::new(self, &nobody, Timestamp::UNIX_EPOCH).map_err(Trouble::into_fault)?;
        Ok(waiting.filter_map(|entry| notice(&context, &entry)).collect())
    }

    /// Notes that a notice is being told. True for the one who is to tell it.
    pub fn take_notice(&self, notice: &Notice) -> anyhow::Result<bool> {
        Ok(self.record.tell(notice.key)?)
    }
}

impl Context<'_> {
    /// Puts what waits for this person here on top of a reply, once. A reply that offers to amend the very reading says
    /// so itself.
    pub fn with_notices(&self, mut reply: Reply) -> Result<Reply, Trouble> {
        let asker = self.asker;
        let mine = |notice: &Notice| {
            (&*notice.person, &*notice.front, &*notice.channel) == (&*asker.person, asker.front.word(), &*asker.channel)
        };
        let waiting = self.desk.record.untold()?;
        let mut told = Vec::new();
        for notice in waiting.iter().filter_map(|entry| notice(self, entry)).filter(mine) {
            if !self.desk.record.tell(notice.key)? || reply.actions.contains(&notice.action) {
                continue;
            }
            told.push(Block::Caution(Caution { loudness: Loudness::Important, text: notice.text }));
            reply.actions.insert(told.len() - 1, notice.action);
        }
        reply.blocks.splice(0..0, told);
        Ok(reply)
    }
}

/// The word of a returned reading to who posted it.
fn notice(context: &Context, entry: &Entry) -> Option<Notice> {
    let (reading, review) = (&entry.reading, entry.review.as_ref()?);
    let lead =
        context.lead_with(&[], context.library.engine(&context.desk.record.job(reading.measured.job).ok()?.engine));
    let comment = review.comment.as_deref().unwrap_or_default();
    Some(Notice {
        key: review.number,
        person: reading.by.person.clone(),
        front: reading.by.front.clone(),
        channel: reading.by.channel.clone(),
        text: format!(
            "Reading {} came back from {}: {comment} ({}, job {})",
            reading.id,
            review.by.person,
            headline(context, reading, lead),
            reading.measured.job
        ),
        action: Action::form("Amend it", format!("amend {}", reading.id)),
    })
}
