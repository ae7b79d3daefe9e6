//! Sums that take their values from a job's readings.

use gudgeon::desk::{Asker, Desk, Front, Outcome, Reply};

use crate::talks::{bench, clock};

fn say(desk: &Desk, line: &str) -> Outcome {
    desk.answer(&Asker::new("lead", Front::Terminal), line, clock())
}

#[track_caller]
fn reply(desk: &Desk, line: &str) -> Reply {
    match say(desk, line) {
        Outcome::Reply(reply) => reply,
        other => panic!("{line}: {other:?}"),
    }
}

fn value(reply: &Reply, name: &str) -> f64 {
    reply.values.iter().find(|v| v.name == name).unwrap_or_else(|| panic!("no {name}: {:?}", reply.values)).value
}

/// A job on the Fulmar four with two pistons and their bores measured.
fn posted() -> Desk {
    let desk = bench();
    for line in [
        "job open fulmar-four \"Workboat, spare engine\"",
        "log bore 1 86.014 86.011 86.012 86.010 86.011 86.010 mm",
        "log bore 2 86.011 86.008 86.009 86.008 86.009 86.008 mm",
        "log piston-skirt 1 85.955mm",
        "log piston-skirt 2 85.961mm",
    ] {
        reply(&desk, line);
    }
    desk
}

#[test]
fn a_sum_from_a_job_is_the_sum_of_what_was_posted() {
    let desk = posted();
    let typed = reply(&desk, "piston clearance 86.012mm±0.00254mm 85.955mm±0.00254mm engine=fulmar-four");
    let taken = reply(&desk, "piston clearance job=2 at=1");
    for name in ["clearance", "clearance_uncertainty", "per_bore"] {
        let (typed, taken) = (value(&typed, name), value(&taken, name));
        assert!((typed - taken).abs() <= 1e-9 * typed.abs(), "{name}: {typed} {taken}");
    }
    assert_eq!(typed.verdict, taken.verdict);
    // Every place that is measured, and the other two named as lacking.
    let all = reply(&desk, "piston clearance job=2");
    assert_eq!(value(&all, "clearance_1"), value(&taken, "clearance"));
    assert!((value(&all, "clearance_2") - 0.048).abs() < 1e-9);
}

#[test]
fn what_is_given_by_hand_wins_over_the_job() {
    let desk = posted();
    let taken = reply(&desk, "piston clearance job=2 at=1 skirt=85.950mm");
    assert!((value(&taken, "clearance") - 0.062).abs() < 1e-9);
    // Cylinder 3 has no skirt posted, but it has none to give either.
    assert!(matches!(say(&desk, "piston clearance job=2 at=3"), Outcome::Refused(r) if r.possible.contains("bore")));
}

#[test]
fn an_amended_reading_counts_and_a_returned_one_does_not() {
    let desk = posted();
    let first = reply(&desk, "log piston-skirt 3 85.957mm");
    reply(&desk, "log bore 3 86.010 86.009 86.010 86.009 86.009 86.009 mm");
    let id = value(&first, "reading");
    reply(&desk, &format!("amend {id} 85.947mm reason=\"read the wrong line\""));
    assert!((value(&reply(&desk, "piston clearance job=2 at=3"), "clearance") - 0.063).abs() < 1e-9);
    let asker = Asker::new("tech-1", Front::Terminal);
    desk.answer(&asker, "job take 2", clock());
    let Outcome::Reply(post) = desk.answer(&asker, "log piston-skirt 4 85.950mm", clock()) else { panic!() };
    reply(&desk, "log bore 4 86.010 86.009 86.010 86.009 86.009 86.009 mm");
    reply(&desk, "piston clearance job=2 at=4");
    reply(&desk, &format!("review return {} \"take it at the gauge line\"", value(&post, "reading")));
    let back = say(&desk, "piston clearance job=2 at=4");
    assert!(matches!(&back, Outcome::Refused(r) if r.possible.contains("piston skirt")), "{back:?}");
}

/// One bore typed in inches among others in millimetres: the largest is the largest, not the one with the largest number.
#[test]
fn the_largest_bore_is_told_whatever_its_unit() {
    let desk = posted();
    reply(&desk, "log bore 3 3.3870 3.3870 3.3870 3.3870 3.3870 3.3870 in --sure");
    reply(&desk, "log bore 4 86.010 86.009 86.010 86.009 86.009 86.009 mm");
    reply(&desk, "log ring-gap \"1 top\" 0.30mm");
    for cylinder in 2..=4 {
        reply(&desk, &format!("log ring-gap \"{cylinder} top\" 0.30mm"));
    }
    let taken = reply(&desk, "ring file job=2 road");
    let typed = reply(&desk, "ring file 3.3870in road top=\"0.30 0.30 0.30 0.30 mm\" engine=fulmar-four");
    assert_eq!(typed.title, taken.title);
    assert!(format!("{:?}", taken.blocks).contains("3.387in"));
}

#[test]
fn nothing_is_written_by_working_out_how_sure_an_answer_is() {
    let desk = posted();
    let before = desk.fingerprint().unwrap();
    reply(&desk, "bore grid job=2 at=1");
    assert!(matches!(say(&desk, "log piston-skirt 3 85.957mm±0.001mm"), Outcome::Refused(_)));
    assert!(matches!(say(&desk, "job limit 2 bore-size max=86.03mm±0.01mm reason=\"sheet\""), Outcome::Refused(_)));
    assert_eq!(desk.fingerprint().unwrap(), before);
}

#[test]
fn a_field_that_a_job_supplies_is_asked_of_nobody() {
    let desk = bench();
    let form = desk.form("piston clearance").unwrap();
    let bore = form.field("bore").unwrap();
    assert!(bore.needed && bore.supplied && !bore.required);
    assert!(form.field("job").is_some() && form.field("at").is_some());
    assert!(desk.form("ring taper").unwrap().field("job").is_none());
    let refused = say(&desk, "piston clearance");
    assert!(
        matches!(&refused, Outcome::Refused(r) if r.possible.contains("job=")) || matches!(refused, Outcome::Reply(_))
    );
}

/// Each sum that a new check feeds, typed by hand and taken from the job: the same.
#[test]
fn pins_weights_and_valves_feed_their_sums() {
    let desk = bench();
    reply(&desk, "job open fulmar-four Van");
    for (check, place, values) in [
        ("piston-pin", "1", "21.000mm"),
        ("pin-bore", "1", "21.009 21.008 mm"),
        ("small-end", "1", "20.974 20.973 mm"),
        ("seat-width", "1 intake", "1.4mm"),
        ("installed-height", "1 intake", "36.75mm"),
        ("valve-lash", "1 exhaust", "0.25mm"),
        ("piston-weight", "1", "312.4g"),
        ("pin-weight", "1", "96.2g"),
        ("small-end-weight", "1", "148.0g"),
        ("big-end-weight", "1", "402.5g"),
        ("bore", "3", "86.012 86.010 86.011 86.010 86.011 86.010 mm"),
        ("ring-groove", "3-top", "1.56 1.49 mm"),
        ("ring-root", "3-second", "78.40 3.60 mm"),
        ("crank-dial", "2", "0 8 18 23 20 13 5 -3 microns"),
    ] {
        reply(&desk, &format!("log {check} {place} {values}"));
    }
    for (typed, taken) in [
        ("piston pin 21.008mm 21.000mm", "piston pin job=2"),
        ("piston pin 20.973mm 21.000mm into=rod-press", "piston pin into=rod-press job=2"),
        ("valve seat width=1.4mm valve=intake engine=fulmar-four", "valve seat job=2"),
        ("valve height 36.75mm wanted=36.5mm", "valve height wanted=36.5mm job=2"),
        ("valve lash 0.25mm ratio=1.2", "valve lash ratio=1.2 job=2"),
        ("ring side groove=1.56mm width=1.49mm", "ring side job=2"),
        ("ring back 86.010mm root=78.40mm depth=3.60mm ring=second", "ring back job=2"),
        ("crank runout 0 8 18 23 20 13 5 -3 microns", "crank runout job=2 at=2"),
        ("crank balance 312.4g 96.2g 148.0g 402.5g engine=fulmar-four", "crank balance job=2"),
    ] {
        let (typed, taken) = (reply(&desk, typed), reply(&desk, taken));
        let first = typed.values.first().unwrap();
        assert!((value(&taken, &first.name) - first.value).abs() <= 1e-9 * first.value.abs(), "{typed:?} {taken:?}");
    }
}
