//! Every field of every command, given what no bench sends: a refusal (or, for words, an answer from the library), never
//! a fault of ours, never a change to the record.

use gudgeon::desk::form::{Kind, Pick};
use gudgeon::desk::{Asker, Form, Front, Outcome};
use gudgeon::quantity::Dimension;

use crate::talks::{bench, clock};

const NASTY: [&str; 20] = [
    "nan",
    "inf",
    "-inf",
    "1e400in",
    "-",
    "--",
    "4in4",
    "5/0in",
    "4,030in",
    "0x10in",
    "99999999999in",
    "💥",
    "\u{202e}4in",
    "<script>alert(1)</script>",
    "'; DROP TABLE event; --",
    "../../etc/passwd",
    "=",
    "==in",
    "4.0.3in",
    "½½in",
];

/// A value that would do, so that the one at fault stands alone.
fn good(kind: &Kind) -> String {
    match kind {
        Kind::Quantity(Dimension::Length) => "4.0in",
        Kind::Quantity(Dimension::Volume) => "64cc",
        Kind::Quantity(Dimension::Temperature) => "20C",
        Kind::Quantity(Dimension::Torque) => "85 lb-ft",
        Kind::Quantity(_) => "90",
        Kind::Reading => "2.4495in",
        Kind::Rows => "3, 2.4495, 2.4493",
        Kind::Whole => "1",
        Kind::Choice(choices) => return choices[0].clone(),
        Kind::Flag => "yes",
        Kind::Text => "words",
        Kind::Pick(Pick::Engine) => "skerry-v8",
        Kind::Pick(Pick::Job) => "1",
        Kind::Pick(Pick::Check) => "main-journal",
        Kind::Pick(Pick::Position) => "3",
        Kind::Pick(Pick::Page | Pick::Procedure) => "ring-end-gap",
        Kind::Pick(Pick::Term) => "squish",
        Kind::Pick(Pick::Instrument) => "micrometer 4",
    }
    .to_owned()
}

/// A line with `bad` in one field and good values in those that are needed.
fn line(form: &Form, field: &str, bad: &str) -> String {
    let values: Vec<(String, String)> = form
        .fields
        .iter()
        .filter(|f| f.required || f.id == field)
        .map(|f| (f.id.clone(), if f.id == field { bad.to_owned() } else { good(&f.kind) }))
        .collect();
    form.line(values.iter().map(|(id, value)| (id.as_str(), value.as_str())))
}

#[test]
fn no_field_of_any_command_takes_nonsense() {
    let desk = bench();
    let long = "9".repeat(1_500);
    let mut lines = 0;
    for form in desk.forms() {
        for field in &form.fields {
            let judged = matches!(
                field.kind,
                Kind::Quantity(_)
                    | Kind::Reading
                    | Kind::Rows
                    | Kind::Whole
                    | Kind::Choice(_)
                    | Kind::Pick(Pick::Engine | Pick::Job | Pick::Check)
            );
            for bad in NASTY.iter().copied().chain([long.as_str()]) {
                let line = line(form, &field.id, bad);
                let asker = Asker::new("lead", Front::Page);
                let before = desk.fingerprint().unwrap();
                let outcome = desk.answer(&asker, &line, clock());
                lines += 1;
                assert!(!matches!(outcome, Outcome::Fault(_)), "{line}: {outcome:?}");
                if judged {
                    let answered_in_words = matches!(&outcome, Outcome::Reply(reply) if reply.covered.is_some());
                    assert!(matches!(outcome, Outcome::Refused(_)) || answered_in_words, "{line}: {outcome:?}");
                    assert_eq!(desk.fingerprint().unwrap(), before, "{line}");
                }
                if let Outcome::Refused(refusal) = outcome {
                    assert!(!refusal.input.is_empty() && !refusal.possible.is_empty(), "{line}: {refusal:?}");
                    assert!(refusal.sentence().chars().count() < 900, "{line}: {}", refusal.sentence());
                }
            }
        }
    }
    assert!(lines > 1_000, "only {lines} lines were tried");
}

#[test]
fn lines_that_are_no_lines() {
    let desk = bench();
    let huge = "a".repeat(65_536);
    for line in ["", "   ", "\u{0}", "ring\u{7}gap 4in", "\u{1b}[31mred", huge.as_str()] {
        let outcome = desk.answer(&Asker::new("lead", Front::Page), line, clock());
        assert!(matches!(outcome, Outcome::Refused(_)), "{line:?}: {outcome:?}");
    }
    for line in ["💥", "?!", "====", "--", "\"", "\"\"\"", "help me", "the of and", "🛥️🔧 how tight"] {
        let outcome = desk.answer(&Asker::new("lead", Front::Page), line, clock());
        assert!(!matches!(outcome, Outcome::Fault(_)), "{line:?}: {outcome:?}");
    }
}
