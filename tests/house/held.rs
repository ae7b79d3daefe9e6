//! Lines that a phone held: both times are kept, and what changed meanwhile is asked about.

use gudgeon::desk::{Asker, Desk, Front, Held, JobId, Outcome, Refusal, Reply, Taken};
use jiff::Timestamp;

use crate::talks::{bench, clock};

fn at(minutes: i64) -> Timestamp {
    clock() + jiff::SignedDuration::from_mins(minutes)
}

/// What the phone of tech-1 says of a line that it took so many minutes before noon, when the record held `seen` events.
fn held(minutes: i64, seen: i64) -> Held {
    let taken = Taken { at: at(180 - minutes), ahead: 0, phone: "a1".to_owned() };
    Held { taken, job: Some(JobId(1)), seen, judged: None, sure: false }
}

fn send(desk: &Desk, key: &str, line: &str, held: Held) -> Outcome {
    let asker = Asker { key: Some(key.to_owned()), held: Some(held), ..Asker::new("tech-1", Front::Page) };
    desk.answer(&asker, line, at(180))
}

fn posted(outcome: Outcome) -> Reply {
    match outcome {
        Outcome::Reply(reply) => reply,
        other => panic!("{other:?}"),
    }
}

fn asked(outcome: Outcome) -> Refusal {
    match outcome {
        Outcome::Refused(refusal) if refusal.meanwhile => refusal,
        other => panic!("{other:?}"),
    }
}

fn elsewhere(desk: &Desk, person: &str, line: &str) -> Reply {
    posted(desk.answer(&Asker::new(person, Front::Terminal), line, at(60)))
}

fn events(desk: &Desk) -> i64 {
    desk.fingerprint().unwrap().split(' ').next().unwrap().parse().unwrap()
}

const GAP: &str = "log ring-gap 1 top 0.0185in";

#[test]
fn both_times_are_kept_and_a_retry_adds_nothing() {
    let desk = bench();
    let seen = events(&desk);
    // Warm when it was taken, and cold by the time it came in: it is judged by the first.
    posted(send(&desk, "warm", "job temp 30C", held(170, seen)));
    let bore = "log bore 1 4.0004 4.0002 4.0004 4.0002 4.0003 4.0001 --sure";
    let reply = posted(send(&desk, "bore", bore, held(160, seen)));
    let number = reply.values.iter().find(|value| value.name == "reading").unwrap().value;
    let show = elsewhere(&desk, "lead", &format!("review show {number}"));
    let text = format!("{show:?}");
    assert!(text.contains("2026-11-20 12:00") && text.contains("2026-11-20 09:20 UTC, held on a phone"), "{text}");
    assert!(text.contains("Part at"), "{text}");
    let before = events(&desk);
    let again = Held { taken: Taken { at: at(21), ahead: 7, phone: "a1".to_owned() }, ..held(160, seen) };
    assert!(format!("{:?}", posted(send(&desk, "bore", bore, again))).contains("already posted"));
    assert_eq!(events(&desk), before);
    for format in ["html", "csv", "json"] {
        let sheet = elsewhere(&desk, "lead", &format!("sheet 1 format={format}"));
        let document = sheet.blocks.iter().find_map(|block| match block {
            gudgeon::desk::reply::Block::Document(document) => Some(String::from_utf8_lossy(&document.content)),
            _ => None,
        });
        let document = document.unwrap();
        assert!(document.contains("09:20"), "{format}: {document}");
    }
}

#[test]
fn a_place_that_was_read_meanwhile_is_asked_about_but_not_by_the_same_phone() {
    let desk = bench();
    let seen = events(&desk);
    posted(send(&desk, "one", GAP, held(170, seen)));
    posted(send(&desk, "two", "log ring-gap 1 top 0.0190in", held(165, seen)));
    elsewhere(&desk, "lead", "log ring-gap 1 second 0.0200in job=1");
    let before = events(&desk);
    let second = "log ring-gap 1 second 0.0195in";
    let refusal = asked(send(&desk, "three", second, held(160, seen)));
    assert!(
        refusal.possible.contains("lead posted at this place") && refusal.possible.contains("0.0200"),
        "{refusal:?}"
    );
    asked(send(&desk, "rows", "paste ring-gap 1 second, 0.0195in; 2 top, 0.0185in", held(160, seen)));
    assert_eq!(events(&desk), before, "nothing is changed by asking");
    posted(send(&desk, "three", second, Held { sure: true, ..held(160, seen) }));
    posted(send(&desk, "four", "log ring-gap 2 top 0.0185in", held(150, seen)));
    posted(send(&desk, "five", "log ring-gap 1 second 0.0196in", held(140, before)));
}

#[test]
fn limits_a_signed_stage_and_a_closed_job_are_asked_about() {
    let desk = bench();
    let seen = events(&desk);
    let judged = |judged: &str| Held { judged: Some(judged.to_owned()), ..held(160, seen) };
    let refusal = asked(send(&desk, "one", GAP, judged("0123456789abcdef")));
    assert!(refusal.possible.contains("limits changed") && refusal.possible.contains("would now be"), "{refusal:?}");
    elsewhere(&desk, "lead", "job close 1 reason=\"handed over\"");
    let before = events(&desk);
    match send(&desk, "two", &format!("{GAP} job=1"), held(160, seen)) {
        Outcome::Refused(refusal) => assert!(refusal.possible.contains("closed"), "{refusal:?}"),
        other => panic!("{other:?}"),
    }
    assert_eq!(events(&desk), before);
}

#[test]
fn a_line_goes_to_the_job_that_was_in_hand_on_the_phone() {
    let desk = bench();
    let seen = events(&desk);
    elsewhere(&desk, "lead", "job open dunlin-six Another");
    posted(desk.answer(&Asker::new("tech-1", Front::Page), "job take 2", at(60)));
    let reply = posted(send(&desk, "one", GAP, held(160, seen)));
    assert!(format!("{reply:?}").contains("job #1"), "{reply:?}");
}
