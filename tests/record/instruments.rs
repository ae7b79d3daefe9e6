//! The register of instruments: append-only as all else, each name its own for ever, and the bench's temperature beside it.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;

use gudgeon::{
    maths::judge::Verdict,
    quantity::Dimension,
    record::{
        Act, Actor, Calibration, Gauge, Happening, Instrument, InstrumentFacts, InstrumentId, Measured, Record,
        RecordError, Role, StandardCheck, import, quietly,
    },
};
use jiff::{ToSpan, civil::date};
use proptest::prelude::*;
use rusqlite::Connection;
use tempfile::TempDir;

use super::{actor, apprentice, at, journal, lead, open_job, post, tech, transfer::everything};

const TENTH: f64 = 0.0001 * 0.0254;

pub fn facts(name: &str) -> InstrumentFacts {
    InstrumentFacts {
        name: name.into(),
        sort: "micrometer".into(),
        dimension: Dimension::Length,
        from: 2.0 * 0.0254,
        to: 3.0 * 0.0254,
        step: TENTH,
        uncertainty: TENTH,
        due: date(2027, 3, 1),
        note: Some("in the drawer by the window".into()),
    }
}

fn calibration(number: InstrumentId, months: i64, uncertainty: Option<f64>) -> Calibration {
    let due = date(2027, 3, 1).checked_add(months.months()).unwrap();
    Calibration { number, due, uncertainty, note: None }
}

fn check(number: InstrumentId, read: f64) -> StandardCheck {
    let standard = 2.0 * 0.0254;
    StandardCheck {
        number,
        standard,
        read: standard + read,
        temperature: Some(293.15),
        on: date(2026, 9, 1),
        set: false,
    }
}

/// One event of every kind about an instrument, and a temperature: 4 events.
pub fn fill_register(record: &Record) {
    let id = record.add_instrument(&lead(), Some("k-30"), facts("micrometer 3"), at(20)).unwrap().id;
    record.calibrate(&lead(), None, calibration(id, 12, Some(TENTH / 3.0)), at(21)).unwrap();
    record.try_standard(&tech(), Some("k-31"), check(id, TENTH), at(22)).unwrap();
    record.retire(&lead(), None, id, "dropped — anvil chipped", at(23)).unwrap();
    record.set_bench_temperature(&tech(), 295.372_222_222_222_2, at(24)).unwrap();
}

#[test]
fn an_instrument_stands_as_its_events_say() {
    let record = Record::in_memory().unwrap();
    let added = record.add_instrument(&lead(), None, facts("micrometer 3"), at(0)).unwrap();
    assert_eq!((added.facts.clone(), added.added.by.clone()), (facts("micrometer 3"), lead()));
    assert!(added.calibrated.is_none() && added.retired.is_none());
    let id = added.id;

    record.calibrate(&lead(), None, calibration(id, 6, Some(TENTH * 2.0)), at(1)).unwrap();
    let again = record.calibrate(&lead(), None, calibration(id, 18, None), at(2)).unwrap();
    // The last due date, and the last uncertainty that a certificate gave.
    assert_eq!((again.facts.due, again.facts.uncertainty), (date(2028, 9, 1), TENTH * 2.0));
    assert_eq!(again.calibrated.as_ref().map(|noted| noted.when), Some(at(2)));

    let mut early = check(id, TENTH);
    early.on = date(2025, 1, 1);
    record.try_standard(&apprentice(), None, check(id, 0.0), at(3)).unwrap();
    record.try_standard(&apprentice(), None, early.clone(), at(4)).unwrap();
    let kept = record.standard_checks(id).unwrap();
    assert_eq!(kept.iter().map(|noted| noted.what.clone()).collect::<Vec<_>>(), [early, check(id, 0.0)], "by day");

    let retired = record.retire(&lead(), None, id, "worn", at(5)).unwrap();
    assert_eq!(retired.retired.map(|noted| noted.what.reason), Some("worn".into()));
    let gone = Err(RecordError::Unfit { field: "instrument", rule: "is retired, so nothing is added to it" });
    let before = record.head().unwrap();
    assert_eq!(record.calibrate(&lead(), None, calibration(id, 30, None), at(6)), gone);
    assert_eq!(record.try_standard(&tech(), None, check(id, 0.0), at(6)), gone);
    assert_eq!(record.retire(&lead(), None, id, "again", at(6)), gone);
    assert_eq!(record.head().unwrap(), before);
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn a_name_is_one_instruments_for_ever() {
    let record = Record::in_memory().unwrap();
    let id = record.add_instrument(&lead(), None, facts("Bore gauge 1"), at(0)).unwrap().id;
    record.retire(&lead(), None, id, "lost overboard", at(1)).unwrap();
    let taken = Err(RecordError::Unfit { field: "name", rule: "is that of another instrument, in use or retired" });
    for same in ["Bore gauge 1", "bore-gauge 1", "BOREGAUGE1"] {
        assert_eq!(record.add_instrument(&lead(), None, facts(same), at(2)), taken, "{same}");
    }
    record.add_instrument(&lead(), None, facts("Bore gauge 2"), at(3)).unwrap();
    assert_eq!(record.instruments().unwrap().len(), 2);
}

#[test]
fn facts_that_no_instrument_has_are_refused() {
    let record = Record::in_memory().unwrap();
    let bad: [(&str, InstrumentFacts); 8] = [
        ("name", InstrumentFacts { name: " ".into(), ..facts("x") }),
        ("name", InstrumentFacts { name: "--".into(), ..facts("x") }),
        ("kind", InstrumentFacts { sort: String::new(), ..facts("x") }),
        ("range", InstrumentFacts { to: 0.0, ..facts("x") }),
        ("range", InstrumentFacts { from: f64::NAN, ..facts("x") }),
        ("step", InstrumentFacts { step: 0.0, ..facts("x") }),
        ("uncertainty", InstrumentFacts { uncertainty: -TENTH, ..facts("x") }),
        ("uncertainty", InstrumentFacts { uncertainty: f64::INFINITY, ..facts("x") }),
    ];
    for (field, facts) in bad {
        match record.add_instrument(&lead(), None, facts, at(0)) {
            Err(RecordError::Unfit { field: named, .. }) => assert_eq!(named, field),
            other => panic!("{field}: {other:?}"),
        }
    }
    let id = record.add_instrument(&lead(), None, facts("x"), at(0)).unwrap().id;
    assert!(record.calibrate(&lead(), None, calibration(id, 1, Some(0.0)), at(1)).is_err());
    assert!(record.try_standard(&tech(), None, check(id, f64::NAN), at(1)).is_err());
    assert!(record.retire(&lead(), None, id, " ", at(1)).is_err());
    let none = InstrumentId(77);
    let not_found = Err(RecordError::NotFound { what: "instrument", id: 77 });
    assert_eq!(record.try_standard(&tech(), None, check(none, 0.0), at(1)), not_found);
    assert_eq!(record.head().unwrap().0, 1);
}

#[test]
fn the_record_itself_keeps_the_register_for_the_lead() {
    let record = Record::in_memory().unwrap();
    let id = record.add_instrument(&lead(), None, facts("x"), at(0)).unwrap().id;
    let before = record.head().unwrap();
    for who in [tech(), apprentice()] {
        let no = |act| RecordError::NotAllowed { act, role: who.role };
        let keep = || Err(no(Act::KeepInstruments));
        assert_eq!(record.add_instrument(&who, None, facts("y"), at(1)), keep());
        assert_eq!(record.calibrate(&who, None, calibration(id, 1, None), at(1)), keep());
        assert_eq!(record.retire(&who, None, id, "worn", at(1)), keep());
        assert_eq!(record.repeats(&who), Err(no(Act::SeeSpread)));
    }
    assert_eq!(record.head().unwrap(), before);
    assert!(record.repeats(&lead()).unwrap().is_empty());
    // Anyone may try it on a standard.
    record.try_standard(&apprentice(), None, check(id, 0.0), at(2)).unwrap();
}

#[test]
fn what_is_sent_again_under_its_key_is_not_doubled() {
    let record = Record::in_memory().unwrap();
    let add = |name: &str| record.add_instrument(&lead(), Some("k-1"), facts(name), at(0));
    let id = add("x").unwrap().id;
    assert_eq!(add("x").unwrap().id, id);
    assert_eq!(add("y"), Err(RecordError::Conflict { key: "k-1".into(), first: id.0 }));
    let tried = |read| record.try_standard(&tech(), Some("k-2"), check(id, read), at(1));
    tried(TENTH).unwrap();
    tried(TENTH).unwrap();
    assert!(matches!(tried(0.0), Err(RecordError::Conflict { .. })));
    // A retry is answered even when the instrument was retired meanwhile.
    record.retire(&lead(), Some("k-3"), id, "worn", at(2)).unwrap();
    record.retire(&lead(), Some("k-3"), id, "worn", at(2)).unwrap();
    tried(TENTH).unwrap();
    assert_eq!(record.head().unwrap().0, 3);
}

/// How well the gauge was known is what a reading was judged by, not what it says.
#[test]
fn a_retry_after_a_calibration_is_the_same_reading() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let gauge =
        |uncertainty| Gauge { number: InstrumentId(1), uncertainty, due: date(2027, 3, 1), overdue: false, off: false };
    let with = |gauge| Measured { gauge, ..journal(job, "1", Verdict::Within) };
    let first = record.post(&tech(), "k-1", with(Some(gauge(TENTH))), at(1)).unwrap();
    let again = record.post(&tech(), "k-1", with(Some(gauge(TENTH / 2.0))), at(2)).unwrap();
    assert!(again.was_retry);
    assert_eq!(again.reading.measured.gauge, Some(gauge(TENTH)), "it keeps how the gauge stood on its day");
    assert_eq!(record.reading(first.reading.id).unwrap().reading, first.reading);
    assert_eq!(record.posted_under("tech-1", "k-1").unwrap(), Some(first.reading));
    assert_eq!(record.posted_under("tech-1", "k-2").unwrap(), None);
}

#[test]
fn repeats_are_all_readings_of_a_place_and_nothing_else() {
    let record = Record::in_memory().unwrap();
    let (job, other) = (open_job(&record).id, open_job(&record).id);
    let first = post(&record, &tech(), "k-1", journal(job, "1", Verdict::Out));
    post(&record, &tech(), "k-2", journal(job, "2", Verdict::Within));
    post(&record, &tech(), "k-3", journal(other, "1", Verdict::Within));
    record.amend(&tech(), "k-4", first, "misread", journal(job, "1", Verdict::Within), at(3)).unwrap();
    post(&record, &apprentice(), "k-5", journal(job, "1", Verdict::Within));
    let kept = record.repeats(&lead()).unwrap();
    let told: Vec<_> = kept.iter().map(|r| (r.id.0, r.by.person.as_str())).collect();
    assert_eq!(told, [(3, "tech-1"), (6, "tech-1"), (7, "apprentice-1")]);
}

#[test]
fn the_last_instrument_is_remembered_by_channel_and_check() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let named =
        |name: Option<&str>| Measured { instrument: name.map(str::to_owned), ..journal(job, "1", Verdict::Within) };
    post(&record, &tech(), "k-1", named(Some("micrometer 3")));
    post(&record, &tech(), "k-2", named(Some("micrometer 4")));
    post(&record, &tech(), "k-3", named(None));
    let yard = Actor { channel: "yard".into(), ..tech() };
    post(&record, &yard, "k-4", named(Some("old mike")));
    let last = |channel: &str, check: &str| record.last_used(channel, check).unwrap();
    assert_eq!(last("bench", "main-journal").as_deref(), Some("micrometer 4"));
    assert_eq!(last("yard", "main-journal").as_deref(), Some("old mike"));
    assert_eq!(last("bench", "rod-journal"), None);
}

#[test]
fn a_temperature_is_each_persons_own_in_each_channel_and_no_event() {
    let folder = TempDir::new().unwrap();
    let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
    let said = |person: &str, channel: &str| record.bench_temperature(person, channel).unwrap();
    assert_eq!(said("tech-1", "bench"), None);
    record.set_bench_temperature(&tech(), 295.15, at(1)).unwrap();
    record.set_bench_temperature(&tech(), 0.1 + 0.2 + 290.0, at(2)).unwrap();
    record.set_bench_temperature(&apprentice(), 291.0, at(3)).unwrap();
    assert_eq!(said("tech-1", "bench"), Some((0.1 + 0.2 + 290.0, at(2))), "to the last digit");
    assert_eq!(said("apprentice-1", "bench"), Some((291.0, at(3))));
    assert_eq!(said("tech-1", "yard"), None);
    assert!(record.set_bench_temperature(&tech(), f64::NAN, at(4)).is_err());
    assert!(record.set_bench_temperature(&actor("", Role::Lead), 290.0, at(4)).is_err());
    assert_eq!(record.head().unwrap().0, 0);
}

#[test]
fn a_register_that_does_not_follow_from_the_events_is_found() {
    for (sql, found) in [
        ("SELECT 1", None),
        ("UPDATE instrument SET retired = NULL", Some(1)),
        ("UPDATE instrument SET calibrated = NULL", Some(1)),
        ("UPDATE instrument SET rated = NULL", Some(1)),
        ("UPDATE instrument SET name = 'micrometer 4'", Some(1)),
        ("DELETE FROM instrument", Some(1)),
    ] {
        let folder = TempDir::new().unwrap();
        let place = folder.path().join("record.sqlite");
        fill_register(&Record::open(&place).unwrap());
        Connection::open(&place).unwrap().execute_batch(sql).unwrap();
        let fault = Record::open(&place).unwrap().verify().unwrap().fault.map(|fault| fault.to_string());
        let expected = found.map(|id| {
            format!("the instrument table is wrong about number {id}: what the events say was expected there")
        });
        assert_eq!(fault, expected, "{sql}");
    }
}

#[derive(Debug, Clone)]
enum Step {
    Add(u8),
    Calibrate { target: usize, months: i64, uncertainty: Option<u8> },
    Try { target: usize, read: i8 },
    Retire { target: usize },
    Post { named: u8 },
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        3 => (0..6_u8).prop_map(Step::Add),
        3 => (0..8_usize, 1..40_i64, prop::option::of(1..9_u8))
            .prop_map(|(target, months, uncertainty)| Step::Calibrate { target, months, uncertainty }),
        3 => (0..8_usize, -9..9_i8).prop_map(|(target, read)| Step::Try { target, read }),
        1 => (0..8_usize).prop_map(|target| Step::Retire { target }),
        2 => (0..6_u8).prop_map(|named| Step::Post { named }),
    ]
}

/// An instrument as the model knows it.
#[derive(Debug, Clone, PartialEq)]
struct Known {
    id: InstrumentId,
    due: jiff::civil::Date,
    uncertainty: f64,
    tried: usize,
    retired: bool,
}

/// What it came to: whether the step was taken.
fn take(record: &Record, model: &mut BTreeMap<u8, Known>, n: usize, step: &Step, twice: bool) {
    let (now, key) = (at(n as i64), format!("k-{n}"));
    let nth = |model: &BTreeMap<u8, Known>, target: usize| model.keys().nth(target % model.len().max(1)).copied();
    let send = |act: &dyn Fn() -> Result<Instrument, RecordError>| {
        let first = act();
        if twice {
            let head = record.head().unwrap();
            assert_eq!(act(), first);
            assert_eq!(record.head().unwrap(), head);
        }
        first
    };
    match *step {
        Step::Add(name) => {
            let facts = facts(&format!("gauge {name}"));
            let added = send(&|| record.add_instrument(&lead(), Some(&key), facts.clone(), now));
            assert_eq!(added.is_ok(), !model.contains_key(&name), "{added:?}");
            if let Ok(added) = added {
                let (due, uncertainty) = (facts.due, facts.uncertainty);
                model.insert(name, Known { id: added.id, due, uncertainty, tried: 0, retired: false });
            }
        }
        Step::Calibrate { target, months, uncertainty } => {
            let Some(name) = nth(model, target) else { return };
            let known = model.get_mut(&name).unwrap();
            let what = calibration(known.id, months, uncertainty.map(|u| f64::from(u) * TENTH));
            let done = send(&|| record.calibrate(&lead(), Some(&key), what.clone(), now));
            assert_eq!(done.is_ok(), !known.retired);
            if done.is_ok() {
                known.due = what.due;
                known.uncertainty = what.uncertainty.unwrap_or(known.uncertainty);
            }
        }
        Step::Try { target, read } => {
            let Some(name) = nth(model, target) else { return };
            let known = model.get_mut(&name).unwrap();
            let what = check(known.id, f64::from(read) * TENTH);
            let done = send(&|| record.try_standard(&tech(), Some(&key), what.clone(), now));
            assert_eq!(done.is_ok(), !known.retired);
            known.tried += usize::from(done.is_ok());
        }
        Step::Retire { target } => {
            let Some(name) = nth(model, target) else { return };
            let known = model.get_mut(&name).unwrap();
            let done = send(&|| record.retire(&lead(), Some(&key), known.id, "worn", now));
            assert_eq!(done.is_ok(), !known.retired);
            known.retired = true;
        }
        Step::Post { named } => {
            let job = gudgeon::record::JobId(1);
            let measured = || Measured {
                instrument: Some(format!("gauge {named}")),
                ..journal(job, &named.to_string(), Verdict::Within)
            };
            record.post(&tech(), &key, measured(), now).unwrap();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is done to the register among readings, it stands as a plain model says, and comes out of an export so.
    #[test]
    fn any_sequence_of_acts_leaves_what_the_model_says(
        steps in prop::collection::vec(step(), 1..50),
        twice in any::<bool>(),
    ) {
        let record = Record::in_memory().unwrap();
        open_job(&record);
        let mut model = BTreeMap::new();
        for (n, step) in steps.iter().enumerate() {
            take(&record, &mut model, n, step, twice);
        }
        let mut stands: Vec<_> = record.instruments().unwrap().into_iter().map(|one| {
            let tried = record.standard_checks(one.id).unwrap().len();
            let (due, uncertainty) = (one.facts.due, one.facts.uncertainty);
            Known { id: one.id, due, uncertainty, tried, retired: one.retired.is_some() }
        }).collect();
        let mut expected: Vec<_> = model.into_values().collect();
        stands.sort_by_key(|one| one.id);
        expected.sort_by_key(|one| one.id);
        prop_assert_eq!(stands, expected);
        prop_assert_eq!(record.verify().unwrap().fault, None);
    }
}

/// A field that was not there when a reading was written is none.
#[test]
fn a_reading_of_before_the_register_reads_as_having_no_gauge() {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    post(&record, &tech(), "k-1", journal(job, "1", Verdict::Within));
    let Happening::Reading(kept) = &record.events(job).unwrap()[1].what else { panic!("it is a reading") };
    assert_eq!(kept.measured.gauge, None);
    assert!(!serde_json::to_string(&kept.measured).unwrap().contains("gauge"), "and it is written as it ever was");
}

#[test]
fn the_register_and_the_bench_go_out_and_come_back() {
    let folder = TempDir::new().unwrap();
    let place = |name: &str| folder.path().join(name);
    let record = Record::open(&place("record.sqlite")).unwrap();
    fill_register(&record);
    record.add_instrument(&lead(), None, facts("micrometer “4”"), at(30)).unwrap();
    record.export(&place("record.jsonl"), &quietly).unwrap();
    let stands = record.instruments().unwrap();
    drop(record);
    let chain = import(&place("record.jsonl"), &place("again.sqlite"), &quietly).unwrap();
    assert_eq!((chain.events, chain.fault), (5, None));
    let (first, again) = (everything(&place("record.sqlite")), everything(&place("again.sqlite")));
    for table in ["event", "instrument", "bench_temperature"] {
        assert!(!first[table].is_empty(), "{table} is compared with nothing in it");
    }
    assert_eq!(first, again);
    let again = Record::open(&place("again.sqlite")).unwrap();
    assert_eq!(again.instruments().unwrap(), stands);
    assert_eq!(again.bench_temperature("tech-1", "bench").unwrap(), Some((295.372_222_222_222_2, at(24))));
}

/// A backup of a layout that had no register yet is looked over as it is, and restored.
#[test]
fn a_backup_from_before_the_register_holds_together() {
    let folder = TempDir::new().unwrap();
    let old = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/record/samples/layout-1.sqlite");
    let to = folder.path().join("record.sqlite");
    let restored = gudgeon::record::restore(&old, &to, &quietly).unwrap();
    assert_eq!((restored.chain.events, restored.chain.fault), (9, None));
    assert!(Record::open(&to).unwrap().instruments().unwrap().is_empty());
}
