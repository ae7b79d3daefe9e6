//! Live news, on a phone by itself: there is none.

use std::sync::Arc;

use crate::desk::Desk;

pub struct Live;

impl Live {
    pub fn look(&self, _desk: &Desk) {}
}

/// The head of what the phone was given.
pub fn head(desk: &Arc<Desk>) -> String {
    desk.fingerprint().unwrap_or_default()
}
