//! `instrument show "micrometer 4"`: what it reads, how well, and whether it may be used.

use clap::Args;

use super::{add, lead};
use crate::desk::form::InstrumentName;
use crate::desk::gauges::{deviation, exact, exact_in, signed};
use crate::desk::line::quoted;
use crate::desk::recorded::day;
use crate::desk::reply::{Action, Loudness, Reply};
use crate::desk::{Context, Role, Trouble};

/// Which one.
#[derive(Debug, Args)]
#[command(after_help = "instrument show \"micrometer 4\"")]
pub struct Show {
    /// Its name.
    pub name: InstrumentName,
}

impl Show {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let stood = context.known_instrument(&self.name.0)?;
        let (facts, lead) = (&stood.instrument.facts, lead(context));
        let name = quoted(stood.name());
        let mut fields = add::told(context, &stood);
        if let Some(noted) = &stood.instrument.calibrated {
            let note = noted.what.note.as_ref().map(|note| format!(": {note}")).unwrap_or_default();
            fields.push(("Calibrated", format!("written down {} by {}{note}", day(noted.when), noted.by.person)));
        }
        if let Some(last) = stood.checks.last() {
            let (off, standard) = (deviation(&last.what), last.what.standard);
            let (off, standard) = (signed(facts.dimension, off, lead), exact_in(facts.dimension, standard, lead));
            fields.push((
                "On its standard",
                format!("{} off at {standard}, {} by {}", off, last.what.on, last.by.person),
            ));
        }
        let checks = context.library.plan().checks();
        let usual: Vec<&str> =
            checks.iter().filter(|c| stood.kind.suits(c, None, stood.range()) == 0).map(|c| c.name).collect();
        if !usual.is_empty() {
            fields.push(("For", usual.join(", ").to_lowercase()));
        }
        let mut reply = Reply::new(format!("{}: {}", stood.name(), stood.state())).fields(fields);
        if stood.instrument.retired.is_some() {
            return Ok(reply.action(Action::send("The register", "instrument list")));
        }
        if let Some(off) = stood.off() {
            let (off, own) = (signed(facts.dimension, off, lead), exact(facts.dimension, facts.uncertainty, lead));
            reply = reply.caution(
                Loudness::Warning,
                format!("It was {off} off on its standard, more than its ± {own}. Do not use it until it is set and has been checked again with --set."),
            );
        } else if stood.overdue {
            reply = reply.caution(
                Loudness::Important,
                "Its calibration is overdue: every reading with it says so for ever. Check it on a standard, and tell the lead.",
            );
        }
        reply = reply.action(Action::form("Check it on a standard", format!("instrument check {name}")));
        if context.desk.role(context.asker) == Role::Lead {
            reply = reply
                .action(Action::send("How it drifts", format!("instrument drift {name}")))
                .action(Action::form("It was calibrated", format!("instrument calibrated {name}")))
                .action(Action::form("Retire it", format!("instrument retire {name}")));
        }
        Ok(reply.action(Action::send("The register", "instrument list")))
    }
}
