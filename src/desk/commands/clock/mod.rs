//! The `clock` family.

mod check;
pub mod show;

use clap::Subcommand;

use crate::desk::{Context, Reply, Trouble};

/// What can be asked of ring gaps round the bore.
#[derive(Debug, Subcommand)]
pub enum Clock {
    /// Where each ring gap sits on an engine, seen from above.
    #[command(alias = "_")]
    Show(show::Show),
    /// Whether a given set of gaps keeps the rules.
    Check(check::Check),
}

impl Clock {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Show(c) => c.run(context),
            Self::Check(c) => c.run(context),
        }
    }
}
