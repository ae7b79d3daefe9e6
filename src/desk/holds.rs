//! Where the work on a job is held: the hold points of its plan, stage by stage, and what a lead signed off.
//!
//! A hold point is one check at all its places. It is open while a place lacks a reading or got it back from the lead,
//! posted while one still waits, accepted when the lead accepted all. Of two checks that answer the same question one
//! is enough. A stage is as far as the least of its hold points.

use std::collections::BTreeMap;

use super::Context;
use super::recorded::day;
use super::trouble::Trouble;
use crate::engine::plan::{Check, Plan};
use crate::engine::{Engine, Stage, positions};
use crate::maths::judge::Verdict;
use crate::record::{Decision, Job, OpenHold, ReadingId, SignOff, Stand};

/// How far a hold point or a stage is, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    Open,
    Posted,
    Accepted,
}

/// A hold point of the plan.
pub struct Hold {
    pub check: Check,
    /// How many places it has.
    pub places: usize,
    /// Places without a reading, or whose reading was returned.
    pub missing: Vec<String>,
    /// Those of them whose reading the lead returned.
    pub returned: Vec<String>,
    /// Places whose reading waits for the lead.
    pub waiting: Vec<String>,
    /// The readings that count at its places.
    readings: Vec<ReadingId>,
}

/// A stage of a job.
pub struct StageHolds {
    pub stage: Stage,
    pub holds: Vec<Hold>,
    /// The readings that count, hold points or not, as posted.
    pub stands: Vec<Stand>,
    pub signed: Option<Signed>,
    /// The work has come to this stage or gone past it.
    pub reached: bool,
}

/// A stage's last sign-off.
pub struct Signed {
    pub sign_off: SignOff,
    /// A reading it covers was amended, posted anew or reviewed anew since, or one was added.
    pub stale: bool,
}

/// A job's stages, in the order of the work.
pub struct Holds {
    pub stages: Vec<StageHolds>,
}

impl Context<'_> {
    pub fn holds(&self, job: &Job) -> Result<Holds, Trouble> {
        let record = &self.desk.record;
        Ok(Holds::new(self.library.plan(), self.engine_of(job)?, record.stands(job.id)?, record.sign_offs(job.id)?))
    }
}

impl Holds {
    fn new(plan: &Plan, engine: &Engine, stands: Vec<Stand>, mut sign_offs: Vec<SignOff>) -> Self {
        // As posted, so that the last one at a place stays.
        let counting: BTreeMap<(String, String), Stand> =
            stands.into_iter().map(|stand| ((stand.check.clone(), stand.position.clone()), stand)).collect();
        let mut stages: Vec<StageHolds> = Stage::ALL
            .into_iter()
            .map(|stage| {
                let of_stage = |stand: &&Stand| plan.check(&stand.check).is_some_and(|check| check.stage == stage);
                let mut stands: Vec<Stand> = counting.values().filter(of_stage).cloned().collect();
                stands.sort_by_key(|stand| stand.reading);
                let given = sign_offs.iter().position(|one| one.signed.stage == stage.slug());
                let mut of = StageHolds {
                    stage,
                    holds: holds(plan, engine, stage, &counting),
                    stands,
                    signed: None,
                    reached: false,
                };
                of.signed = given.map(|at| Signed::new(sign_offs.remove(at), &of));
                of
            })
            .collect();
        let last = stages.iter().rposition(|stage| !stage.stands.is_empty() || stage.signed.is_some());
        for stage in stages.iter_mut().take(last.map_or(0, |last| last + 1)) {
            stage.reached = true;
        }
        Self { stages }
    }

    pub fn stage(&self, stage: Stage) -> Option<&StageHolds> {
        self.stages.iter().find(|one| one.stage == stage)
    }

    /// The hold point that a check is, or is the other way to.
    pub fn hold(&self, check: &Check) -> Option<&Hold> {
        let same = |hold: &&Hold| hold.check.id == check.id || check.instead == Some(hold.check.id);
        self.stages.iter().flat_map(|stage| &stage.holds).find(same)
    }

    /// Stages with hold points in the plan, or with a lead's word.
    pub fn told(&self) -> impl Iterator<Item = &StageHolds> {
        self.stages.iter().filter(|stage| !stage.holds.is_empty() || stage.signed.is_some())
    }

    /// Stages before that one which the lead must accept, and neither did nor signed off.
    pub fn unaccepted_before(&self, stage: Stage) -> impl Iterator<Item = &StageHolds> {
        let earlier = self.stages.iter().filter(move |one| one.stage < stage && one.stage.wants_lead());
        earlier.filter(|one| !one.is_signed() && one.state().is_some_and(|state| state < State::Accepted))
    }

    /// Every hold point that is not accepted, as the record keeps it.
    pub fn open(&self) -> Vec<OpenHold> {
        self.stages.iter().flat_map(StageHolds::open).collect()
    }
}

impl Signed {
    fn new(sign_off: SignOff, stage: &StageHolds) -> Self {
        let covered = stage.readings();
        let spoken_since = |stand: &Stand| {
            covered.contains(&stand.reading) && stand.review.is_some_and(|review| review > sign_off.number)
        };
        let stale = covered != sign_off.signed.readings || stage.stands.iter().any(spoken_since);
        Self { sign_off, stale }
    }

    pub fn is_override(&self) -> bool {
        !self.sign_off.signed.open.is_empty()
    }
}

/// The hold points of a stage.
fn holds(plan: &Plan, engine: &Engine, stage: Stage, counting: &BTreeMap<(String, String), Stand>) -> Vec<Hold> {
    let begun = |id: &str| counting.keys().any(|(check, _)| check == id);
    let mut all: Vec<Hold> = Vec::new();
    for check in plan.of(engine).filter(|check| check.hold && check.stage == stage) {
        // The first of a pair speaks for both.
        if all.iter().any(|hold| hold.check.id == check.id || hold.check.instead == Some(check.id)) {
            continue;
        }
        let other = check.instead.and_then(|id| plan.check(id));
        let named = other.filter(|other| begun(other.id) && !begun(check.id)).unwrap_or(check);
        let mut hold = Hold {
            check: *named,
            places: 0,
            missing: Vec::new(),
            returned: Vec::new(),
            waiting: Vec::new(),
            readings: Vec::new(),
        };
        for place in positions(engine, check.per) {
            let place = place.to_string();
            let here: Vec<&Stand> = [Some(check), other]
                .into_iter()
                .flatten()
                .filter_map(|check| counting.get(&(check.id.to_owned(), place.clone())))
                .collect();
            hold.places += 1;
            hold.readings.extend(here.iter().map(|stand| stand.reading));
            if here.iter().any(|stand| stand.decision == Some(Decision::Returned)) {
                hold.returned.push(place.clone());
                hold.missing.push(place);
            } else if here.is_empty() {
                hold.missing.push(place);
            } else if here.iter().any(|stand| stand.decision.is_none()) {
                hold.waiting.push(place);
            }
        }
        all.push(hold);
    }
    all
}

impl Hold {
    pub fn state(&self) -> State {
        match (self.missing.is_empty(), self.waiting.is_empty()) {
            (false, _) => State::Open,
            (true, false) => State::Posted,
            (true, true) => State::Accepted,
        }
    }

    /// `Main journal: 4, 5 not posted; 2 came back; 3 waits for the lead`.
    pub fn told(&self) -> String {
        let unposted = self.unposted();
        match unposted.len() == self.places {
            true => format!("{}: not posted", self.check.name),
            false => format!("{}: {}", self.check.name, open_at(&unposted, &self.returned, &self.waiting)),
        }
    }

    fn unposted(&self) -> Vec<String> {
        self.missing.iter().filter(|place| !self.returned.contains(place)).cloned().collect()
    }

    /// `Main journal (2 to post, 1 came back, 1 waits)`.
    pub fn brief(&self) -> String {
        let count = |n: usize, words: &str| (n > 0).then(|| format!("{n} {words}"));
        let waits = if self.waiting.len() == 1 { "waits" } else { "wait" };
        let parts: Vec<String> = [
            count(self.unposted().len(), "to post"),
            count(self.returned.len(), "came back"),
            count(self.waiting.len(), waits),
        ]
        .into_iter()
        .flatten()
        .collect();
        format!("{} ({})", self.check.name, parts.join(", "))
    }

    /// `open: 4, 5 not posted`, `posted: 3 waits for the lead`, `accepted`.
    pub fn standing(&self) -> String {
        let what = open_at(&self.unposted(), &self.returned, &self.waiting);
        match self.state() {
            State::Open => format!("open: {what}"),
            State::Posted => format!("posted: {what}"),
            State::Accepted => "accepted".to_owned(),
        }
    }

    fn kept(&self) -> OpenHold {
        let (missing, waiting) = (self.missing.clone(), self.waiting.clone());
        OpenHold { check: self.check.id.to_owned(), missing, waiting }
    }
}

/// What is open of a hold point, in words.
pub fn told(name: &str, missing: &[String], waiting: &[String]) -> String {
    format!("{name}: {}", open_at(missing, &[], waiting))
}

fn open_at(missing: &[String], returned: &[String], waiting: &[String]) -> String {
    let one = |places: &[String]| places.len() == 1;
    let mut parts = Vec::new();
    if !missing.is_empty() {
        parts.push(format!("{}not posted", named(missing)));
    }
    if !returned.is_empty() {
        parts.push(format!("{}came back", named(returned)));
    }
    if !waiting.is_empty() {
        parts.push(format!("{}{} for the lead", named(waiting), if one(waiting) { "waits" } else { "wait" }));
    }
    parts.join("; ")
}

/// A few places by name, many by their number; nothing for the whole engine.
fn named(places: &[String]) -> String {
    match places {
        [only] if only == "-" => String::new(),
        few if few.len() <= 5 => format!("{} ", few.join(", ")),
        many => format!("{} places ", many.len()),
    }
}

impl StageHolds {
    /// As far as the least of its hold points; none where the plan has none.
    pub fn state(&self) -> Option<State> {
        self.holds.iter().map(Hold::state).min()
    }

    /// A lead signed it off, and nothing has changed since.
    pub fn is_signed(&self) -> bool {
        self.signed.as_ref().is_some_and(|signed| !signed.stale)
    }

    /// Its hold points that are not accepted, as the record keeps them.
    pub fn open(&self) -> Vec<OpenHold> {
        self.unaccepted().map(Hold::kept).collect()
    }

    pub fn unaccepted(&self) -> impl Iterator<Item = &Hold> {
        self.holds.iter().filter(|hold| hold.state() < State::Accepted)
    }

    /// The readings that a sign-off covers: those at its hold points.
    pub fn readings(&self) -> Vec<ReadingId> {
        let mut all: Vec<ReadingId> = self.holds.iter().flat_map(|hold| &hold.readings).copied().collect();
        all.sort_unstable();
        all
    }

    /// Readings out of limits that no lead has accepted.
    pub fn out(&self) -> impl Iterator<Item = &Stand> {
        let out = |stand: &&Stand| stand.verdict == Verdict::Out && stand.decision != Some(Decision::Accepted);
        self.stands.iter().filter(out)
    }

    /// How the stage stands, in a line.
    pub fn standing(&self) -> String {
        if let Some(signed) = &self.signed {
            let SignOff { by, when, signed: what, .. } = &signed.sign_off;
            let who = format!("{}, {}", by.person, day(*when));
            let reason = what.reason.as_ref().map(|reason| format!(": {reason}")).unwrap_or_default();
            return match (signed.stale, signed.is_override()) {
                (true, _) => format!("signed off by {who}, and changed since: to be signed again"),
                (false, true) => format!("signed off over {} by {who}{reason}", points(what.open.len())),
                (false, false) => format!("signed off by {who}{reason}"),
            };
        }
        self.as_far(&self.in_brief())
    }

    /// The same, where its hold points are listed beside it: the first of them speaks for what is open.
    pub fn at_a_glance(&self) -> String {
        if self.signed.is_some() {
            return self.standing();
        }
        let first = self.unaccepted().next().map(Hold::brief).unwrap_or_default();
        self.as_far(&match self.unaccepted().count() {
            0 | 1 => first,
            more => format!("{first} and {} more", more - 1),
        })
    }

    fn as_far(&self, open: &str) -> String {
        match self.state() {
            None => "nothing of it is in the plan".to_owned(),
            Some(State::Accepted) => "accepted".to_owned(),
            Some(State::Posted) => format!("posted: {open}"),
            Some(State::Open) => format!("open: {open}"),
        }
    }

    /// Its hold points that are not accepted, with their places.
    pub fn what_is_open(&self) -> String {
        self.unaccepted().map(Hold::told).collect::<Vec<_>>().join(". ")
    }

    /// The same in numbers.
    pub fn in_brief(&self) -> String {
        self.unaccepted().map(Hold::brief).collect::<Vec<_>>().join(", ")
    }
}

/// `2 open hold points`.
pub fn points(number: usize) -> String {
    format!("{number} open hold point{}", if number == 1 { "" } else { "s" })
}
