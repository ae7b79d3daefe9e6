//! The key book: which people a lead let in, which codes are open, and which devices hold a key.
//!
//! It is asked at every request, so that what is taken out is out at the next one, whichever program took it out.

use std::fs::OpenOptions;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior, params};
use rusqlite_migration::{M, Migrations};

use super::trouble::RecordError;
use super::{Hash, Role, open};

/// A device that holds a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    pub number: i64,
    pub person: String,
    pub name: String,
    /// It came in without a code, at the shop's own machine.
    pub local: bool,
    pub joined: Timestamp,
    pub seen: Timestamp,
}

/// A code that still opens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invitation {
    pub person: String,
    pub role: Role,
    pub ends: Timestamp,
}

/// The open key book.
pub struct KeyBook(Mutex<Connection>);

const STEPS: &[M<'static>] = &[M::up(include_str!("keys.sql"))];
const LAYOUT: Migrations<'static> = Migrations::from_slice(STEPS);

const PATIENCE: Duration = Duration::from_secs(5);
/// A key that was not used for so long opens no more, nor does one that is so old.
const IDLE: SignedDuration = SignedDuration::from_hours(30 * 24);
const OLDEST: SignedDuration = SignedDuration::from_hours(365 * 24);
/// When a device was seen is kept no finer than this, for it costs a write.
const SEEN_STEP: SignedDuration = SignedDuration::from_mins(5);

impl KeyBook {
    /// How long a device may keep its key, at most.
    pub const LONGEST: SignedDuration = OLDEST;

    /// Opens the book at that path, or makes an empty one that only its owner can read.
    pub fn open(path: &Path) -> Result<Self, RecordError> {
        let mut options = OpenOptions::new();
        options.append(true).create(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        options.open(path).map_err(|error| RecordError::Other { detail: format!("{}: {error}", path.display()) })?;
        let mut conn = Connection::open(path)?;
        open::write_ahead(&conn, PATIENCE)?;
        // Another program may have laid it out at this very moment; then there is nothing left to do.
        LAYOUT
            .to_latest(&mut conn)
            .or_else(|_| LAYOUT.to_latest(&mut conn))
            .map_err(|error| RecordError::Other { detail: error.to_string() })?;
        Ok(Self(Mutex::new(conn)))
    }

    fn conn(&self) -> MutexGuard<'_, Connection> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Those a lead let in.
    pub fn members(&self) -> Result<Vec<(String, Role)>, RecordError> {
        let conn = self.conn();
        let mut query = conn.prepare_cached("SELECT name, role FROM member ORDER BY name")?;
        query.query_and_then([], |row| Ok((row.get(0)?, role(row, 1)?)))?.collect()
    }

    /// The role of one whom a lead let in.
    pub fn role(&self, person: &str) -> Result<Option<Role>, RecordError> {
        let conn = self.conn();
        let mut query = conn.prepare_cached("SELECT role FROM member WHERE name = ?")?;
        query.query_and_then([person], |row| role(row, 0))?.next().transpose()
    }

    /// Opens a code for a person, in place of an earlier one of theirs.
    pub fn invite(&self, invitation: &Invitation, mark: Hash, now: Timestamp) -> Result<(), RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        tx.execute("DELETE FROM invitation WHERE ends <= ?", [now.as_second()])?;
        tx.execute(
            "INSERT OR REPLACE INTO invitation (person, role, mark, ends) VALUES (?, ?, ?, ?)",
            params![invitation.person, invitation.role.to_string(), mark.as_bytes(), invitation.ends.as_second()],
        )?;
        Ok(tx.commit()?)
    }

    /// The codes that still open.
    pub fn invitations(&self, now: Timestamp) -> Result<Vec<Invitation>, RecordError> {
        let conn = self.conn();
        let mut query =
            conn.prepare_cached("SELECT person, role, ends FROM invitation WHERE ends > ? ORDER BY person")?;
        let read = |row: &Row<'_>| Ok(Invitation { person: row.get(0)?, role: role(row, 1)?, ends: time(row, 2)? });
        query.query_and_then([now.as_second()], read)?.collect()
    }

    /// Spends a code: its person is a member with its role, and the device holds a key. `named` says which roles the
    /// settings give, which no code changes. None where no such code is open.
    pub fn join(
        &self,
        code: Hash,
        key: Hash,
        device: &str,
        named: impl Fn(&str) -> Option<Role>,
        now: Timestamp,
    ) -> Result<Option<String>, RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let spent = tx
            .query_row(
                "DELETE FROM invitation WHERE mark = ? AND ends > ? RETURNING person, role",
                params![code.as_bytes(), now.as_second()],
                |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?)),
            )
            .optional()?;
        let Some((person, role)) = spent else { return Ok(None) };
        if named(&person).is_none() {
            tx.execute("INSERT OR REPLACE INTO member (name, role) VALUES (?, ?)", [&person, &role])?;
        }
        add(&tx, key, &person, device, false, now)?;
        tx.commit()?;
        Ok(Some(person))
    }

    /// Gives a key to who came in without a code.
    pub fn admit(&self, key: Hash, person: &str, device: &str, now: Timestamp) -> Result<(), RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        add(&tx, key, person, device, true, now)?;
        Ok(tx.commit()?)
    }

    /// The device that holds this key, while the key opens; notes that it was seen.
    pub fn seen(&self, key: Hash, now: Timestamp) -> Result<Option<Device>, RecordError> {
        let conn = self.conn();
        let found = conn
            .prepare_cached(&format!("SELECT {COLUMNS} FROM device WHERE mark = ?"))?
            .query_and_then([key.as_bytes()], device)?
            .next()
            .transpose()?;
        let Some(device) = found.filter(|device| opens(device, now)) else { return Ok(None) };
        if now.duration_since(device.seen) >= SEEN_STEP {
            // Nobody is kept out because the disk is full: what was seen is then noted later.
            let _ = conn
                .prepare_cached("UPDATE device SET seen = ? WHERE number = ?")?
                .execute([now.as_second(), device.number]);
        }
        Ok(Some(device))
    }

    /// Every device whose key still opens, by person, the last seen first.
    pub fn devices(&self, now: Timestamp) -> Result<Vec<Device>, RecordError> {
        let conn = self.conn();
        let mut query = conn.prepare_cached(&format!("SELECT {COLUMNS} FROM device ORDER BY person, seen DESC"))?;
        let all = query.query_and_then([], device)?.collect::<Result<Vec<_>, _>>()?;
        Ok(all.into_iter().filter(|device| opens(device, now)).collect())
    }

    /// Takes a device's key away; whose it was, or none where there is no such device.
    pub fn remove_device(&self, number: i64) -> Result<Option<String>, RecordError> {
        let query = "DELETE FROM device WHERE number = ? RETURNING person";
        Ok(self.conn().query_row(query, [number], |row| row.get(0)).optional()?)
    }

    /// Takes every key of a person away, and how many.
    pub fn remove_devices(&self, person: &str) -> Result<usize, RecordError> {
        Ok(self.conn().execute("DELETE FROM device WHERE person = ?", [person])?)
    }

    /// Takes a person out with every key and code of theirs; false where nothing was there.
    pub fn remove(&self, person: &str) -> Result<bool, RecordError> {
        let mut conn = self.conn();
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut gone = tx.execute("DELETE FROM member WHERE name = ?", [person])?;
        gone += tx.execute("DELETE FROM invitation WHERE person = ?", [person])?;
        gone += tx.execute("DELETE FROM device WHERE person = ?", [person])?;
        tx.commit()?;
        Ok(gone > 0)
    }
}

const COLUMNS: &str = "number, person, name, local, joined, seen";

fn add(
    conn: &Connection,
    key: Hash,
    person: &str,
    device: &str,
    local: bool,
    now: Timestamp,
) -> Result<(), RecordError> {
    let second = now.as_second();
    conn.execute(
        "DELETE FROM device WHERE seen < ? OR joined < ?",
        [second - IDLE.as_secs(), second - OLDEST.as_secs()],
    )?;
    conn.execute(
        "INSERT INTO device (mark, person, name, local, joined, seen) VALUES (?, ?, ?, ?, ?, ?)",
        params![key.as_bytes(), person, device, local, second, second],
    )?;
    Ok(())
}

fn opens(device: &Device, now: Timestamp) -> bool {
    now.duration_since(device.seen) < IDLE && now.duration_since(device.joined) < OLDEST
}

fn device(row: &Row<'_>) -> Result<Device, RecordError> {
    Ok(Device {
        number: row.get(0)?,
        person: row.get(1)?,
        name: row.get(2)?,
        local: row.get(3)?,
        joined: time(row, 4)?,
        seen: time(row, 5)?,
    })
}

fn role(row: &Row<'_>, column: usize) -> Result<Role, RecordError> {
    let word: String = row.get(column)?;
    word.parse().map_err(|_| RecordError::Damaged { detail: format!("a role reads {word}") })
}

fn time(row: &Row<'_>, column: usize) -> Result<Timestamp, RecordError> {
    let second: i64 = row.get(column)?;
    Timestamp::from_second(second).map_err(|_| RecordError::Damaged { detail: format!("a time reads {second}") })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    fn hash(text: &str) -> Hash {
        blake3::hash(text.as_bytes())
    }

    fn book() -> (tempfile::TempDir, KeyBook) {
        let folder = tempfile::tempdir().unwrap();
        let book = KeyBook::open(&folder.path().join("door.sqlite")).unwrap();
        (folder, book)
    }

    fn invite(book: &KeyBook, person: &str, role: Role, code: &str, now: i64) {
        let invitation = Invitation { person: person.to_owned(), role, ends: at(now + 900) };
        book.invite(&invitation, hash(code), at(now)).unwrap();
    }

    #[test]
    fn a_code_opens_once_and_not_after_its_time() {
        let (_folder, book) = book();
        invite(&book, "apprentice-2", Role::Apprentice, "code", 0);
        assert_eq!(book.join(hash("other"), hash("k"), "phone", |_| None, at(1)).unwrap(), None);
        assert_eq!(book.join(hash("code"), hash("k"), "phone", |_| None, at(900)).unwrap(), None, "too late");
        let joined = book.join(hash("code"), hash("k"), "phone", |_| None, at(899)).unwrap();
        assert_eq!(joined.as_deref(), Some("apprentice-2"));
        assert_eq!(book.join(hash("code"), hash("k2"), "phone", |_| None, at(899)).unwrap(), None, "twice");
        assert_eq!(book.role("apprentice-2").unwrap(), Some(Role::Apprentice));
        assert_eq!(book.seen(hash("k"), at(900)).unwrap().unwrap().person, "apprentice-2");
        assert_eq!(book.seen(hash("k2"), at(900)).unwrap(), None);
    }

    #[test]
    fn a_new_code_puts_an_earlier_one_out_of_use() {
        let (_folder, book) = book();
        invite(&book, "tech-2", Role::Tech, "first", 0);
        invite(&book, "tech-2", Role::Tech, "second", 1);
        assert_eq!(book.invitations(at(2)).unwrap().len(), 1);
        assert_eq!(book.join(hash("first"), hash("k"), "phone", |_| None, at(2)).unwrap(), None);
        assert!(book.join(hash("second"), hash("k"), "phone", |_| None, at(2)).unwrap().is_some());
        assert!(book.invitations(at(2)).unwrap().is_empty());
    }

    #[test]
    fn the_settings_role_stands_and_is_not_kept_twice() {
        let (_folder, book) = book();
        invite(&book, "lead", Role::Lead, "code", 0);
        book.join(hash("code"), hash("k"), "phone", |_| Some(Role::Lead), at(1)).unwrap().unwrap();
        assert!(book.members().unwrap().is_empty());
    }

    #[test]
    fn an_idle_key_and_an_old_one_open_no_more() {
        let (_folder, book) = book();
        book.admit(hash("k"), "tech-1", "tablet", at(0)).unwrap();
        let day = 24 * 3600;
        assert_eq!(book.seen(hash("k"), at(30 * day)).unwrap(), None);
        for used in 1..=19 {
            let seen = book.seen(hash("k"), at(used * 19 * day)).unwrap();
            assert!(seen.is_some(), "used in time on day {}", used * 19);
        }
        assert_eq!(book.seen(hash("k"), at(365 * day)).unwrap(), None, "and yet it ends");
    }

    #[test]
    fn who_is_removed_is_out_at_once_even_from_another_program() {
        let (folder, book) = book();
        let other = KeyBook::open(&folder.path().join("door.sqlite")).unwrap();
        invite(&book, "apprentice-2", Role::Apprentice, "code", 0);
        book.join(hash("code"), hash("a"), "phone", |_| None, at(1)).unwrap();
        book.admit(hash("b"), "apprentice-2", "tablet", at(1)).unwrap();
        let tablet = book.seen(hash("b"), at(2)).unwrap().unwrap();
        assert_eq!(other.remove_device(tablet.number).unwrap().as_deref(), Some("apprentice-2"));
        assert_eq!(book.seen(hash("b"), at(2)).unwrap(), None);
        assert!(book.seen(hash("a"), at(2)).unwrap().is_some());
        invite(&book, "apprentice-2", Role::Apprentice, "again", 2);
        assert!(other.remove("apprentice-2").unwrap());
        assert_eq!(book.seen(hash("a"), at(3)).unwrap(), None);
        assert_eq!(book.join(hash("again"), hash("c"), "phone", |_| None, at(3)).unwrap(), None);
        assert!(!other.remove("apprentice-2").unwrap());
    }

    #[test]
    fn programs_that_open_a_new_book_at_once_all_get_it() {
        for _ in 0..10 {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("door.sqlite");
            std::thread::scope(|scope| {
                let openers: Vec<_> = (0..4).map(|_| scope.spawn(|| KeyBook::open(&path).map(drop))).collect();
                for opener in openers {
                    opener.join().unwrap().unwrap();
                }
            });
        }
    }

    #[cfg(unix)]
    #[test]
    fn the_book_is_its_owners_alone() {
        use std::os::unix::fs::PermissionsExt;
        let (folder, book) = book();
        book.admit(hash("k"), "tech-1", "tablet", at(0)).unwrap();
        for entry in std::fs::read_dir(folder.path()).unwrap() {
            let entry = entry.unwrap();
            assert_eq!(entry.metadata().unwrap().permissions().mode() & 0o777, 0o600, "{:?}", entry.file_name());
        }
    }
}
