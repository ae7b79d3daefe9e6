//! What a button says when it is pressed: the line itself where it fits, otherwise a key to a bounded store.
//!
//! The key is a digest of the line, so the same offer always has the same key: a button older than a restart works
//! again once its line has been offered anew, and until then its presser is told so.

use std::collections::{HashMap, VecDeque};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::limits;

/// What pressing does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Press {
    /// The line is sent as it stands.
    Send(String),
    /// A form opens with what the line holds.
    Form(String),
}

/// How many long lines are remembered.
const KEPT: usize = 4_000;

const SEND: &str = "say:";
const FORM: &str = "form:";
const KEY: &str = "key:";

/// The store of lines too long for a button.
#[derive(Default)]
pub struct Buttons(Mutex<Kept>);

#[derive(Default)]
struct Kept {
    by_key: HashMap<String, Press>,
    oldest_first: VecDeque<String>,
}

impl Buttons {
    /// The custom id that stands for this press, at most 100 characters.
    pub fn id(&self, press: Press) -> String {
        let (word, line) = match &press {
            Press::Send(line) => (SEND, line),
            Press::Form(line) => (FORM, line),
        };
        let plain = format!("{word}{line}");
        if limits::size(&plain) <= limits::CUSTOM_ID {
            return plain;
        }
        let digest = blake3::hash(plain.as_bytes()).to_hex();
        let key = digest.chars().take(32).collect::<String>();
        self.kept().keep(key.clone(), press);
        format!("{KEY}{key}")
    }

    /// What a custom id stands for; none when it is too old or not one of ours.
    pub fn press(&self, id: &str) -> Option<Press> {
        if let Some(line) = id.strip_prefix(SEND) {
            return Some(Press::Send(line.to_owned()));
        }
        if let Some(line) = id.strip_prefix(FORM) {
            return Some(Press::Form(line.to_owned()));
        }
        self.kept().by_key.get(id.strip_prefix(KEY)?).cloned()
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Kept {
    fn keep(&mut self, key: String, press: Press) {
        if self.by_key.insert(key.clone(), press).is_none() {
            self.oldest_first.push_back(key);
        }
        while self.by_key.len() > KEPT {
            let Some(oldest) = self.oldest_first.pop_front() else { return };
            self.by_key.remove(&oldest);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_line_needs_no_memory() {
        let id = Buttons::default().id(Press::Send("ring gap 4.030in marine".to_owned()));
        assert_eq!(id, "say:ring gap 4.030in marine");
        assert_eq!(Buttons::default().press(&id), Some(Press::Send("ring gap 4.030in marine".to_owned())));
    }

    #[test]
    fn a_long_line_is_kept_under_a_key_until_it_is_too_old() {
        let (buttons, restarted) = (Buttons::default(), Buttons::default());
        let press = Press::Form(format!("log main-journal note=\"{}\"", "x".repeat(100)));
        let id = buttons.id(press.clone());
        assert!(limits::size(&id) <= limits::CUSTOM_ID);
        assert_eq!(buttons.press(&id), Some(press.clone()));
        assert_eq!(restarted.press(&id), None);
        assert_eq!(restarted.id(press.clone()), id, "the same line has the same key");
        assert_eq!(restarted.press(&id), Some(press));
    }

    #[test]
    fn the_store_is_bounded() {
        let buttons = Buttons::default();
        let long = |n: usize| Press::Send(format!("{n} {}", "x".repeat(100)));
        let first = buttons.id(long(0));
        for n in 1..=KEPT {
            buttons.id(long(n));
        }
        assert_eq!(buttons.press(&first), None);
        assert_eq!(buttons.kept().by_key.len(), KEPT);
        assert_eq!(buttons.kept().oldest_first.len(), KEPT);
    }
}
