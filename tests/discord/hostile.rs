//! What a person may type to do harm: too much of it, markup, mentions, a second line. It is answered within the platform's
//! limits (which the server holds every body against), pings nobody and changes nothing.

use serde_json::{Value, json};

use super::events::{LEAD, TECH, text};
use super::rest::Call;
use super::shop::{Shop, buttons, looked, private, shown};

const EVIL: &str = "@everyone <@&11> <@603> **bold** [here](http://a.example) ||x|| `c` # big";

fn pings_nobody(body: &Value) {
    let mentions = if body["data"].is_object() { &body["data"]["allowed_mentions"] } else { &body["allowed_mentions"] };
    assert_eq!(mentions["parse"], json!([]), "{body}");
    assert!(["roles", "users"].iter().all(|key| mentions[key].as_array().is_none_or(Vec::is_empty)), "{body}");
}

#[test]
fn values_that_are_too_long_or_malformed_are_refused_within_the_limits() {
    let shop = Shop::alone(|_| {});
    let before = shop.desk.fingerprint().unwrap();
    let values = [
        "9".repeat(6_000),
        "🔧".repeat(3_000),
        "*_~`|<@[]\\".repeat(600),
        "\u{202e}in 030.4".to_owned(),
        "4.03\u{0}in".to_owned(),
        "1e999in".to_owned(),
        "NaN in".to_owned(),
        "-0.0in\" --sure job=1".to_owned(),
        "4.030in\nreview accept stage=crank job=1".to_owned(),
        "4.030in\r\n\u{2028}job close 1 reason=x".to_owned(),
        EVIL.to_owned(),
    ];
    for value in &values {
        for (words, options) in [
            ("convert", vec![text("value", value), text("to", "mm")]),
            ("log", vec![text("check", value), text("position", "5"), text("values", "2.4498in"), text("job", "1")]),
            (
                "log",
                vec![text("check", "main-journal"), text("position", "5"), text("values", value), text("job", "1")],
            ),
            ("page", vec![text("name", value)]),
            ("job show", vec![text("job", value)]),
            ("review accept", vec![text("reading", value)]),
        ] {
            let call = shop.slash(LEAD, words, options);
            assert!(private(&call), "{words} {value:?}: {}", shown(&call));
            pings_nobody(&call.body);
            let shown = shown(&call);
            assert!(!shown.contains("@everyone") || shown.contains("\\@everyone"), "{shown}");
            for (_, id) in buttons(&call) {
                shop.press(LEAD, &id);
            }
        }
        let question = shop.slash(TECH, "ask", vec![text("question", value)]);
        pings_nobody(&question.body);
    }
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
}

#[test]
fn a_job_s_name_marks_up_nothing_and_pings_nobody_wherever_it_stands() {
    let shop = Shop::alone(|settings| settings.review_channel = "lead-bench".to_owned());
    looked(&shop);
    let opened = shop.slash(TECH, "job open", vec![text("engine", "skerry-v8"), text("title", EVIL)]);
    assert!(!private(&opened), "{}", shown(&opened));
    let log = vec![
        text("check", "main-journal"),
        text("position", "5"),
        text("values", "2.4470in 2.4470in"),
        text("note", EVIL),
        text("job", "2"),
    ];
    shop.slash(TECH, "log", log);
    let told = shop.server.wait("the card and the out", |shared| {
        let posted = shared.posted();
        (posted.len() >= 2).then_some(posted)
    });
    for one in told {
        let text = one.now()["content"].as_str().unwrap();
        let own = text.strip_prefix("<@&11> ").unwrap_or(text);
        for raw in ["@everyone", "<@&11>", "<@603>", "**bold**", "[here]", "||x||"] {
            let escaped = own.match_indices(raw).all(|(at, _)| own[..at].ends_with('\\'));
            assert!(escaped, "{raw} in {own}");
        }
        // Only an out calls, and only the leads.
        let roles = &one.now()["allowed_mentions"]["roles"];
        assert_eq!(*roles, if text.starts_with("<@&11> ") { json!(["11"]) } else { json!([]) });
        assert_eq!(one.now()["allowed_mentions"]["users"].as_array().map_or(0, Vec::len), 0);
    }
    let shows: [Call; 2] =
        [shop.slash(LEAD, "job show", vec![text("job", "2")]), shop.slash(LEAD, "review queue", Vec::new())];
    for call in shows {
        pings_nobody(&call.body);
        let said = shown(&call);
        assert!(!said.contains(" @everyone") && !said.contains(" **bold**"), "{said}");
    }
}
