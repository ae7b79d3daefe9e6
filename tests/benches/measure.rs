//! Measuring things side by side, and the sheet of ratios it ends in.

use std::time::{Duration, Instant};

use anyhow::Result;
use comfy_table::{CellAlignment, Table, presets::ASCII_MARKDOWN};
use rustix::time::{ClockId, clock_gettime};

/// How long a comparison may go on: it stops at whichever comes first.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    pub rounds: usize,
    pub time: Duration,
}

/// One of the things compared: each call is its part of a round, and gives what it measured (seconds or bytes).
pub struct Subject<'a> {
    name: String,
    run: Box<dyn FnMut() -> Result<Vec<f64>> + 'a>,
}

impl<'a> Subject<'a> {
    pub fn new(name: impl Into<String>, run: impl FnMut() -> Result<Vec<f64>> + 'a) -> Self {
        Self { name: name.into(), run: Box::new(run) }
    }
}

/// What was measured of one subject, round by round.
#[derive(Debug)]
pub struct Series {
    name: String,
    rounds: Vec<Vec<f64>>,
}

/// Runs the subjects in turn, round after round, so that whatever else the machine does falls on all of them alike.
/// The first round warms up and does not count; each round begins with another subject.
pub fn side_by_side(effort: Effort, mut subjects: Vec<Subject<'_>>) -> Result<Vec<Series>> {
    let mut out: Vec<Series> = subjects.iter().map(|s| Series { name: s.name.clone(), rounds: Vec::new() }).collect();
    for subject in &mut subjects {
        (subject.run)()?;
    }
    let start = Instant::now();
    for round in 0..effort.rounds.max(1) {
        for turn in 0..subjects.len() {
            let at = (round + turn) % subjects.len();
            out[at].rounds.push((subjects[at].run)()?);
        }
        if start.elapsed() >= effort.time {
            break;
        }
    }
    Ok(out)
}

/// How long that took, in seconds, and what came of it.
pub fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let start = Instant::now();
    let done = work();
    (start.elapsed().as_secs_f64(), done)
}

/// How long this thread worked for one call, in seconds, over so many calls. What else the machine does does not count.
pub fn worked(calls: u32, mut work: impl FnMut() -> Result<()>) -> Result<f64> {
    let before = clock_gettime(ClockId::ThreadCPUTime);
    for _ in 0..calls {
        work()?;
    }
    let spent = clock_gettime(ClockId::ThreadCPUTime) - before;
    Ok((spent.tv_sec as f64 + spent.tv_nsec as f64 * 1e-9) / f64::from(calls))
}

/// The value that this share of the values does not exceed (nearest rank); none of none.
fn quantile(values: impl IntoIterator<Item = f64>, share: f64) -> Option<f64> {
    let mut sorted: Vec<f64> = values.into_iter().collect();
    sorted.sort_by(f64::total_cmp);
    let rank = (share * sorted.len() as f64).ceil() as usize;
    sorted.get(rank.saturating_sub(1)).copied()
}

impl Series {
    pub fn name(&self) -> &str {
        &self.name
    }

    pub fn median(&self) -> f64 {
        self.at(0.5)
    }

    pub fn at(&self, share: f64) -> f64 {
        quantile(self.rounds.iter().flatten().copied(), share).unwrap_or(f64::NAN)
    }

    fn count(&self) -> usize {
        self.rounds.iter().map(Vec::len).sum()
    }
}

/// In what a series is told.
#[derive(Debug, Clone, Copy)]
pub enum Unit {
    Seconds,
    Bytes,
}

impl Unit {
    fn show(self, value: f64) -> String {
        match self {
            Self::Seconds if value < 1e-3 => format!("{:.1} µs", value * 1e6),
            Self::Seconds if value < 1.0 => format!("{:.2} ms", value * 1e3),
            Self::Seconds => format!("{value:.2} s"),
            Self::Bytes => format!("{:.1} MiB", value / f64::from(1 << 20)),
        }
    }
}

/// The ratios of a run, and what has to be known to read them.
#[derive(Debug, Default)]
pub struct Sheet {
    rows: Vec<[String; 10]>,
    notes: Vec<String>,
    failures: Vec<String>,
}

impl Sheet {
    /// A row: how much more the one takes than its foot.
    pub fn compare(&mut self, unit: Unit, ours: &Series, foot: &Series) {
        let half = |series: &Series, share| unit.show(series.at(share));
        let middle = |round: &Vec<f64>| quantile(round.iter().copied(), 0.5);
        let by_round: Vec<f64> = ours
            .rounds
            .iter()
            .zip(&foot.rounds)
            .filter_map(|(ours, foot)| Some(middle(ours)? / middle(foot)?))
            .collect();
        let quarter = |share| quantile(by_round.iter().copied(), share).unwrap_or(f64::NAN);
        self.rows.push([
            ours.name.clone(),
            half(ours, 0.5),
            half(ours, 0.99),
            foot.name.clone(),
            half(foot, 0.5),
            half(foot, 0.99),
            format!("{:.2}", ours.at(0.5) / foot.at(0.5)),
            format!("{:.2} to {:.2}", quarter(0.25), quarter(0.75)),
            format!("{:.2}", ours.at(0.99) / foot.at(0.99)),
            ours.count().to_string(),
        ]);
    }

    /// A remark below the table.
    pub fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    /// Something that fails the run, once all of it has been shown.
    pub fn fail(&mut self, text: impl Into<String>) {
        self.failures.push(text.into());
    }

    pub fn failures(&self) -> &[String] {
        &self.failures
    }

    /// The table as Markdown, and the remarks.
    pub fn show(&self) -> String {
        let mut table = Table::new();
        table.load_style(ASCII_MARKDOWN);
        table.set_header([
            "ours",
            "median",
            "p99",
            "beside",
            "median",
            "p99",
            "ratio",
            "half the rounds",
            "p99 ratio",
            "of",
        ]);
        table.add_rows(&self.rows);
        for (at, column) in table.column_iter_mut().enumerate() {
            if !matches!(at, 0 | 3) {
                column.set_cell_alignment(CellAlignment::Right);
            }
        }
        let notes = self.notes.iter().map(|note| format!("* {note}\n"));
        format!("{table}\n\n{}", notes.collect::<String>())
    }
}

/// What this process holds in memory, in bytes, where the system tells it.
pub fn memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let kib =
        status.lines().find_map(|line| line.strip_prefix("VmRSS:")?.strip_suffix("kB")?.trim().parse::<u64>().ok())?;
    Some(kib * 1024)
}
