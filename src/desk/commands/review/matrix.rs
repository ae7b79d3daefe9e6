//! `review matrix`: every open job by its stages, the worst first. The title says what is wrong on which engine.

use clap::Args;

use crate::desk::glance::{self, Glance};
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::{Context, Trouble};
use crate::drawing::stages::Mark;

/// How many are shown at once.
#[derive(Debug, Args)]
#[command(after_help = "review matrix")]
pub struct Matrix {
    /// At most this many jobs.
    #[arg(long, default_value = "12")]
    pub most: u32,
}

impl Matrix {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let mut all = context.glances()?;
        let open = all.jobs.len();
        let mut reply = Reply::new(headline(context, &all.jobs))
            .value(Value::plain("open", open as f64))
            .value(Value::plain("out", all.jobs.iter().map(|glance| glance.out().count()).sum::<usize>() as f64))
            .value(Value::plain("waiting", all.jobs.iter().map(|glance| glance.waiting).sum::<usize>() as f64));
        for sentence in all.lost {
            reply = reply.text(sentence);
        }
        all.jobs.truncate(usize::try_from(self.most.clamp(1, 40)).unwrap_or(1));
        if all.jobs.is_empty() {
            return Ok(reply.action(Action::form("Open a job", "job open")));
        }
        if all.jobs.len() < open {
            reply = reply.text(format!("The worst {} of {open}.", all.jobs.len()));
        }
        let (names, figure) = glance::figure("Open jobs by stage", &all.jobs);
        reply =
            reply.block(Block::Table(counts(&all.jobs))).figure(figure).block(Block::Table(stages(&all.jobs, &names)));
        for glance in all.jobs.iter().take(3) {
            let id = glance.job.id;
            reply = reply.action(Action::send(format!("Job {id}"), format!("job show {id}")));
        }
        Ok(reply.action(Action::send("What waits", "review queue")))
    }
}

/// What is wrong on which engine, in a line.
fn headline(context: &Context, jobs: &[Glance]) -> String {
    let wrong: Vec<&Glance> = jobs.iter().filter(|glance| glance.out().next().is_some()).collect();
    let told: Vec<String> = wrong
        .iter()
        .take(3)
        .map(|glance| format!("{} {}: {}", glance.job.id, glance.engine, glance.where_out(context)))
        .collect();
    let more = if wrong.len() > 3 { format!("; and {} more jobs", wrong.len() - 3) } else { String::new() };
    let waiting: usize = jobs.iter().map(|glance| glance.waiting).sum();
    let marginal: usize = jobs.iter().map(|glance| glance.marginal).sum();
    match (jobs.len(), wrong.is_empty()) {
        (0, _) => "No job is open".to_owned(),
        (_, false) => format!("Out: {}{more}", told.join("; ")),
        (1, true) => format!("Nothing is out on the one open job; {marginal} marginal, {waiting} waiting"),
        (n, true) => format!("Nothing is out on {n} open jobs; {marginal} marginal, {waiting} waiting"),
    }
}

fn counts(jobs: &[Glance]) -> Table {
    let number = |n: usize| Cell::from(if n == 0 { "·".to_owned() } else { n.to_string() });
    let rows = jobs.iter().map(|glance| {
        let mut id = Cell::from(glance.job.id.to_string());
        id.line = Some(format!("job show {}", glance.job.id));
        let called = format!("{}, {}", glance.job.title, glance.engine);
        let counts = [glance.out().count(), glance.marginal, glance.waiting, glance.returned, glance.held().count()];
        [id, called.into()].into_iter().chain(counts.map(number)).collect()
    });
    Table {
        caption: "Not accepted: out, marginal. Open holds up to where the work is".to_owned(),
        header: ["Job", "Called", "Out", "Marginal", "Waiting", "Returned", "Holds"].map(String::from).to_vec(),
        rows: rows.collect(),
    }
}

/// The figure's marks as text: stages down, jobs across, so that it stays narrow.
fn stages(jobs: &[Glance], names: &[&'static str]) -> Table {
    let marked = |glance: &Glance, name: &str| {
        let stage = glance.holds.stages.iter().find(|stage| stage.stage.title() == name);
        Cell::from(stage.map_or(" ", |stage| glance::mark(stage).letter()))
    };
    let legend = Mark::ALL.map(|mark| format!("{} {}", mark.letter(), mark.word())).join("; ");
    Table {
        caption: legend,
        header: std::iter::once("Stage".to_owned()).chain(jobs.iter().map(|g| g.job.id.to_string())).collect(),
        rows: names
            .iter()
            .map(|name| {
                std::iter::once(Cell::from(*name)).chain(jobs.iter().map(|glance| marked(glance, name))).collect()
            })
            .collect(),
    }
}
