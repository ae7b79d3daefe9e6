//! Jobs, the current job, roles, and limits set for one job.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    record::{Act, Happening, JobFilter, JobId, LimitOverride, Record, RecordError, Role},
};

use super::{actor, apprentice, at, journal, lead, open_job, post, tech};

#[test]
fn a_job_is_opened_worked_on_and_closed() {
    let record = Record::in_memory().unwrap();
    let first = open_job(&record);
    let second = record.open_job(&lead(), None, "dunlin-six", "Dunlin six", None, at(1)).unwrap();
    assert_eq!((first.id, second.id), (JobId(1), JobId(2)));
    assert_eq!(first.id.to_string(), "#1");
    assert_eq!(first.opened.by, tech());
    assert_eq!(first.opened.when, at(0));

    let closed = record.close_job(&lead(), first.id, Some("delivered"), at(9)).unwrap();
    assert!(!closed.is_open());
    assert_eq!(closed.closing_reason.as_deref(), Some("delivered"));
    assert_eq!(closed.closed.as_ref().map(|mark| mark.when), Some(at(9)));
    assert_eq!(record.job(first.id).unwrap(), closed);

    let listed = |filter| record.jobs(filter).unwrap().iter().map(|job| job.id.0).collect::<Vec<_>>();
    assert_eq!(listed(JobFilter::Open), [2]);
    assert_eq!(listed(JobFilter::Closed), [1]);
    assert_eq!(listed(JobFilter::All), [2, 1]);

    assert_eq!(record.close_job(&lead(), first.id, None, at(10)), Err(RecordError::JobClosed(first.id)));
    assert_eq!(record.job(JobId(9)), Err(RecordError::NotFound { what: "job", id: 9 }));
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn a_job_number_reads_with_or_without_its_mark() {
    assert_eq!("7".parse(), Ok(JobId(7)));
    assert_eq!("#7".parse(), Ok(JobId(7)));
    assert!("##7".parse::<JobId>().is_err());
    assert!("seven".parse::<JobId>().is_err());
}

#[test]
fn a_retried_opening_opens_one_job() {
    let record = Record::in_memory().unwrap();
    let open = |title| record.open_job(&tech(), Some("k-1"), "fulmar-four", title, None, at(0));
    let first = open("Fulmar four").unwrap();
    assert_eq!(open("Fulmar four").unwrap(), first);
    assert_eq!(open("Another"), Err(RecordError::Conflict { key: "k-1".into(), first: 1 }));
    assert_eq!(record.jobs(JobFilter::All).unwrap().len(), 1);
}

#[test]
fn nothing_is_added_to_a_closed_job() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let reading = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    record.close_job(&lead(), job, None, at(2)).unwrap();
    let closed = RecordError::JobClosed(job);
    let before = record.head().unwrap();

    assert_eq!(record.post(&tech(), "k-2", journal(job, "2", Verdict::Out), at(3)), Err(closed.clone()));
    let again = journal(job, "1", Verdict::Within);
    assert_eq!(record.amend(&tech(), "k-3", reading, "misread", again, at(3)), Err(closed.clone()));
    let decision = gudgeon::record::Decision::Accepted;
    assert_eq!(record.review(&lead(), &[reading], decision, None, false, at(3)), Err(closed.clone()));
    assert_eq!(record.set_current(&tech(), job), Err(closed.clone()));
    assert_eq!(record.override_limit(&lead(), tighter(job), at(3)), Err(closed));

    assert!(record.queue(10).unwrap().is_empty(), "what waits on a closed job leaves the queue");
    assert_eq!(record.head().unwrap(), before);
    // A retry of what was posted while the job was open is still answered.
    assert!(record.post(&tech(), "k-1", journal(job, "1", Verdict::Out), at(4)).unwrap().was_retry);
}

#[test]
fn the_current_job_is_each_persons_own_in_each_channel() {
    let record = Record::in_memory().unwrap();
    let (first, second) = (open_job(&record).id, open_job(&record).id);
    assert_eq!(record.current("tech-1", "bench"), Ok(None));
    record.set_current(&tech(), first).unwrap();
    record.set_current(&apprentice(), second).unwrap();
    let current = |person: &str, channel: &str| record.current(person, channel).unwrap().map(|job| job.id);
    assert_eq!(current("tech-1", "bench"), Some(first));
    assert_eq!(current("apprentice-1", "bench"), Some(second));
    assert_eq!(current("tech-1", "yard"), None);
    record.set_current(&tech(), second).unwrap();
    assert_eq!(current("tech-1", "bench"), Some(second));
    assert_eq!(record.set_current(&tech(), JobId(5)), Err(RecordError::NotFound { what: "job", id: 5 }));

    record.close_job(&lead(), second, None, at(1)).unwrap();
    assert!(record.current("tech-1", "bench").unwrap().is_some_and(|job| !job.is_open()));
}

/// The table of DESIGN: an apprentice asks and logs, a tech also amends their own and opens jobs, a lead does the rest.
#[test]
fn a_role_may_do_what_the_table_says() {
    use Act::{AmendAny, AmendOwn, Ask, CloseJob, Log, Members, OpenJob, OverrideLimits, Review, SignStage};
    let all = [Ask, Log, AmendOwn, AmendAny, OpenJob, CloseJob, SignStage, Review, OverrideLimits, Members];
    let may = |role: Role| all.into_iter().filter(|act| role.may(*act)).collect::<Vec<_>>();
    assert_eq!(may(Role::Apprentice), [Ask, Log]);
    assert_eq!(may(Role::Tech), [Ask, Log, AmendOwn, OpenJob]);
    assert_eq!(may(Role::Lead), all);
    assert!(Role::Apprentice < Role::Tech && Role::Tech < Role::Lead);
    for role in Role::ALL {
        assert_eq!(role.to_string().parse(), Ok(role));
    }
    assert!("foreman".parse::<Role>().unwrap_err().contains("apprentice, tech or lead"));
}

#[test]
fn the_record_itself_refuses_what_a_role_may_not_do() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let own = post(&record, &apprentice(), "k-1", journal(job, "1", Verdict::Within));
    let other = post(&record, &lead(), "k-2", journal(job, "2", Verdict::Within));
    let before = record.head().unwrap();
    let no = |act, role| RecordError::NotAllowed { act, role };
    let (low, mid) = (Role::Apprentice, Role::Tech);

    let opened = record.open_job(&apprentice(), None, "skerry-v8", "mine", None, at(2));
    assert_eq!(opened, Err(no(Act::OpenJob, low)));
    let again = || journal(job, "1", Verdict::Out);
    assert_eq!(record.amend(&apprentice(), "k", own, "slip", again(), at(2)), Err(no(Act::AmendOwn, low)));
    assert_eq!(record.amend(&tech(), "k", other, "slip", again(), at(2)), Err(no(Act::AmendAny, mid)));
    assert_eq!(record.close_job(&tech(), job, None, at(2)), Err(no(Act::CloseJob, mid)));
    let accepted = gudgeon::record::Decision::Accepted;
    assert_eq!(record.review(&tech(), &[other], accepted, None, true, at(2)), Err(no(Act::Review, mid)));
    assert_eq!(record.override_limit(&tech(), tighter(job), at(2)), Err(no(Act::OverrideLimits, mid)));
    let nobody = record.post(&actor(" ", Role::Lead), "k", again(), at(2));
    assert_eq!(nobody, Err(RecordError::Unfit { field: "person", rule: "is missing" }));

    assert_eq!(record.head().unwrap(), before, "a refused act leaves nothing");
    assert_eq!(
        no(Act::CloseJob, mid).to_string(),
        "the role tech may not close a job: that takes the role lead",
        "the message says what would be enough"
    );
}

fn tighter(job: JobId) -> LimitOverride {
    LimitOverride {
        job,
        measure: "ring gap".into(),
        at: "top".into(),
        min: Some(0.020 * 0.0254),
        max: None,
        unit: "in".into(),
        reason: "new rings, maker's sheet in the job folder".into(),
    }
}

#[test]
fn the_last_override_of_a_measure_is_in_force_and_the_others_stay_on_the_record() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let elsewhere = open_job(&record).id;
    let looser = LimitOverride { min: Some(0.018 * 0.0254), ..tighter(job) };
    let second = LimitOverride { at: "second".into(), ..tighter(job) };
    record.override_limit(&lead(), tighter(job), at(1)).unwrap();
    record.override_limit(&lead(), second.clone(), at(2)).unwrap();
    record.override_limit(&lead(), looser.clone(), at(3)).unwrap();
    let (head, _) = record.head().unwrap();
    let same = record.override_limit(&lead(), looser.clone(), at(4)).unwrap();
    assert_eq!(same.when, at(3), "said again, it is the one already in force");
    assert_eq!(record.head().unwrap().0, head);

    let in_force = record.overrides(job).unwrap();
    assert_eq!(in_force.iter().map(|o| o.limit.clone()).collect::<Vec<_>>(), [second, looser]);
    assert!(in_force.iter().all(|o| o.by == lead()));
    assert!(record.overrides(elsewhere).unwrap().is_empty());
    let kept = record.events(job).unwrap();
    assert_eq!(kept.iter().filter(|event| matches!(event.what, Happening::LimitOverridden(_))).count(), 3);
}

#[test]
fn an_override_that_makes_no_sense_is_refused() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let cases = [
        ("limit", LimitOverride { min: None, ..tighter(job) }),
        ("limit", LimitOverride { max: Some(0.010 * 0.0254), ..tighter(job) }),
        ("limit", LimitOverride { max: Some(f64::NAN), ..tighter(job) }),
        ("reason", LimitOverride { reason: "  ".into(), ..tighter(job) }),
        ("measure", LimitOverride { measure: String::new(), ..tighter(job) }),
        ("part", LimitOverride { at: String::new(), ..tighter(job) }),
    ];
    for (named, limit) in cases {
        let refused = record.override_limit(&lead(), limit.clone(), at(1)).unwrap_err();
        assert!(matches!(refused, RecordError::Unfit { field, .. } if field == named), "{limit:?}: {refused}");
    }
    assert!(record.overrides(job).unwrap().is_empty());
}
