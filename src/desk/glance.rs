//! Every open job at a glance: what is wrong on which engine, the worst first.

use super::Context;
use super::holds::{Hold, Holds, StageHolds};
use super::trouble::Trouble;
use crate::drawing::stages::{self, Mark};
use crate::maths::judge::Verdict;
use crate::record::{Decision, Job, JobFilter, Stand};

/// An open job, its engine's name, and how it stands.
pub struct Glance {
    pub job: Job,
    pub engine: String,
    pub holds: Holds,
    /// Readings inside, but nearer to a limit than the gauge can tell, that no lead has accepted.
    pub marginal: usize,
    /// Readings that wait for a lead.
    pub waiting: usize,
    /// Readings that are back with who posted them.
    pub returned: usize,
}

/// The open jobs, the worst first, and those of which nothing can be told.
pub struct Glances {
    pub jobs: Vec<Glance>,
    /// A sentence for each job whose engine has no page.
    pub lost: Vec<String>,
}

impl Context<'_> {
    pub fn glances(&self) -> Result<Glances, Trouble> {
        let mut all = Glances { jobs: Vec::new(), lost: Vec::new() };
        for job in self.desk.record.jobs(JobFilter::Open)? {
            match self.engine_of(&job) {
                Ok(engine) => {
                    let engine = engine.title.clone();
                    all.jobs.push(Glance::new(self.holds(&job)?, job, engine));
                }
                Err(refusal) => all.lost.push(refusal.possible),
            }
        }
        all.jobs.sort_by_key(|glance| {
            (
                std::cmp::Reverse((glance.out().count(), glance.returned, glance.marginal)),
                std::cmp::Reverse((glance.waiting, glance.held().count())),
                glance.job.id,
            )
        });
        Ok(all)
    }
}

impl Glance {
    fn new(holds: Holds, job: Job, engine: String) -> Self {
        let count = |which: &dyn Fn(&Stand) -> bool| {
            holds.stages.iter().flat_map(|stage| &stage.stands).filter(|stand| which(stand)).count()
        };
        let unaccepted = |stand: &Stand| stand.decision != Some(Decision::Accepted);
        let marginal = count(&|stand| stand.verdict == Verdict::Marginal && unaccepted(stand));
        let waiting = count(&|stand| stand.decision.is_none());
        let returned = count(&|stand| stand.decision == Some(Decision::Returned));
        Self { job, engine, holds, marginal, waiting, returned }
    }

    /// Readings out of limits that no lead has accepted.
    pub fn out(&self) -> impl Iterator<Item = &Stand> {
        self.holds.stages.iter().flat_map(StageHolds::out)
    }

    /// Hold points that are not accepted, up to where the work is, of stages that no lead has signed off.
    pub fn held(&self) -> impl Iterator<Item = &Hold> {
        let stages = self.holds.stages.iter().filter(|stage| stage.reached && !stage.is_signed());
        stages.flat_map(StageHolds::unaccepted)
    }

    /// `Main journal 3, Ring end gap 3 top`: where it is out; of many places the first three.
    pub fn where_out(&self, context: &Context) -> String {
        let places: Vec<String> = self.out().map(|stand| place(context, stand)).collect();
        match places.get(..3) {
            Some(first) if places.len() > 3 => format!("{} and {} more", first.join(", "), places.len() - 3),
            _ => places.join(", "),
        }
    }
}

/// `Main journal 3`.
pub fn place(context: &Context, stand: &Stand) -> String {
    let name = context.library.plan().name_of(&stand.check);
    format!("{name} {}", stand.position.trim_matches('-')).trim_end().to_owned()
}

/// How a stage is marked in the lead's figure.
pub fn mark(stage: &StageHolds) -> Mark {
    use super::holds::State;
    if stage.out().next().is_some() {
        return Mark::Out;
    }
    match (&stage.signed, stage.state()) {
        (Some(signed), _) if signed.stale => Mark::Changed,
        (Some(signed), _) if signed.is_override() => Mark::GoneOver,
        (Some(_), _) => Mark::SignedOff,
        (None, _) if !stage.reached => Mark::ToCome,
        (None, Some(State::Open)) => Mark::Held,
        (None, Some(State::Posted)) => Mark::Posted,
        (None, Some(State::Accepted) | None) => Mark::Accepted,
    }
}

/// The figure of these jobs: a row each, a mark for each stage that holds the work.
pub fn figure(heading: &str, jobs: &[Glance]) -> (Vec<&'static str>, crate::drawing::Figure) {
    let shown: Vec<crate::engine::Stage> = crate::engine::Stage::ALL
        .into_iter()
        .filter(|stage| jobs.iter().any(|glance| glance.holds.told().any(|one| one.stage == *stage)))
        .collect();
    let rows = jobs.iter().map(|glance| stages::Row {
        job: format!("{} {}", glance.job.id, glance.engine),
        cells: shown.iter().map(|stage| glance.holds.stage(*stage).map(mark)).collect(),
    });
    let names: Vec<&'static str> = shown.iter().map(|stage| stage.title()).collect();
    let drawn = stages::draw(&stages::Stages {
        heading: heading.to_owned(),
        stages: names.iter().map(|name| (*name).to_owned()).collect(),
        rows: rows.collect(),
    });
    (names, drawn)
}
