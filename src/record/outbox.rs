//! The outbox: what must be said to people who did not ask, kept on disk until it was said.
//!
//! It follows the record by a mark: notices are made of the events behind the mark, and they and the new mark are put on
//! disk in one step. So nothing is missed or doubled, whenever the program is killed, and whichever front an event came by.

use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior};
use rusqlite_migration::{M, Migrations};
use serde::{Deserialize, Serialize};

use super::threads::{self, Wanted};
use super::{Hash, JobId, RecordError, open};

/// What is to be said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Names it: under one key it is said once. At most 25 characters, for the chat platform takes no more.
    pub key: String,
    pub to: Place,
    /// What a person reads first, on one line.
    pub title: String,
    pub text: String,
    /// Calls the leads to it.
    pub call: bool,
    /// Calls this one person to it, by the chat's own number of them.
    pub member: Option<String>,
    /// What can be done about it.
    pub offers: Vec<Offer>,
}

/// Where it is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Where the leads look.
    Leads,
    /// Where the day's digest stands.
    Digest,
    /// A channel of the chat, as the front names it.
    Channel(String),
    /// The thread of a job.
    Job(JobId),
}

/// A line that a reader may send, or fill in first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Offer {
    pub label: String,
    pub line: String,
    pub form: bool,
}

/// A notice that was not to be said after all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Aside {
    pub notice: Notice,
    pub why: String,
    pub when: Timestamp,
}

/// The open outbox.
pub struct Outbox(Mutex<Connection>);

const STEPS: &[M<'static>] = &[M::up(include_str!("outbox.sql")), M::up(include_str!("outbox_threads.sql"))];
const LAYOUT: Migrations<'static> = Migrations::from_slice(STEPS);

const PATIENCE: Duration = Duration::from_secs(5);

/// How long what is settled is still shown.
const KEPT: Duration = Duration::from_secs(30 * 24 * 3600);

const LEADS: &str = "leads";
const DIGEST: &str = "digest";
/// Before the number of a job whose thread is meant.
const JOB: &str = "job ";
const COLUMNS: &str = "key, place, title, text, call, offers, member";

impl Outbox {
    /// Opens the outbox at that path, or makes an empty one.
    pub fn open(path: &Path) -> Result<Self, RecordError> {
        let conn = Connection::open(path)?;
        open::write_ahead(&conn, PATIENCE)?;
        Self::laid_out(conn)
    }

    /// An outbox that lasts as long as this value.
    pub fn in_memory() -> Result<Self, RecordError> {
        Self::laid_out(Connection::open_in_memory()?)
    }

    fn laid_out(mut conn: Connection) -> Result<Self, RecordError> {
        LAYOUT.to_latest(&mut conn).map_err(|error| RecordError::Other { detail: error.to_string() })?;
        Ok(Self(Mutex::new(conn)))
    }

    pub(super) fn conn(&self) -> MutexGuard<'_, Connection> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How far the record was looked through; none before the first time.
    pub fn mark(&self) -> Result<Option<(i64, Hash)>, RecordError> {
        let query = "SELECT seq, hash FROM mark";
        let read = |row: &Row<'_>| Ok((row.get(0)?, Hash::from_bytes(row.get(1)?)));
        Ok(self.conn().prepare_cached(query)?.query_row([], read).optional()?)
    }

    /// Keeps notices, the jobs that are to have a thread, and how far the record was looked through for them: all or nothing.
    pub fn take(&self, notices: &[Notice], wanted: &[Wanted], mark: (i64, Hash)) -> Result<(), RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for notice in notices {
            put(&tx, notice)?;
        }
        threads::want(&tx, wanted)?;
        set_mark(&tx, mark)?;
        Ok(tx.commit()?)
    }

    /// Begins at a record that was not looked at before: these are its jobs, and those of them that are to have a thread.
    pub fn start_anew(&self, jobs: &[(JobId, Hash)], wanted: &[Wanted], mark: (i64, Hash)) -> Result<(), RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        threads::keep_only(&tx, jobs)?;
        threads::want(&tx, wanted)?;
        set_mark(&tx, mark)?;
        Ok(tx.commit()?)
    }

    /// Keeps a notice that follows from no event. Under a key that is known it adds nothing.
    pub fn keep(&self, notice: &Notice) -> Result<(), RecordError> {
        put(&self.conn(), notice)
    }

    /// The one that is to be said next.
    pub fn next(&self) -> Result<Option<Notice>, RecordError> {
        let query = format!("SELECT {COLUMNS} FROM notice WHERE settled IS NULL ORDER BY number LIMIT 1");
        self.conn().prepare_cached(&query)?.query_and_then([], notice)?.next().transpose()
    }

    /// How many are still to be said.
    pub fn waiting(&self) -> Result<u32, RecordError> {
        let query = "SELECT count(*) FROM notice WHERE settled IS NULL";
        Ok(self.conn().query_row(query, [], |row| row.get(0))?)
    }

    /// It was said; or it cannot be, and why. What was settled long ago is forgotten.
    pub fn settle(&self, key: &str, refusal: Option<&str>, now: Timestamp) -> Result<(), RecordError> {
        let conn = self.conn();
        conn.prepare_cached("UPDATE notice SET settled = ?, refusal = ? WHERE key = ?")?.execute((
            now.to_string(),
            refusal,
            key,
        ))?;
        let old = now.checked_sub(KEPT).unwrap_or(Timestamp::MIN).to_string();
        conn.prepare_cached("DELETE FROM notice WHERE settled < ?")?.execute([old])?;
        Ok(())
    }

    /// Those that could not be said, oldest first.
    pub fn aside(&self) -> Result<Vec<Aside>, RecordError> {
        let query = format!("SELECT {COLUMNS}, refusal, settled FROM notice WHERE refusal IS NOT NULL ORDER BY number");
        let read = |row: &Row<'_>| {
            let when: String = row.get(8)?;
            let when = when.parse().map_err(|_| RecordError::Damaged { detail: format!("a time reads {when}") })?;
            Ok(Aside { notice: notice(row)?, why: row.get(7)?, when })
        };
        self.conn().prepare_cached(&query)?.query_and_then([], read)?.collect()
    }
}

fn set_mark(conn: &Connection, (seq, hash): (i64, Hash)) -> Result<(), RecordError> {
    conn.prepare_cached("INSERT OR REPLACE INTO mark (one, seq, hash) VALUES (1, ?, ?)")?
        .execute((seq, hash.as_bytes()))?;
    Ok(())
}

fn put(conn: &Connection, notice: &Notice) -> Result<(), RecordError> {
    let place = match &notice.to {
        Place::Leads => LEADS.to_owned(),
        Place::Digest => DIGEST.to_owned(),
        Place::Channel(channel) => channel.clone(),
        Place::Job(job) => format!("{JOB}{}", job.0),
    };
    let offers =
        serde_json::to_string(&notice.offers).map_err(|error| RecordError::Other { detail: error.to_string() })?;
    conn.prepare_cached(&format!("INSERT OR IGNORE INTO notice ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?)"))?
        .execute((&notice.key, place, &notice.title, &notice.text, notice.call, offers, &notice.member))?;
    Ok(())
}

fn notice(row: &Row<'_>) -> Result<Notice, RecordError> {
    let place: String = row.get(1)?;
    let offers: String = row.get(5)?;
    Ok(Notice {
        key: row.get(0)?,
        to: match place.as_str() {
            LEADS => Place::Leads,
            DIGEST => Place::Digest,
            _ => match place.strip_prefix(JOB).and_then(|number| number.parse().ok()) {
                Some(job) => Place::Job(job),
                None => Place::Channel(place),
            },
        },
        title: row.get(2)?,
        text: row.get(3)?,
        call: row.get(4)?,
        member: row.get(6)?,
        offers: serde_json::from_str(&offers).map_err(|error| RecordError::Damaged { detail: error.to_string() })?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn notice(key: &str) -> Notice {
        Notice {
            key: key.to_owned(),
            to: Place::Channel("700".to_owned()),
            title: "Returned by lead: measure again".to_owned(),
            text: String::new(),
            call: false,
            member: Some("601".to_owned()),
            offers: vec![Offer { label: "Amend it".to_owned(), line: "amend 3".to_owned(), form: true }],
        }
    }

    fn hash(of: u8) -> Hash {
        Hash::from_bytes([of; 32])
    }

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[test]
    fn what_is_taken_is_said_once_in_order_over_a_restart() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("outbox.sqlite");
        let outbox = Outbox::open(&place).unwrap();
        assert_eq!((outbox.mark().unwrap(), outbox.next().unwrap()), (None, None));
        outbox.take(&[notice("b"), Notice { to: Place::Leads, call: true, ..notice("a") }], &[], (7, hash(1))).unwrap();
        drop(outbox);
        let outbox = Outbox::open(&place).unwrap();
        assert_eq!(outbox.mark().unwrap(), Some((7, hash(1))));
        assert_eq!(outbox.next().unwrap(), Some(notice("b")));
        outbox.settle("b", None, at("2026-11-20T09:00:00Z")).unwrap();
        let next = outbox.next().unwrap().unwrap();
        assert_eq!((next.key.as_str(), next.to, next.call), ("a", Place::Leads, true));
        // The same event looked at again adds nothing.
        outbox.take(&[notice("b")], &[], (7, hash(1))).unwrap();
        assert_eq!(outbox.waiting().unwrap(), 1);
    }

    #[test]
    fn what_cannot_be_said_is_set_aside_with_its_reason_and_forgotten_after_a_month() {
        let outbox = Outbox::in_memory().unwrap();
        outbox.take(&[notice("a"), notice("b")], &[], (1, hash(1))).unwrap();
        outbox.settle("a", Some("403: Missing Access"), at("2026-11-20T09:00:00Z")).unwrap();
        let [aside] = &outbox.aside().unwrap()[..] else { panic!("one is aside") };
        assert_eq!((aside.notice.clone(), aside.why.as_str()), (notice("a"), "403: Missing Access"));
        assert_eq!(outbox.next().unwrap().unwrap().key, "b");
        outbox.settle("b", None, at("2027-01-05T09:00:00Z")).unwrap();
        assert!(outbox.aside().unwrap().is_empty());
    }

    #[test]
    fn the_layout_applies() {
        assert_eq!(LAYOUT.validate(), Ok(()));
    }
}
