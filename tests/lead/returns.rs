//! A returned reading is told to who posted it, where they posted it, once.

use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply};

use super::{NOON, desk, outcome, said, settings, text};

/// One line of a person at a place.
fn line(desk: &Desk, person: &str, front: Front, channel: &str, line: &str) -> Reply {
    let asker = Asker { channel: channel.to_owned(), ..Asker::new(person, front) };
    match outcome(desk, &asker, line, NOON) {
        Outcome::Reply(reply) => reply,
        other => panic!("{person}: {line}: {other:?}"),
    }
}

/// A reading posted from that place and returned.
fn returned(front: Front, channel: &str) -> Desk {
    let desk = desk(settings());
    said(&desk, "lead", "job open fulmar-four Van engine", NOON);
    line(&desk, "tech-1", front, channel, "log crank-end-float 0.14mm job=1");
    said(&desk, "lead", "review return 2 push the crank hard both ways", NOON);
    desk
}

const COMMENT: &str = "came back from lead: push the crank hard both ways";

#[test]
fn the_next_line_from_the_same_place_says_so_once() {
    let desk = returned(Front::Page, "page");
    let told = |person, front, channel| text(line(&desk, person, front, channel, "word squish")).contains(COMMENT);
    assert!(!told("tech-1", Front::Terminal, "terminal"), "it was not posted there");
    assert!(!told("apprentice-1", Front::Page, "page"), "nor by them");
    let reply = line(&desk, "tech-1", Front::Page, "page", "word squish");
    assert!(reply.actions.iter().any(|action| action.line == "amend 2"));
    assert!(text(reply).contains(COMMENT));
    assert!(!told("tech-1", Front::Page, "page"), "once");
    // Returned anew, it is told anew.
    said(&desk, "lead", "review return 2 and with the other dial", NOON);
    assert!(text(line(&desk, "tech-1", Front::Page, "page", "word squish")).contains("and with the other dial"));
}

#[test]
fn a_refusal_does_not_swallow_it_and_next_says_it_itself() {
    let desk = returned(Front::Terminal, "terminal");
    let asker = Asker::new("tech-1", Front::Terminal);
    assert!(matches!(outcome(&desk, &asker, "job show 99", NOON), Outcome::Refused(_)));
    let next = text(said(&desk, "tech-1", "next 1", NOON));
    assert!(next.contains("Came back to you") && !next.contains(COMMENT), "{next}");
    assert!(!text(said(&desk, "tech-1", "word squish", NOON)).contains(COMMENT), "it was said");
}

#[test]
fn on_the_chat_the_notices_say_it_and_no_line_does() {
    let desk = returned(Front::Chat, "8675309");
    assert!(!text(line(&desk, "tech-1", Front::Chat, "8675309", "word squish")).contains(COMMENT));
}

#[test]
fn telling_changes_nothing_on_the_record() {
    let desk = returned(Front::Terminal, "terminal");
    let before = desk.fingerprint().unwrap();
    said(&desk, "tech-1", "word squish", NOON);
    assert_eq!(desk.fingerprint().unwrap(), before);
}
