//! What a lead who was away sees, and what reaches the people at the bench: holds, the matrix, the digest, returns.

mod digest;
mod returns;

use gudgeon::config::Config;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply, Role, Settings};
use gudgeon::record::Record;
use jiff::Timestamp;

use crate::talks;

/// The demo's people and a second lead.
fn settings() -> Settings {
    let mut settings = Config::default().settings();
    settings.people.insert("lead-2".to_owned(), Role::Lead);
    settings
}

fn desk(settings: Settings) -> Desk {
    talks::desk(settings, Record::in_memory().unwrap())
}

fn moment(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn outcome(desk: &Desk, asker: &Asker, line: &str, now: &str) -> Outcome {
    desk.answer(asker, line, moment(now))
}

#[track_caller]
fn said(desk: &Desk, person: &str, line: &str, now: &str) -> Reply {
    match outcome(desk, &Asker::new(person, Front::Terminal), line, now) {
        Outcome::Reply(reply) => reply,
        other => panic!("{person}: {line}: {other:?}"),
    }
}

fn value(reply: &Reply, name: &str) -> f64 {
    reply
        .values
        .iter()
        .find(|value| value.name == name)
        .unwrap_or_else(|| panic!("no {name}: {:?}", reply.values))
        .value
}

/// A reply as text, as the terminal shows it.
fn text(reply: Reply) -> String {
    gudgeon::fronts::terminal::paint::outcome(&Outcome::Reply(reply), 100)
}

const NOON: &str = "2026-11-20T12:00:00Z";

#[test]
fn the_headline_names_what_is_out_on_which_engine_and_the_worst_job_comes_first() {
    let desk = desk(settings());
    assert_eq!(said(&desk, "lead", "review matrix", NOON).title, "No job is open");
    for (person, line) in [
        ("tech-1", "job open fulmar-four Van engine"),
        ("tech-1", "log crank-end-float 0.14mm job=1"),
        ("tech-1", "job open skerry-v8 Harbour launch"),
        ("tech-1", "log main-journal 3 2.4491in 2.4487in 2.4490in 2.4488in job=2"),
        ("tech-1", "log main-journal 5 2.4496in 2.4495in job=2"),
        ("tech-1", "job open dunlin-six Pilot cutter"),
    ] {
        said(&desk, person, line, NOON);
    }
    let reply = said(&desk, "lead", "review matrix", NOON);
    assert_eq!(reply.title, "Out: #2 Skerry V8: Main journal 3");
    assert_eq!((value(&reply, "open"), value(&reply, "out"), value(&reply, "waiting")), (3.0, 1.0, 3.0));
    let shown = text(reply);
    let places: Vec<usize> = ["#2", "#1", "#3"].map(|job| shown.find(&format!("\n {job} ")).unwrap()).into();
    assert!(places.is_sorted(), "{shown}");
    // Accepted with a reason it is no longer what is wrong.
    said(&desk, "lead", "review accept 4 5 comment=\"goes to the grinder\"", NOON);
    let reply = said(&desk, "lead", "review matrix", NOON);
    assert_eq!(reply.title, "Nothing is out on 3 open jobs; 0 marginal, 1 waiting");
}

#[test]
fn a_sign_off_is_stale_after_an_amendment_a_repeat_and_a_review_anew_until_it_is_given_again() {
    let desk = desk(settings());
    for line in ["job open fulmar-four Van engine", "log leak-down 1 6%", "log leak-down 2 7%", "log leak-down 3 6%"] {
        said(&desk, "tech-1", line, NOON);
    }
    said(&desk, "tech-1", "log leak-down 4 8%", NOON);
    said(&desk, "lead", "review accept stage=prove job=1", NOON);
    let stale = || text(said(&desk, "lead", "job show 1", NOON)).contains("changed since");
    let sign = || said(&desk, "lead", "job sign prove job=1 reason=\"lash is set hot, on the day\"", NOON);
    assert_eq!(value(&sign(), "readings"), 4.0);
    assert!(!stale());
    // Another stage's reading changes nothing here.
    said(&desk, "tech-1", "log crank-end-float 0.14mm job=1", NOON);
    assert!(!stale());

    said(&desk, "tech-1", "amend 5 9% reason=\"valve was not seated\"", NOON);
    assert!(stale());
    said(&desk, "lead", "review accept check=leak-down job=1", NOON);
    assert!(stale(), "accepting it is not signing");
    sign();
    assert!(!stale());

    said(&desk, "tech-1", "log leak-down 1 5% job=1", NOON);
    assert!(stale());
    said(&desk, "lead", "review accept check=leak-down job=1", NOON);
    sign();
    said(&desk, "lead", "review return 3 once more", NOON);
    assert!(stale());
    said(&desk, "lead", "review accept 3", NOON);
    assert!(stale(), "a lead spoke anew of what it covers");
    assert_eq!(value(&sign(), "open"), 1.0, "valve lash alone");
    assert!(!stale());
}

#[test]
fn what_another_lead_decided_stands_until_it_is_decided_anew() {
    let desk = desk(settings());
    said(&desk, "tech-1", "job open fulmar-four Van engine", NOON);
    said(&desk, "tech-1", "log crank-end-float 0.14mm", NOON);
    said(&desk, "lead", "review accept 2", NOON);
    let other = Asker::new("lead-2", Front::Terminal);
    let Outcome::Refused(refusal) = outcome(&desk, &other, "review return 2 once more", NOON) else {
        panic!("it was taken")
    };
    assert!(refusal.possible.contains("accepted by lead") && refusal.possible.contains("--anew"), "{refusal:?}");
    assert_eq!(refusal.line.as_deref(), Some("review show 2"));
    let twice = text(said(&desk, "lead-2", "review accept 2", NOON));
    assert!(twice.contains("nothing is doubled: 2"), "{twice}");
    said(&desk, "lead-2", "review return 2 once more --anew", NOON);
    assert!(text(said(&desk, "lead", "review show 2", NOON)).contains("returned by lead-2: once more"));
}

#[test]
fn a_row_leaves_the_leads_own_and_takes_nothing_that_is_out() {
    let desk = desk(settings());
    said(&desk, "tech-1", "job open skerry-v8 Harbour launch", NOON);
    said(&desk, "tech-1", "log main-journal 1 2.4498in 2.4497in job=1", NOON);
    said(&desk, "tech-1", "log main-journal 3 2.4491in 2.4487in job=1", NOON);
    said(&desk, "lead", "log main-journal 4 2.4498in 2.4497in job=1", NOON);
    let reply = said(&desk, "lead", "review accept check=main-journal job=1", NOON);
    assert_eq!((value(&reply, "accepted"), value(&reply, "left")), (1.0, 2.0));
    let left = text(reply);
    assert!(left.contains("3: Main journal 3") && left.contains("your own, another lead"), "{left}");
    assert_eq!(value(&said(&desk, "lead-2", "review queue", NOON), "waiting"), 2.0);
    said(&desk, "lead-2", "review accept check=main-journal job=1", NOON);
    assert_eq!(value(&said(&desk, "lead-2", "review queue", NOON), "waiting"), 1.0, "the one that is out");
}
