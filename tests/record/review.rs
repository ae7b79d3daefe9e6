//! Review: the queue, accepting, returning, and what an amendment does to either.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    record::{Decision, ReadingId, Record, RecordError, Role, Said},
};

use super::{actor, apprentice, at, ids, journal, lead, open_job, post, tech};

use Decision::{Accepted, Returned};

#[test]
fn the_queue_shows_the_worst_first_and_of_those_the_oldest() {
    let record = Record::in_memory().unwrap();
    let (job, other) = (open_job(&record).id, open_job(&record).id);
    let verdicts = [Verdict::Within, Verdict::Out, Verdict::NoLimit, Verdict::Marginal, Verdict::Out];
    let posted: Vec<i64> = verdicts
        .into_iter()
        .enumerate()
        .map(|(n, verdict)| {
            let on = if n % 2 == 0 { job } else { other };
            post(&record, &tech(), &format!("k-{n}"), journal(on, &n.to_string(), verdict)).0
        })
        .collect();
    let order = [posted[1], posted[4], posted[3], posted[0], posted[2]];
    assert_eq!(ids(&record.queue(10).unwrap()), order);
    assert_eq!(ids(&record.queue(2).unwrap()), order[..2]);
    assert_eq!(record.waiting(), Ok(5));
    record.close_job(&lead(), other, None, at(3)).unwrap();
    assert_eq!(ids(&record.queue(10).unwrap()), [posted[4], posted[0], posted[2]]);
}

#[test]
fn a_reading_is_returned_amended_and_accepted() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));

    record.review(&lead(), &[first], Returned, Some("measure it cold"), false, at(2)).unwrap();
    assert!(record.queue(10).unwrap().is_empty());
    let back = record.returned_to("tech-1").unwrap();
    assert_eq!(ids(&back), [first.0]);
    let review = back[0].review.as_ref().unwrap();
    assert_eq!((review.decision, review.comment.as_deref()), (Returned, Some("measure it cold")));
    assert_eq!((&review.by, review.when), (&lead(), at(2)));
    assert!(record.returned_to("apprentice-1").unwrap().is_empty());

    let fixed = journal(job, "1", Verdict::Within);
    let second = record.amend(&tech(), "k-2", first, "measured cold", fixed, at(3)).unwrap().reading.id;
    assert!(record.returned_to("tech-1").unwrap().is_empty());
    assert_eq!(ids(&record.queue(10).unwrap()), [second.0], "an amendment starts unreviewed");
    let old = record.review(&lead(), &[first], Accepted, None, false, at(4));
    assert_eq!(old, Err(RecordError::AlreadyAmended { reading: first, latest: second }));

    record.review(&lead(), &[second], Accepted, None, false, at(5)).unwrap();
    let entry = record.readings(job).unwrap().remove(0);
    assert_eq!(entry.review.map(|review| review.decision), Some(Accepted));
    let history = record.history(job, "main-journal", "1").unwrap();
    assert_eq!(history[0].review.as_ref().map(|review| review.decision), Some(Returned), "the old review stays");
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn the_latest_review_counts() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    record.review(&lead(), &[id], Accepted, None, false, at(2)).unwrap();
    record.review(&lead(), &[id], Returned, Some("wrong instrument"), false, at(3)).unwrap();
    assert_eq!(ids(&record.returned_to("tech-1").unwrap()), [id.0]);
    record.review(&lead(), &[id], Accepted, Some("checked by me"), false, at(4)).unwrap();
    assert!(record.returned_to("tech-1").unwrap().is_empty());
    let head = record.head().unwrap();
    record.review(&lead(), &[id], Accepted, Some("checked by me"), false, at(5)).unwrap();
    assert_eq!(record.head().unwrap(), head, "the same said again adds nothing");
    record.close_job(&lead(), job, None, at(6)).unwrap();
    assert!(record.queue(10).unwrap().is_empty());
}

#[test]
fn several_are_reviewed_together_or_not_at_all() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let of_tech = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let of_lead = post(&record, &lead(), "k-1", journal(job, "2", Verdict::Within));
    let head = record.head().unwrap();

    let own = record.review(&lead(), &[of_tech, of_lead], Accepted, None, false, at(2));
    assert_eq!(own, Err(RecordError::OwnReading(of_lead)));
    let missing = record.review(&lead(), &[of_tech, ReadingId(40)], Accepted, None, true, at(2));
    assert_eq!(missing, Err(RecordError::NotFound { what: "reading", id: 40 }));
    assert_eq!(record.head().unwrap(), head);
    assert_eq!(record.waiting(), Ok(2));

    record.review(&lead(), &[of_tech, of_lead, of_tech], Accepted, None, true, at(3)).unwrap();
    assert_eq!(record.waiting(), Ok(0));
    assert_eq!(record.head().unwrap().0, head.0 + 2, "one named twice is reviewed once");
}

#[test]
fn a_lead_may_return_their_own_reading_but_not_accept_what_they_amended() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let theirs = post(&record, &apprentice(), "k-1", journal(job, "1", Verdict::Out));
    let fixed = journal(job, "1", Verdict::Within);
    let mine = record.amend(&lead(), "k-2", theirs, "read again with them", fixed, at(2)).unwrap().reading.id;
    let refused = record.review(&lead(), &[mine], Accepted, None, false, at(3));
    assert_eq!(refused, Err(RecordError::OwnReading(mine)));
    record.review(&lead(), &[mine], Returned, Some("once more"), false, at(4)).unwrap();
    assert_eq!(ids(&record.returned_to("lead").unwrap()), [mine.0]);
}

#[test]
fn a_return_says_why_and_a_review_names_a_reading() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    for comment in [None, Some(""), Some("  ")] {
        let refused = record.review(&lead(), &[id], Returned, comment, false, at(2));
        assert_eq!(refused, Err(RecordError::Unfit { field: "comment", rule: "is missing" }));
    }
    assert!(matches!(
        record.review(&lead(), &[], Accepted, None, false, at(2)),
        Err(RecordError::Unfit { field: "reading to review", .. })
    ));
    assert_eq!(record.waiting(), Ok(1));
}

#[test]
fn of_two_readings_at_one_place_the_later_one_waits() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let posted = |key: &str, verdict| post(&record, &tech(), key, journal(job, "1", verdict));
    let (first, second) = (posted("k-1", Verdict::Out), posted("k-2", Verdict::Within));
    assert_eq!(ids(&record.queue(10).unwrap()), [second.0]);
    assert_eq!(record.waiting(), Ok(1));
    assert_eq!(ids(&record.readings(job).unwrap()), [first.0, second.0], "the record keeps both");
    let third = posted("k-3", Verdict::Marginal);
    record.review(&lead(), &[third], Accepted, None, false, at(2)).unwrap();
    assert_eq!(record.waiting(), Ok(0), "what it replaced is not reviewed by hand");
    // Amended to another place, it leaves its own to the one before it.
    record.amend(&tech(), "k-4", third, "wrong journal", journal(job, "2", Verdict::Within), at(3)).unwrap();
    assert_eq!(ids(&record.queue(10).unwrap()), [second.0, 6]);
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn another_leads_word_stands_until_it_is_decided_anew() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let other = actor("lead-2", Role::Lead);
    record.review(&lead(), &[id], Accepted, None, false, at(2)).unwrap();
    let head = record.head().unwrap();
    record.review(&other, &[id], Accepted, Some("fine by me"), false, at(3)).unwrap();
    assert_eq!(record.head().unwrap(), head, "accepted twice is accepted once");
    let refused = record.review(&other, &[id], Returned, Some("again"), false, at(3));
    assert_eq!(
        refused,
        Err(RecordError::AlreadyReviewed { reading: id, by: "lead".into(), decision: Accepted }),
        "the first word stands"
    );
    assert_eq!(record.head().unwrap(), head);
    let anew = Said { decision: Returned, comment: Some("again"), own_allowed: false, anew: true };
    assert_eq!(record.review_so(&other, &[id], anew, at(4)), Ok(vec![id]));
    assert_eq!(ids(&record.returned_to("tech-1").unwrap()), [id.0]);
}

/// Two leads press at once, one accept and one return: one of them is told what the other said, and that stands.
#[test]
fn two_leads_at_once_settle_to_one_result() {
    let folder = tempfile::TempDir::new().unwrap();
    let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
    let job = open_job(&record).id;
    for round in 0..20 {
        let id = post(&record, &tech(), &format!("k-{round}"), journal(job, &round.to_string(), Verdict::Within));
        let both = std::thread::scope(|threads| {
            let record = &record;
            let at_once = [("lead", Accepted), ("lead-2", Returned)].map(|(name, decision)| {
                let who = actor(name, Role::Lead);
                threads.spawn(move || record.review(&who, &[id], decision, Some("seen"), false, at(round)))
            });
            at_once.map(|one| one.join().unwrap())
        });
        let won = both.iter().position(Result::is_ok).unwrap();
        let (name, decision) = [("lead", Accepted), ("lead-2", Returned)][won];
        let told = RecordError::AlreadyReviewed { reading: id, by: name.into(), decision };
        assert_eq!(both[1 - won], Err(told));
        let review = record.reading(id).unwrap().review.unwrap();
        assert_eq!((review.by.person.as_str(), review.decision), (name, decision));
    }
    assert_eq!(record.verify().unwrap().fault, None);
}
