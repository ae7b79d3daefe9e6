//! `ask which way does the chamfer face`, or simply the question: the passage of the library that answers it.

use clap::Args;

use crate::desk::passages;
use crate::desk::reply::{Action, Block, Caution, Loudness, Passage as Told, Reply};
use crate::desk::said::Worked;
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
    let mut reply = match context.wish(text)? {
        Some(wish) => context.granted(&wish)?,
        None => found(context, text, near, &answer)?,
    };
    reply.covered = Some(answer.covered);
    reply.passages = answer
        .hits
        .iter()
        .map(|hit| Told { page: hit.passage.title.clone(), heading: hit.passage.path.join(" > "), text: hit.text() })
        .collect();
    Ok(reply)
}

/// The passage that answers, under the number where a sum was asked for; where there is neither, ways on.
fn found(context: &Context, text: &str, near: Option<&str>, answer: &Answer) -> Result<Reply, Trouble> {
    let reading = context.desk.plain_reading(context.asker, text);
    let mut sums = if reading.is_none() { sums(context, text) } else { Vec::new() };
    let claimed = sums.pop_if(|sum| sum.sure && sum.reply.is_some());
    let worked_out = claimed.is_some();
    let passage = answer.hits.first().filter(|_| answer.covered);
    // Under a number one passage is enough.
    let passage = passage.map(|best| told(&context.library, best.passage, best.beside.filter(|_| !worked_out)));
    let missed = passage.is_none() && !worked_out;
    let mut reply = match (claimed, passage) {
        (Some(sum), passage) => summed(sum, passage),
        (None, Some(passage)) => passage,
        (None, None) => uncovered(answer.beyond),
    };
    if let Some(line) = reading {
        reply.blocks.insert(0, Block::Text("Nothing is posted yet: if that is a reading, post it below.".to_owned()));
        reply.actions.insert(0, Action::form("Post this reading", line));
    }
    for sum in sums.iter().rev() {
        reply = reply.ways(offered(sum));
    }
    if answer.covered {
        for other in answer.hits.iter().skip(1).take(OFFERED) {
            reply = reply.action(open(passages::place(other.passage), other.passage));
        }
    } else if answer.near && !worked_out {
        for passage in closest(answer) {
            reply = reply.action(open(format!("Closest: {}", passages::place(passage)), passage));
        }
    }
    if let Some(near) = near.filter(|_| !worked_out && sums.is_empty()) {
        reply = reply.action(if context.desk.form(near).is_some() {
            Action::form(format!("The sum: {near}"), near)
        } else {
            Action::send(format!("The sums: {near}"), format!("help {near}"))
        });
    }
    if missed {
        reply.actions.extend(context.ways_on()?);
    }
    if !Library::SEARCHES_ALL {
        reply = reply.text("Found by title and heading on this phone: the full search needs the shop's server.");
    }
    Ok(reply)
}

/// What is said where nothing answers: who does, where the shelf knows that it ends there.
fn uncovered(beyond: Option<&Passage>) -> Reply {
    let mut reply = Reply::new("Nothing in the library covers that");
    if let Some(subject) = beyond {
        reply = reply.block(Block::Heading(subject.heading().to_owned()));
        reply = subject.nodes.iter().fold(reply, |reply, node| reply.block(passages::block(node)));
    }
    reply.text("Say it in other words, or ask the lead. A page can be added to the library for it.")
}

/// The sums that have all numbers of the sentence in their line, the likeliest last.
fn sums<'c>(context: &'c Context, text: &str) -> Vec<Worked<'c>> {
    if !text.contains(|c: char| c.is_ascii_digit()) {
        return Vec::new();
    }
    let said = context.sums_said(text).into_iter().rev().filter(|said| said.line.is_some());
    said.map(|said| context.work_out(said)).filter(|sum| sum.sure || sum.reply.is_some()).collect()
}

/// The sum's answer, what it was taken as, and under it the passage.
fn summed(sum: Worked, passage: Option<Reply>) -> Reply {
    let line = sum.line.unwrap_or_default();
    let mut reply = sum.reply.unwrap_or_default();
    let working = reply.blocks.iter().any(|block| matches!(block, Block::Working(_)));
    // On the phone the whole of it is one touch away.
    reply.blocks.retain(|block| match block {
        Block::Text(_) | Block::Working(_) | Block::Caution(_) | Block::Sources(_) => true,
        Block::Table(_) => !working,
        _ => false,
    });
    reply.blocks.insert(0, Block::Text(format!("Taken as: {line}")));
    let own = std::mem::take(&mut reply.actions);
    reply = reply.action(Action::form("Change it", line));
    let Some(passage) = passage else { return reply.ways(own) };
    reply = reply.block(Block::Heading("From the library".to_owned())).text(passage.title);
    for block in passage.blocks {
        let said =
            |caution: &Caution| reply.blocks.iter().any(|b| matches!(b, Block::Caution(other) if other == caution));
        if !matches!(&block, Block::Caution(caution) if said(caution)) {
            reply.blocks.push(block);
        }
    }
    reply.place = passage.place;
    reply.ways(passage.actions).ways(own)
}

/// A sum that may be meant: its number in the label, or its form where it does not come out as it stands.
fn offered(sum: &Worked) -> Option<Action> {
    let (words, line) = (sum.form.words(), sum.line.clone()?);
    Some(match &sum.reply {
        Some(reply) => Action::send(format!("As a sum, {words}: {}", reply.title), line),
        None => Action::form(format!("The sum: {words}"), line),
    })
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
