//! The lead's views, a job as a matrix, the review queue and the open jobs by stage, on records of 100, of 10 000 and of 1 000 000 readings on
//! disk; and how long the work on the whole file takes.
//!
//! As in a shop, the record grows by jobs: each holds a hundred readings, and all but the last are closed.

use std::hint::black_box;
use std::path::Path;

use anyhow::{Context as _, Result, anyhow, ensure};
use gudgeon::desk::{Asker, Desk, Front, Outcome, Settings};
use gudgeon::library::{Library, Shelf};
use gudgeon::record::{JobFilter, Measured, Record, Role, quietly};
use jiff::Timestamp;

use super::log::{actor, readings_of_the_desk};
use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};

const SIZES: [usize; 3] = [100, 10_000, 1_000_000];
/// Readings of a job.
const EACH: usize = 100;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    // A quick look takes no million.
    let sizes = if effort.rounds < 10 { &SIZES[..2] } else { &SIZES };
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let shops = sizes.iter().map(|size| shop(*size, folder.path(), sheet)).collect::<Result<Vec<_>>>()?;
    let mut subjects = Vec::new();
    for (size, shop) in sizes.iter().zip(&shops) {
        let last = format!("job show {}", size / EACH);
        subjects.push(Subject::new(format!("job show at {size}"), move || say(shop, &last)));
    }
    for (size, shop) in sizes.iter().zip(&shops) {
        subjects.push(Subject::new(format!("review queue at {size}"), move || say(shop, "review queue")));
    }
    for (size, shop) in sizes.iter().zip(&shops) {
        subjects.push(Subject::new(format!("review matrix at {size}"), move || say(shop, "review matrix")));
    }
    let series = side_by_side(effort, subjects)?;
    for view in series.chunks(sizes.len()) {
        let (smallest, larger) = view.split_first().context("a view of every size")?;
        for larger in larger {
            sheet.compare(Unit::Seconds, larger, smallest);
        }
    }
    sheet.note(
        "growth: through the desk, the matrix with its figure, on a record in a file; each job has 100 readings.",
    );
    Ok(())
}

fn say(desk: &Desk, line: &str) -> Result<Vec<f64>> {
    let (seconds, outcome) = timed(|| desk.answer(&Asker::new("lead", Front::Page), line, Timestamp::now()));
    match black_box(outcome) {
        Outcome::Reply(_) => Ok(vec![seconds]),
        other => Err(anyhow!("“{line}”: {other:?}")),
    }
}

/// A desk over a record of so many readings: filled where a commit costs nothing, then put on disk.
fn shop(size: usize, folder: &Path, sheet: &mut Sheet) -> Result<Desk> {
    let place = folder.join(format!("{size}.sqlite"));
    let (copied, chain) = {
        let record = Record::in_memory()?;
        fill(&record, size, &readings_of_the_desk()?)?;
        timed(|| record.backup(&place, &quietly))
    };
    let chain = chain?;
    ensure!(chain.fault.is_none(), "the chain is broken: {:?}", chain.fault);
    let (verified, chain) = timed(|| gudgeon::record::verify(&place, &quietly));
    chain?;
    let (opened, record) = timed(|| Record::open(&place));
    let record = record?;
    let readings: usize = record.readings(record.jobs(JobFilter::Open)?.first().context("no open job")?.id)?.len();
    ensure!(readings == EACH && record.waiting()? == EACH as u64, "{readings} readings in the open job");
    let mib = place.metadata()?.len() as f64 / f64::from(1 << 20);
    sheet.note(format!(
        "{size} readings: {mib:.1} MiB; backed up (and the copy verified) in {copied:.2} s, verified in {verified:.2} s, \
         opened in {opened:.3} s."
    ));
    let settings = Settings { people: [("lead".to_owned(), Role::Lead)].into_iter().collect(), ..Settings::default() };
    Ok(Desk::new(settings, Shelf::fixed(Library::embedded()), record))
}

fn fill(record: &Record, size: usize, kinds: &[Measured]) -> Result<()> {
    let (tech, now) = (actor(0), Timestamp::now());
    let jobs = size / EACH;
    for job in 1..=jobs {
        let id = record.open_job(&tech, None, "skerry-v8", "Skerry V8", None, now)?.id;
        for (n, kind) in kinds.iter().cycle().take(EACH).enumerate() {
            // Each at a place of its own: of several at one place only the last would wait for the lead.
            let position = match n / kinds.len() {
                0 => kind.position.clone(),
                round => format!("{}, round {round}", kind.position),
            };
            record.post(&tech, &format!("{job}-{n}"), Measured { job: id, position, ..kind.clone() }, now)?;
        }
        if job < jobs {
            let lead = gudgeon::record::Actor { person: "lead".into(), role: Role::Lead, ..actor(0) };
            record.close_job(&lead, id, None, now)?;
        }
    }
    Ok(())
}
