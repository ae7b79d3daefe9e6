//! The build sheet: a job's record as one document, as plain data that four files are made from.
//!
//! [`gather`] reads record and library into a [`Sheet`]; `html`, `pdf`, `csv` and `json` each write all of it and add
//! nothing. What is not said here is not on paper.

mod advice;
mod csv;
mod figures;
mod gather;
mod html;
mod json;
#[cfg(feature = "shop")]
mod pdf;
pub mod words;

use jiff::Timestamp;

use super::reply::{Document, Verdict};
use super::trouble::Trouble;
use crate::drawing::Figure;
use crate::drawing::photo::Small;
use crate::quantity::{Dimension, System};
use crate::record::{Gauge, Taken};

pub use csv::COLUMNS;
pub use gather::gather;
pub use json::KEYS;

/// Lines to sign on, and for what.
const TO_SIGN: [&str; 4] = [
    "Built by, date",
    "Lead: the readings are accepted, and what is not stands above. Date",
    "Owner: this sheet and the running-in advice were received. Date",
    "Handed over with (parts, keys, papers)",
];

/// So many photographs stand side by side.
pub const PHOTOS_ACROSS: usize = 4;

/// A job as its sheet tells it.
pub struct Sheet {
    pub shop: String,
    pub demo: bool,
    pub job: i64,
    pub title: String,
    /// The engine page's id.
    pub engine: String,
    /// The system of units it leads with.
    pub lead: System,
    pub closed: bool,
    /// Label and value: what was built, for whom, since when.
    pub identity: Vec<(String, String)>,
    pub count: Count,
    pub stages: Vec<Stage>,
    /// What the readings were taken with, and how that stood on their day.
    pub instruments: Vec<String>,
    /// What the bench wrote beside its readings: parts, torque, marks.
    pub notes: Vec<Note>,
    /// Every change that must stay visible, in the order it was made.
    pub changes: Vec<Change>,
    /// Checks of the plan that lack readings, and how many.
    pub missing: Vec<(&'static str, usize)>,
    /// Where the limits came from, each said once.
    pub sources: Vec<String>,
    pub figures: Vec<Figure>,
    pub advice: advice::Advice,
    /// Who accepted readings.
    pub acceptances: Vec<Acceptance>,
    /// The stages a lead signed off, in the order of the work.
    pub sign_offs: Vec<SignedStage>,
    /// The hold points the job was closed over.
    pub closed_over: Vec<Gap>,
    pub seal: Seal,
    pub printed: Timestamp,
}

/// How the readings stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// Places of the plan.
    pub planned: usize,
    pub posted: usize,
    pub accepted: usize,
    pub marginal: usize,
    pub out: usize,
}

/// A stage of the rebuild that has readings.
pub struct Stage {
    pub name: &'static str,
    pub checks: Vec<Check>,
}

/// A check, with the reading that counts at each place.
pub struct Check {
    pub id: String,
    pub name: String,
    /// What each value of a reading is, in order.
    pub order: &'static [&'static str],
    pub readings: Vec<Reading>,
}

/// One reading.
pub struct Reading {
    pub number: i64,
    /// Empty where the check is of the whole engine.
    pub place: String,
    pub dimension: Dimension,
    /// SI, in the check's order.
    pub raw: Vec<f64>,
    pub typed: String,
    pub measures: Vec<Measure>,
    pub verdict: Verdict,
    pub instrument: String,
    /// How that stood in the register on its day.
    pub gauge: Option<Gauge>,
    /// Kelvin.
    pub temperature: Option<f64>,
    pub by: String,
    pub when: Timestamp,
    /// When it was taken, where a phone held it until then.
    pub taken: Option<Box<Taken>>,
    pub review: Option<Review>,
    /// The number of the reading it took the place of.
    pub amends: Option<i64>,
    pub note: String,
    pub photo: String,
    /// Its photographs, and those of the readings it took the place of.
    pub photos: Vec<Photo>,
    pub page_revision: String,
}

/// A photograph beside a reading.
pub struct Photo {
    pub hash: String,
    pub media: &'static str,
    /// Bytes.
    pub size: u64,
    /// Pixels.
    pub width: u32,
    pub height: u32,
    /// The number of the reading it was put beside.
    pub of: i64,
    pub by: String,
    pub when: Timestamp,
    /// As it stands on the sheet; none where it was not asked for, or cannot be drawn.
    pub small: Option<Small>,
}

/// One measure of a reading and the limit it was judged by on that day.
pub struct Measure {
    pub name: String,
    /// The part a limit is for; empty where it holds everywhere.
    pub part: String,
    pub dimension: Dimension,
    /// SI.
    pub value: f64,
    pub min: Option<f64>,
    pub max: Option<f64>,
    pub verdict: Verdict,
    pub basis: String,
    pub source: String,
}

/// A lead's word on a reading.
pub struct Review {
    pub accepted: bool,
    pub by: String,
    pub when: Timestamp,
    pub comment: String,
}

/// A remark from the bench and the reading it was made beside.
pub struct Note {
    pub at: String,
    pub text: String,
    pub by: String,
}

/// An amendment, a limit set for this job, a reading let pass, an open hold point gone over, or a reason given at the
/// closing.
pub struct Change {
    pub what: String,
    pub reason: String,
    pub by: String,
    pub when: Timestamp,
}

/// What one person accepted.
pub struct Acceptance {
    pub by: String,
    pub role: &'static str,
    pub readings: usize,
    pub first: Timestamp,
    pub last: Timestamp,
}

/// A stage's last sign-off.
pub struct SignedStage {
    pub name: &'static str,
    pub by: String,
    pub role: &'static str,
    pub when: Timestamp,
    /// A reading it covers was changed since.
    pub stale: bool,
    /// The numbers of the readings it covers.
    pub readings: Vec<i64>,
    /// The hold points it was signed off over.
    pub open: Vec<Gap>,
    /// Empty where nothing was open.
    pub reason: String,
}

/// A hold point that was open when a lead went over it.
pub struct Gap {
    pub check: String,
    pub name: String,
    /// Places without a reading.
    pub missing: Vec<String>,
    /// Places whose reading was not accepted.
    pub waiting: Vec<String>,
}

/// What ties the paper to the record.
pub struct Seal {
    /// The job's last event.
    pub event: i64,
    /// Its hash, which covers every event before it.
    pub hash: String,
    /// What the code on the sheet says: the page's address for this job, or else job and hash.
    pub code: String,
    pub drawn: Option<Figure>,
}

/// The file a sheet is wanted as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a browser and its printer.
    Html,
    /// For paper and keeping.
    Pdf,
    /// A row for each measure, for a spreadsheet.
    Csv,
    /// All of it, for a program.
    Json,
}

/// The paper a PDF is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Paper {
    A4,
    Letter,
}

impl Format {
    pub const ALL: [Self; 4] = [Self::Html, Self::Pdf, Self::Csv, Self::Json];

    /// The word a line uses, and the end of the file's name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Html => "html",
            Self::Pdf => "pdf",
            Self::Csv => "csv",
            Self::Json => "json",
        }
    }

    fn media(self) -> &'static str {
        match self {
            Self::Html => "text/html; charset=utf-8",
            Self::Pdf => "application/pdf",
            Self::Csv => "text/csv; charset=utf-8",
            Self::Json => "application/json",
        }
    }
}

impl Sheet {
    /// The sheet as a file.
    #[cfg_attr(not(feature = "shop"), allow(unused_variables))]
    pub fn document(&self, format: Format, paper: Paper) -> Result<Document, Trouble> {
        let content = match format {
            Format::Html => html::document(self).into_bytes(),
            #[cfg(feature = "shop")]
            Format::Pdf => pdf::document(self, paper.into())?,
            // A phone writes no PDF.
            #[cfg(not(feature = "shop"))]
            Format::Pdf => return Err(crate::record::RecordError::OutOfReach.into()),
            Format::Csv => csv::document(self).into_bytes(),
            Format::Json => json::document(self)?,
        };
        let name = format!("build-sheet-job-{}.{}", self.job, format.word());
        Ok(Document { name, media: format.media(), content })
    }

    /// Every reading that counts, in the order of the work.
    pub fn readings(&self) -> impl Iterator<Item = (&Check, &Reading)> {
        self.stages
            .iter()
            .flat_map(|stage| &stage.checks)
            .flat_map(|check| check.readings.iter().map(move |r| (check, r)))
    }

    /// The photographs that stand on paper: those of accepted readings, a row of each at most; what each shows, and how
    /// many more there are.
    pub fn pictured(&self) -> impl Iterator<Item = (&Photo, String)> {
        self.readings().filter(|(_, reading)| reading.is_accepted()).flat_map(|(check, reading)| {
            let left = reading.photos.len().saturating_sub(PHOTOS_ACROSS);
            let shown = reading.photos.iter().take(PHOTOS_ACROSS).enumerate();
            shown.map(move |(at, photo)| {
                let more = if at + 1 == PHOTOS_ACROSS { left } else { 0 };
                (photo, words::photo(check, reading, photo, more))
            })
        })
    }

    /// The sign-off of a stage.
    pub fn signed(&self, stage: &str) -> Option<&SignedStage> {
        self.sign_offs.iter().find(|signed| signed.name == stage)
    }

    /// `Build sheet, job #1`.
    pub fn heading(&self) -> String {
        format!("Build sheet, job #{}", self.job)
    }

    /// How it stands, in a sentence.
    pub fn summary(&self) -> String {
        let Count { planned, posted, accepted, marginal, out } = self.count;
        let mut told = format!(
            "{posted} of {planned} places of the plan filled, {accepted} of {posted} accepted, {out} out of limits"
        );
        if marginal > 0 {
            told += &format!(", {marginal} marginal");
        }
        told
    }
}

impl Stage {
    pub fn readings(&self) -> impl Iterator<Item = &Reading> {
        self.checks.iter().flat_map(|check| &check.readings)
    }

    /// Accepted readings, and those out of limits.
    pub fn tally(&self) -> (usize, usize) {
        let accepted = self.readings().filter(|r| r.is_accepted()).count();
        (accepted, self.readings().filter(|r| r.verdict == Verdict::Out).count())
    }
}

impl Reading {
    pub fn is_accepted(&self) -> bool {
        self.review.as_ref().is_some_and(|review| review.accepted)
    }

    /// `accepted, lead, 2026-11-20`: how it stands with the lead.
    pub fn standing(&self) -> String {
        match &self.review {
            None => "not accepted".to_owned(),
            Some(Review { accepted, by, when, comment }) => {
                let word = if *accepted { "accepted" } else { "returned" };
                let comment = if comment.is_empty() { String::new() } else { format!(": {comment}") };
                format!("{word}, {by}, {}{comment}", super::recorded::day(*when))
            }
        }
    }
}
