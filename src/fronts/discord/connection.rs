//! What belongs to one connection and to no shop: how it is doing, who the bot is there, what has come already, and how
//! many answers are under way.

use std::collections::{HashSet, VecDeque};
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use serenity::all::{InteractionId, UserId};

use super::running::State;

/// It outlives each client that is put in another's place.
pub struct Connection {
    state: Mutex<State>,
    /// The bot's own number on the platform; 0 until it is known.
    own_number: AtomicU64,
    seen: Mutex<Seen>,
    under_way: AtomicUsize,
}

impl Connection {
    pub fn new() -> Self {
        let (own_number, under_way) = (AtomicU64::new(0), AtomicUsize::new(0));
        Self { state: Mutex::new(State::Starting), own_number, seen: Mutex::default(), under_way }
    }

    pub fn own_number(&self) -> Option<UserId> {
        Some(self.own_number.load(Ordering::Acquire)).filter(|number| *number != 0).map(UserId::new)
    }

    /// It is up, as that user of the platform.
    pub fn up(&self, user: UserId) {
        self.own_number.store(user.get(), Ordering::Release);
        self.set_state(State::Up);
    }

    pub fn state(&self) -> State {
        self.state.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    pub fn set_state(&self, state: State) {
        *self.state.lock().unwrap_or_else(PoisonError::into_inner) = state;
    }

    /// True the first time this interaction comes: a resumed connection may bring it again.
    pub fn is_new(&self, id: InteractionId) -> bool {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner).note(id)
    }

    /// Counts an answer as under way until the guard is dropped.
    pub fn begin(self: &Arc<Self>) -> UnderWay {
        self.under_way.fetch_add(1, Ordering::AcqRel);
        UnderWay(Arc::clone(self))
    }

    pub fn answers_under_way(&self) -> usize {
        self.under_way.load(Ordering::Acquire)
    }
}

/// An answer that is not finished yet.
pub struct UnderWay(Arc<Connection>);

impl Drop for UnderWay {
    fn drop(&mut self) {
        self.0.under_way.fetch_sub(1, Ordering::AcqRel);
    }
}

/// The interactions of late, a bounded number of them.
#[derive(Default)]
struct Seen {
    ids: HashSet<InteractionId>,
    oldest_first: VecDeque<InteractionId>,
}

impl Seen {
    const KEPT: usize = 2_000;

    fn note(&mut self, id: InteractionId) -> bool {
        if !self.ids.insert(id) {
            return false;
        }
        self.oldest_first.push_back(id);
        if self.oldest_first.len() > Self::KEPT
            && let Some(oldest) = self.oldest_first.pop_front()
        {
            self.ids.remove(&oldest);
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interaction_counts_once() {
        let mut seen = Seen::default();
        assert!(seen.note(InteractionId::new(1)));
        assert!(!seen.note(InteractionId::new(1)));
        for id in 2..5_000 {
            assert!(seen.note(InteractionId::new(id)));
        }
        assert_eq!(seen.ids.len(), Seen::KEPT);
    }
}
