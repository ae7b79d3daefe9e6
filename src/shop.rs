//! A shop's folder: opening it, filling a demo, making a new one.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};
use jiff::Timestamp;

use crate::config::Config;
use crate::desk::{Asker, Desk, Front, Outcome};
use crate::library::{Kind, Library, NoDraft, Report, Shelf, draft, embedded_files};
use crate::record::Record;

const RECORD_FILE: &str = "record.sqlite";

/// Opens library and record as the settings say; an empty demo shop is filled.
pub fn open(config: &Config) -> anyhow::Result<Desk> {
    open_telling(config, &|_, _| {})
}

/// As [`open`], telling how far it is: a big library takes its time.
pub fn open_telling(config: &Config, report: Report<'_>) -> anyhow::Result<Desk> {
    let record = Record::open(&record_place(config)?)?;
    let desk = Desk::new(config.settings(), shelf(config, report)?, record);
    for fault in desk.library_faults() {
        tracing::warn!("page fault: {fault}");
    }
    if config.demo {
        fill_demo(&desk, Timestamp::now())?;
    }
    Ok(desk)
}

/// The shop's own pages, or the shelf the program carries where there is no such folder.
pub fn shelf(config: &Config, report: Report<'_>) -> anyhow::Result<Shelf> {
    if config.library.is_dir() {
        Ok(Shelf::open_telling(&config.library, report)?)
    } else {
        Ok(Shelf::fixed(Library::embedded()))
    }
}

/// The record's file.
pub fn record_file(config: &Config) -> PathBuf {
    config.data.join(RECORD_FILE)
}

/// The record's file, in a folder that is there.
pub fn record_place(config: &Config) -> anyhow::Result<PathBuf> {
    std::fs::create_dir_all(&config.data)
        .with_context(|| format!("cannot make the data folder {}", config.data.display()))?;
    Ok(record_file(config))
}

/// The record that is there; none is made.
pub fn record_there(config: &Config) -> anyhow::Result<Record> {
    let place = record_file(config);
    if !place.exists() {
        bail!("there is no record {}: name its folder with --data", place.display());
    }
    Ok(Record::open(&place)?)
}

/// Every fault in the pages, as `file:line: what, and what would be right`.
pub fn library_faults(config: &Config, report: Report<'_>) -> anyhow::Result<Vec<String>> {
    Ok(shelf(config, report)?.current().faults().iter().map(ToString::to_string).collect())
}

/// Starts a page in the shop's library; the inner error is a refusal.
pub fn new_page(config: &Config, kind: &str, name: &str) -> anyhow::Result<Result<PathBuf, NoDraft>> {
    let folder = &config.library;
    if !folder.is_dir() {
        bail!("there is no library folder {}: `gudgeon init DIR` makes a shop that has one", folder.display());
    }
    let kind = Kind::named(kind).with_context(|| format!("there is no kind of page called {kind}"))?;
    let today = jiff::ZonedDateTime::now().date().to_string();
    match draft(folder, kind, name, &today) {
        Err(error) if !error.is_refusal() => Err(error.into()),
        done => Ok(done),
    }
}

/// What to do next, for the person who started the program.
pub fn welcome(config: &Config, chat: bool) -> String {
    let mut out = String::new();
    if config.demo {
        out.push_str(
            "This is the demo shop (invented engines, invented readings). `gudgeon init DIR` makes a real one.\n",
        );
    }
    let page = if config.page.serve { "Open the address above in a browser, or ask here" } else { "Ask here" };
    out.push_str(&format!("{page}: gudgeon say how much crank end float\n"));
    out.push_str(if chat { "The chat front is starting.\n" } else { "The chat front is shut: it has no token.\n" });
    out.push_str("Control-C stops it; no posted reading is lost.");
    out
}

/// Makes a shop's folder and says what to do next. Never touches a file that is there.
pub fn init(dir: &Path) -> anyhow::Result<String> {
    let settings = dir.join(crate::config::USUAL_FILE);
    if settings.exists() || dir.join("knowledge").exists() {
        bail!("{} already holds a shop: nothing was changed", dir.display());
    }
    std::fs::create_dir_all(dir).with_context(|| format!("cannot make {}", dir.display()))?;
    let text = "# Gudgeon's settings; every key and its default stand in config.example.toml of the project.\n\
                shop = \"Our shop\"\ndemo = false\ndata = \"data\"\nlibrary = \"knowledge\"\n\n\
                [people.lead]\nrole = \"lead\"\n\n[terminal]\nperson = \"lead\"\n";
    std::fs::write(&settings, text).with_context(|| format!("cannot write {}", settings.display()))?;
    for (name, text) in embedded_files() {
        let path = dir.join("knowledge").join(name);
        std::fs::create_dir_all(path.parent().unwrap_or(dir))?;
        std::fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))?;
    }
    std::fs::create_dir_all(dir.join("data"))?;
    drop(Record::open(&dir.join("data").join(RECORD_FILE))?);
    Ok(format!(
        "{0}: settings in gudgeon.toml, pages in knowledge/, an empty record in data/.\n\
         Next: name the shop and its people in gudgeon.toml, then\n  cd {0} && gudgeon serve\n",
        dir.display()
    ))
}

/// Fills an empty demo record through the front door, line by line, as the shop's people would.
pub fn fill_demo(desk: &Desk, now: Timestamp) -> anyhow::Result<()> {
    if !desk.is_blank()? {
        return Ok(());
    }
    let lines = include_str!("demo.txt").lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#'));
    for (number, line) in lines.enumerate() {
        let (person, line) = line.split_once(": ").context("a demo line is `person: line`")?;
        let mut asker = Asker::new(person, Front::Terminal);
        asker.key = Some(format!("demo-{}", number + 1));
        said(desk, &asker, line, now)?;
    }
    // On the page everyone starts with the demo job in hand.
    for person in desk.settings().people.keys() {
        said(desk, &Asker::new(person, Front::Page), "job take 1", now)?;
    }
    Ok(())
}

fn said(desk: &Desk, asker: &Asker, line: &str, now: Timestamp) -> anyhow::Result<()> {
    match desk.answer(asker, line, now) {
        Outcome::Reply(_) => Ok(()),
        Outcome::Refused(refusal) => bail!("demo line “{line}” is refused: {}", refusal.sentence()),
        Outcome::Fault(text) => bail!("demo line “{line}”: {text}"),
    }
}
