//! `limits skerry-v8`, `limits skerry-v8 main oil clearance`: the limits that hold, and where each comes from.

use clap::Args;

use crate::desk::form::{CheckName, EngineName};
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::yardstick::{Held, Wanted};
use crate::desk::{Context, Trouble, unknown};
use crate::engine::limits::Sizes;
use crate::engine::measures::{EVERYWHERE, Kind, of_check};

/// Which engine, and which check of it.
#[derive(Debug, Args)]
#[command(after_help = "limits skerry-v8 main-journal")]
pub struct Limits {
    /// The engine.
    pub engine: EngineName,
    /// A check or a measure; every one where left out.
    pub check: Vec<CheckName>,
}

impl Limits {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        // On a job, `limits main-journal` means its engine.
        let of_job = context.engine(None)?.filter(|_| context.library.engine(&self.engine.0).is_none());
        let (engine, first) = match of_job {
            Some(engine) => (engine, Some(self.engine.0.as_str())),
            None => (context.named_engine("engine", &self.engine.0)?, None),
        };
        let lead = context.lead_with(&[], Some(engine));
        let words = first.into_iter().chain(self.check.iter().map(|CheckName(word)| word.as_str()));
        let words = words.collect::<Vec<_>>().join(" ");
        let plan = context.library.plan();
        let measures: Vec<&Kind> = if words.is_empty() {
            plan.measures().iter().collect()
        } else if let Some(check) = plan.check(&words) {
            of_check(check).into_iter().filter_map(|name| plan.measure(name)).collect()
        } else if let Some(measure) = plan.measure(&words) {
            vec![measure]
        } else {
            let ids: Vec<&str> = plan.checks().iter().map(|c| c.id).collect();
            return Err(unknown("check", &words, &ids).into());
        };
        let sizes = Sizes::from(engine);
        let mut found: Vec<(String, Held)> = Vec::new();
        for measure in measures {
            let parts = if measure.parts.is_empty() { &[EVERYWHERE][..] } else { measure.parts };
            for at in parts {
                let wanted =
                    Wanted { measure: measure.name, at, engine: Some(engine), duty: None, sizes, overrides: None };
                if let Some(held) = context.limit(wanted) {
                    let name =
                        if *at == EVERYWHERE { measure.name.to_owned() } else { format!("{} {at}", measure.name) };
                    found.push((name, held));
                }
            }
        }
        let mut reply = match found.as_slice() {
            [] => Reply::new(format!("No limit is known for {words} on the {}", engine.title))
                .text("Look it up in the maker's manual, and have it added to the engine's page."),
            [(name, held)] => Reply::new(format!("{}: {name} {}", engine.title, held.range(lead)))
                .text(format!("From {}: {}.", held.from, held.basis)),
            several => Reply::new(format!("{}: {} limits", engine.title, several.len())).block(Block::Table(Table {
                caption: String::new(),
                header: ["Check", "Limit", "From"].map(String::from).to_vec(),
                rows: several
                    .iter()
                    .map(|(name, held)| {
                        vec![
                            Cell::from(name.as_str()),
                            held.range(lead).into(),
                            format!("{}: {}", held.from, held.basis).into(),
                        ]
                    })
                    .collect(),
            })),
        };
        for (name, held) in &found {
            for (end, bound) in [("min", held.bounds.min), ("max", held.bounds.max)] {
                if let Some(si) = bound {
                    let name = format!("{}_{end}", name.replace([' ', '-'], "_"));
                    reply = reply.value(Value::si(&name, held.dimension, si, lead));
                }
            }
        }
        let page = context.library.engine_page(&engine.id).map(|p| p.slug.clone()).unwrap_or_default();
        Ok(reply
            .caution(Loudness::Note, "Reference, not authority: the maker's manual decides.")
            .action(Action::send(format!("The {}'s page", engine.title), format!("page {page}"))))
    }
}
