//! `instrument retire "feeler 2" reason="dropped, anvil chipped"`: out of use; its readings keep its name.

use clap::Args;

use crate::desk::form::InstrumentName;
use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Trouble};

/// Which one, and why.
#[derive(Debug, Args)]
#[command(after_help = "instrument retire \"dial 1\" reason=\"dropped, sticks at ten o'clock\"")]
pub struct Retire {
    /// Its name.
    pub name: InstrumentName,
    /// Why; it stays in the register.
    #[arg(long, required = true)]
    pub reason: String,
}

impl Retire {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let stood = context.known_instrument(&self.name.0)?;
        let (record, key) = (&context.desk.record, context.asker.key.as_deref());
        record.retire(&context.actor(), key, stood.instrument.id, &self.reason, context.now)?;
        Ok(Reply::new(format!("{} is retired: {}", stood.name(), self.reason))
            .text("No reading can name it from now on. Those that did keep it, and no other instrument ever gets its name.")
            .action(Action::send("The register", "instrument list")))
    }
}
