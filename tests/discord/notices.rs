//! Which notices follow from the record, before any front says them.

use gudgeon::desk::notices::{Notice, Outbox, Place, Places};
use gudgeon::desk::{Desk, Front, Role};

use super::telling::said;
use crate::talks;

const CHAT: (Front, &str) = (Front::Chat, "700");
const PAGE: (Front, &str) = (Front::Page, "page");

/// The notices that a look adds.
fn news(desk: &Desk, outbox: &Outbox) -> Vec<Notice> {
    desk.look_for_notices(outbox, Places { leads: true, jobs: false }).unwrap();
    let mut news = Vec::new();
    while let Some(notice) = outbox.next().unwrap() {
        outbox.settle(&notice.key, None, talks::clock()).unwrap();
        news.push(notice);
    }
    news
}

/// A desk whose past was looked at.
fn looked_at() -> (Desk, Outbox) {
    let (desk, outbox) = (talks::bench(), Outbox::in_memory().unwrap());
    assert_eq!(news(&desk, &outbox), [], "the demo has an out, and it is of the past");
    (desk, outbox)
}

fn out(desk: &Desk) -> String {
    said(desk, "tech-1", Role::Tech, CHAT, "log main-journal 5 2.4470in 2.4470in job=1")
}

fn lead(desk: &Desk, line: &str) {
    said(desk, "lead", Role::Lead, PAGE, line);
}

#[test]
fn one_look_tells_what_still_stands() {
    let (desk, outbox) = looked_at();
    let first = out(&desk);
    said(&desk, "tech-1", Role::Tech, CHAT, &format!("amend {first} 2.4471in 2.4470in reason=\"read again\""));
    let told = news(&desk, &outbox);
    let [one] = &told[..] else { panic!("once for the place: {told:#?}") };
    assert!(one.call && one.to == Place::Leads && one.text.contains("Reading 24"), "the reading that stands: {one:?}");
    assert!(one.key.len() <= 25, "{}", one.key);
    assert_eq!(news(&desk, &outbox), [], "a second look tells nothing again");
}

#[test]
fn what_is_idle_by_then_is_not_told() {
    let (desk, outbox) = looked_at();
    let slip = out(&desk);
    said(&desk, "tech-1", Role::Tech, CHAT, &format!("amend {slip} 2.4498in 2.4498in reason=\"wrong journal\""));
    assert_eq!(news(&desk, &outbox), [], "amended before anyone was told");
    let seen = out(&desk);
    lead(&desk, &format!("review accept {seen} comment=\"it is being ground\""));
    assert_eq!(news(&desk, &outbox), [], "a lead has seen it already");
    let returned = said(&desk, "tech-1", Role::Tech, CHAT, "log main-journal 4 2.4498in 2.4498in job=1");
    lead(&desk, &format!("review return {returned} which gauge"));
    lead(&desk, &format!("review accept {returned}"));
    assert_eq!(news(&desk, &outbox), [], "returned, and then accepted");
}

#[test]
fn a_return_is_told_where_it_was_posted_or_not_here() {
    let (desk, outbox) = looked_at();
    for front in [CHAT, PAGE] {
        let id = said(&desk, "tech-1", Role::Tech, front, "log main-journal 4 2.4498in 2.4498in job=1");
        lead(&desk, &format!("review return {id} measure again"));
    }
    let told = news(&desk, &outbox);
    let [one] = &told[..] else { panic!("{told:#?}") };
    assert!(one.to == Place::Channel("700".to_owned()) && !one.call, "{one:?}");
    assert_eq!(one.title, "tech-1, lead returned your reading 23");
    assert!(one.text.starts_with("measure again\nMain journal 4: 2.4498 in"), "{}", one.text);
    let own = said(&desk, "lead", Role::Lead, CHAT, "log main-journal 4 2.4498in 2.4498in job=1");
    said(&desk, "lead", Role::Lead, PAGE, &format!("review return {own} measure again"));
    assert_eq!(news(&desk, &outbox), [], "nobody is told what they did themselves");
}

#[test]
fn a_record_that_was_put_in_another_s_place_tells_nothing_of_its_past() {
    let (desk, outbox) = looked_at();
    out(&desk);
    assert_eq!(news(&desk, &outbox).len(), 1);
    // As after a restore: as many events, but not the same; and then fewer of them.
    let other = talks::bench();
    said(&other, "lead", Role::Lead, CHAT, "log main-journal 4 2.4470in 2.4470in job=1");
    assert_eq!(news(&other, &outbox), []);
    let fresh = talks::bench();
    assert_eq!(news(&fresh, &outbox), []);
    out(&fresh);
    assert_eq!(news(&fresh, &outbox).len(), 1, "what is new there is told");
}
