//! What a phone carries of the record: the events of the open jobs and of the instruments, from which it works out where
//! things stand as the record does.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::{Actor, Event, Happening, Hash, JobId, words};

/// One person's part of the record, at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Extract {
    /// The number of the record's last event then.
    pub head: i64,
    /// In order.
    pub events: Vec<Plain>,
    /// The job that person has in hand.
    pub current: Option<JobId>,
    /// How warm they said the bench is, and when.
    pub bench: Option<Bench>,
}

/// An event without its hash: a phone checks no chain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plain {
    pub seq: i64,
    pub when: Timestamp,
    pub by: Actor,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    pub what: Happening,
}

/// A bench's temperature as it was said.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bench {
    #[serde(with = "words::exact")]
    pub kelvin: f64,
    pub when: Timestamp,
}

impl From<Event> for Plain {
    fn from(event: Event) -> Self {
        let Event { seq, when, by, key, what, .. } = event;
        Self { seq, when, by, key, what }
    }
}

impl From<Plain> for Event {
    fn from(plain: Plain) -> Self {
        let Plain { seq, when, by, key, what } = plain;
        Self { seq, when, by, key, what, hash: Hash::from_bytes([0; 32]) }
    }
}

#[cfg(feature = "shop")]
impl super::Record {
    /// What that person's phone carries, working in that channel.
    pub fn extract(&self, person: &str, channel: &str) -> Result<Extract, super::RecordError> {
        let (head, _) = self.head()?;
        let query = format!(
            "SELECT {} FROM event e WHERE e.job IN (SELECT id FROM job WHERE closed IS NULL) OR e.instrument IS NOT NULL
                OR e.seq IN (SELECT added FROM instrument)
             ORDER BY e.seq",
            Event::columns("e")
        );
        let mut events: Vec<Plain> = self.read(|tx| {
            tx.prepare_cached(&query)?.query_and_then([], |row| Event::read(row, 0).map(Plain::from))?.collect()
        })?;
        // What was posted between the two looks comes with the next one.
        events.retain(|event| event.seq <= head);
        let current = self.current(person, channel)?.filter(super::Job::is_open).map(|job| job.id);
        let bench = self.bench_temperature(person, channel)?.map(|(kelvin, when)| Bench { kelvin, when });
        Ok(Extract { head, events, current, bench })
    }
}
