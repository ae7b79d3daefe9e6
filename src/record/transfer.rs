//! Export and import: the whole record as lines of JSON that any program can read, and a record made of them again.
//!
//! The first line says what the file is; then comes every event in order, then every photograph under its hash, then the jobs that people have in hand, the
//! returns they were told of, the days whose digest was given out, and how warm people said their bench is; and the last
//! line says how many events there were and the last one's hash, so that a file cut short is known for one:
//!
//! ```json
//! {"line":"record","version":1}
//! {"line":"event","seq":1,"at":"2026-09-21T14:13:20Z","person":"tech-1","role":"tech","front":"terminal",
//!  "channel":"bench","key":null,"payload":"{\"kind\":\"job-opened\",…}","hash":"5f0c…"}
//! {"line":"photo","hash":"77ab…","bytes":"/9j/4AAQ…"}
//! {"line":"in-hand","person":"tech-1","channel":"bench","job":1}
//! {"line":"told","review":12}
//! {"line":"digest","day":"2026-09-21"}
//! {"line":"bench","person":"tech-1","channel":"bench","kelvin":"295.15","at":"2026-09-21T14:15:00Z"}
//! {"line":"end","events":1,"head":"5f0c…"}
//! ```
//!
//! (An event is one line; it is broken here to be read.) The fields of an event are the columns that its hash covers.
//! A payload is a text within the JSON, for the hash covers that very text and a program that took it apart and put it
//! together again would write another. A photograph's bytes are in Base64 (RFC 4648). Everything else in a record follows from these lines.

use std::{
    borrow::Cow,
    fs::File,
    io::{BufRead, BufReader, BufWriter, Read, Write},
    path::Path,
};

use base64::{Engine as _, engine::general_purpose::STANDARD as BASE64};
use rusqlite::{Connection, ErrorCode, Transaction};
use serde::{Deserialize, Serialize};

use super::{
    Chain, Hash, MOST_BYTES, Record, RecordError, Report, SafekeepingError,
    chain::{self, BEFORE_ALL},
    open,
    safekeeping::{
        beside, first_half, one_plain_file, put_in_place, refusal, refuse_existing, refuse_orphan_log, second_half,
        verify_whole,
    },
};

/// The format that this program writes and reads.
const VERSION: u32 = 1;

/// The longest line, in bytes: a photograph as large as is kept in Base64, and room.
const LONGEST: u64 = (MOST_BYTES as u64).div_ceil(3) * 4 + 1024;

/// How many lines go by between two tellings of how far it is.
const STRIDE: usize = 1024;

/// A line of an export.
#[derive(Serialize, Deserialize)]
#[serde(tag = "line", rename_all = "kebab-case", deny_unknown_fields)]
enum Line<'a> {
    Record {
        version: u32,
    },
    Event {
        seq: i64,
        at: Cow<'a, str>,
        person: Cow<'a, str>,
        role: Cow<'a, str>,
        front: Cow<'a, str>,
        channel: Cow<'a, str>,
        key: Option<Cow<'a, str>>,
        payload: Cow<'a, str>,
        hash: Cow<'a, str>,
    },
    Photo {
        hash: Cow<'a, str>,
        bytes: Cow<'a, str>,
    },
    InHand {
        person: Cow<'a, str>,
        channel: Cow<'a, str>,
        job: i64,
    },
    Told {
        review: i64,
    },
    Digest {
        day: Cow<'a, str>,
    },
    Bench {
        person: Cow<'a, str>,
        channel: Cow<'a, str>,
        kelvin: Cow<'a, str>,
        at: Cow<'a, str>,
    },
    End {
        events: i64,
        head: Cow<'a, str>,
    },
}

impl Record {
    /// Writes the whole record, as it is at this moment, to a new file; posting goes on meanwhile. A record with a broken
    /// chain is written too, for it may be all there is: the outcome tells. Errors: `Exists` if anything is there.
    pub fn export(&self, to: &Path, report: Report<'_>) -> Result<Chain, SafekeepingError> {
        refuse_existing(to)?;
        beside(to, |aside| {
            let file = File::create_new(aside).map_err(|error| refusal(to, &error))?;
            let mut out = BufWriter::new(&file);
            let chain = self.snapshot(|conn| {
                write_all(conn, &mut |line| put(&mut out, line, to), &first_half(report))?;
                Ok::<_, SafekeepingError>(chain::walk(conn, &second_half(report))?)
            })?;
            out.flush().and_then(|()| file.sync_all()).map_err(|error| refusal(to, &error))?;
            drop(out);
            put_in_place(aside, to).map_err(|error| refusal(to, &error))?;
            Ok(chain)
        })
    }
}

fn put(out: &mut impl Write, line: &Line<'_>, to: &Path) -> Result<(), SafekeepingError> {
    serde_json::to_writer(&mut *out, line)
        .map_err(std::io::Error::from)
        .and_then(|()| out.write_all(b"\n"))
        .map_err(|error| refusal(to, &error))
}

fn write_all(
    conn: &Connection,
    put: &mut dyn FnMut(&Line<'_>) -> Result<(), SafekeepingError>,
    report: Report<'_>,
) -> Result<(), SafekeepingError> {
    let failed = RecordError::from;
    put(&Line::Record { version: VERSION })?;
    let (last, head) = chain::head(conn)?;
    let query = "SELECT seq, at, person, role, front, channel, key, payload, hash FROM event ORDER BY seq";
    let mut events = conn.prepare(query).map_err(failed)?;
    let mut rows = events.query([]).map_err(failed)?;
    let mut count = 0;
    while let Some(row) = rows.next().map_err(failed)? {
        let text = |column: usize| row.get::<_, String>(column).map(Cow::Owned).map_err(failed);
        put(&Line::Event {
            seq: row.get(0).map_err(failed)?,
            at: text(1)?,
            person: text(2)?,
            role: text(3)?,
            front: text(4)?,
            channel: text(5)?,
            key: row.get::<_, Option<String>>(6).map_err(failed)?.map(Cow::Owned),
            payload: text(7)?,
            hash: Hash::from_bytes(row.get(8).map_err(failed)?).to_hex().as_str().into(),
        })?;
        count += 1;
        if (count as usize).is_multiple_of(STRIDE) {
            report(count as usize, usize::try_from(last).unwrap_or(0));
        }
    }
    let mut photos = conn.prepare("SELECT hash, bytes FROM photo ORDER BY hash").map_err(failed)?;
    let mut rows = photos.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        let bytes = BASE64.encode(row.get_ref(1).and_then(|kept| Ok(kept.as_blob()?)).map_err(failed)?);
        put(&Line::Photo { hash: row.get::<_, String>(0).map_err(failed)?.into(), bytes: bytes.into() })?;
    }
    let mut in_hand =
        conn.prepare("SELECT person, channel, job FROM current_job ORDER BY person, channel").map_err(failed)?;
    let mut rows = in_hand.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        let text = |column: usize| row.get::<_, String>(column).map(Cow::Owned).map_err(failed);
        put(&Line::InHand { person: text(0)?, channel: text(1)?, job: row.get(2).map_err(failed)? })?;
    }
    let mut told = conn.prepare("SELECT review FROM told ORDER BY review").map_err(failed)?;
    let mut rows = told.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        put(&Line::Told { review: row.get(0).map_err(failed)? })?;
    }
    let mut days = conn.prepare("SELECT day FROM digest ORDER BY day").map_err(failed)?;
    let mut rows = days.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        put(&Line::Digest { day: row.get::<_, String>(0).map_err(failed)?.into() })?;
    }
    let mut benches = conn
        .prepare("SELECT person, channel, kelvin, at FROM bench_temperature ORDER BY person, channel")
        .map_err(failed)?;
    let mut rows = benches.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        let text = |column: usize| row.get::<_, String>(column).map(Cow::Owned).map_err(failed);
        put(&Line::Bench { person: text(0)?, channel: text(1)?, kelvin: text(2)?, at: text(3)? })?;
    }
    put(&Line::End { events: count, head: Hash::from_bytes(head).to_hex().as_str().into() })
}

/// Makes a record of an export, in a place where none is, and returns its chain, which is whole. Errors: `Occupied` if
/// a record is there, `NotAnExport` naming the line, `Broken` if the chain does not hold together.
pub fn import(from: &Path, to: &Path, report: Report<'_>) -> Result<Chain, SafekeepingError> {
    refuse_existing(to).map_err(occupied)?;
    refuse_orphan_log(to)?;
    let file = File::open(from).map_err(|error| refusal(from, &error))?;
    beside(to, |aside| {
        open::lay_out(aside)?;
        let mut conn = Connection::open(aside).map_err(RecordError::from)?;
        // The whole import is one act: a log would only hold all of it a second time.
        conn.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(())).map_err(RecordError::from)?;
        conn.pragma_update(None, "foreign_keys", true).map_err(RecordError::from)?;
        let tx = conn.transaction().map_err(RecordError::from)?;
        Reading { tx: &tx, place: from, number: 0, last: 0, hash: BEFORE_ALL, done: false }
            .take_all(&file, &first_half(report))?;
        tx.commit().map_err(RecordError::from)?;
        one_plain_file(conn)?;
        let chain = verify_whole(aside, &second_half(report))?;
        put_in_place(aside, to).map_err(|error| occupied(refusal(to, &error)))?;
        Ok(chain)
    })
}

/// A place taken is told as what an import means by it.
fn occupied(error: SafekeepingError) -> SafekeepingError {
    match error {
        SafekeepingError::Exists(place) => SafekeepingError::Occupied(place),
        other => other,
    }
}

/// An export being read into a new record.
struct Reading<'a> {
    tx: &'a Transaction<'a>,
    place: &'a Path,
    /// The line in hand, from 1.
    number: usize,
    /// The last event's number and hash.
    last: i64,
    hash: [u8; 32],
    /// Whether the last line was read.
    done: bool,
}

impl Reading<'_> {
    fn take_all(mut self, file: &File, report: Report<'_>) -> Result<(), SafekeepingError> {
        let size = file.metadata().map_err(|error| refusal(self.place, &error))?.len() as usize;
        let mut lines = BufReader::new(file);
        let (mut line, mut read) = (Vec::new(), 0);
        loop {
            line.clear();
            let got = (&mut lines).take(LONGEST).read_until(b'\n', &mut line);
            if got.map_err(|error| refusal(self.place, &error))? == 0 {
                break;
            }
            self.number += 1;
            self.take(&line)?;
            read += line.len();
            if self.number.is_multiple_of(STRIDE) {
                report(read.min(size), size);
            }
        }
        if !self.done {
            return Err(self.wrong("it ends before its last line, so something is missing"));
        }
        // Where things stand follows from the events.
        let stands = "INSERT INTO job SELECT * FROM derived_job WHERE id NOT IN (SELECT id FROM job);
                      INSERT INTO standing SELECT * FROM derived_standing;
                      INSERT INTO instrument SELECT * FROM derived_instrument;";
        self.tx.execute_batch(stands).map_err(RecordError::from)?;
        Ok(())
    }

    fn take(&mut self, line: &[u8]) -> Result<(), SafekeepingError> {
        let line = serde_json::from_slice(line).map_err(|_| self.wrong("this is no line of an export"))?;
        if self.done {
            return Err(self.wrong("something follows the last line"));
        }
        match line {
            Line::Record { version } if self.number == 1 => match version {
                VERSION => Ok(()),
                _ => Err(self.wrong(&format!("it is of format {version}, and this program reads {VERSION}"))),
            },
            _ if self.number == 1 => Err(self.wrong("its first line does not say that it is a record")),
            Line::Record { .. } => Err(self.wrong("a second record begins")),
            Line::Event { seq, .. } if seq != self.last + 1 => {
                Err(self.wrong(&format!("event {} was expected, and event {seq} is there", self.last + 1)))
            }
            Line::Event { seq, at, person, role, front, channel, key, payload, hash } => {
                let hash: [u8; 32] = *Hash::from_hex(&*hash).map_err(|_| self.wrong("its hash is none"))?.as_bytes();
                let insert = "INSERT INTO event (seq, at, person, role, front, channel, key, payload, previous, hash)
                              VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)";
                self.insert(insert, (seq, at, person, role, front, channel, key, payload, self.hash, hash))?;
                (self.last, self.hash) = (seq, hash);
                Ok(())
            }
            Line::Photo { hash, bytes } => {
                let bytes = BASE64.decode(&*bytes).map_err(|_| self.wrong("its photograph cannot be read"))?;
                self.insert("INSERT INTO photo (hash, bytes) VALUES (?, ?)", (hash, bytes))
            }
            Line::InHand { person, channel, job } => {
                // The job must be there before someone can have it in hand.
                self.insert("INSERT OR IGNORE INTO job SELECT * FROM derived_job WHERE id = ?", [job])?;
                self.insert("INSERT INTO current_job (person, channel, job) VALUES (?, ?, ?)", (person, channel, job))
            }
            Line::Told { review } => self.insert("INSERT INTO told (review) VALUES (?)", [review]),
            Line::Digest { day } => self.insert("INSERT INTO digest (day) VALUES (?)", [day]),
            Line::Bench { person, channel, kelvin, at } => {
                let insert = "INSERT INTO bench_temperature (person, channel, kelvin, at) VALUES (?, ?, ?, ?)";
                self.insert(insert, (person, channel, kelvin, at))
            }
            Line::End { events, head } => {
                let head = Hash::from_hex(&*head).map_err(|_| self.wrong("its hash is none"))?;
                if (events, head.as_bytes()) != (self.last, &self.hash) {
                    return Err(self.wrong("its last line does not fit the events before it"));
                }
                self.done = true;
                Ok(())
            }
        }
    }

    /// Adds a row. What the tables refuse is the line's fault.
    fn insert(&self, sql: &str, values: impl rusqlite::Params) -> Result<(), SafekeepingError> {
        let added = self.tx.prepare_cached(sql).and_then(|mut statement| statement.execute(values));
        match added {
            Ok(_) => Ok(()),
            Err(error) if error.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => {
                Err(self.wrong(&format!("the record does not take it ({error})")))
            }
            Err(error) => Err(RecordError::from(error).into()),
        }
    }

    fn wrong(&self, detail: &str) -> SafekeepingError {
        SafekeepingError::NotAnExport {
            place: self.place.to_path_buf(),
            line: self.number.max(1),
            detail: detail.to_owned(),
        }
    }
}
