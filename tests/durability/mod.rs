//! The program killed between and during posts: nothing acknowledged is lost, nothing is doubled, and sending the whole
//! script again under the same key completes it.

mod keeping;
mod photos;
mod posters;
mod power;
mod random;

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use gudgeon::maths::judge::Verdict;
use gudgeon::quantity::Dimension;
use gudgeon::record::{JobId, Measured, Record};

/// Readings of one script.
const LINES: usize = 60;
const ROUNDS: u64 = 6;

/// The program at work in that folder.
pub fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command
        .current_dir(folder)
        .env_remove("GUDGEON_CONFIG")
        .args(["--data", "data", "--library", "pages"])
        .stderr(Stdio::null())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped());
    command
}

/// A folder with one engine's page, so that starting is quick.
pub fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge/engines/skerry-v8.md");
    std::fs::create_dir(folder.path().join("pages")).unwrap();
    std::fs::copy(page, folder.path().join("pages/skerry-v8.md")).unwrap();
    std::fs::write(folder.path().join("gudgeon.toml"), "demo = false\n[people.lead]\nrole = \"lead\"\n").unwrap();
    folder
}

/// A reading as the desk would hand it to the record, known by what was typed.
fn reading(job: JobId, typed: &str) -> Measured {
    Measured {
        job,
        check: "crank-end-float".into(),
        position: "engine".into(),
        raw: vec![0.000_15],
        typed: typed.into(),
        unit: "mm".into(),
        dimension: Dimension::Length,
        temperature: None,
        instrument: None,
        gauge: None,
        note: None,
        photo: None,
        measures: Vec::new(),
        verdict: Verdict::NoLimit,
        page_revision: "-".into(),
    }
}

/// Every line posts a reading of its own size, so that a lost or doubled one shows.
fn script() -> Vec<String> {
    (0..LINES).map(|n| format!("log crank-end-float 0.{:05}in job=1", 400 + n)).collect()
}

fn start(folder: &Path) -> Child {
    let mut child = program(folder).args(["say", "--as", "lead", "--json", "--key", "run", "-"]).spawn().unwrap();
    let mut input = child.stdin.take().unwrap();
    let text = script().join("\n");
    std::thread::spawn(move || {
        // A killed program closes the pipe: that is the point.
        let _ = input.write_all(text.as_bytes());
    });
    child
}

/// Numbers of the readings that were acknowledged before the program ended.
fn acknowledged(child: &mut Child, stop_after: usize) -> Vec<i64> {
    let mut seen = Vec::new();
    for line in BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok) {
        let Ok(reply) = serde_json::from_str::<serde_json::Value>(&line) else { break };
        let number = reply["values"].as_array().unwrap().iter().find(|v| v["name"] == "reading").unwrap();
        seen.push(number["value"].as_f64().unwrap() as i64);
        if seen.len() == stop_after {
            break;
        }
    }
    seen
}

#[test]
fn killed_at_any_moment_nothing_acknowledged_is_lost_and_nothing_doubled() {
    for round in 0..ROUNDS {
        let folder = shop();
        let opened =
            program(folder.path()).args(["say", "--as", "lead", "job open skerry-v8 Kill test"]).output().unwrap();
        assert!(opened.status.success(), "{opened:?}");

        // Three runs of the same script, each killed somewhere, then one that is let through.
        let mut promised: Vec<i64> = Vec::new();
        for cut in [3 + round as usize * 7, 11 + round as usize * 5, 40] {
            let mut child = start(folder.path());
            let mut seen = acknowledged(&mut child, cut);
            // Somewhere inside the next posts, not just between two.
            std::thread::sleep(Duration::from_micros(137 * (round * 13 % 17)));
            child.kill().unwrap();
            child.wait().unwrap();
            promised.append(&mut seen);
        }
        let mut child = start(folder.path());
        let all = acknowledged(&mut child, usize::MAX);
        assert!(child.wait().unwrap().success());
        assert_eq!(all.len(), LINES);
        assert!(promised.iter().all(|number| all.contains(number)), "an acknowledged reading is gone");

        let record = Record::open(&folder.path().join("data/record.sqlite")).unwrap();
        let chain = record.verify().unwrap();
        assert_eq!(chain.fault, None);
        let mut times: BTreeMap<String, usize> = BTreeMap::new();
        for entry in record.readings(JobId(1)).unwrap() {
            *times.entry(entry.reading.measured.typed).or_default() += 1;
        }
        assert_eq!(times.len(), LINES, "round {round}: each reading is there");
        assert!(times.values().all(|n| *n == 1), "round {round}: a reading is doubled: {times:?}");
    }
}

#[test]
fn a_script_sent_again_posts_nothing_twice() {
    let folder = shop();
    program(folder.path()).args(["say", "--as", "lead", "job open skerry-v8 Twice"]).output().unwrap();
    let once = acknowledged(&mut start(folder.path()), usize::MAX);
    let again = acknowledged(&mut start(folder.path()), usize::MAX);
    assert_eq!(once, again);
}

#[test]
fn the_exit_code_tells_an_answer_from_a_refusal() {
    let folder = shop();
    let code = |line: &str| program(folder.path()).args(["say", "--as", "lead", line]).output().unwrap().status.code();
    assert_eq!(code("convert 4in mm"), Some(0));
    assert_eq!(code("convert 4zz mm"), Some(2));
    assert_eq!(code(&"x".repeat(65_536)), Some(2));
}

#[test]
fn a_damaged_record_is_refused_and_left_as_it_is() {
    let folder = shop();
    std::fs::create_dir(folder.path().join("data")).unwrap();
    let file = folder.path().join("data/record.sqlite");
    std::fs::write(&file, b"this is no database, but somebody's only copy of something").unwrap();
    let before = std::fs::read(&file).unwrap();
    let output = program(folder.path()).args(["say", "job list"]).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(std::fs::read(&file).unwrap(), before);
}

#[test]
fn a_new_shop_works_from_its_own_folder() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("our-shop");
    let run = |at: &Path, args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_gudgeon"))
            .current_dir(at)
            .env_remove("GUDGEON_CONFIG")
            .args(args)
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap())
    };
    let (code, said) = run(folder.path(), &["init", "our-shop"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(shop.join("gudgeon.toml").is_file() && shop.join("knowledge/words.md").is_file());
    assert_eq!(run(folder.path(), &["init", "our-shop"]).0, Some(1), "a shop is never made over another");
    let (code, said) = run(&shop, &["say", "job list"]);
    assert_eq!((code, said.lines().next()), (Some(0), Some("No job is open")), "a real shop starts empty");
    assert_eq!(run(&shop, &["library", "check"]).0, Some(0));
    // The shelf in the program answers from anywhere.
    let (code, said) = run(folder.path(), &["--data", "elsewhere", "say", "word quench"]);
    assert!(code == Some(0) && said.starts_with("Squish"), "{said}");
}
