//! How far a job is along its measuring plan.

use std::collections::BTreeMap;

use super::trouble::Trouble;
use super::{Context, Refusal};
use crate::drawing::matrix;
use crate::drawing::{Figure, Mark};
use crate::engine::plan::{Check, Plan};
use crate::engine::{Engine, Position, positions};
use crate::record::{Decision, Entry, Job};

use super::yardstick::mark;

/// A job, its engine, and its current readings by check and position.
pub struct Progress<'a> {
    pub engine: &'a Engine,
    pub plan: &'a Plan,
    pub entries: Vec<Entry>,
}

impl Context<'_> {
    /// The engine of a job; a refusal where its page has left the library.
    pub fn engine_of(&self, job: &Job) -> Result<&Engine, Refusal> {
        self.library.engine(&job.engine).ok_or_else(|| {
            Refusal::new(
                "engine",
                &job.engine,
                format!("Job {} is for it, but no page of the library has it: put the page back.", job.id),
            )
        })
    }

    pub fn progress(&self, job: &Job) -> Result<Progress<'_>, Trouble> {
        let entries = self.desk.record.readings(job.id)?;
        Ok(Progress { engine: self.engine_of(job)?, plan: self.library.plan(), entries })
    }
}

impl<'a> Progress<'a> {
    /// The last current reading at each place.
    fn by_place(&self) -> BTreeMap<(&str, &str), &Entry> {
        // In order of posting, so that the last one stays.
        self.entries
            .iter()
            .map(|e| ((e.reading.measured.check.as_str(), e.reading.measured.position.as_str()), e))
            .collect()
    }

    /// The reading that counts at each place, in the order of the work.
    pub fn standing(&self) -> impl Iterator<Item = &Entry> {
        let mut all: Vec<&Entry> = self.by_place().into_values().collect();
        // A check that has left the plan comes last.
        let work = |entry: &Entry| self.plan.order(&entry.reading.measured.check).unwrap_or(usize::MAX);
        let place = |entry: &Entry| {
            let position = &entry.reading.measured.position;
            let number: String = position.chars().take_while(char::is_ascii_digit).collect();
            (number.parse::<u32>().ok(), position.clone())
        };
        all.sort_by_cached_key(|entry| (work(entry), place(entry)));
        all.into_iter()
    }

    /// Checks that still lack a reading, in the order of the work, with the positions that lack it.
    pub fn wanting(&self) -> Vec<(&'a Check, Vec<Position>)> {
        let by_place = self.by_place();
        let has = |check: &str, position: &str| by_place.contains_key(&(check, position));
        self.plan
            .of(self.engine)
            .filter_map(|check| {
                let open: Vec<Position> = positions(self.engine, check.per)
                    .into_iter()
                    .filter(|position| {
                        let position = position.to_string();
                        !has(check.id, &position) && !check.instead.is_some_and(|other| has(other, &position))
                    })
                    .collect();
                // Of two checks that answer the same question the first is asked for, unless the other was begun.
                let begun = |id: &str| by_place.keys().any(|(check, _)| *check == id);
                let other_way = check.instead.is_some_and(|other| {
                    let planned = self.plan.of(self.engine).any(|check| check.id == other);
                    let earlier = planned && self.plan.order(other) < self.plan.order(check.id);
                    !begun(check.id) && (begun(other) || earlier)
                });
                (!open.is_empty() && !other_way).then_some((check, open))
            })
            .collect()
    }

    /// Places with a reading, and places of the whole plan.
    pub fn counts(&self) -> (usize, usize) {
        let open: usize = self.wanting().iter().map(|(_, open)| open.len()).sum();
        let done = self.by_place().len();
        (done, done + open)
    }

    /// `8 of 467 places filled`: a place that is measured again counts once.
    pub fn filled(&self) -> String {
        let (done, all) = self.counts();
        format!("{done} of {all} places filled")
    }

    /// Rows of checks that have a reading: name, and a mark and reading for each column.
    pub fn matrix(&self) -> Matrix<'_> {
        let mut rows = Vec::new();
        let mut columns: Vec<String> = Vec::new();
        for check in self.plan.checks() {
            for (part, cells) in self.parts(check) {
                if cells.iter().any(|place| place.entry.is_some()) {
                    for place in &cells {
                        if !columns.contains(&place.column) {
                            columns.push(place.column.clone());
                        }
                    }
                    rows.push((row_name(check, &part), cells));
                }
            }
        }
        columns.sort_by_key(|c| c.parse::<u8>().unwrap_or(u8::MAX));
        Matrix { columns, rows }
    }

    /// The places of a check, a row for each part of a cylinder or journal that it is taken at.
    pub fn parts(&self, check: &Check) -> Vec<(String, Vec<Place<'_>>)> {
        let by_place = self.by_place();
        let mut by_part: Vec<(String, Vec<Place>)> = Vec::new();
        for position in positions(self.engine, check.per) {
            let text = position.to_string();
            let (column, part) = match position.number() {
                Some(number) => {
                    let column = number.to_string();
                    let part = text.strip_prefix(&column).unwrap_or_default().trim().to_owned();
                    (column, part)
                }
                None => ("all".to_owned(), text.trim_matches('-').to_owned()),
            };
            let entry = by_place.get(&(check.id, text.as_str())).copied();
            let place = Place { column, position: text, entry };
            match by_part.iter_mut().find(|(name, _)| *name == part) {
                Some((_, places)) => places.push(place),
                None => by_part.push((part, vec![place])),
            }
        }
        by_part
    }
}

/// `Ring end gap, top`.
pub fn row_name(check: &Check, part: &str) -> String {
    if part.is_empty() { check.name.to_owned() } else { format!("{}, {part}", check.name) }
}

/// One place of a row: the column it stands in, its name in the plan, and the reading there.
pub struct Place<'a> {
    pub column: String,
    pub position: String,
    pub entry: Option<&'a Entry>,
}

/// The job's readings as a grid.
pub struct Matrix<'a> {
    pub columns: Vec<String>,
    pub rows: Vec<(String, Vec<Place<'a>>)>,
}

/// How one place stands: an accepted reading keeps its verdict where it is not inside.
pub fn place_mark(entry: Option<&Entry>) -> Mark {
    let Some(entry) = entry else { return Mark::Open };
    let verdict = mark(entry.reading.measured.verdict);
    match entry.review.as_ref().map(|r| r.decision) {
        Some(Decision::Returned) => Mark::Returned,
        Some(Decision::Accepted) if verdict != Mark::Out => Mark::Accepted,
        _ => verdict,
    }
}

impl Matrix<'_> {
    pub fn figure(&self, heading: &str) -> Figure {
        let rows = self.rows.iter().map(|(name, cells)| matrix::Row {
            check: name.clone(),
            cells: self
                .columns
                .iter()
                .map(|column| cells.iter().find(|place| place.column == *column).map(|place| place_mark(place.entry)))
                .collect(),
        });
        matrix::draw(&matrix::Matrix {
            heading: heading.to_owned(),
            positions: self.columns.clone(),
            rows: rows.collect(),
        })
    }
}
