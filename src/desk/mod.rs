//! The desk: the one room that joins the library, the record and the drawing board.
//!
//! In come an [`Asker`], a line and the time; out goes an [`Outcome`] that any front can paint.

mod board;
pub mod commands;
mod complete;
mod context;
mod digest;
#[cfg(feature = "shop")]
pub mod docket;
mod doubt;
#[cfg(feature = "shop")]
mod due;
mod filling;
pub mod form;
mod gauges;
mod glance;
mod held;
mod help;
mod holds;
#[cfg(feature = "shop")]
pub mod joining;
mod judging;
pub mod line;
mod looking;
mod meant;
#[cfg(feature = "shop")]
pub mod notices;
mod passages;
mod photos;
mod pictures;
#[cfg(not(feature = "shop"))]
mod pocket;
mod posted;
mod posting;
mod progress;
mod reading_room;
mod recorded;
mod remedy;
pub mod reply;
mod returns;
pub mod rows;
mod said;
mod sense;
mod sheet;
mod steps;
mod tree;
mod trouble;
mod values;
pub mod walk;
mod warmth;
mod wish;
mod yardstick;

use std::collections::BTreeMap;

use jiff::Timestamp;

pub use board::{Board, Happened, HoldPoint, InHand, RowsToFill, Spot, StageBoard};
pub use complete::Suggestion;
pub use context::Context;
pub use digest::Hours;
#[cfg(feature = "shop")]
pub use docket::Docket;
#[cfg(feature = "shop")]
pub use due::Due;
pub use filling::{Values, filled};
pub use form::Form;
pub use held::Held;
pub use photos::{Developed, Enclosed, MOST_A_READING, MOST_BYTES};
#[cfg(not(feature = "shop"))]
pub use pocket::ToTell;
pub use reading_room::{Leaf, Piece, Section, Shelved, Step, passage_anchor};
pub use reply::Reply;
pub use tree::unknown;
pub use trouble::{Refusal, Trouble, clip};

use crate::library::Shelf;
use crate::quantity::System;
pub use crate::record::{Extract, JobId, Role, Taken};
use crate::record::{Job, JobFilter, Record, RecordError};
use tree::{Meant, Tree};

/// Which door a line came in by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Front {
    Terminal,
    Page,
    Chat,
}

impl Front {
    pub fn word(self) -> &'static str {
        match self {
            Self::Terminal => "terminal",
            Self::Page => "page",
            Self::Chat => "chat",
        }
    }
}

/// Who asks, and from where.
#[derive(Debug, Clone)]
pub struct Asker {
    pub person: String,
    /// The role a front vouches for (a chat server's roles); otherwise the shop's list of people says.
    pub role: Option<Role>,
    pub front: Front,
    /// The place within a front that keeps its own current job: a chat channel, a thread.
    pub channel: String,
    /// The one job that this place is for, whatever was taken up elsewhere: a job's own thread on the chat.
    pub bench: Option<JobId>,
    /// The system of units this person leads with, where they chose one.
    pub units: Option<System>,
    /// Names this very request, so that sending it again does not post twice.
    pub key: Option<String>,
    /// What a phone says that held the line until now.
    pub held: Option<Held>,
    /// What came beside the line; see [`Asker::enclose`].
    pub enclosed: Vec<Enclosed>,
}

impl Asker {
    pub fn new(person: impl Into<String>, front: Front) -> Self {
        Self {
            person: person.into(),
            role: None,
            front,
            channel: front.word().to_owned(),
            bench: None,
            units: None,
            key: None,
            held: None,
            enclosed: Vec::new(),
        }
    }
}

/// What the shop decides about its desk.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    pub shop: String,
    pub demo: bool,
    pub people: BTreeMap<String, Role>,
    /// A lead may accept a reading of their own.
    pub own_acceptance: bool,
    /// Where phones reach the page, for the code on the build sheet; empty where that is not known.
    pub address: String,
    pub hours: Hours,
}

/// What becomes of a line.
#[derive(Debug)]
pub enum Outcome {
    Reply(Reply),
    Refused(Refusal),
    /// A fault of ours: the text is a short apology, the whole went to the log.
    Fault(String),
}

/// Library, record and commands, joined.
pub struct Desk {
    pub(crate) settings: Settings,
    pub(crate) shelf: Shelf,
    pub(crate) record: Record,
    pub(crate) tree: Tree,
}

impl Desk {
    pub fn new(settings: Settings, shelf: Shelf, record: Record) -> Self {
        Self { settings, shelf, record, tree: Tree::new() }
    }

    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    #[cfg(feature = "shop")]
    /// Follows the library's folder, so that edits are answered while it runs.
    pub fn watch_library(&mut self) {
        if let Err(error) = self.shelf.watch() {
            tracing::warn!("edits to the library are not followed: {error}");
        }
    }

    /// True when no job was ever opened.
    pub fn is_blank(&self) -> anyhow::Result<bool> {
        Ok(self.record.jobs(JobFilter::All)?.is_empty())
    }

    /// The head of the record's chain: it changes with every event, and with nothing else.
    pub fn fingerprint(&self) -> anyhow::Result<String> {
        let (count, hash) = self.record.head()?;
        Ok(format!("{count} {hash}"))
    }

    /// Every command, for a front that makes forms, menus or slash commands.
    pub fn forms(&self) -> &[Form] {
        self.tree.forms()
    }

    /// The command these words name.
    pub fn form(&self, words: &str) -> Option<&Form> {
        self.tree.form(words)
    }

    /// The system of units a bare number takes for this asker: that of the named engine, else of the current job's.
    pub fn lean(&self, asker: &Asker, engine: Option<&str>) -> Option<System> {
        let context = Context::new(self, asker, Timestamp::UNIX_EPOCH).ok()?;
        let named = engine.map(|name| form::EngineName(name.to_owned()));
        context.engine(named.as_ref()).ok()?.map(|engine| engine.unit)
    }

    /// The job that an asker means where they name none: the one their place is for, else the one they took up there.
    fn current(&self, asker: &Asker) -> Result<Option<Job>, RecordError> {
        let held = asker.held.as_ref().and_then(|held| held.job);
        match held.or(asker.bench) {
            Some(job) => self.record.job(job).map(Some),
            None => self.record.current(&asker.person, &asker.channel),
        }
    }

    /// The role under which this asker acts. A stranger may ask and log, nothing more.
    pub fn role(&self, asker: &Asker) -> Role {
        asker.role.or_else(|| self.settings.people.get(&asker.person).copied()).unwrap_or(Role::Apprentice)
    }

    /// Faults in the pages of the library, one line each.
    pub fn library_faults(&self) -> Vec<String> {
        self.shelf.current().faults().iter().map(ToString::to_string).collect()
    }

    /// One line, answered.
    pub fn answer(&self, asker: &Asker, line: &str, now: Timestamp) -> Outcome {
        outcome(asker, line, self.try_answer(asker, line, now))
    }

    fn try_answer(&self, asker: &Asker, line: &str, now: Timestamp) -> Result<Reply, Trouble> {
        let context = Context::new(self, asker, now)?;
        let meant = self.tree.read(&context.one_word_engines(line))?;
        // Words that are no values of the command are a question after all; so is what wishes for the command itself.
        let asked = match &meant {
            Meant::Request(request) => request
                .sentence
                .as_ref()
                .filter(|text| self.tree.command(request.form, &request.given).is_err() || context.wishes(text)),
            _ => None,
        };
        if !matches!(&meant, Meant::Request(request) if request.form.photos && asked.is_none()) {
            context.refuse_enclosed()?;
        }
        let reply = match &meant {
            Meant::Request(request) => match asked {
                Some(text) => commands::ask::question(&context, text, Some(&request.form.words())),
                None => posted::answer(&context, &self.tree, request),
            },
            Meant::Help(words) => Ok(help::help(self.forms(), words)),
            Meant::Question { text, near } => commands::ask::question(&context, text, near.as_deref()),
        }?;
        context.with_returns(reply)
    }
}

/// What a line came to, as a front gets it.
fn outcome(asker: &Asker, line: &str, came_to: Result<Reply, Trouble>) -> Outcome {
    match came_to {
        Ok(reply) => Outcome::Reply(reply),
        Err(Trouble::Refused(mut refusal)) => {
            if refusal.asks {
                refusal.line = Some(format!("{line} --sure"));
            }
            Outcome::Refused(refusal)
        }
        Err(Trouble::Fault(error)) => {
            tracing::error!(person = asker.person, line = clip(line, 200), "fault: {error:#}");
            Outcome::Fault(
                "Something broke on our side; it is in the log. Nothing was posted: try again, and tell the lead if it repeats."
                    .to_owned(),
            )
        }
    }
}
