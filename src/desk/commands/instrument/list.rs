//! `instrument`: the register, what needs something done first.

use clap::Args;

use super::lead;
use crate::desk::gauges::{Stood, exact_in};
use crate::desk::line::quoted;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::{Context, Role, Trouble};

/// Which instruments.
#[derive(Debug, Args)]
#[command(after_help = "instrument list")]
pub struct List {
    /// The retired ones too.
    #[arg(long)]
    pub retired: bool,
}

impl List {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let all = context.desk.record.instruments()?;
        let mut shown = Vec::new();
        for instrument in all.into_iter().filter(|one| self.retired || one.retired.is_none()) {
            shown.push(context.stood(instrument)?);
        }
        // What must not be used, then what is overdue, then by the day it is due.
        shown.sort_by_key(|one| {
            let retired = one.instrument.retired.is_some();
            (retired, one.off().is_none(), !one.overdue, one.instrument.facts.due)
        });
        let in_use = || shown.iter().filter(|one| one.instrument.retired.is_none());
        let off: Vec<&str> = in_use().filter(|one| one.off().is_some()).map(Stood::name).collect();
        let overdue: Vec<&str> = in_use().filter(|one| one.overdue).map(Stood::name).collect();
        let mut title = match in_use().count() {
            0 => "No instrument is in the register".to_owned(),
            1 => "One instrument".to_owned(),
            many => format!("{many} instruments"),
        };
        for (what, names) in [("do not use", &off), ("overdue", &overdue)] {
            if !names.is_empty() {
                title.push_str(&format!("; {what}: {}", names.join(", ")));
            }
        }
        let lead = lead(context);
        let rows = shown.iter().map(|one| {
            let mut name = Cell::from(one.name());
            name.line = Some(format!("instrument show {}", quoted(one.name())));
            vec![
                name,
                one.kind.name().into(),
                one.range_in(lead).into(),
                format!("± {}", exact_in(one.dimension(), one.instrument.facts.uncertainty, lead)).into(),
                one.state().into(),
            ]
        });
        let header = ["Name", "Kind", "Reads", "k = 2", "State"].map(String::from).to_vec();
        let rows: Vec<Vec<Cell>> = rows.collect();
        let (count, of_overdue) = (in_use().count() as f64, overdue.len() as f64);
        let mut reply = Reply::new(title);
        if !rows.is_empty() {
            reply = reply.block(Block::Table(Table { caption: String::new(), header, rows }));
        }
        reply = reply.value(Value::plain("instruments", count)).value(Value::plain("overdue", of_overdue));
        if context.desk.role(context.asker) == Role::Lead {
            reply = reply
                .action(Action::form("Put one in", "instrument add"))
                .action(Action::send("How readings repeat", "instrument spread"));
        }
        Ok(reply)
    }
}
