//! Events as the rows of their table, and what goes wrong with SQLite.

use rusqlite::{Connection, Error as Sqlite, ErrorCode, Params, Row};

use super::{Actor, Event, Hash, Record, RecordError};

impl Event {
    /// How many columns [`Self::columns`] names.
    pub(super) const WIDTH: usize = 9;

    /// The columns to select for one, from the event table under that alias.
    pub(super) fn columns(alias: &str) -> String {
        ["seq", "at", "person", "role", "front", "channel", "key", "payload", "hash"]
            .map(|column| format!("{alias}.{column}"))
            .join(", ")
    }

    /// Reads one from a row, its columns starting at `from`. What cannot be read is damage.
    pub(super) fn read(row: &Row<'_>, from: usize) -> Result<Self, RecordError> {
        let seq: i64 = row.get(from)?;
        let unreadable = |what: &str| RecordError::Damaged { detail: format!("event {seq} has an unreadable {what}") };
        let when: String = row.get(from + 1)?;
        let role: String = row.get(from + 3)?;
        let payload: String = row.get(from + 7)?;
        let hash: [u8; 32] = row.get(from + 8)?;
        Ok(Self {
            seq,
            when: when.parse().map_err(|_| unreadable("time"))?,
            by: Actor {
                person: row.get(from + 2)?,
                role: role.parse().map_err(|_| unreadable("role"))?,
                front: row.get(from + 4)?,
                channel: row.get(from + 5)?,
            },
            key: row.get(from + 6)?,
            what: serde_json::from_str(&payload).map_err(|_| unreadable("payload"))?,
            hash: Hash::from_bytes(hash),
        })
    }

    /// The first event, under the alias `e`, that the rest of the query picks.
    pub(super) fn find(conn: &Connection, rest: &str, parameters: impl Params) -> Result<Option<Self>, RecordError> {
        let query = format!("SELECT {} FROM event e WHERE {rest}", Self::columns("e"));
        conn.prepare_cached(&query)?.query_and_then(parameters, |row| Self::read(row, 0))?.next().transpose()
    }

    /// What that person did first under that key.
    pub(super) fn first_with_key(conn: &Connection, person: &str, key: &str) -> Result<Option<Self>, RecordError> {
        Self::find(conn, "e.person = ? AND e.key = ?", (person, key))
    }
}

impl Record {
    /// Events from that number on, in order, at most `most` of them.
    pub fn events_from(&self, seq: i64, most: u32) -> Result<Vec<Event>, RecordError> {
        let query = format!("SELECT {} FROM event e WHERE e.seq >= ? ORDER BY e.seq LIMIT ?", Event::columns("e"));
        self.read(|tx| tx.prepare_cached(&query)?.query_and_then((seq, most), |row| Event::read(row, 0))?.collect())
    }
}

impl From<Sqlite> for RecordError {
    fn from(error: Sqlite) -> Self {
        let detail = error.to_string();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            Some(ErrorCode::SystemIoFailure) => Self::Disk { detail },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::NotWritable,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged { detail },
            _ => Self::Other { detail },
        }
    }
}
