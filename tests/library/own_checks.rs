//! A check of the shop's own: a row of a limits table makes it, and it is posted, judged and shown like any other.

use std::time::{Duration, Instant};

use gudgeon::config::Config;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply};
use gudgeon::engine::{Per, Stage};
use gudgeon::library::Shelf;
use gudgeon::record::Record;

use super::{page, shelf, told};

const TABLE: &str = "| Check | At | Min | Max | Unit | Basis |\n|---|---|---|---|---|---|\n";

/// A limits page of a stage, with these rows.
fn staged(title: &str, stage: &str, rows: &str) -> String {
    let plain = page(title, "limits", &format!("{TABLE}{rows}"));
    plain.replace("kind = \"limits\"", &format!("kind = \"limits\"\nstage = \"{stage}\""))
}

#[test]
fn a_row_makes_a_check_of_its_stage() {
    let library = shelf(&[(
        "l.md",
        staged(
            "Heads, ours",
            "heads",
            "| Spring squareness | valve | - | 1.5 | mm | common practice |\n\
             | Spring squareness | exhaust | - | 1.2 | mm | common practice |\n\
             | Water pump backlash | - | 0.1 | 0.3 | mm | common practice |",
        ),
    )]);
    assert!(told(&library).is_empty(), "{:?}", told(&library));
    let plan = library.plan();
    let check = plan.check("spring squareness").unwrap();
    assert_eq!((check.id, check.per, check.stage), ("spring-squareness", Per::Valve, Stage::Heads));
    assert_eq!(plan.check("water-pump-backlash").unwrap().per, Per::Engine);
    assert!(plan.order("coil-bind") < plan.order(check.id) && plan.order(check.id) < plan.order("leak-down"));
    assert!(plan.checks().windows(2).all(|pair| pair[0].stage <= pair[1].stage));
    assert_eq!(library.general_limits(None).count(), 3);
}

#[test]
fn a_slip_makes_no_check_and_a_row_must_agree_with_the_first() {
    let good = "| pump backlash | cylinder | 0.1 | 0.3 | mm | common practice |\n";
    let first = ("a.md", staged("First", "close-up", good));
    for (rows, words, remedy) in [
        ("| rod side clearence | - | - | 1 | mm | x |", "Check holds \"rod side clearence\"", "rod side clearance"),
        ("| end play | - | - | 1 | mm | x |", "Check holds \"end play\"", "crank end float"),
        ("| ring gap top | - | - | 1 | mm | x |", "Check holds \"ring gap top\"", "ring gap"),
        ("| pump backlsh | - | - | 1 | mm | x |", "\"pump backlsh\" is too near another", "pump backlash"),
        ("| pump backlash | main | - | 1 | mm | x |", "taken at each cylinder at a.md:11", "cylinder under At"),
        ("| pump backlash | - | - | 1 | psi | x |", "at a.md:11", "give it in a unit of"),
        ("| pump backlash | gearbox | - | 1 | mm | x |", "At holds \"gearbox\"", "cylinder"),
        ("| pump backlash | - | - | 1 | cubit | x |", "Unit holds \"cubit\"", "measured in"),
    ] {
        let library = shelf(&[first.clone(), ("b.md", staged("Second", "close-up", rows))]);
        let told = told(&library);
        assert_eq!(told.len(), 1, "{rows}: {told:?}");
        assert!(told[0].starts_with("b.md:11: ") && told[0].contains(words) && told[0].contains(remedy), "{told:?}");
        assert_eq!(library.plan().checks().iter().filter(|check| check.own).count(), 1, "{rows}");
    }
}

#[test]
fn without_a_stage_a_row_makes_no_check_but_may_limit_one() {
    let row = "| pump backlash | - | 0.1 | 0.2 | mm | common practice |";
    let other = page("Boats", "limits", &format!("{TABLE}{row}"));
    let alone = shelf(&[("b.md", other.clone())]);
    assert_eq!(told(&alone).len(), 1);
    assert!(told(&alone)[0].starts_with("b.md:10: the check \"pump backlash\" is not in the plan; "));
    assert!(told(&alone)[0].contains("`stage`") && !alone.plan().checks().iter().any(|check| check.own));
    let both = shelf(&[("a.md", staged("First", "close-up", &row.replace("0.2", "0.3"))), ("b.md", other)]);
    assert!(told(&both).is_empty(), "{:?}", told(&both));
}

fn said(desk: &Desk, person: &str, line: &str) -> Reply {
    match desk.answer(&Asker::new(person, Front::Terminal), line, crate::talks::clock()) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
}

#[test]
fn the_plan_follows_its_page_and_a_reading_outlives_its_row() {
    let folder = tempfile::tempdir().unwrap();
    let knowledge = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    std::fs::copy(knowledge.join("engines/fulmar-four.md"), folder.path().join("fulmar-four.md")).unwrap();
    let shelf = Shelf::open(folder.path()).unwrap();
    let mut desk = Desk::new(Config::default().settings(), shelf, Record::in_memory().unwrap());
    desk.watch_library();
    let known = |desk: &Desk| {
        let asker = Asker::new("tech-1", Front::Terminal);
        !desk.complete(&asker, "log", "check", &[], "pump-backlash", 3).is_empty()
    };
    let until = |wanted: bool| {
        let start = Instant::now();
        while known(&desk) != wanted {
            assert!(start.elapsed() < Duration::from_secs(20), "never saw the edit");
            std::thread::sleep(Duration::from_millis(20));
        }
    };
    said(&desk, "lead", "job open fulmar-four Van");
    assert!(!known(&desk));

    let page = folder.path().join("close.md");
    let row = "| Pump backlash | face | 0.1 | 0.3 | mm | our own habit |";
    std::fs::write(&page, staged("Close up, ours", "close-up", row)).unwrap();
    until(true);
    let posted = said(&desk, "tech-1", "log pump backlash deck 0.35mm job=1");
    assert!(posted.title.starts_with("Pump backlash deck: 0.35"), "{}", posted.title);
    assert_eq!(posted.verdict.map(|verdict| verdict.as_str()), Some("out"));
    assert!(format!("{:?}", posted.blocks).contains("our own habit"));
    let limits = said(&desk, "lead", "limits fulmar-four pump-backlash");
    assert_eq!(
        limits.values.iter().map(|v| (v.name.as_str(), v.value)).collect::<Vec<_>>(),
        [("pump_backlash_min", 0.1), ("pump_backlash_max", 0.3)]
    );
    said(&desk, "lead", "job limit \"pump backlash\" max=0.4mm reason=\"maker's letter\" job=1");
    let again = said(&desk, "tech-1", "log pump-backlash deck 0.33mm job=1");
    assert_eq!(again.verdict.map(|verdict| verdict.as_str()), Some("within"));
    let sheet = |desk: &Desk| {
        said(desk, "lead", "sheet 1 format=csv").blocks.iter().map(|b| format!("{b:?}")).collect::<String>()
    };
    assert!(sheet(&desk).contains("Pump backlash") && sheet(&desk).contains("Close up"));

    std::fs::remove_file(&page).unwrap();
    until(false);
    assert!(said(&desk, "lead", "job show 1").title.starts_with("Job #1"));
    assert!(format!("{:?}", said(&desk, "lead", "review queue").blocks).contains("pump-backlash deck"));
    assert!(sheet(&desk).contains("pump-backlash") && sheet(&desk).contains("No longer in the plan"));
    // It is still looked at, by the limits of its day, and accepted.
    let shown = said(&desk, "lead", "review show 2");
    assert_eq!(shown.verdict.map(|verdict| verdict.as_str()), Some("out"));
    let told = format!("{:?}", shown.blocks);
    for word in ["no longer on the shelf", "our own habit", "0.100 to 0.300 mm", "0.35"] {
        assert!(told.contains(word), "{word}: {told}");
    }
    let outcome =
        desk.answer(&Asker::new("lead", Front::Terminal), "amend 4 0.30mm reason=misread", crate::talks::clock());
    let Outcome::Refused(refusal) = outcome else { panic!("{outcome:?}") };
    assert!(refusal.input == "reading" && refusal.possible.contains("Put the check's row back"), "{refusal:?}");
    said(&desk, "lead", "review accept 4");
}
