//! The open record: one connection, one transaction for each act.

use std::{
    fmt,
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
    time::Duration,
};

use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use super::{OpenTrouble, RecordError, open, schema};

/// How long an act waits for another program's before it gives up.
const PATIENCE: Duration = Duration::from_secs(5);

/// The shop's job record. It may be shared between threads, and one file between programs.
pub struct Record {
    conn: Mutex<Connection>,
    /// None for a record that lives in memory.
    place: Option<PathBuf>,
    patience: Duration,
}

impl Record {
    /// Opens the record at that path, or makes a new one where no file is. The folder must be there.
    pub fn open(path: &Path) -> Result<Self, OpenTrouble> {
        Self::open_within(path, PATIENCE)
    }

    /// As [`Self::open`], waiting that long for another program here and in every act.
    pub fn open_within(path: &Path, patience: Duration) -> Result<Self, OpenTrouble> {
        let conn = open::open(path, patience)?;
        Ok(Self { conn: Mutex::new(conn), place: Some(path.to_path_buf()), patience })
    }

    /// A new record that lasts as long as this value.
    pub fn in_memory() -> Result<Self, RecordError> {
        let mut conn = Connection::open_in_memory()?;
        conn.pragma_update(None, "foreign_keys", true)?;
        schema::MIGRATIONS.to_latest(&mut conn).map_err(|error| RecordError::Other { detail: error.to_string() })?;
        Ok(Self { conn: Mutex::new(conn), place: None, patience: PATIENCE })
    }

    /// The connection. A thread that panicked while it held it left no open transaction, so it is fit for use.
    fn lock(&self) -> MutexGuard<'_, Connection> {
        self.conn.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Runs an act in one transaction: either all of it is on disk when this returns, or none of it ever is.
    pub(super) fn write<T>(
        &self,
        act: impl FnOnce(&Transaction<'_>) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        let mut conn = self.lock();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = act(&tx)?;
        tx.commit()?;
        Ok(done)
    }

    /// Runs a few queries that see one state of the record.
    pub(super) fn read<T>(
        &self,
        ask: impl FnOnce(&Transaction<'_>) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        let mut conn = self.lock();
        let tx = conn.transaction()?;
        ask(&tx)
    }

    /// Runs a long look at one state of the record on a connection of its own, so that posting goes on meanwhile.
    pub(super) fn snapshot<T, E: From<RecordError>>(
        &self,
        look: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let Some(place) = &self.place else { return look(&self.lock()) };
        let conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(RecordError::from)?;
        conn.busy_timeout(self.patience).map_err(RecordError::from)?;
        let tx = conn.unchecked_transaction().map_err(RecordError::from)?;
        look(&tx)
    }
}

impl fmt::Debug for Record {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Record").field("place", &self.place).finish_non_exhaustive()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use jiff::Timestamp;

    use super::*;
    use crate::record::{Actor, JobFilter, Role};

    /// SQLite's page limit stands in for a disk without room.
    #[test]
    fn a_full_disk_is_told_and_leaves_nothing_half_written() {
        let record = Record::in_memory().unwrap();
        let lead = Actor { person: "lead".into(), role: Role::Lead, front: "terminal".into(), channel: "bench".into() };
        let note = "x".repeat(9_000);
        let open = || record.open_job(&lead, None, "skerry-v8", "Skerry V8", Some(&note), Timestamp::UNIX_EPOCH);
        let room = |pages: i64| record.lock().pragma_update(None, "max_page_count", pages).unwrap();
        room(40);
        let mut jobs = 0;
        let refused = loop {
            match open() {
                Ok(_) => jobs += 1,
                Err(error) => break error,
            }
        };
        assert_eq!(refused, RecordError::DiskFull);
        assert_eq!(record.jobs(JobFilter::All).unwrap().len(), jobs);
        let chain = record.verify().unwrap();
        assert_eq!((chain.events, chain.fault), (jobs as u64, None));
        room(1000);
        open().unwrap();
        assert_eq!(record.verify().unwrap().events, jobs as u64 + 1);
    }

    #[test]
    fn a_panic_in_an_act_leaves_the_record_usable() {
        let record = Record::in_memory().unwrap();
        let panicked = std::thread::scope(|threads| {
            let act = || {
                record.write(|tx| -> Result<(), RecordError> {
                    tx.execute("DELETE FROM current_job", [])?;
                    panic!("as a fault of ours would")
                })
            };
            threads.spawn(act).join()
        });
        assert!(panicked.is_err());
        assert_eq!(record.write(|_| Ok(7)), Ok(7));
    }
}
