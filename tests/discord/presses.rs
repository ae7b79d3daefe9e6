//! Buttons, and forms that open from them.

use super::events::{TECH, VISITOR, text};
use super::shop::{Shop, buttons, private, shown};

#[test]
fn a_button_sends_its_line_as_the_one_who_presses() {
    let shop = Shop::open();
    let help = shop.slash(TECH, "help", vec![text("about", "convert")]);
    let (_, id) = buttons(&help).into_iter().find(|(label, _)| label.starts_with("Try")).expect("an example to try");
    let answer = shop.press(VISITOR, &id);
    assert_eq!(answer.body["type"], 4, "the answer is a message of its own");
    assert!(!private(&answer) && shown(&answer).contains('='), "{}", shown(&answer));
}

#[test]
fn a_form_opens_prefilled_and_is_answered_when_filled_in() {
    let shop = Shop::open();
    let help = shop.slash(TECH, "help", vec![text("about", "ring gap")]);
    let (_, id) = buttons(&help).into_iter().find(|(label, _)| label.starts_with("Fill in")).expect("a form");
    let form = shop.press(TECH, &id);
    assert_eq!(form.body["type"], 9);
    let data = &form.body["data"];
    let first = &data["components"][0]["components"][0];
    // Not required: a job could supply it.
    assert_eq!((first["custom_id"].as_str(), first["required"].as_bool()), (Some("bore"), Some(false)));
    let answer = shop.fill(TECH, data["custom_id"].as_str().unwrap(), &[("bore", "4.030 in"), ("duty", "marine")]);
    assert!(!private(&answer), "{}", shown(&answer));
    assert!(shown(&answer).to_lowercase().contains("gap"), "{}", shown(&answer));
}

#[test]
fn a_form_keeps_what_its_line_already_held() {
    let shop = Shop::open();
    let form = shop.press(TECH, "form:ring gap duty=marine");
    let inputs = form.body["data"]["components"].as_array().unwrap().clone();
    let duty = inputs.iter().map(|row| &row["components"][0]).find(|input| input["custom_id"] == "duty");
    assert_eq!(duty.expect("duty is asked for")["value"], "marine");
    let wrong =
        shop.fill(TECH, form.body["data"]["custom_id"].as_str().unwrap(), &[("bore", "4.03mm"), ("duty", "idle")]);
    assert!(private(&wrong), "{}", shown(&wrong));
    let (_, again) = buttons(&wrong).into_iter().find(|(label, _)| label.starts_with("Change it")).expect("a way on");
    let form = shop.press(TECH, &again);
    assert_eq!(form.body["data"]["components"][0]["components"][0]["value"], "4.03mm");
}

#[test]
fn an_old_button_says_so_politely() {
    let shop = Shop::open();
    for id in ["key:0123456789abcdef0123456789abcdef", "something else"] {
        let call = shop.press(TECH, id);
        assert!(private(&call));
        assert!(shown(&call).contains("That button is too old: send the line again"), "{}", shown(&call));
    }
    let call = shop.fill(TECH, "key:0123456789abcdef0123456789abcdef", &[("bore", "4in")]);
    assert!(private(&call) && shown(&call).contains("That form is too old"));
}

#[test]
fn a_walk_asks_for_nothing_but_the_readings_and_shows_the_next_place() {
    let shop = Shop::open();
    let next = shop.slash(TECH, "next", vec![text("job", "1")]);
    assert!(buttons(&next).iter().any(|(label, _)| label.starts_with("Post ")), "{:?}", buttons(&next));
    let form = shop.press(TECH, "form:log bore 6 job=1 --walk");
    let data = &form.body["data"];
    assert_eq!(data["title"], "log bore 6");
    let inputs: Vec<_> = data["components"].as_array().unwrap().iter().map(|row| &row["components"][0]).collect();
    let asked: Vec<_> = inputs.iter().map(|input| (input["label"].as_str().unwrap(), &input["required"])).collect();
    let rows = ["top: thrust, axial", "middle: thrust, axial", "bottom: thrust, axial"];
    assert!(asked[..3].iter().map(|(label, required)| (*label, *required == true)).eq(rows.map(|row| (row, true))));
    assert!(
        asked[3..].iter().all(|(label, required)| !["check", "position", "job"].contains(label) && **required == false)
    );
    let id = data["custom_id"].as_str().unwrap();

    // A row with one value too few shifts nothing.
    let short = [("values.0", "4.0004 4.0002"), ("values.1", "4.0004"), ("values.2", "4.0003 4.0001")];
    let refused = shop.fill(TECH, id, &short);
    assert!(private(&refused) && shown(&refused).contains("middle axial is left out"), "{}", shown(&refused));

    let whole = [("values.0", "4.0004 4.0002"), ("values.1", "4.0004 4.0002"), ("values.2", "4.0003 4.0001 in")];
    let posted = shop.fill(TECH, id, &whole);
    assert!(!private(&posted) && shown(&posted).contains("Bore 6: 4.0001 to 4.0004 in"), "{}", shown(&posted));
    assert!(shown(&posted).contains("Next: "), "{}", shown(&posted));
    assert!(buttons(&posted)[0].0.starts_with("Post "), "{:?}", buttons(&posted));
}

#[test]
fn rows_are_pasted_in_a_paragraph() {
    let shop = Shop::open();
    let form = shop.press(TECH, "form:paste main-housing job=1");
    let data = &form.body["data"];
    let rows = data["components"].as_array().unwrap().iter().map(|row| &row["components"][0]);
    let rows = rows.into_iter().find(|input| input["custom_id"] == "rows").expect("the rows are asked for");
    assert_eq!((&rows["style"], &rows["required"]), (&2.into(), &true.into()));
    let block = "Main\tvertical\n1\t2.6408\t2.6409\t2.6408\n2\t2.6409\t2.6410\t2.6409";
    let posted = shop.fill(TECH, data["custom_id"].as_str().unwrap(), &[("rows", block)]);
    assert!(shown(&posted).contains("Main housing bore: 2 readings on record"), "{}", shown(&posted));
}
