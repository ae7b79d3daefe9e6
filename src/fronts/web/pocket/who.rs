//! Who is at the page, on a phone: whoever it carries the record for.

use axum::http::HeaderMap;
use jiff::Timestamp;

use crate::desk::Role;

/// Lets nobody in, and knows one person.
pub struct Door {
    person: String,
    role: Role,
    /// Nobody else reaches the page.
    pub trusting: bool,
}

/// The phone itself.
pub struct Device {
    pub number: i64,
    pub person: String,
}

impl Door {
    pub fn of(person: String, role: Role) -> Self {
        Self { person, role, trusting: true }
    }

    pub fn role(&self, person: &str) -> Option<Role> {
        (person == self.person).then_some(self.role)
    }

    pub fn who(&self, _headers: &HeaderMap, _now: Timestamp) -> Option<Device> {
        Some(Device { number: 0, person: self.person.clone() })
    }
}

/// Names a request. It need be no secret here: the server makes its own of what it is sent.
pub fn mark(parts: &[&[u8]]) -> blake3::Hash {
    let mut hasher = blake3::Hasher::new();
    for part in parts {
        hasher.update(blake3::hash(part).as_bytes());
    }
    hasher.finalize()
}
