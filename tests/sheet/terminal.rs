//! The whole plan by script over the terminal, as separate runs of the program by separate people.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

use super::lines;

fn program(folder: &Path, person: &str) -> Command {
    let pages = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command.current_dir(folder).env_remove("GUDGEON_CONFIG").arg("--library").arg(pages);
    command.args(["--data", "data", "say", "--as", person]);
    command
}

/// Every line of one person's turn, through one run of the program.
fn turn(folder: &Path, person: &str, key: &str, typed: &[&str]) {
    let mut child = program(folder, person)
        .args(["--json", "--key", key, "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(typed.join("\n").as_bytes()).unwrap();
    let done = child.wait_with_output().unwrap();
    let told = String::from_utf8(done.stdout).unwrap();
    assert!(done.status.success(), "{person}: {told}");
    assert_eq!(told.lines().count(), typed.len());
}

#[test]
fn a_whole_plan_is_typed_accepted_and_put_on_a_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let people = "demo = false\nshop = \"Ropewalk Engine Works\"\n[people]\nlead = { role = \"lead\" }\n\
                  tech-1 = { role = \"tech\" }\napprentice-1 = { role = \"apprentice\" }\n";
    std::fs::write(folder.path().join("gudgeon.toml"), people).unwrap();
    let mut turns: Vec<(&str, Vec<&str>)> = Vec::new();
    for (person, line) in lines() {
        match turns.last_mut().filter(|(last, _)| *last == person) {
            Some((_, typed)) => typed.push(line),
            None => turns.push((person, vec![line])),
        }
    }
    for (number, (person, typed)) in turns.iter().enumerate() {
        turn(folder.path(), person, &format!("turn-{number}"), typed);
    }
    for format in ["html", "pdf", "csv", "json"] {
        let line = format!("sheet 1 format={format}");
        let done = program(folder.path(), "lead").args(["--save", "out", &line]).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stdout));
    }
    let saved = |end: &str| std::fs::read(folder.path().join(format!("out/build-sheet-job-1.{end}"))).unwrap();
    assert!(saved("pdf").starts_with(b"%PDF-"));
    assert!(saved("html").starts_with(b"<!DOCTYPE html>"));
    let sheet: Value = serde_json::from_slice(&saved("json")).unwrap();
    let count = &sheet["count"];
    assert_eq!(count["posted"], count["planned"], "every check of the plan is posted");
    assert_eq!(count["accepted"], count["posted"], "the lead accepted all of it");
    assert_eq!((&sheet["closed"], sheet["missing"].as_array().unwrap().len()), (&Value::Bool(true), 0));
    assert_eq!(sheet["readings"].as_array().unwrap().len() as u64, count["posted"].as_u64().unwrap());
    assert!(sheet["readings"].as_array().unwrap().iter().all(|r| r["review"]["accepted"] == true));
    let rows = String::from_utf8(saved("csv")).unwrap();
    assert!(rows.lines().count() as u64 > count["posted"].as_u64().unwrap());
}
