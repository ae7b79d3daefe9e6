//! Any sequence of acts leaves the record as a plain model in memory says, and every post may be sent twice.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::sync::LazyLock;

use gudgeon::{
    maths::judge::Verdict,
    record::{
        Actor, Decision, Entry, JobId, MOST_A_READING, Measured, OpenHold, Picture, ReadingId, Record, RecordError,
        Role, Said, StageSigned,
    },
};
use proptest::prelude::*;

use crate::pictures;

use super::{actor, apprentice, at, ids, journal, lead, open_job, tech};

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
        /// One lead or the other.
        who: usize,
        targets: Vec<usize>,
        accept: bool,
        own_allowed: bool,
        anew: bool,
    },
    /// A lead signs off a job's only stage, over what is open or not.
    Sign {
        who: usize,
        job: usize,
        over: bool,
    },
    /// A photograph, one of a few, is put beside a reading.
    Picture {
        who: usize,
        target: usize,
        which: u8,
    },
    /// Whoever has a return waiting is told of it.
    Tell,
    Close {
        job: usize,
    },
}

static PICTURES: LazyLock<Vec<Picture>> =
    LazyLock::new(|| (0..9).map(|tint| Picture::read(&pictures::png(8, 6, tint * 20)).unwrap()).collect());

const JOBS: usize = 3;
const VERDICTS: [Verdict; 4] = [Verdict::NoLimit, Verdict::Within, Verdict::Marginal, Verdict::Out];

fn people() -> [Actor; 4] {
    [apprentice(), tech(), lead(), actor("lead-2", Role::Lead)]
}

const FIRST_LEAD: usize = 2;

fn step() -> impl Strategy<Value = Step> {
    let place = (0..4_usize, 0..JOBS, 0..4_u8, 0..4_usize);
    prop_oneof![
        6 => place.clone().prop_map(|(who, job, position, verdict)| Step::Post { who, job, position, verdict }),
        4 => (place, 0..60_usize)
            .prop_map(|((who, _, position, verdict), target)| Step::Amend { who, target, position, verdict }),
        5 => (2..4_usize, prop::collection::vec(0..60_usize, 1..4), any::<[bool; 3]>())
            .prop_map(|(who, targets, [accept, own_allowed, anew])| {
                Step::Review { who, targets, accept, own_allowed, anew }
            }),
        2 => (2..4_usize, 0..JOBS, any::<bool>()).prop_map(|(who, job, over)| Step::Sign { who, job, over }),
        3 => (0..4_usize, 0..60_usize, 0..9_u8).prop_map(|(who, target, which)| Step::Picture { who, target, which }),
        1 => Just(Step::Tell),
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
    /// The last word, and which lead said it.
    decision: Option<(usize, Decision)>,
    told: bool,
    photos: Vec<u8>,
}

/// A sign-off as the model knows it.
#[derive(Debug, Clone, PartialEq)]
struct Signing {
    who: usize,
    readings: Vec<i64>,
    over: bool,
    /// A lead spoke anew of one of its readings since.
    shaken: bool,
}

impl Known {
    fn new(id: i64, who: usize, job: usize, position: u8, verdict: usize) -> Self {
        Self { id, who, job, position, verdict, superseded: false, decision: None, told: false, photos: Vec::new() }
    }
}

#[derive(Default)]
struct Model {
    readings: Vec<Known>,
    closed: [bool; JOBS],
    signed: [Option<Signing>; JOBS],
}

impl Model {
    /// Whether the amendment should be taken, by the rules of the shop.
    fn takes_amendment(&self, who: usize, target: usize) -> bool {
        let old = &self.readings[target];
        !self.closed[old.job] && !old.superseded && (who >= FIRST_LEAD || (who == 1 && old.who == 1))
    }

    /// Whether the photograph should be taken: one that is there already always is.
    fn takes_photo(&self, who: usize, target: usize, which: u8) -> bool {
        let reading = &self.readings[target];
        let may = who >= FIRST_LEAD || who == reading.who;
        reading.photos.contains(&which)
            || may && !self.closed[reading.job] && !reading.superseded && reading.photos.len() < MOST_A_READING
    }

    /// Whether the lead's word should be taken: the first lead's stands until another says that they decide anew.
    fn takes_review(&self, who: usize, targets: &[usize], accept: bool, own_allowed: bool, anew: bool) -> bool {
        targets.iter().map(|target| &self.readings[*target]).all(|reading| {
            let yields = match reading.decision {
                Some((by, decision)) if by != who => anew || (accept && decision == Decision::Accepted),
                _ => true,
            };
            let own = accept && !own_allowed && reading.who == who;
            !self.closed[reading.job] && !reading.superseded && !own && yields
        })
    }

    /// Gives the lead's word; said again it is no news.
    fn review(&mut self, who: usize, target: usize, decision: Decision) {
        let reading = &mut self.readings[target];
        let same = reading
            .decision
            .is_some_and(|(by, before)| before == decision && (by == who || decision == Decision::Accepted));
        if !same {
            reading.decision = Some((who, decision));
            reading.told = false;
            let (id, job) = (reading.id, reading.job);
            if let Some(signing) = self.signed[job].as_mut().filter(|signing| signing.readings.contains(&id)) {
                signing.shaken = true;
            }
        }
    }

    /// Whether that reading is the last that stands at its place.
    fn counts(&self, reading: &Known) -> bool {
        let same = |other: &&Known| (other.job, other.position) == (reading.job, reading.position);
        self.current().filter(same).last().is_some_and(|last| last.id == reading.id)
    }

    fn counting(&self, job: usize) -> Vec<&Known> {
        self.current().filter(|reading| reading.job == job && self.counts(reading)).collect()
    }

    /// A person's returns that were not told, oldest reading first.
    fn untold(&self, who: usize) -> Vec<i64> {
        let untold = |r: &&Known| r.decision.is_some_and(|(_, d)| d == Decision::Returned) && !r.told;
        self.current()
            .filter(|reading| reading.who == who && untold(reading) && !self.closed[reading.job])
            .map(|reading| reading.id)
            .collect()
    }

    fn current(&self) -> impl Iterator<Item = &Known> {
        self.readings.iter().filter(|reading| !reading.superseded)
    }

    fn queue(&self) -> Vec<i64> {
        let waits = |reading: &&Known| reading.decision.is_none() && !self.closed[reading.job] && self.counts(reading);
        let mut waiting: Vec<&Known> = self.current().filter(waits).collect();
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
                model.readings.push(Known::new(id, who, job, position, verdict));
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
                model.readings.push(Known::new(id, who, job, position, verdict));
            }
        }
        Step::Review { who, ref targets, accept, own_allowed, anew } if !model.readings.is_empty() => {
            let targets: Vec<usize> = targets.iter().map(|target| target % model.readings.len()).collect();
            let named: Vec<ReadingId> = targets.iter().map(|target| ReadingId(model.readings[*target].id)).collect();
            let decision = if accept { Decision::Accepted } else { Decision::Returned };
            let comment = (!accept).then_some("look again");
            let said = Said { decision, comment, own_allowed, anew };
            let reviewed = record.review_so(&people[who], &named, said, now);
            let taken = model.takes_review(who, &targets, accept, own_allowed, anew);
            assert_eq!(reviewed.is_ok(), taken, "{reviewed:?}");
            if reviewed.is_ok() {
                targets.iter().for_each(|target| model.review(who, *target, decision));
            }
        }
        Step::Sign { who, job, over } => {
            let covered = model.counting(job);
            let accepted = |known: &&Known| known.decision.is_some_and(|(_, d)| d == Decision::Accepted);
            let taken = !model.closed[job] && (over || covered.iter().all(accepted));
            let readings: Vec<i64> = covered.iter().map(|known| known.id).collect();
            let signed = || sign_off(job, &readings, over);
            let given = record.sign_stage(&people[who], Some(&key), signed(), now);
            assert_eq!(given.is_ok(), taken, "{given:?}");
            if twice {
                let head = record.head().unwrap();
                assert_eq!(record.sign_stage(&people[who], Some(&key), signed(), now), given);
                assert_eq!(record.head().unwrap(), head);
            }
            let said_again = |known: &&mut Signing| known.readings == readings && known.over == over && !known.shaken;
            if taken && model.signed[job].as_mut().filter(said_again).is_none() {
                model.signed[job] = Some(Signing { who, readings, over, shaken: false });
            }
        }
        Step::Picture { who, target, which } if !model.readings.is_empty() => {
            let target = target % model.readings.len();
            let id = ReadingId(model.readings[target].id);
            let put = || record.add_photos(&people[who], id, &PICTURES[usize::from(which)..][..1], now);
            let added = put();
            assert_eq!(added.is_ok(), model.takes_photo(who, target, which), "{added:?}");
            if twice {
                let head = record.head().unwrap();
                assert_eq!(put(), added);
                assert_eq!(record.head().unwrap(), head);
            }
            let photos = &mut model.readings[target].photos;
            if added.is_ok() && !photos.contains(&which) {
                photos.push(which);
            }
        }
        Step::Tell => {
            for entry in people.iter().flat_map(|one| record.untold(&one.person, &one.front, &one.channel).unwrap()) {
                let review = entry.review.unwrap().number;
                assert!(record.tell(review).unwrap());
                assert!(!record.tell(review).unwrap(), "told once");
            }
            model.readings.iter_mut().filter(|r| !model.closed[r.job]).for_each(|reading| reading.told = true);
        }
        Step::Close { job } => {
            let closed = record.close_job(&people[2], JobId(job as i64 + 1), None, now);
            assert_eq!(closed.is_ok(), !model.closed[job]);
            model.closed[job] = true;
        }
        Step::Amend { .. } | Step::Review { .. } | Step::Picture { .. } => {}
    }
}

/// A stage of one hold point, gone over or not.
fn sign_off(job: usize, readings: &[i64], over: bool) -> StageSigned {
    let hold = OpenHold { check: "main-journal".into(), missing: vec!["9".into()], waiting: Vec::new() };
    StageSigned {
        job: JobId(job as i64 + 1),
        stage: "measure-crank".into(),
        readings: readings.iter().copied().map(ReadingId).collect(),
        open: if over { vec![hold] } else { Vec::new() },
        reason: over.then(|| "agreed with the owner".into()),
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
            .map(|r| {
                let decision = r.decision.map(|(_, decision)| decision);
                (r.id, people[r.who].person.clone(), r.position.to_string(), VERDICTS[r.verdict], decision)
            })
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
        let stands: Vec<_> = record
            .stands(id)
            .unwrap()
            .into_iter()
            .map(|s| (s.reading.0, s.person, s.position, s.verdict, s.decision))
            .collect();
        assert_eq!(stands, expected);
        let signed = record.sign_offs(id).unwrap();
        let given = signed.iter().map(|s| (s.by.person.clone(), s.signed.clone()));
        let known =
            model.signed[job].iter().map(|s| (people[s.who].person.clone(), sign_off(job, &s.readings, s.over)));
        assert_eq!(given.collect::<Vec<_>>(), known.collect::<Vec<_>>());
    }
    for reading in &model.readings {
        let id = ReadingId(reading.id);
        let own = record.photos(id).unwrap().into_iter().filter(|photo| photo.what.of == id);
        let known = reading.photos.iter().map(|which| PICTURES[usize::from(*which)].hash().to_hex().to_string());
        assert_eq!(own.map(|photo| photo.what.hash).collect::<Vec<_>>(), known.collect::<Vec<_>>());
    }
    assert_eq!(ids(&record.queue(1000).unwrap()), model.queue());
    assert_eq!(record.waiting().unwrap() as usize, model.queue().len());
    for (who, person) in people.iter().enumerate() {
        let back: Vec<i64> = model
            .current()
            .filter(|r| {
                r.who == who && r.decision.is_some_and(|(_, d)| d == Decision::Returned) && !model.closed[r.job]
            })
            .map(|reading| reading.id)
            .collect();
        assert_eq!(ids(&record.returned_to(&person.person).unwrap()), back);
        let untold = record.untold(&person.person, &person.front, &person.channel).unwrap();
        assert_eq!(ids(&untold), model.untold(who));
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
