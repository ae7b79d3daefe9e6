//! `digest`: what the lead should know tonight, at any hour.

use clap::Args;

use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Trouble};
use crate::record::Act;

/// It takes no values.
#[derive(Debug, Args)]
#[command(after_help = "digest")]
pub struct Digest {}

impl Digest {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        context.must(Act::Review)?;
        let nothing = || {
            Reply::new("Nothing wants the lead tonight: no open hold behind the work, nothing out, returned or waiting")
                .action(Action::send("All open jobs", "review matrix"))
        };
        Ok(context.digest()?.unwrap_or_else(nothing))
    }
}
