//! A job by hand on its board: what is next, the plan, a sheet of places, what happened.

use super::rig::{Screen, on_screen};
use super::wire::ask;

const NEXT: &str = "[data-part=next]";
const BORE: [&str; 6] = ["4.0004", "4.0002", "4.0004", "4.0002", "4.0003", "4.0001"];

async fn type_in(screen: &Screen, values: &[&str]) {
    for (at, value) in values.iter().enumerate() {
        screen.fill(&format!("{NEXT} .boxes label:nth-child({}) input", at + 1), value).await;
    }
}

#[test]
fn a_job_is_walked_on_its_board() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.press(".ways a[href='/jobs']").await;
        let key = "a.cell[href='/job/1']";
        assert!(screen.text(key).await.contains("Harbour launch, port engine"), "a key says where it leads");
        screen.press(key).await;
        screen.wait(&format!("{NEXT} .boxes")).await;
        screen.shot("job-top").await;
        for bore in [3, 4] {
            screen.wait(&format!("{NEXT} input[name=position][value='{bore}']")).await;
            type_in(screen, &BORE).await;
            screen.press(&format!("{NEXT} .asked .primary")).await;
            screen.wait(&format!("{NEXT} input[name=position][value='{}']", bore + 1)).await;
            let answer = screen.text(&format!("{NEXT} .answer")).await;
            assert!(answer.starts_with(&format!("Bore {bore}: 4.0001 to 4.0004 in")), "{answer}");
            let clear = "return document.querySelector('[data-part=next] .answer').getBoundingClientRect().top >= document.querySelector('.bar').getBoundingClientRect().bottom";
            assert_eq!(screen.eval(clear).await, true, "the bar covers nothing of it");
            // The plan under it follows by itself, and the log.
            screen.wait(&format!("[data-part=measure-block] button.spot[title^='Bore {bore}:']")).await;
            screen.wait("[data-part=happened] li.within:first-child").await;
        }
        screen.shot("job-walked").await;
        assert_eq!(screen.count(".asked").await, 1, "one thing is asked for at a time");
    });
}

#[test]
fn a_mark_is_told_by_letter_shape_and_word_and_opens_what_it_stands_for() {
    on_screen(async |screen| {
        screen.be("lead").await;
        screen.goto("/job/1").await;
        let marks = screen
            .eval("return Array.from(document.querySelectorAll('.legend li:has(svg)'), (li) => [li.textContent.trim(), li.querySelector('svg').firstElementChild.outerHTML])")
            .await;
        let marks = marks.as_array().unwrap();
        assert_eq!(marks.len(), 7);
        for (at, one) in marks.iter().enumerate() {
            assert!(marks[at + 1..].iter().all(|other| other != one), "{one} twice");
        }
        let stages = screen.text(".legend li:has(.stage-letter)").await;
        assert!(stages.starts_with('H') && stages.contains("hold open"), "{stages}");
        for stage in ["measure-block", "measure-crank", "happened"] {
            screen
                .eval(&format!("document.querySelector('[data-part={stage}]').scrollIntoView({{behavior: 'instant'}})"))
                .await;
            screen.shot(&format!("job-{stage}")).await;
        }
        // An out shows its working; an open place opens its entry.
        screen.press("[data-part=measure-crank] button.spot.out").await;
        screen.wait("#talk .exchange.fresh .answer").await;
        assert!(screen.text("#talk .exchange .answer").await.contains("Main journal 3"));
        screen.press("[data-part=measure-block] a.spot.open").await;
        screen.wait("#form .boxes").await;
    });
}

#[test]
fn a_check_is_filled_in_at_all_its_places_all_or_none() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.goto("/job/1/rows/main-housing").await;
        let row = |place: usize, at: usize| format!("#rows tbody tr:nth-child({place}) td:nth-of-type({at}) input");
        for place in [1, 2] {
            for (at, value) in ["2.6408", "2.6409", "2.6408"].iter().enumerate() {
                screen.fill(&row(place, at + 1), value).await;
            }
        }
        screen.fill(&row(3, 2), "2.6408").await;
        screen.shot("rows-filled").await;
        screen.press("#rows .primary").await;
        screen.wait("#talk .exchange.refused").await;
        assert!(screen.text("#talk .exchange.refused .card").await.contains("left out"));
        assert_eq!(
            screen.eval("return document.querySelector('#rows td input').value").await,
            "2.6408",
            "nothing is lost"
        );
        for at in [1, 3] {
            screen.fill(&row(3, at), "2.6408").await;
        }
        screen.press("#rows .primary").await;
        screen.wait("#talk .exchange:last-of-type .verdict").await;
        assert!(screen.text("#talk .exchange:last-of-type .answer").await.contains("3 readings on record"));
        assert_eq!(screen.eval("return document.querySelector('#rows td input').value").await, "");
    });
}

#[test]
fn a_board_needs_no_script() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.scripts(false).await;
        screen.goto("/job/1").await;
        type_in(screen, &BORE).await;
        screen.press(&format!("{NEXT} .asked .primary")).await;
        screen.wait("#talk input[name=position][value='4']").await;
        screen.goto("/job/1").await;
        screen.wait("button.spot[title^='Bore 3:']").await;
        screen.goto("/job/1/rows/deck-flatness").await;
        screen.fill("#rows tbody tr:last-child input", "0.001").await;
        screen.press("#rows .primary").await;
        screen.wait("#talk .verdict").await;
        screen.goto("/job/77").await;
        assert!(screen.text("main").await.contains("no such job"));
    });
}

#[test]
fn the_leads_review_is_one_tap_away_and_an_apprentice_has_no_key_for_it() {
    on_screen(async |screen| {
        screen.be("apprentice-1").await;
        assert_eq!(screen.count(".ways a[href='/review']").await, 0);
        screen.be("lead").await;
        screen.press(".ways a[href='/review']").await;
        screen.wait("[data-part='review queue'] .answer").await;
        assert!(screen.text("[data-part='review matrix'] .answer").await.starts_with("Out: #1 Skerry V8"));
        screen.shot("review-screen").await;
        // Its figure, larger.
        let drawn = screen.eval("return document.querySelector('figcaption a').getAttribute('href')").await;
        let cookie = screen.cookie().await;
        let png = ask(screen.shop.address, "GET", drawn.as_str().unwrap(), &[("Cookie", &cookie)], "").await;
        assert!(png.body.starts_with(b"\x89PNG"));
    });
}

#[test]
fn markup_in_names_and_notes_stays_text_on_every_screen() {
    on_screen(async |screen| {
        screen.be("lead").await;
        let evil = "<img src=x onerror=document.title=1><script>document.title=2</script><b onclick=alert(1)>x</b>";
        screen.say(&format!("job open skerry-v8 \"{evil}\" note=\"{evil}\"")).await;
        screen
            .say(&format!("log bore 3 4.0004in 4.0002in 4.0004in 4.0002in 4.0003in 4.0001in job=2 note=\"{evil}\""))
            .await;
        screen.say(&format!("review return 25 \"{evil}\"")).await;
        for path in
            ["/jobs", "/job/2", "/review", "/form?line=log%20job%3D2%20note%3D%22%3Cb%20onclick%3Dx%3E%22", "/sheet/2"]
        {
            screen.goto(path).await;
            let harm = "return document.querySelectorAll('body script, img[src=x], [onclick], [onerror], b').length";
            assert_eq!(screen.eval(harm).await, 0, "{path}");
            assert!(screen.eval("return document.title").await.as_str().unwrap().len() > 2, "{path}");
        }
        screen.goto("/job/2").await;
        assert!(screen.text("h1").await.contains("<img src=x"), "shown as it was typed");
        // Names that are paths, or no names at all.
        for path in [
            "/page/..%2F..%2Fetc%2Fpasswd",
            "/page/%00",
            "/job/1/rows/..%2Fbore",
            "/job/1/rows/%3Cscript%3E",
            "/drawn?line=job%20close&at=0",
        ] {
            screen.goto(path).await;
            assert_eq!(screen.count("body.notice-view").await, 1, "{path}");
        }
    });
}
