//! Readings by one thumb: a walk along the plan, the boxes of a set, rows from a gauge.

use super::rig::{Screen, on_screen};

const LAST: &str = "#talk > .exchange:last-of-type";
const BORE: [&str; 6] = ["4.0004", "4.0002", "4.0004", "4.0002", "4.0003", "4.0001"];

/// Types a set into the boxes under `within`.
async fn type_in(screen: &Screen, within: &str, values: &[&str]) {
    for (at, value) in values.iter().enumerate() {
        screen.fill(&format!("{within} .boxes label:nth-child({}) input", at + 1), value).await;
    }
}

#[test]
fn six_bores_are_walked_by_reading_typing_and_sending() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.say("job take 1").await;
        screen.say("next").await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Next: Bore 3, 4.0000 to 4.0010 in"));
        screen.shot("walk-next").await;
        for (done, bore) in (3..=8).enumerate() {
            type_in(screen, LAST, &BORE).await;
            screen.press(&format!("{LAST} .asked .primary")).await;
            screen.cards(done + 3).await;
            let answer = screen.text(&format!("{LAST} .answer")).await;
            assert!(answer.starts_with(&format!("Bore {bore}: 4.0001 to 4.0004 in")), "{answer}");
            assert_eq!(screen.count(".asked").await, 1, "one thing is asked for at a time");
            let wanted =
                if bore < 8 { format!("Next: Bore {}", bore + 1) } else { "Next: Main housing bore 1".to_owned() };
            assert_eq!(screen.text(&format!("{LAST} h3")).await, wanted);
            if bore == 3 {
                screen.shot("walk-answer").await;
                screen.eval("document.querySelector('.asked').scrollIntoView({block: 'center'})").await;
                screen.shot("walk-entry").await;
            }
        }
        screen.reload().await;
        screen.wait(".asked").await;
        assert_eq!(screen.count(".asked").await, 1, "and after a reload");
    });
}

#[test]
fn an_odd_reading_is_asked_about_and_mended_in_its_box() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.say("next 1").await;
        type_in(screen, LAST, &["4.0004", "4.0002", "4.0004", "4.0302", "4.0003", "4.0001"]).await;
        screen.press(&format!("{LAST} .asked .primary")).await;
        screen.wait(&format!("{LAST}.refused .asked")).await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("from the middle of its neighbours"));
        assert_eq!(screen.count(&format!("{LAST} button[value$=' --sure']")).await, 1, "how to say that it stands");
        screen.shot("walk-questioned").await;
        assert_eq!(screen.eval("return document.querySelector('.asked input').value").await, "4.0004");
        screen.fill(&format!("{LAST} .boxes label:nth-child(4) input"), "4.0002").await;
        screen.press(&format!("{LAST} .asked .primary")).await;
        screen.cards(3).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Bore 3: 4.0001 to 4.0004 in"));
    });
}

#[test]
fn the_keyboards_own_key_goes_on_to_the_next_box_and_sends_from_the_last() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("next 1").await;
        let keys = BORE.map(|value| format!("{value}\u{e007}"));
        for (at, keys) in keys.iter().enumerate() {
            screen.wait(&format!("{LAST} .boxes label:nth-child({}) input", at + 1)).await;
            if at == 0 {
                screen.eval("document.querySelector('.boxes input').focus()").await;
            }
            screen.keys(keys).await;
        }
        screen.cards(2).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Bore 3: 4.0001 to 4.0004 in"));
    });
}

#[test]
fn a_walk_needs_no_script() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.scripts(false).await;
        screen.goto("/").await;
        screen.fill("#line", "next 1").await;
        screen.press("#dock .send").await;
        for bore in [3, 4] {
            type_in(screen, LAST, &BORE).await;
            screen.press(&format!("{LAST} .asked .primary")).await;
            let next = format!("Next: Bore {}", bore + 1);
            screen.wait(&format!("{LAST} input[name=position][value='{}']", bore + 1)).await;
            assert_eq!(screen.text(&format!("{LAST} h3")).await, next);
        }
    });
}

#[test]
fn a_form_for_a_bore_has_a_box_for_each_reading() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.goto("/form?line=log%20bore%203%20job=1").await;
        let names = screen
            .eval("return Array.from(document.querySelectorAll('#form .boxes label'), (e) => e.textContent.trim())")
            .await;
        let wanted = ["top thrust", "top axial", "middle thrust", "middle axial", "bottom thrust", "bottom axial"];
        assert_eq!(names, serde_json::json!(wanted));
        let places = screen
            .eval("return Array.from(document.querySelectorAll('#form .boxes input'), (e) => { const b = e.getBoundingClientRect(); return [Math.round(b.left), Math.round(b.top), b.height]; })")
            .await;
        let at = |box_: usize, part: usize| places[box_][part].as_f64().unwrap();
        assert!(at(0, 0) < at(1, 0) && at(0, 1) == at(1, 1) && at(2, 1) > at(0, 1), "three rows of two: {places}");
        assert!((0..6).all(|one| at(one, 2) >= 48.0), "{places}");
        screen.shot("form-bore").await;

        // A box left empty is asked for; what was typed behind it does not slip forward.
        type_in(screen, "#form", &["4.0004", "4.0002", "", "4.0002", "4.0003", "4.0001"]).await;
        screen.press("#form > .send-row .primary").await;
        screen.wait(&format!("{LAST}.refused")).await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("middle thrust is left out"));
        type_in(screen, "#form", &BORE).await;
        screen.press("#form > .send-row .primary").await;
        screen.wait(&format!("{LAST} .verdict")).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Bore 3: 4.0001 to 4.0004 in"));

        // A correction opens with what stands.
        screen.goto("/form?line=amend%206").await;
        assert_eq!(screen.eval("return document.querySelectorAll('#form .boxes label').length").await, 6);
    });
}

#[test]
fn rows_from_a_gauge_are_pasted_as_they_are() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.goto("/form?line=paste%20main-housing%20job=1").await;
        let block = "Main\tvertical\tleft of vertical\tright of vertical\n1\t2.6408\t2.6409\t2.6408\n2\t2.6409\t2.6418\t2.6409\n";
        screen.eval_with("document.querySelector('#f-rows').value = arguments[0]", vec![block.into()]).await;
        screen.shot("form-paste").await;
        screen.press("#form .primary").await;
        screen.wait(&format!("{LAST} .verdict")).await;
        let answer = screen.text(&format!("{LAST} .answer")).await;
        assert_eq!(answer, "Main housing bore: 2 readings on record, 1 out");
        screen.shot("paste-answer").await;
    });
}
