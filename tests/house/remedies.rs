//! What it would take: the figures that follow a reading that is out, worked by hand.

use gudgeon::desk::reply::Block;
use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply};

use crate::talks::{clock, empty_bench};

fn say(desk: &Desk, line: &str) -> Reply {
    match desk.answer(&Asker::new("tech-1", Front::Terminal), line, clock()) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
}

/// A Skerry V8 on the bench: bores of 4.0000 to 4.0010, piston clearance 0.0035 to 0.0050, all in inches.
fn bench() -> Desk {
    let desk = empty_bench();
    let lead = Asker::new("lead", Front::Terminal);
    assert!(matches!(desk.answer(&lead, "job open skerry-v8 Launch", clock()), Outcome::Reply(_)));
    say(&desk, "job take 1");
    desk
}

fn ways(reply: &Reply) -> Vec<String> {
    let steps = reply.blocks.iter().find_map(|block| match block {
        Block::Steps { items, .. } => Some(items.clone()),
        _ => None,
    });
    steps.unwrap_or_default()
}

#[track_caller]
fn has(ways: &[String], at: usize, words: &[&str]) {
    let way = ways.get(at).unwrap_or_else(|| panic!("only {ways:?}"));
    assert!(words.iter().all(|word| way.contains(word)), "{way}");
}

#[test]
fn pistons_change_places_within_their_bank_before_anything_is_cut() {
    let desk = bench();
    // Bore 1 less its piston: 4.0010 - 3.9956 = 0.0054. Piston 3 in it: 4.0010 - 3.9962 = 0.0048; 1 in bore 3: 0.0047.
    // Piston 2 would do as well, but stands in the other bank.
    for line in [
        "log bore 1 4.0010 4.0008 4.0010 4.0008 4.0009 4.0008 in",
        "log bore 2 4.0003 4.0002 4.0003 4.0002 4.0002 4.0002 in",
        "log bore 3 4.0003 4.0002 4.0003 4.0002 4.0002 4.0002 in",
        "log piston-skirt 2 3.9964in",
        "log piston-skirt 3 3.9962in",
    ] {
        say(&desk, line);
    }
    let ways = ways(&say(&desk, "log piston-skirt 1 3.9956in"));
    has(&ways, 0, &["piston 3 runs here", ": 0.0048 in", "within", "bore 3, 0.0047 in"]);
    has(&ways, 1, &["Bore all of them 0.0200 in over", "4.0200 in"]);
    assert_eq!(ways.len(), 2);
}

#[test]
fn shells_are_mixed_before_the_crank_is_ground() {
    let desk = bench();
    // 2.4530 - 2.4496 = 0.0034 and 2.4530 - 2.4495 = 0.0035 against 0.0020 to 0.0032. Halves of a thou under take a thou
    // off: 0.0024 to 0.0025. Ground to limits (2.4395 to 2.4400) with shells to match: 2.4430 - 2.4400 = 0.0030 to 0.0035.
    say(&desk, "log main-journal 1 2.4496 2.4495 2.4496 2.4495 in");
    let ways = ways(&say(&desk, "log main-bearing 1 2.4530 2.4530 2.4530 in"));
    has(&ways, 0, &["both 0.0010 in under", "0.0024 to 0.0025 in", "within"]);
    assert_eq!(ways.len(), 1, "a grind that leaves it out is no remedy: {ways:?}");
    let all = say(&desk, "remedy 3");
    assert!(matches!(&all.blocks[2], Block::Table(mixes) if mixes.rows.len() == 5), "{:?}", all.blocks);

    // A journal worn small: 2.4480 cleans up at ten under. 2.4525 - 2.4500 = 0.0025 to 0.0030 with shells to match.
    say(&desk, "log main-bearing 3 2.4525 2.4525 2.4525 in");
    let ways = self::ways(&say(&desk, "log main-journal 3 2.4482 2.4480 2.4481 2.4480 in"));
    has(&ways, 0, &["to 0.0100 in under, 2.4400 in", "main oil clearance 0.0025 to 0.0030 in", "within"]);
}

#[test]
fn a_tight_journal_is_polished_only_as_far_as_its_own_limits() {
    let desk = bench();
    // 2.4517 - 2.4499 = 0.0018: 0.00034 more brings it surely inside, and leaves the journal at 2.4495 or above.
    say(&desk, "log main-journal 2 2.4499 2.4499 2.4499 2.4499 in");
    let first = ways(&say(&desk, "log main-bearing 2 2.4517 2.4517 2.4517 in"));
    assert!(first[0].starts_with("Clean the backs"), "{first:?}");
    assert!(first.iter().any(|way| way.starts_with("Polish the journal by 0.0003 in")), "{first:?}");
    // From 2.4496 the same polish would take it under 2.4495.
    say(&desk, "log main-journal 4 2.4496 2.4496 2.4496 2.4496 in");
    let second = ways(&say(&desk, "log main-bearing 4 2.4514 2.4514 2.4514 in"));
    assert!(!second.iter().any(|way| way.contains("Polish")), "{second:?}");
}

#[test]
fn rings_are_filed_changed_or_bought_larger() {
    let desk = bench();
    // Top ring: 0.0050 to 0.0070 a bore inch, 0.0200 to 0.0280 on 4 in; half a thou more than the least is sure.
    has(&ways(&say(&desk, "log ring-gap 1 top 0.0185in")), 0, &["File 0.0020 in", "0.0205 in", "within"]);
    say(&desk, "log bore 1 4.0009 4.0009 4.0009 4.0009 4.0009 4.0009 in");
    say(&desk, "log bore 3 4.0001 4.0001 4.0001 4.0001 4.0001 4.0001 in");
    say(&desk, "log ring-gap 3 top 0.0215in");
    // pi x 0.0008 = 0.0025: ring 3 in bore 1 has 0.0240, ring 1 in bore 3 has 0.0300 - 0.0025 = 0.0275.
    let ways = ways(&say(&desk, "log ring-gap 1 top 0.0300in"));
    has(&ways, 0, &["top ring of 3", ": 0.0240 in", "in 3 0.0275 in"]);
    // A ring 0.005 over: 0.0300 - pi x 0.005 = 0.0143, filed to 0.0205.
    has(&ways, 1, &["0.0050 in over", "0.0143 in", "0.0205 in"]);
}

#[test]
fn each_piston_adds_its_step_of_turning_torque() {
    let desk = bench();
    for line in ["log turning-torque 0 4lb-ft", "log turning-torque 1 6lb-ft", "log turning-torque 3 8lb-ft"] {
        say(&desk, line);
    }
    let told = |line: &str| format!("{:?}", say(&desk, line).blocks);
    let even = told("log turning-torque 5 10lb-ft");
    assert!(even.contains("2.0 lb-ft (2.7 Nm) more than with cylinder 3") && !even.contains("Stop"), "{even}");
    // 15 - 10 = 5, against 2 each: two and a half times.
    let jump = told("log turning-torque 7 15lb-ft");
    assert!(
        jump.contains("Stop: that is 2.5 times what the others added") && jump.contains("common practice"),
        "{jump}"
    );
}
