//! Stages signed off: over what, by whom, once; and what a sign-off cannot cover.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    record::{
        Act, Decision, Fault, Happening, JobId, OpenHold, ReadingId, Record, RecordError, Role, SignOff, StageSigned,
        import, quietly,
    },
};
use rusqlite::Connection;
use tempfile::TempDir;

use super::{actor, at, journal, lead, open_job, post, tech};

fn stage(job: JobId, readings: &[ReadingId]) -> StageSigned {
    let stage = "measure-crank".into();
    StageSigned { job, stage, readings: readings.to_vec(), open: Vec::new(), reason: None }
}

fn over(job: JobId, readings: &[ReadingId], reason: &str) -> StageSigned {
    let open = vec![OpenHold { check: "main-journal".into(), missing: vec!["2".into()], waiting: vec!["1".into()] }];
    StageSigned { open, reason: Some(reason.into()), ..stage(job, readings) }
}

fn accept(record: &Record, id: ReadingId) {
    record.review(&lead(), &[id], Decision::Accepted, None, false, at(2)).unwrap();
}

#[test]
fn a_stage_is_signed_off_when_all_it_covers_is_accepted() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let early = record.sign_stage(&lead(), None, stage(job, &[id]), at(2));
    let rule = "covers a reading that no lead has accepted";
    assert_eq!(early, Err(RecordError::Unfit { field: "stage", rule }));
    accept(&record, id);
    let given = record.sign_stage(&lead(), Some("s-1"), stage(job, &[id]), at(3)).unwrap();
    assert_eq!((given.number, &given.by, given.when), (4, &lead(), at(3)));
    assert_eq!(record.sign_offs(job).unwrap(), std::slice::from_ref(&given));
    assert!(matches!(&record.events(job).unwrap()[3].what, Happening::StageSigned(s) if *s == stage(job, &[id])));

    let head = record.head().unwrap();
    let retried = record.sign_stage(&lead(), Some("s-1"), stage(job, &[id]), at(4)).unwrap();
    let again = record.sign_stage(&actor("lead-2", Role::Lead), Some("s-1"), stage(job, &[id]), at(4)).unwrap();
    assert_eq!((&retried, &again), (&given, &given), "a retry, and what another lead says again, add nothing");
    assert_eq!(record.head().unwrap(), head);
    let other = record.sign_stage(&lead(), Some("s-1"), over(job, &[id], "because"), at(4));
    assert_eq!(other, Err(RecordError::Conflict { key: "s-1".into(), first: 4 }));
}

#[test]
fn over_open_holds_it_takes_a_reason_and_all_of_it_stays() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    for reason in ["", "  "] {
        let refused = record.sign_stage(&lead(), None, over(job, &[id], reason), at(2));
        assert_eq!(refused, Err(RecordError::Unfit { field: "reason", rule: "is missing" }));
    }
    record.sign_stage(&lead(), None, over(job, &[id], "the crank goes to the grinder"), at(3)).unwrap();
    accept(&record, id);
    record.sign_stage(&lead(), None, stage(job, &[id]), at(4)).unwrap();
    let in_force = record.sign_offs(job).unwrap();
    assert_eq!(in_force.iter().map(|one| one.signed.open.len()).collect::<Vec<_>>(), [0], "the last one is in force");
    let kept = record.events(job).unwrap();
    let signed: Vec<_> = kept.iter().filter(|event| matches!(event.what, Happening::StageSigned(_))).collect();
    assert_eq!(signed.len(), 2, "the earlier one stays on the record");
    // Said again after a lead spoke anew of what it covers, it is news.
    record.review(&lead(), &[id], Decision::Returned, Some("once more"), false, at(5)).unwrap();
    record.review(&lead(), &[id], Decision::Accepted, None, false, at(6)).unwrap();
    let anew = record.sign_stage(&lead(), None, stage(job, &[id]), at(7)).unwrap();
    assert_eq!(anew.when, at(7));
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn a_sign_off_covers_only_what_stands_on_its_own_open_job() {
    let record = Record::in_memory().unwrap();
    let (job, elsewhere) = (open_job(&record).id, open_job(&record).id);
    let old = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let foreign = post(&record, &tech(), "k-2", journal(elsewhere, "1", Verdict::Within));
    let new = record.amend(&tech(), "k-3", old, "misread", journal(job, "1", Verdict::Within), at(2)).unwrap();
    let sign = |signed| record.sign_stage(&lead(), None, signed, at(3));
    let head = record.head().unwrap();
    assert_eq!(
        sign(over(job, &[old], "late")),
        Err(RecordError::AlreadyAmended { reading: old, latest: new.reading.id })
    );
    let rule = "covers a reading of another job";
    assert_eq!(sign(over(job, &[foreign], "late")), Err(RecordError::Unfit { field: "stage", rule }));
    assert_eq!(sign(over(job, &[ReadingId(40)], "late")), Err(RecordError::NotFound { what: "reading", id: 40 }));
    assert_eq!(sign(stage(JobId(9), &[])), Err(RecordError::NotFound { what: "job", id: 9 }));
    let nameless = StageSigned { stage: " ".into(), ..stage(job, &[]) };
    assert_eq!(sign(nameless), Err(RecordError::Unfit { field: "stage", rule: "is missing" }));
    let not_allowed = record.sign_stage(&tech(), None, stage(job, &[]), at(3));
    assert_eq!(not_allowed, Err(RecordError::NotAllowed { act: Act::SignStage, role: Role::Tech }));
    assert_eq!(record.head().unwrap(), head, "a refused sign-off leaves nothing");

    sign(stage(job, &[])).expect("a stage without readings is the lead's word alone");
    record.close_job(&lead(), job, None, at(4)).unwrap();
    assert_eq!(sign(stage(job, &[])), Err(RecordError::JobClosed(job)));
}

#[test]
fn a_job_closed_over_open_holds_says_why_and_over_what() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let open = || over(job, &[], "").open;
    let refused = record.close_job_over(&lead(), job, open(), Some(" "), at(1));
    assert_eq!(refused, Err(RecordError::Unfit { field: "reason", rule: "is missing" }));
    record.close_job_over(&lead(), job, open(), Some("sold as it stands"), at(2)).unwrap();
    let kept = record.events(job).unwrap().pop().unwrap().what;
    assert!(matches!(kept, Happening::JobClosed(closed) if closed.open == open()));
}

/// Many leads sign the same stage at once: it is signed once, and each is shown the same.
#[test]
fn many_leads_at_once_sign_once() {
    let folder = TempDir::new().unwrap();
    let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    accept(&record, id);
    let given: Vec<SignOff> = std::thread::scope(|threads| {
        let lead_of = |n: usize| actor(&format!("lead-{n}"), Role::Lead);
        let record = &record;
        let signing: Vec<_> = (0..8)
            .map(|n| {
                threads.spawn(move || record.sign_stage(&lead_of(n), Some("k"), stage(job, &[id]), at(3)).unwrap())
            })
            .collect();
        signing.into_iter().map(|one| one.join().unwrap()).collect()
    });
    assert!(given.iter().all(|one| *one == given[0]));
    assert_eq!(record.head().unwrap().0, 4);
}

#[test]
fn an_altered_sign_off_shows_and_a_whole_one_goes_out_and_comes_back() {
    let folder = TempDir::new().unwrap();
    let place = |name: &str| folder.path().join(name);
    let record = Record::open(&place("record.sqlite")).unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    record.sign_stage(&lead(), None, over(job, &[id], "the crank goes to the grinder"), at(3)).unwrap();
    record.export(&place("record.jsonl"), &quietly).unwrap();
    import(&place("record.jsonl"), &place("again.sqlite"), &quietly).unwrap();
    let again = Record::open(&place("again.sqlite")).unwrap();
    assert_eq!(again.sign_offs(job).unwrap(), record.sign_offs(job).unwrap());
    drop(record);

    let sql = "DROP TRIGGER event_is_never_changed;
               UPDATE event SET payload = replace(payload, 'grinder', 'painter') WHERE kind = 'stage-signed'";
    Connection::open(place("record.sqlite")).unwrap().execute_batch(sql).unwrap();
    let fault = Record::open(&place("record.sqlite")).unwrap().verify().unwrap().fault;
    assert!(matches!(fault, Some(Fault::Altered { seq: 3, .. })), "{fault:?}");
}
