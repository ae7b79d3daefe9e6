//! The result while it is typed; dark or light; inch or metric.

use super::rig::on_screen;

#[test]
fn the_result_stands_under_the_form_while_it_is_typed() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.goto("/form?line=ring%20gap").await;
        screen.wait("#result .awaits").await;
        assert!(screen.text("#result").await.contains("bore"), "what is wanting is named");
        let place = "return [document.documentElement.scrollHeight, document.querySelector('#f-bore').offsetTop]";
        let before = screen.eval(place).await;
        screen.fill("#f-bore", "4.030").await;
        screen.press(".press:has(input[name='unit.bore'][value=in])").await;
        screen.press(".press:has(input[name=duty][value=marine])").await;
        // Each of these may be answered; the last one is for this duty.
        screen
            .wait_for("return document.querySelector('#result .answer')?.textContent.startsWith('Top ring gap 0.0202')")
            .await;
        let after = screen.eval(place).await;
        let moved = |at: usize| (after[at].as_f64().unwrap() - before[at].as_f64().unwrap()).abs();
        assert!(moved(0) <= 4.0 && moved(1) <= 4.0, "nothing jumped: {before} {after}");
        screen.shot("result").await;
        assert_eq!(screen.count("#talk .exchange").await, 0, "and nothing was said");
        // A command that writes has none, whatever its form is asked.
        let head = screen.shop.desk.fingerprint().unwrap();
        screen.goto("/form?line=log%20bore%203%20job=1").await;
        assert_eq!(screen.count("#result").await, 0);
        let told = screen
            .eval(
                "return fetch('/result?form.words=log&check=bore&position=3&values=4.0in&job=1').then((a) => a.text())",
            )
            .await;
        assert_eq!(told, "");
        assert_eq!(screen.shop.desk.fingerprint().unwrap(), head);
    });
}

#[test]
fn each_person_has_a_theme_and_a_unit_of_their_own() {
    on_screen(async |screen| {
        let ground = "return getComputedStyle(document.documentElement).backgroundColor";
        screen.be("lead").await;
        let light = screen.eval(ground).await;
        screen.press("a.person").await;
        screen.press("a[href='/taste']").await;
        screen.press(".press:has(input[name=theme][value=dark])").await;
        screen.press(".press:has(input[name=units][value=metric])").await;
        screen.press("main .primary").await;
        screen.wait("html[data-theme=dark]").await;
        assert_ne!(screen.eval(ground).await, light, "dark on a phone that is light");
        screen.shot("taste").await;
        screen.goto("/").await;
        screen.say("ring gap 4.030in marine").await;
        let answer = screen.text("#talk .exchange:last-of-type .answer").await;
        let at = |unit: &str| answer.find(unit).unwrap_or_else(|| panic!("no {unit} in {answer}"));
        assert!(at(" mm") < at(" in"), "metric first, inch beside it: {answer}");
        screen.be("tech-1").await;
        assert_eq!(screen.count("html[data-theme]").await, 0, "the tech's own");
        screen.say("ring gap 4.030in marine").await;
        let answer = screen.text("#talk .exchange:last-of-type .answer").await;
        assert!(answer.find(" in") < answer.find(" mm"), "{answer}");
    });
}
