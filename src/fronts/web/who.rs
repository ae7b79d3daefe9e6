//! Who is at the page: the key in a device's cookie, the code that earns one, and whose both are.

use std::collections::BTreeMap;
use std::net::IpAddr;

use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use jiff::Timestamp;

use super::limits::{Limits, Wait};
use crate::config::Config;
use crate::desk::Role;
use crate::desk::joining::{self, Code, Device, Key, KeyBook};

/// Over TLS a browser takes this name only from us, for every path, never in the clear.
const SAFE_COOKIE: &str = "__Host-gudgeon";
const LOCAL_COOKIE: &str = "gudgeon";

/// Lets people in and knows them again.
pub struct Door {
    /// Whom the settings name.
    settled: BTreeMap<String, Role>,
    pub book: KeyBook,
    /// Nobody but this machine reaches the page: whoever is at it may say who they are, and nothing is limited.
    pub trusting: bool,
    limits: Limits,
}

/// Why a person did not get in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shut {
    Stranger,
    WrongCode,
    /// No further code is looked at for a while.
    Pause(Wait),
    /// It is in the log.
    Fault,
}

impl Door {
    pub fn open(config: &Config) -> anyhow::Result<Self> {
        Ok(Self {
            settled: config.roles(),
            book: joining::book(&config.data)?,
            trusting: !config.beyond_this_machine(),
            limits: Limits::new(),
        })
    }

    /// Whom the settings name, and as what.
    pub fn settled(&self) -> &BTreeMap<String, Role> {
        &self.settled
    }

    /// The role of someone of this shop; none for anyone else.
    pub fn role(&self, person: &str) -> Option<Role> {
        self.settled.get(person).copied().or_else(|| told(self.book.role(person)).flatten())
    }

    /// The key of who says a name at this machine.
    pub fn admit(&self, name: &str, now: Timestamp) -> Result<Key, Shut> {
        if !self.trusting || !self.settled.contains_key(name) {
            return Err(Shut::Stranger);
        }
        let key = new_key()?;
        told(self.book.admit(key.mark(), name, "this machine", now)).ok_or(Shut::Fault)?;
        Ok(key)
    }

    /// The key that a code earns, and whose it is. Every code counts as a guess until it is right.
    pub fn join(&self, typed: &str, device: &str, from: IpAddr, now: Timestamp) -> Result<(Key, String), Shut> {
        if let Err(wait) = self.limits.guess(from, now) {
            tracing::warn!(%from, "too many wrong codes");
            return Err(Shut::Pause(wait));
        }
        let code = Code::read(typed).ok_or(Shut::WrongCode)?;
        let key = new_key()?;
        let named = |person: &str| self.settled.get(person).copied();
        let joined = self.book.join(code.mark(), key.mark(), &joining::device_name(device), named, now);
        match told(joined).ok_or(Shut::Fault)? {
            Some(person) => {
                self.limits.right(from);
                tracing::info!(person, "a device joined");
                Ok((key, person))
            }
            None => Err(Shut::WrongCode),
        }
    }

    /// The device whose key a request carries, if the key still opens and its person is still of this shop.
    pub fn who(&self, headers: &HeaderMap, now: Timestamp) -> Option<Device> {
        let device = told(self.book.seen(self.key(headers)?.mark(), now)).flatten()?;
        let may = self.trusting || !device.local;
        (may && self.role(&device.person).is_some()).then_some(device)
    }

    /// Takes away the key a request carries.
    pub fn leave(&self, headers: &HeaderMap, now: Timestamp) {
        if let Some(device) = self.who(headers, now) {
            told(self.book.remove_device(device.number));
        }
    }

    fn key(&self, headers: &HeaderMap) -> Option<Key> {
        let name = self.cookie_name();
        let pairs = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
        let mut pairs = pairs.flat_map(|value| value.split(';'));
        Key::read(pairs.find_map(|pair| pair.trim().strip_prefix(name)?.strip_prefix('='))?)
    }

    /// The header that keeps a key in the browser; without one it takes it away.
    pub fn cookie(&self, key: Option<&Key>) -> String {
        let (value, age) = match key {
            Some(key) => (key.text(), KeyBook::LONGEST.as_secs()),
            None => (String::new(), 0),
        };
        let secure = if self.trusting { "" } else { "; Secure" };
        format!("{}={value}; Path=/; Max-Age={age}; HttpOnly; SameSite=Strict{secure}", self.cookie_name())
    }

    fn cookie_name(&self) -> &'static str {
        if self.trusting { LOCAL_COOKIE } else { SAFE_COOKIE }
    }

    /// Whether a device may ask now.
    pub fn device_may(&self, device: i64, now: Timestamp) -> Result<(), Wait> {
        if self.trusting { Ok(()) } else { self.limits.device(device, now) }
    }

    /// Whether an address may ask now.
    pub fn address_may(&self, address: IpAddr, now: Timestamp) -> Result<(), Wait> {
        if self.trusting { Ok(()) } else { self.limits.address(address, now) }
    }
}

fn new_key() -> Result<Key, Shut> {
    Key::make().map_err(|error| {
        tracing::error!("there is no randomness for a key: {error}");
        Shut::Fault
    })
}

/// What the key book said; a fault goes to the log, and shuts the door.
pub fn told<T>(said: Result<T, impl std::fmt::Display>) -> Option<T> {
    said.inspect_err(|error| tracing::error!("the key book: {error}")).ok()
}

/// A hash over parts, each hashed first so that none runs into the next: it names a request.
pub fn mark(parts: &[&[u8]]) -> blake3::Hash {
    let mut hasher = blake3::Hasher::new_derive_key("gudgeon 2026 request of the page");
    for part in parts {
        hasher.update(blake3::hash(part).as_bytes());
    }
    hasher.finalize()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::path::Path;

    use super::*;

    fn config(folder: &Path, listen: &str) -> Config {
        let mut config = Config { data: folder.to_owned(), ..Config::default() };
        config.page.listen = listen.parse().unwrap();
        config
    }

    fn carrying(door: &Door, key: &Key) -> HeaderMap {
        let cookie = door.cookie(Some(key));
        let pair = cookie.split(';').next().unwrap();
        HeaderMap::from_iter([(COOKIE, format!("other=1; {pair}").parse().unwrap())])
    }

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    fn who(door: &Door, key: &Key, now: i64) -> Option<String> {
        door.who(&carrying(door, key), at(now)).map(|device| device.person)
    }

    const HERE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(10, 0, 0, 7));

    #[test]
    fn at_this_machine_a_name_is_enough_and_outlives_a_restart() {
        let folder = tempfile::tempdir().unwrap();
        let mut config = config(folder.path(), "127.0.0.1:8470");
        let door = Door::open(&config).unwrap();
        let key = door.admit("lead", at(1000)).unwrap();
        assert!(door.admit("nobody", at(1000)).is_err());
        let again = Door::open(&config).unwrap();
        assert_eq!(who(&again, &key, 2000).as_deref(), Some("lead"));
        assert_eq!(who(&again, &Key::make().unwrap(), 2000), None, "another key");
        config.people.remove("lead");
        assert_eq!(who(&Door::open(&config).unwrap(), &key, 2000), None, "taken out of the settings");
    }

    #[test]
    fn what_a_name_earned_at_this_machine_opens_nothing_over_the_network() {
        let folder = tempfile::tempdir().unwrap();
        let key = Door::open(&config(folder.path(), "127.0.0.1:8470")).unwrap().admit("lead", at(10)).unwrap();
        let door = Door::open(&config(folder.path(), "0.0.0.0:8470")).unwrap();
        assert_eq!(who(&door, &key, 11), None);
        assert_eq!(door.admit("lead", at(10)).err(), Some(Shut::Stranger));
    }

    #[test]
    fn a_code_earns_a_key_once_until_its_person_is_out() {
        let folder = tempfile::tempdir().unwrap();
        let door = Door::open(&config(folder.path(), "0.0.0.0:8470")).unwrap();
        let (code, _) = joining::invite(door.settled(), &door.book, "apprentice-2", None, at(0)).unwrap();
        let (key, person) = door.join(&code.spoken(), "phone", HERE, at(1)).unwrap();
        assert_eq!((person.as_str(), door.role(&person)), ("apprentice-2", Some(Role::Apprentice)));
        assert_eq!(door.join(&code.text(), "phone", HERE, at(2)).err(), Some(Shut::WrongCode));
        assert_eq!(who(&door, &key, 3).as_deref(), Some("apprentice-2"));
        assert!(door.cookie(Some(&key)).starts_with("__Host-gudgeon="));
        door.book.remove("apprentice-2").unwrap();
        assert_eq!(who(&door, &key, 3), None);
    }

    #[test]
    fn guesses_bring_a_pause_even_for_the_right_code() {
        let folder = tempfile::tempdir().unwrap();
        let door = Door::open(&config(folder.path(), "0.0.0.0:8470")).unwrap();
        let (code, _) = joining::invite(door.settled(), &door.book, "lead", None, at(0)).unwrap();
        for guess in ["ABCD2345", "", "far too long to be a code", "ABCD 2346", "ABCD2347"] {
            assert_eq!(door.join(guess, "phone", HERE, at(0)).err(), Some(Shut::WrongCode), "{guess}");
        }
        assert_eq!(door.join(&code.text(), "phone", HERE, at(10)).err(), Some(Shut::Pause(Wait(50))));
        assert!(door.join(&code.text(), "phone", IpAddr::from([10, 0, 0, 8]), at(10)).is_ok());
    }

    #[test]
    fn a_request_is_named_by_its_parts_and_their_order() {
        assert_eq!(mark(&[b"ab", b"c"]), mark(&[b"ab", b"c"]));
        assert_ne!(mark(&[b"ab", b"c"]), mark(&[b"a", b"bc"]));
    }
}
