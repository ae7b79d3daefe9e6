//! `ask which way does the chamfer face`, or simply the question: the passage of the library that answers it.

use clap::Args;

use crate::desk::passages;
use crate::desk::reply::{Action, Block, Loudness, Passage as Told, Reply};
use crate::desk::{Context, Trouble, clip};
use crate::library::{Answer, Form, Library, Node, Passage};

/// The question.
#[derive(Debug, Args)]
#[command(after_help = "ask which way does the chamfer on the rod face")]
pub struct Ask {
    /// Your question, as you would say it.
    #[arg(required = true)]
    pub question: Vec<String>,
}

impl Ask {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        question(context, &self.question.join(" "), None)
    }
}

/// How many passages are ranked for a script; a person sees the first and is offered the next two.
const RANKED: usize = 10;
const OFFERED: usize = 2;

/// The longest title that still reads at a glance.
const GLANCE: usize = 160;

/// The answer to a question in words; `near` names the command the line began like.
pub fn question(context: &Context, text: &str, near: Option<&str>) -> Result<Reply, Trouble> {
    let engine = context.job.as_ref().map(|job| job.engine.as_str());
    let answer = context.library.ask(text, engine, RANKED);
    let mut reply = match answer.hits.first().filter(|_| answer.covered) {
        Some(best) => told(&context.library, best.passage, best.beside),
        None => Reply::new("Nothing in the library covers that")
            .text("Say it in other words, or ask the lead. A page can be added to the library for it."),
    };
    if let Some(line) = context.desk.plain_reading(context.asker, text) {
        reply.blocks.insert(0, Block::Text("Nothing is posted yet: if that is a reading, post it below.".to_owned()));
        reply.actions.insert(0, Action::form("Post this reading", line));
    }
    if answer.covered {
        for other in answer.hits.iter().skip(1).take(OFFERED) {
            reply = reply.action(open(passages::place(other.passage), other.passage));
        }
    } else if answer.near {
        for passage in closest(&answer) {
            reply = reply.action(open(format!("Closest: {}", passages::place(passage)), passage));
        }
    }
    if let Some(near) = near {
        reply = reply.action(if context.desk.form(near).is_some() {
            Action::form(format!("The sum: {near}"), near)
        } else {
            Action::send(format!("The sums: {near}"), format!("help {near}"))
        });
    }
    if !Library::SEARCHES_ALL {
        reply = reply.text("Found by title and heading on this phone: the full search needs the shop's server.");
    }
    reply.covered = Some(answer.covered);
    reply.passages = answer
        .hits
        .iter()
        .map(|hit| Told { page: hit.passage.title.clone(), heading: hit.passage.path.join(" > "), text: hit.text() })
        .collect();
    Ok(reply)
}

fn open(label: String, passage: &Passage) -> Action {
    Action::send(label, format!("page {}", passage.reference))
}

/// The best passages of an answer that does not cover its question, each from another page.
fn closest<'a>(answer: &Answer<'a>) -> Vec<&'a Passage> {
    let mut out: Vec<&Passage> = Vec::new();
    for hit in &answer.hits {
        if out.len() < OFFERED && !out.iter().any(|other| other.reference.page == hit.passage.reference.page) {
            out.push(hit.passage);
        }
    }
    out
}

/// A passage as a reply: the answer in the title, the rest below, what answers `beside` it under its heading, the page they are
/// from, their cautions, their hold points.
pub fn told(library: &Library, passage: &Passage, beside: Option<&Passage>) -> Reply {
    let mut nodes = passage.nodes.iter();
    let mut reply = match (passage.form, nodes.as_slice().first()) {
        // A row says all it has in one line; its table would only repeat it.
        (Form::Row, _) => {
            nodes.next();
            let line = passages::row(library, passage).unwrap_or_else(|| passage.text.clone());
            if line.chars().count() <= GLANCE {
                Reply::new(line)
            } else {
                let rest = line.strip_prefix(&passage.subject).and_then(|rest| rest.strip_prefix(": "));
                Reply::new(clip(&passage.subject, GLANCE)).text(rest.unwrap_or(&line))
            }
        }
        (Form::Section, Some(Node::Text(text))) => {
            nodes.next();
            let (first, rest) = first_sentence(text);
            let whole = format!("{}: {first}", passage.subject);
            if whole.chars().count() <= GLANCE {
                let reply = Reply::new(whole);
                if rest.is_empty() { reply } else { reply.text(rest) }
            } else {
                Reply::new(&passage.subject).text(text)
            }
        }
        _ => Reply::new(&passage.subject),
    };
    for node in nodes {
        reply = reply.block(passages::block(node));
    }
    if let Some(other) = beside {
        if other.path != passage.path {
            reply = reply.block(Block::Heading(other.heading().to_owned()));
        }
        reply = match passages::row(library, other) {
            Some(line) => reply.text(line),
            None => other.nodes.iter().fold(reply, |reply, node| reply.block(passages::block(node))),
        };
    }
    let both = || std::iter::once(passage).chain(beside);
    let mut cautions: Vec<&String> = both().filter_map(|passage| passage.caution.as_ref()).collect();
    cautions.dedup();
    for caution in cautions {
        reply = reply.caution(Loudness::Caution, caution);
    }
    reply = reply.fields(both().map(|passage| ("From", passages::place(passage))));
    for hold in both().flat_map(|passage| &passage.holds) {
        reply = reply.action(passages::hold(hold));
    }
    reply.place = Some(passage.reference.to_string());
    reply.action(Action::send(format!("The whole page: {}", passage.title), format!("page {}", passage.reference.page)))
}

/// The first sentence and what follows. A full stop inside a number ends nothing.
fn first_sentence(text: &str) -> (&str, &str) {
    let end = text.match_indices(['.', '?', '!']).map(|(at, mark)| at + mark.len()).find(|&end| {
        let mut after = text[end..].chars();
        after.next().is_none_or(char::is_whitespace) && after.next().is_none_or(|c| !c.is_lowercase())
    });
    match end {
        Some(end) => (&text[..end], text[end..].trim_start()),
        None => (text, ""),
    }
}
