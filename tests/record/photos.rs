//! Photographs beside readings: who may put one there, what is a photograph at all, and that none is lost or changed.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;

use gudgeon::{
    maths::judge::Verdict,
    record::{
        Act, Actor, Amends, Decision, Fault, JobId, MOST_A_READING, MOST_BYTES, Media, Picture, ReadingId, Record,
        RecordError, Role, SafekeepingError, import, quietly, restore, verify,
    },
};
use proptest::prelude::*;
use rusqlite::Connection;
use tempfile::TempDir;

use super::{actor, apprentice, at, journal, lead, open_job, post, tech, transfer::everything};
use crate::pictures;

fn picture(tint: u8) -> Picture {
    Picture::read(&pictures::jpeg(64, 48, tint)).unwrap()
}

/// A record with one reading by an apprentice: job 1, reading 2.
fn with_reading() -> (Record, ReadingId) {
    let record = Record::in_memory().unwrap();
    let job = open_job(&record).id;
    let id = post(&record, &apprentice(), "k-1", journal(job, "1", Verdict::Within));
    (record, id)
}

fn rule(error: RecordError) -> &'static str {
    match error {
        RecordError::Unfit { field: "photograph", rule } => rule,
        other => panic!("{other:?}"),
    }
}

#[test]
fn who_may_log_pictures_their_own_and_a_lead_any() {
    let (record, id) = with_reading();
    let added = record.add_photos(&apprentice(), id, &[picture(1)], at(2)).unwrap();
    assert_eq!((added[0].number, added[0].what.of, added[0].by.person.as_str()), (3, id, "apprentice-1"));
    assert_eq!((added[0].what.media, added[0].what.width, added[0].what.height), (Media::Jpeg, 64, 48));
    record.add_photos(&lead(), id, &[picture(2)], at(3)).unwrap();
    let refused = record.add_photos(&tech(), id, &[picture(3)], at(4)).unwrap_err();
    assert_eq!(refused, RecordError::NotAllowed { act: Act::PictureAny, role: Role::Tech });
    assert_eq!(record.photos(id).unwrap().len(), 2);
    // A photograph is no review: the reading still waits.
    assert_eq!(record.waiting().unwrap(), 1);
    assert_eq!(record.verify().unwrap().fault, None);
}

#[test]
fn the_same_again_adds_nothing_whatever_became_of_the_reading() {
    let (record, id) = with_reading();
    let job = JobId(1);
    let first = record.add_photos(&apprentice(), id, &[picture(1), picture(1)], at(2)).unwrap();
    assert_eq!((first[0].number, first[1].number), (3, 3));
    let key = "with-photo";
    let both = [picture(5), picture(6)];
    let send = |at_minute| record.post_with(&tech(), key, journal(job, "2", Verdict::Within), &both, at(at_minute));
    let posted = send(3).unwrap();
    assert!(!posted.was_retry);
    let head = record.head().unwrap();
    assert_eq!(head.0, 6, "reading 4 and two photographs");
    assert!(send(4).unwrap().was_retry);
    assert_eq!(record.head().unwrap(), head);
    record.close_job(&lead(), job, None, at(5)).unwrap();
    let head = record.head().unwrap();
    assert!(send(6).unwrap().was_retry);
    assert_eq!(record.add_photos(&apprentice(), id, &[picture(1)], at(6)).unwrap(), first[..1]);
    assert_eq!(record.add_photos(&apprentice(), id, &[picture(9)], at(6)), Err(RecordError::JobClosed(job)));
    assert_eq!(record.head().unwrap(), head);
    assert_eq!(record.photos_of_job(job).unwrap().len(), 3);
}

#[test]
fn a_post_is_taken_with_its_photographs_or_not_at_all() {
    let (record, id) = with_reading();
    let many: Vec<Picture> = (0..=MOST_A_READING as u8).map(picture).collect();
    let refused = record.post_with(&tech(), "k-2", journal(JobId(1), "2", Verdict::Within), &many, at(2)).unwrap_err();
    assert!(rule(refused).contains("seventh"));
    assert_eq!(record.readings(JobId(1)).unwrap().len(), 1);
    record.add_photos(&apprentice(), id, &many[..MOST_A_READING], at(3)).unwrap();
    assert!(
        rule(record.add_photos(&apprentice(), id, &many[MOST_A_READING..], at(4)).unwrap_err()).contains("seventh")
    );
    record.add_photos(&apprentice(), id, &many[..2], at(5)).unwrap();
    assert_eq!(record.photos(id).unwrap().len(), MOST_A_READING);
    assert_eq!(
        record.add_photos(&tech(), ReadingId(77), &many[..1], at(5)).unwrap_err().to_string(),
        "there is no reading 77 in the record"
    );
}

#[test]
fn an_amended_reading_keeps_what_the_earlier_one_showed() {
    let (record, _) = with_reading();
    let first = record.post_with(&tech(), "k-2", journal(JobId(1), "2", Verdict::Out), &[picture(1)], at(2)).unwrap();
    let (first, fixed) = (first.reading.id, journal(JobId(1), "2", Verdict::Within));
    let amends = Amends { reading: first, reason: "misread".into() };
    let again = record.amend_with(&tech(), "k-3", amends, fixed, &[picture(2)], at(3)).unwrap().reading.id;
    let of: Vec<ReadingId> = record.photos(again).unwrap().iter().map(|photo| photo.what.of).collect();
    assert_eq!(of, [first, again]);
    let refused = record.add_photos(&tech(), first, &[picture(3)], at(4)).unwrap_err();
    assert_eq!(refused, RecordError::AlreadyAmended { reading: first, latest: again });
}

#[test]
fn what_a_camera_writes_beside_a_picture_is_left_off() {
    for (sent, media) in [
        (pictures::from_a_phone(120, 80, 6), Media::Jpeg),
        (pictures::png_with_secret(120, 80), Media::Png),
        (pictures::webp_with_secret(120, 80), Media::Webp),
    ] {
        assert!(pictures::holds(&sent, pictures::SECRET));
        let kept = Picture::read(&sent).unwrap();
        assert!(!pictures::holds(kept.bytes(), pictures::SECRET), "{media:?}");
        assert_eq!((kept.media(), kept.hash()), (media, blake3::hash(kept.bytes())));
        // Not a pixel of it is another.
        let pixels = |bytes: &[u8]| image::load_from_memory(bytes).unwrap().to_rgba8();
        assert_eq!(pixels(kept.bytes()), pixels(&sent), "{media:?}");
        assert_eq!(Picture::read(kept.bytes()).unwrap(), kept, "{media:?}: read again it is the same");
    }
    // Turned on its side it is seen upright: which way up it is was kept.
    assert_eq!(Picture::read(&pictures::from_a_phone(120, 80, 6)).unwrap().size(), (80, 120));
    assert_eq!(Picture::read(&pictures::from_a_phone(120, 80, 1)).unwrap().size(), (120, 80));
}

#[test]
fn what_is_no_photograph_is_refused_by_its_own_bytes() {
    let jpeg = pictures::jpeg(64, 48, 1);
    let mut wide = pictures::png(8, 8, 1);
    wide[16..24].copy_from_slice(&[0, 0, 0x40, 0, 0, 0, 0x40, 0]);
    for (what, bytes, why) in [
        ("nothing", Vec::new(), "is no JPEG"),
        ("words", b"4.0305 in".to_vec(), "is no JPEG"),
        ("SVG", b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>".to_vec(), "is no JPEG"),
        ("GIF", b"GIF89a\x01\0\x01\0\0\0\0;".to_vec(), "is no JPEG"),
        ("HTML", b"<!doctype html><script>alert(1)</script>".to_vec(), "is no JPEG"),
        ("a start alone", jpeg[..3].to_vec(), "is damaged"),
        ("half", jpeg[..jpeg.len() / 2].to_vec(), "is damaged"),
        ("all but the end", jpeg[..jpeg.len() - 2].to_vec(), "is damaged"),
        ("half a PNG", pictures::png(64, 48, 1)[..60].to_vec(), "is damaged"),
        ("half a WebP", pictures::webp(64, 48, 1)[..60].to_vec(), "is damaged"),
        ("a wall of pixels", wide, "has"),
        ("too much", [&jpeg[..], &vec![0; MOST_BYTES]].concat(), "is larger"),
    ] {
        let refused = rule(Picture::read(&bytes).expect_err(what));
        assert!(refused.starts_with(why), "{what}: {refused}");
    }
    // Whatever stands behind the picture is not kept: a page in disguise is a picture and no more.
    let disguised = [&jpeg[..], b"<script>alert(1)</script>"].concat();
    assert_eq!(Picture::read(&disguised).unwrap(), Picture::read(&jpeg).unwrap());
}

#[test]
fn no_sql_changes_removes_or_replaces_a_photograph() {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("record.sqlite");
    let record = Record::open(&place).unwrap();
    let job = open_job(&record).id;
    record.post_with(&tech(), "k-1", journal(job, "1", Verdict::Out), &[picture(1)], at(1)).unwrap();
    drop(record);
    let conn = Connection::open(&place).unwrap();
    for sql in [
        "UPDATE photo SET bytes = x'00'",
        "DELETE FROM photo",
        "INSERT OR REPLACE INTO photo SELECT hash, x'00' FROM photo",
        "INSERT OR REPLACE INTO photo (rowid, hash, bytes) SELECT rowid, hex(zeroblob(32)), x'00' FROM photo",
    ] {
        let refused = conn.execute_batch(sql).expect_err(sql).to_string();
        assert!(refused.contains("append-only"), "{sql}: {refused}");
    }
    // Past the triggers it shows.
    let fault = || verify(&place, &quietly).unwrap().fault;
    assert_eq!(fault(), None);
    conn.execute_batch(
        "DROP TRIGGER photo_is_never_changed; DROP TRIGGER photo_is_never_deleted;
         CREATE TABLE aside AS SELECT * FROM photo; UPDATE photo SET bytes = x'ffd8'",
    )
    .unwrap();
    assert!(matches!(fault(), Some(Fault::Photo { seq: 3, found: Some(_), .. })));
    conn.execute_batch("DELETE FROM photo").unwrap();
    assert!(matches!(fault(), Some(Fault::Photo { seq: 3, found: None, .. })));
    assert!(fault().unwrap().to_string().starts_with("the photograph of event 3 is gone"));
    conn.execute_batch("INSERT INTO photo SELECT * FROM aside").unwrap();
    assert_eq!(fault(), None);
    conn.execute_batch("INSERT INTO photo VALUES (lower(hex(zeroblob(32))), x'ffd8')").unwrap();
    assert_eq!(fault(), Some(Fault::Standing { table: "photo", id: 2 }));
}

#[test]
fn a_backup_and_an_export_carry_every_photograph() {
    let folder = TempDir::new().unwrap();
    let at_place = |name: &str| folder.path().join(name);
    let record = Record::open(&at_place("record.sqlite")).unwrap();
    let job = open_job(&record).id;
    let large = {
        // As large as is kept: noise does not pack.
        let mut seed = 1_u32;
        let noise = image::RgbImage::from_fn(1100, 1100, |_, _| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            image::Rgb([(seed >> 8) as u8, (seed >> 16) as u8, (seed >> 24) as u8])
        });
        let mut out = std::io::Cursor::new(Vec::new());
        image::DynamicImage::from(noise).write_to(&mut out, image::ImageFormat::Png).unwrap();
        Picture::read(&out.into_inner()).unwrap()
    };
    assert!(large.bytes().len() > MOST_BYTES / 2);
    let all = [picture(1), large, Picture::read(&pictures::webp(30, 20, 2)).unwrap()];
    let id = record.post_with(&tech(), "k-1", journal(job, "1", Verdict::Out), &all, at(1)).unwrap().reading.id;
    // Beside two readings it is kept once.
    record.post_with(&tech(), "k-2", journal(job, "2", Verdict::Out), &all[..1], at(2)).unwrap();
    record.backup(&at_place("copy.sqlite"), &quietly).unwrap();
    record.export(&at_place("record.jsonl"), &quietly).unwrap();
    restore(&at_place("copy.sqlite"), &at_place("restored.sqlite"), &quietly).unwrap();
    import(&at_place("record.jsonl"), &at_place("imported.sqlite"), &quietly).unwrap();
    drop(record);
    let first = everything(&at_place("record.sqlite"));
    assert_eq!(first["photo"].len(), 3);
    for name in ["restored.sqlite", "imported.sqlite"] {
        let there = everything(&at_place(name));
        let sorted = |rows: &Vec<Vec<rusqlite::types::Value>>| {
            let mut rows: Vec<String> = rows.iter().map(|row| format!("{row:?}")).collect();
            rows.sort();
            rows
        };
        assert_eq!(sorted(&there["photo"]), sorted(&first["photo"]), "{name}");
        assert_eq!(there["event"], first["event"], "{name}");
        let record = Record::open(&at_place(name)).unwrap();
        for (photo, sent) in record.photos(id).unwrap().iter().zip(&all) {
            let kept = record.photo(&photo.what.hash).unwrap();
            assert_eq!(kept, Some((sent.media(), sent.bytes().to_vec())), "{name}");
        }
    }
    // One left out, changed, or named by no event: the export is refused whole.
    let text = fs::read_to_string(at_place("record.jsonl")).unwrap();
    let photos: Vec<&str> = text.lines().filter(|line| line.starts_with("{\"line\":\"photo\"")).collect();
    assert_eq!(photos.len(), 3);
    let broken = [
        text.replace(&format!("{}\n", photos[0]), ""),
        text.replace(photos[0], &photos[0].replace("\"bytes\":\"", "\"bytes\":\"AAAA")),
        text.replace(
            photos[0],
            &format!(
                "{}\n{}",
                photos[0],
                "{\"line\":\"photo\",\"hash\":\"".to_owned() + &"0".repeat(64) + "\",\"bytes\":\"AAAA\"}"
            ),
        ),
    ];
    for text in broken {
        fs::write(at_place("broken.jsonl"), text).unwrap();
        let refused = import(&at_place("broken.jsonl"), &at_place("no.sqlite"), &quietly).unwrap_err();
        assert!(matches!(refused, SafekeepingError::Broken(_)), "{refused:?}");
        assert!(!at_place("no.sqlite").exists());
    }
}

#[test]
fn a_returned_or_accepted_reading_takes_a_photograph_and_stays_so() {
    let (record, id) = with_reading();
    record.review(&lead(), &[id], Decision::Accepted, None, false, at(2)).unwrap();
    record.add_photos(&apprentice(), id, &[picture(1)], at(3)).unwrap();
    let entry = record.reading(id).unwrap();
    assert_eq!(entry.review.unwrap().decision, Decision::Accepted);
    let stranger: Actor = actor("", Role::Lead);
    assert!(record.add_photos(&stranger, id, &[picture(2)], at(4)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Whatever is sent, cut or bent, it is refused or kept as a picture that reads again as itself; nothing panics.
    #[test]
    fn any_bytes_are_refused_or_kept_as_they_read(
        which in 0..4_usize,
        cut in 0.0..1.2_f64,
        bent in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 0..6),
    ) {
        let mut bytes = match which {
            0 => pictures::from_a_phone(40, 30, 3),
            1 => pictures::png_with_secret(40, 30),
            2 => pictures::webp_with_secret(40, 30),
            _ => pictures::jpeg(40, 30, 7),
        };
        let whole = bytes.len();
        bytes.truncate((whole as f64 * cut) as usize);
        for (at, value) in bent {
            let at = (bytes.len() as f64 * at) as usize;
            if let Some(byte) = bytes.get_mut(at) {
                *byte = value;
            }
        }
        if let Ok(kept) = Picture::read(&bytes) {
            prop_assert!(kept.bytes().len() <= bytes.len() + 36);
            prop_assert_eq!(Picture::read(kept.bytes()), Ok(kept));
        }
    }
}
