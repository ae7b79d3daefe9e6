//! What is wrong with a page, where, and what would be right.

use std::fmt;

/// One fault in one page. Shown as `file:line: what; remedy`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    pub file: String,
    /// Counted from 1.
    pub line: usize,
    pub what: String,
    pub remedy: String,
    /// True when the page says less than its writer meant (it cannot be read, or a limits row was left out):
    /// a shelf that watches then keeps the last good version of the page.
    pub breaks: bool,
}

impl Fault {
    /// A fault that leaves the page readable in full.
    pub fn blemish(file: &str, line: usize, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, what: what.into(), remedy: remedy.into(), breaks: false }
    }

    /// A fault that loses the page, or something it says.
    pub fn broken(file: &str, line: usize, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { breaks: true, ..Self::blemish(file, line, what, remedy) }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}; {}", self.file, self.line, self.what, self.remedy)
    }
}

/// `a, b or c`, for a remedy that names what is possible.
pub(super) fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [rest @ .., last] => format!("{} or {last}", rest.join(", ")),
    }
}

/// The word of `known` that `typed` was most likely meant to be.
pub(super) fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    known
        .into_iter()
        .map(|word| (strsim::normalized_damerau_levenshtein(typed, word), word))
        .filter(|(likeness, _)| *likeness >= 0.6)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
