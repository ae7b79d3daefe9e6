//! Whether every screen can be read and pressed: width, targets, contrast, names.

use serde_json::Value;

use super::rig::{Screen, on_screen};

/// The screens a person meets; each comes with what is said there first.
pub const SCREENS: [(&str, &str, &[&str]); 19] = [
    ("door", "/door", &[]),
    ("welcome", "/", &[]),
    ("forms", "/forms", &[]),
    ("form-log", "/form?line=log", &[]),
    ("form-bore", "/form?line=log%20bore%203", &[]),
    ("form-paste", "/form?line=paste%20bore", &[]),
    ("walk", "/", &["next 1", "log bore 3 4.0004 4.0002 4.0004 4.0302 4.0003 4.0001 job=1 --walk"]),
    ("form-compression", "/form?line=cylinder%20compression", &[]),
    ("form-result", "/form?line=ring%20gap%204.030in%20marine", &[]),
    ("library", "/library", &[]),
    ("library-found", "/library?q=end%20gap", &[]),
    ("page", "/page/ring-end-gap", &[]),
    ("page-engine", "/page/skerry-v8", &[]),
    ("taste", "/taste", &[]),
    ("review", "/review", &[]),
    ("jobs", "/jobs", &[]),
    ("job", "/job/1", &[]),
    ("rows", "/job/1/rows/main-journal", &[]),
    (
        "cards",
        "/",
        &[
            "help",
            "how much crank end float",
            "ring gap 4.030in marine",
            "ring gap 4.03mm",
            "job show 1",
            "orient skerry-v8 3",
        ],
    ),
];

pub async fn open(screen: &Screen, path: &str, lines: &[&str]) {
    screen.goto(path).await;
    for line in lines {
        screen.say(line).await;
    }
}

/// Looks at every screen in both themes.
pub async fn in_both_themes(screen: &Screen, mut look: impl AsyncFnMut(&str, &str)) {
    for theme in ["light", "dark"] {
        screen.theme(theme).await;
        for (name, path, lines) in SCREENS {
            open(screen, path, lines).await;
            look(name, theme).await;
        }
        screen.eval("sessionStorage.clear()").await;
    }
}

#[test]
fn nothing_is_wider_than_a_small_phone_and_everything_pressed_is_48_high() {
    on_screen(async |screen| {
        screen.be("lead").await;
        screen.size(320, 700).await;
        for (name, path, lines) in SCREENS {
            open(screen, path, lines).await;
            let wide = screen.eval("return [document.documentElement.scrollWidth, document.body.scrollWidth]").await;
            assert!(wide[0].as_u64().unwrap() <= 320 && wide[1].as_u64().unwrap() <= 320, "{name} is {wide} wide");
            let small = screen.eval(SMALL_TARGETS).await;
            assert_eq!(small, Value::Array(Vec::new()), "too small on {name}");
            screen.shot(&format!("small-{name}")).await;
        }
        screen.eval("document.querySelector('.send').style.cssText = 'min-height: 20px; height: 20px'").await;
        assert_eq!(screen.eval(SMALL_TARGETS).await.as_array().unwrap().len(), 1, "a small one is found");
    });
}

/// Everything that can be pressed and is not 48 px high and wide; a hidden radio button is as large as its label.
const SMALL_TARGETS: &str = "
    const pressed = 'a[href], button, select, textarea, summary, input:not([type=hidden]), [role=option]';
    return Array.from(document.querySelectorAll(pressed))
        .filter((e) => e.checkVisibility())
        .map((e) => [e.outerHTML.slice(0, 90), e.getBoundingClientRect()])
        .filter(([, box]) => box.height < 47.9 || box.width < 47.9)
        .map(([html, box]) => html + ' ' + box.width + 'x' + box.height);";

#[test]
fn text_stands_out_in_both_themes() {
    on_screen(async |screen| {
        screen.be("lead").await;
        in_both_themes(screen, async |name, theme| {
            let faint = screen.eval(FAINT_TEXT).await;
            assert_eq!(faint, Value::Array(Vec::new()), "too faint on {name} in the {theme} theme");
            screen.shot(&format!("{theme}-{name}")).await;
        })
        .await;
        screen.eval("document.querySelector('.answer').style.color = '#80868c'").await;
        assert_eq!(screen.eval(FAINT_TEXT).await.as_array().unwrap().len(), 1, "a faint one is found");
    });
}

/// Text below its ratio (WCAG 2.2: 1.4.6 for answers, readings and verdicts, 1.4.3 for the rest), by the relative
/// luminance the same standard defines, against the nearest painted ground.
const FAINT_TEXT: &str = "
    const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
    const channel = (c) => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
    const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
    const ground = (e) => {
        for (; e; e = e.parentElement) {
            const colour = parts(getComputedStyle(e).backgroundColor);
            if (colour.length < 4 || colour[3] === 1) return colour;
            if (colour[3] > 0) throw new Error('a ground one sees through: ' + e.outerHTML.slice(0, 80));
        }
        return [255, 255, 255];
    };
    const faint = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const e = node.parentElement;
        if (!node.textContent.trim() || !e.checkVisibility() || e.closest('.drawing, .heard, script')) continue;
        const a = light(parts(e.closest('svg') ? getComputedStyle(e).fill : getComputedStyle(e).color));
        const b = light(e.closest('svg') ? parts(getComputedStyle(e.closest('svg')).fill) : ground(e));
        const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
        const wanted = e.closest('.answer, .verdict, .mark-cell, dd') ? 7 : 4.5;
        if (ratio < wanted) faint.push(e.outerHTML.slice(0, 90) + ' ' + ratio.toFixed(2));
    }
    return faint;";

#[test]
fn everything_has_a_name_and_the_keyboard_reaches_it() {
    on_screen(async |screen| {
        screen.be("lead").await;
        for (name, path, lines) in SCREENS {
            open(screen, path, lines).await;
            let nameless = screen.eval(NAMELESS).await;
            assert_eq!(nameless, Value::Array(Vec::new()), "without a name on {name}");
            let twice = screen
                .eval("const ids = Array.from(document.querySelectorAll('[id]'), (e) => e.id); return ids.filter((id, i) => ids.indexOf(id) !== i)")
                .await;
            assert_eq!(twice, Value::Array(Vec::new()), "an id twice on {name}");
            assert_eq!(screen.count("h1").await, 1, "one main heading on {name}");
            assert_eq!(screen.count("main").await, 1);
        }
    });
}

const NAMELESS: &str = "
    const named = (e) => (e.getAttribute('aria-label') || e.textContent || '').trim()
        || Array.from(e.labels || []).some((label) => label.textContent.trim());
    return Array.from(document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, [role=img]'))
        .filter((e) => e.checkVisibility() && !named(e))
        .map((e) => e.outerHTML.slice(0, 120));";

#[test]
fn a_wide_screen_has_two_columns() {
    on_screen(async |screen| {
        screen.be("lead").await;
        for (width, height, name) in [(820, 1180, "tablet"), (1440, 900, "desktop")] {
            screen.size(width, height).await;
            for (place, path, lines) in [
                ("talk", "/", &["job show 1"][..]),
                ("form", "/form?line=ring%20gap", &[]),
                ("job", "/job/1", &[]),
                ("review", "/review", &[]),
                ("page", "/page/skerry-v8", &[]),
            ] {
                open(screen, path, lines).await;
                screen.shot(&format!("{name}-{place}")).await;
                let columns = screen
                    .eval("const seen = (css) => document.querySelector(css).checkVisibility(); return [seen('.talk'), seen('.side')]")
                    .await;
                if width >= 1000 {
                    assert_eq!(columns, serde_json::json!([true, true]), "{name} {place}");
                }
                let wide = screen.eval("return document.documentElement.scrollWidth").await;
                assert!(wide.as_u64().unwrap() <= u64::from(width), "{name} {place} is {wide} wide");
            }
        }
    });
}
