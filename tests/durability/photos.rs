//! The program killed while photographs are posted: one that was acknowledged is there with its reading, byte for byte, and
//! a reading never stands without the photograph that came with it.

use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use gudgeon::record::{Actor, JobId, Picture, Record, Role};
use jiff::Timestamp;

use super::random::Random;
use super::reading;
use crate::pictures;
use crate::record::faults::{PLACE, only, place_from_parent};

const ROUNDS: u64 = 24;
const POSTERS: usize = 3;
const ROUND: &str = "RECORD_TEST_ROUND";

/// A photograph that is only this one's, of some hundred kilobytes.
fn picture(poster: usize, n: usize) -> Picture {
    let side = 200 + (n % 7) as u32 * 16 + poster as u32;
    Picture::read(&pictures::png(side, side, (n % 251) as u8)).unwrap()
}

#[test]
#[ignore = "started, and killed, by the test of photographs"]
fn child_posts_photographs_until_killed() {
    let Some(place) = place_from_parent() else { return };
    let round = std::env::var(ROUND).unwrap();
    let record = Record::open(&place).unwrap();
    let by = |poster: usize| Actor {
        person: format!("tech-{poster}"),
        role: Role::Tech,
        front: "phone".into(),
        channel: "bench".into(),
    };
    thread::scope(|threads| {
        for poster in 0..POSTERS {
            let (record, round) = (&record, &round);
            threads.spawn(move || {
                for n in 0.. {
                    let (name, photo) = (format!("{round}-{poster}-{n}"), [picture(poster, n)]);
                    let measured = reading(JobId(1), &name);
                    let posted = record.post_with(&by(poster), &name, measured, &photo, Timestamp::now()).unwrap();
                    println!("posted {} {}.", posted.reading.id, photo[0].hash());
                }
            });
        }
    });
}

#[test]
fn killed_in_an_upload_no_acknowledged_photograph_is_lost() {
    let mut random = Random::new(5);
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("record.sqlite");
    let lead = Actor { person: "lead".into(), role: Role::Lead, front: "phone".into(), channel: "bench".into() };
    Record::open(&place).unwrap().open_job(&lead, None, "skerry-v8", "Skerry V8", None, Timestamp::now()).unwrap();
    let mut promised: Vec<(i64, String)> = Vec::new();
    for round in 0..ROUNDS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(only(module_path!(), "child_posts_photographs_until_killed"))
            .env(PLACE, &place)
            .env(ROUND, round.to_string())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut said = String::new();
        for _ in 0..3 + random.below(12) {
            out.read_line(&mut said).unwrap();
        }
        thread::sleep(Duration::from_micros(random.below(9_000)));
        child.kill().unwrap();
        out.read_to_string(&mut said).unwrap();
        child.wait().unwrap();
        promised.extend(said.split("posted ").filter_map(|line| {
            let (number, hash) = line.split_once('.')?.0.split_once(' ')?;
            Some((number.parse().ok()?, hash.to_owned()))
        }));
        let record = Record::open(&place).unwrap();
        assert_eq!(record.verify().unwrap().fault, None, "round {round}");
        let beside: Vec<(i64, String)> = record
            .photos_of_job(JobId(1))
            .unwrap()
            .into_iter()
            .map(|photo| (photo.what.of.0, photo.what.hash))
            .collect();
        for entry in record.readings(JobId(1)).unwrap() {
            let number = entry.reading.id.0;
            assert_eq!(beside.iter().filter(|(of, _)| *of == number).count(), 1, "round {round}: reading {number}");
        }
        for one in &promised {
            assert!(beside.contains(one), "round {round}: {one:?} was acknowledged");
        }
    }
    assert!(promised.len() as u64 > ROUNDS * 2, "only {} were acknowledged", promised.len());
}
