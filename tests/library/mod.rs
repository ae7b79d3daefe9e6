//! The library room: pages read, cut, looked up, watched. What it answers is measured in `tests/search/`.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod beyond;
mod draft;
mod faults;
mod follow;
mod look_up;
mod own_checks;
mod pages;
mod questions;
mod strange;

use gudgeon::library::Library;

/// A page with sound front matter and this body.
fn page(title: &str, kind: &str, body: &str) -> String {
    let front =
        format!("title = \"{title}\"\nkind = \"{kind}\"\nreviewed = \"2026-11-01\"\nsources = [\"common practice\"]");
    format!("+++\n{front}\n+++\n\n{body}\n")
}

/// A shelf of (file, text) pairs.
fn shelf(files: &[(&str, String)]) -> Library {
    Library::from_files(files.iter().map(|(name, text)| ((*name).to_owned(), text.clone())))
}

/// The faults of a shelf as `library check` prints them.
fn told(library: &Library) -> Vec<String> {
    library.faults().iter().map(ToString::to_string).collect()
}
