//! Any sequence of acts leaves the record as a plain model in memory says, and every post may be sent twice.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    record::{Actor, Decision, Entry, JobId, Measured, ReadingId, Record, RecordError},
};
use proptest::prelude::*;

use super::{apprentice, at, ids, journal, lead, open_job, tech};

#[derive(Debug, Clone)]
enum Step {
    Post {
        who: usize,
        job: usize,
        position: u8,
        verdict: usize,
    },
    /// `target` counts through all readings so far, current or not.
    Amend {
        who: usize,
        target: usize,
        position: u8,
        verdict: usize,
    },
    Review {
        targets: Vec<usize>,
        accept: bool,
        own_allowed: bool,
    },
    Close {
        job: usize,
    },
}

const JOBS: usize = 3;
const VERDICTS: [Verdict; 4] = [Verdict::NoLimit, Verdict::Within, Verdict::Marginal, Verdict::Out];

fn people() -> [Actor; 3] {
    [apprentice(), tech(), lead()]
}

fn step() -> impl Strategy<Value = Step> {
    let place = (0..3_usize, 0..JOBS, 0..4_u8, 0..4_usize);
    prop_oneof![
        6 => place.clone().prop_map(|(who, job, position, verdict)| Step::Post { who, job, position, verdict }),
        4 => (place, 0..60_usize)
            .prop_map(|((who, _, position, verdict), target)| Step::Amend { who, target, position, verdict }),
        4 => (prop::collection::vec(0..60_usize, 1..4), any::<bool>(), any::<bool>())
            .prop_map(|(targets, accept, own_allowed)| Step::Review { targets, accept, own_allowed }),
        1 => (0..JOBS).prop_map(|job| Step::Close { job }),
    ]
}

/// One reading as the model knows it.
#[derive(Debug, Clone)]
struct Known {
    id: i64,
    who: usize,
    job: usize,
    position: u8,
    verdict: usize,
    superseded: bool,
    decision: Option<Decision>,
}

#[derive(Default)]
struct Model {
    readings: Vec<Known>,
    closed: [bool; JOBS],
}

impl Model {
    /// Whether the amendment should be taken, by the rules of the shop.
    fn takes_amendment(&self, who: usize, target: usize) -> bool {
        let old = &self.readings[target];
        !self.closed[old.job] && !old.superseded && (who == 2 || (who == 1 && old.who == 1))
    }

    fn takes_review(&self, targets: &[usize], accept: bool, own_allowed: bool) -> bool {
        targets.iter().map(|target| &self.readings[*target]).all(|reading| {
            !self.closed[reading.job] && !reading.superseded && (!accept || own_allowed || reading.who != 2)
        })
    }

    fn current(&self) -> impl Iterator<Item = &Known> {
        self.readings.iter().filter(|reading| !reading.superseded)
    }

    fn queue(&self) -> Vec<i64> {
        let mut waiting: Vec<&Known> =
            self.current().filter(|reading| reading.decision.is_none() && !self.closed[reading.job]).collect();
        waiting.sort_by_key(|reading| (std::cmp::Reverse(reading.verdict), reading.id));
        waiting.iter().map(|reading| reading.id).collect()
    }
}

fn measured(job: usize, position: u8, verdict: usize) -> Measured {
    journal(JobId(job as i64 + 1), &position.to_string(), VERDICTS[verdict])
}

/// Does one step to both; with `twice`, every post and amendment is sent again and must add nothing.
fn take(record: &Record, model: &mut Model, n: usize, step: &Step, twice: bool) {
    let (people, now, key) = (people(), at(n as i64), format!("k-{n}"));
    let send = |act: &dyn Fn() -> Result<gudgeon::record::Posted, RecordError>| {
        let first = act();
        if twice {
            let head = record.head().unwrap();
            match (&first, act()) {
                (Ok(first), Ok(again)) => {
                    assert!(again.was_retry);
                    assert_eq!(first.reading, again.reading);
                }
                (first, again) => assert_eq!(first, &again),
            }
            assert_eq!(record.head().unwrap(), head);
        }
        first
    };
    match *step {
        Step::Post { who, job, position, verdict } => {
            let posted = send(&|| record.post(&people[who], &key, measured(job, position, verdict), now));
            assert_eq!(posted.is_ok(), !model.closed[job], "{posted:?}");
            if let Ok(posted) = posted {
                let id = posted.reading.id.0;
                model.readings.push(Known { id, who, job, position, verdict, superseded: false, decision: None });
            }
        }
        Step::Amend { who, target, position, verdict } if !model.readings.is_empty() => {
            let target = target % model.readings.len();
            let Known { id, job, .. } = model.readings[target];
            let fixed = || measured(job, position, verdict);
            let amended = send(&|| record.amend(&people[who], &key, ReadingId(id), "misread", fixed(), now));
            assert_eq!(amended.is_ok(), model.takes_amendment(who, target), "{amended:?}");
            if let Ok(amended) = amended {
                model.readings[target].superseded = true;
                let id = amended.reading.id.0;
                model.readings.push(Known { id, who, job, position, verdict, superseded: false, decision: None });
            }
        }
        Step::Review { ref targets, accept, own_allowed } if !model.readings.is_empty() => {
            let targets: Vec<usize> = targets.iter().map(|target| target % model.readings.len()).collect();
            let named: Vec<ReadingId> = targets.iter().map(|target| ReadingId(model.readings[*target].id)).collect();
            let decision = if accept { Decision::Accepted } else { Decision::Returned };
            let comment = (!accept).then_some("look again");
            let reviewed = record.review(&people[2], &named, decision, comment, own_allowed, now);
            assert_eq!(reviewed.is_ok(), model.takes_review(&targets, accept, own_allowed), "{reviewed:?}");
            if reviewed.is_ok() {
                targets.iter().for_each(|target| model.readings[*target].decision = Some(decision));
            }
        }
        Step::Close { job } => {
            let closed = record.close_job(&people[2], JobId(job as i64 + 1), None, now);
            assert_eq!(closed.is_ok(), !model.closed[job]);
            model.closed[job] = true;
        }
        Step::Amend { .. } | Step::Review { .. } => {}
    }
}

fn facts(entry: &Entry) -> (i64, String, String, Verdict, Option<Decision>) {
    let Entry { reading, review, .. } = entry;
    let measured = &reading.measured;
    let decision = review.as_ref().map(|review| review.decision);
    (reading.id.0, reading.by.person.clone(), measured.position.clone(), measured.verdict, decision)
}

fn compare(record: &Record, model: &Model) {
    let people = people();
    for job in 0..JOBS {
        let id = JobId(job as i64 + 1);
        let of = |reading: &&Known| reading.job == job;
        let expected: Vec<_> = model
            .current()
            .filter(of)
            .map(|r| (r.id, people[r.who].person.clone(), r.position.to_string(), VERDICTS[r.verdict], r.decision))
            .collect();
        assert_eq!(record.readings(id).unwrap().iter().map(facts).collect::<Vec<_>>(), expected);
        for position in 0..4 {
            let here = |reading: &&Known| reading.job == job && reading.position == position;
            let (check, text) = ("main-journal", position.to_string());
            let all: Vec<i64> = model.readings.iter().filter(here).map(|reading| reading.id).collect();
            assert_eq!(ids(&record.history(id, check, &text).unwrap()), all);
            let latest = record.latest(id, check, &text).unwrap().map(|entry| entry.reading.id.0);
            assert_eq!(latest, model.current().filter(here).map(|reading| reading.id).last());
        }
        assert_eq!(record.job(id).unwrap().is_open(), !model.closed[job]);
    }
    assert_eq!(ids(&record.queue(1000).unwrap()), model.queue());
    assert_eq!(record.waiting().unwrap() as usize, model.queue().len());
    for (who, person) in people.iter().enumerate() {
        let back: Vec<i64> = model
            .current()
            .filter(|r| r.who == who && r.decision == Some(Decision::Returned) && !model.closed[r.job])
            .map(|reading| reading.id)
            .collect();
        assert_eq!(ids(&record.returned_to(&person.person).unwrap()), back);
    }
    assert_eq!(record.verify().unwrap().fault, None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_sequence_of_acts_leaves_what_the_model_says(
        steps in prop::collection::vec(step(), 1..60),
        twice in any::<bool>(),
    ) {
        let record = Record::in_memory().unwrap();
        (0..JOBS).for_each(|_| drop(open_job(&record)));
        let mut model = Model::default();
        for (n, step) in steps.iter().enumerate() {
            take(&record, &mut model, n, step, twice);
        }
        compare(&record, &model);
    }

    /// The same acts, each post sent once or twice, leave the very same record: the same chain, hash for hash.
    #[test]
    fn sending_every_post_twice_changes_nothing(steps in prop::collection::vec(step(), 1..40)) {
        let heads = [false, true].map(|twice| {
            let record = Record::in_memory().unwrap();
            (0..JOBS).for_each(|_| drop(open_job(&record)));
            let mut model = Model::default();
            steps.iter().enumerate().for_each(|(n, step)| take(&record, &mut model, n, step, twice));
            record.head().unwrap()
        });
        prop_assert_eq!(heads[0], heads[1]);
    }
}
