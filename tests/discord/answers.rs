//! Slash commands answered and completed.

use std::time::Duration;

use gudgeon::fronts::discord::State;

use super::events::{LEAD, TECH, VISITOR, focused, text, whole};
use super::server::Server;
use super::shop::{Shop, WAIT, buttons, private, shown};

#[test]
fn a_sum_is_answered_first_thing_with_its_working() {
    let shop = Shop::open();
    let call = shop.slash(TECH, "ring gap", vec![text("bore", "4.030in"), text("duty", "marine")]);
    assert_eq!(call.body["type"], 4);
    assert!(!private(&call));
    let title = call.body["data"]["embeds"][0]["title"].as_str().unwrap().to_lowercase();
    assert!(title.contains("gap"), "{title}");
    let call = shop.slash(TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(shown(&call).contains("102.36"), "{}", shown(&call));
    assert!(shown(&call).contains("```"), "its working stands as code: {}", shown(&call));
}

#[test]
fn a_figure_comes_as_a_picture_with_words() {
    let shop = Shop::open();
    let call = shop.slash(TECH, "orient", vec![text("engine", "skerry-v8"), whole("cylinder", 3)]);
    assert!(!private(&call), "{}", shown(&call));
    let picture = call.files.iter().find(|file| file.name.ends_with(".png")).expect("a picture");
    assert!(picture.bytes.starts_with(b"\x89PNG"));
    let embeds = call.body["data"]["embeds"].as_array().unwrap();
    let url = format!("attachment://{}", picture.name);
    assert!(embeds.iter().any(|embed| embed["image"]["url"] == url), "{embeds:?}");
    let described = call.body["data"]["attachments"].as_array().unwrap();
    assert!(described.iter().any(|a| a["filename"] == picture.name && !a["description"].as_str().unwrap().is_empty()));
}

#[test]
fn a_question_stays_in_its_command() {
    let shop = Shop::open();
    let call = shop.slash(TECH, "ask", vec![text("question", "how much crank end float")]);
    assert!(!private(&call) && shown(&call).to_lowercase().contains("end float"), "{}", shown(&call));
}

#[test]
fn what_was_typed_pings_nobody_and_marks_up_nothing() {
    let shop = Shop::open();
    let call = shop.slash(TECH, "convert", vec![text("value", "@everyone **4in** <@601>"), text("to", "mm")]);
    assert!(private(&call));
    let said = shown(&call);
    assert!(said.contains(r"\@everyone \*\*4in\*\* \<\@601>"), "{said}");
    assert_eq!(call.body["data"]["allowed_mentions"]["parse"], serde_json::json!([]));
}

#[test]
fn a_refusal_is_for_the_asker_alone_and_can_be_mended() {
    let shop = Shop::open();
    let call = shop.slash(TECH, "convert", vec![text("value", "4.030"), text("to", "mm")]);
    assert!(private(&call));
    assert!(shown(&call).contains("Refused: value") && shown(&call).contains("4.030"), "{}", shown(&call));
    let (_, change) = buttons(&call).into_iter().find(|(label, _)| label.starts_with("Change it")).expect("a way on");
    let form = shop.press(TECH, &change);
    assert_eq!(form.body["type"], 9);
    assert_eq!(form.body["data"]["components"][0]["components"][0]["value"], "4.030", "what was typed is not lost");
}

#[test]
fn several_values_stand_in_one_option() {
    let shop = Shop::open();
    let values = vec![
        text("check", "main-journal"),
        text("position", "3"),
        text("values", "2.4495in 2.4493\""),
        text("job", "#1"),
    ];
    let call = shop.slash(TECH, "log", values);
    assert!(!private(&call), "{}", shown(&call));
    assert!(shown(&call).to_lowercase().contains("main"), "{}", shown(&call));
}

#[test]
fn a_slow_answer_is_announced_and_then_edited_in() {
    let shop = Shop::with(|settings| settings.defer_after = Duration::ZERO);
    let answer = shop.slash(TECH, "orient", vec![text("engine", "skerry-v8"), whole("cylinder", 3)]);
    assert_eq!(shop.server.call("POST", "/interactions/").body["type"], WAIT);
    assert_eq!((answer.method.as_str(), shop.server.count("PATCH", "/messages/@original")), ("PATCH", 1));
    assert!(answer.files.iter().any(|file| file.name.ends_with(".png")));
    assert!(!shown(&answer).trim().is_empty());
}

#[test]
fn a_slow_refusal_is_still_for_the_asker_alone() {
    let shop = Shop::with(|settings| settings.defer_after = Duration::ZERO);
    let told = shop.slash(TECH, "convert", vec![text("value", "4.030"), text("to", "mm")]);
    assert_eq!(shop.server.call("POST", "/interactions/").body["type"], WAIT);
    assert!(private(&told) && shown(&told).contains("Refused"), "{}", shown(&told));
    assert_eq!(shop.server.count("DELETE", "/messages/@original"), 1, "the public word was taken back");
    assert_eq!(shop.server.count("PATCH", "/messages/@original"), 0);
}

#[test]
fn help_is_there_and_names_the_commands() {
    let shop = Shop::open();
    let call = shop.slash(VISITOR, "help", vec![text("about", "ring gap")]);
    assert!(shown(&call).starts_with("ring gap"), "{}", shown(&call));
    let all = shop.slash(VISITOR, "help", vec![]);
    let menu = &all.body["data"]["components"].as_array().unwrap().iter().find(|r| r["components"][0]["type"] == 3);
    let menu = &menu.expect("a menu of commands")["components"][0];
    let value = menu["options"][0]["value"].as_str().unwrap();
    let chosen = shop.choose(VISITOR, menu["custom_id"].as_str().unwrap(), value);
    let label = menu["options"][0]["label"].as_str().unwrap();
    assert!(shown(&chosen).starts_with(label), "{label}: {}", shown(&chosen));
}

#[test]
fn options_are_completed_by_fragment() {
    let shop = Shop::open();
    let engines = shop.typing(TECH, "orient", vec![focused("engine", "sker")]);
    assert_eq!(engines.first().map(|(value, _)| value.as_str()), Some("skerry-v8"), "{engines:?}");
    let checks = shop.typing(TECH, "log", vec![focused("check", "journal")]);
    assert!(checks.iter().any(|(value, _)| value == "main-journal"), "{checks:?}");
    let about = shop.typing(TECH, "help", vec![focused("about", "ring")]);
    assert_eq!(about.first().map(|(value, _)| value.as_str()), Some("ring"), "{about:?}");
    assert!(shop.typing(TECH, "log", vec![focused("check", "no such check")]).is_empty());
    let whole_list = shop.typing(TECH, "log", vec![focused("check", "")]);
    assert!((1..=25).contains(&whole_list.len()));
}

#[test]
fn the_servers_roles_count_and_a_borrowed_name_does_not() {
    let shop = Shop::open();
    let example = &shop.desk.form("job open").expect("jobs can be opened").example;
    let line = format!("say:{example}");
    assert!(private(&shop.press(VISITOR, &line)), "a visitor called as the shop's lead opens nothing");
    assert!(!private(&shop.press(TECH, &line)));
    assert!(!private(&shop.press(LEAD, &line)));
}

#[test]
fn another_server_gets_nothing() {
    let shop = Shop::started(Server::start(), |settings| settings.guild = 401);
    shop.wait_for("the front", |state| *state == State::Up);
    let call = shop.slash(LEAD, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(private(&call) && !shown(&call).contains("102.36"), "{}", shown(&call));
    assert!(shop.typing(LEAD, "log", vec![focused("check", "")]).is_empty());
}
