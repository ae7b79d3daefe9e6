//! Which commands work something out; the bench looks here as well.

use gudgeon::desk::{Desk, Form};

/// The families that answer from the library, the engines and the record; every other one works something out.
const NO_SUMS: [&str; 16] = [
    "ask",
    "page",
    "procedure",
    "word",
    "limits",
    "orient",
    "clock",
    "job",
    "log",
    "paste",
    "amend",
    "next",
    "instrument",
    "review",
    "digest",
    "sheet",
];

/// The commands that work something out.
pub fn sums(desk: &Desk) -> impl Iterator<Item = &Form> {
    desk.forms().iter().filter(|form| !NO_SUMS.contains(&form.family.as_str()))
}
