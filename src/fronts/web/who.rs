//! Who is at the page: the signed cookie, the code that opens the door, and the limit on wrong codes.
//!
//! The cookie names a person and when they came in, under a keyed hash that also covers a hash of their code: a new
//! code, or a person taken off the list, ends it. The key lies in the data folder, so a restart signs nobody out.

use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Read, Write};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use anyhow::{Context as _, bail};
use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use jiff::{SignedDuration, Timestamp};

use crate::config::{Config, Person};

const KEY_FILE: &str = "page.key";
const COOKIE_NAME: &str = "gudgeon";
/// How long a sign-in lasts.
const STAY: SignedDuration = SignedDuration::from_hours(30 * 24);
/// Wrong codes before a pause, and how long it is.
const TRIES: u32 = 5;
const PAUSE: SignedDuration = SignedDuration::from_secs(60);

/// Lets people in and knows them again.
pub struct Door {
    key: [u8; 32],
    people: BTreeMap<String, Person>,
    /// Whether a person without a code may come in: only where nobody but this machine reaches the page.
    trusting: bool,
    tries: Mutex<BTreeMap<String, Tries>>,
}

#[derive(Default)]
struct Tries {
    wrong: u32,
    last: Timestamp,
}

/// Why a person did not get in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shut {
    Stranger,
    WrongCode,
    /// No further code is looked at for so many seconds.
    Pause(i64),
}

impl Door {
    pub fn open(config: &Config) -> anyhow::Result<Self> {
        Ok(Self {
            key: key(&config.data)?,
            people: config.people.clone(),
            trusting: config.page.listen.ip().is_loopback(),
            tries: Mutex::default(),
        })
    }

    /// Everyone who can come in, and whether each needs a code.
    pub fn people(&self) -> impl Iterator<Item = (&str, bool)> {
        let needs = |person: &Person| !(self.trusting && person.code.is_empty());
        self.people.iter().map(move |(name, person)| (name.as_str(), needs(person)))
    }

    /// The value of a cookie for this person, if their code is right.
    pub fn admit(&self, name: &str, code: &str, now: Timestamp) -> Result<String, Shut> {
        let person = self.people.get(name).ok_or(Shut::Stranger)?;
        if person.code.is_empty() {
            return if self.trusting { Ok(self.ticket(name, person, now.as_second())) } else { Err(Shut::Stranger) };
        }
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        let tries = tries.entry(name.to_owned()).or_default();
        let open_again = tries.last + PAUSE;
        if tries.wrong >= TRIES && now < open_again {
            return Err(Shut::Pause((open_again.as_second() - now.as_second()).max(1)));
        }
        // Hashes under the key compare in constant time, whatever the lengths.
        if self.mark(&[code.trim().as_bytes()]) == self.mark(&[person.code.as_bytes()]) {
            tries.wrong = 0;
            Ok(self.ticket(name, person, now.as_second()))
        } else {
            *tries = Tries { wrong: tries.wrong.saturating_add(1), last: now };
            Err(Shut::WrongCode)
        }
    }

    /// The person whose cookie a request carries, if it is ours, fresh and still theirs.
    pub fn who(&self, headers: &HeaderMap, now: Timestamp) -> Option<&str> {
        let ticket = headers
            .get_all(COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(';'))
            .find_map(|pair| pair.trim().strip_prefix(COOKIE_NAME)?.strip_prefix('='))?;
        let (issued, rest) = ticket.split_once('.')?;
        let (seal, name) = rest.split_once('.')?;
        let issued: i64 = issued.parse().ok()?;
        let (name, person) = self.people.iter().find(|(known, _)| plain(known) == name)?;
        let sealed = blake3::Hash::from_hex(seal).ok()?;
        let genuine = sealed == self.seal(name, person, issued);
        let age = now.as_second().checked_sub(issued)?;
        let may = self.trusting || !person.code.is_empty();
        (genuine && may && (-60..=STAY.as_secs()).contains(&age)).then_some(name)
    }

    /// The header that keeps a ticket in the browser; an empty one takes it away.
    pub fn cookie(ticket: &str, secure: bool) -> String {
        let age = if ticket.is_empty() { 0 } else { STAY.as_secs() };
        let secure = if secure { "; Secure" } else { "" };
        format!("{COOKIE_NAME}={ticket}; Path=/; Max-Age={age}; HttpOnly; SameSite=Strict{secure}")
    }

    fn ticket(&self, name: &str, person: &Person, issued: i64) -> String {
        format!("{issued}.{}.{}", self.seal(name, person, issued), plain(name))
    }

    fn seal(&self, name: &str, person: &Person, issued: i64) -> blake3::Hash {
        self.mark(&[b"sign-in", name.as_bytes(), person.code.as_bytes(), &issued.to_le_bytes()])
    }

    /// A keyed hash over parts, each hashed first so that none runs into the next.
    pub fn mark(&self, parts: &[&[u8]]) -> blake3::Hash {
        let mut hasher = blake3::Hasher::new_keyed(&self.key);
        for part in parts {
            hasher.update(blake3::hash(part).as_bytes());
        }
        hasher.finalize()
    }
}

/// A name in letters a cookie can hold.
fn plain(name: &str) -> String {
    name.bytes().map(|b| format!("{b:02x}")).collect()
}

/// The signing key: read, or made once for its owner's eyes only.
fn key(data: &Path) -> anyhow::Result<[u8; 32]> {
    std::fs::create_dir_all(data).with_context(|| format!("cannot make the data folder {}", data.display()))?;
    let path = data.join(KEY_FILE);
    let shown = path.display().to_string();
    let mut key = [0_u8; 32];
    match File::open(&path) {
        Ok(mut file) => {
            let whole = file.read_exact(&mut key).is_ok() && file.read(&mut [0]).is_ok_and(|more| more == 0);
            if !whole {
                bail!("{shown} is not a signing key: remove it, and everyone signs in anew");
            }
            Ok(key)
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {
            getrandom::fill(&mut key).map_err(|error| anyhow::anyhow!("no randomness for {shown}: {error}"))?;
            let mut options = OpenOptions::new();
            options.write(true).create_new(true);
            #[cfg(unix)]
            std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
            let mut file = options.open(&path).with_context(|| format!("cannot make {shown}"))?;
            file.write_all(&key).and_then(|()| file.sync_all()).with_context(|| format!("cannot write {shown}"))?;
            Ok(key)
        }
        Err(error) => Err(error).with_context(|| format!("cannot read {shown}")),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn config(folder: &Path) -> Config {
        let mut config = Config { data: folder.to_owned(), ..Config::default() };
        config.people.get_mut("lead").unwrap().code = "harbour-gate".to_owned();
        config
    }

    fn carrying(ticket: &str) -> HeaderMap {
        HeaderMap::from_iter([(COOKIE, format!("other=1; {COOKIE_NAME}={ticket}").parse().unwrap())])
    }

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    #[test]
    fn a_ticket_outlives_a_restart_but_not_a_new_code() {
        let folder = tempfile::tempdir().unwrap();
        let mut config = config(folder.path());
        let ticket = Door::open(&config).unwrap().admit("lead", " harbour-gate ", at(1000)).unwrap();
        let again = Door::open(&config).unwrap();
        assert_eq!(again.who(&carrying(&ticket), at(2000)), Some("lead"));
        assert_eq!(again.who(&carrying(&ticket), at(1000 + STAY.as_secs() + 1)), None, "it ends");
        config.people.get_mut("lead").unwrap().code = "another-gate".to_owned();
        assert_eq!(Door::open(&config).unwrap().who(&carrying(&ticket), at(2000)), None);
        config.people.remove("lead");
        assert_eq!(Door::open(&config).unwrap().who(&carrying(&ticket), at(2000)), None);
    }

    #[test]
    fn a_ticket_cannot_be_made_or_changed() {
        let (folder, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let door = Door::open(&config(folder.path())).unwrap();
        let ticket = door.admit("tech-1", "", at(1000)).unwrap();
        assert_eq!(door.who(&carrying(&ticket), at(1001)), Some("tech-1"));
        for forged in [
            ticket.replace(&plain("tech-1"), &plain("lead")),
            ticket.replacen("1000", "1001", 1),
            Door::open(&config(elsewhere.path())).unwrap().admit("tech-1", "", at(1000)).unwrap(),
            String::new(),
            "..".to_owned(),
            format!("1000.{}.{}", "0".repeat(64), plain("lead")),
        ] {
            assert_eq!(door.who(&carrying(&forged), at(1001)), None, "{forged}");
        }
    }

    #[test]
    fn wrong_codes_bring_a_pause() {
        let folder = tempfile::tempdir().unwrap();
        let door = Door::open(&config(folder.path())).unwrap();
        for _ in 0..TRIES {
            assert_eq!(door.admit("lead", "guess", at(10)), Err(Shut::WrongCode));
        }
        assert_eq!(door.admit("lead", "harbour-gate", at(20)), Err(Shut::Pause(50)), "the right one waits too");
        assert!(door.admit("tech-1", "", at(20)).is_ok(), "the others come and go");
        assert!(door.admit("lead", "harbour-gate", at(71)).is_ok());
        assert_eq!(door.admit("nobody", "", at(71)), Err(Shut::Stranger));
    }

    #[test]
    fn beyond_this_machine_nobody_enters_without_a_code() {
        let folder = tempfile::tempdir().unwrap();
        let mut config = config(folder.path());
        let ticket = Door::open(&config).unwrap().admit("tech-1", "", at(10)).unwrap();
        config.page.listen = "0.0.0.0:8470".parse().unwrap();
        let door = Door::open(&config).unwrap();
        assert_eq!(door.admit("tech-1", "", at(10)), Err(Shut::Stranger));
        assert_eq!(door.who(&carrying(&ticket), at(11)), None);
    }

    #[cfg(unix)]
    #[test]
    fn the_key_is_its_owners_alone_and_a_damaged_one_is_named() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        Door::open(&config(folder.path())).unwrap();
        let path = folder.path().join(KEY_FILE);
        assert_eq!(std::fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        std::fs::write(&path, b"short").unwrap();
        let error = Door::open(&config(folder.path())).err().unwrap().to_string();
        assert!(error.contains(KEY_FILE), "{error}");
    }
}
