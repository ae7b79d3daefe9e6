//! What one posts, the others see: two phones and a lead at once, and a connection that goes and comes.

use std::time::{Duration, Instant};

use gudgeon::desk::{Asker, Front, Outcome};

use super::rig::{Screen, on_screen};
use super::wire::{ask, coded};

/// Sends a line as another person would from a phone of theirs.
async fn say(screen: &Screen, person: &str, line: &str) {
    let to = screen.shop.address;
    let origin = format!("http://{to}");
    let door = ask(to, "POST", "/door", &[("Origin", &origin)], &format!("person={person}")).await;
    let cookie = door.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
    let answer =
        ask(to, "POST", "/line", &[("Origin", &origin), ("Cookie", &cookie)], &format!("line={}", coded(line))).await;
    assert_eq!(answer.status, 200, "{line}: {}", answer.text());
}

#[test]
fn two_phones_and_a_lead_see_the_same_within_a_second() {
    on_screen(async |screen| {
        let phone = screen.here().await;
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.goto("/job/1").await;
        screen.wait("[data-part=next] .boxes").await;
        // The phone is in the middle of the plan, and in the middle of typing.
        screen.fill("[data-part=next] .boxes label:nth-child(1) input", "4.0004").await;
        screen.eval("document.querySelector('[data-part=measure-crank]').scrollIntoView({block: 'start', behavior: 'instant'})").await;
        let before = screen.eval(TOP).await;

        let lead = screen.window("localhost", "lead").await;
        screen.goto_at("localhost", "/review").await;
        let waiting = screen.text("[data-part='review queue'] .answer").await;

        // The other phone posts; both see it.
        let start = Instant::now();
        say(screen, "apprentice-1", "log bore 4 4.0004in 4.0002in 4.0004in 4.0002in 4.0003in 4.0001in job=1").await;
        screen
            .wait_for(&format!(
                "return document.querySelector(\"[data-part='review queue'] .answer\").textContent !== '{waiting}'"
            ))
            .await;
        screen.turn_to(&phone).await;
        screen.wait("button.spot[title^='Bore 4:']").await;
        assert!(
            start.elapsed() < Duration::from_millis(1500),
            "{:?}, looking at two windows included",
            start.elapsed()
        );
        assert_eq!(screen.eval(TYPED).await, "4.0004", "what was typed stays");
        assert_eq!(screen.eval(TOP).await, before, "nothing moved under the thumb");

        // The very place that is being typed in is posted by another: it is said, and nothing is lost.
        say(screen, "apprentice-1", "log bore 3 4.0004in 4.0002in 4.0004in 4.0002in 4.0003in 4.0001in job=1").await;
        screen.wait("[data-part=next] .stale").await;
        assert_eq!(screen.eval(TYPED).await, "4.0004");
        screen.press("[data-part=next] .stale button").await;
        screen.wait("[data-part=next] input[name=position][value='5']").await;

        // The lead accepts on their own screen; the phone's board shows it.
        screen.turn_to(&lead).await;
        screen.press("[data-part='review queue'] .card [name=line][value^='review accept']").await;
        screen.wait("#talk .exchange.fresh .answer").await;
        screen.turn_to(&phone).await;
        screen.wait("[data-part=happened] li:first-child .what").await;
        screen
            .wait_for("return document.querySelector('[data-part=happened] li .stamp').textContent.endsWith('lead')")
            .await;
        screen.shut(&lead, &phone).await;
    });
}

const TOP: &str = "return Math.round(document.querySelector('[data-part=measure-crank]').getBoundingClientRect().top)";
const TYPED: &str = "return document.querySelector('[data-part=next] .boxes input').value";

#[test]
fn a_lost_connection_is_told_and_nothing_is_missed() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.goto("/job/1").await;
        screen.wait("[data-part=happened] li").await;
        screen.shop.stop().await;
        screen.wait(".reach:not([hidden])").await;
        assert!(screen.text(".reach-word").await.starts_with("No server: "));
        screen.shot("lost").await;
        let post = |bore: u32| {
            let line = format!("log bore {bore} 4.0004in 4.0002in 4.0004in 4.0002in 4.0003in 4.0001in job=1");
            let apprentice = Asker { key: Some(line.clone()), ..Asker::new("apprentice-1", Front::Terminal) };
            assert!(matches!(screen.shop.desk.answer(&apprentice, &line, crate::talks::clock()), Outcome::Reply(_)));
        };
        post(4);
        post(5);
        screen.shop.start().await;
        screen.wait("button.spot[title^='Bore 5:']").await;
        screen.wait("button.spot[title^='Bore 4:']").await;
        screen.wait(".reach[hidden]").await;
    });
}
