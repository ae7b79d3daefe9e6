//! Who may do what. Every act on the record names its [`Actor`], and the record refuses what the role does not allow.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Serialize};

use super::trouble::{RecordError, required};

/// A member's role; each may do all that the one before it may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    Apprentice,
    Tech,
    Lead,
}

/// What a person may want to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Act {
    Ask,
    Log,
    PictureAny,
    AmendOwn,
    AmendAny,
    OpenJob,
    CloseJob,
    SignStage,
    Review,
    OverrideLimits,
    Members,
    KeepInstruments,
    SeeSpread,
}

impl Act {
    /// The first role that may do it.
    pub fn least(self) -> Role {
        match self {
            Self::Ask | Self::Log => Role::Apprentice,
            Self::AmendOwn | Self::OpenJob => Role::Tech,
            Self::AmendAny
            | Self::PictureAny
            | Self::CloseJob
            | Self::SignStage
            | Self::Review
            | Self::OverrideLimits
            | Self::Members
            | Self::KeepInstruments
            | Self::SeeSpread => Role::Lead,
        }
    }
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Ask => "ask the library",
            Self::Log => "post a reading",
            Self::PictureAny => "put a photograph beside another person's reading",
            Self::AmendOwn => "amend a reading of their own",
            Self::AmendAny => "amend another person's reading",
            Self::OpenJob => "open a job",
            Self::CloseJob => "close a job",
            Self::SignStage => "sign off a stage",
            Self::Review => "review a reading",
            Self::OverrideLimits => "override a limit",
            Self::Members => "change who the members are",
            Self::KeepInstruments => "change the register of instruments",
            Self::SeeSpread => "see how the readings of each person repeat",
        })
    }
}

impl Role {
    /// Every role, least first.
    pub const ALL: [Self; 3] = [Self::Apprentice, Self::Tech, Self::Lead];

    /// Whether this role may do that.
    pub fn may(self, act: Act) -> bool {
        self >= act.least()
    }

    /// The role's word, as kept on disk and written in the config.
    pub fn word(self) -> &'static str {
        match self {
            Self::Apprentice => "apprentice",
            Self::Tech => "tech",
            Self::Lead => "lead",
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FromStr for Role {
    type Err = String;

    /// Reads the role's word; the error says what is possible.
    fn from_str(word: &str) -> Result<Self, Self::Err> {
        Self::ALL
            .into_iter()
            .find(|role| role.word() == word)
            .ok_or_else(|| format!("no role is called {word:?}: apprentice, tech or lead"))
    }
}

/// The person who acts, in what role, and from where.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Actor {
    pub person: String,
    pub role: Role,
    /// The front they used: `terminal`, `phone`, `discord`.
    pub front: String,
    /// The room within that front; a current job belongs to a person and a channel.
    pub channel: String,
}

impl Actor {
    /// Refuses an act that the role does not allow, and an actor without a name.
    pub(super) fn must(&self, act: Act) -> Result<(), RecordError> {
        required("person", &self.person)?;
        if self.role.may(act) { Ok(()) } else { Err(RecordError::NotAllowed { act, role: self.role }) }
    }
}
