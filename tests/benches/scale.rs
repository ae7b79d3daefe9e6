//! How a shelf of 100, of 10 000 and of 1 000 000 passages answers and how long it takes to read, beside bare tantivy on the
//! same passages; and how long an edit takes to be answered.
//!
//! The shelves are made from the shop's own by a seeded generator: its sentences shuffled into new pages, with sizes changed
//! and here and there a word of their own, so that the vocabulary grows as it does in a real shelf.

use std::hint::black_box;
use std::path::Path;

use anyhow::{Context as _, Result, bail, ensure};
use gudgeon::library::{Form, Library, Passage, Shelf, embedded_files};

use super::ask::each_question;
use super::bare::{HITS, PlainTantivy};
use super::measure::{Effort, Series, Sheet, Subject, Unit, side_by_side, timed};

const SIZES: [(usize, &str, &str); 3] = [
    (100, "ask at 100 passages", "bare tantivy at 100"),
    (10_000, "ask at 10 000 passages", "bare tantivy at 10 000"),
    (1_000_000, "ask at 1 000 000 passages", "bare tantivy at 1 000 000"),
];
/// Pages of the shelf that is edited.
const PAGES: usize = 10_000;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    // A quick look takes no million.
    let sizes = if effort.rounds < 10 { &SIZES[..2] } else { &SIZES };
    let mut first: Option<(f64, f64)> = None;
    for (size, ours, foot) in sizes {
        let mut made = Generator::new();
        let (empty, before) = (Library::embedded(), resident()?);
        drop(empty);
        let (reading, library) = timed(|| Library::from_files(made.pages(*size)));
        let with_ours = resident()?;
        let passages: Vec<&Passage> = library.passages().collect();
        ensure!(passages.len() >= *size, "{} passages are less than {size}", passages.len());
        let (indexing, plain) = timed(|| PlainTantivy::build(&passages));
        let plain = plain?;
        let with_both = resident()?;
        let series = side_by_side(
            effort,
            vec![
                Subject::new(*ours, || {
                    each_question(|question| Ok(black_box(library.ask(question, None, HITS)).hits.len()))
                }),
                Subject::new(*foot, || each_question(|question| Ok(black_box(plain.ask(question)?).len()))),
            ],
        )?;
        let [ours, foot] = series.as_slice() else { bail!("two subjects, two series") };
        sheet.compare(Unit::Seconds, ours, foot);
        let now = (median(ours), median(foot));
        let grown = first.map_or(String::new(), |(ours, foot)| {
            format!(" Since the smallest, ours grew {:.1} times, bare tantivy {:.1} times.", now.0 / ours, now.1 / foot)
        });
        first.get_or_insert(now);
        let mib = |bytes: f64| bytes / f64::from(1 << 20);
        sheet.note(format!(
            "{} passages: pages read, cut and indexed in {reading:.2} s, {:.0} MiB with all their text; bare tantivy indexes \
             the cut passages in {indexing:.2} s, {:.0} MiB without their text.{grown}",
            passages.len(),
            mib(with_ours - before),
            mib(with_both - with_ours),
        ));
    }
    edit(effort, sheet)
}

fn median(series: &Series) -> f64 {
    series.at(0.5)
}

/// From the end of an edit to its answer, by hand (without the wait for the editor to be quiet), of one page among many.
fn edit(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let count = if effort.rounds < 10 { PAGES / 10 } else { PAGES };
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    for (name, text) in embedded_files().map(|(name, text)| (name.to_owned(), text.to_owned())) {
        put(folder.path(), &name, &text)?;
    }
    let mut made = Generator::new();
    for _ in 0..count {
        let (name, text) = made.page();
        put(folder.path(), &name, &text)?;
    }
    // Stamps are trusted from two seconds on.
    std::thread::sleep(std::time::Duration::from_millis(2100));
    let (reading, shelf) = timed(|| Shelf::open(folder.path()));
    let shelf = shelf?;
    let (mut slowest, words) = (0.0_f64, folder.path().join("words.md"));
    for n in 0..10 {
        let page = format!("{FRONT}title = \"Edited\"\n+++\n\nThe zorblat {} is new.\n", word(n));
        put(folder.path(), "made/0.md", &page)?;
        let (seconds, done) = timed(|| shelf.refresh());
        done?;
        slowest = slowest.max(seconds);
        let library = shelf.current();
        let answer = library.ask(&format!("zorblat {}", word(n)), None, 1);
        let best = answer.hits.first().context("the edit is not answered")?;
        ensure!(best.passage.text.contains(&word(n)) && library.effort().indexed == 1, "another page is read");
    }
    let text = std::fs::read_to_string(&words)?;
    std::fs::write(&words, format!("{text}| Zorblat | zorb | A word of the bench |\n"))?;
    let (renaming, done) = timed(|| shelf.refresh());
    done?;
    sheet.note(format!(
        "edit: {count} made pages beside the shelf's own are read in {reading:.2} s; the slowest of ten edits of a page is \
         answered anew after {:.0} ms, a new trade word after {:.0} ms.",
        slowest * 1e3,
        renaming * 1e3,
    ));
    Ok(())
}

fn put(folder: &Path, name: &str, text: &str) -> Result<()> {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().context("no folder")?)?;
    Ok(std::fs::write(path, text)?)
}

/// Bytes this process holds.
fn resident() -> Result<f64> {
    let status = std::fs::read_to_string("/proc/self/status").context("this system has no /proc")?;
    let kib =
        status.lines().find_map(|line| line.strip_prefix("VmRSS:")?.strip_suffix("kB")?.trim().parse::<f64>().ok());
    Ok(kib.context("its status tells no memory")? * 1024.0)
}

const FRONT: &str = "+++\nkind = \"note\"\nreviewed = \"2026-11-01\"\nsources = [\"made by a generator\"]\n";

/// Makes pages from the shelf's own headings and sentences; the same pages in every run.
struct Generator {
    headings: Vec<String>,
    sentences: Vec<String>,
    state: u64,
    made: usize,
}

impl Generator {
    fn new() -> Self {
        let library = Library::embedded();
        let prose = || library.passages().filter(|passage| passage.form != Form::Row);
        let headings = prose().map(|passage| passage.heading().replace('"', "")).collect();
        let sentences =
            prose().flat_map(|passage| passage.text.split_inclusive(". ").map(|s| s.trim().replace('\n', " ")));
        let sentences = sentences.filter(|sentence| sentence.len() > 20).collect();
        Self { headings, sentences, state: 0x9E37_79B9_7F4A_7C15, made: 0 }
    }

    /// Xorshift (Marsaglia, 2003): the same numbers in every run.
    fn next(&mut self, below: usize) -> usize {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        (self.state % below.max(1) as u64) as usize
    }

    /// Pages of at least so many passages in all: each has eight, one to a section.
    fn pages(&mut self, passages: usize) -> Vec<(String, String)> {
        (0..passages.div_ceil(8)).map(|_| self.page()).collect()
    }

    fn page(&mut self) -> (String, String) {
        let number = self.made;
        self.made += 1;
        let at = self.next(self.headings.len());
        let title = format!("{}, {} {number}", self.headings[at], word(number));
        let mut body = String::new();
        for section in 0..8 {
            if section > 0 {
                let at = self.next(self.headings.len());
                body.push_str(&format!("\n\n## {}\n\n", self.headings[at]));
            }
            for _ in 0..2 + self.next(5) {
                let at = self.next(self.sentences.len());
                body.push_str(self.sentences[at].trim_start_matches(|c: char| !c.is_alphabetic()));
                body.push(' ');
            }
            body.push_str(&format!("The {} is 0.{:03} in.", word(self.next(1 + number * 4)), self.next(1000)));
        }
        (format!("made/{number}.md"), format!("{FRONT}title = \"{title}\"\n+++\n\n{body}\n"))
    }
}

/// A made-up word for a number: syllables, so that it looks like one.
fn word(mut number: usize) -> String {
    const SYLLABLES: [&str; 16] =
        ["ba", "ke", "li", "mo", "nu", "ra", "se", "ti", "vo", "zu", "dra", "ple", "kri", "sto", "gru", "wen"];
    let mut out = String::from("qu");
    loop {
        out.push_str(SYLLABLES[number % 16]);
        number /= 16;
        if number == 0 {
            return out;
        }
    }
}
