//! Every sum by its form, at phone size: what is answered there is what the same line is answered at the desk.

use gudgeon::desk::line::split;
use gudgeon::desk::{Asker, Desk, Form, Front, Outcome};
use serde_json::json;

use super::rig::{Screen, on_screen};
use super::wire::coded;
use crate::house::sums::sums;
use crate::talks::clock;

const PERSON: &str = "tech-1";
const LAST: &str = "#talk > .exchange:last-of-type:not(.unsent, [data-seen])";

/// The values of the form's example line by field, as they go into its boxes.
fn example(desk: &Desk, form: &Form) -> Vec<(String, Vec<String>)> {
    let (named, values) = desk.filled(&form.example).unwrap();
    assert_eq!(named.words(), form.words());
    let many = |id: &str| form.field(id).unwrap().many;
    values.into_iter().map(|(id, value)| if many(&id) { (id, split(&value)) } else { (id, vec![value]) }).collect()
}

fn title(desk: &Desk, line: &str) -> String {
    match desk.answer(&Asker::new(PERSON, Front::Page), line, clock()) {
        Outcome::Reply(reply) => reply.title,
        other => panic!("{line}: {other:?}"),
    }
}

/// Fills the form as a thumb would: unit keys instead of units where there is a key, more boxes where there are too few.
/// Gives what is out of sight or off the screen.
const FILL: &str = "
    const out = [];
    const press = (e) => {
        if (!e.checkVisibility() || e.getBoundingClientRect().right > innerWidth) out.push(e.outerHTML);
        e.click();
    };
    const type = (box, text) => {
        if (!box.checkVisibility() || box.getBoundingClientRect().right > innerWidth) out.push(box.outerHTML);
        box.value = text;
        box.dispatchEvent(new Event('change', { bubbles: true }));
    };
    for (const [id, values] of arguments[0]) {
        const field = document.querySelector(`#form .field[data-field='${id}']`);
        const hidden = field.closest('details:not([open])');
        if (hidden) press(hidden.querySelector('summary'));
        const key = (name, value) =>
            Array.from(field.querySelectorAll(`.press:has(input[name='${name}'])`)).find((k) => k.querySelector('input').value === value);
        const one = field.querySelector('select, textarea');
        if (one) { type(one, values.join(' ')); continue; }
        const chosen = key(id, values[0]);
        if (chosen) { press(chosen); continue; }
        const cut = values.map((value) => value.match(/^([-+.\\d/ ]*\\d) ?(\\D+)$/));
        const unit = cut[0] && cut.every((c) => c && c[2] === cut[0][2]) && key(`unit.${id}`, cut[0][2]);
        if (unit) press(unit);
        for (const [at, value] of values.entries()) {
            const boxes = () => field.querySelectorAll('input[type=text]');
            while (!boxes()[at] || boxes()[at].classList.contains('spare')) press(field.querySelector('.more'));
            type(boxes()[at], unit ? cut[at][1] : value);
        }
    }
    return out;";

/// Every box that holds something and every key that is down.
const HELD: &str = "return Array.from(new FormData(document.getElementById('form')))
    .filter(([name, value]) => value && !name.startsWith('form.')).map((pair) => pair.join('='));";

/// Puts a text into the first box that holds one, and gives what was there.
const SPOIL: &str = "
    const box = Array.from(document.querySelectorAll('#form input[type=text], #form textarea')).find((box) => box.value);
    const before = box.value;
    box.value = arguments[0];
    return before;";

/// Sends the form and gives class, answer and line of the card that comes.
async fn send(screen: &Screen) -> [String; 3] {
    // Marked, not removed: nothing may move under the press that follows.
    screen.eval("document.querySelectorAll('#talk > .exchange').forEach((card) => (card.dataset.seen = ''))").await;
    screen.press("#form .primary").await;
    screen.wait(LAST).await;
    let card = screen
        .eval("const card = document.querySelector('#talk > .exchange:last-of-type'); return [card.className, card.querySelector('.answer').textContent, card.querySelector('.said .line').textContent]")
        .await;
    serde_json::from_value(card).unwrap()
}

/// Opens the form of the command that a line begins with, without anything remembered.
async fn open(screen: &Screen, line: &str) {
    screen.eval("sessionStorage.clear(); localStorage.clear()").await;
    screen.goto(&format!("/form?line={}", coded(line))).await;
}

#[test]
fn every_sum_is_worked_out_by_its_form() {
    on_screen(async |screen| {
        screen.be(PERSON).await;
        let desk = &screen.shop.desk;
        let mut wrong = Vec::new();
        for form in sums(desk) {
            let words = form.words();
            let right = title(desk, &form.example);
            open(screen, &words).await;
            let unseen = screen.eval_with(FILL, vec![json!(example(desk, form))]).await;
            if unseen != json!([]) {
                wrong.push(format!("{words}: out of sight: {unseen}"));
            }
            let before = screen.eval_with(SPOIL, vec![json!("???")]).await;
            let held = screen.eval(HELD).await;
            let [class, ..] = send(screen).await;
            if !class.contains("refused") || screen.eval(HELD).await != held {
                wrong.push(format!("{words}: {class}, held {held}"));
            }
            screen.eval_with(SPOIL, vec![before]).await;
            let [_, answer, line] = send(screen).await;
            if answer != right {
                wrong.push(format!("{words}: “{answer}” to {line}, instead of “{right}” to {}", form.example));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}

#[test]
fn a_form_opened_on_a_line_and_sent_as_it_stands_is_that_line() {
    on_screen(async |screen| {
        screen.be(PERSON).await;
        let desk = &screen.shop.desk;
        let mut wrong = Vec::new();
        for form in sums(desk) {
            let right = title(desk, &form.example);
            open(screen, &form.example).await;
            let [_, answer, line] = send(screen).await;
            if answer != right {
                wrong.push(format!("“{answer}” to {line}, instead of “{right}” to {}", form.example));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}

/// A phone, a tablet on the wall, a desk.
const SIZES: [(&str, u32, u32); 3] = [("phone", 360, 740), ("tablet", 820, 1180), ("desktop", 1440, 900)];

#[test]
fn a_form_of_every_family_is_filled_and_answered_at_every_size() {
    on_screen(async |screen| {
        screen.be("lead").await;
        screen.say("job take 1").await;
        let desk = &screen.shop.desk;
        let mut wrong = Vec::new();
        for (size, wide, high) in SIZES {
            screen.size(wide, high).await;
            for family in desk.forms().chunk_by(|a, b| a.family == b.family) {
                let form = &family[0];
                let words = form.words();
                open(screen, &words).await;
                let unseen = screen.eval_with(FILL, vec![json!(example(desk, form))]).await;
                if unseen != json!([]) {
                    wrong.push(format!("{size}, {words}: out of sight: {unseen}"));
                }
                let [class, answer, line] = send(screen).await;
                // One that posts may be refused the second time; what only looks or works out is answered each time.
                if class.contains("broken") || (desk.is_sum(form) && class.contains("refused")) {
                    wrong.push(format!("{size}: “{answer}” to {line}"));
                }
                let over = screen.eval("return document.documentElement.scrollWidth - innerWidth").await;
                if over.as_i64().unwrap() > 0 {
                    wrong.push(format!("{size}, {words}: {over} too wide"));
                }
                screen.shot(&format!("family-{size}-{}", form.family)).await;
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}
