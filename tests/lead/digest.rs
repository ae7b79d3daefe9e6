//! The digest: due once a day from the shop's hour, quiet when there is nothing.

use gudgeon::config::{Config, Hour, Zone};
use gudgeon::desk::notices::{Outbox, Place};
use gudgeon::desk::{Asker, Desk, Due, Front, Outcome, Settings};
use gudgeon::record::Record;

use super::{NOON, desk, moment, outcome, said, settings, text, value};
use crate::talks;

/// The settings of a shop in that zone, whose digest is due at that hour.
fn hours(zone: &str, hour: &str) -> Settings {
    let (zone, hour) = (zone.parse::<Zone>().unwrap(), hour.parse::<Hour>().unwrap());
    Config { time_zone: zone, digest_hour: hour, ..Config::default() }.settings()
}

fn due(desk: &Desk, now: &str) -> Option<Due> {
    desk.digest_due(moment(now)).unwrap()
}

/// Asks as a front does, every quarter of an hour: the moments at which the digest was given out.
fn given_out(desk: &Desk, from: &str, quarters: i64) -> Vec<String> {
    let start = moment(from);
    let mut out = Vec::new();
    for quarter in 0..quarters {
        let now = start + jiff::SignedDuration::from_mins(15 * quarter);
        if let Some(due) = desk.digest_due(now).unwrap()
            && desk.take_digest(&due).unwrap()
        {
            out.push(now.to_string());
        }
    }
    out
}

#[test]
fn it_is_given_out_once_a_day_at_the_shops_own_hour() {
    let desk = desk(hours("Atlantic/Faroe", "18"));
    // Summer time there is an hour ahead of UTC and ends on 25 October 2026.
    let evenings = given_out(&desk, "2026-10-23T00:00:00Z", 4 * 24 * 4);
    assert_eq!(
        evenings,
        ["2026-10-23T17:00:00Z", "2026-10-24T17:00:00Z", "2026-10-25T18:00:00Z", "2026-10-26T18:00:00Z"]
    );
}

#[test]
fn an_hour_that_the_clock_leaves_out_or_has_twice_gives_one_digest() {
    // There the clock goes from two to three on 29 March 2026, and from three back to two on 25 October.
    let spring = desk(hours("Europe/Oslo", "2"));
    let mornings = given_out(&spring, "2026-03-28T23:00:00Z", 24 * 4);
    assert_eq!(mornings, ["2026-03-29T01:00:00Z"]);
    let autumn = desk(hours("Europe/Oslo", "2"));
    assert_eq!(given_out(&autumn, "2026-10-24T22:00:00Z", 25 * 4), ["2026-10-25T00:00:00Z"]);
}

#[test]
fn one_missed_asleep_comes_the_same_evening_and_not_the_next_day() {
    let desk = desk(hours("UTC", "18"));
    assert!(due(&desk, "2026-11-20T17:59:59Z").is_none());
    // The machine slept from five to a quarter past nine.
    let late = due(&desk, "2026-11-20T21:15:00Z").unwrap();
    assert_eq!(late.day.to_string(), "2026-11-20");
    assert!(desk.take_digest(&late).unwrap());
    // And from ten to the next afternoon: that evening's own is due, nothing of the one before.
    assert!(due(&desk, "2026-11-21T00:00:00Z").is_none() && due(&desk, "2026-11-21T15:00:00Z").is_none());
    assert_eq!(due(&desk, "2026-11-21T18:00:00Z").unwrap().day.to_string(), "2026-11-21");
}

#[test]
fn a_restart_does_not_double_it_nor_do_two_fronts() {
    let folder = tempfile::tempdir().unwrap();
    let open = || {
        let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        talks::desk(hours("UTC", "18"), record)
    };
    let evening = "2026-11-20T18:00:00Z";
    let first = open();
    let (one, other) = (due(&first, evening).unwrap(), due(&first, evening).unwrap());
    assert!(first.take_digest(&one).unwrap() && !first.take_digest(&other).unwrap());
    drop(first);
    let again = open();
    assert!(due(&again, "2026-11-20T23:59:59Z").is_none());
    assert!(due(&again, "2026-11-21T18:00:00Z").is_some());
}

/// As the chat front does it: kept in the outbox first, taken after that.
#[test]
fn it_goes_through_the_outbox_once_even_when_cut_off_in_between() {
    let desk = desk(hours("UTC", "18"));
    let outbox = Outbox::in_memory().unwrap();
    let (noon, evening) = (moment(NOON), moment("2026-11-20T18:30:00Z"));
    said(&desk, "tech-1", "job open fulmar-four Van engine", NOON);
    said(&desk, "tech-1", "log leak-down 2 45%", NOON);
    assert!(!desk.look_for_digest(&outbox, noon).unwrap());
    assert!(desk.look_for_digest(&outbox, evening).unwrap());
    assert!(!desk.look_for_digest(&outbox, evening).unwrap());
    let notice = outbox.next().unwrap().unwrap();
    assert_eq!((&notice.to, &*notice.key, notice.call), (&Place::Digest, "d2026-11-20", false));
    assert!(notice.title.starts_with("Tonight: 1 out"), "{}", notice.title);
    assert!(notice.text.contains("Out of limits\n- #1 Van engine, Fulmar four: Leak-down 2"), "{}", notice.text);
    // Cut off before the day was taken, the same comes again and is known.
    outbox.keep(&notice).unwrap();
    outbox.settle(&notice.key, None, evening).unwrap();
    outbox.keep(&notice).unwrap();
    assert_eq!(outbox.waiting().unwrap(), 0);
}

#[test]
fn a_day_without_anything_is_over_without_a_word() {
    let desk = desk(hours("UTC", "18"));
    let outbox = Outbox::in_memory().unwrap();
    assert!(!desk.look_for_digest(&outbox, moment("2026-11-20T18:00:00Z")).unwrap());
    // What comes up later that evening is for tomorrow.
    said(&desk, "tech-1", "job open fulmar-four Van engine", "2026-11-20T19:00:00Z");
    said(&desk, "tech-1", "log leak-down 2 45%", "2026-11-20T19:00:00Z");
    assert!(!desk.look_for_digest(&outbox, moment("2026-11-20T19:30:00Z")).unwrap());
    assert_eq!(outbox.waiting().unwrap(), 0);
    assert!(desk.look_for_digest(&outbox, moment("2026-11-21T18:00:00Z")).unwrap());
}

#[test]
fn it_says_what_is_wrong_and_is_quiet_when_nothing_is() {
    let desk = desk(settings());
    let evening = "2026-11-20T18:00:00Z";
    assert!(due(&desk, evening).unwrap().reply.is_none(), "no job, nothing to say");
    for (person, line) in [
        ("lead", "job open fulmar-four Van engine"),
        ("tech-1", "log leak-down 1 6% job=1"),
        ("tech-1", "log leak-down 2 45% job=1"),
        ("tech-1", "log leak-down 3 7% job=1"),
        ("lead", "review return 4 warm it up first"),
    ] {
        said(&desk, person, line, NOON);
    }
    let reply = due(&desk, evening).unwrap().reply.unwrap();
    assert_eq!(
        ["out", "returned", "waiting", "untouched"].map(|name| value(&reply, name)),
        [1.0, 1.0, 2.0, 0.0],
        "{}",
        text(reply.clone())
    );
    assert!(value(&reply, "held") > 0.0);
    assert!(reply.title.starts_with("Tonight: 1 out, "), "{}", reply.title);
    let told = text(reply);
    assert!(
        told.contains("#1 Van engine, Fulmar four: Leak-down 2") && told.contains("Leak-down 3 (tech-1)"),
        "{told}"
    );
    // Three days later it is said to lie.
    let later = due(&desk, "2026-11-23T18:00:00Z").unwrap().reply.unwrap();
    assert_eq!(value(&later, "untouched"), 1.0);
    assert!(text(later).contains("nothing since 2026-11-20"));
    // The same by hand, for the lead alone.
    assert!(said(&desk, "lead", "digest", NOON).title.starts_with("Tonight: 1 out"));
    assert!(matches!(outcome(&desk, &Asker::new("tech-1", Front::Page), "digest", NOON), Outcome::Refused(_)));
}

#[test]
fn nothing_wants_the_lead_where_all_is_signed_off() {
    let desk = desk(settings());
    for (person, line) in [
        ("lead", "job open fulmar-four Van engine"),
        ("tech-1", "log deck-flatness deck 0.02mm job=1"),
        ("lead", "review accept 2"),
        ("lead", "job sign intake job=1"),
        ("lead", "job sign measure-block job=1 reason=\"only the deck was asked for\""),
    ] {
        said(&desk, person, line, NOON);
    }
    assert!(due(&desk, "2026-11-20T18:00:00Z").unwrap().reply.is_none());
    assert!(said(&desk, "lead", "digest", NOON).title.starts_with("Nothing wants the lead"));
}
