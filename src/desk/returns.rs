//! Readings that a lead returned, told to who posted them with the next line they send from the place where they posted.
//! On the chat nobody has to send one: there the notices say it.

use super::reply::{Action, Block, Caution, Loudness, Reply};
use super::trouble::Trouble;
use super::{Context, Front};
use crate::desk::commands::log::headline;
use crate::record::{Entry, ReadingId};

impl Context<'_> {
    /// Puts what came back to this person here on top of a reply, once.
    pub fn with_returns(&self, mut reply: Reply) -> Result<Reply, Trouble> {
        let asker = self.asker;
        if asker.front == Front::Chat {
            return Ok(reply);
        }
        let record = &self.desk.record;
        let mut told = Vec::new();
        for entry in record.untold(&asker.person, asker.front.word(), &asker.channel)? {
            let (id, Some(review)) = (entry.reading.id, entry.review.as_ref()) else { continue };
            if record.tell(review.number)? && !says_so(&reply, id) {
                told.push(Block::Caution(Caution { loudness: Loudness::Important, text: self.came_back(&entry)? }));
                reply = reply.action(Action::form(format!("Amend {id}"), format!("amend {id}")));
            }
        }
        reply.blocks.splice(0..0, told);
        Ok(reply)
    }

    fn came_back(&self, entry: &Entry) -> Result<String, Trouble> {
        let reading = &entry.reading;
        let job = self.desk.record.job(reading.measured.job)?;
        let lead = self.lead_with(&[], self.library.engine(&job.engine));
        let (by, comment) = entry
            .review
            .as_ref()
            .map_or(("", ""), |review| (review.by.person.as_str(), review.comment.as_deref().unwrap_or_default()));
        let line = headline(self, reading, lead);
        Ok(format!("Reading {} came back from {by}: {comment} ({line}, job {})", reading.id, job.id))
    }
}

/// Whether a reply tells of that return itself, as the walk does.
fn says_so(reply: &Reply, id: ReadingId) -> bool {
    let told = format!(" sent reading {id} back");
    reply.blocks.iter().any(|block| matches!(block, Block::Text(text) if text.contains(&told)))
}
