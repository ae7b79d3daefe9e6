//! `page ring end gap`, `page ring-end-gap#3`: a page of the library, or one passage of it.

use clap::Args;

use super::ask;
use crate::desk::form::PageName;
use crate::desk::passages;
use crate::desk::reply::{Action, Block, Reply};
use crate::desk::{Context, Refusal, Trouble};
use crate::library::{Kind, Page as Sheet, Ref};

/// Which page.
#[derive(Debug, Args)]
#[command(after_help = "page ring-end-gap")]
pub struct Page {
    /// Its name or title; `name#3` for one passage of it.
    #[arg(required = true)]
    pub name: Vec<PageName>,
}

impl Page {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let name = self.name.iter().map(|PageName(word)| word.as_str()).collect::<Vec<_>>().join(" ");
        if let Ok(reference) = name.parse::<Ref>()
            && let Some(passage) = context.library.passage(&reference)
        {
            return Ok(ask::told(&context.library, passage, None));
        }
        let page = context.library.page(&name).ok_or_else(|| missing(context, &name))?;
        Ok(whole(page))
    }
}

/// A refusal with the pages whose names come nearest.
pub fn missing(context: &Context, name: &str) -> Refusal {
    let near = context.library.suggest_pages(name, 5);
    let near: Vec<&str> = near.iter().map(|page| page.slug.as_str()).collect();
    let possible = match near.as_slice() {
        [] => "No page goes by that.".to_owned(),
        some => format!("No page goes by that. Nearest: {}.", some.join(", ")),
    };
    let mut refusal = Refusal::new("name", name, possible);
    refusal.line = Some(format!("ask {name}"));
    refusal
}

fn whole(page: &Sheet) -> Reply {
    let mut reply = Reply::new(&page.title);
    for section in &page.sections {
        if section.path.len() > usize::from(section.heading == page.title) {
            reply = reply.block(Block::Heading(section.heading.clone()));
        }
        for node in &section.nodes {
            reply = reply.block(passages::block(node));
        }
    }
    let reviewed = page.reviewed.as_ref().map(|date| format!("reviewed {date}"));
    reply = reply.sources(page.sources.iter().cloned().chain(reviewed));
    if page.kind == Kind::Procedure && !page.steps().is_empty() {
        reply = reply.action(Action::send("Step by step", format!("procedure {} step=1", page.slug)));
    }
    for action in passages::holds(page) {
        reply = reply.action(action);
    }
    reply
}
