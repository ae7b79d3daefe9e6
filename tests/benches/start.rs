//! From nothing to the first answer, and the memory that takes, beside the barest programs of the system.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, ensure};

use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};

const QUESTION: &str = "how much crank end float";

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let there = folder.path().join("there");
    let series = side_by_side(
        effort,
        vec![
            Subject::new("start to answer, new shop", || {
                let new = tempfile::tempdir_in(folder.path())?;
                to_the_end(gudgeon(new.path()).args(["say", "--data", "data", QUESTION]))
            }),
            Subject::new("start to answer, shop there", || {
                to_the_end(gudgeon(folder.path()).args(["say", "--data"]).arg(&there).arg(QUESTION))
            }),
            Subject::new("start to version", || to_the_end(gudgeon(folder.path()).arg("--version"))),
            Subject::new("true", || to_the_end(&mut Command::new("true"))),
        ],
    )?;
    let [new, again, version, foot] = series.as_slice() else { anyhow::bail!("four subjects, four series") };
    for ours in [new, again, version] {
        sheet.compare(Unit::Seconds, ours, foot);
    }
    sheet.note(
        "start: from the call of a process to its end, with its answer read. A new shop lays out its record and is \
         filled with the demo's readings, each on disk.",
    );

    if !Path::new("/proc/self/status").exists() {
        sheet.note("memory: this system has no /proc to read it from.");
        return Ok(());
    }
    let few = Effort { rounds: 5, ..effort };
    let series = side_by_side(
        few,
        vec![
            Subject::new("peak memory, first answer", || {
                peak(gudgeon(folder.path()).args(["say", "--json", "--data"]).arg(&there).arg("-"))
            }),
            Subject::new("cat", || peak(&mut Command::new("cat"))),
        ],
    )?;
    let [ours, foot] = series.as_slice() else { anyhow::bail!("two subjects, two series") };
    sheet.compare(Unit::Bytes, ours, foot);
    Ok(())
}

/// The program, with settings of its own alone: the defaults, and the shelf it carries.
fn gudgeon(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command.current_dir(folder);
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("GUDGEON_") {
            command.env_remove(name);
        }
    }
    command
}

/// Seconds from the call to the end of a process that must succeed.
fn to_the_end(command: &mut Command) -> Result<Vec<f64>> {
    let (seconds, output) = timed(|| command.stdin(Stdio::null()).output());
    let output = output.with_context(|| format!("{command:?} cannot be called"))?;
    ensure!(output.status.success(), "{command:?}: {}", String::from_utf8_lossy(&output.stderr));
    Ok(vec![seconds])
}

/// Bytes a process held at most, by the time it gave one line back for one line in.
fn peak(command: &mut Command) -> Result<Vec<f64>> {
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn()?;
    let look = || -> Result<f64> {
        let mut input = child.stdin.take().context("no way in")?;
        writeln!(input, "{QUESTION}")?;
        let mut line = String::new();
        BufReader::new(child.stdout.take().context("no way out")?).read_line(&mut line)?;
        ensure!(!line.is_empty(), "no line came back");
        // Its input is still open, so it lives and waits.
        let status = std::fs::read_to_string(format!("/proc/{}/status", child.id()))?;
        let kib = status.lines().find_map(|line| line.strip_prefix("VmHWM:")?.strip_suffix("kB")?.trim().parse().ok());
        kib.map(|kib: f64| kib * 1024.0).context("its status tells no peak")
    };
    let mut look = look;
    let found = look();
    child.wait()?;
    Ok(vec![found?])
}
