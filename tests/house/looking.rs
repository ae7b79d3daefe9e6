//! What a screen asks the desk keeps nothing: no line that is looked at can post, take up or tell.

use gudgeon::desk::{Asker, Front, Outcome};

use crate::talks::{bench, clock};

#[test]
fn looking_changes_nothing_and_answers_as_saying_does() {
    let desk = bench();
    let lead = Asker::new("lead", Front::Page);
    let head = desk.fingerprint().unwrap();
    let (mut looks, mut acts) = (0, Vec::new());
    for form in desk.forms() {
        let looked = desk.look(&lead, &form.example, clock());
        assert_eq!(desk.fingerprint().unwrap(), head, "{}", form.example);
        match looked {
            Outcome::Reply(reply) => {
                looks += 1;
                let Outcome::Reply(said) = desk.answer(&lead, &form.example, clock()) else {
                    panic!("{}", form.example)
                };
                assert_eq!(reply.title, said.title);
                assert_eq!(desk.fingerprint().unwrap(), head, "{} only looks", form.example);
            }
            Outcome::Refused(refusal) if refusal.input == "line" => acts.push(form.words()),
            Outcome::Refused(_) => {}
            Outcome::Fault(text) => panic!("{}: {text}", form.example),
        }
        assert!(
            !desk.is_sum(form) || !acts.contains(&form.words()),
            "a sum only works something out: {}",
            form.words()
        );
    }
    assert!(looks > 60, "{looks}");
    for words in
        ["log", "paste", "amend", "job open", "job take", "job close", "job sign", "review accept", "review return"]
    {
        assert!(acts.iter().any(|act| act == words), "{words} does more than look");
    }
    let question = desk.look(&lead, "what is the weather", clock());
    assert!(matches!(question, Outcome::Refused(_)), "a question is asked in the talk");
}

#[test]
fn what_came_back_is_not_told_by_looking() {
    let desk = bench();
    let apprentice = Asker::new("apprentice-1", Front::Terminal);
    let told = |outcome: Outcome| match outcome {
        Outcome::Reply(reply) => reply.blocks.iter().any(|block| format!("{block:?}").contains("came back from lead")),
        other => panic!("{other:?}"),
    };
    assert!(!told(desk.look(&apprentice, "ring gap 4.030in marine", clock())));
    let first = told(desk.answer(&apprentice, "ring gap 4.030in marine", clock()));
    let second = told(desk.answer(&apprentice, "ring gap 4.030in marine", clock()));
    assert_eq!((first, second), (true, false), "it is told once, when something is said");
}

/// The board of a job tells the same of it as its reply does.
#[test]
fn a_board_and_the_reply_agree() {
    let desk = bench();
    let lead = Asker::new("lead", Front::Page);
    let board = desk.board(&lead, 1).unwrap();
    let Outcome::Reply(reply) = desk.look(&lead, "job show 1", clock()) else { panic!("no reply") };
    let value = |name: &str| reply.values.iter().find(|value| value.name == name).unwrap().value as usize;
    assert_eq!(
        (board.out, board.marginal, board.posted, board.wanted, board.waiting),
        (value("out"), value("marginal"), value("posted"), value("wanted"), value("waiting"))
    );
    let spots = || board.stages.iter().flat_map(|stage| &stage.rows).flat_map(|row| row.spots.iter().flatten());
    assert_eq!(spots().filter(|spot| spot.verdict.is_some()).count(), board.posted);
    // Every place that is wanted has its entry, and each entry's line names a place the desk takes.
    let open: Vec<_> = spots().filter(|spot| spot.form).collect();
    assert!(open.len() >= board.wanted - board.posted);
    for spot in open.iter().step_by(37) {
        let (form, values) = desk.filled(&spot.line).unwrap();
        assert_eq!(form.words(), "log");
        assert!(desk.grid(&spot.line).is_some(), "{}: {values:?}", spot.line);
    }
    assert_eq!(board.happened.first().unwrap().number, board.happened.iter().map(|one| one.number).max().unwrap());
    assert!(desk.board(&lead, 77).is_err());
}

/// What is offered while typing can be opened, under the heading it was found by.
#[test]
fn what_is_found_on_the_shelf_is_there() {
    let desk = bench();
    for sought in ["gap", "wrist pin", "torque", "marine", "thrust"] {
        let found = desk.search_shelf(sought);
        assert!(!found.is_empty(), "{sought}");
        for page in found {
            let leaf = desk.leaf(&page.slug).unwrap();
            let Some((heading, anchor)) = page.under else { continue };
            assert!(
                leaf.sections.iter().any(|section| section.heading == heading && section.anchor == anchor),
                "{sought}: {anchor}"
            );
        }
    }
    for page in desk.shelf() {
        let leaf = desk.leaf(&page.slug).unwrap();
        let mut anchors: Vec<&String> =
            leaf.sections.iter().flat_map(|s| s.passages.iter().chain([&s.anchor])).collect();
        let all = anchors.len();
        anchors.sort();
        anchors.dedup();
        assert_eq!(anchors.len(), all, "an anchor twice on {}", page.slug);
    }
    assert!(desk.search_shelf("  ").is_empty());
}
