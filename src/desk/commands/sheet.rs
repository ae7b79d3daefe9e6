//! `sheet 1`, `sheet 1 format=pdf`: the build sheet of a job, told in short here and whole in its file.

use clap::Args;

use crate::desk::form::JobNumber;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value, Verdict};
use crate::desk::sheet::{self, Check, Format, Paper, Reading, Sheet as Whole, words};
use crate::desk::yardstick::mark;
use crate::desk::{Context, Trouble};

/// Which job, and as which file.
#[derive(Debug, Args)]
#[command(after_help = "sheet 1 format=pdf")]
pub struct Sheet {
    /// The job; the current one where left out.
    pub job: Option<JobNumber>,
    /// The file: html and pdf for reading and printing, csv and json for programs.
    #[arg(long, value_enum, default_value = "html")]
    pub format: Format,
    /// The paper of a PDF; HTML prints on either.
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: Paper,
}

impl Sheet {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let job = context.named_job(self.job.as_ref())?;
        let whole = sheet::gather(context, &job, matches!(self.format, Format::Html | Format::Pdf))?;
        let mut reply = Reply::new(format!("Build sheet of job {}: {}", job.id, whole.summary()))
            .fields(whole.identity.clone())
            .block(Block::Table(overview(&whole)));
        if let Some(table) = wanting(&whole) {
            reply = reply.block(Block::Table(table));
        }
        for (heading, items) in [(words::CHANGES, words::changes(&whole)), (words::NOTES, words::notes(&whole))] {
            if !items.is_empty() {
                reply = reply.block(Block::Heading(heading.to_owned())).block(Block::Bullets(items));
            }
        }
        if !whole.missing.is_empty() {
            reply = reply.caution(Loudness::Warning, format!("Not measured: {}", words::missing(&whole)));
        }
        let seal = whole.seal.hash.get(..16).unwrap_or_default();
        reply = reply
            .text(format!("Seal of the record: {seal}"))
            .block(Block::Document(whole.document(self.format, self.paper)?));
        let meanings = match self.format {
            Format::Csv => &sheet::COLUMNS[..],
            Format::Json => &sheet::KEYS[..],
            Format::Html | Format::Pdf => &[],
        };
        if !meanings.is_empty() {
            reply = reply
                .block(Block::Heading(format!("What stands in the {}", self.format.word().to_uppercase())))
                .fields(meanings.iter().copied());
        }
        for format in Format::ALL.into_iter().filter(|format| *format != self.format) {
            let label = format!("As {}", format.word().to_uppercase());
            reply = reply.action(Action::send(label, format!("sheet {} format={}", job.id, format.word())));
        }
        Ok(reply
            .value(Value::plain("readings", whole.count.posted as f64))
            .value(Value::plain("accepted", whole.count.accepted as f64))
            .value(Value::plain("out", whole.count.out as f64))
            .action(Action::send("The job", format!("job show {}", job.id))))
    }
}

fn overview(whole: &Whole) -> Table {
    Table {
        caption: String::new(),
        header: words::OVERVIEW.map(|(head, _)| head.to_owned()).to_vec(),
        rows: whole
            .stages
            .iter()
            .map(|stage| words::overview(whole, stage).into_iter().map(Cell::from).collect())
            .collect(),
    }
}

/// What an owner would ask about: readings that are not inside, or that no lead has accepted; none where all is well.
fn wanting(whole: &Whole) -> Option<Table> {
    let asked =
        |reading: &Reading| !reading.is_accepted() || matches!(reading.verdict, Verdict::Out | Verdict::Marginal);
    let row = |(check, reading): (&Check, &Reading)| {
        let mut verdict = Cell::from(mark(reading.verdict).word());
        verdict.verdict = Some(reading.verdict);
        vec![
            format!("{} {}", check.name, reading.place).trim_end().into(),
            words::raw(whole, check, reading).into(),
            verdict,
            reading.standing().into(),
        ]
    };
    let rows: Vec<Vec<Cell>> = whole.readings().filter(|(_, reading)| asked(reading)).map(row).collect();
    let header = ["Check", "Read", "Verdict", "Lead"].map(String::from).to_vec();
    (!rows.is_empty()).then(|| Table { caption: "Out, marginal or not accepted".to_owned(), header, rows })
}
