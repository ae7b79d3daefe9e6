//! Whatever the desk says, the message fits the platform.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::desk::reply::{Caution, Cell, Document, Loudness, Table};

const MOST: usize = limits::FILE_BYTES;

/// Every limit of a message, by hand.
fn check(message: &Message) {
    assert!(message.cards.len() <= 10 && !message.cards.is_empty());
    let mut all = 0;
    for card in &message.cards {
        let (title, text, footer) = (size(&card.title), size(&card.text), size(&card.footer));
        assert!(title <= 256 && text <= 4_096 && footer <= 2_048, "{title} {text} {footer}");
        let shows = !card.title.trim().is_empty() || !card.text.trim().is_empty() || card.image.is_some();
        assert!(shows, "an empty card is refused");
        all += title + text + footer;
        if let Some(image) = &card.image {
            assert!(message.files.iter().any(|file| file.name == *image), "{image} is not attached");
        }
    }
    assert!(all <= 6_000, "{all} characters over all cards");
    assert!(message.files.len() <= 10);
    let names: BTreeSet<&str> = message.files.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names.len(), message.files.len(), "{names:?}");
    for file in &message.files {
        assert!(!file.name.is_empty() && size(&file.alt) <= 1_024 && file.bytes.len() <= MOST);
    }
    assert!(message.rows.len() <= 5);
    let mut ids = BTreeSet::new();
    for row in &message.rows {
        let (pressed, most_label, most) = match row {
            Row::Buttons(buttons) => (buttons, 80, 5),
            Row::Menu { choices, hint } => {
                assert!(size(hint) <= 150);
                (choices, 100, 25)
            }
        };
        assert!(!pressed.is_empty() && pressed.len() <= most);
        for button in pressed {
            assert!(!button.label.trim().is_empty() && size(&button.label) <= most_label, "{:?}", button.label);
            assert!(size(&button.id) <= 100 && !button.id.is_empty());
            // An entry of a menu may say what a button says: they are told apart by the menu.
            assert!(ids.insert((most, &button.id)), "{} is there twice", button.id);
        }
    }
}

fn text(most: usize) -> impl Strategy<Value = String> {
    prop_oneof![
        40 => proptest::string::string_regex(&format!(".{{0,{most}}}")).unwrap(),
        20 => proptest::string::string_regex(&format!("[*_`@<>#|~\\\\ \n0-9.-]{{0,{most}}}")).unwrap(),
        4 => Just(String::new()),
        1 => Just("x".repeat(7_000)),
        1 => Just("🔧*\n".repeat(2_500)),
    ]
}

fn texts(most: usize) -> impl Strategy<Value = Vec<String>> {
    proptest::collection::vec(text(60), 0..most)
}

fn cell() -> impl Strategy<Value = Cell> {
    let verdict = prop_oneof![Just(None), Just(Some(Verdict::Out)), Just(Some(Verdict::Within))];
    (text(12), verdict, proptest::option::of(text(140))).prop_map(|(text, verdict, line)| Cell { text, verdict, line })
}

fn block() -> impl Strategy<Value = Block> {
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><rect width="40" height="20" fill="#222"/></svg>"##;
    let table = (text(40), texts(6), proptest::collection::vec(proptest::collection::vec(cell(), 0..6), 0..12))
        .prop_map(|(caption, header, rows)| Block::Table(Table { caption, header, rows }));
    prop_oneof![
        text(80).prop_map(Block::Heading),
        text(600).prop_map(Block::Text),
        proptest::collection::vec((text(20), text(60)), 0..40).prop_map(Block::Fields),
        table,
        texts(30).prop_map(|items| Block::Steps { start: 7, items }),
        texts(30).prop_map(Block::Bullets),
        texts(10).prop_map(Block::Working),
        (text(60), text(2_000)).prop_map(move |(title, alt)| {
            Block::Figure(Figure { title, alt, svg: svg.to_owned(), width: 40, height: 20 })
        }),
        text(900).prop_map(|text| Block::Caution(Caution { loudness: Loudness::Warning, text })),
        texts(40).prop_map(Block::Sources),
        (text(90), text(100)).prop_map(|(name, content)| Block::Document(Document {
            name,
            media: "text/plain",
            content: content.into_bytes()
        })),
    ]
}

fn action() -> impl Strategy<Value = Action> {
    (text(100), text(200), any::<bool>()).prop_map(|(label, line, form)| Action {
        label,
        line,
        form,
        entry: false,
        turns: false,
    })
}

fn any_reply() -> impl Strategy<Value = Reply> {
    let verdict = prop_oneof![Just(None), Just(Some(Verdict::Out)), Just(Some(Verdict::NoLimit))];
    let blocks = proptest::collection::vec(block(), 0..16);
    (text(400), verdict, blocks, proptest::collection::vec(action(), 0..40))
        .prop_map(|(title, verdict, blocks, actions)| Reply { title, verdict, blocks, actions, ..Reply::default() })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn any_reply_fits(reply in any_reply()) {
        check(&outcome(&Outcome::Reply(reply), &Buttons::default(), &|_| Ok(None), MOST));
    }

    #[test]
    fn any_refusal_fits(input in text(300), given in text(300), possible in text(5_000), line in proptest::option::of(text(200))) {
        let mut refusal = Refusal::new(input, given, possible);
        refusal.line = line;
        let message = outcome(&Outcome::Refused(refusal), &Buttons::default(), &|_| Ok(None), MOST);
        check(&message);
        prop_assert!(message.private);
    }
}

fn painted(reply: Reply) -> Message {
    let message = outcome(&Outcome::Reply(reply), &Buttons::default(), &|_| Ok(None), MOST);
    check(&message);
    message
}

#[test]
fn the_answer_stands_first_with_its_verdict_word() {
    let message = painted(Reply::new("Main 3: 2.4489 in").verdict(Verdict::Out).text("Grind to 0.010 in under."));
    assert_eq!(message.cards[0].title, "Main 3: 2.4489 in - OUT");
    assert_eq!(message.cards[0].colour, RED);
    assert!(!message.private);
}

#[test]
fn a_long_answer_goes_whole_into_a_file() {
    let mut reply = Reply::new("Long").caution(Loudness::Caution, "Keep fingers clear.");
    for n in 0..400 {
        reply = reply.text(format!("Paragraph {n} of a very long page."));
    }
    let message = painted(reply.caution(Loudness::Warning, "Never lean over it."));
    let card = &message.cards[0];
    assert!(card.text.contains("Keep fingers clear.") && card.text.contains("Never lean over it."));
    assert!(card.text.ends_with(CUT_NOTE));
    let whole = message.files.iter().find(|file| file.name == WHOLE).unwrap();
    assert!(String::from_utf8_lossy(&whole.bytes).contains("Paragraph 399"));
}

#[test]
fn a_figure_is_a_picture_with_words() {
    let svg =
        r##"<svg xmlns="http://www.w3.org/2000/svg" width="360" height="200"><rect width="360" height="200"/></svg>"##;
    let figure = |svg: &str| Figure {
        title: "Ring clock".to_owned(),
        alt: "Top gap at 45 degrees".to_owned(),
        svg: svg.to_owned(),
        width: 360,
        height: 200,
    };
    let message = painted(Reply::new("Clock").figure(figure(svg)).figure(figure(svg)));
    assert_eq!(message.cards[0].image.as_deref(), Some("figure.png"));
    assert_eq!(message.cards[1].image.as_deref(), Some("figure-2.png"));
    assert_eq!(message.cards[1].title, "Ring clock");
    assert!(message.files[0].bytes.starts_with(b"\x89PNG") && message.files[0].alt == "Top gap at 45 degrees");
    let broken = painted(Reply::new("Clock").figure(figure("no drawing")));
    assert!(broken.files.is_empty() && broken.cards[0].text.contains("Top gap at 45 degrees"));
}

#[test]
fn a_document_is_attached_or_its_size_is_told() {
    let sheet = |content: String| Document {
        name: "build sheet #1.html".to_owned(),
        media: "text/html",
        content: content.into_bytes(),
    };
    let message = painted(Reply::new("Sheet").block(Block::Document(sheet("<p>built</p>".to_owned()))));
    assert_eq!(message.files[0].name, "build-sheet--1.html");
    let message = painted(Reply::new("Sheet").block(Block::Document(sheet("x".repeat(MOST + 1)))));
    assert!(message.files.is_empty() && message.cards[0].text.contains("too large"));
}

#[test]
fn a_fault_is_for_the_asker_alone() {
    let message =
        outcome(&Outcome::Fault("Something broke on our side.".to_owned()), &Buttons::default(), &|_| Ok(None), MOST);
    check(&message);
    assert!(message.private && message.cards[0].text.contains("Something broke"));
}
