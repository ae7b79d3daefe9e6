//! What people are told: a return once, a day's digest once, whoever asks at the same moment.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use gudgeon::{
    maths::judge::Verdict,
    record::{Decision, Entry, Record, import, quietly},
};
use tempfile::TempDir;

use super::{at, ids, journal, lead, open_job, post, tech, transfer::everything};

/// What the tech does not know yet, where the tests post from.
fn untold(record: &Record) -> Vec<Entry> {
    record.untold("tech-1", "terminal", "bench").unwrap()
}

#[test]
fn a_return_is_told_once_and_no_more_once_it_is_settled() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let posted: Vec<_> = ["1", "2", "3", "4"]
        .map(|place| post(&record, &tech(), place, journal(job, place, Verdict::Out)))
        .into_iter()
        .collect();
    record.review(&lead(), &posted, Decision::Returned, Some("measure it cold"), false, at(2)).unwrap();
    let first = untold(&record);
    assert_eq!(ids(&first), posted.iter().map(|id| id.0).collect::<Vec<_>>());
    let review = first[0].review.as_ref().unwrap().number;
    for (person, front, channel) in
        [("tech-2", "terminal", "bench"), ("tech-1", "page", "bench"), ("tech-1", "terminal", "yard")]
    {
        assert!(record.untold(person, front, channel).unwrap().is_empty(), "{person} at the {front}, {channel}");
    }
    assert!(record.tell(review).unwrap());
    assert!(!record.tell(review).unwrap());
    // One is amended, one accepted after all: neither is news any more.
    record.amend(&tech(), "k-9", posted[1], "cold", journal(job, "2", Verdict::Within), at(3)).unwrap();
    record.review(&lead(), &[posted[2]], Decision::Accepted, Some("seen it myself"), false, at(4)).unwrap();
    assert_eq!(ids(&untold(&record)), [posted[3].0]);
    // Returned anew, it is news anew.
    record.review(&lead(), &[posted[0]], Decision::Returned, Some("and with the other gauge"), false, at(5)).unwrap();
    assert_eq!(ids(&untold(&record)), [posted[0].0, posted[3].0]);
    assert!(record.tell(999).is_err(), "there is no such review");
    record.close_job(&lead(), job, None, at(6)).unwrap();
    assert!(untold(&record).is_empty());
}

#[test]
fn a_days_digest_is_given_out_once_over_restarts() {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    let other = Record::open(&place).unwrap();
    let takers: usize = std::thread::scope(|threads| {
        let takers: Vec<_> = (0..8)
            .map(|n| {
                let record = if n % 2 == 0 { &record } else { &other };
                threads.spawn(move || usize::from(record.take_digest("2026-11-20").unwrap()))
            })
            .collect();
        takers.into_iter().map(|taker| taker.join().unwrap()).sum()
    });
    assert_eq!(takers, 1);
    drop((record, other));
    let record = Record::open(&place).unwrap();
    assert!(record.digest_is_out("2026-11-20").unwrap() && !record.digest_is_out("2026-11-21").unwrap());
    assert!(!record.take_digest("2026-11-20").unwrap() && record.take_digest("2026-11-21").unwrap());
    assert!(record.take_digest("").is_err());
}

#[test]
fn what_was_told_goes_out_and_comes_back_and_is_no_part_of_the_chain() {
    let folder = TempDir::new().unwrap();
    let place = |name: &str| folder.path().join(name);
    let record = Record::open(&place("record.sqlite")).unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    record.review(&lead(), &[id], Decision::Returned, Some("again"), false, at(2)).unwrap();
    let head = record.head().unwrap();
    assert!(record.tell(3).unwrap() && record.take_digest("2026-11-20").unwrap());
    assert_eq!(record.head().unwrap(), head);
    record.export(&place("record.jsonl"), &quietly).unwrap();
    drop(record);
    import(&place("record.jsonl"), &place("again.sqlite"), &quietly).unwrap();
    let (first, again) = (everything(&place("record.sqlite")), everything(&place("again.sqlite")));
    assert!(!first["told"].is_empty() && !first["digest"].is_empty());
    assert_eq!(first, again);
}
