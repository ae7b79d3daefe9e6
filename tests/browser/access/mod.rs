//! Whether those who do not see the screen, or use no pointer, can use it: axe-core's rules on every screen in both themes,
//! and a hand that has a keyboard alone.

use std::path::Path;
use std::sync::LazyLock;

use serde_json::{Value, json};

use super::look::in_both_themes;
use super::rig::{Screen, on_screen};

static AXE: LazyLock<String> = LazyLock::new(|| {
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
    let made = target.join("access/node_modules/axe-core/axe.min.js");
    std::fs::read_to_string(&made).unwrap_or_else(|error| {
        panic!(
            "axe-core is not there ({}: {error}). Run `tests/browser/access/make` once, or `tests/run`, which does it too.",
            made.display()
        )
    })
});

/// What axe-core finds serious or critical on the screen as it stands.
async fn faults(screen: &Screen) -> Vec<String> {
    screen.eval(&AXE).await;
    let found = screen
        .eval("return axe.run(document, { resultTypes: ['violations'] }).then((found) => found.violations)")
        .await;
    let grave = |fault: &&Value| matches!(fault["impact"].as_str(), Some("serious" | "critical"));
    let told = |fault: &Value| {
        let places: Vec<&str> =
            fault["nodes"].as_array().unwrap().iter().map(|n| n["html"].as_str().unwrap()).collect();
        format!("{}: {} {:.600}", fault["id"], fault["help"], places.join(" | "))
    };
    found.as_array().unwrap().iter().filter(grave).map(told).collect()
}

#[test]
fn axe_finds_nothing_serious_on_any_screen_in_either_theme() {
    on_screen(async |screen| {
        screen.be("lead").await;
        in_both_themes(screen, async |name, theme| {
            // Drawers open, so that what is in them is looked at too.
            screen.eval("for (const drawer of document.querySelectorAll('details')) drawer.open = true").await;
            let found = faults(screen).await;
            assert!(found.is_empty(), "{name}, {theme}:\n{}", found.join("\n"));
        })
        .await;
        screen.eval("document.querySelector('.ways a').textContent = ''").await;
        assert!(faults(screen).await.iter().any(|fault| fault.contains("link-name")), "what is wrong is found");
    });
}

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";

/// Goes on by the tab key until what has the focus fits, as someone does who listens for it.
async fn tab_to(screen: &Screen, css: &str) {
    for _ in 0..60 {
        screen.keys(TAB).await;
        let found = screen.eval_with("return document.activeElement.matches(arguments[0])", vec![json!(css)]).await;
        if found == true {
            let seen = screen.eval(SEEN).await;
            assert_eq!(seen, true, "the focus on {css} is seen, under no bar");
            return;
        }
    }
    panic!("the tab key never comes to {css}");
}

const SEEN: &str = "
    const e = document.activeElement;
    const box = e.getBoundingClientRect();
    const style = getComputedStyle(e.matches('.press input') ? e.nextElementSibling : e);
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2 && !!top && (e === top || e.contains(top) || top.contains(e));";

#[test]
fn a_keyboard_alone_comes_to_an_answer_and_posts_a_reading() {
    on_screen(async |screen| {
        screen.size(1440, 900).await;
        screen.goto("/door").await;
        tab_to(screen, "button[value='tech-1']").await;
        screen.keys(ENTER).await;
        screen.wait("#talk").await;
        tab_to(screen, "#line").await;
        screen.keys(&format!("how much crank end float{ENTER}")).await;
        screen.cards(1).await;
        assert!(screen.text("#talk .exchange .answer").await.contains("0.00"));
        screen.goto("/job/1").await;
        screen.wait("[data-part=next] .boxes").await;
        tab_to(screen, "[data-part=next] .boxes input").await;
        for value in ["4.0004", "4.0002", "4.0004", "4.0002", "4.0003", "4.0001"] {
            screen.keys(&format!("{value}{ENTER}")).await;
        }
        screen.wait("[data-part=next] .verdict").await;
        assert!(screen.text("[data-part=next] .answer").await.starts_with("Bore 3: 4.0001 to 4.0004 in"));
    });
}

#[test]
fn who_wants_no_motion_gets_none() {
    on_screen(async |screen| {
        screen.be("lead").await;
        for path in ["/", "/library", "/job/1"] {
            screen.goto(path).await;
            let moving = screen
                .eval(
                    "return [getComputedStyle(document.documentElement).scrollBehavior].concat(Array.from(document.querySelectorAll('*'), (e) => {
                         const s = getComputedStyle(e);
                         return s.animationName !== 'none' || parseFloat(s.transitionDuration) > 0 ? e.outerHTML.slice(0, 80) : '';
                     }).filter(Boolean))",
                )
                .await;
            assert_eq!(moving, json!(["auto"]), "{path}");
        }
    });
}
