//! What a button says when it is pressed: the line itself where it fits, otherwise a key to a bounded store.
//!
//! The key is a digest of the line, so the same offer always has the same key: a button older than a restart works
//! again once its line has been offered anew, and until then its presser is told so. Photographs that came beside a line
//! that was refused stay beside what it offers: pressed too late, when they are gone, it posts nothing.

use std::collections::{HashMap, VecDeque};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::limits;
use crate::desk::{Asker, Enclosed};

/// What pressing does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Press {
    /// The line is sent as it stands.
    Send(String),
    /// It is sent, and the answer takes the place of the message that the button is under.
    Turn(String),
    /// A form opens with what the line holds.
    Form(String),
}

/// How many long lines are remembered, and how many bytes of photographs beside them.
const KEPT: usize = 4_000;
const MOST_BYTES: usize = 64 * 1024 * 1024;

const SEND: &str = "say:";
const TURN: &str = "turn:";
const FORM: &str = "form:";
const KEY: &str = "key:";

/// The store of lines too long for a button.
#[derive(Default)]
pub struct Buttons(Mutex<Kept>);

#[derive(Default)]
struct Kept {
    by_key: HashMap<String, (Press, Vec<Enclosed>)>,
    oldest_first: VecDeque<String>,
    /// Of all photographs.
    bytes: usize,
}

impl Buttons {
    /// The custom id that stands for this press, at most 100 characters.
    pub fn id(&self, press: Press) -> String {
        let (word, line) = match &press {
            Press::Send(line) => (SEND, line),
            Press::Turn(line) => (TURN, line),
            Press::Form(line) => (FORM, line),
        };
        let plain = format!("{word}{line}");
        if limits::size(&plain) <= limits::CUSTOM_ID {
            return plain;
        }
        self.keep(&plain, press, Vec::new())
    }

    /// The custom id that stands for the same with the photographs of that asker beside it.
    pub fn beside(&self, id: &str, asker: &Asker) -> String {
        let Some((press, _)) = self.press(id).filter(|_| !asker.enclosed.is_empty()) else { return id.to_owned() };
        let what = format!("{id} {} {}", asker.person, asker.key.as_deref().unwrap_or_default());
        self.keep(&what, press, asker.enclosed.clone())
    }

    fn keep(&self, what: &str, press: Press, photos: Vec<Enclosed>) -> String {
        let digest = blake3::hash(what.as_bytes()).to_hex();
        let key = digest.chars().take(32).collect::<String>();
        self.kept().keep(key.clone(), press, photos);
        format!("{KEY}{key}")
    }

    /// What a custom id stands for, and the photographs beside it; none when it is too old or not one of ours.
    pub fn press(&self, id: &str) -> Option<(Press, Vec<Enclosed>)> {
        let after = |word: &str| id.strip_prefix(word).map(str::to_owned);
        let plain = after(SEND).map(Press::Send);
        let plain = plain.or_else(|| after(TURN).map(Press::Turn)).or_else(|| after(FORM).map(Press::Form));
        if let Some(press) = plain {
            return Some((press, Vec::new()));
        }
        self.kept().by_key.get(id.strip_prefix(KEY)?).cloned()
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Kept {
    fn keep(&mut self, key: String, press: Press, photos: Vec<Enclosed>) {
        self.bytes += size(&photos);
        match self.by_key.insert(key.clone(), (press, photos)) {
            Some((_, before)) => self.bytes -= size(&before),
            None => self.oldest_first.push_back(key),
        }
        while self.by_key.len() > KEPT {
            self.forget(0);
        }
        while self.bytes > MOST_BYTES {
            let heavy = |key: &String| self.by_key.get(key).is_some_and(|(_, photos)| !photos.is_empty());
            let Some(oldest) = self.oldest_first.iter().position(heavy) else { return };
            self.forget(oldest);
        }
    }

    fn forget(&mut self, at: usize) {
        let forgotten = self.oldest_first.remove(at).and_then(|key| self.by_key.remove(&key));
        self.bytes -= forgotten.map_or(0, |(_, photos)| size(&photos));
    }
}

fn size(photos: &[Enclosed]) -> usize {
    photos.iter().map(Enclosed::size).sum()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::desk::Front;

    fn pressed(buttons: &Buttons, id: &str) -> Option<Press> {
        buttons.press(id).map(|(press, _)| press)
    }

    #[test]
    fn a_short_line_needs_no_memory() {
        let id = Buttons::default().id(Press::Send("ring gap 4.030in marine".to_owned()));
        assert_eq!(id, "say:ring gap 4.030in marine");
        assert_eq!(pressed(&Buttons::default(), &id), Some(Press::Send("ring gap 4.030in marine".to_owned())));
    }

    #[test]
    fn a_long_line_is_kept_under_a_key_until_it_is_too_old() {
        let (buttons, restarted) = (Buttons::default(), Buttons::default());
        let press = Press::Form(format!("log main-journal note=\"{}\"", "x".repeat(100)));
        let id = buttons.id(press.clone());
        assert!(limits::size(&id) <= limits::CUSTOM_ID);
        assert_eq!(pressed(&buttons, &id), Some(press.clone()));
        assert_eq!(pressed(&restarted, &id), None);
        assert_eq!(restarted.id(press.clone()), id, "the same line has the same key");
        assert_eq!(pressed(&restarted, &id), Some(press));
    }

    #[test]
    fn the_store_is_bounded() {
        let buttons = Buttons::default();
        let long = |n: usize| Press::Send(format!("{n} {}", "x".repeat(100)));
        let first = buttons.id(long(0));
        for n in 1..=KEPT {
            buttons.id(long(n));
        }
        assert_eq!(pressed(&buttons, &first), None);
        assert_eq!(buttons.kept().by_key.len(), KEPT);
        assert_eq!(buttons.kept().oldest_first.len(), KEPT);
    }

    #[test]
    fn photographs_stay_beside_what_is_offered_until_there_are_too_many() {
        let buttons = Buttons::default();
        let (short, long) =
            (buttons.id(Press::Form("log bore 1".to_owned())), buttons.id(Press::Send("x".repeat(200))));
        let ids: Vec<String> = (0..9)
            .map(|n| {
                let mut asker = Asker::new("tech-1", Front::Chat);
                asker.key = Some(n.to_string());
                assert_eq!(buttons.beside(&short, &asker), short, "nothing came beside it");
                asker.enclosed.push(Enclosed::new(vec![n; MOST_BYTES / 8], "crank.jpg"));
                buttons.beside(&short, &asker)
            })
            .collect();
        assert_eq!(buttons.press(&ids[0]).map(|(press, _)| press), None, "the oldest went, and not without them");
        let (press, photos) = buttons.press(&ids[8]).unwrap();
        assert_eq!((press, photos.len()), (Press::Form("log bore 1".to_owned()), 1));
        assert!(buttons.press(&long).is_some(), "what weighs nothing stays");
        assert_eq!(buttons.kept().bytes, MOST_BYTES);
    }
}
