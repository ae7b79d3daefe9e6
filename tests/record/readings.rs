//! Readings: posting, retrying, amending, looking back.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    quantity::Dimension,
    record::{Happening, JobId, Measured, ReadingId, Record, RecordError},
};
use proptest::prelude::*;

use super::{actor, apprentice, at, ids, journal, lead, open_job, post, tech};

#[test]
fn a_reading_comes_back_as_it_was_posted() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let measured = Measured {
        note: Some("scored, see photo — “left” side".into()),
        photo: Some("photos/7-main-3.jpg".into()),
        ..journal(job, "3", Verdict::Marginal)
    };
    let posted = record.post(&apprentice(), "k-1", measured.clone(), at(1)).unwrap();
    assert!(!posted.was_retry);
    assert_eq!((&posted.reading.measured, &posted.reading.by, posted.reading.when), (&measured, &apprentice(), at(1)));
    let entry = record.reading(posted.reading.id).unwrap();
    assert_eq!(entry.reading, posted.reading);
    assert_eq!((entry.review, entry.superseded_by), (None, None));
    assert_eq!(record.readings(job).unwrap().len(), 1);
    assert!(matches!(&record.events(job).unwrap()[1].what, Happening::Reading(kept) if kept.measured == measured));
}

#[test]
fn every_dimension_and_verdict_keeps_its_word() {
    use Dimension::{Angle, Force, Length, Mass, Number, Pressure, Share, Temperature, Torque, Turning, Volume};
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let dimensions = [Angle, Force, Length, Mass, Number, Pressure, Share, Temperature, Torque, Turning, Volume];
    let verdicts = [Verdict::Within, Verdict::Marginal, Verdict::Out, Verdict::NoLimit];
    for (n, (dimension, verdict)) in dimensions.into_iter().zip(verdicts.into_iter().cycle()).enumerate() {
        let measured = Measured { dimension, ..journal(job, &n.to_string(), verdict) };
        let id = post(&record, &tech(), &n.to_string(), measured.clone());
        assert_eq!(record.reading(id).unwrap().reading.measured, measured);
    }
    // The words on disk are the record's promise to its older files.
    let kept = serde_json::to_value(journal(job, "1", Verdict::NoLimit)).unwrap();
    assert_eq!((&kept["verdict"], &kept["dimension"]), (&"no limit".into(), &"length".into()));
    assert_eq!(kept["temperature"], "293.15");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Numbers come back bit for bit, however long their decimals.
    #[test]
    fn numbers_come_back_exactly(raw in prop::collection::vec(prop::num::f64::NORMAL | prop::num::f64::ZERO, 1..7)) {
        let record = Record::in_memory().unwrap();
        let job = open_job(&record).id;
        let mut measured = journal(job, "1", Verdict::Within);
        measured.measures[0].value = raw[0];
        measured.measures[0].max = Some(raw[raw.len() - 1]);
        measured.raw = raw;
        let bits = |m: &Measured| {
            m.raw.iter().chain([&m.measures[0].value]).chain(&m.measures[0].max).map(|v| v.to_bits()).collect::<Vec<_>>()
        };
        let id = post(&record, &tech(), "k", measured.clone());
        prop_assert_eq!(bits(&record.reading(id).unwrap().reading.measured), bits(&measured));
    }
}

#[test]
fn a_retry_returns_the_first_reading_and_adds_nothing() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let first = record.post(&tech(), "k-1", journal(job, "1", Verdict::Within), at(1)).unwrap();
    let head = record.head().unwrap();
    let again = record.post(&tech(), "k-1", journal(job, "1", Verdict::Within), at(5)).unwrap();
    assert!(again.was_retry);
    assert_eq!(again.reading, first.reading, "with its first time, not the retry's");

    // The page was edited between the try and the retry: it is still the same reading.
    let mut judged_anew = journal(job, "1", Verdict::Out);
    judged_anew.page_revision = "2026-11-09".into();
    let again = record.post(&tech(), "k-1", judged_anew, at(6)).unwrap();
    assert_eq!((again.was_retry, again.reading.measured.verdict), (true, Verdict::Within));
    assert_eq!(record.head().unwrap(), head);
}

#[test]
fn a_key_used_for_something_else_is_refused() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let other_job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let same = || journal(job, "1", Verdict::Within);
    let others = [
        Measured { position: "2".into(), ..same() },
        Measured { check: "rod-journal".into(), ..same() },
        Measured { raw: vec![2.4495 * 0.0254], ..same() },
        Measured { typed: "2.4495 2.4494".into(), ..same() },
        Measured { temperature: None, ..same() },
        Measured { instrument: None, ..same() },
        Measured { note: Some("again".into()), ..same() },
        Measured { job: other_job, ..same() },
    ];
    let head = record.head().unwrap();
    let conflict = RecordError::Conflict { key: "k-1".into(), first: id.0 };
    for other in others {
        assert_eq!(record.post(&tech(), "k-1", other, at(2)), Err(conflict.clone()));
    }
    assert_eq!(record.amend(&tech(), "k-1", id, "misread", same(), at(2)), Err(conflict.clone()));
    assert_eq!(record.open_job(&tech(), Some("k-1"), "skerry-v8", "x", None, at(2)), Err(conflict));
    assert_eq!(record.head().unwrap(), head);
    // Another person's key is their own.
    assert!(!record.post(&lead(), "k-1", same(), at(3)).unwrap().was_retry);
}

#[test]
fn readings_posted_as_one_act_are_all_taken_or_none() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let rows = |places: &[&str]| -> Vec<Measured> {
        places.iter().map(|place| journal(job, place, Verdict::Within)).collect()
    };
    let all = record.post_all(&apprentice(), "sheet", rows(&["1", "2", "3"]), at(1)).unwrap();
    assert_eq!(all.iter().map(|one| one.reading.id.0).collect::<Vec<_>>(), [2, 3, 4]);
    assert!(all.iter().all(|one| !one.was_retry));
    let keys: Vec<_> = all.iter().map(|one| one.reading.key.as_deref().unwrap()).collect();
    assert_eq!(keys, ["sheet-1", "sheet-2", "sheet-3"], "the key with the number of the row");
    let head = record.head().unwrap();

    // Sent again it is the same act, though the page was edited meanwhile.
    let again = record.post_all(&apprentice(), "sheet", rows(&["1", "2", "3"]), at(5)).unwrap();
    assert!(again.iter().zip(&all).all(|(again, first)| again.was_retry && again.reading == first.reading));

    // Under the same key nothing else is taken: another value, fewer rows, more rows.
    for other in [&["1", "2", "4"][..], &["1", "2"], &["1", "2", "3", "4"]] {
        let refused = record.post_all(&apprentice(), "sheet", rows(other), at(6));
        assert!(matches!(refused, Err(RecordError::Conflict { .. })), "{other:?}: {refused:?}");
    }

    // A fault in any row takes none, wherever it stands and whenever it shows.
    for faulty in 0..3 {
        let mut unfit = rows(&["1", "2", "3"]);
        unfit[faulty].raw = vec![f64::NAN];
        assert!(matches!(record.post_all(&tech(), "b", unfit, at(7)), Err(RecordError::Unfit { .. })));
        let mut nowhere = rows(&["1", "2", "3"]);
        nowhere[faulty].job = JobId(9);
        let missing = RecordError::NotFound { what: "job", id: 9 };
        assert_eq!(record.post_all(&tech(), "b", nowhere, at(7)), Err(missing));
    }
    let used = record.post(&tech(), "c-3", journal(job, "5", Verdict::Within), at(8)).unwrap().reading.id;
    let conflict = RecordError::Conflict { key: "c-3".into(), first: used.0 };
    assert_eq!(record.post_all(&tech(), "c", rows(&["1", "2", "3"]), at(9)), Err(conflict));
    assert_eq!(record.head().unwrap().0, head.0 + 1);
    assert_eq!(record.verify().unwrap().fault, None);
    assert_eq!(
        record.post_all(&tech(), " ", rows(&["1"]), at(9)),
        Err(RecordError::Unfit { field: "key", rule: "is missing" })
    );
    record.close_job(&lead(), job, None, at(10)).unwrap();
    assert_eq!(record.post_all(&tech(), "d", rows(&["1"]), at(11)), Err(RecordError::JobClosed(job)));
}

#[test]
fn an_amendment_takes_the_place_of_the_reading_and_both_stay() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    let fixed = journal(job, "1", Verdict::Within);
    let amended = record.amend(&tech(), "k-2", first, "read the wrong line", fixed.clone(), at(2)).unwrap();
    let second = amended.reading.id;
    assert_eq!(
        amended.reading.amends.as_ref().map(|a| (a.reading, a.reason.as_str())),
        Some((first, "read the wrong line"))
    );

    assert_eq!(ids(&record.readings(job).unwrap()), [second.0]);
    assert_eq!(record.latest(job, "main-journal", "1").unwrap().unwrap().reading.id, second);
    let history = record.history(job, "main-journal", "1").unwrap();
    assert_eq!(ids(&history), [first.0, second.0]);
    assert_eq!(history[0].superseded_by, Some(second));
    assert_eq!(history[0].reading.measured.verdict, Verdict::Out, "the first stays as it was");

    // Once only; the way on is through the one that stands.
    let again = record.amend(&tech(), "k-3", first, "and again", fixed.clone(), at(3));
    assert_eq!(again, Err(RecordError::AlreadyAmended { reading: first, latest: second }));
    let third =
        record.amend(&lead(), "k-4", second, "measured with the lead", fixed.clone(), at(4)).unwrap().reading.id;
    let again = record.amend(&tech(), "k-5", first, "and again", fixed.clone(), at(5));
    assert_eq!(again, Err(RecordError::AlreadyAmended { reading: first, latest: third }));

    // A retried amendment is answered with itself, though another has followed it.
    let retried = record.amend(&tech(), "k-2", first, "read the wrong line", fixed, at(6)).unwrap();
    assert_eq!((retried.was_retry, retried.reading.id), (true, second));
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn an_amendment_may_move_a_reading_to_its_right_place() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let moved =
        record.amend(&tech(), "k-2", first, "it was main 2", journal(job, "2", Verdict::Within), at(2)).unwrap();
    assert_eq!(record.latest(job, "main-journal", "1"), Ok(None));
    assert_eq!(record.latest(job, "main-journal", "2").unwrap().unwrap().reading, moved.reading);
    assert_eq!(record.history(job, "main-journal", "1").unwrap()[0].superseded_by, Some(moved.reading.id));

    let other = open_job(&record).id;
    let away = record.amend(&tech(), "k-3", moved.reading.id, "x", journal(other, "2", Verdict::Within), at(3));
    assert!(matches!(away, Err(RecordError::Unfit { field: "job", .. })));
}

#[test]
fn the_last_of_several_readings_at_a_place_is_the_latest() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let second =
        post(&record, &actor("tech-2", gudgeon::record::Role::Tech), "k-1", journal(job, "1", Verdict::Within));
    assert_eq!(ids(&record.readings(job).unwrap()), [first.0, second.0], "repeat readings both stand");
    assert_eq!(record.latest(job, "main-journal", "1").unwrap().unwrap().reading.id, second);
    assert_eq!(record.latest(job, "rod-journal", "1"), Ok(None));
    assert!(record.history(JobId(7), "main-journal", "1").unwrap().is_empty());
}

#[test]
fn a_reading_that_could_not_be_read_back_is_refused() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let same = || journal(job, "1", Verdict::Within);
    let mut infinite_limit = same();
    infinite_limit.measures[0].max = Some(f64::INFINITY);
    let cases = [
        ("check", Measured { check: String::new(), ..same() }),
        ("position", Measured { position: " ".into(), ..same() }),
        ("reading", Measured { raw: vec![], ..same() }),
        ("reading", Measured { raw: vec![0.06, f64::NAN], ..same() }),
        ("temperature", Measured { temperature: Some(f64::INFINITY), ..same() }),
        ("measure", infinite_limit),
        ("entry", Measured { note: Some("long ".repeat(20_000)), ..same() }),
    ];
    let head = record.head().unwrap();
    for (named, measured) in cases {
        let refused = record.post(&tech(), "k-1", measured, at(1)).unwrap_err();
        assert!(matches!(refused, RecordError::Unfit { field, .. } if field == named), "{named}: {refused}");
    }
    let unfit = |field| Err(RecordError::Unfit { field, rule: "is missing" });
    assert_eq!(record.post(&tech(), "", same(), at(1)), unfit("key"));
    assert_eq!(record.amend(&tech(), "k", ReadingId(1), " ", same(), at(1)), unfit("reason"));
    let nowhere = record.post(&tech(), "k", journal(JobId(4), "1", Verdict::Within), at(1));
    assert_eq!(nowhere, Err(RecordError::NotFound { what: "job", id: 4 }));
    // Event 1 is there, but it opened the job: it is no reading.
    for id in [1, 99, -1] {
        let missing = RecordError::NotFound { what: "reading", id };
        assert_eq!(record.amend(&tech(), "k", ReadingId(id), "slip", same(), at(1)), Err(missing.clone()));
        assert_eq!(record.reading(ReadingId(id)), Err(missing));
    }
    assert_eq!(record.head().unwrap(), head);
}
