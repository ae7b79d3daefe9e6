//! What a person does on the page, by touch and keys.

use super::rig::on_screen;

const LAST: &str = "#talk > .exchange:last-of-type";
/// Whether the last card begins in sight.
const UNDER_THE_BAR: &str = "
    const card = Array.from(document.querySelectorAll('.exchange.fresh > .card')).at(-1).getBoundingClientRect();
    return card.top >= document.querySelector('.bar').getBoundingClientRect().bottom && card.top < innerHeight / 2;";

#[test]
fn a_question_is_answered_and_outlives_a_reload() {
    on_screen(async |screen| {
        screen.goto("/").await;
        assert_eq!(screen.path().await, "/door", "a stranger is asked who they are");
        screen.shot("door").await;
        screen.be("apprentice-1").await;
        screen.shot("talk-empty").await;
        screen.say("how much crank end float").await;
        assert!(screen.text(&format!("{LAST} .said")).await.contains("how much crank end float"));
        let answer = screen.text(&format!("{LAST} .answer")).await;
        assert!(!answer.is_empty());
        assert_eq!(screen.eval("return document.getElementById('news').textContent.length > 0").await, true);
        assert_eq!(screen.eval("return document.getElementById('line').value").await, "");
        screen.shot("ask").await;
        screen.reload().await;
        assert_eq!(screen.text(&format!("{LAST} .answer")).await, answer);
        screen.say("what is the weather on the moon").await;
        screen.shot("ask-uncovered").await;
        assert_eq!(screen.count("#talk > .exchange").await, 2);
    });
}

#[test]
fn a_ring_gap_is_worked_out_by_form() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.press(".ways a[href='/forms']").await;
        screen.wait("body.forms-view").await;
        screen.press("a.row[href='/form?line=ring%20gap']").await;
        screen.fill("#f-bore", "4.030").await;
        screen.press(".press:has(input[name='unit.bore'][value=in])").await;
        screen.press(".press:has(input[name=duty][value=marine])").await;
        screen.shot("form-ring-gap").await;
        screen.press("#form .primary").await;
        screen.cards(1).await;
        let said = screen.text(&format!("{LAST} .said .line")).await;
        assert!(said.starts_with("ring gap bore=\"4.030 in\" duty=marine"), "{said}");
        // 0.0050 to 0.0060 in per inch of bore for sustained marine load (common practice): 4.030 x 0.0050 = 0.02015.
        let answer = screen.text(&format!("{LAST} .answer")).await;
        assert!(answer.contains("0.020") && answer.contains("mm"), "{answer}");
        assert_eq!(
            screen.eval("return document.getElementById('f-bore').value").await,
            "4.030",
            "the form keeps its values"
        );
        screen.shot("form-ring-gap-answer").await;
        screen.goto("/form?line=ring%20gap").await;
        screen.wait("#form").await;
        assert_eq!(
            screen.eval("return document.getElementById('f-bore').value").await,
            "4.030",
            "last values are offered again"
        );
        assert_eq!(screen.eval("return document.querySelector('[name=duty]:checked').value").await, "marine");
    });
}

#[test]
fn a_reading_is_posted_by_form_and_accepted_by_the_lead() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("job take 1").await;
        screen.goto("/form?line=log%20main-journal%203").await;
        assert_eq!(screen.eval("return document.getElementById('f-check').value").await, "main-journal");
        assert_eq!(screen.eval("return document.getElementById('f-position').value").await, "3");
        screen.fill("#f-values", "2.4495").await;
        screen.fill("#form .boxes label:nth-child(2) input", "2.4493").await;
        assert!(
            screen.text(".readings .heed").await.starts_with("Posted here by you, "),
            "what stands there is said first"
        );
        assert!(screen.text(".readings .press:has(:checked)").await.contains("in (engine’s)"));
        screen.shot("form-log").await;
        screen.press("#form .primary").await;
        screen.wait(&format!("{LAST}.fresh .verdict")).await;
        assert!(screen.text(&format!("{LAST} .said .line")).await.contains("values=2.4495 values=2.4493"));
        assert!(screen.text(&format!("{LAST} .card")).await.contains("posted by you"));
        // What came of it stands first, and the form says that it was sent until something in it changes.
        assert_eq!(screen.eval(UNDER_THE_BAR).await, true);
        assert_eq!(screen.eval("return document.querySelector('#form .primary').checkVisibility()").await, false);
        assert!(screen.text(".sent-word").await.starts_with("Sent."));
        assert!(screen.eval("return document.title").await.as_str().unwrap().starts_with("Post a reading"));
        screen.fill("#form .boxes label:nth-child(2) input", "2.4494").await;
        screen.wait_for("return document.querySelector('#form .primary').checkVisibility()").await;
        screen.fill("#form .boxes label:nth-child(2) input", "").await;
        assert_eq!(
            screen.eval("return document.getElementById('f-values').value").await,
            "",
            "ready for the next reading"
        );
        screen.shot("form-log-answer").await;

        screen.be("lead").await;
        assert_eq!(screen.count("#talk > .exchange").await, 0, "the lead's talk is not the tech's");
        screen.say("review").await;
        assert_eq!(screen.count(".refused").await, 0);
        screen.shot("review").await;
        screen.press(&format!("{LAST} button[name=line][value^='review accept']")).await;
        screen.cards(2).await;
        let answer = screen.text(&format!("{LAST} .answer")).await;
        assert!(answer.to_lowercase().contains("accepted"), "{answer}");
        screen.shot("review-accept").await;
    });
}

#[test]
fn a_refusal_names_the_input_what_was_given_and_what_is_possible() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("ring gap 4.03mm marine").await;
        let card = screen.text(&format!("{LAST}.refused .card")).await;
        for part in ["bore", "4.03mm", "4.03 in", "Nothing was changed"] {
            assert!(card.contains(part), "no {part} in {card}");
        }
        screen.shot("refusal").await;
        screen.press(&format!("{LAST} .mend")).await;
        assert_eq!(screen.eval("return document.getElementById('line').value").await, "ring gap 4.03mm marine");

        screen.goto("/form?line=ring%20gap%204.03mm").await;
        screen.press("#form .primary").await;
        screen.wait(&format!("{LAST}.fresh.refused")).await;
        assert_eq!(screen.count("#f-bore[aria-invalid=true]").await, 1, "the field at fault is marked");
    });
}

#[test]
fn markup_in_a_line_or_a_note_stays_text() {
    on_screen(async |screen| {
        let evil = "<img src=x onerror=\"document.title='owned'\"><script>document.title='owned'</script>";
        screen.be("tech-1").await;
        let pictures = screen.count("img").await;
        screen.say(&format!("what is {evil}")).await;
        assert!(screen.text(&format!("{LAST} .said .line")).await.contains("<img src=x"));
        screen.say("job take 1").await;
        screen.say("log main-journal 3 2.4495in 2.4493in note=\"<b onclick=alert(1)>ran&amp;hot</b><script>document.title='owned'</script>\"").await;
        screen.say("sheet").await;
        screen.shot("hostile").await;
        screen.reload().await;
        screen.cards(4).await;
        assert!(!screen.eval("return document.title").await.as_str().unwrap().contains("owned"));
        assert_eq!(screen.count("img").await, pictures);
        assert_eq!(screen.count("#talk script, #talk [onclick], #talk [onerror]").await, 0);
    });
}

#[test]
fn a_question_and_a_form_work_without_script() {
    on_screen(async |screen| {
        screen.scripts(false).await;
        screen.be("apprentice-1").await;
        screen.fill("#line", "how much crank end float").await;
        screen.press("#dock .send").await;
        screen.cards(1).await;
        assert_eq!(screen.path().await, "/line", "a page was loaded");
        assert!(!screen.text(&format!("{LAST} .answer")).await.is_empty());
        screen.shot("ask-no-script").await;
        screen.goto("/form?line=ring%20gap%20bore%3D4.030in").await;
        screen.press("#form .primary").await;
        screen.cards(1).await;
        assert_eq!(screen.path().await, "/form");
        let said = screen.eval("return [document.getElementById('f-bore').value, document.querySelector('[name=\"unit.bore\"]:checked').value]").await;
        assert_eq!(said, serde_json::json!(["4.030", "in"]), "the unit is said once");
        // The keys above the line box are plain forms.
        screen.goto("/").await;
        screen.press(".ready button").await;
        screen.wait(&format!("{LAST} .asked")).await;
    });
}

#[test]
fn suggestions_come_from_the_command_definition() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.fill("#line", "ring g").await;
        screen.wait("#hints li[data-text='ring gap ']").await;
        screen.shot("suggest").await;
        screen.press("#hints li[data-text='ring gap ']").await;
        screen.wait("#line").await.send_keys("4.030in ma").await.unwrap();
        screen.press("#hints li[data-text='ring gap 4.030in marine ']").await;
        assert_eq!(screen.eval("return document.getElementById('line').value").await, "ring gap 4.030in marine ");
        screen.goto("/form?line=limits").await;
        screen.fill("[data-kind=pick] input", "sker").await;
        screen.wait("[data-kind=pick] .hints li[data-text='skerry-v8']").await;
    });
}

#[test]
fn a_lost_connection_is_shown_and_the_line_is_sent_again_under_the_same_key() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        // The first answer is lost on its way back; the request itself arrived.
        screen
            .eval(
                "const real = window.fetch; window.sent = []; let first = true;
                 window.fetch = async (to, how) => {
                     if (to === '/line') window.sent.push(new URLSearchParams(how.body).get('key'));
                     const answer = await real(to, how);
                     if (to === '/line' && first) { first = false; throw new TypeError('lost'); }
                     return answer;
                 };",
            )
            .await;
        screen.fill("#line", "job take 1").await;
        screen.press("#dock .send").await;
        screen.press(".unsent.broken button").await;
        screen.cards(1).await;
        let keys = screen.eval("return window.sent").await;
        assert_eq!(keys[0], keys[1]);
        assert!(keys[0].as_str().unwrap().len() >= 32);
        assert_eq!(screen.count(".unsent").await, 0);
    });
}

#[test]
fn plain_words_are_offered_as_the_line_they_mean() {
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("apprentice-1").await;
        let before = screen.shop.desk.fingerprint().unwrap();
        screen.fill("#line", "what end gap for a 4.030in bore, marine?").await;
        screen.wait("#hints [data-text='ring gap 4.030in duty=marine']").await;
        assert!(screen.text("#hints li:first-child").await.contains("Top ring gap 0.0202 to "), "with its answer");
        screen.shot("suggest-sum").await;
        for words in ["hello there everybody", "which bearing 3"] {
            let told = screen.eval(&format!("return fetch('/suggest?line={words}').then((a) => a.text())")).await;
            assert_eq!(told, "", "{words} means nothing");
        }
        screen.fill("#line", "measured main journal 3 of the Skerry: 2.4495 and 2.4493").await;
        screen.wait("#hints [data-text='log main-journal 3 2.4495 2.4493']").await;
        screen.shot("suggest-reading").await;
        assert_eq!(screen.shop.desk.fingerprint().unwrap(), before, "to offer is not to post");
        screen.press("#hints li:first-child").await;
        screen.press("#dock .send").await;
        screen.wait(&format!("{LAST}.out .verdict")).await;
        assert!(screen.text(&format!("{LAST} .answer")).await.starts_with("Main journal 3: 2.4493 to 2.4495 in"));
    });
}

#[test]
fn what_is_wanted_most_is_above_the_line_box() {
    on_screen(async |screen| {
        screen.size(320, 640).await;
        screen.be("apprentice-1").await;
        assert_eq!(screen.text(".ready p").await, "Posting to #1 Harbour launch, port engine");
        screen.press(".ready button").await;
        screen.wait(&format!("{LAST} .asked")).await;
        assert_eq!(screen.eval(UNDER_THE_BAR).await, true);
        // At its end the last answer is whole above them, and typing gets their room.
        let above = "scrollTo({top: 1e6, behavior: 'instant'});
            const edge = (css, of) => document.querySelector(css).getBoundingClientRect()[of];
            return edge('#talk > .exchange:last-of-type', 'bottom') <= edge('#dock', 'top');";
        assert_eq!(screen.eval(above).await, true);
        screen.shot("ready").await;
        screen.eval("document.getElementById('line').focus()").await;
        assert_eq!(screen.eval("return document.querySelector('.ready').checkVisibility()").await, false);
        // Another job is told of at once; where none is in hand, one is to be chosen.
        screen.be("lead").await;
        screen.say("job open dunlin-six Workboat").await;
        screen.wait_for("return document.querySelector('.ready p').textContent === 'Posting to #2 Workboat'").await;
        screen.say("job close 2 reason=mistyped").await;
        screen.wait(".ready a[href='/jobs']").await;
        screen.be("apprentice-1").await;
        screen.press(".ready a").await;
        screen.fill("#f-check", "main-journal").await;
        screen.fill("#f-position", "2").await;
        // Each box by the name that the plan gives it.
        screen.wait(".readings .heed").await;
        let names = screen
            .eval("return Array.from(document.querySelectorAll('#form .boxes label'), (e) => e.textContent.trim())")
            .await;
        assert_eq!(
            names,
            serde_json::json!(["front vertical", "front horizontal", "rear vertical", "rear horizontal"])
        );
    });
}
