//! What an instrument of the register and the bench's temperature do to a reading, on the day and ever after.

use gudgeon::desk::reply::{Block, Verdict};
use gudgeon::desk::{Asker, Desk, Front, Outcome, Refusal, Reply};
use jiff::{Timestamp, ToSpan};

use crate::sheet::{file, said};
use crate::talks::{bench, clock};

fn at(minutes: i64) -> Timestamp {
    clock().checked_add(minutes.minutes()).unwrap()
}

fn say(desk: &Desk, key: Option<&str>, line: &str, now: Timestamp) -> Outcome {
    let mut asker = Asker::new("tech-1", Front::Terminal);
    asker.key = key.map(str::to_owned);
    desk.answer(&asker, line, now)
}

#[track_caller]
fn reply_at(desk: &Desk, line: &str, now: Timestamp) -> Reply {
    match say(desk, None, line, now) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
}

#[track_caller]
fn reply(desk: &Desk, line: &str) -> Reply {
    reply_at(desk, line, clock())
}

#[track_caller]
fn refusal(desk: &Desk, line: &str) -> Refusal {
    match say(desk, None, line, clock()) {
        Outcome::Refused(refusal) => refusal,
        other => panic!("{line}: {other:?}"),
    }
}

/// Everything a reply says in words.
fn words(reply: &Reply) -> String {
    let said = reply.blocks.iter().map(|block| match block {
        Block::Text(text) | Block::Heading(text) => text.clone(),
        Block::Caution(caution) => caution.text.clone(),
        Block::Bullets(items) => items.join("\n"),
        _ => String::new(),
    });
    said.collect::<Vec<_>>().join("\n")
}

fn value(reply: &Reply, name: &str) -> f64 {
    reply.values.iter().find(|v| v.name == name).unwrap_or_else(|| panic!("no {name}: {:?}", reply.values)).value
}

/// The Skerry's journals are 2.4495 to 2.4500 in by its page: 2 tenths inside is within by a tenth, marginal by two and a half.
#[test]
fn the_instruments_own_uncertainty_decides() {
    let desk = bench();
    let line = |with: &str| format!("log main-journal 5 2.4498in 2.4498in 2.4498in 2.4498in job=1 {with}");
    said(
        &desk,
        "lead",
        "instrument add coarse kind=micrometer from=2in to=3in step=0.0001in uncertainty=0.00025in due=2030-01-01",
    );
    assert_eq!(reply(&desk, &line("")).verdict, Some(Verdict::Within));
    assert_eq!(reply(&desk, &line("instrument=\"micrometer 3\"")).verdict, Some(Verdict::Within));
    let coarse = reply(&desk, &line("instrument=coarse"));
    assert_eq!(coarse.verdict, Some(Verdict::Marginal));
    assert!(words(&coarse).contains("Read with coarse: ± 0.00025 in (0.00635 mm), calibration due 2030-01-01."));
    // One that is in no register is judged as before, and it says so.
    let own = reply(&desk, &line("instrument=\"my own\""));
    assert_eq!(own.verdict, Some(Verdict::Within));
    assert!(words(&own).contains("my own is not in the register: judged with the usual ± 0.0001 in"));
}

/// Bore 1 has 4.0005 in at the gauge line; the piston clearance is 0.0035 to 0.0050 in by the Skerry's page. The strip of a
/// clearance shows the root of both squares: 0.00015 (bore gauge 1) with 0.0001 (micrometer 4), or with the usual tenth.
#[test]
fn a_clearance_carries_the_uncertainty_of_both_its_readings() {
    let desk = bench();
    let skirt = |with: &str| {
        let reply = reply(&desk, &format!("log piston-skirt 1 3.9965in job=1 {with}"));
        let strip = reply.blocks.iter().find_map(|block| match block {
            Block::Figure(figure) => Some(figure.alt.clone()),
            _ => None,
        });
        (strip.unwrap(), value(&reply, "piston_clearance"))
    };
    let (before, clearance) = skirt("instrument=\"micrometer 4\"");
    assert!(before.contains("± 1.4 tenths"), "{before}");
    assert!((clearance - 0.0040).abs() < 1e-9);
    let bore = "log bore 1 4.0006in 4.0003in 4.0005in 4.0003in 4.0003in 4.0002in job=1 instrument=bore-gauge-1";
    assert!((value(&reply(&desk, bore), "piston_clearance") - 0.0040).abs() < 1e-9);
    let (after, _) = skirt("instrument=\"micrometer 4\"");
    assert!(after.contains("± 1.8 tenths"), "sqrt(1.5^2 + 1^2) = 1.803: {after}");
    // A sum that takes it from the job has it too.
    let sum = said(&desk, "tech-1", "piston clearance job=1 at=1");
    assert!((value(&sum, "clearance_uncertainty") - 0.0001 * 3.25_f64.sqrt()).abs() < 1e-8);
}

#[test]
fn how_an_instrument_stood_stays_with_its_reading() {
    let desk = bench();
    let reply = reply(&desk, "log piston-to-deck 1 0.010in 0.012in job=1 instrument=\"dial 1\"");
    assert!(words(&reply).contains("dial 1 was due for calibration on 2024-09-30"), "{}", words(&reply));
    let number = value(&reply, "reading");
    said(&desk, "lead", "instrument calibrated \"dial 1\" due=2027-10-01");
    said(&desk, "lead", "instrument retire \"dial 1\" reason=dropped");
    assert_eq!(refusal(&desk, "log piston-to-deck 2 0.010in 0.012in job=1 instrument=\"dial 1\"").input, "instrument");
    // Amended, it keeps the instrument it was read with, as that stood.
    said(&desk, "lead", &format!("amend {number} 0.011in 0.012in reason=misread"));
    let show = said(&desk, "lead", "job show 1");
    let told = "dial 1: ± 0.0005 in (0.0127 mm), CALIBRATION OVERDUE since 2024-09-30, one reading";
    assert!(words(&show).contains(told), "{}", words(&show));
    let text = |format: &str| String::from_utf8(file(&desk, format).content).unwrap();
    let html = text("format=html");
    assert!(html.contains("dial 1 (CALIBRATION OVERDUE since 2024-09-30)") && html.contains("Measured with"));
    let csv = text("format=csv");
    let row = csv.lines().find(|row| row.contains("piston-to-deck")).unwrap();
    assert!(row.contains(",0.0005,2024-09-30,yes,,"), "{row}");
    let json: serde_json::Value = serde_json::from_str(&text("format=json")).unwrap();
    let deck = json["readings"].as_array().unwrap().iter().find(|r| r["check"] == "piston-to-deck").unwrap();
    assert_eq!((&deck["gauge"]["due"], &deck["gauge"]["overdue"]), (&"2024-09-30".into(), &true.into()));
    assert!((deck["gauge"]["uncertainty"].as_f64().unwrap() - 0.0005).abs() < 1e-12);
    assert!(json["instruments"].as_array().unwrap().iter().any(|line| line == told), "{}", json["instruments"]);
}

#[test]
fn one_that_was_off_on_its_standard_warns_until_it_is_set() {
    let desk = bench();
    let skirt = || words(&reply(&desk, "log piston-skirt 2 3.9965in job=1 instrument=\"micrometer 4\""));
    assert!(!skirt().contains("do not use it"));
    said(&desk, "apprentice-1", "instrument check \"micrometer 4\" 4in 4.0002in");
    assert!(skirt().contains("micrometer 4 was +0.0002 in (0.00508 mm) off on its standard"), "{}", skirt());
    assert!(said(&desk, "tech-1", "instrument").title.contains("do not use: micrometer 4"));
    said(&desk, "apprentice-1", "instrument check \"micrometer 4\" 4in 4.0001in --set");
    assert!(!skirt().contains("do not use it"), "a tenth off is inside its tenth");
}

#[test]
fn a_temperature_said_once_is_used_until_it_is_too_old() {
    let desk = bench();
    let skirt = |minutes: i64, with: &str| {
        let line = format!("log piston-skirt 1 3.9965in job=1 {with}");
        let reply = reply_at(&desk, &line, at(minutes));
        (words(&reply), value(&reply, "piston_clearance"))
    };
    let (told, as_read) = skirt(0, "");
    assert!((as_read - 0.0040).abs() < 1e-9 && !told.contains("Judged"), "{told}");
    reply_at(&desk, "job temp 40C", at(0));
    let (told, warm) = skirt(20, "");
    assert!(told.contains("from the bench's 104 °F (40 °C), said 2026-11-20 09:00 UTC, 20 minutes ago"), "{told}");
    // The same as when it is typed with the line.
    assert_eq!(skirt(21, "temp=40C").1, warm);
    assert!((warm - as_read).abs() > 1e-4, "twenty degrees tell: {warm} {as_read}");
    assert!(skirt(22, "temp=20C").0.contains("from 68 °F (20 °C), taken as"), "a line's own wins");
    assert!(!skirt(240, "").0.contains("over 4 hours old"));
    let (told, stale) = skirt(241, "");
    assert!(told.contains("over 4 hours old") && stale == warm, "{told}");
    let (told, none) = skirt(721, "");
    assert!(told.contains("no longer holds") && (none - as_read).abs() < 1e-9, "{told}");
    // Only sizes: a gap does not ask how warm it is.
    assert!(!words(&reply_at(&desk, "log ring-gap 3 top 0.0210in job=1", at(30))).contains("Judged"));
    // And only where that person said it.
    let other = words(&said(&desk, "apprentice-1", "log piston-skirt 1 3.9965in job=1"));
    assert!(!other.contains("Judged"), "{other}");
}

#[test]
fn a_retry_keeps_the_temperature_it_was_first_sent_with() {
    let desk = bench();
    let send = |now| match say(&desk, Some("one-press"), "log piston-skirt 1 3.9965in job=1", now) {
        Outcome::Reply(reply) => reply,
        other => panic!("{other:?}"),
    };
    reply_at(&desk, "job temp 30C", at(0));
    let first = send(at(1));
    reply_at(&desk, "job temp 25C", at(2));
    let again = send(at(3));
    assert_eq!(value(&first, "reading"), value(&again, "reading"));
    assert!(words(&again).contains("nothing is doubled"), "{}", words(&again));
}

#[test]
fn a_retry_is_answered_whatever_became_of_its_instrument() {
    let desk = bench();
    let line = "log piston-skirt 1 3.9965in job=1 instrument=Micrometer-4";
    let send = || match say(&desk, Some("one-press"), line, clock()) {
        Outcome::Reply(reply) => value(&reply, "reading"),
        other => panic!("{other:?}"),
    };
    let first = send();
    said(&desk, "lead", "instrument calibrated \"micrometer 4\" due=2030-01-01 uncertainty=0.0003in");
    assert_eq!(send(), first);
    said(&desk, "lead", "instrument retire \"micrometer 4\" reason=dropped");
    assert_eq!(send(), first);
    let kept = words(&said(&desk, "lead", "job show 1"));
    assert!(kept.contains("micrometer 4: ± 0.0001 in (0.00254 mm)"), "{kept}");
}

#[test]
fn the_instrument_last_named_here_is_offered_and_not_assumed() {
    let desk = bench();
    reply(&desk, "job take 1");
    let suggested = |check: &str| -> Vec<String> {
        let filled = [("check".to_owned(), check.to_owned())];
        let asker = Asker::new("tech-1", Front::Terminal);
        desk.complete(&asker, "log", "instrument", &filled, "", 9).into_iter().map(|s| s.value).collect()
    };
    // Those that are made for it and reach its size stand first.
    assert_eq!(suggested("main-journal")[0], "micrometer 3");
    assert_eq!(suggested("piston-skirt")[0], "micrometer 4");
    assert_eq!(suggested("bore")[0], "bore gauge 1");
    assert_eq!(suggested("chamber-volume")[0], "burette 1");
    reply(&desk, "log ring-gap 3 top 0.0210in instrument=\"feelers 1\"");
    let next = reply(&desk, "log ring-gap 4 top 0.0210in");
    assert!(words(&next).contains("No instrument named; the last ring end gap here was read with feelers 1."));
    let offer = next.actions.iter().find(|action| action.label == "It was feelers 1").unwrap();
    let amended = reply(&desk, &offer.line);
    assert!(words(&amended).contains("Read with feelers 1"), "{}", words(&amended));
    assert_eq!(suggested("ring-gap")[0], "feelers 1");
}

#[test]
fn an_unknown_check_of_the_register_is_no_change() {
    let desk = bench();
    let before = desk.fingerprint().unwrap();
    assert_eq!(refusal(&desk, "instrument check nothing 4in 4in").input, "name");
    assert_eq!(
        refusal(&desk, "log main-journal 5 2.4496in 2.4496in 2.4496in 2.4496in job=1 instrument=micrometer-4").input,
        "instrument"
    );
    assert_eq!(desk.fingerprint().unwrap(), before);
}

/// Three people read one journal; by hand: tech-1 differs by 2 tenths once, the apprentice by 4 tenths once.
#[test]
fn each_persons_own_repeats_are_pooled() {
    let desk = bench();
    for (person, size) in [
        ("tech-1", "2.4496"),
        ("tech-1", "2.4498"),
        ("apprentice-1", "2.4493"),
        ("apprentice-1", "2.4497"),
        ("lead", "2.4460"),
    ] {
        said(&desk, person, &format!("log main-journal 5 {size}in {size}in {size}in {size}in job=1 --sure"));
    }
    let reply = said(&desk, "lead", "instrument spread main-journal");
    let table = reply.blocks.iter().find_map(|block| match block {
        Block::Table(table) if table.caption == "By person" => Some(table),
        _ => None,
    });
    let rows: Vec<(&str, &str, &str)> = table
        .unwrap()
        .rows
        .iter()
        .map(|row| (row[0].text.as_str(), row[1].text.as_str(), row[2].text.as_str()))
        .collect();
    // d / sqrt 2 for each of the four values of the journal: 0.000283 and 0.000141; the lead read it once.
    let spread = |text: &str| text.trim_end_matches(" in").parse::<f64>().unwrap();
    assert_eq!(
        rows.iter().map(|row| (row.0, row.1)).collect::<Vec<_>>(),
        [("apprentice-1", "8 of 4"), ("tech-1", "8 of 4")]
    );
    assert!((spread(rows[0].2) - 0.0004 / 2_f64.sqrt()).abs() < 5e-7, "{rows:?}");
    assert!((spread(rows[1].2) - 0.0002 / 2_f64.sqrt()).abs() < 5e-7, "{rows:?}");
    assert_eq!(value(&reply, "jumps"), 4.0, "3.7 thou is no spread");
    // {6, 8, 3, 7} tenths of a thou: mean 6, squares 14, four times over 12 degrees of freedom.
    assert!((value(&reply, "spread") - 1e-4 * (14.0 / 3.0_f64).sqrt()).abs() < 1e-9);
}
