//! A record of every layout there ever was opens as one of the newest, with all that was in it.
//!
//! `samples/layout-N.sqlite` was written by a program that knew no later layout than N, and is never written again;
//! `layout-N.jsonl` is its export. A new layout's pair is made by `RECORD_SAMPLES=write cargo test --test all
//! record::migrations`, and kept from then on.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::{
    env, fs,
    path::{Path, PathBuf},
};

use gudgeon::{
    maths::judge::Verdict,
    record::{Actor, Decision, JobId, OpenHold, Picture, ReadingId, Record, StageSigned, import, quietly},
};
use tempfile::TempDir;

use crate::pictures;

use super::{
    append_only, at,
    instruments::{facts, fill_register},
    journal, layout_of, lead, open_job, post, tech,
    transfer::everything,
};

fn sample(layout: i64, end: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/record/samples/layout-{layout}.{end}"))
}

/// A new, empty record and the number of its layout, the newest.
fn newest() -> (TempDir, PathBuf, i64) {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("newest.sqlite");
    drop(Record::open(&place).unwrap());
    let layout = layout_of(&place);
    (folder, place, layout)
}

/// What layout 1 did not know: a stage signed off over an open hold point, a return that was told, a digest given out.
fn since_layout_1(record: &Record, job: JobId) {
    let returned = post(record, &tech(), "k-10", journal(job, "4", Verdict::Out));
    record.review(&lead(), &[returned], Decision::Returned, Some("again"), false, at(6)).unwrap();
    assert!(record.tell(11).unwrap() && record.take_digest("2026-09-21").unwrap());
    let open = vec![OpenHold { check: "main-journal".into(), missing: vec!["4".into()], waiting: vec!["3".into()] }];
    let signed = StageSigned {
        job,
        stage: "measure-crank".into(),
        readings: vec![ReadingId(9), returned],
        open,
        reason: Some("the crank goes to the grinder".into()),
    };
    record.sign_stage(&lead(), Some("k-11"), signed, at(7)).unwrap();
}

/// What layout 3 did not know: photographs, one beside two readings.
fn since_layout_3(record: &Record, job: JobId) {
    let (jpeg, png) = (pictures::jpeg(48, 32, 60), pictures::png(12, 8, 60));
    let both = [jpeg, png].map(|bytes| Picture::read(&bytes).unwrap());
    let posted = record.post_with(&tech(), "k-20", journal(job, "6", Verdict::Out), &both, at(30)).unwrap();
    record.add_photos(&lead(), ReadingId(9), &both[..1], at(31)).unwrap();
    assert_eq!(record.photos(posted.reading.id).unwrap().len(), 2);
}

/// Something of everything: each kind of event, an open job and a closed one, and a job in hand.
fn write_sample(layout: i64) {
    let record = Record::in_memory().unwrap();
    append_only::fill(&record);
    let job = open_job(&record).id;
    record.set_current(&tech(), job).unwrap();
    record.set_current(&Actor { channel: "yard".into(), ..lead() }, job).unwrap();
    let mut measured = journal(job, "3", Verdict::Marginal);
    measured.note = Some("scored — “left” side".into());
    post(&record, &tech(), "k-9", measured);
    since_layout_1(&record, job);
    fill_register(&record);
    since_layout_3(&record, job);
    fs::create_dir_all(sample(layout, "sqlite").parent().unwrap()).unwrap();
    record.backup(&sample(layout, "sqlite"), &quietly).unwrap();
    record.export(&sample(layout, "jsonl"), &quietly).unwrap();
}

#[test]
fn a_record_of_every_layout_opens_with_all_that_was_in_it() {
    let (folder, new, newest) = newest();
    if env::var_os("RECORD_SAMPLES").is_some_and(|wish| wish == "write") && !sample(newest, "sqlite").exists() {
        write_sample(newest);
    }
    for layout in 1..=newest {
        let (kept, place) = (sample(layout, "sqlite"), folder.path().join(format!("{layout}.sqlite")));
        assert!(kept.exists(), "layout {layout} has no sample: the top of this file says how to make one");
        assert_eq!(layout_of(&kept), layout, "a sample is never migrated itself");
        fs::copy(&kept, &place).unwrap();

        let record = Record::open(&place).unwrap();
        let chain = record.verify().unwrap();
        let written = fs::read_to_string(sample(layout, "jsonl")).unwrap().matches("\"line\":\"event\"").count() as u64;
        assert_eq!((chain.events, chain.fault), (written, None), "layout {layout}");
        assert!(written >= 9);
        let text = folder.path().join(format!("{layout}.jsonl"));
        record.export(&text, &quietly).unwrap();
        let exported = fs::read_to_string(&text).unwrap();
        assert_eq!(exported, fs::read_to_string(sample(layout, "jsonl")).unwrap(), "layout {layout}");
        assert_eq!(record.current("lead", "yard").unwrap().unwrap().id, JobId(2));
        assert_eq!(record.latest(JobId(1), "main-journal", "1").unwrap().unwrap().reading.id.0, 5);

        // It is laid out as a new one is, and what is read from its export is equal to it, table by table.
        drop(record);
        let again = folder.path().join(format!("{layout}-again.sqlite"));
        import(&text, &again, &quietly).unwrap();
        let migrated = everything(&place);
        assert_eq!(migrated, everything(&again), "layout {layout}");
        for part in ["sqlite_schema", "pragmas"] {
            assert_eq!(migrated[part], everything(&new)[part], "layout {layout}");
        }

        let record = Record::open(&place).unwrap();
        post(&record, &tech(), "k-12", journal(JobId(2), "5", Verdict::Within));
        record.add_instrument(&lead(), None, facts("micrometer 9"), at(40)).unwrap();
        assert_eq!(record.verify().unwrap().events, written + 2);
    }
}
