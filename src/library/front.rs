//! Front matter: the TOML between `+++` lines, read key by key so that every fault is found at its own line.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::fault::{Fault, nearest, one_of};
use super::page::Kind;
use crate::engine::{Duty, Stage};

const KEYS: [&str; 7] = ["title", "kind", "stage", "reviewed", "sources", "duty", "engine"];

/// What the front matter says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Front {
    pub title: String,
    pub kind: Kind,
    pub stage: Option<Stage>,
    pub duty: Option<Duty>,
    pub reviewed: Option<String>,
    pub sources: Vec<String>,
}

/// A page's text cut in two: front matter and body, each with the line it starts on.
pub(super) struct Cut<'a> {
    pub front: &'a str,
    pub body: &'a str,
    pub front_line: usize,
    pub body_line: usize,
}

/// Cuts at the `+++` lines; none when the page does not start with one, or it is never closed.
pub(super) fn cut(text: &str) -> Option<Cut<'_>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut lines = text.split_inclusive('\n');
    let first = lines.next()?;
    if first.trim_end() != "+++" {
        return None;
    }
    let start = first.len();
    let mut end = start;
    for (count, line) in lines.enumerate() {
        if line.trim_end() == "+++" {
            return Some(Cut {
                front: text.get(start..end)?,
                body: text.get(end + line.len()..)?,
                front_line: 2,
                body_line: count + 3,
            });
        }
        end += line.len();
    }
    None
}

/// Reads one page's front matter, and adds to `faults` what is missing, unknown or misread.
pub(super) fn read(file: &str, cut: &Cut<'_>, faults: &mut Vec<Fault>) -> Option<Front> {
    let (table, errors) = DeTable::parse_recoverable(cut.front);
    let line_of = |span: Range<usize>| {
        let before = cut.front.as_bytes().get(..span.start).unwrap_or_default();
        cut.front_line + before.iter().filter(|b| **b == b'\n').count()
    };
    for error in &errors {
        let line = error.span().map_or(cut.front_line, line_of);
        faults.push(Fault::broken(
            file,
            line,
            format!("the front matter is not TOML: {}", error.message()),
            "write `key = \"value\"` lines between the two `+++` lines",
        ));
    }
    if !errors.is_empty() {
        return None;
    }
    let mut reader = Reader { file, faults, line_of: &line_of, top: cut.front_line - 1, table: table.get_ref() };
    reader.unknown_keys();
    let title = reader.text("title").filter(|t| !t.trim().is_empty());
    if title.is_none() {
        reader.missing("title", "add `title = \"…\"`, the page's name as people say it");
    }
    let kind = reader.kind();
    let stage = reader.stage();
    let duty = reader.duty();
    let reviewed = reader.reviewed();
    let sources = reader.sources();
    Some(Front { title: title?, kind: kind?, stage, duty, reviewed, sources })
}

struct Reader<'a, 'i> {
    file: &'a str,
    faults: &'a mut Vec<Fault>,
    line_of: &'a dyn Fn(Range<usize>) -> usize,
    top: usize,
    table: &'a DeTable<'i>,
}

impl<'a, 'i> Reader<'a, 'i> {
    fn get(&self, key: &str) -> Option<&'a Spanned<DeValue<'i>>> {
        self.table.iter().find(|(name, _)| name.get_ref() == key).map(|(_, value)| value)
    }

    fn line(&self, value: &Spanned<DeValue<'_>>) -> usize {
        (self.line_of)(value.span())
    }

    fn blemish(&mut self, line: usize, what: String, remedy: String) {
        self.faults.push(Fault::blemish(self.file, line, what, remedy));
    }

    fn broken(&mut self, line: usize, what: String, remedy: String) {
        self.faults.push(Fault::broken(self.file, line, what, remedy));
    }

    fn missing(&mut self, key: &str, remedy: &str) {
        self.broken(self.top, format!("the front matter has no {key}"), remedy.to_owned());
    }

    fn unknown_keys(&mut self) {
        let unknown: Vec<(String, usize)> = self
            .table
            .iter()
            .filter(|(name, _)| !KEYS.contains(&name.get_ref().as_ref()))
            .map(|(name, _)| (name.get_ref().to_string(), (self.line_of)(name.span())))
            .collect();
        for (name, line) in unknown {
            let remedy = match nearest(&name, KEYS) {
                Some(key) => format!("did you mean `{key}`?"),
                None => format!("the keys are {}", one_of(&KEYS)),
            };
            self.blemish(line, format!("unknown front matter key `{name}`"), remedy);
        }
    }

    /// The key's text; a fault when it holds something else.
    fn text(&mut self, key: &str) -> Option<String> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => {
                let line = self.line(value);
                self.blemish(line, format!("`{key}` is not a text"), format!("write `{key} = \"…\"`"));
                None
            }
        }
    }

    fn line_of_key(&self, key: &str) -> usize {
        self.get(key).map_or(self.top, |value| self.line(value))
    }

    /// `word` if it is one of `known`; else a fault that names the nearest.
    fn known(&mut self, key: &str, word: &str, known: &[&str]) -> Fault {
        let remedy = match nearest(word, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`? It is one of {}", one_of(known)),
            None => format!("it is one of {}", one_of(known)),
        };
        Fault::blemish(self.file, self.line_of_key(key), format!("unknown {key} `{word}`"), remedy)
    }

    fn kind(&mut self) -> Option<Kind> {
        let names = Kind::ALL.map(|(name, _)| name);
        if self.get("kind").is_none() {
            self.missing("kind", &format!("add `kind = \"…\"`: {}", one_of(&names)));
            return None;
        }
        let word = self.text("kind")?;
        let kind = Kind::named(&word);
        if kind.is_none() {
            let fault = self.known("kind", &word, &names);
            self.faults.push(Fault { breaks: true, ..fault });
        }
        kind
    }

    fn stage(&mut self) -> Option<Stage> {
        let word = self.text("stage")?;
        let stage = Stage::named(&word);
        if stage.is_none() {
            let fault = self.known("stage", &word, &Stage::ALL.map(Stage::slug));
            self.faults.push(fault);
        }
        stage
    }

    fn duty(&mut self) -> Option<Duty> {
        let word = self.text("duty")?;
        let duty = Duty::ALL.into_iter().find(|duty| duty.word() == word);
        if duty.is_none() {
            let fault = self.known("duty", &word, &Duty::ALL.map(Duty::word));
            // A table for one duty must not be taken as one for all.
            self.faults.push(Fault { breaks: true, ..fault });
        }
        duty
    }

    fn reviewed(&mut self) -> Option<String> {
        let Some(value) = self.get("reviewed") else {
            self.blemish(self.top, "the front matter has no reviewed".into(), "add `reviewed = \"2026-11-01\"`".into());
            return None;
        };
        let text = match value.get_ref() {
            DeValue::String(text) => text.to_string(),
            DeValue::Datetime(date) => date.to_string(),
            _ => String::new(),
        };
        if text.parse::<jiff::civil::Date>().is_ok() {
            return Some(text);
        }
        let line = self.line(value);
        self.blemish(line, "`reviewed` is not a date".into(), "write it as `2026-11-01`".into());
        None
    }

    fn sources(&mut self) -> Vec<String> {
        const REMEDY: &str = "add `sources = [\"…\"]`; \"common practice\" is allowed";
        let Some(value) = self.get("sources") else {
            self.blemish(self.top, "the front matter has no sources".into(), REMEDY.into());
            return Vec::new();
        };
        let sources: Vec<String> = match value.get_ref() {
            DeValue::Array(items) => items
                .iter()
                .filter_map(|item| match item.get_ref() {
                    DeValue::String(text) if !text.trim().is_empty() => Some(text.to_string()),
                    _ => None,
                })
                .collect(),
            _ => Vec::new(),
        };
        if sources.is_empty() {
            let line = self.line(value);
            self.blemish(line, "`sources` names none".into(), REMEDY.into());
        }
        sources
    }
}
