//! Opening a record file: looked at first, written to only when it is whole and of a layout this program knows.
//!
//! The file itself is opened through SQLite alone: closing any other handle on it would drop SQLite's locks.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::{Connection, Error as Sqlite, ErrorCode, OpenFlags};

use super::{OpenTrouble, safekeeping, schema};

/// Opens the record at that path for writing, making it where no file is.
pub(super) fn open(place: &Path, patience: Duration) -> Result<Connection, OpenTrouble> {
    let trouble = |error| trouble(place, error);
    match fs::metadata(place) {
        Ok(_) => {}
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => make(place)?,
        Err(error) => return Err(disk_trouble(place, &error)),
    }
    look(place, patience)?;
    let mut conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(trouble)?;
    settle(&conn, patience).map_err(trouble)?;
    // SQLite falls back to reading alone, without a word, when the file cannot be written.
    if conn.is_readonly("main").map_err(trouble)? {
        return Err(OpenTrouble::NotWritable { place: place.to_path_buf() });
    }
    schema::MIGRATIONS.to_latest(&mut conn).map_err(|error| migration_trouble(place, error))?;
    Ok(conn)
}

/// Looks at a file without changing it: refuses one that is damaged, newer, or something else.
pub(super) fn look(place: &Path, patience: Duration) -> Result<(), OpenTrouble> {
    let trouble = |error| trouble(place, error);
    let damaged = |detail: String| OpenTrouble::Damaged { place: place.to_path_buf(), detail };
    let facts = fs::metadata(place).map_err(|error| disk_trouble(place, &error))?;
    if !facts.is_file() {
        return Err(OpenTrouble::Foreign { place: place.to_path_buf() });
    }
    if facts.len() == 0 {
        return Err(damaged("it is empty, which a record never is".to_owned()));
    }
    let conn = Connection::open_with_flags(place, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(trouble)?;
    conn.busy_timeout(patience).map_err(trouble)?;
    let number = |pragma: &str| conn.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0)).map_err(trouble);
    if number("application_id")? != schema::APPLICATION_ID {
        return Err(OpenTrouble::Foreign { place: place.to_path_buf() });
    }
    let found = number("user_version")?;
    if found > schema::KNOWN {
        return Err(OpenTrouble::Newer { place: place.to_path_buf(), found, known: schema::KNOWN });
    }
    if found < 1 {
        return Err(damaged(format!("its layout number is {found}")));
    }
    // The constraints were checked when each row was written, and verify covers every word of it; the pages are what a
    // disk can spoil. Without this the check reads the JSON of every event.
    conn.pragma_update(None, "ignore_check_constraints", true).map_err(trouble)?;
    let finding: String = conn.query_row("PRAGMA quick_check(1)", [], |row| row.get(0)).map_err(trouble)?;
    if finding == "ok" { Ok(()) } else { Err(damaged(finding)) }
}

/// Makes an empty record: whole under another name first, so that no half-made one is ever found in its place.
fn make(place: &Path) -> Result<(), OpenTrouble> {
    if !safekeeping::folder(place).is_dir() {
        return Err(OpenTrouble::Other { place: place.to_path_buf(), detail: "its folder does not exist".to_owned() });
    }
    if safekeeping::has_orphan_log(place) {
        let detail = "its log is there but the record itself is missing".to_owned();
        return Err(OpenTrouble::Damaged { place: place.to_path_buf(), detail });
    }
    let aside = safekeeping::aside(place, "new");
    let made = lay_out(&aside).and_then(|()| match safekeeping::put_in_place(&aside, place) {
        // Another program made it at the same moment; theirs is as good.
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(()),
        outcome => outcome.map_err(|error| disk_trouble(place, &error)),
    });
    safekeeping::clear(&aside);
    made.map_err(|error| at(place, error))
}

/// Writes an empty record of the newest layout.
pub(super) fn lay_out(aside: &Path) -> Result<(), OpenTrouble> {
    let trouble = |error| trouble(aside, error);
    let mut conn = Connection::open(aside).map_err(trouble)?;
    settle(&conn, Duration::ZERO).map_err(trouble)?;
    schema::MIGRATIONS.to_latest(&mut conn).map_err(|error| migration_trouble(aside, error))?;
    conn.close().map_err(|(_, error)| trouble(error))
}

/// Sets a connection for durable writing. Only WAL with full syncing keeps the promise that a posted reading stays.
fn settle(conn: &Connection, patience: Duration) -> Result<(), Sqlite> {
    let mode = write_ahead(conn, patience)?;
    if mode != "wal" {
        return Err(Sqlite::InvalidParameterName(format!("its disk does not allow a write-ahead log ({mode})")));
    }
    conn.pragma_update(None, "foreign_keys", true)?;
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.pragma_update(None, "cell_size_check", true)
}

/// Turns a connection to a write-ahead log that is synced in full, and says which journal the disk allowed. While another
/// program does the same to a new file SQLite says at once that it is busy, however patient it was told to be, so it is asked again.
pub(super) fn write_ahead(conn: &Connection, patience: Duration) -> Result<String, Sqlite> {
    conn.busy_timeout(patience)?;
    let end = Instant::now() + patience;
    let mode = loop {
        match conn.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0)) {
            Err(error) if error.sqlite_error_code() == Some(ErrorCode::DatabaseBusy) && Instant::now() < end => {
                std::thread::sleep(Duration::from_millis(5));
            }
            outcome => break outcome?,
        }
    };
    conn.pragma_update(None, "synchronous", "FULL")?;
    Ok(mode)
}

fn migration_trouble(place: &Path, error: rusqlite_migration::Error) -> OpenTrouble {
    match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => trouble(place, err),
        other => OpenTrouble::Other { place: place.to_path_buf(), detail: other.to_string() },
    }
}

/// What a SQLite error in opening means to the person.
pub(super) fn trouble(place: &Path, error: Sqlite) -> OpenTrouble {
    let (place, detail) = (place.to_path_buf(), error.to_string());
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => OpenTrouble::Damaged { place, detail },
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => OpenTrouble::Locked { place },
        // A file that is there but cannot be opened lies in a folder where SQLite may not make its log.
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
            OpenTrouble::NotWritable { place }
        }
        Some(ErrorCode::DiskFull) => OpenTrouble::DiskFull { place },
        _ => OpenTrouble::Other { place, detail },
    }
}

/// What a file error in opening means to the person.
fn disk_trouble(place: &Path, error: &std::io::Error) -> OpenTrouble {
    use std::io::ErrorKind::{PermissionDenied, ReadOnlyFilesystem, StorageFull};
    let place = place.to_path_buf();
    match error.kind() {
        PermissionDenied | ReadOnlyFilesystem => OpenTrouble::NotWritable { place },
        StorageFull => OpenTrouble::DiskFull { place },
        _ => OpenTrouble::Other { place, detail: error.to_string() },
    }
}

/// The same trouble, told of the place the person named and not of the file beside it.
fn at(place: &Path, error: OpenTrouble) -> OpenTrouble {
    let place = place.to_path_buf();
    match error {
        OpenTrouble::NotWritable { .. } => OpenTrouble::NotWritable { place },
        OpenTrouble::DiskFull { .. } => OpenTrouble::DiskFull { place },
        OpenTrouble::Locked { .. } => OpenTrouble::Locked { place },
        OpenTrouble::Newer { .. } | OpenTrouble::Foreign { .. } => error,
        OpenTrouble::Damaged { detail, .. } | OpenTrouble::Other { detail, .. } => OpenTrouble::Other { place, detail },
    }
}
