//! The chain of hashes over the events: each hash covers the one before it and everything its event says.
//!
//! It shows a change to any event but cannot show that someone wrote the whole chain anew; for that, compare
//! [`Chain::head`] with one kept elsewhere (a build sheet, a backup).

use std::fmt::{self, Write};

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, types::ValueRef};

use super::{Actor, Happening, Hash, Record, RecordError, Report, photos, quietly};

/// What the hash before the first event counts as.
pub(super) const BEFORE_ALL: [u8; 32] = [0; 32];

/// The longest payload the record takes, in bytes.
const LONGEST: usize = 64 * 1024;

/// How many events are looked at between two tellings of how far it is.
const STRIDE: i64 = 4096;

/// The event columns that the hash covers beside `seq`, in order.
const COVERED: [&str; 7] = ["at", "person", "role", "front", "channel", "key", "payload"];

/// The outcome of [`Record::verify`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// How many events held together before the end or the first fault.
    pub events: u64,
    /// The hash of the last of them.
    pub head: Hash,
    /// The first thing found wrong, if any.
    pub fault: Option<Fault>,
}

/// What is wrong with a chain, and where. Hashes that were found are told as they are kept, in hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// An event is not there; the one with the number `found` comes in its place.
    Missing { seq: i64, found: i64 },
    /// An event does not name the hash of the one before it, which was expected.
    Unlinked { seq: i64, expected: Hash, found: String },
    /// An event is not as it was written: what it says now gives another hash than the one it was kept with.
    Altered { seq: i64, expected: String, found: Hash },
    /// The table of where things stand does not follow from the events; `id` is the job, instrument or reading.
    Standing { table: &'static str, id: i64 },
    /// The photograph that an event names is not kept as it was; none was found where it is gone.
    Photo { seq: i64, expected: String, found: Option<String> },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing { seq, found } => {
                write!(f, "event {seq} is missing: it was expected where event {found} stands")
            }
            Self::Unlinked { seq, expected, found } => write!(
                f,
                "event {seq} does not follow from the one before it: the hash {expected} was expected before it, and it \
                 names {found}"
            ),
            Self::Altered { seq, expected, found } => write!(
                f,
                "event {seq} is not as it was written: the hash {expected} was expected, and what it says now gives {found}"
            ),
            Self::Standing { table, id } => {
                write!(f, "the {table} table is wrong about number {id}: what the events say was expected there")
            }
            Self::Photo { seq, expected, found: None } => {
                write!(f, "the photograph of event {seq} is gone: the one with the hash {expected} was expected")
            }
            Self::Photo { seq, expected, found: Some(found) } => write!(
                f,
                "the photograph of event {seq} is not as it was put there: the hash {expected} was expected, and what is \
                 kept gives {found}"
            ),
        }
    }
}

/// The hash of an event: BLAKE3 over a fixed start, the previous hash, the number, and each text after its length.
fn digest(previous: &[u8], seq: i64, texts: [&[u8]; COVERED.len()]) -> Hash {
    let mut hasher = blake3::Hasher::new();
    hasher.update(b"gudgeon event 1\n").update(previous).update(&seq.to_le_bytes());
    for text in texts {
        hasher.update(&(text.len() as u64).to_le_bytes()).update(text);
    }
    hasher.finalize()
}

/// The number and hash of the last event; 0 and zeros before the first.
pub(super) fn head(conn: &Connection) -> Result<(i64, [u8; 32]), RecordError> {
    let last = conn
        .prepare_cached("SELECT seq, hash FROM event ORDER BY seq DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    Ok(last.unwrap_or((0, BEFORE_ALL)))
}

/// Puts an event on the end of the chain and returns its number.
pub(super) fn append(
    tx: &Connection,
    actor: &Actor,
    key: Option<&str>,
    what: &Happening,
    now: Timestamp,
) -> Result<i64, RecordError> {
    let payload = serde_json::to_string(what).map_err(|error| RecordError::Other { detail: error.to_string() })?;
    if payload.len() > LONGEST {
        return Err(RecordError::Unfit { field: "entry", rule: "is longer than the record takes (64 KiB)" });
    }
    let (last, previous) = head(tx)?;
    let (seq, at, role) = (last + 1, now.to_string(), actor.role.word());
    let texts = [&*at, &actor.person, role, &actor.front, &actor.channel, key.unwrap_or_default(), &payload];
    let hash = digest(&previous, seq, texts.map(str::as_bytes));
    tx.prepare_cached(
        "INSERT INTO event (seq, at, person, role, front, channel, key, payload, previous, hash)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute((
        seq,
        &at,
        &actor.person,
        role,
        &actor.front,
        &actor.channel,
        key,
        &payload,
        previous,
        hash.as_bytes(),
    ))?;
    Ok(seq)
}

/// The bytes of a text or blob column, none for NULL; a value of another type is no bytes that were ever hashed.
fn bytes<'row>(row: &'row Row<'_>, column: usize) -> Result<&'row [u8], RecordError> {
    Ok(match row.get_ref(column)? {
        ValueRef::Text(bytes) | ValueRef::Blob(bytes) => bytes,
        ValueRef::Null | ValueRef::Integer(_) | ValueRef::Real(_) => &[],
    })
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut out, byte| {
        // Writing into a string does not fail.
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// Walks the chain from the first event, then compares where things stand with what the events say.
pub(super) fn walk(conn: &Connection, report: Report<'_>) -> Result<Chain, RecordError> {
    let mut chain = Chain { events: 0, head: Hash::from_bytes(BEFORE_ALL), fault: None };
    let (last, _) = head(conn)?;
    // Half of the work is the chain, half of it where things stand.
    let tell = |seq: i64| report(usize::try_from(seq).unwrap_or(0), usize::try_from(last).unwrap_or(0) * 2);
    let covered = COVERED.join(", ");
    let mut events = conn.prepare(&format!("SELECT seq, previous, hash, {covered} FROM event ORDER BY seq"))?;
    let mut rows = events.query([])?;
    let mut next = 1;
    while let Some(row) = rows.next()? {
        let seq: i64 = row.get(0)?;
        let mut texts = [&[] as &[u8]; COVERED.len()];
        for (column, text) in texts.iter_mut().enumerate() {
            *text = bytes(row, column + 3)?;
        }
        let (previous, kept) = (bytes(row, 1)?, bytes(row, 2)?);
        let hash = digest(chain.head.as_bytes(), seq, texts);
        chain.fault = if seq != next {
            Some(Fault::Missing { seq: next, found: seq })
        } else if previous != chain.head.as_bytes() {
            Some(Fault::Unlinked { seq, expected: chain.head, found: hex(previous) })
        } else if kept != hash.as_bytes() {
            Some(Fault::Altered { seq, expected: hex(kept), found: hash })
        } else {
            None
        };
        if chain.fault.is_some() {
            return Ok(chain);
        }
        chain = Chain { events: chain.events + 1, head: hash, fault: None };
        next += 1;
        if seq % STRIDE == 0 {
            tell(seq);
        }
    }
    chain.fault = stray(conn, last, &|seq| tell(last + seq))?;
    Ok(chain)
}

/// The first row in which where-things-stand differs from what the events say, either way. Readings are compared a
/// stride at a time, for all at once would sort the whole record.
fn stray(conn: &Connection, last: i64, tell: &dyn Fn(i64)) -> Result<Option<Fault>, RecordError> {
    let differing = |table: &'static str, id: &str, from: i64, to: i64| {
        let differs = format!(
            "SELECT min({id}) FROM (
                 SELECT * FROM (SELECT * FROM {table} WHERE {id} BETWEEN ?1 AND ?2
                     EXCEPT SELECT * FROM derived_{table} WHERE {id} BETWEEN ?1 AND ?2)
                 UNION ALL
                 SELECT * FROM (SELECT * FROM derived_{table} WHERE {id} BETWEEN ?1 AND ?2
                     EXCEPT SELECT * FROM {table} WHERE {id} BETWEEN ?1 AND ?2))"
        );
        let id = conn.prepare_cached(&differs)?.query_row([from, to], |row| row.get::<_, Option<i64>>(0))?;
        Ok::<_, RecordError>(id.map(|id| Fault::Standing { table, id }))
    };
    // A backup may be of a layout that had no register yet, or no photographs.
    let there = |name: &str| {
        let named = "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = ?)";
        conn.query_row(named, [name], |row| row.get::<_, bool>(0))
    };
    for (table, id, is_there) in [("job", "id", true), ("instrument", "added", there("derived_instrument")?)] {
        let fault = if is_there { differing(table, id, i64::MIN, i64::MAX)? } else { None };
        if fault.is_some() {
            return Ok(fault);
        }
    }
    if there("photo")?
        && let Some(fault) = photos::astray(conn, tell)?
    {
        return Ok(Some(fault));
    }
    // A reading bears its event's number; what lies outside those is a stray too.
    let mut from = i64::MIN;
    for to in (STRIDE..last).step_by(STRIDE as usize).chain([i64::MAX]) {
        if let Some(fault) = differing("standing", "reading", from, to)? {
            return Ok(Some(fault));
        }
        tell(to.min(last));
        from = to.saturating_add(1);
    }
    Ok(None)
}

impl Record {
    /// Walks the whole chain and names the first broken link. Posting goes on meanwhile; this sees the record as it
    /// was at the start.
    pub fn verify(&self) -> Result<Chain, RecordError> {
        self.snapshot(|conn| walk(conn, &quietly))
    }

    /// The last event's number and hash: what a build sheet prints so that a later one can be compared with it.
    pub fn head(&self) -> Result<(i64, Hash), RecordError> {
        self.read(|tx| head(tx).map(|(seq, hash)| (seq, Hash::from_bytes(hash))))
    }
}
