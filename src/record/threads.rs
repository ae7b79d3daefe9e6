//! What the chat keeps beside the outbox: the thread of each job, and who posted what by the chat's own number of them.

use jiff::{Timestamp, ToSpan};
use rusqlite::{Connection, OptionalExtension, Row};

use super::{Hash, JobId, Outbox, RecordError};

/// A job that is to have a thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    pub job: JobId,
    /// The event that opened the job; in another record the same number is another job.
    pub opened: Hash,
    /// The channel it is made in; none for the one that the settings name.
    pub parent: Option<String>,
}

/// A job's thread as the chat has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thread {
    pub job: JobId,
    pub opened: Hash,
    pub parent: Option<String>,
    /// None until it is made.
    pub channel: Option<String>,
    /// Its pinned message; none until it is there.
    pub card: Option<String>,
    /// How many cards there were before this one.
    pub cards: u32,
    /// The job's last event that the card tells; 0 where it is to be painted anew.
    pub shown: i64,
    pub archived: bool,
}

const COLUMNS: &str = "job, opened, parent, channel, card, cards, shown, archived";

/// How long it is known who posted a reading: a return comes within days.
const POSTER_KEPT_DAYS: i64 = 365;

impl Outbox {
    /// Every job's thread, made or to be made.
    pub fn threads(&self) -> Result<Vec<Thread>, RecordError> {
        let query = format!("SELECT {COLUMNS} FROM thread ORDER BY job");
        self.conn().prepare_cached(&query)?.query_map([], thread)?.map(|row| Ok(row?)).collect()
    }

    pub fn thread(&self, job: JobId) -> Result<Option<Thread>, RecordError> {
        let query = format!("SELECT {COLUMNS} FROM thread WHERE job = ?");
        Ok(self.conn().prepare_cached(&query)?.query_row([job.0], thread).optional()?)
    }

    /// Keeps how a thread stands now.
    pub fn keep_thread(&self, thread: &Thread) -> Result<(), RecordError> {
        let Thread { job, channel, card, cards, shown, archived, .. } = thread;
        let update = "UPDATE thread SET channel = ?, card = ?, cards = ?, shown = ?, archived = ? WHERE job = ?";
        self.conn().prepare_cached(update)?.execute((channel, card, cards, shown, archived, job.0))?;
        Ok(())
    }

    /// A thread that is no more, and not wanted any more.
    pub fn forget_thread(&self, job: JobId) -> Result<(), RecordError> {
        self.conn().prepare_cached("DELETE FROM thread WHERE job = ?")?.execute([job.0])?;
        Ok(())
    }

    /// Every card is to be looked at: what happened to it while nobody listened is not known.
    pub fn repaint(&self) -> Result<(), RecordError> {
        self.conn().execute("UPDATE thread SET shown = 0 WHERE archived = 0", [])?;
        Ok(())
    }

    /// Keeps who sent a line under that key, by the chat's own number of them.
    pub fn keep_poster(&self, person: &str, key: &str, member: &str, now: Timestamp) -> Result<(), RecordError> {
        let conn = self.conn();
        conn.prepare_cached("INSERT OR REPLACE INTO poster (person, key, member, said) VALUES (?, ?, ?, ?)")?
            .execute((person, key, member, now.to_string()))?;
        let old = now.checked_sub((POSTER_KEPT_DAYS * 24).hours()).unwrap_or(Timestamp::MIN).to_string();
        conn.prepare_cached("DELETE FROM poster WHERE said < ?")?.execute([old])?;
        Ok(())
    }

    /// Who sent the line that the reading with that key came by. Rows of a paste have numbered keys ([`super::Record::numbered`]).
    pub fn poster(&self, person: &str, key: &str) -> Result<Option<String>, RecordError> {
        let line = key.split('-').next().unwrap_or(key);
        let query = "SELECT member FROM poster WHERE person = ? AND key = ?";
        Ok(self.conn().prepare_cached(query)?.query_row((person, line), |row| row.get(0)).optional()?)
    }
}

/// Notes the jobs that are to have a thread; one that has its own keeps it.
pub(super) fn want(conn: &Connection, wanted: &[Wanted]) -> Result<(), RecordError> {
    for Wanted { job, opened, parent } in wanted {
        let gone = "DELETE FROM thread WHERE job = ? AND opened <> ?";
        conn.prepare_cached(gone)?.execute((job.0, opened.as_bytes()))?;
        let new = "INSERT OR IGNORE INTO thread (job, opened, parent) VALUES (?, ?, ?)";
        conn.prepare_cached(new)?.execute((job.0, opened.as_bytes(), parent.as_deref().unwrap_or_default()))?;
    }
    Ok(())
}

/// Drops the threads of jobs that are not in the record any more.
pub(super) fn keep_only(conn: &Connection, known: &[(JobId, Hash)]) -> Result<(), RecordError> {
    let mut all = conn.prepare_cached("SELECT job, opened FROM thread")?;
    let all: Vec<(i64, [u8; 32])> =
        all.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<Result<_, _>>()?;
    for (job, opened) in all {
        if !known.contains(&(JobId(job), Hash::from_bytes(opened))) {
            conn.prepare_cached("DELETE FROM thread WHERE job = ?")?.execute([job])?;
        }
    }
    Ok(())
}

fn thread(row: &Row<'_>) -> rusqlite::Result<Thread> {
    let parent: String = row.get(2)?;
    Ok(Thread {
        job: JobId(row.get(0)?),
        opened: Hash::from_bytes(row.get(1)?),
        parent: Some(parent).filter(|parent| !parent.is_empty()),
        channel: row.get(3)?,
        card: row.get(4)?,
        cards: row.get(5)?,
        shown: row.get(6)?,
        archived: row.get(7)?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::Record;
    use super::*;

    fn hash(of: u8) -> Hash {
        Hash::from_bytes([of; 32])
    }

    fn wanted(job: i64, opened: u8) -> Wanted {
        Wanted { job: JobId(job), opened: hash(opened), parent: Some("700".to_owned()) }
    }

    #[test]
    fn a_thread_is_kept_over_a_restart_and_wanted_once() {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("outbox.sqlite");
        let outbox = Outbox::open(&place).unwrap();
        outbox.take(&[], &[wanted(1, 1), wanted(2, 2)], (7, hash(7))).unwrap();
        let mut thread = outbox.thread(JobId(1)).unwrap().unwrap();
        assert_eq!((thread.channel.as_deref(), thread.shown), (None, 0));
        thread = Thread { channel: Some("900".to_owned()), card: Some("901".to_owned()), shown: 7, ..thread };
        outbox.keep_thread(&thread).unwrap();
        outbox.take(&[], &[wanted(1, 1)], (8, hash(8))).unwrap();
        drop(outbox);
        let outbox = Outbox::open(&place).unwrap();
        assert_eq!(outbox.thread(JobId(1)).unwrap().unwrap(), thread, "wanted again, it stays the one it is");
        outbox.repaint().unwrap();
        assert_eq!(outbox.thread(JobId(1)).unwrap().unwrap().shown, 0);
        // Another record: its job 1 was opened by another event, and it has no job 2.
        outbox.start_anew(&[(JobId(1), hash(9))], &[wanted(1, 9)], (1, hash(9))).unwrap();
        let threads = outbox.threads().unwrap();
        assert_eq!(threads.len(), 1);
        assert_eq!((threads[0].opened, threads[0].channel.as_deref()), (hash(9), None));
    }

    #[test]
    fn who_posted_is_known_by_the_line_s_key_for_a_year() {
        let outbox = Outbox::in_memory().unwrap();
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        outbox.keep_poster("bench_tech", "1000", "601", at("2026-11-20T09:00:00Z")).unwrap();
        assert_eq!(outbox.poster("bench_tech", "1000").unwrap().as_deref(), Some("601"));
        assert_eq!(outbox.poster("bench_tech", &Record::numbered("1000", 2)).unwrap().as_deref(), Some("601"));
        assert_eq!(outbox.poster("other", "1000").unwrap(), None);
        outbox.keep_poster("bench_tech", "2000", "601", at("2027-12-01T09:00:00Z")).unwrap();
        assert_eq!(outbox.poster("bench_tech", "1000").unwrap(), None);
    }
}
