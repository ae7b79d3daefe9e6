//! A job's docket: how it stands by stage and by place and what is next, as plain data for the head of its thread.

use jiff::Timestamp;

use super::glance;
use super::holds::{Hold, StageHolds};
use super::progress::{Place, place_mark};
use super::reply::Action;
use super::trouble::Trouble;
use super::walk::Walk;
use super::{Asker, Context, Desk, Front};
use crate::drawing::Mark;
use crate::drawing::stages::Mark as StageMark;
use crate::record::{Hash, JobId, RecordError};

/// How a job stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Docket {
    pub job: JobId,
    pub title: String,
    /// The engine's name.
    pub engine: String,
    pub open: bool,
    /// What to do next, or why nothing can be said of it.
    pub next: String,
    /// The entry for that, and where to look further.
    pub actions: Vec<Action>,
    pub counts: Counts,
    /// The stages up to where the work is.
    pub stages: Vec<StageLine>,
    /// Those behind it.
    pub to_come: Vec<&'static str>,
    /// The checks that have a reading.
    pub checks: Vec<CheckLine>,
}

/// Whether a docket is still the newest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JobNow {
    /// The number of the job's last event.
    pub last: i64,
    pub open: bool,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    pub posted: usize,
    /// Places of the whole plan.
    pub wanted: usize,
    /// Readings that wait for the lead.
    pub waiting: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub struct StageLine {
    pub name: &'static str,
    pub mark: StageMark,
    /// Its hold points that are open, each in brief.
    pub open: Vec<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct CheckLine {
    pub name: String,
    /// Each place and how it stands.
    pub places: Vec<(String, Mark)>,
}

impl Desk {
    /// How that job stands now.
    pub fn docket(&self, job: JobId, now: Timestamp) -> anyhow::Result<Docket> {
        let nobody = Asker { bench: Some(job), ..Asker::new("", Front::Chat) };
        let made = Context::new(self, &nobody, now).and_then(|context| context.docket(job));
        made.map_err(Trouble::into_fault)
    }

    /// How far the job is that this event opened; none where the record has another one under its number, or none.
    pub fn job_now(&self, job: JobId, opened: Hash) -> anyhow::Result<Option<JobNow>> {
        match self.record.opening(job) {
            Ok(event) if event.hash == opened => {
                Ok(Some(JobNow { last: self.record.last_event(job)?, open: self.record.job(job)?.is_open() }))
            }
            Ok(_) | Err(RecordError::NotFound { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }
}

impl Context<'_> {
    fn docket(&self, job: JobId) -> Result<Docket, Trouble> {
        let job = self.desk.record.job(job)?;
        let mut docket = Docket {
            job: job.id,
            title: job.title.clone(),
            engine: job.engine.clone(),
            open: job.is_open(),
            next: String::new(),
            actions: Vec::new(),
            counts: Counts::default(),
            stages: Vec::new(),
            to_come: Vec::new(),
            checks: Vec::new(),
        };
        let progress = match self.progress(&job) {
            Ok(progress) => progress,
            Err(Trouble::Refused(refusal)) => return Ok(Docket { next: refusal.possible, ..docket }),
            Err(fault) => return Err(fault),
        };
        docket.engine.clone_from(&progress.engine.title);
        let (posted, wanted) = progress.counts();
        let waiting = progress.standing().filter(|entry| entry.review.is_none()).count();
        docket.counts = Counts { posted, wanted, waiting };
        let holds = self.holds(&job)?;
        let (reached, ahead): (Vec<&StageHolds>, Vec<_>) = holds.told().partition(|stage| stage.reached);
        docket.stages = reached
            .into_iter()
            .map(|stage| StageLine {
                name: stage.stage.title(),
                mark: glance::mark(stage),
                open: stage.unaccepted().map(Hold::brief).collect(),
            })
            .collect();
        docket.to_come = ahead.into_iter().map(|stage| stage.stage.title()).collect();
        let marked = |place: &Place| (place.column.clone(), place_mark(place.entry));
        docket.checks = progress
            .matrix()
            .rows
            .iter()
            .map(|(name, cells)| CheckLine { name: name.clone(), places: cells.iter().map(marked).collect() })
            .collect();
        if docket.open {
            let next = Walk::new(self, &job)?.next(None)?;
            docket.next = next.title;
            docket.actions.extend(next.actions.into_iter().find(|action| action.entry));
            docket.actions.push(Action::send("What is next", format!("next {}", job.id)));
        }
        docket.actions.push(Action::send("The job", format!("job show {}", job.id)));
        Ok(docket)
    }
}
