//! The terminal: one line with `say`, many with `console`, a script with `say --json -`.

pub mod json;
pub mod paint;
pub mod people;
mod progress;

use std::fs::File;
use std::io::{BufRead, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context as _;
use jiff::{SignedDuration, Timestamp};

use crate::desk::form::Kind;
use crate::desk::reply::Block;
use crate::desk::{Asker, Desk, MOST_BYTES, Outcome, Reply, rows, walk};
use crate::drawing;

pub use progress::Progress;

/// How `say` answers.
#[derive(Debug, Clone, Default)]
pub struct Manner {
    pub json: bool,
    /// Where figures, documents and photographs of a reply are saved.
    pub save: Option<PathBuf>,
    /// Names the request; sent again under the same name it posts nothing twice. Lines of a script are numbered.
    pub key: Option<String>,
}

const REFUSED: u8 = 2;
const BROKEN: u8 = 1;

/// Answers one line; exit code 0 for an answer, 2 for a refusal, 1 for a fault of ours.
pub fn say(desk: &Desk, asker: &Asker, line: &str, manner: &Manner, out: &mut impl Write) -> anyhow::Result<ExitCode> {
    let mut asker = asker.clone();
    asker.key.clone_from(&manner.key);
    answer(desk, &asker, line, manner, out)
}

/// Puts the photograph in a file beside what is asked next. More of it is not read than says that it is too large.
pub fn enclose(asker: &mut Asker, place: &Path) -> anyhow::Result<()> {
    let file = File::open(place).with_context(|| format!("cannot read {}", place.display()))?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .with_context(|| format!("cannot read {}", place.display()))?;
    asker.enclose(bytes, &place.file_name().unwrap_or_default().to_string_lossy());
    Ok(())
}

/// A line that ends in `-` in the place of rows, with the rows that come by standard input.
pub fn with_rows(desk: &Desk, line: &str, input: impl Read) -> anyhow::Result<String> {
    let told = line.strip_suffix(" -").and_then(|line| desk.filled(line));
    let rows = told.and_then(|(form, given)| {
        let field = form.fields.iter().find(|field| field.kind == Kind::Rows)?;
        Some((form, given, field))
    });
    let Some((form, mut given, field)) = rows else { return Ok(line.to_owned()) };
    let mut block = String::new();
    input.take(MOST_ROWS).read_to_string(&mut block).context("the rows are no text")?;
    given.push((field.id.clone(), rows::one_line(&block)));
    Ok(form.line(given.iter().map(|(id, value)| (id.as_str(), value.as_str()))))
}

/// More bytes of rows are not read; the desk refuses far shorter ones.
const MOST_ROWS: u64 = 64 * 1024;

fn answer(desk: &Desk, asker: &Asker, line: &str, manner: &Manner, out: &mut impl Write) -> anyhow::Result<ExitCode> {
    let outcome = desk.answer(asker, line, Timestamp::now());
    if manner.json {
        writeln!(out, "{}", json::outcome(&outcome))?;
    } else {
        out.write_all(paint::outcome(&outcome, width()).as_bytes())?;
    }
    if let (Some(folder), Outcome::Reply(reply)) = (&manner.save, &outcome) {
        save(desk, &reply.blocks, folder)?;
    }
    Ok(match outcome {
        Outcome::Reply(_) => ExitCode::SUCCESS,
        Outcome::Refused(_) => ExitCode::from(REFUSED),
        Outcome::Fault(_) => ExitCode::from(BROKEN),
    })
}

/// Answers every line of `input`, one after another; the exit code is the worst seen.
pub fn say_all(
    desk: &Desk,
    asker: &Asker,
    input: impl BufRead,
    manner: &Manner,
    out: &mut impl Write,
) -> anyhow::Result<ExitCode> {
    let mut worst = ExitCode::SUCCESS;
    for (number, line) in input.split(b'\n').enumerate() {
        let line = line?;
        let mut asker = asker.clone();
        asker.key = manner.key.as_ref().map(|key| format!("{key}-{}", number + 1));
        // Bytes that are no text still get an answer: the refusal names them.
        let line = String::from_utf8_lossy(&line);
        let code = answer(desk, &asker, &line, manner, out)?;
        out.flush()?;
        if code != ExitCode::SUCCESS && worst != ExitCode::from(BROKEN) {
            worst = code;
        }
    }
    Ok(worst)
}

/// Talks until the end of input or `bye`.
pub fn console(desk: &Desk, asker: &Asker, input: impl BufRead, out: &mut impl Write) -> anyhow::Result<()> {
    let at_terminal = std::io::stdin().is_terminal();
    writeln!(out, "{}: ask, or give a command. `help` lists them, `bye` ends.", desk.settings().shop)?;
    let mut lines = input.lines();
    let mut asked = None;
    loop {
        if at_terminal {
            write!(out, "{}> ", asker.person)?;
        }
        out.flush()?;
        let Some(line) = lines.next() else { return Ok(()) };
        let line = line?;
        match line.trim() {
            "" => {}
            "bye" => return Ok(()),
            line => {
                let now = Timestamp::now();
                let entry = asked.as_ref().and_then(|asked: &AskedFor| asked.taken(line, now));
                if let Some(taken) = &entry {
                    writeln!(out, "Taken as: {taken}")?;
                }
                let outcome = desk.answer(asker, entry.as_deref().unwrap_or(line), now);
                match &outcome {
                    Outcome::Reply(reply) => asked = AskedFor::by(reply, now),
                    // What was asked for still is.
                    Outcome::Refused(_) | Outcome::Fault(_) => {}
                }
                out.write_all(paint::outcome(&outcome, width()).as_bytes())?;
            }
        }
    }
}

/// What the last reply asked for: a line of nothing but numbers answers it, for as long as it is still in mind.
struct AskedFor {
    entry: String,
    at: Timestamp,
}

/// How long a place is waited for; later a bare number may be meant as anything.
const IN_MIND: SignedDuration = SignedDuration::from_mins(15);

impl AskedFor {
    fn by(reply: &Reply, at: Timestamp) -> Option<Self> {
        reply.entry().map(|entry| Self { entry: entry.line.clone(), at })
    }

    /// The whole line that a typed one stands for.
    fn taken(&self, line: &str, now: Timestamp) -> Option<String> {
        let in_mind = now.duration_since(self.at) <= IN_MIND;
        walk::filled_in(&self.entry, line).filter(|_| in_mind)
    }
}

fn width() -> usize {
    std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok()).unwrap_or(80_usize).clamp(40, 200)
}

/// Figures as PNG and SVG, documents and photographs as they are, under the names their titles give.
fn save(desk: &Desk, blocks: &[Block], folder: &Path) -> anyhow::Result<()> {
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let put = |name: String, bytes: &[u8]| {
        let path = folder.join(name);
        std::fs::write(&path, bytes).with_context(|| format!("cannot write {}", path.display()))
    };
    for block in blocks {
        match block {
            Block::Figure(figure) => {
                let stem: String =
                    figure.title.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
                put(format!("{stem}.svg"), figure.svg.as_bytes())?;
                put(format!("{stem}.png"), &drawing::png(figure, 2.0)?)?;
            }
            Block::Document(document) => put(document.name.clone(), &document.content)?,
            Block::Photo(photo) => {
                if let Some(developed) = desk.photograph(&photo.hash)? {
                    put(photo.file(), &developed.bytes)?;
                }
            }
            _ => {}
        }
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::desk::reply::Action;

    #[test]
    fn a_place_is_waited_for_as_long_as_it_is_in_mind() {
        let at = Timestamp::UNIX_EPOCH;
        assert!(AskedFor::by(&Reply::new("x").action(Action::form("Log", "log bore")), at).is_none());
        let asked = AskedFor::by(&Reply::new("x").action(Action::entry("Post", "log bore 3 --walk")), at).unwrap();
        let after = |minutes| asked.taken("4.0004", at + SignedDuration::from_mins(minutes));
        assert_eq!(after(15).as_deref(), Some("log bore 3 --walk 4.0004"));
        assert_eq!(after(16), None);
    }
}
