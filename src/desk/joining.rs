//! How a person comes to the page: by a code that a lead made, once, and then by the key their device keeps.
//!
//! A code is eight of thirty-two characters that nobody mixes up, 40 bits. A key is 256 random bits. Of both the key
//! book keeps a hash.

use std::collections::BTreeMap;
use std::path::Path;

use jiff::{SignedDuration, Timestamp};

use super::Role;
pub use crate::record::{Device, Invitation, KeyBook};
use crate::record::{Hash, RecordError};

/// The key book's file, beside the record.
pub const FILE: &str = "door.sqlite";
/// How long a code opens.
pub const OPEN_FOR: SignedDuration = SignedDuration::from_mins(15);

/// Without the look-alikes: no I, L, O and no 1; what is typed for a nought may be either.
const LETTERS: &[u8; 32] = b"ABCDEFGHJKMNPQRSTUVWXYZ023456789";
const LENGTH: usize = 8;
const LONGEST_NAME: usize = 40;

/// Why nobody was invited.
#[derive(Debug, thiserror::Error)]
pub enum NotInvited {
    #[error(
        "a name is 1 to {LONGEST_NAME} letters, digits, spaces, dots and dashes, and starts with a letter or digit: “{0}” is not"
    )]
    Name(String),
    #[error("“{given}” looks like “{there}”, who is here already: write it so, or choose another name")]
    Alike { given: String, there: String },
    #[error("{person} is {role} in the shop's settings: change it there, and no code is needed for it")]
    Settled { person: String, role: Role },
    #[error(transparent)]
    Book(#[from] RecordError),
    #[error("there is no randomness for a code: {0}")]
    Chance(getrandom::Error),
}

/// Opens the key book in this data folder.
pub fn book(data: &Path) -> anyhow::Result<KeyBook> {
    use anyhow::Context as _;
    std::fs::create_dir_all(data).with_context(|| format!("cannot make the data folder {}", data.display()))?;
    let path = data.join(FILE);
    KeyBook::open(&path).with_context(|| format!("cannot open {}", path.display()))
}

/// Whom a lead let in, as the key book in this data folder says; nobody where there is none.
pub fn members(data: &Path) -> anyhow::Result<Vec<(String, Role)>> {
    if data.join(FILE).exists() { Ok(book(data)?.members()?) } else { Ok(Vec::new()) }
}

/// Everyone of the shop: those its settings name, and those a lead let in.
pub fn everyone(settled: &BTreeMap<String, Role>, book: &KeyBook) -> Result<BTreeMap<String, Role>, RecordError> {
    let mut all: BTreeMap<String, Role> = book.members()?.into_iter().collect();
    all.extend(settled.iter().map(|(name, role)| (name.clone(), *role)));
    Ok(all)
}

/// Makes a one-time code for a person. Without a role they keep the one they have, or are an apprentice.
pub fn invite(
    settled: &BTreeMap<String, Role>,
    book: &KeyBook,
    person: &str,
    role: Option<Role>,
    now: Timestamp,
) -> Result<(Code, Invitation), NotInvited> {
    let person = person.trim();
    if !is_name(person) {
        return Err(NotInvited::Name(person.chars().take(LONGEST_NAME).collect()));
    }
    let all = everyone(settled, book)?;
    let alike = |there: &&String| there.to_lowercase() == person.to_lowercase() && *there != person;
    if let Some(there) = all.keys().find(alike) {
        return Err(NotInvited::Alike { given: person.to_owned(), there: there.clone() });
    }
    if let (Some(&settled), Some(wanted)) = (settled.get(person), role)
        && settled != wanted
    {
        return Err(NotInvited::Settled { person: person.to_owned(), role: settled });
    }
    let role = role.or_else(|| all.get(person).copied()).unwrap_or(Role::Apprentice);
    let code = Code::make().map_err(NotInvited::Chance)?;
    let invitation = Invitation { person: person.to_owned(), role, ends: now + OPEN_FOR };
    book.invite(&invitation, code.mark(), now)?;
    Ok((code, invitation))
}

/// Names stand in the record, on the sheet and in lines, so they are plain.
fn is_name(name: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '.' | '-' | '_');
    name.chars().next().is_some_and(char::is_alphanumeric)
        && name.chars().count() <= LONGEST_NAME
        && name.chars().all(plain)
}

/// A one-time code. It shows itself only where it is handed over.
pub struct Code([u8; LENGTH]);

impl Code {
    fn make() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; LENGTH];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.map(|byte| LETTERS[usize::from(byte % 32)])))
    }

    /// A code as a thumb types it: in any case, with gaps or dashes, an O for a nought.
    pub fn read(typed: &str) -> Option<Self> {
        let mut read = [0; LENGTH];
        let mut count = 0;
        for c in typed.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '–' | '—' | '_')) {
            let c = match c.to_ascii_uppercase() {
                'O' => '0',
                c => c,
            };
            let byte = u8::try_from(c).ok().filter(|byte| LETTERS.contains(byte))?;
            *read.get_mut(count)? = byte;
            count += 1;
        }
        (count == LENGTH).then_some(Self(read))
    }

    /// As it is written in an address.
    pub fn text(&self) -> String {
        self.0.iter().map(|&byte| char::from(byte)).collect()
    }

    /// As it is read out: in two halves.
    pub fn spoken(&self) -> String {
        let text = self.text();
        let (first, second) = text.split_at(LENGTH / 2);
        format!("{first} {second}")
    }

    pub fn mark(&self) -> Hash {
        blake3::Hash::from_bytes(blake3::derive_key("gudgeon 2026 joining code", &self.0))
    }
}

/// A device's key, as its cookie carries it.
pub struct Key([u8; 32]);

impl Key {
    pub fn make() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes))
    }

    pub fn read(text: &str) -> Option<Self> {
        Some(Self(*Hash::from_hex(text).ok()?.as_bytes()))
    }

    pub fn text(&self) -> String {
        Hash::from_bytes(self.0).to_hex().to_string()
    }

    pub fn mark(&self) -> Hash {
        Hash::from_bytes(blake3::derive_key("gudgeon 2026 device key", &self.0))
    }
}

/// A device's name as it is kept: short, on one line, never empty.
pub fn device_name(typed: &str) -> String {
    let plain: String = typed.chars().map(|c| if c.is_control() { ' ' } else { c }).take(LONGEST_NAME).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    if plain.is_empty() { "phone".to_owned() } else { plain }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn open() -> (tempfile::TempDir, KeyBook, BTreeMap<String, Role>) {
        let folder = tempfile::tempdir().unwrap();
        let book = book(folder.path()).unwrap();
        (folder, book, BTreeMap::from([("lead".to_owned(), Role::Lead)]))
    }

    #[test]
    fn a_code_is_read_as_thumbs_type_it() {
        let code = Code::read("k7qm 0xpd").unwrap();
        assert_eq!((code.text().as_str(), code.spoken().as_str()), ("K7QM0XPD", "K7QM 0XPD"));
        for typed in ["K7QM0XPD", " k7qm-oxpd ", "K7QM—OXPD", "K 7 Q M 0 X P D"] {
            assert_eq!(Code::read(typed).unwrap().mark(), code.mark(), "{typed}");
        }
        for wrong in ["", "K7QM0XP", "K7QM0XPDD", "K7QM0XP1", "K7QM0XPI", "K7QM0XP!", "K7QM0XPÖ"] {
            assert!(Code::read(wrong).is_none(), "{wrong}");
        }
        let made = Code::make().unwrap();
        assert_eq!(Code::read(&made.text()).unwrap().mark(), made.mark());
    }

    #[test]
    fn a_key_reads_back_and_nothing_else_does() {
        let key = Key::make().unwrap();
        assert_eq!(Key::read(&key.text()).unwrap().mark(), key.mark());
        assert!(Key::read("").is_none() && Key::read(&key.text()[1..]).is_none());
    }

    #[test]
    fn names_that_mislead_are_refused() {
        let (_folder, book, settled) = open();
        let try_name = |name: &str| invite(&settled, &book, name, None, Timestamp::UNIX_EPOCH).map(|(_, made)| made);
        let long = "x".repeat(LONGEST_NAME + 1);
        for name in ["", "  ", "-lead", "a\nb", "<b>", "a\u{202e}b", &long] {
            assert!(matches!(try_name(name), Err(NotInvited::Name(_))), "{name:?}");
        }
        assert!(matches!(try_name("Lead"), Err(NotInvited::Alike { .. })));
        let made = try_name(" apprentice-2 ").unwrap();
        assert_eq!((made.person.as_str(), made.role), ("apprentice-2", Role::Apprentice));
        assert_eq!(try_name("lead").unwrap().role, Role::Lead);
    }

    #[test]
    fn the_settings_decide_a_role_they_name() {
        let (_folder, book, settled) = open();
        let made = invite(&settled, &book, "lead", Some(Role::Tech), Timestamp::UNIX_EPOCH);
        assert!(matches!(made, Err(NotInvited::Settled { .. })));
    }

    #[test]
    fn a_devices_name_is_short_and_plain() {
        assert_eq!(device_name("  wall\ttablet \n"), "wall tablet");
        assert_eq!(device_name(" \u{7} "), "phone");
        assert_eq!(device_name(&"long ".repeat(30)).chars().count(), 39);
    }
}
