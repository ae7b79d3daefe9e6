//! Eight posters in one program, killed at a random moment, two hundred times over: every reading that was acknowledged is
//! there once, and the chain is whole.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use gudgeon::record::{Actor, JobId, Record, Role};
use jiff::Timestamp;

use super::random::Random;
use super::reading;
use crate::record::faults::{PLACE, only, place_from_parent};

const ROUNDS: u64 = 200;
/// Rounds on one record, so that there is something in it when the program starts.
const ON_ONE: u64 = 10;
const POSTERS: usize = 8;
/// So many of them post rows, several as one act.
const OF_ROWS: usize = 2;
const ROWS: usize = 3;
const ROUND: &str = "RECORD_TEST_ROUND";

fn person(poster: usize) -> Actor {
    Actor { person: format!("tech-{poster}"), role: Role::Tech, front: "phone".into(), channel: "bench".into() }
}

#[test]
#[ignore = "started, and killed, by the test of eight posters"]
fn child_posts_with_eight_until_killed() {
    let Some(place) = place_from_parent() else { return };
    let round = std::env::var(ROUND).unwrap();
    let record = Record::open(&place).unwrap();
    thread::scope(|threads| {
        for poster in 0..POSTERS {
            let (record, round) = (&record, &round);
            threads.spawn(move || {
                for n in 0.. {
                    let name = format!("{round}-{poster}-{n}");
                    if poster < OF_ROWS {
                        let rows = (1..=ROWS).map(|row| reading(JobId(1), &format!("{name}/{row}"))).collect();
                        let posted = record.post_all(&person(poster), &name, rows, Timestamp::now()).unwrap();
                        let said = posted.iter().map(|row| &row.reading);
                        let said = said.map(|row| format!("posted {} as {}.", row.measured.typed, row.id));
                        println!("{}", said.collect::<String>());
                        continue;
                    }
                    let posted = record.post(&person(poster), &name, reading(JobId(1), &name), Timestamp::now());
                    println!("posted {name} as {}.", posted.unwrap().reading.id);
                }
            });
        }
    });
}

/// The names and numbers in whole lines of acknowledgement.
fn acknowledged(said: &str) -> impl Iterator<Item = (String, i64)> {
    said.split("posted ").filter_map(|line| {
        let (name, number) = line.split_once('.')?.0.split_once(" as ")?;
        Some((name.to_owned(), number.parse().ok()?))
    })
}

/// Starts the posters, kills them somewhere, and gives back all they acknowledged.
fn a_round(place: &Path, round: u64, random: &mut Random) -> BTreeMap<String, i64> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(only(module_path!(), "child_posts_with_eight_until_killed"))
        .env(PLACE, place)
        .env(ROUND, round.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut said = String::new();
    // One in eight is killed while it starts, the others after some acknowledgements, and somewhere within the next.
    let wait_for = if round.is_multiple_of(8) { 0 } else { 1 + random.below(60) };
    for _ in 0..wait_for + if wait_for > 0 { 2 } else { 0 } {
        out.read_line(&mut said).unwrap();
    }
    thread::sleep(Duration::from_micros(random.below(if wait_for == 0 { 60_000 } else { 5_000 })));
    child.kill().unwrap();
    out.read_to_string(&mut said).unwrap();
    child.wait().unwrap();
    acknowledged(&said).collect()
}

#[test]
fn eight_posters_killed_two_hundred_times_lose_and_double_nothing() {
    let mut random = Random::new(8);
    let (mut all, mut acts_of_rows) = (0, 0);
    for start in (0..ROUNDS).step_by(ON_ONE as usize) {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("record.sqlite");
        Record::open(&place)
            .unwrap()
            .open_job(&person(0), None, "skerry-v8", "Skerry V8", None, Timestamp::now())
            .unwrap();
        let mut promised = BTreeMap::new();
        for round in start..start + ON_ONE {
            promised.append(&mut a_round(&place, round, &mut random));
            let record = Record::open(&place).unwrap();
            let chain = record.verify().unwrap();
            assert_eq!(chain.fault, None, "round {round}");
            let mut there: BTreeMap<String, Vec<i64>> = BTreeMap::new();
            for entry in record.readings(JobId(1)).unwrap() {
                there.entry(entry.reading.measured.typed).or_default().push(entry.reading.id.0);
            }
            assert!(there.values().all(|ids| ids.len() == 1), "round {round}: a reading is doubled");
            for (name, id) in &promised {
                assert_eq!(there.get(name), Some(&vec![*id]), "round {round}: {name} was acknowledged");
            }
            assert_eq!(chain.events as usize, there.len() + 1, "round {round}");
            let mut acts: BTreeMap<&str, usize> = BTreeMap::new();
            for (act, _) in there.keys().filter_map(|name| name.split_once('/')) {
                *acts.entry(act).or_default() += 1;
            }
            assert!(acts.values().all(|rows| *rows == ROWS), "round {round}: part of an act was taken");
            acts_of_rows += acts.len();
        }
        all += promised.len() as u64;
    }
    assert!(acts_of_rows > 100, "only {acts_of_rows} acts of rows");
    assert!(all > ROUNDS * 5, "only {all} readings were acknowledged: the rounds end too soon to show anything");
}
