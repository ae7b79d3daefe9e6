//! "You asked wrongly" kept apart from "we broke": the first is shown word for word, the second is logged whole
//! and shown as a short apology.

use serde::Serialize;

/// A request that cannot be met as it was put. Nothing was changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Which input is at fault, by the name the command gives it.
    pub input: String,
    pub given: String,
    /// What would be right.
    pub possible: String,
    /// A line that would show the way, such as the command's form.
    #[serde(skip)]
    pub line: Option<String>,
    /// It is a question: the same line with `--sure` says that it stands.
    #[serde(skip)]
    pub asks: bool,
    /// It is a question: something happened between the phone's taking it and its coming here.
    #[serde(skip)]
    pub meanwhile: bool,
}

impl Refusal {
    pub fn new(input: impl Into<String>, given: impl Into<String>, possible: impl Into<String>) -> Self {
        Self {
            input: input.into(),
            given: given.into(),
            possible: possible.into(),
            line: None,
            asks: false,
            meanwhile: false,
        }
    }

    /// A value that can hardly be right, questioned before it is taken.
    pub fn question(input: impl Into<String>, given: impl Into<String>, why: impl AsRef<str>) -> Self {
        let possible = format!("{} If it reads so, send it again with --sure.", why.as_ref());
        Self { asks: true, ..Self::new(input, given, possible) }
    }

    /// The refusal as one or two sentences.
    pub fn sentence(&self) -> String {
        match self.given.as_str() {
            "" => format!("{}: {}", self.input, self.possible),
            given => format!("{}: “{}”. {}", self.input, clip(given, 60), self.possible),
        }
    }
}

/// At most `most` characters of a text, with an ellipsis when some were left off.
pub fn clip(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// Why there is no reply.
#[derive(Debug)]
pub enum Trouble {
    Refused(Refusal),
    Fault(anyhow::Error),
}

impl Trouble {
    /// For who asked for nothing that could be refused.
    pub fn into_fault(self) -> anyhow::Error {
        match self {
            Self::Refused(refusal) => anyhow::anyhow!(refusal.sentence()),
            Self::Fault(error) => error,
        }
    }
}

impl From<Refusal> for Trouble {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<anyhow::Error> for Trouble {
    fn from(error: anyhow::Error) -> Self {
        Self::Fault(error)
    }
}
