//! What people were told, once each: a return to who posted the reading, a day's digest. No part of the chain.

use super::{
    Entry, Record, RecordError,
    readings::{CURRENT, entries},
    review::UNTOLD,
    trouble::required,
};

impl Record {
    /// The readings, on open jobs, that a person posted in that channel of a front and that were returned without their
    /// knowing it yet, oldest first.
    pub fn untold(&self, person: &str, front: &str, channel: &str) -> Result<Vec<Entry>, RecordError> {
        self.read(|tx| entries(tx, CURRENT, UNTOLD, (person, front, channel)))
    }

    /// Notes that a return, by the number of its review, is being told. True for the one who is to tell it.
    pub fn tell(&self, review: i64) -> Result<bool, RecordError> {
        self.write(
            |tx| Ok(tx.prepare_cached("INSERT OR IGNORE INTO told (review) VALUES (?)")?.execute([review])? == 1),
        )
    }

    /// Whether that day's digest was given out.
    pub fn digest_is_out(&self, day: &str) -> Result<bool, RecordError> {
        self.read(|tx| Ok(tx.prepare_cached("SELECT 1 FROM digest WHERE day = ?")?.exists([day])?))
    }

    /// Notes that a day's digest is being given out. True for the one who is to give it.
    pub fn take_digest(&self, day: &str) -> Result<bool, RecordError> {
        required("day", day)?;
        self.write(|tx| Ok(tx.prepare_cached("INSERT OR IGNORE INTO digest (day) VALUES (?)")?.execute([day])? == 1))
    }
}
