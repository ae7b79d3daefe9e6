//! The library on the page: found while typing, read, printed; a page that means harm.

use std::sync::Arc;

use gudgeon::config::Config;
use gudgeon::desk::Desk;
use gudgeon::library::{Library, Shelf};
use gudgeon::record::Record;

use super::rig::{on_screen, serve_desk};
use super::wire::ask;

#[test]
fn a_page_is_found_by_title_heading_and_other_words() {
    on_screen(async |screen| {
        screen.be("apprentice-1").await;
        screen.press(".ways a[href='/library']").await;
        screen.wait("#found .kind").await;
        assert!(screen.count("#found a.row").await > 60, "the whole shelf");
        for (typed, slug) in [
            ("end gap", "ring-end-gap"),
            // A heading, and a word that only the list of words knows.
            ("post the gaps", "ring-end-gap"),
            ("wrist pin", "piston-pins-pressed"),
        ] {
            screen.fill("#q", typed).await;
            screen.wait_for(&format!("return location.search === '?q={}'", typed.replace(' ', "+"))).await;
            assert_eq!(screen.count(&format!("#found a[href^='/page/{slug}']")).await, 1, "{typed}");
            assert!(screen.count("#found a.row").await < 40, "{typed}");
        }
        screen.shot("library-typed").await;
        screen.fill("#q", "zzzz qqqq").await;
        screen.wait("#found .help").await;
    });
}

#[test]
fn a_page_has_contents_and_its_hold_point_opens_the_entry() {
    on_screen(async |screen| {
        screen.size(320, 700).await;
        screen.be("tech-1").await;
        screen.goto("/page/ring-end-gap").await;
        let ends = screen
            .eval("return Array.from(document.querySelectorAll('.contents a'), (a) => !!document.getElementById(decodeURIComponent(a.hash.slice(1))))")
            .await;
        let ends = ends.as_array().unwrap();
        assert!(ends.len() >= 2 && ends.iter().all(|found| found == true), "{ends:?}");
        let wide = screen.eval("return document.documentElement.scrollWidth").await;
        assert!(wide.as_u64().unwrap() <= 320, "{wide}");
        screen
            .eval("document.querySelector('.leaf a.hold').scrollIntoView({block: 'center', behavior: 'instant'})")
            .await;
        screen.shot("page-hold").await;
        screen.press(".leaf a.hold[href^='/form?line=log%20ring-gap']").await;
        screen.wait("#form").await;
        assert_eq!(screen.eval("return document.getElementById('f-check').value").await, "ring-gap");
    });
}

#[test]
fn an_answer_leads_to_its_place_on_the_page() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.say("how much crank end float").await;
        screen.press(".exchange .actions a[href^='/page/']").await;
        screen.wait(".leaf").await;
        let anchor = screen.eval("return location.hash.slice(1)").await;
        assert!(anchor.as_str().unwrap().starts_with('p'), "{anchor}");
        let seen =
            screen.eval("return document.querySelector(':target').closest('.part').getBoundingClientRect().top").await;
        let height = screen.eval("return innerHeight").await;
        assert!((0.0..height.as_f64().unwrap()).contains(&seen.as_f64().unwrap()), "{seen}");
        screen.shot("page-at-answer").await;
    });
}

#[test]
fn the_library_needs_no_script_and_prints() {
    on_screen(async |screen| {
        screen.be("tech-1").await;
        screen.scripts(false).await;
        screen.goto("/library").await;
        screen.fill("#q", "end gap").await;
        screen.press("#seek .primary").await;
        screen.wait("#found a[href^='/page/ring-end-gap']").await;
        screen.goto("/page/ring-end-gap").await;
        let pdf = screen.printed("page-ring-end-gap", 21.0, 29.7).await;
        assert!((1..=4).contains(&crate::sheet::files::pages(&pdf)));
    });
}

/// Markup, script and links in a page come to nothing: shown as text, or left out.
#[tokio::test]
async fn a_page_that_means_harm_carries_no_script() {
    let hostile = "+++\ntitle = \"<script>alert(1)</script> Harm\"\nkind = \"procedure\"\nstage = \"rings\"\nreviewed = 2026-11-01\n\
        sources = [\"<img src=x onerror=alert(2)>\"]\n+++\n\n# Harm\n\n## \"><svg onload=alert(3)>\n\n<script>alert(4)</script>\n\n\
        Text <img src=x onerror=alert(5)> and [a link](javascript:alert(6)) and `<b onclick=alert(7)>`.\n\n\
        1. Step [post <i onmouseover=alert(8)>it</i>](log:ring-gap\" onclick=\"alert(9))\n2. ![x](javascript:alert(10))\n\n\
        | A | <script>alert(11)</script> |\n|---|---|\n| <iframe src=//elsewhere.example> | \"><script>alert(12)</script> |\n\n\
        > [!CAUTION]\n> <a href=\"javascript:alert(13)\">heed</a>\n";
    let library = Library::from_files([("procedures/harm.md".to_owned(), hostile.to_owned())]);
    let desk = Desk::new(Config::default().settings(), Shelf::fixed(Arc::new(library)), Record::in_memory().unwrap());
    let shop = serve_desk(desk, |_| {}).await;
    let origin = format!("http://{}", shop.address);
    let door = ask(shop.address, "POST", "/door", &[("Origin", &origin)], "person=lead").await;
    let cookie = door.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
    let tags = regex::Regex::new("<[^>]*>").unwrap();
    let quoted = regex::Regex::new("\"[^\"]*\"").unwrap();
    for path in ["/page/harm", "/library", "/library?q=harm", "/library?q=%3Cscript%3Ealert(1)%3C/script%3E"] {
        let answer = ask(shop.address, "GET", path, &[("Cookie", &cookie)], "").await;
        assert_eq!(answer.status, 200, "{path}");
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("script-src 'self'") && !policy.contains("unsafe"), "{policy}");
        let html = answer.text();
        let own = |tag: &str| {
            tag.starts_with("script src=\"/assets/") || tag.starts_with("script type=\"module\" src=\"/assets/")
        };
        assert!(
            html.split('<').filter(|tag| tag.starts_with("script")).all(own),
            "only the page's own on {path}: {html}"
        );
        for tag in tags.find_iter(&html).map(|found| found.as_str()) {
            let outside_quotes = quoted.replace_all(tag, "");
            assert!(!outside_quotes.contains(" on") && !tag.contains("javascript:"), "{tag} on {path}");
            for harm in ["<img", "<iframe", "<object", "<b ", "<i ", "<base"] {
                assert!(!tag.starts_with(harm), "{tag} on {path}");
            }
        }
    }
}
