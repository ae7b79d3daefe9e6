//! A job as a board on the wall: its plan stage by stage, check by place, its hold points, and what happened on it.

use super::commands::log::headline;
use super::form::JobNumber;
use super::holds::{StageHolds, State};
use super::progress::{Progress, place_mark, row_name};
use super::recorded::{day, moment};
use super::trouble::Trouble;
use super::{Asker, Context, Desk, Refusal, glance, line};
use crate::drawing::Mark;
use crate::drawing::stages::Mark as StageMark;
use crate::engine::plan::Check;
use crate::maths::judge::Verdict;
use crate::quantity::{Dimension, System, show};
use crate::record::{Event, Happening, Job, ReadingId};

/// So many of the last events are told.
const LAST: usize = 40;

/// A job and all that a person at its bench wants to see.
#[derive(Debug, Clone)]
pub struct Board {
    pub job: i64,
    pub title: String,
    pub engine: String,
    pub engine_id: String,
    pub cylinders: u32,
    pub opened: String,
    pub is_open: bool,
    pub note: Option<String>,
    /// The worst of its readings.
    pub verdict: Option<Verdict>,
    pub out: usize,
    pub marginal: usize,
    pub waiting: usize,
    /// Places with a reading.
    pub posted: usize,
    /// Places of the whole plan.
    pub wanted: usize,
    pub stages: Vec<StageBoard>,
    /// The last first.
    pub happened: Vec<Happened>,
}

/// A stage of the plan.
#[derive(Debug, Clone)]
pub struct StageBoard {
    pub slug: &'static str,
    pub title: &'static str,
    /// How far it is, in a line.
    pub standing: String,
    pub mark: StageMark,
    pub columns: Vec<String>,
    pub rows: Vec<Row>,
    pub holds: Vec<HoldPoint>,
    /// The work has come to it.
    pub reached: bool,
}

/// A check at all its places; none where it has no such place.
#[derive(Debug, Clone)]
pub struct Row {
    pub name: String,
    /// The check, as a line names it.
    pub check: &'static str,
    pub spots: Vec<Option<Spot>>,
}

/// One place of a check.
#[derive(Debug, Clone)]
pub struct Spot {
    pub mark: Mark,
    pub verdict: Option<Verdict>,
    /// `Main journal 3: 2.4495 in (62.217 mm)`, or the name of the place alone.
    pub told: String,
    /// What is to be done here: to post a reading, or to see the one that stands.
    pub line: String,
    /// True when the line still wants values.
    pub form: bool,
}

/// Where the work is held until readings are posted and accepted.
#[derive(Debug, Clone)]
pub struct HoldPoint {
    pub name: &'static str,
    pub state: &'static str,
    pub told: String,
    /// The line that posts to the first of its places that is open.
    pub line: Option<String>,
}

/// One event of the job.
#[derive(Debug, Clone)]
pub struct Happened {
    pub number: i64,
    pub when: String,
    pub who: String,
    pub what: String,
    pub verdict: Option<Verdict>,
}

/// A check at all its places, to be filled in like a sheet.
#[derive(Debug, Clone)]
pub struct RowsToFill {
    pub name: &'static str,
    /// The check, as a line names it.
    pub check: &'static str,
    /// Each place, and whether a reading stands there.
    pub places: Vec<(String, bool)>,
    /// What each reading of a place is.
    pub readings: Vec<&'static str>,
    pub dimension: Dimension,
    /// The engine's system: that of a bare number.
    pub lean: System,
}

/// The job that a person works on at this front.
#[derive(Debug, Clone)]
pub struct InHand {
    pub job: i64,
    pub title: String,
}

impl From<Job> for InHand {
    fn from(job: Job) -> Self {
        Self { job: job.id.0, title: job.title }
    }
}

impl Desk {
    /// The board of a job, as this person reads it.
    pub fn board(&self, asker: &Asker, job: i64) -> Result<Board, Trouble> {
        let context = Context::new(self, asker, jiff::Timestamp::now())?;
        let job = self.record.job(crate::record::JobId(job))?;
        Board::new(&context.for_job(job.clone())?, &job)
    }

    /// The sheet of a check on a job, every place a row.
    pub fn rows_to_fill(&self, asker: &Asker, job: i64, check: &str) -> Result<RowsToFill, Trouble> {
        let context = Context::new(self, asker, jiff::Timestamp::now())?;
        let job = self.record.job(crate::record::JobId(job))?;
        let progress = context.progress(&job)?;
        let found = progress.plan.of(progress.engine).find(|known| known.id == check);
        let found = found.ok_or_else(|| Refusal::new("check", check, "It is not in this engine's plan."))?;
        let places = progress.parts(found).into_iter().flat_map(|(_, places)| places);
        Ok(RowsToFill {
            name: found.name,
            check: found.id,
            places: places.map(|place| (place.position, place.entry.is_some())).collect(),
            readings: found.readings.to_vec(),
            dimension: found.dimension,
            lean: progress.engine.unit,
        })
    }

    /// The job that a line means here which names none.
    pub fn in_hand(&self, asker: &Asker) -> Option<InHand> {
        let job = self.current(asker).ok()??;
        job.is_open().then(|| job.into())
    }

    /// The job that is named.
    pub fn job_of(&self, asker: &Asker, named: &str) -> Option<InHand> {
        let context = Context::new(self, asker, jiff::Timestamp::now()).ok()?;
        context.named_job(Some(&JobNumber(named.to_owned()))).ok().map(InHand::from)
    }
}

impl Board {
    fn new(context: &Context, job: &Job) -> Result<Self, Trouble> {
        let progress = context.progress(job)?;
        let lead = context.lead_with(&[], Some(progress.engine));
        let holds = context.holds(job)?;
        let count = |verdict| progress.standing().filter(|e| e.reading.measured.verdict == verdict).count();
        let (posted, wanted) = progress.counts();
        let at = At { context, job, lead, progress: &progress };
        Ok(Self {
            job: job.id.0,
            title: job.title.clone(),
            engine: progress.engine.title.clone(),
            engine_id: progress.engine.id.clone(),
            cylinders: u32::from(progress.engine.cylinders()),
            opened: format!("{} by {}", day(job.opened.when), job.opened.by.person),
            is_open: job.is_open(),
            note: job.note.clone(),
            verdict: progress.standing().map(|e| e.reading.measured.verdict).reduce(Verdict::worse),
            out: count(Verdict::Out),
            marginal: count(Verdict::Marginal),
            waiting: progress.standing().filter(|e| e.review.is_none()).count(),
            posted,
            wanted,
            stages: holds.stages.iter().map(|stage| at.stage(stage)).filter(|stage| !stage.is_empty()).collect(),
            happened: at.happened()?,
        })
    }
}

impl StageBoard {
    fn is_empty(&self) -> bool {
        self.rows.is_empty() && self.holds.is_empty()
    }
}

/// A job while its board is made.
struct At<'a> {
    context: &'a Context<'a>,
    job: &'a Job,
    lead: System,
    progress: &'a Progress<'a>,
}

impl At<'_> {
    fn stage(&self, stage: &StageHolds) -> StageBoard {
        let wanted: Vec<&str> = self.progress.wanting().iter().map(|(check, _)| check.id).collect();
        let mut columns: Vec<String> = Vec::new();
        let mut parts = Vec::new();
        for check in self.progress.plan.of(self.progress.engine).filter(|check| check.stage == stage.stage) {
            for (part, places) in self.progress.parts(check) {
                if places.iter().all(|place| place.entry.is_none()) && !wanted.contains(&check.id) {
                    continue;
                }
                for place in &places {
                    if !columns.contains(&place.column) {
                        columns.push(place.column.clone());
                    }
                }
                parts.push((check, part, places));
            }
        }
        // What is taken once for the whole engine comes first, where a phone shows it.
        columns.sort_by_key(|column| column.parse::<u8>().unwrap_or(0));
        let rows = parts.iter().map(|(check, part, places)| Row {
            name: row_name(check, part),
            check: check.id,
            spots: columns
                .iter()
                .map(|column| places.iter().find(|place| place.column == *column))
                .map(|place| place.map(|place| self.spot(check, place)))
                .collect(),
        });
        StageBoard {
            slug: stage.stage.slug(),
            title: stage.stage.title(),
            standing: stage.at_a_glance(),
            mark: glance::mark(stage),
            rows: rows.collect(),
            columns,
            holds: stage.holds.iter().map(|hold| self.hold(hold)).collect(),
            reached: stage.reached,
        }
    }

    fn spot(&self, check: &Check, place: &super::progress::Place) -> Spot {
        let (told, line, form) = match place.entry {
            Some(entry) => {
                let told = headline(self.context, &entry.reading, self.lead);
                (told, format!("review show {}", entry.reading.id), false)
            }
            None => {
                let name = format!("{} {}", check.name, place.position.trim_matches('-'));
                (name.trim_end().to_owned(), self.log(check.id, &place.position), true)
            }
        };
        let verdict = place.entry.map(|entry| entry.reading.measured.verdict);
        Spot { mark: place_mark(place.entry), verdict, told, line, form: form && self.job.is_open() }
    }

    fn log(&self, check: &str, position: &str) -> String {
        let place = if position == "-" { String::new() } else { format!(" {}", line::quoted(position)) };
        format!("log {check}{place} job={}", self.job.id.0)
    }

    fn hold(&self, hold: &super::holds::Hold) -> HoldPoint {
        let state = match hold.state() {
            State::Open => "open",
            State::Posted => "posted",
            State::Accepted => "accepted",
        };
        let first = hold.missing.first().filter(|_| self.job.is_open());
        HoldPoint {
            name: hold.check.name,
            state,
            told: hold.standing(),
            line: first.map(|place| self.log(hold.check.id, place)),
        }
    }

    fn happened(&self) -> Result<Vec<Happened>, Trouble> {
        let events = self.context.desk.record.events(self.job.id)?;
        events.iter().rev().take(LAST).map(|event| self.event(event)).collect()
    }

    fn event(&self, event: &Event) -> Result<Happened, Trouble> {
        let reading = |id: ReadingId| -> Result<String, Trouble> {
            Ok(headline(self.context, &self.context.desk.record.reading(id)?.reading, self.lead))
        };
        let because = |reason: Option<&String>| reason.map(|words| format!(": {words}")).unwrap_or_default();
        let mut verdict = None;
        let what = match &event.what {
            Happening::JobOpened(opened) => format!("opened the job{}", because(opened.note.as_ref())),
            Happening::JobClosed(closed) => format!("closed the job{}", because(closed.reason.as_ref())),
            Happening::Reading(posting) => {
                verdict = Some(posting.measured.verdict);
                let told = reading(ReadingId(event.seq))?;
                match &posting.amends {
                    Some(amends) => format!("amended reading {} to {told}: {}", amends.reading, amends.reason),
                    None => told,
                }
            }
            Happening::Review(review) => {
                let told = reading(review.reading)?;
                format!("{} {told}{}", review.decision.word(), because(review.comment.as_ref()))
            }
            Happening::Photo(photo) => format!("photographed {}", reading(photo.of)?),
            Happening::LimitOverridden(own) => {
                let dimension = self.context.library.plan().measure(&own.measure).map(|measure| measure.dimension);
                let range = dimension.map(|dimension| show::range(dimension, own.min, own.max, self.lead));
                format!("set its own limit for {}, {}: {}", own.measure, range.unwrap_or_default(), own.reason)
            }
            Happening::StageSigned(signed) => {
                let title = crate::engine::Stage::ALL.into_iter().find(|stage| stage.slug() == signed.stage);
                let title = title.map_or(signed.stage.as_str(), |stage| stage.title());
                format!("signed off {title}{}", because(signed.reason.as_ref()))
            }
            Happening::InstrumentAdded(_)
            | Happening::InstrumentCalibrated(_)
            | Happening::InstrumentRetired(_)
            | Happening::StandardCheck(_) => "saw to an instrument".to_owned(),
        };
        Ok(Happened { number: event.seq, when: moment(event.when), who: event.by.person.clone(), what, verdict })
    }
}
